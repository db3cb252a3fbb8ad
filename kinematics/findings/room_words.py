"""Sentences about the ground, hoses' reach, the top mount's stack and scans."""

from __future__ import annotations

from collections.abc import Callable

from kinematics.findings.fact_phrases import over, past, place_of
from kinematics.findings.phrases import Sentence, Units, room
from kinematics.statics.fact import Fact
from kinematics.units import show_plain


def _ground(f: Fact, units: Units) -> Sentence:
    return _lowest(f, units, "")


def _ground_flat(f: Fact, units: Units) -> Sentence:
    return _lowest(f, units, "With a flat tyre ")


def _lowest(f: Fact, units: Units, when: str) -> Sentence:
    left = room(f.amount, units)
    part = f"the {f.subject}" if when else f"The {f.subject}"
    there = f.figures.get("at_setup")
    setup = "" if there is None else f"{room(there, units)} at set-up height."
    if there is not None and there < 0.0:
        setup = f"Already {room(there, units)} into it at set-up height."
    if f.amount < 0.0:
        detail = f"{past(f, units)} {setup}".strip()
        return Sentence(f"{when}{part} digs {left} into the ground.", detail)
    if f.problem:
        asked = f"{show_plain(f.figures['rule'], units)} is asked for."
        headline = f"{when}{part} comes within {left} of the ground."
        return Sentence(headline, f"{asked} {past(f, units)} {setup}".strip())
    headline = f"{when}{part} is lowest: {left} off the ground."
    where = f"Least at {_place(f, units)}{_of_the_racks(f)}"
    return Sentence(headline, f"{where}; {setup}" if setup else f"{where}.")


def _of_the_racks(f: Fact) -> str:
    """Travel is counted between positions too, the rack only where it was looked at."""
    racks = int(f.notes.get("racks", "1"))
    return f", of the {racks} rack positions looked at" if racks > 1 else ""


def _scan(f: Fact, units: Units) -> Sentence:
    return Sentence(f"The scan {f.subject} is {f.notes['size']}.", f.notes["told"])


def _stack(f: Fact, units: Units) -> Sentence:
    """Heights from the plate's surface, as a rule laid on it reads them."""
    headline = f"The bearing's centre is {_up(f.amount, units)} the top mount's plate."
    rest = [
        f"{name} {_up(f.figures[name], units)} it"
        for name in ("shaft shoulder", "top hat")
        if name in f.figures
    ]
    said = f"{' and '.join(rest).capitalize()}." if rest else ""
    ways = [
        f"{show_plain(f.figures[way], units)} {way}"
        for way in ("forward", "rearward", "inboard", "outboard")
        if f.figures.get(way, 0.0) > 0.0
    ]
    slots = f"Its slots still let it go {', '.join(ways)}." if ways else ""
    return Sentence(headline, f"{said} {slots}".strip())


def _up(height: float, units: Units) -> str:
    return f"{show_plain(abs(height), units)} {'above' if height >= 0.0 else 'below'}"


def _hose_reach(f: Fact, units: Units) -> Sentence:
    part, length = f.notes["part"], show_plain(f.figures["length"], units)
    where = f"At {place_of(f, units)}, counting every way that {length} of it can lie."
    if f.amount < 0.0:
        # Only where a rule asks: where a hose is clipped and bent, it seldom swings so far.
        swung = f"Swung at its worst, the {f.subject} could reach the {part}."
        headline = f"The {f.subject} can reach the {part}." if f.problem else swung
        cure = "Clip it nearer, shorten it, or see that it can't swing there."
        return Sentence(headline, f"By {over(-f.amount, units)}. {where} {past(f, units)} {cure}")
    headline = f"The {f.subject} stays {room(f.amount, units)} off the {part}, however it swings."
    asked = f"{show_plain(f.figures['rule'], units)} is asked for. " if f.problem else ""
    return Sentence(headline, f"{asked}{where}")


def _place(f: Fact, units: Units) -> str:
    name = f.notes.get("place", "")
    return f"{name}, {place_of(f, units)}" if name else place_of(f, units)


ROOM_SENTENCES: dict[str, Callable[[Fact, Units], Sentence]] = {
    "ground": _ground,
    "ground flat": _ground_flat,
    "hose reach": _hose_reach,
    "stack": _stack,
    "scan": _scan,
}
