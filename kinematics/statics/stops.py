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

from kinematics.motion.joint_limits import hard_points, past_limits
from kinematics.motion.limits import Limit, limits
from kinematics.motion.linkage import Linkage
from kinematics.motion.roots import roots_together
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


@dataclass(frozen=True)
class _Level:
    """A length of one element at which something happens."""

    element: Element
    row: int
    length: float
    ends: bool

    def beyond(self, lengths: Floats) -> Floats:
        """How far past it the element is, at lengths (elements, ...)."""
        return np.asarray(self.element.way * (self.length - lengths[self.row]))


def acting(elements: Sequence[Element], course: Course) -> Stops:
    """When each stop touches and ends, by root-finding on the true motion.

    The order of ``elements`` does not matter. A spring counts where it is coil-bound, not where
    it is merely loaded.
    """
    acts: list[Act] = []
    brackets: list[tuple[_Level, Side, int]] = []
    lengths, slopes = course.lines(np.zeros(1))
    for level in _levels(elements):
        name = level.element.name
        if level.beyond(lengths)[0] >= 0.0:
            harder = level.element.way * slopes[level.row, 0] < 0.0
            side: Side = "bump" if harder else "droop"
            acts.append(Act(name, side, level.ends, 0.0, already=True))
        else:
            brackets += _outward(level, course)
    for (level, side, _), travel in zip(brackets, _close_in(brackets, course), strict=True):
        if np.isfinite(travel):
            acts.append(Act(level.element.name, side, level.ends, travel))
    order = sorted(acts, key=lambda act: (abs(act.travel), act.ends, act.name))
    return Stops(
        bump=tuple(act for act in order if act.side == "bump"),
        droop=tuple(act for act in order if act.side == "droop"),
    )


def with_joints(stops: Stops, linkage: Linkage) -> Stops:
    """The same, with the joints whose own limit ends the travel (``ends_travel``), if any do."""
    project = linkage.project
    if not hard_points(project):
        return stops
    causes = past_limits(linkage, linkage.rotation, linkage.position)
    found = limits(linkage)
    sides: tuple[tuple[Side, Sequence[Limit], tuple[Act, ...]], ...] = (
        ("bump", found.bump, stops.bump),
        ("droop", found.droop, stops.droop),
    )
    out = []
    for side, met, acts in sides:
        joints = [Act(_joint(x.cause), side, True, x.travel) for x in met if x.cause in causes]
        out.append(tuple(sorted((*acts, *joints), key=lambda act: (abs(act.travel), act.ends))))
    return Stops(*out)


def _joint(cause: str) -> str:
    """'joint at lower ball joint' of "the joint at 'lower ball joint' is at its angle limit"."""
    return cause.removeprefix("the ").split(" is at ")[0].replace("'", "")


def _levels(elements: Sequence[Element]) -> list[_Level]:
    found = []
    for row, element in enumerate(elements):
        if element.kind != "spring":
            found.append(_Level(element, row, element.meets, element.kind == "hard"))
        if element.kind != "hard" and np.isfinite(element.ends_at):
            found.append(_Level(element, row, element.ends_at, True))
    return found


def _outward(level: _Level, course: Course) -> list[tuple[_Level, Side, int]]:
    """The first interval of the course, on either side of set-up height, in which it passes."""
    z, beyond = course.travel, level.beyond(course.lengths)
    passes = np.flatnonzero((beyond[:-1] < 0.0) != (beyond[1:] < 0.0))
    passes = passes[np.isfinite(beyond[passes]) & np.isfinite(beyond[passes + 1])]
    up, down = passes[z[passes + 1] > 0.0], passes[z[passes] < 0.0]
    found: list[tuple[_Level, Side, int]] = []
    if len(up):
        found.append((level, "bump", int(up[0])))
    if len(down):
        found.append((level, "droop", int(down[-1])))
    return found


def _close_in(brackets: Sequence[tuple[_Level, Side, int]], course: Course) -> list[float]:
    """The travels at which all those levels are passed, found together."""
    if not brackets:
        return []
    at = np.array([i for _, _, i in brackets])
    levels = [level for level, _, _ in brackets]

    def beyond(travel: Floats) -> Floats:
        lengths = course.lines(travel)[0]
        return np.array([level.beyond(lengths)[k] for k, level in enumerate(levels)])

    sampled = np.stack([level.beyond(course.lengths) for level in levels])
    k = np.arange(len(levels))
    roots = roots_together(
        beyond, course.travel[at], course.travel[at + 1], sampled[k, at], sampled[k, at + 1]
    )
    return [float(root) for root in roots]


def left(elements: Sequence[Element], lengths: Floats) -> dict[str, Floats]:
    """Room (mm) before each stop goes no farther, at element lengths (elements, ...).

    Negative past it; things that always give are left out.
    """
    return {
        element.name: element.way * (length - element.ends_at)
        for element, length in zip(elements, lengths, strict=True)
        if np.isfinite(element.ends_at)
    }
