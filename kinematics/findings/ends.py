"""The ends of the travel: where, what they are called, and what was asked for past them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from kinematics.findings.finding import Finding
from kinematics.motion import Motion
from kinematics.motion.limits import STOP_MEETS, STOP_SOLID, Limit, Limits

Array = npt.NDArray[np.float64]
SAME = 1e-3  # mm of travel: nearer than this it is the same position

FULL_BUMP, FULL_DROOP, SET_UP = "full bump", "full droop", "set-up height"


@dataclass(frozen=True)
class Ends:
    """Full droop and full bump with what causes them, straight ahead; None where nothing does."""

    droop: Limit | None
    bump: Limit | None
    stop_meets: float | None

    def place(self, travel: float) -> str:
        """What the position is called, empty if it has no name."""
        for at, name in self.marks:
            if abs(travel - at) < SAME and name != "bump stop":
                return name
        return ""

    @property
    def marks(self) -> tuple[tuple[float, str], ...]:
        """The named travels, mm, from the top down."""
        named = [(self.bump.travel, FULL_BUMP)] if self.bump else []
        named += [(self.stop_meets, "bump stop")] if self.stop_meets is not None else []
        named += [(0.0, SET_UP)]
        named += [(self.droop.travel, FULL_DROOP)] if self.droop else []
        return tuple(named)


def ends_of(limits: Limits) -> Ends:
    """The ends from all the limits met: the first thing that stops the wheel, on either side."""
    meets = next((x.travel for x in limits.bump if x.cause == STOP_MEETS), None)
    bump = next((x for x in limits.bump if x.ends or x.cause == STOP_SOLID), None)
    return Ends(next((x for x in limits.droop if x.ends), None), bump, meets)


def end_findings(ends: Ends, travel: Array) -> list[Finding]:
    """What stops the wheel at either end, where the travel looked at goes as far."""
    found = []
    for end, place in ((ends.bump, FULL_BUMP), (ends.droop, FULL_DROOP)):
        if end is not None and travel[0] - SAME <= end.travel <= travel[-1] + SAME:
            cause = "the bump stop is solid" if end.cause == STOP_SOLID else end.cause
            found.append(
                Finding("end", (), end.travel, 0.0, 0.0, place=place, reason=_sentence(cause))
            )
    return found


def unreached_findings(motion: Motion, asked: bool) -> list[Finding]:
    """Travel that was asked for and can't be reached: the farthest on either side.

    Where nobody asked for the travel, only rack positions at which nothing is reached count.
    """
    found = []
    for side in (1.0, -1.0):
        outward = np.atleast_1d(side * motion.travel > 0.0)
        missing = ~motion.reached & outward[:, None]
        if not asked:
            missing &= ~np.atleast_1d(motion.reached.any(axis=0))[None, :]
        if missing.any():
            i, j = _farthest(missing, motion.travel, motion.rack)
            found.append(_unreached(motion, i, j))
    here = np.atleast_1d(motion.travel == 0.0)
    at_setup = ~motion.reached & here[:, None]
    if at_setup.any() and not found:
        i, j = _farthest(at_setup, motion.travel, motion.rack)
        found.append(_unreached(motion, i, j))
    return found


def _farthest(missing: npt.NDArray[np.bool_], travel: Array, rack: Array) -> tuple[int, int]:
    """The missing position with most travel, and of those the one with least rack."""
    places = np.argwhere(missing)
    best = max(places.tolist(), key=lambda at: (abs(travel[at[0]]), -abs(rack[at[1]])))
    return int(best[0]), int(best[1])


def _unreached(motion: Motion, i: int, j: int) -> Finding:
    last = motion.last(i, j)
    return Finding(
        "unreachable",
        (),
        float(motion.travel[i]),
        float(motion.rack[j]),
        math.nan if last is None else float(motion.travel[last]),
        reason=motion.reason(i, j),
    )


def _sentence(cause: str) -> str:
    return cause[:1].upper() + cause[1:]
