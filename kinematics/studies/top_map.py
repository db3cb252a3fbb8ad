"""The map of top-mount positions: where the top can go, and what stops it everywhere else.

    plan = top_map(set_up(project), across=np.linspace(-30, 30, 41), along=np.linspace(-30, 30, 41))

At every position the corner goes through its own travel there, from full droop to full bump, at
the travels of `travels` that lie within and at both ends. Most pairs and travels can't decide a
position's worst, and are not looked at: moving the mount by d moves no point of coilover or tower
by more than ``reach`` times d, so a figure taken at the middle of a tile bounds all of the tile.
Tiles are divided until each is one position; what is left is computed in full.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from kinematics.motion import move
from kinematics.studies.sliding import Sliding, goes_along
from kinematics.studies.study import Setting, through_nought
from kinematics.studies.top_ends import top_ends
from kinematics.studies.top_hunt import hunt

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.intp]

TRAVELS = 41
"""Travels looked at, besides both ends of every position's own travel."""


@dataclass(frozen=True, eq=False)
class TopMap:
    """What is worst at every position of the top mount, (ny, nx) each.

    across (nx,) : y offsets and along (ny,) : x offsets of the mount from where it is, mm, in car
    coordinates; height : the z offset. clearance : the lowest of any pair the move changes, a
    certified lower bound. margin : the lowest clearance less its rule. ``*_pair`` number the pair
    in the setting's pairs (-1: none), ``*_travel`` say where in the travel, mm. droop, bump : the
    ends of travel there, mm. NaN where the damper can't stand at set-up height. travels : those
    looked at where they lie between droop and bump, besides these two, mm.
    """

    across: Array
    along: Array
    height: float
    clearance: Array
    clearance_pair: Ints
    clearance_travel: Array
    margin: Array
    margin_pair: Ints
    margin_travel: Array
    droop: Array
    bump: Array
    travels: Array

    @property
    def best(self) -> tuple[int, int]:
        """The position (row, column) with the largest margin."""
        row, column = np.unravel_index(int(np.nanargmax(self.margin)), self.margin.shape)
        return int(row), int(column)


def top_map(
    setting: Setting,
    across: npt.ArrayLike,
    along: npt.ArrayLike,
    height: float = 0.0,
    with_tower: bool | None = None,
    rack: float = 0.0,
    travels: int = TRAVELS,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> TopMap:
    """Work out the worst of every mount position on a grid of y offsets by x offsets, mm.

    with_tower : whether the tower goes along; None as the tower itself says. rack : the rack
    position looked at, mm. Raises ClearstrokeError for a corner without a coilover or one whose
    mount moves the wheel; Cancelled.
    """
    x, y = np.asarray(along, float), np.asarray(across, float)
    shape = (len(x), len(y))
    offset = np.empty((*shape, 3))
    offset[..., 0], offset[..., 1], offset[..., 2] = x[:, None], y[None, :], height
    flat = offset.reshape(-1, 3)
    ends = top_ends(setting, flat, rack)
    low, high = setting.range if np.isnan(ends).all() else (np.nanmin(ends), np.nanmax(ends))
    common = through_nought(low, high, travels)
    own = np.where(np.isnan(ends), 0.0, ends)
    motion = move(setting.linkage, np.concatenate([common, own.ravel()]), [rack], stops=False)
    sliding = Sliding(setting, motion, goes_along(setting.unfolded, with_tower))
    lowest, tightest = hunt(sliding, common, ends, flat, shape, progress, cancelled)
    return TopMap(
        across=y,
        along=x,
        height=height,
        clearance=lowest.value.reshape(shape),
        clearance_pair=lowest.pair.reshape(shape),
        clearance_travel=lowest.travel.reshape(shape),
        margin=tightest.value.reshape(shape),
        margin_pair=tightest.pair.reshape(shape),
        margin_travel=tightest.travel.reshape(shape),
        droop=ends[:, 0].reshape(shape),
        bump=ends[:, 1].reshape(shape),
        travels=common,
    )
