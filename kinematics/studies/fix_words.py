"""What a fix takes and what it undoes, in a fabricator's words."""

from __future__ import annotations

import math
from collections.abc import Sequence

from kinematics.findings.phrases import Units, room
from kinematics.findings.statics import fact_sentence
from kinematics.studies.bench import Gap, Names
from kinematics.studies.cure import Work
from kinematics.studies.cures import MOVED, PLATED
from kinematics.studies.effects import Effects
from kinematics.studies.fix import Fix, Remedy

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
_SEEN = 0.05
"""A change of fewer mm or degrees is not spoken of."""
_CLOSER = 1.0
"""A clearance that shrinks by less than this, mm, is not spoken of."""
_RATE = 0.05
"""A change of fewer N/mm is not spoken of."""


def say(remedy: Remedy, units: Units = "mm") -> str:
    """The fix that keeps the rules, else the one that stops the touching, else why there is none.

    Lengths of the instruction itself are mm, as the sizes that are sold.
    """
    fix = remedy.fix
    if fix is None:
        return remedy.why_not
    said = [f"{fix.words}: {outcome(remedy, units)}.", say_effects(fix.effects, units)]
    said += [say_spoilt(fix, units), say_dear(fix), say_studs(fix), least(remedy)]
    return " ".join(part for part in said if part)


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
        left = room(fix.gaps[fix.frees[0]].low, units)
        said.append(f"stops {_list(fix.frees)} touching, with {left} between them")
    others = [n for n in fix.leaves if n not in fix.frees]
    if others:
        said.append(f"not {_list(others)}" if said else f"leaves {_list(others)} as wrong")
    if fix.breaks:
        worst = fix.breaks[0]
        left = room(fix.gaps[worst].low, units)
        state = "overlap" if fix.gaps[worst].low < 0 else "clear"
        said.append(f"brings {_pair(worst)} too near ({left} {state})")
    return ", ".join(said)


def least(remedy: Remedy) -> str:
    """What just stops the touching, where that is less than what keeps the rules."""
    rules, touching = remedy.rules, remedy.touching
    if rules is None or touching is None or not touching.amount < rules.amount:
        return ""
    return f"{touching.amount:.3g} mm{measured(remedy)} just stops the touching."


def measured(remedy: Remedy) -> str:
    """How an amount is measured whose instruction may be two moves at right angles."""
    return ", straight from where it is now" if remedy.name in (MOVED, PLATED) else ""


def say_dear(fix: Fix) -> str:
    """Which figures change so much that the fix stands behind others; empty if none does."""
    if not fix.dear:
        return ""
    named = " and ".join(words for words in (", ".join(fix.dear[:-1]), fix.dear[-1]) if words)
    words = f"{named} {'changes' if len(fix.dear) == 1 else 'change'} more than most would accept"
    return f"{words[:1].upper()}{words[1:]}."


def say_spoilt(fix: Fix, units: Units = "mm") -> str:
    """What springs, stops, joints and shafts newly have against it; empty if nothing."""
    said = [fact_sentence(fact, units).headline for fact in fix.spoils[:2]]
    return f"But: {' '.join(said)}" if said else ""


def say_studs(fix: Fix) -> str:
    """How much thread a spacer leaves the wheel nuts, where the studs' length is known."""
    rim = fix.project.wheel.rim
    if rim.stud_thread is None or rim.spacer == 0.0:
        return ""
    left = rim.stud_thread - rim.spacer
    if left <= 0.0:
        return "No thread is left on the studs: longer ones are needed."
    words = f"{left:g} mm of thread left on the studs"
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
    return f"Nearest to its rule then: {_pair(names)}, {room(gap.low, units)}."


def say_closer(fix: Fix, before: dict[Names, Gap] | None, units: Units = "mm") -> str:
    """The clearance that shrinks most among those it brings closer; empty if none does much."""
    if before is None:
        return ""
    shrunk = [
        (was.low - fix.gaps[n].low, n)
        for n, was in before.items()
        if n in fix.gaps and n not in fix.breaks and math.isfinite(was.low)
        if fix.gaps[n].left < 10.0
    ]
    if not shrunk or max(shrunk)[0] < _CLOSER:
        return ""
    _, names = max(shrunk)
    was, now = (room(g[names].low, units) for g in (before, fix.gaps))
    return f"{_pair(names)[:1].upper()}{_pair(names)[1:]}: {now} left of {was}."


def _list(pairs: Sequence[Names]) -> str:
    named = [_pair(pair) for pair in pairs[:2]]
    more = len(pairs) - len(named)
    return ", ".join(named) + (f" and {more} more" if more else "")


def _pair(pair: Names) -> str:
    return f"{pair[0]} to {pair[1]}"


def say_effects(change: Effects, units: Units = "mm") -> str:
    """What else changes, in one sentence; that the alignment does not, where nothing does."""
    said = []
    for radians, name in ((change.camber, "camber"), (change.toe, "toe")):
        degrees = math.degrees(radians)
        if abs(degrees) >= _SEEN:
            said.append(f"{name} {degrees:+.1f}°".replace("-", "\u2212"))
    if not said:
        said.append("camber and toe unchanged")
    for mm, more, less in (
        (change.half_track, "wheel {} farther out", "wheel {} farther in"),
        (change.wheelbase, "wheel {} farther forward", "wheel {} farther back"),
        (change.bump, "{} more bump", "{} less bump"),
        (change.droop, "{} more droop", "{} less droop"),
        (change.scrub, "scrub radius {} more", "scrub radius {} less"),
        (change.ride, "the car stands {} higher", "the car stands {} lower"),
        (change.radius, "tyre {} taller", "tyre {} lower"),
    ):
        if abs(mm) >= _SEEN:
            said.append((more if mm > 0 else less).format(room(abs(mm) + 0.05, units)))
    if abs(change.rate) >= _RATE:
        word = "stiffer" if change.rate > 0 else "softer"
        said.append(f"wheel rate {abs(change.rate):.1f} N/mm {word}")
    words = ", ".join(said)
    return f"{words[:1].upper()}{words[1:]}."
