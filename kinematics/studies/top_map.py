"""The map of top-mount positions: where the top can go, and what stops it everywhere else.

    plan = top_map(set_up(project), across=np.linspace(-30, 30, 41), along=np.linspace(-30, 30, 41))

At every position the corner goes through its own travel there, from full droop to full bump, at
the travels of `travels` that lie within and at both ends, at each rack position asked for. Between
these nothing is looked at: what a position promises is checked in full by the study.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from kinematics.clearance.grid import Grid, Worst
from kinematics.motion import corner, move
from kinematics.project.mount import slot_range
from kinematics.studies.asking import go_on
from kinematics.studies.place_found import Seen, limits_of
from kinematics.studies.place_worst import worst_sliding
from kinematics.studies.plan import TopMap, worse
from kinematics.studies.ranges import through_nought
from kinematics.studies.sliding import Sliding, goes_along, steers_the_wheel
from kinematics.studies.strut_places import (
    StrutPlaces,
    solved,
    strut_ends,
    strut_motion,
)
from kinematics.studies.study import Setting
from kinematics.studies.top_ends import top_ends

__all__ = ["TopMap", "slot_map", "slots_of", "top_map"]

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]
Range = tuple[float, float]

TRAVELS = 41
"""Travels looked at, besides both ends of every position's own travel."""
IN_SLOTS = 21
"""Places looked at along a slot, at least."""


def top_map(
    setting: Setting,
    across: npt.ArrayLike,
    along: npt.ArrayLike,
    height: float = 0.0,
    with_tower: bool | None = None,
    rack: npt.ArrayLike = 0.0,
    travels: int = TRAVELS,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
    threads: int | None = None,
) -> TopMap:
    """Work out the worst of every mount position on a grid of y offsets by x offsets, mm.

    with_tower : whether the tower goes along; None as the tower itself says. rack : the rack
    position looked at, or several, mm: camber and toe are those of the straightest. threads : as
    many as there are processors unless said.
    Raises ClearstrokeError for a corner without a coilover; Cancelled. Where the mount holds the
    wheel, as a strut's does, every place has its own motion, at the unmoved corner's heights.
    """
    setting = _afresh(setting)
    x, y = np.asarray(along, float), np.asarray(across, float)
    offset = np.empty((len(x), len(y), 3))
    offset[..., 0], offset[..., 1], offset[..., 2] = x[:, None], y[None, :], height
    racks = np.atleast_1d(np.asarray(rack, float))
    racks = racks[np.argsort(np.abs(racks), kind="stable")]  # set-up figures are the first's
    whole: TopMap | None = None
    for n, at in enumerate(racks.tolist()):

        def report(share: float, n: int = n) -> None:
            if progress is not None:
                progress((n + share) / len(racks))

        one = _at_rack(setting, offset, at, goes_along(setting.unfolded, with_tower), travels,
                       report, cancelled, threads)  # fmt: skip
        whole = one if whole is None else worse(whole, one)
    assert whole is not None
    return whole


def slot_map(
    setting: Setting,
    rack: npt.ArrayLike = 0.0,
    step: float = 2.0,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> TopMap | None:
    """The map of the places that the plate's slots reach, the tower staying; None without slots.

    Its edges are the slots' ends and the mount's own place is not always on it. step : farthest
    from one place to the next, mm, where a slot is long enough for more than `IN_SLOTS`.
    Raises as `top_map`.
    """
    slots = slots_of(setting)
    if slots is None or all(least == most for least, most in slots):
        return None
    along, across = (
        np.linspace(*span, max(IN_SLOTS, int(np.ceil((span[1] - span[0]) / step)) + 1))
        if span[1] > span[0]
        else np.array([span[0]])
        for span in slots
    )
    return top_map(setting, across, along, with_tower=False, rack=rack, progress=progress,
                   cancelled=cancelled)  # fmt: skip


def slots_of(setting: Setting) -> tuple[Range, Range] | None:
    """How far the top can be shifted in its slots, (least, most) of x and of y in car coordinates.

    mm from where it is; None for a mount without a plate.
    """
    reach = slot_range(setting.unfolded.top_mount)
    if reach is None:
        return None
    fore, (outboard, inboard) = reach
    if setting.project.side == "left":  # y is outboard there
        return fore, (-inboard, -outboard)
    return fore, (outboard, inboard)


def _afresh(setting: Setting) -> Setting:
    """The setting with its corner assembled anew, so that a map is the same whenever it is made.

    A corner remembers how far it was followed, and poses found from there differ by some 1e-12 mm
    from those found from set-up height. That is enough for a search that may end anywhere within
    its tolerance to end elsewhere in it: figures up to 0.015 mm apart, each of them certified.
    """
    return replace(setting, linkage=corner(setting.unfolded))


def _at_rack(
    setting: Setting,
    offset: Array,
    rack: float,
    with_tower: bool,
    travels: int,
    progress: Callable[[float], None],
    cancelled: Callable[[], bool] | None,
    threads: int | None,
) -> TopMap:
    """The map at one rack position; offset (nx, ny, 3)."""
    shape, flat = (offset.shape[0], offset.shape[1]), offset.reshape(-1, 3)
    strut = steers_the_wheel(setting.unfolded)
    found = solved(setting, flat, rack, cancelled) if strut else None
    go_on(cancelled)
    met = top_ends(setting, flat, rack) if found is None else strut_ends(setting, found, flat)
    ends = met.ends
    low, high = setting.range if np.isnan(ends).all() else (np.nanmin(ends), np.nanmax(ends))
    common = through_nought(low, high, travels)
    own = np.where(np.isnan(ends), 0.0, ends)
    if found is None:
        motion = move(setting.linkage, np.concatenate([common, own.ravel()]), [rack], stops=False)
        sliding = Sliding(setting, motion, with_tower)
    else:
        motion = strut_motion(setting, found, common, own, flat, cancelled)
        sliding = StrutPlaces(setting, motion, with_tower)
    go_on(cancelled)
    rows, valid = _samples(common, ends)
    grid = Grid(shape, rows, valid, np.ascontiguousarray(flat))
    worst = worst_sliding(sliding, grid, progress, cancelled, threads)
    lowest, tightest = (_named(one, sliding.affected, common, ends, shape) for one in worst)
    turned = [np.where(pair < 0, np.nan, rack) for _, pair, _ in (lowest, tightest)]
    go_on(cancelled)
    seen = Seen(motion, rows, valid, common, flat, rack)
    return TopMap(
        offset[0, :, 1].copy(), offset[:, 0, 0].copy(), float(offset[0, 0, 2]), *lowest, *tightest,
        ends[:, 0].reshape(shape), ends[:, 1].reshape(shape), common, turned[0], turned[1],
        limits_of(setting, met, seen, found).shaped(shape), with_tower, slots_of(setting),
    )  # fmt: skip


def _samples(common: Array, ends: Array) -> tuple[Ints, Bools]:
    """The motion's row of every position's samples, and which of these count there, (n, m + 2).

    The common travels first, then full droop and full bump; the motion has the common ones and
    then these two of every position in turn.
    """
    n, m = len(ends), len(common)
    rows = np.empty((n, m + 2), np.int64)
    rows[:, :m] = np.arange(m)
    rows[:, m:] = m + np.arange(2 * n).reshape(n, 2)
    valid = np.repeat(~np.isnan(ends[:, :1]), m + 2, axis=1)
    valid[:, :m] &= (common >= ends[:, :1]) & (common <= ends[:, 1:])
    return rows, valid


def _named(
    worst: Worst, affected: Ints, common: Array, ends: Array, shape: tuple[int, int]
) -> tuple[Array, Ints, Array]:
    """Figure, number of the pair and travel of every position."""
    none = worst.pair < 0
    pair = np.where(none, -1, affected[worst.pair.clip(min=0)])
    travel = np.column_stack([np.broadcast_to(common, (len(ends), len(common))), ends])
    at = np.take_along_axis(travel, worst.sample.clip(min=0)[:, None], axis=1)[:, 0]
    at = np.where(none, np.nan, at)
    return worst.value.reshape(shape), pair.reshape(shape), at.reshape(shape)
