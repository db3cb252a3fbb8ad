"""Tracks: a stretch of a corner's path along one driver, as Chebyshev polynomials.

The corner is solved at a few nodes; between them its poses and the inverse of its Jacobian are
interpolated, to about 1e-8 mm over a usual travel. One step with that inverse then closes any
number of poses without another elimination, and ``proof`` shows over the whole stretch that they
are one assembly.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import Array
from kinematics.motion.chebyshev import nodes, weights
from kinematics.motion.rows import Geometry, State, evaluate, jacobian, moved
from kinematics.motion.solve import Rates
from kinematics.motion.system import System

NODES = 9
"""Nodes of a stretch: enough for 1e-5 to 1e-9 mm between them, at the usual length."""
STEPS = 6
"""Newton steps at the nodes at most; where more are asked the stretch is taken shorter."""
SETTLED = 2e-3
"""mm: a Newton step that leaves the nodes closed to a hair, and their inverses good."""


@dataclass(frozen=True)
class Track:
    """A stretch of the driver from ``low`` to ``high`` for n lanes.

    ``poses`` (bodies, 7, nodes, n): centre and quaternion; ``inverse`` (m, m, nodes, n) of the
    Jacobian of the rows in use; ``other`` (n,) the value of the driver that is held; ``good``
    (n,) where every node was solved.
    """

    low: float
    high: float
    along: int
    other: Array
    poses: Array
    inverse: Array
    good: NDArray[np.bool_]

    def weights(self, values: Array) -> Array:
        """Matrix (k, nodes) from nodes to values (k,) of the driver."""
        t = (values - 0.5 * (self.low + self.high)) * (2.0 / (self.high - self.low))
        return weights(t, self.poses.shape[2])

    def drivers(self, values: Array) -> tuple[Array, Array]:
        """(driver, rack) at values (k,) for each lane, flat with lanes quickest."""
        n = len(self.other)
        if n == 1:
            value, other = values, np.broadcast_to(self.other, values.shape)
        else:
            value, other = np.repeat(values, n), np.tile(self.other, len(values))
        return (value, other) if self.along == 0 else (other, value)


def lay(
    system: System,
    geo: Geometry,
    state: State,
    at: float,
    other: Array,
    rate: Rates,
    span: tuple[float, float],
    along: int,
) -> Track:
    """Solve the nodes of a stretch ``span`` that holds ``at``, seeded to second order from there.

    ``geo`` is one corner's, or one for each node and lane, as are the poses.
    """
    low, high = span
    n = state.size
    values = 0.5 * (low + high) + 0.5 * (high - low) * nodes(NODES)
    step = values - at
    turn = (rate.speed[:, None] + rate.acceleration[:, None] * (0.5 * step[:, None])) * step[
        :, None
    ]
    spread = state if n == 1 else tiled(state, NODES)
    pose = moved(system.table, geo, spread, turn.reshape(len(turn), -1))
    blank = Track(low, high, along, other, np.zeros(0), np.zeros(0), np.zeros(0, dtype=bool))
    drive, rack = blank.drivers(values)
    with np.errstate(all="ignore"):
        pose, inverse, size = newton(system, geo, pose, drive, rack)
    good = (size.reshape(NODES, n) <= SETTLED).all(axis=0)
    poses = np.concatenate([pose.centre, pose.turn], axis=1).reshape(-1, 7, NODES, n)
    m = inverse.shape[0]
    return Track(low, high, along, other, poses, inverse.reshape(m, m, NODES, n), good)


def newton(
    system: System, geo: Geometry, pose: State, drive: Array, rack: Array
) -> tuple[State, Array, Array]:
    """Newton steps until settled: poses, the inverse (m, m, n) of the last step, its size (n,)."""
    for _ in range(STEPS):
        rows = evaluate(system.table, geo, pose, drive, rack)
        inverse = inverted(jacobian(system.table, geo, rows, pose)[system.used])
        step = np.einsum("ijn,jn->in", inverse, rows.value[system.used])
        pose = moved(system.table, geo, pose, -step)
        size = np.sqrt(np.einsum("in,in->n", step, step))
        if not size.max() > SETTLED or not size.max() < 0.5 * geo.scale:
            break
    return pose, inverse, size


def inverted(matrix: Array) -> Array:
    """Inverses (m, m, n) of matrices (m, m, n); not numbers where one is singular."""
    try:
        return np.linalg.inv(matrix.transpose(2, 0, 1)).transpose(1, 2, 0)
    except np.linalg.LinAlgError:
        singular = np.linalg.matrix_rank(matrix.transpose(2, 0, 1)) < len(matrix)
        filled = np.where(singular, np.eye(len(matrix))[:, :, None], matrix)
        return np.where(singular, np.nan, inverted(filled))


def tiled(state: State, count: int) -> State:
    """The lanes' poses repeated for each of ``count`` values, lanes quickest."""
    return State(np.tile(state.centre, (1, 1, count)), np.tile(state.turn, (1, 1, count)))


def interpolated(poses: Array) -> State:
    """Unit poses from interpolated ones (bodies, 7, k, n), flat with lanes quickest."""
    bodies = len(poses)
    turn = poses[:, 3:]
    turn = turn * (1.0 / np.sqrt(np.einsum("bikn,bikn->bkn", turn, turn)))[:, None]
    return State(poses[:, :3].reshape(bodies, 3, -1), turn.reshape(bodies, 4, -1))
