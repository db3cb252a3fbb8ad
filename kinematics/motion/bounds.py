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
from kinematics.motion.constants import constants
from kinematics.motion.eliminate import solve
from kinematics.motion.row_rates import driver_rates, second
from kinematics.motion.rows import Geometry, State, evaluate, jacobian
from kinematics.motion.system import System


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
    own = constants(system.table, geo, rows, state)
    weight = np.sqrt(np.einsum("cmn,cmn->mn", inverse, inverse))
    return Bounds(
        speed=speed,
        acceleration=acceleration,
        y=np.sqrt((speed * speed).sum(axis=0)),
        bend=np.sqrt((acceleration * acceleration).sum(axis=0)),
        kappa=(weight * own.first[system.kept]).sum(axis=0),
        kappa2=(weight * own.later[system.kept]).sum(axis=0),
        slack=own.slack,
    )
