"""Text to numbers, as a workshop writes them.

``read_length("3 1/4 in + 2")`` takes sums, fractions, feet and inches and a decimal comma and
gives millimetres; ``read_quantity`` does the same for rates, forces and masses in the units of
either system, ``read_degrees`` and ``read_number`` for angles and plain numbers. The grammar,
with no names, powers or calls, by recursive descent:

    sum     = product (("+" | "-") product)*
    product = signed (("*" | "/") signed)*
    signed  = ("+" | "-") signed | value
    value   = "(" sum ")" | amount [unit [amount unit]]      feet then inches, ° then '
    amount  = number | whole numerator "/" denominator | numerator "/" denominator
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import NoReturn

from kinematics.errors import EntryError
from kinematics.units.quantities import (
    KG_PER_POUND,
    MM_PER_INCH,
    N_PER_LBF,
    STANDARD_GRAVITY,
    Quantity,
    Units,
    unit_of,
)

LONGEST = 80  # characters
DEEPEST = 12  # brackets and signs within each other
LARGEST = 1e6

_LENGTHS = {
    "mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH, "ft": 12 * MM_PER_INCH,
}  # fmt: skip
_FORCES = {"N": 1.0, "kN": 1000.0, "lbf": N_PER_LBF, "kgf": STANDARD_GRAVITY}
_RATES = {
    "N/mm": 1.0, "N/m": 0.001, "kgf/mm": STANDARD_GRAVITY, "lb/in": N_PER_LBF / MM_PER_INCH,
}  # fmt: skip
_MASSES = {"kg": 1.0, "lb": KG_PER_POUND}
_PSI = N_PER_LBF / MM_PER_INCH**2
_MODULI = {
    "N/mm²": 1.0, "MPa": 1.0, "GPa": 1000.0, "psi": _PSI, "ksi": 1e3 * _PSI, "Mpsi": 1e6 * _PSI,
}  # fmt: skip
_ANGLES = {"°": 1.0, "'": 1 / 60}
_WORDS = {
    '"': "in", "″": "in", "”": "in", "“": "in", "inch": "in", "inches": "in", "ins": "in",
    "'": "ft", "′": "ft", "’": "ft", "feet": "ft", "foot": "ft",
}  # fmt: skip
_ANGLE_WORDS = {"deg": "°", "degrees": "°", "º": "°", "′": "'", "’": "'", "min": "'"}
_POUND_WORDS = ("lbs", "pound", "pounds")
# In a field of forces a shop's "lb" is a pound-force; in one of spring rates, lb for each inch.
_FORCE_WORDS = dict.fromkeys(("lb", *_POUND_WORDS), "lbf") | {"newton": "N", "newtons": "N"}
_RATE_WORDS = {
    **dict.fromkeys(("lb", "lbf", *_POUND_WORDS), "lb/in"),
    **dict.fromkeys(("lbf/in", "lbs/in", "lb/inch", "lbs/inch", "lbf/inch"), "lb/in"),
    "kg/mm": "kgf/mm", "kn/m": "N/mm",
}  # fmt: skip
_MODULUS_WORDS = {"n/mm2": "N/mm²", "n/mm^2": "N/mm²"}
_SIGNS = str.maketrans({"−": "-", "–": "-", "×": "*", "·": "*", "÷": "/", "⁄": "/"})
_VULGAR = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_TOKEN = re.compile(
    r"""\s*(?:(?P<number>[0-9]+(?:[.,][0-9]*)*|[.,][0-9]+)
    |(?P<sign>[-+*/()])|(?P<unit>[^\W\d_]+|["'″”“′’°º]))""",
    re.VERBOSE,
)


@dataclass(frozen=True)
class _Token:
    kind: str  # number, sign, unit or end
    text: str
    spaced: bool  # a space stands before it


@dataclass(frozen=True)
class _Amount:
    """A number, and whether it already carries the unit of the scale it is read on."""

    value: float
    sized: bool


@dataclass(frozen=True)
class _Scale:
    """What is being read: its units, their other spellings, the pair that may follow on."""

    what: str
    units: Mapping[str, float]
    words: Mapping[str, str]
    pair: tuple[str, str] | None
    example: str

    @cached_property
    def named(self) -> dict[str, str]:
        """Every spelling, in small letters, of every unit."""
        return {name.lower(): name for name in self.units} | dict(self.words)

    @cached_property
    def compound(self) -> re.Pattern[str]:
        """Units of more than one word, N/mm, which are one where they follow a number."""
        spelled = sorted((name for name in self.named if "/" in name), key=len, reverse=True)
        words = "|".join(r"\s*/\s*".join(map(re.escape, name.split("/"))) for name in spelled)
        return re.compile(rf"\s*(?P<unit>{words or '(?!)'})(?![^\W_])", re.IGNORECASE)


_LENGTH = _Scale("a length", _LENGTHS, _WORDS, ("ft", "in"), "3 1/2 in or 88.9")
_ANGLE = _Scale("an angle", _ANGLES, _ANGLE_WORDS, ("°", "'"), "-1.5 or 1° 30'")
_NUMBER = _Scale("a number", {}, {}, None, "50 or 12.5")
_SCALES: dict[Quantity, _Scale] = {
    "length": _LENGTH,
    "force": _Scale("a force", _FORCES, _FORCE_WORDS, None, "3000 N or 675 lbf"),
    "force_per_length": _Scale("a spring rate", _RATES, _RATE_WORDS, None, "50 N/mm or 285 lb/in"),
    "mass": _Scale(
        "a weight", _MASSES, dict.fromkeys(_POUND_WORDS, "lb"), None, "300 kg or 660 lb"
    ),
    "modulus": _Scale("a shear modulus", _MODULI, _MODULUS_WORDS, None, "78500 N/mm² or 11.4 Mpsi"),
}


def read_length(text: str, unit: str = "mm") -> float:
    """Read a length as typed and return it in mm; bare numbers are in ``unit``.

    Raises EntryError with one sentence when it can't be read.
    """
    return _read(text, _LENGTH, _LENGTHS["mm" if unit == "mm" else "in"])


def read_quantity(text: str, quantity: Quantity, units: Units) -> float:
    """Read a length, force, rate, mass or modulus as typed and return it in mm, N and kg.

    A unit of either system may stand with any number (``450 lb/in``, ``80 N/mm + 20``); bare
    numbers are in the unit the quantity is shown in. Raises EntryError with one sentence when it
    can't be read.
    """
    return _read(text, _SCALES[quantity], unit_of(quantity, units).size)


def read_degrees(text: str) -> float:
    """Read an angle as typed, in degrees, with minutes of arc if any: ``-1° 30'`` is -1.5."""
    return _read(text, _ANGLE, 1.0)


def read_number(text: str) -> float:
    """Read a plain number or sum as typed: a count, a share, a multiple."""
    return _read(text, _NUMBER, 1.0)


def _read(text: str, scale: _Scale, bare: float) -> float:
    reader = _Reader(text, scale, bare)
    value = reader.everything()
    if abs(value) > LARGEST:
        raise EntryError(f'"{text.strip()}" is too big for {scale.what} on a car.')
    return value


class _Reader:
    """One entry being read: its tokens, and how far it has got."""

    def __init__(self, text: str, scale: _Scale, bare: float) -> None:
        self.scale = scale
        self.bare = bare
        self.text = " ".join(text[: LONGEST + 1].split())
        if not self.text:
            raise EntryError(f"Nothing is typed here. Try {scale.example}.")
        if len(text.strip()) > LONGEST:
            raise EntryError(f"This is too long for {scale.what}: at most {LONGEST} characters.")
        self.tokens = self._split()
        self.at = 0
        self.depth = 0

    # --- tokens

    def _split(self) -> list[_Token]:
        text = self.text.translate(_SIGNS)
        for sign, plain in _VULGAR.items():
            text = text.replace(sign, f" {plain}")
        text, tokens, place = text.strip(), [], 0
        while place < len(text):
            found = self.scale.compound.match(text, place) or _TOKEN.match(text, place)
            if not found or found.lastgroup is None:
                self.fail(f'has a "{text[place:].strip()[0]}" in it that can\'t be read')
            kind, word = found.lastgroup, found[found.lastgroup]
            spaced = found.start(kind) > place
            if kind == "number":
                tokens.append(_Token("number", self._point(word), spaced))
            elif kind == "sign":
                tokens.append(_Token("sign", word, spaced))
            else:
                tokens.append(_Token("unit", self._unit(word), spaced))
            place = found.end()
        return [*tokens, _Token("end", "", True)]

    def _point(self, word: str) -> str:
        """Turn a decimal comma into a point; refuse what could also mean thousands."""
        if word.count(".") + word.count(",") > 1:
            self.fail(f'has more than one point or comma in "{word}"')
        if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", word):
            plain = word.replace(",", "")
            self.fail(f"could mean {word.replace(',', '.')} or {plain}: write one of these")
        return word.replace(",", ".")

    def _unit(self, word: str) -> str:
        unit = self.scale.named.get(re.sub(r"\s", "", word.lower()))
        if unit is None:
            known = ", ".join(self.scale.units)
            if not any(sign.isdigit() for sign in self.text):
                self.fail(f"is not {self.scale.what}")
            if not known:
                self.fail(f'has "{word}" in it: only a number goes here')
            self.fail(f'has "{word}" in it, which is not a unit for {self.scale.what}: use {known}')
        return unit

    def fail(self, what: str) -> NoReturn:
        """Raise the one sentence that says what is wrong with the entry."""
        raise EntryError(f'"{self.text}" {what}. Try {self.scale.example}.')

    @property
    def next(self) -> _Token:
        return self.tokens[self.at]

    def peek(self, ahead: int) -> _Token:
        return self.tokens[min(self.at + ahead, len(self.tokens) - 1)]

    def take(self, *signs: str) -> str:
        """Step over the next token if it is one of these signs, and return it, else ''."""
        if self.next.kind == "sign" and self.next.text in signs:
            self.at += 1
            return self.tokens[self.at - 1].text
        return ""

    # --- grammar, from the whole entry down to one number

    def everything(self) -> float:
        total = self.sum()
        if self.next.text == ")":
            self.fail("closes a bracket that was not opened")
        if self.next.kind == "number":
            self.fail("has two amounts side by side: put a + between them, or a unit")
        if self.next.kind != "end":
            self.fail(f'has a "{self.next.text}" where a + or - is expected')
        return self.sized(total)

    def sized(self, amount: _Amount) -> float:
        return amount.value if amount.sized else amount.value * self.bare

    def sum(self) -> _Amount:
        total = self.product()
        while sign := self.take("+", "-"):
            more = self.product()
            if total.sized or more.sized:
                total, more = (_Amount(self.sized(a), True) for a in (total, more))
            value = total.value + more.value if sign == "+" else total.value - more.value
            total = _Amount(value, total.sized)
        return total

    def product(self) -> _Amount:
        result = self.signed(divisor=False)
        while sign := self.take("*", "/"):
            factor = self.signed(divisor=sign == "/")
            result = self.times(result, factor) if sign == "*" else self.over(result, factor)
        return result

    def times(self, a: _Amount, b: _Amount) -> _Amount:
        if a.sized and b.sized:
            self.fail(f"multiplies {self.scale.what} by another")
        return _Amount(a.value * b.value, a.sized or b.sized)

    def over(self, a: _Amount, b: _Amount) -> _Amount:
        if b.value == 0:
            self.fail("divides by zero")
        if b.sized and not a.sized:
            self.fail(f"divides a bare number by {self.scale.what}")
        return _Amount(a.value / b.value, a.sized and not b.sized)

    def signed(self, divisor: bool) -> _Amount:
        sign = self.take("+", "-")
        if not sign:
            return self.value(divisor)
        amount = self.deeper(lambda: self.signed(divisor))
        return _Amount(-amount.value, amount.sized) if sign == "-" else amount

    def deeper(self, read: Callable[[], _Amount]) -> _Amount:
        self.depth += 1
        if self.depth > DEEPEST:
            self.fail("has too many brackets or signs within each other")
        amount = read()
        self.depth -= 1
        return amount

    def value(self, divisor: bool) -> _Amount:
        if self.take("("):
            inside = self.deeper(self.sum)
            if not self.take(")"):
                self.fail("has a bracket that is not closed")
            return inside
        if self.next.kind == "end":
            self.fail("isn't finished")
        if self.next.kind != "number":
            self.fail(f'has a "{self.next.text}" where a number is expected')
        amount = self.amount(divisor)
        if self.next.kind != "unit":
            return _Amount(amount, False)
        unit = self.next.text
        self.at += 1
        total = amount * self.scale.units[unit]
        return _Amount(total + self.second(unit), True)

    def second(self, unit: str) -> float:
        """The inches after feet, or the minutes after degrees; 0 when there are none."""
        if self.scale.pair is None or unit != self.scale.pair[0]:
            return 0.0
        # Drawings write 3'-2" for 3 feet and 2 inches: it must not be read as a subtraction.
        if self.next.text == "-" and not self.next.spaced and not self.peek(1).spaced:
            self.fail(f"has a dash after {unit}: leave it out, or put spaces round a minus")
        if self.next.kind != "number":
            return 0.0
        amount = self.amount(False)
        if self.next.kind == "unit":
            if self.next.text != self.scale.pair[1]:
                self.fail("has two amounts side by side: put a + between them")
            self.at += 1
        return amount * self.scale.units[self.scale.pair[1]]

    def amount(self, divisor: bool) -> float:
        """One number: decimal, fraction or whole and fraction.

        After a ``/`` a bare fraction is left alone: 12/3/2 divides twice.
        """
        first = self.number()
        if self.next.kind == "number" and self.next.spaced and first.isdigit():
            top, slash = self.next.text, self.peek(1)
            if slash.text == "/" and top.isdigit():
                self.at += 2
                return float(first) + float(top) / self.denominator()
        self.refuse_dashed_fraction(first)
        bare = not divisor and self.next.text == "/" and first.isdigit()
        if bare and self.peek(1).kind == "number" and self.peek(1).text.isdigit():
            self.at += 1
            return float(first) / self.denominator()
        return float(first)

    def refuse_dashed_fraction(self, whole: str) -> None:
        """Refuse 3-1/4, which drawings write for 3 1/4 and arithmetic reads as 2 3/4."""
        dash, top, slash = (self.peek(ahead) for ahead in range(3))
        tight = not (dash.spaced or top.spaced or slash.spaced)
        if tight and dash.text == "-" and slash.text == "/" and (whole + top.text).isdigit():
            self.fail(f"could mean {whole} {top.text}/… or {whole} - {top.text}/…: write one")

    def number(self) -> str:
        self.at += 1
        return self.tokens[self.at - 1].text

    def denominator(self) -> float:
        if self.next.kind == "end":
            self.fail("isn't finished")
        if self.next.kind != "number" or not self.next.text.isdigit():
            self.fail("has a fraction whose lower part is not a whole number")
        bottom = float(self.number())
        if bottom == 0:
            self.fail("divides by zero")
        return bottom
