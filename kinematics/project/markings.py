"""Tyre and rim markings: what ``205/55R16`` and ``7Jx15 ET25`` say in millimetres.

Sources
-------
Section width and overall diameter: UN Regulation No. 30, paragraph 6.1: S = S1 + K (A - A1)
with K = 0.4, and D = d + 2 H (the first read in the regulation, the second from memory, as are
the limits of paragraph 6.1.4 and the theoretical rim's share of the width).
Specified rim diameters and flange heights: the rim standards' tables, from memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from kinematics.errors import ClearstrokeError
from kinematics.units import MM_PER_INCH

SECTION_PER_RIM = 0.4
"""K of UN R30: millimetres of section width a millimetre of rim width adds."""
WIDTH_LIMIT = 1.04
"""Greatest overall width of a radial tyre, as a share of its section width (UN R30)."""
HEIGHT_LIMIT = 1.04
"""Greatest section height of a tyre for an ordinary road, as a share of H (UN R30)."""
FULL_PROFILE = 80.0
"""Aspect of a tyre marked without one, such as 165R13, %: what the tables' sizes come to."""

_FLANGE_HEIGHT = {"B": 14.1, "J": 17.5, "JJ": 18.0, "JK": 18.0, "K": 19.6}

_TYRE = re.compile(
    r"""(?:P|LT|HL|XL)?\s*
        (?P<width>\d{3}(?:[.,]\d+)?)\s*(?:/\s*(?P<aspect>\d{2,3}(?:[.,]\d+)?))?\s*
        (?:Z?R|[A-Z]R|B|D|-|\s)\s*F?\s*
        (?P<rim>\d{2}(?:[.,]5)?)\s*C?
        (?:\s+\(?\d{2,3}(?:/\d{2,3})?\s*[A-Z]\d?\)?)?
        (?:\s+(?:XL|RF|EXTRA\s+LOAD|REINFORCED))?\s*""",
    re.VERBOSE | re.IGNORECASE,
)
_RIM_ORDER = (
    r"(?P<width>\d{1,2}(?:[.,]\d+)?)\s*(?P<flange>JJ|JK|J|K|B)?\s*[x×*]\s*(?P<code>\d{2})",
    r"(?P<code>\d{2})\s*[x×*]\s*(?P<width>\d{1,2}(?:[.,]\d+)?)\s*(?P<flange>JJ|JK|J|K|B)?",
)
_RIM_TAIL = (
    r"\s*(?:F?H2?[+\-]?|CH|EH2?\+?)?\s*[,;]?\s*"
    r"(?:(?:ET|OFFSET|IS)\s*[:=]?\s*(?P<offset>[+\-−]?\s*\d{1,3}(?:[.,]\d+)?)\s*(?:mm)?)?\s*"
)
_RIMS = tuple(re.compile(order + _RIM_TAIL, re.IGNORECASE) for order in _RIM_ORDER)
_BOLTS = re.compile(
    r"(?P<count>\d{1,2})\s*[x×*/]\s*(?P<circle>\d{2,3}(?:[.,]\d+)?)\s*(?:mm)?", re.IGNORECASE
)


class MarkingError(ClearstrokeError):
    """A marking that can't be read; the message says what is wrong and what to write."""


@dataclass(frozen=True, slots=True)
class TyreSize:
    """A tyre's size as marked: nominal section width S1 (mm), aspect (%), rim code (inch)."""

    width: float
    aspect: float
    rim_code: float

    @property
    def rim_diameter(self) -> float:
        """Nominal rim diameter d, mm (UN R30's table: the code in inches, whole millimetres)."""
        return float(round(self.rim_code * MM_PER_INCH))

    @property
    def height(self) -> float:
        """Nominal section height H = S1 x aspect / 100, mm."""
        return self.width * self.aspect / 100.0

    @property
    def diameter(self) -> float:
        """Nominal overall diameter D = d + 2 H, mm."""
        return self.rim_diameter + 2.0 * self.height

    @property
    def theoretical_rim(self) -> float:
        """Width A1 of the rim the marked width belongs to, mm: S1 x 0.70, or 0.85 below 50."""
        return self.width * (0.70 if self.aspect >= 50.0 else 0.85)

    def section(self, rim_width: float) -> float:
        """Section width S on a rim of that width, mm: S1 + K (A - A1), UN R30 6.1.1.1."""
        return self.width + SECTION_PER_RIM * (rim_width - self.theoretical_rim)

    def widest(self, rim_width: float) -> float:
        """Greatest overall width a radial tyre of this size may have on that rim, mm."""
        return WIDTH_LIMIT * self.section(rim_width)

    @property
    def greatest_diameter(self) -> float:
        """Greatest overall diameter a tyre of this size may have, mm: d + 2 H x 1.04.

        H is taken in whole millimetres, as the tables give it, where that is more.
        """
        height = max(self.height, float(int(self.height + 0.5)))
        return self.rim_diameter + 2.0 * HEIGHT_LIMIT * height


@dataclass(frozen=True, slots=True)
class RimSize:
    """A rim's size as marked.

    width : between the flanges, inches. flange : the letter. code : diameter code, inches.
    offset : ET, mm, positive with the mounting face outboard of the rim's centre plane; None
    when not marked.
    """

    width: float
    flange: str
    code: float
    offset: float | None

    @property
    def width_mm(self) -> float:
        """Width between the flanges A, mm."""
        return self.width * MM_PER_INCH

    @property
    def diameter(self) -> float:
        """Specified diameter of the bead seats, mm (5° seats: code x 25.4 less 0.8 to 16,
        plus 4.8 from 17 on)."""
        return self.code * MM_PER_INCH + (4.8 if self.code >= 17.0 else -0.8)

    @property
    def flange_height(self) -> float:
        """Height of the flanges above the bead seats, mm."""
        return _FLANGE_HEIGHT[self.flange]


def read_tyre(text: str) -> TyreSize:
    """The size in a tyre marking such as ``205/55R16``, ``P195/65 R15 91H`` or ``225/45ZR17``.

    A load index and speed symbol after it are accepted and not used; ``165R13`` is taken as
    80 % high. Raises `MarkingError`.
    """
    found = _TYRE.fullmatch(text.strip())
    if found is None:
        raise MarkingError(
            f"tyre size {_quoted(text)} can't be read: write it as on the sidewall, "
            "such as 205/55R16"
        )
    aspect = FULL_PROFILE if found["aspect"] is None else _number(found["aspect"])
    size = TyreSize(_number(found["width"]), aspect, _number(found["rim"]))
    _within("tyre width", size.width, 105.0, 455.0, "mm", text)
    _within("tyre aspect", size.aspect, 20.0, 100.0, "%", text)
    _within("rim diameter", size.rim_code, 10.0, 26.0, "in", text)
    return size


def read_rim(text: str) -> RimSize:
    """The size in a rim marking such as ``7Jx15 ET25``, ``7.5J x 17 ET-10`` or ``15x7``.

    Without a letter the flange is taken as J. Raises `MarkingError`.
    """
    for order in _RIMS:
        found = order.fullmatch(text.strip())
        if found is None:
            continue
        width, code = _number(found["width"]), _number(found["code"])
        if width >= code:
            continue
        offset = found["offset"]
        size = RimSize(
            width,
            (found["flange"] or "J").upper(),
            code,
            None if offset is None else _number(offset),
        )
        _within("rim width", width, 3.0, 16.0, "in", text)
        _within("rim diameter", code, 10.0, 26.0, "in", text)
        _within("rim offset", size.offset or 0.0, -150.0, 150.0, "mm", text)
        return size
    raise MarkingError(
        f"rim size {_quoted(text)} can't be read: write width x diameter in inches and "
        "the offset, such as 7Jx15 ET25"
    )


def read_bolts(text: str) -> tuple[int, float]:
    """Number of wheel bolts and diameter (mm) of their circle from ``4x100`` or ``5 x 114.3``.

    Raises `MarkingError`.
    """
    found = _BOLTS.fullmatch(text.strip())
    if found is None:
        raise MarkingError(
            f"bolt circle {_quoted(text)} can't be read: write number x diameter in mm, "
            "such as 4x100"
        )
    count, circle = int(found["count"]), _number(found["circle"])
    _within("number of wheel bolts", count, 1, 12, "", text)
    _within("bolt circle", circle, 60.0, 250.0, "mm", text)
    return count, circle


def _number(text: str) -> float:
    return float(text.replace(" ", "").replace(",", ".").replace("−", "-"))


def _quoted(text: str) -> str:
    """A marking as it was typed, on one line."""
    return f'"{" ".join(text.split())}"'


def _within(what: str, value: float, least: float, most: float, unit: str, text: str) -> None:
    if not least <= value <= most:
        raise MarkingError(
            f"{_quoted(text)} has a {what} of {value:g}{unit and ' '}{unit}: "
            f"{least:g} to {most:g}{unit and ' '}{unit} is possible"
        )
