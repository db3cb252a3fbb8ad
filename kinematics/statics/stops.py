"""Which stop acts, in which order, at which wheel travel, and what is left.

Full bump is where the first thing going up will go no farther: a bump stop at its solid length
(or the squash chosen as full bump), the damper shut, the spring coil-bound, a stop beside the
damper. Full droop likewise: the damper open or a strap taut.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from kinematics.statics.course import Course
from kinematics.statics.curves import Floats
from kinematics.statics.elements import Element

Side = Literal["bump", "droop"]


@dataclass(frozen=True)
class Act:
    """One thing that begins to act, or stops the wheel, going outward from set-up height.

    name : the element. side : going which way. ends : True where it goes no farther, False where
    it first touches. travel : wheel travel (mm). already : it holds at set-up height.
    """

    name: str
    side: Side
    ends: bool
    travel: float
    already: bool = False


@dataclass(frozen=True)
class Stops:
    """Every act on either side, nearest set-up height first."""

    bump: tuple[Act, ...]
    droop: tuple[Act, ...]

    def first(self, side: Side) -> Act | None:
        """The stop that touches first; hard ones touch where they end."""
        acts = self.bump if side == "bump" else self.droop
        return acts[0] if acts else None

    def end(self, side: Side) -> Act | None:
        """What ends the travel on that side, None if nothing does within the range looked at."""
        acts = self.bump if side == "bump" else self.droop
        return next((act for act in acts if act.ends), None)


def acting(elements: Sequence[Element], course: Course) -> Stops:
    """When each stop touches and ends, by root-finding on the true motion.

    The order of ``elements`` does not matter. A spring counts where it is coil-bound, not where
    it is merely loaded.
    """
    acts: list[Act] = []
    for i, element in enumerate(elements):
        levels = [] if element.kind == "spring" else [(element.meets, element.kind == "hard")]
        if np.isfinite(element.ends_at) and element.kind != "hard":
            levels.append((element.ends_at, True))
        for level, ends in levels:
            acts += _outward(element, i, level, ends, course)
    order = sorted(acts, key=lambda act: (abs(act.travel), act.ends, act.name))
    return Stops(
        bump=tuple(act for act in order if act.side == "bump"),
        droop=tuple(act for act in order if act.side == "droop"),
    )


def _outward(element: Element, i: int, level: float, ends: bool, course: Course) -> list[Act]:
    def beyond(travel: Floats) -> Floats:
        return np.asarray(element.way * (level - course.lines(travel)[0][i]))

    start = beyond(np.array([0.0]))[0]
    if start >= 0.0:
        return [Act(element.name, _side(element, i, course), ends, 0.0, already=True)]
    roots = course.crossings(beyond, element.way * (level - course.lengths[i]))
    up = next((z for z in roots if z > 0.0), None)
    down = next((z for z in reversed(roots) if z < 0.0), None)
    found: list[Act] = []
    if up is not None:
        found.append(Act(element.name, "bump", ends, up))
    if down is not None:
        found.append(Act(element.name, "droop", ends, down))
    return found


def _side(element: Element, i: int, course: Course) -> Side:
    """The side on which it acts harder."""
    rising = element.way * -course.lines(np.array([0.0]))[1][i, 0] > 0.0
    return "bump" if rising else "droop"


def left(elements: Sequence[Element], lengths: Floats) -> dict[str, Floats]:
    """Room (mm) before each stop goes no farther, at element lengths (elements, ...).

    Negative past it; things that always give are left out.
    """
    return {
        element.name: element.way * (length - element.ends_at)
        for element, length in zip(elements, lengths, strict=True)
        if np.isfinite(element.ends_at)
    }
