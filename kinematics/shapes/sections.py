"""The sections of tyre and rim, from their markings and the few numbers a project adds.

All sections lie in the half plane (r, y): r from the wheel's axis, y along it, outboard
positive, zero in the rim's centre plane. Shares marked "common practice" have no source.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import atan2, pi
from typing import TypeVar

from kinematics.project.markings import (
    MarkingError,
    RimSize,
    TyreSize,
    read_bolts,
    read_rim,
    read_tyre,
)
from kinematics.project.model import Wheel
from kinematics.shapes.profile import Profile, from_arcs, rounded

T = TypeVar("T")

TREAD_SHARE = 0.80
"""Flat width of the tread as a share of the section width: common practice, no source."""
WIDEST_SHARE = 0.50
"""How far up from bead to tread a sidewall is widest: common practice, no source."""
SHOULDER_SHARE = 0.45
"""Shoulder radius as a share of what the sidewall stands out past the tread: common practice."""
BEAD_ROUND = 15.0
"""Round of a plain section's corners at the beads, mm: less than a flange is high."""
SHELL = 5.0
"""Thickness of a rim's shell, mm: common practice, no source."""
LEAST_HEIGHT, LEAST_SECTION = 15.0, 60.0
"""The flattest and narrowest section that is drawn, mm."""
LIP = 11.0
"""How far a J flange's lip stands outside the rim width, mm: from memory of the rim standards."""
WELL_DEPTH = 18.0
"""Depth of the well below the bead seats, mm: from memory of the rim standards."""
SEAT = 24.0
"""Width of a bead seat with its hump, mm: from memory of the rim standards."""
WELL_WIDTH = 40.0
"""Width of the well's floor, mm: common practice, no source."""


@dataclass(frozen=True, slots=True)
class TyreSection:
    """A tyre's section, growth included. All mm.

    free_radius : axis to tread. half_width : centre plane to the widest point. bead_radius,
    half_bead : where the bead sits. half_tread : half the tread's flat. shoulder : its round.
    plain : True for a rectangle, rounded by `shoulder` at the tread and little at the beads, so
    that its sidewall is flat all the way down to the rim.
    """

    free_radius: float
    half_width: float
    bead_radius: float
    half_bead: float
    half_tread: float
    shoulder: float
    plain: bool

    @property
    def widest_radius(self) -> float:
        """Radius at which the sidewall is widest, mm."""
        if self.plain:
            return (self.bead_radius + self.free_radius) / 2
        return self.bead_radius + WIDEST_SHARE * (self.free_radius - self.bead_radius)

    def profile(self) -> Profile:
        """The closed convex outline.

        A curved sidewall is two arcs, tangent to each other where it is widest; the upper one
        runs into the shoulder's arc without a kink.
        """
        if self.plain:
            low, high, out = self.bead_radius, self.free_radius, self.half_width
            bead = min(BEAD_ROUND, self.shoulder)
            radii = (bead, self.shoulder, self.shoulder, bead)
            return rounded([(low, -out), (high, -out), (high, out), (low, out)], radii)
        outboard = self._sidewall()
        inboard = [(r, -y, size, -last, -first) for r, y, size, first, last in outboard]
        return from_arcs([*outboard, *inboard[::-1]])

    def _sidewall(self) -> list[tuple[float, float, float, float, float]]:
        """Outboard half from tread to bead: arcs as `from_arcs` takes them."""
        widest, out, round_ = self.widest_radius, self.half_width, self.shoulder
        a = out - self.half_tread
        b = self.free_radius - round_ - widest
        # Centre level with the widest point, arc tangent to the shoulder's from inside.
        upper = (a * a + b * b - round_ * round_) / (2 * (a - round_))
        meets = atan2(upper - a, b)
        inset, height = out - self.half_bead, widest - self.bead_radius
        lower = (inset * inset + height * height) / (2 * inset)
        bead = atan2(lower - inset, -height)
        return [
            (self.free_radius - round_, self.half_tread, round_, 0.0, meets),
            (widest, out - upper, upper, meets, pi / 2),
            (widest, out - lower, lower, pi / 2, bead),
            (self.bead_radius, self.half_bead, 0.0, bead, pi),
        ]


@dataclass(frozen=True, slots=True)
class RimSection:
    """A rim's section. All mm; y outboard positive from the rim's centre plane.

    seat : radius of the bead seats. flange : radius of the flanges. half : half the width
    between the flanges. face : y of the mounting face, None when no offset is marked.
    disc : thickness of the wheel's centre. bolts : how many. bolt_circle, bore : diameters, None
    if not given.
    """

    seat: float
    flange: float
    half: float
    face: float | None
    disc: float
    bolts: int
    bolt_circle: float | None
    bore: float | None

    @property
    def half_overall(self) -> float:
        """Half the width over the lips, mm."""
        return self.half + LIP

    @property
    def backspacing(self) -> float | None:
        """Inboard lip to the mounting face, mm: half the width over the lips and the offset."""
        return None if self.face is None else self.half_overall + self.face

    @property
    def well(self) -> float:
        """Radius of the well's outside, mm."""
        return self.seat - WELL_DEPTH

    @property
    def well_span(self) -> tuple[float, float]:
        """The y of the well floor's two edges, mm; the well lies towards the outboard side."""
        outer = self.half - SEAT - 0.4 * WELL_DEPTH
        return max(outer - WELL_WIDTH, -self.half + SEAT + 1.0), outer

    def rings(self) -> dict[str, tuple[tuple[float, float], ...]]:
        """The rim as convex outlines (r, y), each turned about the axis: lips, seats, slopes, well.

        The centre is added by `centre` when the offset is known.
        """
        seat, well, half = self.seat, self.well, self.half
        low, high = self.well_span
        lip_low, lip_high = half - 1.5, self.half_overall
        lip = (
            (seat - SHELL, lip_low),
            (self.flange, lip_low + 3.0),
            (self.flange, lip_high - 5.0),
            (self.flange - 5.0, lip_high),
            (seat - SHELL, lip_low + 5.0),
        )
        return {
            "outer lip": lip,
            "inner lip": tuple((r, -y) for r, y in lip),
            "outer seat": _shell(seat, half - SEAT, seat, half),
            "inner seat": _shell(seat, -half, seat, -half + SEAT),
            "well": _shell(well, low, well, high),
            "outer slope": _shell(well, high, seat, half - SEAT),
            "inner slope": _shell(seat, -half + SEAT, well, low),
        }

    def centre(self) -> dict[str, tuple[tuple[float, float], ...]]:
        """The wheel's centre as convex outlines (r, y): hub face and the cone out to the barrel.

        Empty when the offset, and so the face's place, is unknown.
        """
        if self.face is None:
            return {}
        bore, edge = (self.bore or 0.0) / 2, self.pad
        back, front = self.face, self.face + self.disc
        rim_low = max(self.well_span[1] - 14.0, back)
        rim_high = max(self.well_span[1] + 2.0, rim_low + self.disc)
        reach = self.well - SHELL + 1.0
        return {
            "hub face": ((bore, back), (edge, back), (edge, front), (bore, front)),
            "spokes": ((edge, back), (reach, rim_low), (reach, rim_high), (edge, front)),
        }

    @property
    def pad(self) -> float:
        """Radius of the flat hub face, mm: round the bolts."""
        circle = 100.0 if self.bolt_circle is None else self.bolt_circle
        return min(circle / 2 + 17.0, self.well - SHELL - 10.0)


def tyre_section(wheel: Wheel) -> TyreSection:
    """The tyre's section on its rim (UN R30 widths and diameters; the project's own override).

    Raises `MarkingError` for a marking that can't be read or does not fit the rim.
    """
    size, rim, own = _tyre(wheel), _rim(wheel), wheel.tyre
    if size.rim_code != rim.code:
        raise MarkingError(
            f"wheel: tyre {own.size} is for a {size.rim_code:g} in rim, but the rim "
            f"{wheel.rim.size} is {rim.code:g} in: check both markings."
        )
    radius = (own.free_radius or size.diameter / 2) + own.growth
    section = own.section_width or size.section(rim.width_mm)
    out = section / 2 + own.growth
    bead = rim.diameter / 2
    if radius < bead + LEAST_HEIGHT or section < LEAST_SECTION:
        raise MarkingError(
            f"wheel.tyre: on {own.size} a free radius of {radius:.0f} mm and a section width of "
            f"{section:.0f} mm don't go on a rim of {bead:.0f} mm radius: check both figures."
        )
    tread = (own.tread_width or TREAD_SHARE * section) / 2 + own.growth
    # The upper sidewall can lean in no further than it is high.
    above = (1.0 - WIDEST_SHARE) * (radius - bead)
    tread = max(min(tread, out - 2.0), out - 0.95 * above)
    room = out - tread
    plain = own.shoulder_radius is not None and (
        own.tread_width is None or own.shoulder_radius >= room
    )
    if plain:
        assert own.shoulder_radius is not None
        shoulder = min(own.shoulder_radius + own.growth, out - 1.0, (radius - bead) / 2 - 0.5)
    else:
        shoulder = min(own.shoulder_radius or SHOULDER_SHARE * room, 0.9 * room, 0.8 * above)
    height = WIDEST_SHARE * (radius - bead)
    half_bead = max(min(rim.width_mm / 2, out - 2.0), out - 0.9 * height)
    return TyreSection(radius, out, bead, half_bead, tread, shoulder, plain)


def bulged(section: TyreSection, bulge: float) -> TyreSection:
    """The section with each wall standing out `bulge` (mm) farther, as it does under load.

    Beads, tread and radius stay, but that the tread widens where a low wall can't lean in so far.
    """
    out = section.half_width + bulge
    above = section.free_radius - section.widest_radius
    tread = max(section.half_tread, out - 0.95 * above)
    room = out - tread
    shoulder = section.shoulder if section.plain else min(section.shoulder, 0.9 * room)
    height = section.widest_radius - section.bead_radius
    return replace(
        section,
        half_width=out,
        half_bead=max(section.half_bead, out - 0.9 * height),
        half_tread=tread,
        shoulder=shoulder,
    )


def most_growth(wheel: Wheel) -> float:
    """How much further out all round a new tyre of this size may stand than is drawn, mm.

    By the limits of UN R30 on diameter and width; what to enter as growth before the tyre itself
    can be measured. 0 where the sizes typed are as large already. Raises `MarkingError`.
    """
    size, rim, drawn = _tyre(wheel), _rim(wheel), tyre_section(wheel)
    return max(
        0.0,
        size.greatest_diameter / 2 - drawn.free_radius,
        size.widest(rim.width_mm) / 2 - drawn.half_width,
    )


def rim_section(wheel: Wheel) -> RimSection:
    """The rim's section from its marking. Raises `MarkingError`."""
    rim, bolts = _rim(wheel), wheel.rim.bolts
    count, circle = _read("wheel.rim.bolts", read_bolts, bolts) if bolts else (4, None)
    return RimSection(
        seat=rim.diameter / 2,
        flange=rim.diameter / 2 + rim.flange_height,
        half=rim.width_mm / 2,
        face=rim.offset,
        disc=wheel.rim.disc_thickness,
        bolts=count,
        bolt_circle=circle,
        bore=wheel.rim.centre_bore,
    )


def _tyre(wheel: Wheel) -> TyreSize:
    return _read("wheel.tyre.size", read_tyre, wheel.tyre.size)


def _rim(wheel: Wheel) -> RimSize:
    return _read("wheel.rim.size", read_rim, wheel.rim.size)


def _read(entry: str, reader: Callable[[str], T], text: str) -> T:
    """What a marking says; a refusal names the entry it stands in."""
    try:
        return reader(text)
    except MarkingError as error:
        raise MarkingError(f"{entry}: {error}.") from error


def _shell(r0: float, y0: float, r1: float, y1: float) -> tuple[tuple[float, float], ...]:
    return ((r0 - SHELL, y0), (r0, y0), (r1, y1), (r1 - SHELL, y1))
