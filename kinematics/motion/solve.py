"""Solving poses: Newton's method over a batch, its tangents and accelerations, single knots.

A knot, from which a whole sweep is seeded, is solved by ``scipy.optimize.root`` with the analytic
Jacobian; everything between is polished by Newton steps over all poses at once.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from kinematics.frames import Array
from kinematics.motion.eliminate import FEW, solve, solve_pivoting
from kinematics.motion.row_rates import driver_rates, second
from kinematics.motion.rows import (
    Geometry,
    Rows,
    State,
    evaluate,
    jacobian,
    misfit,
    moved,
)
from kinematics.motion.system import System
from kinematics.motion.tables import Table

TIGHT = 1e-11
"""mm: a pose whose rows are all below this is as closed as double precision makes it."""


class Rates(NamedTuple):
    """Motion of a batch of poses along one driver: ``speed`` and its rate of change
    ``acceleration``, both (columns, n) in the units of a solved step per mm (or rad) driven; and
    about how fast that changes in turn, ``jerk``, where it was asked for (else noughts)."""

    speed: Array
    acceleration: Array
    jerk: Array


def correction(system: System, geo: Geometry, rows: Rows, state: State) -> Array:
    """The Newton step (columns, n) that closes the rows to first order."""
    full = jacobian(system.table, geo, rows, state)
    order = system.used if rows.value.shape[-1] < FEW else system.kept
    return solve(full[order], -rows.value[order][:, None])[:, 0]


def polish(
    system: System,
    geo: Geometry,
    state: State,
    drive: Array,
    rack: Array,
    steps: int,
    enough: float = TIGHT,
) -> State:
    """Newton steps over the batch; stops early when every row of every pose is ``enough``."""
    for _ in range(steps):
        rows = evaluate(system.table, geo, state, drive, rack)
        if np.abs(rows.value).max() < enough:
            break
        step = correction(system, geo, rows, state)
        state = moved(system.table, geo, state, _bounded(step, geo.scale))
    return state


def _bounded(step: Array, scale: float) -> Array:
    """Steps no longer than half the corner's own size: a wild one is lost, not let loose."""
    with np.errstate(all="ignore"):
        size = np.sqrt((step * step).sum(axis=0))
        return np.where(size > 0.5 * scale, step * (0.5 * scale / size), step)


def residual(system: System, geo: Geometry, state: State, drive: Array, rack: Array) -> Array:
    """The largest row (n,) in mm at each pose; inf where a pose is not a number."""
    value = misfit(system.table, geo, state, drive, rack)
    worst = np.abs(value).max(axis=0, initial=0.0)
    return np.where(np.isfinite(worst), worst, np.inf)


def tangents(
    system: System, geo: Geometry, state: State, drive: Array, rack: Array
) -> tuple[Array, Array]:
    """Speeds (columns, 2, n) by the driver and by the rack, and the Jacobian (m, m, n) used."""
    rows = evaluate(system.table, geo, state, drive, rack)
    full = jacobian(system.table, geo, rows, state)[system.kept]
    right = driver_rates(system.table, geo, rows, drive)[system.kept]
    return solve_pivoting(full, right), full


def rates(
    system: System,
    geo: Geometry,
    state: State,
    drive: Array,
    rack: Array,
    along: int,
    over: float = 0.0,
) -> Rates:
    """Speed and acceleration of the poses along the driver (``along`` 0) or the rack (1).

    Also the jerk, if ``over`` is not 0: from how far open the rows are when the poses have gone to
    either side by the two alone, until they have moved by that many mm.
    """
    rows = evaluate(system.table, geo, state, drive, rack)
    full = jacobian(system.table, geo, rows, state)[system.kept]
    right = driver_rates(system.table, geo, rows, drive)[system.kept]
    speed = solve_pivoting(full, right[:, along : along + 1])[:, 0]
    moving = (1.0, 0.0) if along == 0 else (0.0, 1.0)
    bend = second(system.table, geo, rows, state, drive, speed, moving)[system.kept]
    found = Rates(speed, solve_pivoting(full, -bend[:, None])[:, 0], np.zeros_like(speed))
    most = float(np.abs(speed).max(initial=0.0))
    if not over or not 0.0 < most < np.inf:
        return found
    step, n = over / most, state.size
    away, other = (drive, rack) if along == 0 else (rack, drive)
    sides = np.repeat([step, -step], n)
    both = Rates(*(np.concatenate((x, x), axis=1) for x in found))
    pose = predicted(system.table, geo, state.take(np.tile(np.arange(n), 2)), both, sides)
    moving, held = np.tile(away, 2) + sides, np.tile(other, 2)
    driven = (moving, held) if along == 0 else (held, moving)
    open_by = evaluate(system.table, geo, pose, *driven).value[system.kept]
    odd = open_by[:, n:] - open_by[:, :n]
    return found._replace(jerk=solve_pivoting(full, odd[:, None])[:, 0] * (3.0 / step**3))


def predicted(table: Table, geo: Geometry, state: State, rate: Rates, step: Array) -> State:
    """The poses a ``step`` (n,) of the driver onward, to second order."""
    return moved(table, geo, state, rate.speed * step + rate.acceleration * (0.5 * step * step))


def knot(system: System, geo: Geometry, guess: State, drive: float, rack: float) -> State:
    """One pose solved by ``scipy.optimize.root`` from a guess nearby.

    The caller checks the residual; no convergence flag is believed.
    """
    from scipy.optimize import root

    drives, racks = np.array([drive]), np.array([rack])

    def rows_and_slopes(step: Array) -> tuple[Array, Array]:
        state = moved(system.table, geo, guess, step[:, None])
        rows = evaluate(system.table, geo, state, drives, racks)
        slopes = jacobian(system.table, geo, rows, state)
        return rows.value[system.kept, 0], slopes[system.kept, :, 0]

    start = np.zeros(system.table.width)
    found = root(rows_and_slopes, start, jac=True, method="hybr", options={"xtol": 1e-9})
    return moved(system.table, geo, guess, found.x[:, None])
