"""What a fix comes to once it has been tried: a fix, and a remedy of one or two of them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from kinematics.project.model import Project
from kinematics.statics.fact import Fact
from kinematics.studies.bench import Gaps, Names
from kinematics.studies.cure import Work
from kinematics.studies.effects import Effects

DEAR_CAMBER, DEAR_TOE = math.radians(0.75), math.radians(0.25)
"""rad: changes of set-up camber and toe that a builder would have to undo (a habit, no source)."""
DEAR_TRAVEL, DEAR_TRACK, DEAR_RIDE = 15.0, 20.0, 10.0
"""mm: travel lost, wheel moved in or out, ride height changed, likewise."""


@dataclass(frozen=True, eq=False)
class Amount:
    """So much of a fix: exact, before rounding up, and as it is had, mm; the corner with it.

    words : the instruction for so much of it, where there is one.
    """

    exact: float
    amount: float
    project: Project
    words: str = ""


@dataclass(frozen=True, eq=False)
class Fix:
    """A fix by an amount that was checked with every pair.

    words : the instruction. undoes : what is done again after it. project : the corner with it.
    settles : the troubles it puts right; frees : those it only stops touching; leaves : those
    that are wrong still, the freed among them; breaks : pairs it newly brings under their rule;
    spoils : what springs, stops, joints and shafts newly have against it. before, gaps : every
    pair's lowest clearance without and with it.
    """

    name: str
    words: str
    work: Work
    caution: str
    undoes: str
    amount: float
    project: Project
    settles: tuple[Names, ...]
    frees: tuple[Names, ...]
    leaves: tuple[Names, ...]
    breaks: tuple[Names, ...]
    spoils: tuple[Fact, ...]
    before: Gaps
    gaps: Gaps
    effects: Effects

    @property
    def cures_all(self) -> bool:
        """Whether nothing is wrong with it any more, and nothing new is."""
        return not (self.leaves or self.breaks or self.spoils)

    @property
    def dear(self) -> tuple[str, ...]:
        """The figures of the corner that it changes by more than a builder likes."""
        change = self.effects
        changed = {
            "camber": abs(change.camber) > DEAR_CAMBER,
            "toe": abs(change.toe) > DEAR_TOE,
            "travel": max(-change.bump, -change.droop) > DEAR_TRAVEL,
            "track": abs(change.half_track) > DEAR_TRACK,
            "ride height": abs(change.ride) > DEAR_RIDE,
        }
        return tuple(name for name, much in changed.items() if much)


@dataclass(frozen=True, eq=False)
class Remedy:
    """One kind of fix for a corner's troubles: what it takes, or why it can't.

    touching : what just stops the touching of what it can reach. rules : what keeps all their
    rules. fix : the latter, or else the former, checked in full. why_not : a sentence where there
    is none. count : of how many fixes it is made.
    """

    name: str
    fix: Fix | None
    touching: Amount | None
    rules: Amount | None
    why_not: str = ""
    count: int = 1

    @property
    def rank(self) -> tuple[int, int, int, int, int, float]:
        """Whole cures first, one before two; then less left and spoilt; then less work."""
        fix = self.fix
        if fix is None:
            return 3, 0, 0, 0, 0, 0.0
        dear = len(fix.dear)
        spoilt = len(fix.breaks) + len(fix.spoils) + dear
        place = int(not fix.cures_all) + int(dear > 0)
        return place, self.count, spoilt, len(fix.leaves), fix.work, fix.amount
