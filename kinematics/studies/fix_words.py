"""What a fix takes and what it undoes, in a fabricator's words."""

from __future__ import annotations

import math
from collections.abc import Sequence

from kinematics.findings.phrases import Units, room
from kinematics.studies.cures import Work
from kinematics.studies.effects import Effects
from kinematics.studies.fixes import Fix, Names, Remedy

WORK = {
    Work.ADJUSTED: "adjusted where it is",
    Work.BOLTED: "bolted on",
    Work.CUT: "cut and welded",
    Work.REMADE: "made again",
}
"""How much work a fix is."""

_SEEN = 0.05
"""A change of fewer mm or degrees is not spoken of."""


def say(remedy: Remedy, units: Units = "mm") -> str:
    """The fix that keeps the rules, else the one that stops the touching, else why there is none.

    Lengths of the instruction itself are mm, as the sizes that are sold.
    """
    fix = remedy.rules or remedy.touching
    if fix is None:
        return remedy.why_not
    parts = [f"{fix.words}: {_outcome(fix, remedy, units)}."]
    if (side := say_effects(fix.effects, units)) != "":
        parts.append(side)
    if (
        remedy.rules is not None
        and remedy.touching is not None
        and (remedy.touching.amount < remedy.rules.amount)
    ):
        parts.append(f"{remedy.touching.amount:.3g} mm just stops the touching.")
    return " ".join(parts)


def _outcome(fix: Fix, remedy: Remedy, units: Units) -> str:
    if fix.cures_all:
        return "keeps all rules"
    said = []
    if fix.settles:
        said.append(f"settles {_list(fix.settles)}")
    elif remedy.rules is None:
        said.append("stops some of the touching")
    if fix.leaves:
        said.append(f"leaves {_list(fix.leaves)} as wrong")
    if fix.breaks:
        worst = fix.breaks[0]
        left = fix.gaps[worst].low
        state = f"{room(left, units)} {'overlap' if left < 0 else 'clear'}"
        said.append(f"brings {_pair(worst)} too near ({state})")
    return "; ".join(said)


def _list(pairs: Sequence[Names]) -> str:
    named = [_pair(pair) for pair in pairs[:2]]
    more = len(pairs) - len(named)
    return ", ".join(named) + (f" and {more} more" if more else "")


def _pair(pair: Names) -> str:
    return f"{pair[0]} to {pair[1]}"


def say_effects(change: Effects, units: Units = "mm") -> str:
    """What else changes, in one sentence; empty where nothing does that can be seen."""
    said = []
    for radians, name in ((change.camber, "camber"), (change.toe, "toe")):
        degrees = math.degrees(radians)
        if abs(degrees) >= _SEEN:
            said.append(f"{name} {degrees:+.1f}°".replace("-", "\u2212"))
    for mm, more, less in (
        (change.half_track, "wheel {} farther out", "wheel {} farther in"),
        (change.bump, "{} more bump", "{} less bump"),
        (change.droop, "{} more droop", "{} less droop"),
        (change.scrub, "scrub radius {} more", "scrub radius {} less"),
    ):
        if abs(mm) >= _SEEN:
            said.append((more if mm > 0 else less).format(room(abs(mm) + 0.05, units)))
    return f"Changes: {', '.join(said)}." if said else ""
