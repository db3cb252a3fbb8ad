"""How the constraint rows change by the driver and the rack, and along a steady motion.

The right-hand sides of a corner's speeds and accelerations; see ``rows`` for the rows themselves.
"""

from __future__ import annotations

import numpy as np

from kinematics.frames import Array, cross_last, dot_last
from kinematics.motion.rows import Geometry, Rows, State, lengths
from kinematics.motion.tables import Table


def driver_rates(table: Table, geo: Geometry, rows: Rows, drive: Array) -> Array:
    """The right-hand sides (rows, 2, n): minus the rows' derivatives by driver and by rack."""
    out = np.zeros((table.rows, 2, rows.value.shape[-1]), dtype=rows.value.dtype)
    if table.by == "travel":
        out[table.driver, 0] = 1.0
    elif table.by == "damper":
        d = rows.apart[:, table.driver]
        out[table.driver, 0] = 0.5 * (dot_last(d, d) / drive**2 + 1.0)
    elif table.by == "angle":
        falling = np.cos(drive) * geo.arm[0] + np.sin(drive) * geo.arm[1]
        out[table.driver, 0] = dot_last(falling, rows.apart[:, table.driver])
    out[:, 1] = -table.racked[:, None] * rows.force[1]
    return out


def second(
    table: Table,
    geo: Geometry,
    rows: Rows,
    state: State,
    drive: Array,
    speed: Array,
    rates: tuple[float, float],
) -> Array:
    """Second derivatives (rows, n) of the rows along the steady motion ``speed`` (columns, n).

    Steady: centres move straight, bodies turn evenly, and the driver and the rack move at the
    two ``rates``. The acceleration of the corner is minus this, solved by the Jacobian.
    """
    n = rows.value.shape[-1]
    motion = geo.motion(table, speed)
    v = np.zeros((3, table.rows, n), dtype=np.result_type(rows.value, speed))
    w, turning = np.zeros_like(v), np.zeros_like(v)
    v[1] += table.racked[:, None] * rates[1]
    (on_a, a), (on_b, b) = table.ends
    for index, body, arm, sign in ((on_b, b, rows.arm_b, 1.0), (on_a, a, rows.arm_a, -1.0)):
        if not len(index):
            continue
        shift, omega = motion[body, :3].swapaxes(0, 1), motion[body, 3:].swapaxes(0, 1)
        whirl = cross_last(omega, arm[:, index])
        v[:, index] += sign * (shift + whirl)
        w[:, index] += sign * cross_last(omega, whirl)
        if sign < 0:
            turning[:, index] = omega
    m = table.distances
    out = dot_last(rows.force, w)
    if m:
        bend = dot_last(v[:, :m], v[:, :m]) / lengths(table, geo)
        if table.by == "damper":
            bend[table.driver] /= drive
        out[:m] += bend
    if table.rows > m:
        swing = cross_last(turning[:, m:], rows.force[:, m:])
        out[m:] += 2.0 * dot_last(swing, v[:, m:])
        out[m:] += dot_last(cross_last(turning[:, m:], swing), rows.apart[:, m:])
    if rates[0] and table.by in ("damper", "angle"):
        out[table.driver] += _driver_second(table, geo, rows, drive, v, rates[0])
    return out


def _driver_second(
    table: Table, geo: Geometry, rows: Rows, drive: Array, v: Array, rate: float
) -> Array:
    """What a driver that is not linear in its row adds to the second derivative."""
    d, v = rows.apart[:, table.driver], v[:, table.driver]
    if table.by == "damper":
        parting, square = dot_last(d, v), dot_last(d, d)
        return np.asarray(-2.0 * rate * parting / drive**2 + rate**2 * square / drive**3)
    falling = np.cos(drive) * geo.arm[0] + np.sin(drive) * geo.arm[1]
    still = dot_last(rows.force[:, table.driver], d)
    return np.asarray(-2.0 * rate * dot_last(falling, v) - rate**2 * still)
