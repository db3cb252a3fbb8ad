"""Solving poses: Newton's method over a batch, its tangents and accelerations, single knots.

A knot, from which a whole sweep is seeded, is solved by ``scipy.optimize.root`` with the analytic
Jacobian; everything between is polished by Newton steps over all poses at once.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from kinematics.frames import Array, product_last
from kinematics.motion.eliminate import solve, solve_pivoting
from kinematics.motion.rows import (
    Geometry,
    Rows,
    State,
    Table,
    driver_rates,
    evaluate,
    jacobian,
    motions,
    moved,
    second,
)
from kinematics.motion.system import System

TIGHT = 1e-11
"""mm: a pose whose rows are all below this is as closed as double precision makes it."""


class Rates(NamedTuple):
    """Motion of a batch of poses along one driver: ``speed`` and its rate of change
    ``acceleration``, both (columns, n) in the units of a solved step per mm (or rad) driven."""

    speed: Array
    acceleration: Array


def correction(system: System, geo: Geometry, rows: Rows, state: State) -> Array:
    """The Newton step (columns, n) that closes the rows to first order."""
    full = jacobian(system.table, geo, rows, state)
    right = -rows.value[system.kept][:, None]
    return solve(full[system.kept], right)[:, 0]


def polish(
    system: System, geo: Geometry, state: State, drive: Array, rack: Array, steps: int
) -> State:
    """Newton steps over the batch; stops early when every pose is closed."""
    for _ in range(steps):
        rows = evaluate(system.table, geo, state, drive, rack)
        if np.abs(rows.value).max(initial=0.0) < TIGHT:
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
    value = evaluate(system.table, geo, state, drive, rack).value
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
    system: System, geo: Geometry, state: State, drive: Array, rack: Array, along: int
) -> Rates:
    """Speed and acceleration of the poses along the driver (``along`` 0) or the rack (1)."""
    rows = evaluate(system.table, geo, state, drive, rack)
    full = jacobian(system.table, geo, rows, state)[system.kept]
    right = driver_rates(system.table, geo, rows, drive)[system.kept]
    speed = solve_pivoting(full, right[:, along : along + 1])[:, 0]
    moving = (1.0, 0.0) if along == 0 else (0.0, 1.0)
    bend = second(system.table, geo, rows, state, drive, speed, moving)[system.kept]
    return Rates(speed, solve_pivoting(full, -bend[:, None])[:, 0])


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


def between(
    table: Table,
    geo: Geometry,
    ends: tuple[State, State],
    rate: tuple[Rates, Rates],
    span: Array,
    part: Array,
) -> State:
    """Poses at the fractions ``part`` (k,) of the way between two knots, for each of n lanes.

    Quintic Hermite interpolation of centres and quaternions with the knots' exact speeds and
    accelerations over the ``span`` (n,) between them; (bodies, ., k·n) with lanes quickest.
    """
    weights = _quintic(part)
    (c0, q0), (c1, q1) = ((s.centre, s.turn) for s in ends)
    (dc0, dq0), (ddc0, ddq0) = _pose_rates(table, geo, ends[0], rate[0])
    (dc1, dq1), (ddc1, ddq1) = _pose_rates(table, geo, ends[1], rate[1])
    h = span
    centre = _blend(weights, (c0, dc0 * h, ddc0 * (h * h), c1, dc1 * h, ddc1 * (h * h)))
    turn = _blend(weights, (q0, dq0 * h, ddq0 * (h * h), q1, dq1 * h, ddq1 * (h * h)))
    turn /= np.sqrt((turn * turn).sum(axis=1, keepdims=True))
    return State(centre, turn)


def _quintic(t: Array) -> Array:
    """Weights (6, k) of value, slope and curvature at either end."""
    t3, t4, t5 = t**3, t**4, t**5
    h0 = 1.0 - 10.0 * t3 + 15.0 * t4 - 6.0 * t5
    return np.stack(
        [
            h0,
            t - 6.0 * t3 + 8.0 * t4 - 3.0 * t5,
            0.5 * t**2 - 1.5 * t3 + 1.5 * t4 - 0.5 * t5,
            1.0 - h0,
            -4.0 * t3 + 7.0 * t4 - 3.0 * t5,
            0.5 * t3 - t4 + 0.5 * t5,
        ]
    )


def _blend(weights: Array, terms: tuple[Array, ...]) -> Array:
    stacked = np.stack(terms, axis=-2)  # (bodies, ., 6, n)
    out = np.matmul(weights.T, stacked)  # (bodies, ., k, n)
    return np.asarray(out.reshape(*out.shape[:2], -1))


def _pose_rates(
    table: Table, geo: Geometry, state: State, rate: Rates
) -> tuple[tuple[Array, Array], tuple[Array, Array]]:
    """First and second derivatives of centres and quaternions by the driver."""
    shift, spin = motions(table, geo, rate.speed)
    push, twist = motions(table, geo, rate.acceleration)
    first, later = [], []
    for q, w, dw in zip(state.turn, spin, twist, strict=True):
        dq = 0.5 * product_last(_pure(w), q)
        first.append(dq)
        later.append(0.5 * (product_last(_pure(dw), q) + product_last(_pure(w), dq)))
    return (np.stack(shift), np.stack(first)), (np.stack(push), np.stack(later))


def _pure(w: Array) -> Array:
    """A vector as a quaternion without its scalar."""
    return np.concatenate([np.zeros_like(w[:1]), w])
