"""How fast each constraint row can change with the corner's pose, from the row formulas.

For poses that fit together, per unit of motion (shift of centres in mm, turn times ``scale``): a
distance row's force turns no faster than its ends part over L, a moment no faster than its arm
swings (the triangle inequality).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from kinematics.frames import Array
from kinematics.motion.rows import Geometry, Rows, State
from kinematics.motion.tables import GROUND, Table

MARGIN = 1.05
"""Room left for a sliding point's distance from its body's centre between two poses."""


class Constants(NamedTuple):
    """Of each row (rows, 1 or n): ``first`` and ``later`` bound the first and second derivative of
    its row of the Jacobian along a unit motion, ``size`` that row itself. They hold within
    ``slack`` (n,) mm of the poses."""

    first: Array
    later: Array
    slack: Array
    size: Array


def constants(table: Table, geo: Geometry, rows: Rows, state: State) -> Constants:
    """The constants of every row at n poses."""
    slack = np.full(state.size, np.inf)
    s = geo.scale
    arm_a, arm_b = (np.sqrt(np.einsum("irn,irn->rn", x, x)) for x in (rows.arm_a, rows.arm_b))
    on_a, on_b = np.zeros((table.rows, 1)), np.zeros((table.rows, 1))
    on_a[table.ends[0][0]], on_b[table.ends[1][0]] = 1.0, 1.0
    rho_a, rho_b = arm_a / s, arm_b / s
    both = on_a * (1.0 + rho_a**2) + on_b * (1.0 + rho_b**2)
    most = np.maximum(rho_a, rho_b)
    m, size = table.distances, np.sqrt(both)
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
            reach = rows.apart[:, k] + rows.arm_a[:, k]
            far = MARGIN * np.sqrt((reach * reach).sum(axis=0)) / s
            rho = rho_b[k]
            parting = np.sqrt(2.0 + rho**2)
            slack = np.minimum(slack, ((1.0 - 1.0 / MARGIN) * far * s / parting).min(axis=0))
            first[k] = (np.sqrt(2.0) + 2.0 * rho + parting + far) / s
            size[k] += far * s
            later[k] = (np.sqrt(2.0) + 5.0 * rho + 2.0 * parting + far) / s**2
    return Constants(first, later, slack, size)
