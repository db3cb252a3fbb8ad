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
from kinematics.motion.tables import Index, Table

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


class Standing(NamedTuple):
    """What of the constants is the same at every pose, (rows, 1 or n) each.

    The table's ``sliding`` rows have a direction that turns with its body, seen by a point that
    may slide over it: what their point's distance from the body's centre adds is left out here,
    and they hold for ``room`` (sliding, 1 or n) of it. ``both`` is the square of ``size``.
    """

    first: Array
    later: Array
    size: Array
    both: Array
    room: Array


def standing(table: Table, geo: Geometry) -> Standing:
    """The part of the constants that is the same at every pose; kept with the geometry."""
    return geo.kept("_standing", lambda: _standing(table, geo))


def _standing(table: Table, geo: Geometry) -> Standing:
    s, m = geo.scale, table.distances
    rho, on = [], []
    for (moving, _), local in zip(table.ends, (geo.a, geo.b), strict=True):
        is_on = np.zeros((table.rows, 1))
        is_on[moving] = 1.0
        on.append(is_on)
        rho.append(is_on * np.sqrt(np.einsum("irn,irn->rn", local, local)) / s)
    both = on[0] * (1.0 + rho[0] ** 2) + on[1] * (1.0 + rho[1] ** 2)
    most = np.maximum(*rho)
    first, later = np.empty_like(most), np.empty_like(most)
    length = geo.size[:m]
    first[:m] = both[:m] / length + most[:m] / s
    later[:m] = 3.0 * most[:m] * np.sqrt(both[:m]) / (s * length) + most[:m] / s**2
    # A direction that stands still: only the moment's arm turns.
    first[m:] = rho[1][m:] / s
    later[m:] = rho[1][m:] / s**2
    k = table.sliding
    if k is None:
        return Standing(first, later, np.sqrt(both), both, np.zeros((0, 1)))
    parting = np.sqrt(2.0 + rho[1][k] ** 2)
    first[k] = (np.sqrt(2.0) + 2.0 * rho[1][k] + parting) / s
    later[k] = (np.sqrt(2.0) + 5.0 * rho[1][k] + 2.0 * parting) / s**2
    room = (1.0 - 1.0 / MARGIN) / parting
    return Standing(first, later, np.sqrt(both), both, room)


def away(rows: Rows, k: Index) -> Array:
    """How far the points of the sliding rows may be from the body's centre, (sliding, n) in mm."""
    reach = rows.apart[:, k] + rows.arm_a[:, k]
    return np.asarray(MARGIN * np.sqrt(np.einsum("irn,irn->rn", reach, reach)))


def turning(table: Table, rows: Rows, base: Standing) -> Array:
    """What the row of a driver that turns as it is driven adds to its first constant, (n,).

    Its rate is at most the ends' parting.
    """
    d = rows.apart[:, table.driver]
    return np.asarray(base.both[table.driver] / np.sqrt((d * d).sum(axis=0)))


def constants(table: Table, geo: Geometry, rows: Rows, state: State) -> Constants:
    """The constants of every row at n poses."""
    base, s, n = standing(table, geo), geo.scale, state.size
    first, later, size, slack = base.first, base.later, base.size, np.full(n, np.inf)
    k = table.sliding
    if k is not None:
        far = away(rows, k)
        first, later, size = (np.repeat(x, n // x.shape[1], axis=1) for x in base[:3])
        first[k] += far / s**2
        later[k] += far / s**3
        size[k] += far / s
        slack = (base.room * far).min(axis=0)
    if table.by in ("damper", "angle"):
        first = np.repeat(first, n // first.shape[1], axis=1)
        first[table.driver] += turning(table, rows, base)
    return Constants(first, later, slack, size)
