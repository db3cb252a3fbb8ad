"""Many corners at once that differ in where their points are: tolerances, searches, maps.

All variants are seeded from the nominal corner by its exact sensitivities and closed by Newton
steps over the whole batch.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import Array
from kinematics.motion.errors import MotionError
from kinematics.motion.grid import Values, move
from kinematics.motion.linkage import Linkage, state_of
from kinematics.motion.recover import names, poses
from kinematics.motion.rows import Geometry, State, evaluate, jacobian, moved
from kinematics.motion.sensitivity import pose_slopes, state_about
from kinematics.motion.solve import correction, polish
from kinematics.motion.sweep import CLOSED
from kinematics.motion.system import System, build, with_pivots

CACHEFUL = 1024
"""Variants taken at once at one travel, so that their arrays stay in the processor's cache."""
TIGHT = 2e-10
"""mm: row misfit after which a variant is taken as closed."""
STEPS = 4
"""Newton steps for all at most; those still open are followed one by one."""


@dataclass(frozen=True, eq=False)
class Variants:
    """Poses of many corners over travel, rack central (or at one position).

    ``state`` holds the solved bodies' poses (bodies, ., travels, variants); ``closed``
    (travels, variants) which are closed to 1e-9 mm. ``xyz`` (3, points, variants).
    """

    linkage: Linkage
    travel: Array
    rack: float
    xyz: Array
    system: System
    state: State
    closed: NDArray[np.bool_]

    def carry(self, body: str, point: str) -> Array:
        """A named point of a body, for every travel and variant, (travels, variants, 3)."""
        k = names(self.linkage.mechanism).index(body)
        p = self.xyz[:, self.linkage.mechanism.points[point]]
        out = np.empty((*self.closed.shape, 3))
        for i in range(len(self.travel)):
            state = State(self.state.centre[:, :, i], self.state.turn[:, :, i])
            rack = np.full(state.size, self.rack)
            rotation, position = poses(self.system, state, rack, self.xyz)
            at = rotation[k, :, 0] * p[0] + rotation[k, :, 1] * p[1] + rotation[k, :, 2] * p[2]
            out[i] = (at + position[k]).T
        out[~self.closed] = np.nan
        return out

    def direction(self, body: str, vector: Array) -> Array:
        """A direction (3,) fixed to a body, for every travel and variant: (.., .., 3)."""
        k = names(self.linkage.mechanism).index(body)
        out = np.empty((*self.closed.shape, 3))
        for i in range(len(self.travel)):
            state = State(self.state.centre[:, :, i], self.state.turn[:, :, i])
            rotation, _ = poses(self.system, state, np.full(state.size, self.rack), self.xyz)
            out[i] = np.matmul(np.asarray(vector), rotation[k]).T
        out[~self.closed] = np.nan
        return out


def variants(linkage: Linkage, travel: Values, shifts: Array, rack: float = 0.0) -> Variants:
    """Move many variants of a corner over travel (k,) at one rack position.

    ``shifts`` (variants, points, 3) in mm are added to the points in the project's order (see
    ``Mechanism.points``); links are as long as the points are then apart. Raises ``MotionError``
    for the wrong shape, numbers that are not finite, or a nominal corner that can't reach the
    travels.
    """
    mechanism = linkage.mechanism
    shifts = np.asarray(shifts, dtype=float)
    if shifts.ndim != 3 or shifts.shape[1:] != mechanism.xyz.shape:
        raise MotionError(
            f"Variants need shifts of shape (variants, {len(mechanism.xyz)}, 3), one for each "
            f"point; got {shifts.shape}."
        )
    if not np.isfinite(shifts).all():
        raise MotionError("The shifts of variants must be plain numbers in mm.")
    nominal = move(linkage, travel, [rack], stops=False)
    if linkage.give:
        raise MotionError("Variants are not had for a corner whose bushes give.")
    if not nominal.reached.all():
        first = int(np.argmin(nominal.reached[:, 0]))
        raise MotionError(f"The corner itself can't reach these travels: {nominal.reason(first)}.")
    system = pivoted(build(mechanism, charts=False), linkage)
    seeds = state_about(system, nominal)
    slopes = pose_slopes(system, nominal, seeds)
    xyz = np.ascontiguousarray(mechanism.xyz.T[:, :, None] + shifts.transpose(2, 1, 0))
    return _closed(linkage, system, nominal.travel, rack, xyz, seeds, slopes, shifts)


def pivoted(system: System, linkage: Linkage) -> System:
    """The system with its rows in the order of its pivots at set-up height."""
    state, zero = state_of(linkage, system), np.zeros(1)
    rows = evaluate(system.table, system.geometry, state, zero, zero)
    return with_pivots(system, jacobian(system.table, system.geometry, rows, state)[..., 0])


def _closed(
    linkage: Linkage,
    system: System,
    travel: Array,
    rack: float,
    xyz: Array,
    seeds: State,
    slopes: Array,
    shifts: Array,
) -> Variants:
    count, bodies = xyz.shape[2], len(system.bodies)
    centre = np.empty((bodies, 3, len(travel), count))
    turn = np.empty((bodies, 4, len(travel), count))
    closed = np.empty((len(travel), count), dtype=bool)
    flat = shifts.reshape(count, -1).T
    for first in range(0, count, CACHEFUL):
        some = slice(first, min(first + CACHEFUL, count))
        geo = system.geometry_of(xyz[:, :, some])
        n = some.stop - some.start
        for i, z in enumerate(travel):
            base = seeds.take(np.array([i]))
            # One matrix product seeds all variants to first order.
            step = slopes[:, :, i] @ flat[:, some]
            spread = State(base.centre.repeat(n, axis=-1), base.turn.repeat(n, axis=-1))
            state, ok = newton_all(
                system, geo, moved(system.table, geo, spread, step), np.full(n, z), rack
            )
            centre[:, :, i, some], turn[:, :, i, some] = state.centre, state.turn
            closed[i, some] = ok
    return Variants(linkage, travel, rack, xyz, system, State(centre, turn), closed)


def newton_all(
    system: System, geo: Geometry, state: State, drive: Array, rack: float
) -> tuple[State, NDArray[np.bool_]]:
    """Close a batch; the variants still open after a few steps get more of them."""
    racks = np.full(drive.size, rack)
    worst = np.full(drive.size, np.inf)
    for _ in range(STEPS):
        rows = evaluate(system.table, geo, state, drive, racks)
        worst = np.abs(rows.value).max(axis=0)
        if not worst.max() > TIGHT:
            break
        state = moved(system.table, geo, state, correction(system, geo, rows, state))
    else:
        state = polish(system, geo, state, drive, racks, 6, TIGHT)
        worst = np.abs(evaluate(system.table, geo, state, drive, racks).value).max(axis=0)
    return state, worst <= 0.5 * CLOSED
