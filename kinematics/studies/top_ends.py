"""Full droop and full bump at every place of the top mount.

Where the top only carries the damper, the foot's path does not depend on it: an end of travel is
where the distance from that path to the moved top reaches the length that stops the damper, or
where something beside the damper stops the wheel, whichever comes first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import msgspec
import numpy as np
import numpy.typing as npt

from kinematics.motion import corner, move
from kinematics.motion.joint_limits import hard_points
from kinematics.motion.limits import STOP_MEETS, lengths_met, travel_range
from kinematics.project.model import Coilover
from kinematics.studies.near_ends import lengths_that_stop
from kinematics.studies.place_limits import ROUNDING, Stands
from kinematics.studies.study import Setting

if TYPE_CHECKING:
    from scipy.interpolate import CubicSpline

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

KNOTS = 1201
"""Travels at which the foot's path is solved: the cubic spline through them is good to 1e-7 mm."""
LOOKS = 81
"""Travels at which a length is first looked for, evenly from set-up height outward."""
ROUNDS = 4
"""Newton steps from there: each doubles the digits."""


@dataclass(frozen=True, eq=False)
class TopEnds:
    """The ends of travel at every place, (n, 2), mm, NaN where it can't stand; `Stands` (n,).

    damper : its length at set-up height; meets : the travel at which its bump stop meets, NaN for
    none; (n,) mm.
    """

    ends: Array
    stands: Ints
    damper: Array
    meets: Array


def top_ends(setting: Setting, offset: Array, rack: float = 0.0) -> TopEnds:
    """Travels of full droop and full bump with the top moved by (n, 3) mm.

    An end that the damper does not make (the project's own range, links straightened) stays where
    it is.
    """
    coilover = setting.unfolded.coilover
    assert coilover is not None
    path = _foot_path(setting, coilover, offset, rack)
    top = np.array(setting.unfolded.points[coilover.top.point]) + offset
    still = np.linalg.norm(path(0.0) - top, axis=1)
    longest, shortest = lengths_that_stop(coilover)
    asked = setting.unfolded.travel is not None
    ends = np.tile(np.array(setting.range), (len(offset), 1))
    if not asked:
        ends = other_ends(setting, len(offset))
        ends[:, 0] = np.fmax(ends[:, 0], _where(path, top, longest, -1))
        ends[:, 1] = np.fmin(ends[:, 1], _where(path, top, shortest, 1))
    stands = standing(still, (longest, shortest))
    ends[stands != Stands.YES] = np.nan
    met = [at for at, cause, _ in lengths_met(coilover) if cause == STOP_MEETS]
    meets = _where(path, top, met[0], 1) if met else np.full(len(offset), np.nan)
    if met:
        meets[(still <= met[0]) | (stands != Stands.YES) | (meets >= path.x[-1])] = np.nan
    return TopEnds(ends, stands, still, meets)


def standing(still: Array, span: tuple[float, float]) -> Ints:
    """`Stands` of coilovers that would be so long at set-up height, (n,) mm."""
    longest, shortest = span
    stands = np.full(still.shape, int(Stands.YES))
    stands[still > longest - ROUNDING] = Stands.PULLED_OUT
    stands[still < shortest + ROUNDING] = Stands.SHUT
    return stands


def other_ends(setting: Setting, count: int) -> Array:
    """The ends of travel that something beside the damper makes, (count, 2), infinite for none."""
    project, low, high = setting.unfolded, -np.inf, np.inf
    coilover = project.coilover
    assert coilover is not None
    made = {cause for _, cause, _ in lengths_met(coilover)}
    droop, bump = setting.ends.droop, setting.ends.bump
    if project.stops or project.straps or hard_points(project):
        free = msgspec.structs.replace(
            coilover, open=1e4, closed=1.0, bump_stop=None, droop_strap=None, droop_stop=None
        )
        low, high = travel_range(corner(msgspec.structs.replace(project, coilover=free)))
    if droop is None or droop.cause not in made:
        low = setting.range[0]
    if bump is None or bump.cause not in made:
        high = setting.range[1]
    return np.tile([low, high], (count, 1))


def _foot_path(setting: Setting, coilover: Coilover, offset: Array, rack: float) -> CubicSpline:
    """The foot's place by travel, wide enough for every offset, as far as the links reach."""
    from scipy.interpolate import CubicSpline  # slow to import

    spare = 3.0 * float(np.max(np.linalg.norm(offset, axis=1), initial=1.0))
    low, high = setting.range
    travel = np.linspace(min(low, 0.0) - spare, max(high, 0.0) + spare, KNOTS)
    motion = move(setting.linkage, travel, [rack], stops=False)
    real = motion.reached[:, 0]
    return CubicSpline(travel[real], motion.point(coilover.foot)[real, 0])


def _where(path: CubicSpline, top: Array, length: float, side: int) -> Array:
    """First travel (n,) from set-up height outward at which the damper is that long, mm."""
    far = path.x[0] if side < 0 else path.x[-1]
    travel = np.linspace(0.0, far, LOOKS)
    foot = path(travel)
    square = np.sum(foot**2, axis=1)[:, None] + np.sum(top**2, axis=1) - 2.0 * foot @ top.T
    past = side * (length**2 - square) > 0.0
    first = np.argmax(past, axis=0)
    found = np.where(past.any(axis=0), travel[first], far)
    speed = path.derivative()
    for _ in range(ROUNDS):
        way = path(found) - top
        now = np.linalg.norm(way, axis=1)
        rate = np.einsum("ni,ni->n", way, speed(found)) / now
        found = np.clip(found + (length - now) / rate, path.x[0], path.x[-1])
    return np.asarray(found)
