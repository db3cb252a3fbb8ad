"""Lengths and positions in words, rounded so that no sentence promises more room than was found.

Clearances are rounded down, overlaps up, a first touch toward set-up height. Lengths are told to
a tenth of a millimetre or a thousandth of an inch, travels to a hundredth of an inch, as the ruler
has them.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from kinematics.findings.finding import Onset
from kinematics.units import MINUS, Quantity, unit_of
from kinematics.units import Units as Units


class Sentence(NamedTuple):
    """A finding in words: the headline, and where and when."""

    headline: str
    detail: str


def room(mm: float, units: Units = "mm") -> str:
    """A clearance with its unit, rounded down; an overlap (negative) rounded up, without sign."""
    return f"{_number(mm, 'length', units, math.floor).lstrip(MINUS)} {units}"


def position(mm: float, units: Units = "mm", toward_zero: bool = False) -> str:
    """A travel with its sign and no unit: ``+48.8``, ``−14.8``, ``0``.

    ``toward_zero`` rounds toward set-up height, for the first position of something bad.
    """
    text = _number(mm, "travel", units, math.trunc if toward_zero else round)
    if not any(digit in "123456789" for digit in text):
        return "0"
    return text if text.startswith(MINUS) else f"+{text}"


def _number(mm: float, quantity: Quantity, units: Units, rounding: Callable[[float], int]) -> str:
    unit = unit_of(quantity, units)
    steps = 10**unit.decimals
    # Solved figures stand a hair off the round number they mean: 1e-6 mm is nobody's gap.
    whole = rounding(round(unit.of(mm) * steps, 5))
    text = f"{abs(whole) / steps:.{unit.decimals}f}"
    return f"{MINUS}{text}" if whole < 0 else text


def steered(rack: float, units: Units) -> str:
    """``, rack 30.0 mm to the left`` when the rack is off centre."""
    if abs(rack) < 0.05:
        return ""
    way = "left" if rack > 0 else "right"
    return f" with the rack {room(abs(rack), units)} to the {way}"


def onset(what: str, when: Onset, units: Units) -> str:
    """``First touches at +48.8.`` for either side or both; outward from set-up height.

    With the rack at which it does so first, where that is off centre.
    """
    if when.bump is not None and when.bump == when.droop:
        return f"{what} already at set-up height{steered(when.bump_rack, units)}."
    ends = [
        (end, steered(rack, units))
        for end, rack in ((when.bump, when.bump_rack), (when.droop, when.droop_rack))
        if end is not None
    ]
    if len(ends) == 2 and ends[0][1] == ends[1][1]:
        ends[0] = ends[0][0], ""  # told once, for both
    first = what.startswith("First")
    words = [
        f"{position(e, units, toward_zero=True)}{rack}"
        if first
        else f"{'from' if e >= 0 else 'below'} {position(e, units, toward_zero=True)}{rack}"
        for e, rack in ends
    ]
    return f"{what} {'at ' if first else ''}{' and '.join(words)}." if ends else ""
