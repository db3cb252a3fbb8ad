"""What a fix takes and what it undoes, in a fabricator's words."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from kinematics.findings.phrases import Units, room
from kinematics.findings.statics import fact_sentence
from kinematics.studies.bench import Names
from kinematics.studies.cure import Work
from kinematics.studies.cures import MOVED, PLATED
from kinematics.studies.effects import Effects
from kinematics.studies.fix import Fix, Remedy
from kinematics.units import show, show_plain

WORK = {
    Work.ADJUSTED: "adjusted where it is",
    Work.BOLTED: "bolted on",
    Work.CUT: "cut and welded",
    Work.REMADE: "a part is made anew",
}
"""How much work a fix is."""

LEAST_THREAD = 10.0
"""A wheel nut wants thread of the stud's diameter at least; few studs are thinner than this, mm:
common practice, no source."""
_IN_MM = re.compile(r"(\d+(?:\.\d+)?) mm\b")
_SEEN = 0.05
"""A change of fewer mm is not spoken of."""
_TIGHT = 0.1
"""mm: with less left it only just does not touch."""
_CLOSER, _TIGHTER = 1.0, 10.0
"""A clearance that shrinks by less than the one, or has more left over its rule than the other,
mm, is not spoken of."""
_RATE = 0.05
"""A change of fewer N/mm is not spoken of."""


def say(remedy: Remedy, units: Units = "mm") -> str:
    """The fix that keeps the rules, else the one that stops the touching, else why there is none.

    Lengths of the instruction itself are mm, as the sizes that are sold, inches beside them.
    """
    fix = remedy.fix
    if fix is None:
        return instruction(remedy.why_not, units)
    said = [f"{instruction(fix.words, units)}: {outcome(remedy, units)}."]
    said += [say_effects(fix.effects, units), say_closer(fix, units), say_spoilt(fix, units)]
    said += [say_dear(fix), say_studs(fix, units), amounts(remedy, units)]
    return " ".join(part for part in said if part)


def say_cannot(remedies: Sequence[Remedy], units: Units = "mm") -> list[str]:
    """A sentence for each that can't, and one for all that can't for the same reason."""
    by_reason: dict[str, list[str]] = {}
    for remedy in remedies:
        name = f"{remedy.name[:1].upper()}{remedy.name[1:]}"
        head, colon, why = remedy.why_not.partition(": ")
        if head != name or not colon:  # a sentence of its own
            head, why = "", remedy.why_not
        by_reason.setdefault(why, []).append(head)
    said = []
    for why, names in by_reason.items():
        if names == [""] * len(names):
            said.append(why)
        elif len(names) == 1:
            said.append(f"{names[0]}: {why}")
        else:
            listed = "; ".join([names[0], *(n[:1].lower() + n[1:] for n in names[1:])])
            said.append(f"{listed}: {why.replace('that ', 'each ', 1)}")
    return [instruction(words, units) for words in said]


def outcome(remedy: Remedy, units: Units = "mm") -> str:
    """What the fix of a remedy settles, frees, leaves and breaks; no full stop."""
    fix = remedy.fix
    assert fix is not None
    if not (fix.leaves or fix.breaks):
        return "keeps all rules"
    said = []
    if fix.settles:
        said.append(f"puts {_list(fix.settles)} right")
    if fix.frees:
        said.append(_freed(fix, units))
    if others := [n for n in fix.leaves if n not in fix.frees]:
        plain = bool(fix.settles) and not fix.frees
        stay = "stays" if len(others) == 1 else "stay"
        but = "but " if said else ""
        said.append(f"not {_list(others)}" if plain else f"{but}{_list(others)} {stay} wrong")
    if fix.breaks:
        join = "and" if any(words.startswith("but ") for words in said) else "but"
        said.append(f"{join} {_broken(fix, units)}")
    return ", ".join(said)


def _freed(fix: Fix, units: Units) -> str:
    """'stops the spring touching the radius arm by 0.3 mm'."""
    left = min(fix.gaps[n].low for n in fix.frees)
    named = [f"the {a} touching the {b}" for a, b in fix.frees[:2]]
    more = len(fix.frees) - len(named)
    words = " and ".join(named) + (f" and {more} more" if more else "")
    return f"just stops {words}" if left < _TIGHT else f"stops {words} by {room(left, units)}"


def _broken(fix: Fix, units: Units) -> str:
    """'brings the spring seat too near the radius arm (1.2 mm clear)'."""
    (a, b), more = fix.breaks[0], len(fix.breaks) - 1
    low = fix.gaps[a, b].low
    found = f"({room(low, units)} {'overlap' if low < 0.0 else 'clear'})"
    words = f"brings the {a} {'into' if low < 0.0 else 'too near'} the {b} {found}"
    return words + (f" and {more} more pair{'s' * (more > 1)} too near" if more else "")


def amounts(remedy: Remedy, units: Units = "mm") -> str:
    """What just stops the touching and what keeps the rules, or that no amount keeps them.

    Empty where one amount does both.
    """
    rules, touching = remedy.rules, remedy.touching
    if touching is None or (rules is not None and not touching.amount < rules.amount):
        return ""
    if rules is None:
        return "No amount of it keeps the rule."
    if touching.words and f"{touching.amount:g} mm" not in touching.words:  # named by its marking
        return f"{touching.words.replace('Fit a', 'A', 1)} just stops the touching."
    less = instruction(f"{touching.amount:.3g} mm", units) + measured(remedy)
    more = instruction(f"{rules.amount:.3g} mm", units)
    kept = "all rules" if remedy.fix is not None and remedy.fix.cures_all else "the rule"
    return f"{less} just stops the touching, {more} keeps {kept}."


def instruction(words: str, units: Units = "mm") -> str:
    """An instruction in mm, as sizes are sold; where one works in inches, with these beside."""
    if units == "mm":
        return words
    return _IN_MM.sub(lambda at: f"{at[0]} ({show_plain(float(at[1]), units)})", words)


def measured(remedy: Remedy) -> str:
    """How an amount is measured whose instruction may be two moves at right angles."""
    return " straight from where it is now" if remedy.name in (MOVED, PLATED) else ""


def say_dear(fix: Fix) -> str:
    """Which figures change so much that the fix stands behind others; empty if none does."""
    if not fix.dear:
        return ""
    named = " and ".join(words for words in (", ".join(fix.dear[:-1]), fix.dear[-1]) if words)
    words = f"{named} {'changes' if len(fix.dear) == 1 else 'change'} more than most would accept"
    return f"{words[:1].upper()}{words[1:]}."


def say_spoilt(fix: Fix, units: Units = "mm") -> str:
    """What springs, stops, joints and shafts newly have against it; empty if nothing."""
    said = " ".join(fact_sentence(fact, units).headline for fact in fix.spoils[:2])
    return f"But {said[:1].lower()}{said[1:]}" if said else ""


def say_studs(fix: Fix, units: Units = "mm") -> str:
    """How much thread a spacer leaves the wheel nuts, where the studs' length is known."""
    rim = fix.project.wheel.rim
    if rim.stud_thread is None or rim.spacer == 0.0:
        return ""
    left = rim.stud_thread - rim.spacer
    if left <= 0.0:
        return "No thread is left on the studs: longer ones are needed."
    words = f"{show_plain(left, units)} of thread left on the studs"
    return f"{words}: too little for any." if left < LEAST_THREAD else f"{words}."


def say_work(fix: Fix) -> str:
    """The work it is and what is done again after it, one sentence each."""
    work = WORK[fix.work]
    said = [f"{words[:1].upper()}{words[1:]}." for words in (work, fix.undoes) if words]
    return " ".join(said)


def say_nearest(fix: Fix, units: Units = "mm") -> str:
    """The pair that is nearest to its rule with a fix that cures all; empty with any other."""
    if not fix.cures_all or not fix.gaps:
        return ""
    names, gap = min(fix.gaps.items(), key=lambda item: item[1].left)
    if not math.isfinite(gap.low):
        return ""
    return f"Nearest to its rule then: {_pair(names)}, {room(gap.low, units)}."


def say_closer(fix: Fix, units: Units = "mm") -> str:
    """The clearance that shrinks most among those left tight; empty if none does much."""
    shrunk = [
        (was.low - fix.gaps[n].low, n)
        for n, was in fix.before.items()
        if n in fix.gaps and n not in fix.breaks and math.isfinite(was.low)
        if fix.gaps[n].left < _TIGHTER
    ]
    if not shrunk or max(shrunk)[0] < _CLOSER:
        return ""
    _, (a, b) = max(shrunk)
    was, now = (found[a, b].low for found in (fix.before, fix.gaps))
    if now < 0.0:
        return f"The {a} goes {room(now, units)} into the {b}, {_state(was, units)} now."
    return f"The {a} comes to {room(now, units)} from the {b}, {_state(was, units)} now."


def _state(low: float, units: Units) -> str:
    return f"{room(low, units)} {'into it' if low < 0.0 else 'from it'}"


def _list(pairs: Sequence[Names]) -> str:
    named = [_pair(pair) for pair in pairs[:2]]
    more = len(pairs) - len(named)
    return f"{', '.join(named)} and {more} more" if more else " and ".join(named)


def _pair(pair: Names) -> str:
    return f"{pair[0]} to {pair[1]}"


def say_effects(change: Effects, units: Units = "mm") -> str:
    """What else changes, in one sentence; that the alignment does not, where nothing does."""
    said = []
    for radians, name, places in ((change.camber, "camber", 1), (change.toe, "toe", 2)):
        degrees = math.degrees(radians)
        if abs(degrees) >= 0.5 * 10.0**-places:
            said.append(f"{name} {degrees:+.{places}f}°".replace("-", "\u2212"))
    if not said:
        said.append("camber and toe unchanged")
    for mm, more, less in (
        (change.half_track, "track {} wider on this side", "track {} narrower on this side"),
        (change.wheelbase, "wheel {} farther forward", "wheel {} farther back"),
        (change.bump, "{} more bump", "{} less bump"),
        (change.droop, "{} more droop", "{} less droop"),
        (change.scrub, "scrub radius {} more", "scrub radius {} less"),
        (change.ride, "the car stands {} higher", "the car stands {} lower"),
        (change.radius, "tyre {} taller", "tyre {} lower"),
    ):
        if abs(mm) >= _SEEN:
            said.append((more if mm > 0 else less).format(show(abs(mm), "length", units)))
    if abs(change.rate) >= _RATE:
        word = "stiffer" if change.rate > 0 else "softer"
        rate = show(abs(change.rate), "force_per_length", units)
        said.append(f"wheel rate {rate} {word}")
    words = ", ".join(said)
    return f"{words[:1].upper()}{words[1:]}."
