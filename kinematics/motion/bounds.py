"""How fast the constraint rows can change: constants that hold at every pose of a branch.

Write v for the motion of all solved bodies per mm of travel (shift of centres in mm, turn times
``scale``), J for the rows' Jacobian. For each row i, ``K_i`` and ``K2_i`` are numbers with

    |J_i'| ≤ K_i |v|    and, along a steady motion,    |J_i''| ≤ K2_i |v|²

for every pose in which the corner fits together. They follow from the row formulas with the
triangle inequality: a distance row's force turns no faster than its ends part over L, a moment no
faster than its arm swings. With ``w_i = |J⁻¹ e_i|`` the corner's stiffness against change is
``κ = Σ w_i K_i``, and both κ and y = |v| obey

    y' ≤ κ y²,   κ' ≤ κ² y,     hence u = κ y obeys u' ≤ 2u²:

from a solved pose the branch goes on for at least 1/(2u), and after a distance t both have grown
by at most ``(1 - 2ut)^-½``. This is the Newton-Kantorovich condition h = κ y t < ½ (L. V.
Kantorovich, *Functional Analysis and Applied Mathematics*, 1948; from memory), along a path.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import Array
from kinematics.motion.eliminate import solve
from kinematics.motion.rows import (
    GROUND,
    Geometry,
    Group,
    Rows,
    State,
    Table,
    driver_rates,
    evaluate,
    jacobian,
    second,
)
from kinematics.motion.system import System

MARGIN = 1.05
"""Room left for a sliding point's distance from its body's centre between two poses."""


@dataclass(frozen=True)
class Bounds:
    """At each of n poses: ``speed`` and ``acceleration`` (columns, n) along travel and their
    norms, ``kappa`` and ``kappa2`` (n,) as above. The two hold as long as the corner has moved less
    than ``slack`` (n,) mm from the pose (a sliding point has not left its margin)."""

    speed: Array
    acceleration: Array
    y: Array
    bend: Array
    kappa: Array
    kappa2: Array
    slack: Array

    def take(self, index: NDArray[np.intp]) -> Bounds:
        """The constants at some of the poses."""
        return Bounds(*(x[..., index] for x in self.all()))

    def all(self) -> tuple[Array, ...]:
        """The fields in order."""
        return (
            self.speed,
            self.acceleration,
            self.y,
            self.bend,
            self.kappa,
            self.kappa2,
            self.slack,
        )


def bounds(
    system: System,
    geo: Geometry,
    state: State,
    drive: Array,
    rack: Array,
    along: int = 0,
    bends: bool = True,
) -> Bounds:
    """The constants at every pose, along the driver (0) or the rack (1).

    ``bends=False`` leaves out the accelerations and what they are bounded by (all 0).
    """
    rows = evaluate(system.table, geo, state, drive, rack)
    full = jacobian(system.table, geo, rows, state)[system.kept]
    m = full.shape[0]
    right = driver_rates(system.table, geo, rows, drive)[system.kept][:, along : along + 1]
    unit = np.broadcast_to(np.eye(m)[:, :, None], (m, m, state.size))
    solved = solve(full, np.concatenate([right, unit], axis=1))
    speed, inverse = solved[:, 0], solved[:, 1:]
    acceleration = np.zeros_like(speed)
    if bends:
        moving = (1.0, 0.0) if along == 0 else (0.0, 1.0)
        bend = second(system.table, geo, rows, state, drive, speed, moving)[system.kept]
        acceleration = -(inverse * bend[None]).sum(axis=1)
    first, later, slack = stiffness(system.table, geo, rows, state)
    weight = np.sqrt(np.einsum("cmn,cmn->mn", inverse, inverse))
    return Bounds(
        speed=speed,
        acceleration=acceleration,
        y=np.sqrt((speed * speed).sum(axis=0)),
        bend=np.sqrt((acceleration * acceleration).sum(axis=0)),
        kappa=(weight * first[system.kept]).sum(axis=0),
        kappa2=(weight * later[system.kept]).sum(axis=0),
        slack=slack,
    )


def stiffness(table: Table, geo: Geometry, rows: Rows, state: State) -> tuple[Array, Array, Array]:
    """The constants ``K`` and ``K2`` (rows, n) of every row; the slack (n,) they hold within."""
    slack = np.full(state.size, np.inf)
    s = geo.scale
    arm_b, on_b = _arms(table.b_on, rows.b, state, table.rows)
    arm_a, on_a = _arms(table.a_on, rows.a, state, table.rows)
    rho_a, rho_b = arm_a / s, arm_b / s
    both = on_a * (1.0 + rho_a**2) + on_b * (1.0 + rho_b**2)
    most = np.maximum(rho_a, rho_b)
    m = table.distances
    first, later = np.empty_like(rho_b), np.empty_like(rho_b)
    length = geo.size[:m]
    first[:m] = both[:m] / length + most[:m] / s
    later[:m] = 3.0 * most[:m] * np.sqrt(both[:m]) / (s * length) + most[:m] / s**2
    # A direction that stands still: only the moment's arm turns.
    first[m:] = rho_b[m:] / s
    later[m:] = rho_b[m:] / s**2
    if table.by in ("damper", "angle"):
        # The driver's own row turns as it is driven; its rate is at most the ends' parting.
        d = rows.apart[:, table.driver]
        first[table.driver] += both[table.driver] / np.sqrt((d * d).sum(axis=0))
    for group in table.a_on:
        if group.body != GROUND and group.normals is not None:
            # A direction that turns with its body, seen by a point that slides over it.
            k = np.arange(table.rows)[group.rows]
            k = k[k >= m]
            reach = rows.b[:, k] - state.centre[group.body][:, None]
            far = MARGIN * np.sqrt((reach * reach).sum(axis=0)) / s
            rho = rho_b[k]
            parting = np.sqrt(2.0 + rho**2)
            slack = np.minimum(slack, ((1.0 - 1.0 / MARGIN) * far * s / parting).min(axis=0))
            first[k] = (np.sqrt(2.0) + 2.0 * rho + parting + far) / s
            later[k] = (np.sqrt(2.0) + 5.0 * rho + 2.0 * parting + far) / s**2
    return first, later, slack


def _arms(
    groups: tuple[Group, ...], points: Array, state: State, count: int
) -> tuple[Array, Array]:
    """Distances (rows, n) of the ends from their bodies' centres, and 1 where a body moves."""
    out = np.zeros((count, points.shape[-1]))
    on = np.zeros((count, 1))
    for group in groups:
        if group.body != GROUND:
            arm = points[:, group.rows] - state.centre[group.body][:, None]
            out[group.rows] = np.sqrt((arm * arm).sum(axis=0))
            on[group.rows] = 1.0
    return out, on
