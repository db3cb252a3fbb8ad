"""Tracks: a stretch of a corner's path along one driver, as Chebyshev polynomials.

The corner is solved at a few nodes; between them its poses and the inverse of its Jacobian are
interpolated, to about 1e-8 mm over a usual travel. One step with that inverse then closes any
number of poses without another elimination, and ``proof`` shows over the whole stretch that they
are one assembly.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import Array
from kinematics.motion.chebyshev import nodes, weights, weights_at
from kinematics.motion.rows import Geometry, State, evaluate, jacobian, moved
from kinematics.motion.solve import Rates
from kinematics.motion.system import System

NODES = 9
"""Nodes of a stretch: enough for 1e-5 to 1e-9 mm between them, at the usual length."""
STEPS = 6
"""Newton steps at the nodes at most; where more are asked the stretch is taken shorter."""
SETTLED = 2e-3
"""Of the corner's own size: a Newton step that leaves the nodes closed and their inverses good
enough to be proved, and mended by what the proof finds."""


@dataclass(frozen=True)
class Track:
    """A stretch of the driver from ``low`` to ``high`` for n lanes.

    ``table`` (7·bodies + m·m, n, nodes): centre and quaternion of each body, and the inverse of
    the Jacobian of the rows in use; ``other`` (n,) the value of the driver that is held; ``good``
    (n,) where every node was solved.
    """

    low: float
    high: float
    along: int
    other: Array
    bodies: int
    table: Array
    good: NDArray[np.bool_]

    def weights(self, values: Array) -> Array:
        """Matrix (nodes, k) from nodes to values (k,) of the driver."""
        t = (values - 0.5 * (self.low + self.high)) * (2.0 / (self.high - self.low))
        return weights(t, NODES)

    def at(self, value: float) -> State:
        """The poses of the lanes at one value, as interpolated."""
        t = (value - 0.5 * (self.low + self.high)) * (2.0 / (self.high - self.low))
        poses = self.table[: 7 * self.bodies].dot(weights_at(t, NODES))
        poses = poses.reshape(self.bodies, 7, -1)
        return State(poses[:, :3], poses[:, 3:])

    def taken(self, weights: Array) -> Array:
        """The table (.., n, k) at other values by their weights (nodes, k)."""
        return lane_by_lane(self.table, weights)

    def only(self, lanes: NDArray[np.intp]) -> Track:
        """The track of some of its lanes."""
        return replace(
            self, other=self.other[lanes], table=self.table[:, lanes], good=self.good[lanes]
        )


def spread_over(low: float, high: float, t: Array) -> Array:
    """Values from low to high for ``t`` from -1 to 1."""
    return np.asarray(0.5 * (low + high) + (0.5 * (high - low)) * t)


def lane_by_lane(table: Array, matrix: Array) -> Array:
    """Products (d, n, k) of a table (d, n, j) with a matrix (j, k).

    A lane at a time in one call: whole, the product is so large that the library would spread it
    over threads, which takes longer.
    """
    if table.shape[1] == 1:
        return np.asarray(np.matmul(table[:, 0], matrix)[:, None])
    out = np.empty((*table.shape[:2], matrix.shape[1]), dtype=table.dtype)
    np.matmul(table.swapaxes(0, 1), matrix, out=out.swapaxes(0, 1))
    return out


def drivers(values: Array, other: Array, along: int) -> tuple[Array, Array]:
    """(driver, rack) for each lane at values (k,), flat with the values quickest."""
    n = len(other)
    value = values if n == 1 else np.tile(values, n)
    held = other.repeat(len(values))
    return (value, held) if along == 0 else (held, value)


def lay(
    system: System,
    geo: Geometry,
    state: State,
    at: float,
    other: Array,
    rate: Rates,
    span: tuple[float, float],
    along: int,
    settled: float = SETTLED,
) -> Track:
    """Solve the nodes of a stretch ``span`` that holds ``at``, seeded to third order from there,
    until a step is no longer than ``settled`` of the corner's size.

    ``geo`` is one corner's, or one for each lane and node.
    """
    low, high = span
    n = state.size
    values = spread_over(low, high, nodes(NODES))
    step = values - at
    seed = rate.jerk[:, :, None] * (step / 3.0)
    seed += rate.acceleration[:, :, None]
    seed *= 0.5 * step
    seed += rate.speed[:, :, None]
    seed *= step
    spread = state if n == 1 else state.take(np.repeat(np.arange(n), NODES))
    with np.errstate(all="ignore"):
        pose = moved(system.table, geo, spread, seed.reshape(len(seed), -1))
        pose, inverse, square = newton(system, geo, pose, drivers(values, other, along), settled)
    bodies, m = len(state.turn), len(inverse)
    table = np.empty((7 * bodies + m * m, n, NODES))
    poses = table[: 7 * bodies].reshape(bodies, 7, -1)
    poses[:, :3], poses[:, 3:] = pose
    table[7 * bodies :] = inverse.reshape(-1, n, NODES)
    good = np.asarray((square.reshape(n, NODES) <= (settled * geo.scale) ** 2).all(axis=1))
    return Track(low, high, along, other, bodies, table, good)


def newton(
    system: System,
    geo: Geometry,
    pose: State,
    driven: tuple[Array, Array],
    settled: float,
) -> tuple[State, Array, Array]:
    """Newton steps until settled: poses, the inverse (m, m, n) of the last step, and how long that
    was, squared (n,)."""
    for _ in range(STEPS):
        rows = evaluate(system.table, geo, pose, *driven)
        inverse = inverted(jacobian(system.table, geo, rows, pose)[system.used])
        step = np.einsum("ijn,jn->in", inverse, rows.value[system.used])
        pose = moved(system.table, geo, pose, -step)
        square = np.einsum("in,in->n", step, step)
        if not settled**2 < square.max() / geo.scale**2 < 0.25:
            break
    return pose, inverse, square


def inverted(matrix: Array) -> Array:
    """Inverses (m, m, n) of matrices (m, m, n); not numbers where one is singular."""
    try:
        found = np.linalg.inv(matrix.transpose(2, 0, 1))
        return np.ascontiguousarray(found.transpose(1, 2, 0))
    except np.linalg.LinAlgError:
        singular = np.linalg.matrix_rank(matrix.transpose(2, 0, 1)) < len(matrix)
        filled = np.where(singular, np.eye(len(matrix))[:, :, None], matrix)
        return np.where(singular, np.nan, inverted(filled))


def posed(table: Array, bodies: int) -> State:
    """Poses, as interpolated, from a table (.., n, k) taken from a track: flat, values quickest."""
    poses = table[: 7 * bodies].reshape(bodies, 7, -1)
    return State(poses[:, :3], poses[:, 3:])


def unit(state: State) -> State:
    """The same with quaternions of unit length."""
    square = np.einsum("bin,bin->bn", state.turn, state.turn)
    return State(state.centre, state.turn / np.sqrt(square)[:, None])
