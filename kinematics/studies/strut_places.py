"""The parts of a strut's corner at every place of its top mount and every sample there.

A strut's top holds the wheel: at every place the corner moves otherwise, so its poses are solved
for each, and every moving part is placed anew. Nothing else differs from a top that only carries
the damper (`sliding`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from kinematics.clearance.grid import PLACED
from kinematics.motion import Motion, move
from kinematics.motion.displaced import displaced
from kinematics.motion.errors import MotionError
from kinematics.motion.limits import STOP_MEETS, lengths_met
from kinematics.motion.recover import poses as recovered
from kinematics.motion.rows import State
from kinematics.motion.variants import Variants
from kinematics.project.model import CHASSIS
from kinematics.shapes.pieces import Part
from kinematics.shapes.wheel import axis
from kinematics.studies.asking import Asked, go_on
from kinematics.studies.near_ends import lengths_that_stop
from kinematics.studies.place_limits import Stands
from kinematics.studies.ranges import through_nought
from kinematics.studies.sliding import MOUNT, Sliding
from kinematics.studies.study import Setting
from kinematics.studies.top_ends import TopEnds, other_ends, standing

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

SPARE = 25.0
"""How far beyond the corner's own travel others' may reach, mm, besides how far they are raised."""
KNOTS = 15
"""Travels at which every place is solved."""
NEAR = 8
"""Poses between which one is interpolated: good to 1e-6 mm so far apart."""


@dataclass(frozen=True, eq=False)
class StrutPlaces(Sliding):
    """As `Sliding`; motion : every place at every sample side by side, places slowest, with the
    mount as a body of its own."""

    def __post_init__(self) -> None:
        """Any corner will do: its poses are given."""

    @cached_property
    def affected(self) -> Ints:
        """Numbers of the pairs that the mount's place can change, (k,)."""
        moved = [self._mode(part) for part in self._parts]
        pairs = self.setting.pairs.checked
        return np.array(
            [k for k, (i, j) in enumerate(pairs) if moved[i] == PLACED or moved[i] != moved[j]],
            dtype=np.int64,
        )

    def _mode(self, part: Part) -> int:
        return PLACED if part.body != CHASSIS else super()._mode(part)

    def _batch(self, rows: Ints, offset: Array, places: Ints | None) -> Motion:
        if places is None:
            return self.motion
        samples = rows.shape[1]
        picked = (places[:, None] * samples + np.arange(samples)).ravel()
        motion = self.motion
        return replace(
            motion,
            rack=np.zeros(len(picked)),
            state=motion.state[:, picked],
            closure=motion.closure[:, picked],
            flat_rotation=np.take(motion.flat_rotation, picked, axis=-1),
            flat_position=np.take(motion.flat_position, picked, axis=-1),
        )


def solved(
    setting: Setting, offset: Array, rack: float, cancelled: Asked | None = None
) -> Variants:
    """The corner with its strut's top moved by each of (n, 3) mm, beyond its own travel too.

    Raises Cancelled, and MotionError where too little of its travel can be reached.
    """
    low, high = setting.range
    spare = SPARE + float(np.max(np.abs(offset[:, 2]), initial=0.0))
    travel = through_nought(low - spare, high + spare, KNOTS)
    reached = move(setting.linkage, travel, [rack], stops=False).reached[:, 0]
    go_on(cancelled)
    if np.count_nonzero(reached) < NEAR:
        raise MotionError(
            "Too little of this strut's travel can be reached for a map of its mount's places: "
            "put right what ends the travel first."
        )
    return displaced(setting.linkage, travel[reached], offset, rack)


def strut_ends(setting: Setting, found: Variants, offset: Array) -> TopEnds:
    """Full droop and full bump at every place (n,), as `top_ends`.

    An end that the damper does not make stays where it is.
    """
    coilover = setting.unfolded.coilover
    assert coilover is not None
    foot = found.carry(coilover.foot.body, coilover.foot.point)
    top = np.asarray(setting.unfolded.points[coilover.top.point]) + offset
    length = np.linalg.norm(foot - top, axis=2)
    ends = np.tile(np.array(setting.range), (len(offset), 1))
    longest, shortest = lengths_that_stop(coilover)
    if setting.unfolded.travel is None:
        ends = other_ends(setting, len(offset))
        ends[:, 0] = np.maximum(ends[:, 0], _crossed(found.travel, length, longest))
        ends[:, 1] = np.minimum(ends[:, 1], _crossed(found.travel, length, shortest))
    still = length[int(np.argmin(np.abs(found.travel)))]
    stands = standing(still, (longest, shortest))
    fits = found.closed.all(axis=0) & np.isfinite(ends).all(axis=1)
    stands[~fits & (stands == Stands.YES)] = Stands.NO_FIT
    ends[stands != Stands.YES] = np.nan
    met = [at for at, cause, _ in lengths_met(coilover) if cause == STOP_MEETS]
    meets = np.full(len(offset), np.nan)
    if met:
        meets = _crossed(found.travel, length, met[0])
        meets[(still <= met[0]) | (stands != Stands.YES)] = np.nan
    return TopEnds(ends, stands, still, meets)


def _crossed(travel: Array, length: Array, wanted: float) -> Array:
    """The travel (n,) at which lengths (k, n), falling with travel, are as wanted; NaN: nowhere."""
    past = np.argmax(length < wanted, axis=0)
    start = np.clip(past - NEAR // 2, 0, len(travel) - NEAR)
    rows = start + np.arange(NEAR)[:, None]
    x, y = travel[rows], np.take_along_axis(length, rows, axis=0) - wanted
    out = np.zeros(length.shape[1])
    with np.errstate(all="ignore"):  # where nothing closes the lengths are no lengths
        for i in range(NEAR):  # the polynomial through the travels over their lengths (Lagrange)
            share = np.ones_like(out)
            for j in range(NEAR):
                if j != i:
                    share *= y[j] / (y[j] - y[i])
            out += share * x[i]
    return np.where((past > 0) & np.isfinite(out), out, np.nan)


def lean_change(setting: Setting, found: Variants) -> tuple[Array, Array]:
    """Changes of set-up camber and toe at every place (n,), rad; NaN where it has no place."""
    row = int(np.argmin(np.abs(found.travel)))
    n = found.direction(setting.unfolded.wheel.body, axis(setting.unfolded))[row]
    was = axis(setting.unfolded)
    out = 1.0 if setting.project.side == "left" else -1.0
    camber, toe = np.arcsin(-n[:, 2]), np.arctan2(n[:, 0], out * n[:, 1])
    return camber - np.arcsin(-was[2]), toe - np.arctan2(was[0], out * was[1])


def strut_motion(
    setting: Setting,
    found: Variants,
    common: Array,
    own: Array,
    offset: Array,
    cancelled: Asked | None = None,
) -> Motion:
    """Every place (n,) at the common travels and then at travels (n, k) of its own, as one row.

    Raises Cancelled.
    """
    weights = _weights(found.travel, common)

    def at_all(x: Array) -> Array:
        shared = []
        for body in x:
            go_on(cancelled)
            shared.append(body @ weights)
        return np.concatenate([shared, _between(found.travel, x, own, cancelled)], axis=-1)

    rotation, position = map(at_all, _poses(found, cancelled))
    go_on(cancelled)
    bodies, samples = len(position), position.shape[-1]
    count = len(offset) * samples
    mount = np.repeat(offset.T[:, :, None], samples, axis=2).reshape(1, 3, -1)
    still = np.broadcast_to(np.eye(3)[:, :, None], (1, 3, 3, count))
    nominal = move(setting.linkage, [0.0], [found.rack], stops=False)
    return replace(
        nominal,
        travel=np.zeros(1),
        rack=np.zeros(count),
        bodies=(*nominal.bodies, MOUNT),
        state=np.zeros((1, count), np.int8),
        closure=np.zeros((1, count)),
        flat_rotation=np.concatenate([rotation.reshape(bodies, 3, 3, -1), still]),
        flat_position=np.concatenate([position.reshape(bodies, 3, -1), mount]),
    )


def _poses(found: Variants, cancelled: Asked | None) -> tuple[Array, Array]:
    """Rotations (bodies, 3, 3, places, travels) and positions (bodies, 3, places, travels)."""
    turns, places = [], []
    for i in range(len(found.travel)):
        go_on(cancelled)
        state = State(found.state.centre[:, :, i], found.state.turn[:, :, i])
        turn, at = recovered(found.system, state, np.full(state.size, found.rack), found.xyz)
        turn[..., ~found.closed[i]] = np.nan
        turns.append(turn)
        places.append(at)
    return np.stack(turns, axis=-1), np.stack(places, axis=-1)


def _weights(travel: Array, at: Array) -> Array:
    """What the values at the travels (m,) count for at others (k,): (m, k)."""
    every = np.eye(len(travel))[:, None]
    return np.concatenate([_between(travel, one, at[None]) for one in every])


def _between(travel: Array, values: Array, at: Array, cancelled: Asked | None = None) -> Array:
    """Values (..., places, travels) at travels (places, k) of each place: (..., places, k)."""
    first = np.clip(np.searchsorted(travel, at) - NEAR // 2, 0, len(travel) - NEAR)
    out = np.zeros((*values.shape[:-1], at.shape[1]))
    place = np.arange(len(at))[:, None]
    for i in range(NEAR):
        go_on(cancelled)
        share = np.ones_like(at)
        for j in range(NEAR):
            if j != i:
                share *= (at - travel[first + j]) / (travel[first + i] - travel[first + j])
        out += share * values[..., place, first + i]
    return out
