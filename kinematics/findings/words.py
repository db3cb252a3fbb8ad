"""The sentences: findings in the words a fabricator uses.

Lengths are rounded so that a sentence never promises more room than was found: clearances
down, overlaps up, a first touch toward set-up height.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Literal, NamedTuple

from kinematics.findings.finding import Finding, Onset
from kinematics.units import MINUS, MM_PER_INCH

Units = Literal["mm", "in"]


class Sentence(NamedTuple):
    """A finding in words: the headline, and where and when."""

    headline: str
    detail: str


def say(finding: Finding, units: Units = "mm") -> str:
    """Headline and detail in one line of text."""
    headline, detail = sentence(finding, units)
    return f"{headline} {detail}".strip()


def sentence(finding: Finding, units: Units = "mm") -> Sentence:
    """The finding as a headline and a detail, lengths in ``units``."""
    return _SENTENCES[finding.kind](finding, units)


def room(mm: float, units: Units = "mm") -> str:
    """A clearance with its unit, rounded down; an overlap (negative) rounded up, without sign."""
    return _number(mm, units, math.floor).lstrip(MINUS) + f" {units}"


def position(mm: float, units: Units = "mm", toward_zero: bool = False) -> str:
    """A travel with its sign and no unit: ``+48.8``, ``−14.8``, ``0``.

    ``toward_zero`` rounds toward set-up height, for the first position of something bad.
    """
    text = _number(mm, units, math.trunc if toward_zero else round)
    if not any(digit in "123456789" for digit in text):
        return "0"
    return text if text.startswith(MINUS) else f"+{text}"


def _number(mm: float, units: Units, rounding: Callable[[float], int]) -> str:
    steps = 10 if units == "mm" else 100
    value = mm if units == "mm" else mm / MM_PER_INCH
    # Solved figures stand a hair off the round number they mean: 1e-6 mm is nobody's gap.
    whole = rounding(round(value * steps, 5))
    text = f"{abs(whole) / steps:.1f}" if units == "mm" else f"{abs(whole) / steps:.2f}"
    return f"{MINUS}{text}" if whole < 0 else text


def _plain(mm: float, units: Units) -> str:
    """A rule's length as the builder typed it: no needless decimals."""
    value = mm if units == "mm" else mm / MM_PER_INCH
    return f"{value:.3f}".rstrip("0").rstrip(".") + f" {units}"


def at(finding: Finding, units: Units) -> str:
    """The worst position: ``full bump, +80.0`` or ``+23.2``, and the rack if it is off centre."""
    travel = position(finding.travel, units)
    text = f"{finding.place}, {travel}" if finding.place and travel != "0" else travel
    if finding.place == "set-up height":
        text = finding.place
    return text + steered(finding.rack, units)


def steered(rack: float, units: Units) -> str:
    """``, rack 30.0 mm to the left`` when the rack is off centre."""
    if abs(rack) < 0.05:
        return ""
    way = "left" if rack > 0 else "right"
    return f" with the rack {room(abs(rack), units)} to the {way}"


def _contact(f: Finding, units: Units) -> Sentence:
    verb = "digs" if f.parts[0] in ("tyre", "wheel") else "runs"
    headline = f"{_name(f.parts[0])} {verb} {room(f.amount, units)} into {_the(f.parts[1])}."
    if f.amount > -1e-9:
        headline = f"{_name(f.parts[0])} touches {_the(f.parts[1])}."
    detail = f"Worst at {at(f, units)}. {_onset('First touches', f.touches, units)}"
    return Sentence(headline, f"{detail} {_under(f, units)}".strip())


def _near(f: Finding, units: Units) -> Sentence:
    headline = f"{_name(f.parts[0])} comes within {room(f.amount, units)} of {_the(f.parts[1])}."
    return Sentence(headline, f"Worst at {at(f, units)}. {_under(f, units)}".strip())


def _clear(f: Finding, units: Units) -> Sentence:
    a, b = _name(f.parts[0]), _the(f.parts[1])
    headline = f"{a} passes {b} by {room(f.amount, units)}."
    return Sentence(headline, f"Closest at {at(f, units)}.")


def _limit(f: Finding, units: Units) -> Sentence:
    return Sentence(f"{f.reason} by {room(f.amount, units)}.", f"Worst at {at(f, units)}.")


def _unreachable(f: Finding, units: Units) -> Sentence:
    reason = f.reason[:1].upper() + f.reason[1:].rstrip(".")
    where = position(f.travel, units)
    return Sentence(
        f"The wheel can't reach {where}{steered(f.rack, units)}.", f"{reason}." if reason else ""
    )


def _end(f: Finding, units: Units) -> Sentence:
    return Sentence(f"{f.reason} at {position(f.travel, units)}.", "The wheel stops here.")


_SENTENCES = {
    "contact": _contact,
    "near": _near,
    "clear": _clear,
    "limit": _limit,
    "unreachable": _unreachable,
    "end": _end,
}


def _under(f: Finding, units: Units) -> str:
    touching = f.kind == "contact" and f.touches.bump == f.touches.droop
    if f.rule is None or not f.under or touching:
        return ""  # what touches where the car stands is under any rule there
    return _onset(f"Under your {_plain(f.rule, units)}", f.under, units)


def _onset(what: str, onset: Onset, units: Units) -> str:
    """``First touches at +48.8.`` for either side or both; outward from set-up height."""
    if onset.bump is not None and onset.bump == onset.droop:
        return f"{what} already at set-up height."
    ends = [e for e in (onset.bump, onset.droop) if e is not None]
    first = what.startswith("First")
    words = [
        position(e, units, toward_zero=True)
        if first
        else f"{'from' if e >= 0 else 'below'} {position(e, units, toward_zero=True)}"
        for e in ends
    ]
    return f"{what} {'at ' if first else ''}{' and '.join(words)}." if ends else ""


def _name(part: str) -> str:
    return part[:1].upper() + part[1:]


def _the(part: str) -> str:
    return f"the {part}"
