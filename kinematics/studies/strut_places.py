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

from kinematics.clearance.places import PLACED
from kinematics.motion import Motion, move
from kinematics.motion.displaced import displaced
from kinematics.motion.limits import lengths_met
from kinematics.motion.recover import poses as recovered
from kinematics.motion.rows import State
from kinematics.motion.variants import Variants
from kinematics.project.model import CHASSIS
from kinematics.shapes.pieces import Part
from kinematics.studies.ranges import through_nought
from kinematics.studies.sliding import MOUNT, Sliding
from kinematics.studies.study import Setting

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

SPARE = 25.0
"""How far beyond the corner's own travel others' may reach, mm."""
KNOTS = 41
"""Travels at which every place is solved."""
NEAR = 4
"""Poses between which one is interpolated: a cubic, good to 1e-6 mm at some mm apart."""


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

    def _batch(self, picked: Ints, offset: Array) -> Motion:
        return self.motion


def solved(setting: Setting, offset: Array, rack: float) -> Variants:
    """The corner with its strut's top moved by each of (n, 3) mm, beyond its own travel too."""
    low, high = setting.range
    travel = through_nought(low - SPARE, high + SPARE, KNOTS)
    reached = move(setting.linkage, travel, [rack], stops=False).reached[:, 0]
    return displaced(setting.linkage, travel[reached], offset, rack)


def strut_ends(setting: Setting, found: Variants, offset: Array) -> Array:
    """Travels (n, 2) of full droop and full bump at every place.

    An end that the damper does not make stays where it is. NaN where the damper, open or stopped,
    can't reach set-up height or the strut can't be put together with its links.
    """
    ends = np.tile(np.array(setting.range), (len(offset), 1))
    coilover = setting.unfolded.coilover
    assert coilover is not None
    if setting.unfolded.travel is None:
        foot = found.carry(coilover.foot.body, coilover.foot.point)
        top = np.asarray(setting.unfolded.points[coilover.top.point]) + offset
        length = np.linalg.norm(foot - top, axis=2)
        met = {cause: at for at, cause, _ in lengths_met(coilover)}
        for column, end in enumerate((setting.ends.droop, setting.ends.bump)):
            if end is not None and end.cause in met:
                ends[:, column] = _crossed(found.travel, length, met[end.cause])
    stands = (ends[:, 0] < 0.0) & (ends[:, 1] > 0.0) & found.closed.all(axis=0)
    ends[~stands] = np.nan
    return ends


def _crossed(travel: Array, length: Array, wanted: float) -> Array:
    """The travel (n,) at which lengths (k, n), falling with travel, are as wanted; NaN: nowhere."""
    past = np.argmax(length < wanted, axis=0)
    start = np.clip(past - NEAR // 2, 0, len(travel) - NEAR)
    rows = start + np.arange(NEAR)[:, None]
    x, y = travel[rows], np.take_along_axis(length, rows, axis=0) - wanted
    out = np.zeros(length.shape[1])
    for i in range(NEAR):  # the cubic through the travels over their lengths (Lagrange)
        share = np.ones_like(out)
        for j in range(NEAR):
            if j != i:
                share *= y[j] / (y[j] - y[i])
        out += share * x[i]
    return np.where(past > 0, out, np.nan)


def strut_motion(
    setting: Setting, found: Variants, common: Array, own: Array, offset: Array
) -> Motion:
    """Every place (n,) at the common travels and then at travels (n, k) of its own, as one row."""
    rotation, position = (
        np.concatenate(
            [x @ _weights(found.travel, common), _between(found.travel, x, own)], axis=-1
        )
        for x in _poses(found)
    )
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


def _poses(found: Variants) -> tuple[Array, Array]:
    """Rotations (bodies, 3, 3, places, travels) and positions (bodies, 3, places, travels)."""
    turns, places = [], []
    for i in range(len(found.travel)):
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


def _between(travel: Array, values: Array, at: Array) -> Array:
    """Values (..., places, travels) at travels (places, k) of each place: (..., places, k)."""
    first = np.clip(np.searchsorted(travel, at) - NEAR // 2, 0, len(travel) - NEAR)
    out = np.zeros((*values.shape[:-1], at.shape[1]))
    place = np.arange(len(at))[:, None]
    for i in range(NEAR):
        share = np.ones_like(at)
        for j in range(NEAR):
            if j != i:
                share *= (at - travel[first + j]) / (travel[first + i] - travel[first + j])
        out += share * values[..., place, first + i]
    return out
