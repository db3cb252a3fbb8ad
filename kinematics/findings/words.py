"""The sentences: findings in the words a fabricator uses."""

from __future__ import annotations

import math
from collections.abc import Sequence

from kinematics.findings.finding import Finding, Stretch, outward
from kinematics.findings.phrases import Sentence, Units, onset, position, room, steered
from kinematics.findings.statics import fact_sentence
from kinematics.units import show_plain

__all__ = ["Sentence", "Units", "position", "room", "say", "sentence", "steered"]


def say(finding: Finding, units: Units = "mm") -> str:
    """Headline and detail in one line of text."""
    headline, detail = sentence(finding, units)
    return f"{headline} {detail}".strip()


def sentence(finding: Finding, units: Units = "mm") -> Sentence:
    """The finding as a headline and a detail, lengths in ``units``."""
    if finding.fact is not None:
        return fact_sentence(finding.fact, units, finding.place)
    return _SENTENCES[finding.kind](finding, units)


def at(finding: Finding, units: Units) -> str:
    """The worst position: ``full bump, +80.0`` or ``+23.2``, and the rack if it is off centre."""
    travel = position(finding.travel, units)
    text = f"{finding.place}, {travel}" if finding.place and travel != "0" else travel
    if finding.place == "set-up height":
        text = finding.place
    return text + steered(finding.rack, units)


def _contact(f: Finding, units: Units) -> Sentence:
    verb = "digs" if f.parts[0] in ("tyre", "wheel") else "runs"
    headline = f"{_name(f.parts[0])} {verb} {room(f.amount, units)} into {_the(f.parts[1])}."
    if f.amount > -1e-9:
        headline = f"{_name(f.parts[0])} touches {_the(f.parts[1])}."
    first = _joined(onset("First touches", f.touches, units), straight(f.touching, units))
    detail = f"Worst at {at(f, units)}. {first}"
    return Sentence(headline, _joined(detail, _under(f, units), _given(f, units), _open(f, units)))


def _near(f: Finding, units: Units) -> Sentence:
    headline = f"{_name(f.parts[0])} comes within {room(f.amount, units)} of {_the(f.parts[1])}."
    where = f"Worst at {at(f, units)}."
    return Sentence(headline, _joined(where, _under(f, units), _given(f, units), _open(f, units)))


def _clear(f: Finding, units: Units) -> Sentence:
    a, b = _name(f.parts[0]), _the(f.parts[1])
    headline = f"{a} passes {b} by {room(f.amount, units)}."
    closest = f"Closest at {at(f, units)}."
    return Sentence(headline, _joined(closest, _given(f, units), _open(f, units)))


def _limit(f: Finding, units: Units) -> Sentence:
    return Sentence(f"{f.reason} by {room(f.amount, units)}.", f"Worst at {at(f, units)}.")


def _unreachable(f: Finding, units: Units) -> Sentence:
    reason = f.reason[:1].upper() + f.reason[1:].rstrip(".")
    if math.isfinite(f.amount):
        reason += f"{'; it' if reason else 'It'} gets to {position(f.amount, units)}"
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


GIVES = {
    "pushed inboard": "the bushes let the wheel inboard",
    "pushed outboard": "the bushes let the wheel outboard",
    "pushed forward": "the bushes let the wheel forward",
    "pushed rearward": "the bushes let the wheel rearward",
    "tyre bulging": "the tyre bulges under load",
}
"""What happens in each of the usual extra positions."""


def _given(f: Finding, units: Units) -> str:
    """What is left once parts give; nothing where that is no worse."""
    give = f.give
    if give is None or give.amount >= f.amount - 0.05:
        return ""
    name = f"{GIVES.get(give.name, give.name)}, as usual" if give.usual else give.name
    if give.amount >= 0.0:
        return f"Allowing for give ({name}), {room(give.amount, units)} is left."
    deep = f"Allowing for give ({name}), they overlap by {room(give.amount, units)}"
    since = onset("", give.touches, units).strip()
    return f"{deep}, {since}" if since else f"{deep}."


SURE = 1.645
"""Standard deviations within which a clearance is at least so much, 19 times in 20."""


def _open(f: Finding, units: Units) -> str:
    """What the measuring leaves open, 19 times in 20; nothing where that is little."""
    if f.doubt is None or f.doubt * SURE < 0.05:
        return ""
    least = f.amount - SURE * f.doubt
    if f.amount < 0.0:
        return f"By your readings it may be {room(least, units)}."
    if least < 0.0:
        return f"Your readings allow it to touch, by {room(least, units)}."
    return f"Your readings allow {room(least, units)}."


def _joined(*said: str) -> str:
    return " ".join(words for words in said if words)


def _under(f: Finding, units: Units) -> str:
    touching = f.kind == "contact" and f.touches.bump == f.touches.droop
    if f.rule is None or not f.under or touching:
        return ""  # what touches where the car stands is under any rule there
    said = onset(f"Under your {show_plain(f.rule, units)}", f.under, units)
    return _joined(said, "" if f.kind == "contact" else straight(f.nearer, units))


def straight(held: Sequence[Stretch], units: Units) -> str:
    """From where on it is so with the rack in the middle, where it first is so steered."""
    if not any(stretch.rack for stretch in held):
        return ""
    middle = outward(stretch for stretch in held if stretch.rack == 0.0)
    first = outward(held)
    if middle.bump == first.bump and middle.droop == first.droop:
        return ""
    return onset("Straight ahead", middle, units) if middle else "Straight ahead it never does."


def _name(part: str) -> str:
    return part[:1].upper() + part[1:]


def _the(part: str) -> str:
    return f"the {part}"
