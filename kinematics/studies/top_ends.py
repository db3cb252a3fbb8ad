"""Full droop and full bump at every place of the top mount.

Where the top only carries the damper, the foot's path does not depend on it: an end of travel is
where the distance from that path to the moved top reaches the length that stops the damper.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from kinematics.motion import move
from kinematics.motion.limits import lengths_met
from kinematics.project.model import Coilover
from kinematics.studies.study import Setting

if TYPE_CHECKING:
    from scipy.interpolate import CubicSpline

Array = npt.NDArray[np.float64]

KNOTS = 1201
"""Travels at which the foot's path is solved: the cubic spline through them is good to 1e-7 mm."""
LOOKS = 161
"""Travels at which a length is first looked for, evenly from set-up height outward."""
ROUNDS = 4
"""Newton steps from there: each doubles the digits."""


def top_ends(setting: Setting, offset: Array, rack: float = 0.0) -> Array:
    """Travels (n, 2) of full droop and full bump with the top moved by (n, 3) mm.

    An end that the damper does not make (the project's own range, links straightened) stays where
    it is. NaN where the damper, open or stopped, can't reach set-up height.
    """
    coilover = setting.unfolded.coilover
    assert coilover is not None
    ends = np.tile(np.array(setting.range), (len(offset), 1))
    if setting.unfolded.travel is not None:
        return ends
    path = _foot_path(setting, coilover, offset, rack)
    top = np.array(setting.unfolded.points[coilover.top.point]) + offset
    still = np.linalg.norm(path(0.0) - top, axis=1)
    met = {cause: length for length, cause, _ in lengths_met(coilover)}
    stands = np.ones(len(offset), dtype=bool)
    for column, end in enumerate((setting.ends.droop, setting.ends.bump)):
        if end is None or end.cause not in met:
            continue
        ends[:, column] = _where(path, top, met[end.cause], 2 * column - 1)
        stands &= (still < met[end.cause]) if column == 0 else (still > met[end.cause])
    ends[~stands] = np.nan
    return ends


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
