"""Full droop and full bump of a corner that differs a little from one whose ends are known."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from kinematics.motion import Linkage, move
from kinematics.motion.limits import STOP_MEETS, lengths_met, travel_range
from kinematics.project.model import Coilover
from kinematics.studies.movers import moves_alike
from kinematics.studies.study import Setting

if TYPE_CHECKING:
    from scipy.interpolate import CubicSpline

Array = npt.NDArray[np.float64]

KNOTS = 33
"""Travels at which the damper's length is had before the ends are refined."""
WIDER = 0.3
"""How much farther than the known range is looked, as a share of it."""
CLOSE = 1e-5
"""mm: how near an end has to be found."""


def near_ends(linkage: Linkage, known: Setting) -> tuple[float, float]:
    """The travel range of a changed corner, mm, found from that of the unchanged one.

    As ``travel_range`` gives it to ``CLOSE``, and found by it where the damper alone does not make
    the ends or they have moved far.
    """
    from scipy.interpolate import CubicSpline  # slow to import

    project = linkage.project
    if project.travel is not None:
        return travel_range(linkage)
    coilover = project.coilover
    if coilover is None or project.stops or project.straps or linkage.give:
        return travel_range(linkage)
    if _as_it_was(linkage, known):
        return known.range
    low, high = known.range
    spare = WIDER * (high - low)
    travel = np.linspace(low - spare, high + spare, KNOTS)
    motion = move(linkage, travel, stops=False, prove=False)
    if not motion.reached.all():
        return travel_range(linkage)
    length = CubicSpline(travel, _lengths(motion.point(coilover.foot), motion.point(coilover.top)))
    longest, shortest = lengths_that_stop(coilover)
    found = [
        _crossing(linkage, coilover, length, wanted, side)
        for wanted, side in ((longest, -1), (shortest, 1))
    ]
    if found[0] is None or found[1] is None:
        return travel_range(linkage)
    return found[0], found[1]


def _as_it_was(linkage: Linkage, known: Setting) -> bool:
    """Whether nothing that makes the ends has changed."""
    now, was = linkage.project, known.unfolded
    if now.coilover is None or was.coilover is None or now.travel != was.travel:
        return False
    ends = [(c.foot, c.top) for c in (now.coilover, was.coilover)]
    same = ends[0] == ends[1] and lengths_met(now.coilover) == lengths_met(was.coilover)
    points = (now.coilover.foot.point, now.coilover.top.point)
    return same and all(now.points[p] == was.points[p] for p in points) and moves_alike(now, was)


def lengths_that_stop(coilover: Coilover) -> tuple[float, float]:
    """The longest and the shortest the damper gets, mm."""
    lengths = [length for length, cause, _ in lengths_met(coilover) if cause != STOP_MEETS]
    middle = (coilover.open + coilover.closed) / 2
    return (
        min([coilover.open, *([coilover.droop_strap] if coilover.droop_strap else [])]),
        max(x for x in lengths if x < middle),
    )


def _lengths(foot: Array, top: Array) -> Array:
    return np.asarray(np.linalg.norm(foot - top, axis=-1)).ravel()


def _crossing(
    linkage: Linkage, coilover: Coilover, length: CubicSpline, wanted: float, side: int
) -> float | None:
    """The first travel outward at which the damper is that long, or None if there is none."""
    knots = length.x[np.sign(length.x) != -side]
    knots = knots if side > 0 else knots[::-1]
    passed = side * (wanted - length(knots)) > 0.0
    if not passed.any() or passed[0]:
        return None
    first = int(np.argmax(passed))
    at = float(np.clip(knots[first], min(knots[first - 1 : first + 1]), max(knots)))
    slope = length.derivative()
    for _ in range(3):
        at += (wanted - float(length(at))) / float(slope(at))
    for _ in range(3):
        motion = move(linkage, [at], stops=False, prove=False)
        now = float(_lengths(motion.point(coilover.foot), motion.point(coilover.top))[0])
        if not np.isfinite(now):
            return None
        at = at + (wanted - now) / float(slope(at))
        if abs(wanted - now) < CLOSE / 2:
            return at
    return None
