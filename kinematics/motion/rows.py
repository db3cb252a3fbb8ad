"""Constraint rows: what each joint asks of the bodies' poses, and its exact derivatives.

There are two kinds of row, both in millimetres. With ``a`` a point of body A, ``b`` a point of
body B and ``d = b - a``:

distance
    ``½(|d|²/L - L)``: the points stay ``L`` apart. It equals ``|d| - L`` to first order and is a
    polynomial, so its derivatives have simple exact bounds.
along
    ``n·d - h``, with ``n`` a unit vector fixed in body A: ``b`` stays at the height ``h`` over the
    plane through ``a`` square to ``n``.

Every row is a line force in disguise: a force ``g`` along a line through ``b``. Its derivative by
a small motion of B (shift of the body's centre and turn about it) is the force and its moment,
and minus that for A. The driver, by wheel travel, damper length or arm angle, is one row more.

All arrays carry the poses on their last axis and vectors on their first (see ``frames``).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import Array, carried_last, cross_last, dot_last, matrix_last, turned_last

Index = slice | NDArray[np.intp]
GROUND = -1
"""Stands for the chassis in row tables, and for the rack, whose shift is added apart."""


@dataclass(frozen=True)
class Group:
    """The rows whose end is on one body (``GROUND``: the chassis or the rack).

    ``rows`` indexes all rows; ``normals`` the along rows among them, counted from the first
    along row, and only for the A ends.
    """

    body: int
    rows: Index
    normals: Index | None = None


@dataclass(frozen=True)
class Table:
    """Which rows there are and what they act between; no geometry.

    The ``distances`` come first of the ``rows``, then the along rows. ``racked`` (rows,) is +1
    where the ``b`` end rides on the rack, -1 where the ``a`` end does. ``hinged`` says for each
    body whether it has one column (a turn about a chassis hinge) or six. ``driver`` is the
    driver's row and ``by`` its kind: ``travel``, ``damper`` or ``angle``; ``none`` if missing.
    """

    rows: int
    distances: int
    a_on: tuple[Group, ...]
    b_on: tuple[Group, ...]
    racked: Array
    hinged: tuple[bool, ...]
    columns: tuple[slice, ...]
    driver: int
    by: str

    @cached_property
    def width(self) -> int:
        """The number of unknowns."""
        return sum([1 if hinged else 6 for hinged in self.hinged])

    @cached_property
    def on_rack(self) -> bool:
        """Whether any row rides on the rack."""
        return bool(self.racked.any())

    @cached_property
    def dense(self) -> bool:
        """Whether one free body has the moving end of every row: the usual corner."""
        return (
            self.hinged == (False,)
            and len(self.b_on) == 1
            and [group.body for group in self.a_on] == [GROUND]
        )


@dataclass(frozen=True)
class Geometry:
    """The numbers the rows need, for one corner or (with a batch axis n) for many variants.

    ``a`` and ``b`` are the rows' ends, (3, rows, 1 or n), in the frame of their body (about its
    ``centre``, (bodies, 3, 1)) or, on the ground, in car coordinates. ``normal`` is
    (3, along rows, 1 or n); ``size`` (rows, 1 or n) is L or h; ``axis``
    (bodies, 3, 1 or n) the hinge axes; ``arm`` (2, 3, 1 or n) the two directions an arm-angle
    driver turns between. ``scale`` is the length in mm that rotation columns are divided by, so
    that a turn of 1/scale rad weighs as much as a shift of 1 mm.
    """

    a: Array
    b: Array
    normal: Array
    size: Array
    centre: Array
    axis: Array
    arm: Array
    scale: float


@dataclass(frozen=True)
class State:
    """Poses of the solved bodies: centres (bodies, 3, n) and quaternions (bodies, 4, n).

    The quaternion is the turn since the position the points were measured in.
    """

    centre: Array
    turn: Array

    @property
    def size(self) -> int:
        """The number of poses."""
        return int(self.centre.shape[-1])

    def take(self, index: Index) -> State:
        """The poses at ``index`` of the batch axis."""
        return State(self.centre[..., index], self.turn[..., index])


@dataclass(frozen=True)
class Rows:
    """The rows evaluated at n poses: ``value`` (rows, n) in mm, ``force`` g, ``apart`` d and the
    points ``a`` and ``b`` (3, rows, n; on the rack as if it stood central), the bodies'
    ``matrix`` (3, 3, n) each."""

    value: Array
    force: Array
    apart: Array
    a: Array
    b: Array
    matrix: tuple[Array, ...]


def evaluate(table: Table, geo: Geometry, state: State, drive: Array, rack: Array) -> Rows:
    """The rows at the poses ``state``, the driver at ``drive`` (n,) and the rack at ``rack``."""
    matrix = tuple([matrix_last(q) for q in state.turn])
    a = _ends(table.a_on, geo.a, state, matrix, table.rows)
    b = _ends(table.b_on, geo.b, state, matrix, table.rows)
    apart = b - a
    if table.on_rack:
        apart[1] += table.racked[:, None] * rack
    m = table.distances
    force = np.empty_like(apart)
    size = geo.size
    if m:
        length = _lengths(table, geo, drive)
        np.divide(apart[:, :m], length, out=force[:, :m])
        size = length if m == table.rows else size
    if m < table.rows:
        _normals(table, geo, matrix, drive, force[:, m:])
    value = np.einsum("imn,imn->mn", force, apart)
    if table.by == "damper":
        value[:m] -= length
        value[m:] -= size[m:]
    else:
        value -= size
    value[:m] *= 0.5
    if table.by == "travel":
        value[table.driver] -= drive
    return Rows(value, force, apart, a, b, matrix)


def _ends(
    groups: tuple[Group, ...], local: Array, state: State, matrix: tuple[Array, ...], rows: int
) -> Array:
    """The rows' ends (3, rows, n) in car coordinates; (3, rows, 1) where all stand still."""
    if len(groups) == 1:
        return _end(groups[0].body, local, state, matrix)
    kind = np.result_type(local, state.centre)
    out = np.empty((3, rows, state.size), dtype=kind)
    for group in groups:
        out[:, group.rows] = _end(group.body, local[:, group.rows], state, matrix)
    return out


def _end(body: int, local: Array, state: State, matrix: tuple[Array, ...]) -> Array:
    if body == GROUND:
        return local
    out = carried_last(local, matrix[body])
    out += state.centre[body][:, None]
    return out


def _lengths(table: Table, geo: Geometry, drive: Array) -> Array:
    size = geo.size[: table.distances]
    if table.by != "damper":
        return size
    shape = (table.distances, max(drive.size, size.shape[-1]))
    out = np.broadcast_to(size, shape).astype(np.result_type(size, drive))
    out[table.driver] = drive
    return out


def _normals(
    table: Table, geo: Geometry, matrix: tuple[Array, ...], drive: Array, out: Array
) -> None:
    for group in table.a_on:
        index = group.normals
        if index is None:
            continue
        part = geo.normal[:, index]
        out[:, index] = part if group.body == GROUND else carried_last(part, matrix[group.body])
    if table.by == "angle":
        # Square to the arm as it should stand, so the row holds when the arm stands so.
        out[:, table.driver - table.distances] = (
            np.cos(drive) * geo.arm[1] - np.sin(drive) * geo.arm[0]
        )


def jacobian(table: Table, geo: Geometry, rows: Rows, state: State) -> Array:
    """Derivatives (rows, columns, n) by each body's shift and scaled turn, or its hinge angle.

    Columns of a free body: 3 of shift of its centre in mm, 3 of turn in scaled mm.
    """
    shape = (table.rows, table.width, rows.value.shape[-1])
    out = (np.empty if table.dense else np.zeros)(shape, dtype=rows.value.dtype)
    for groups, sign in ((table.b_on, 1.0), (table.a_on, -1.0)):
        for group in groups:
            if group.body == GROUND:
                continue
            index, columns = group.rows, table.columns[group.body]
            force = rows.force[:, index]
            moment = cross_last(rows.b[:, index] - state.centre[group.body][:, None], force)
            moment *= sign / geo.scale
            if table.hinged[group.body]:
                out[index, columns.start] += dot_last(moment, geo.axis[group.body][:, None])
                continue
            block = out[:, columns]
            if table.dense:
                block[:, :3], block[:, 3:] = force.swapaxes(0, 1), moment.swapaxes(0, 1)
            else:
                block[index, :3] += sign * force.swapaxes(0, 1)
                block[index, 3:] += moment.swapaxes(0, 1)
    return out


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
    shift, spin = motions(table, geo, speed)
    v = np.zeros((3, table.rows, n), dtype=rows.value.dtype)
    w, turning = np.zeros_like(v), np.zeros_like(v)
    v[1] += table.racked[:, None] * rates[1]
    for groups, point, sign in ((table.b_on, rows.b, 1.0), (table.a_on, rows.a, -1.0)):
        for group in groups:
            if group.body == GROUND:
                continue
            index, omega = group.rows, spin[group.body][:, None]
            whirl = cross_last(omega, point[:, index] - state.centre[group.body][:, None])
            v[:, index] += sign * (shift[group.body][:, None] + whirl)
            w[:, index] += sign * cross_last(omega, whirl)
            if sign < 0:
                turning[:, index] = np.broadcast_to(omega, turning[:, index].shape)
    m = table.distances
    out = dot_last(rows.force, w)
    if m:
        out[:m] += dot_last(v[:, :m], v[:, :m]) / _lengths(table, geo, drive)
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


def motions(table: Table, geo: Geometry, step: Array) -> tuple[list[Array], list[Array]]:
    """Shift of each body's centre and its turn in rad, (3, n) each, from a solved step."""
    shift, spin = [], []
    for body, columns in enumerate(table.columns):
        part = step[columns]
        if table.hinged[body]:
            shift.append(np.zeros((3, step.shape[-1]), dtype=step.dtype))
            spin.append(geo.axis[body] * (part[0] / geo.scale))
        else:
            shift.append(part[:3])
            spin.append(part[3:] / geo.scale)
    return shift, spin


def moved(table: Table, geo: Geometry, state: State, step: Array) -> State:
    """The poses after a solved ``step`` (columns, n)."""
    if table.hinged == (False,):
        turn = turned_last(state.turn[0], step[3:] * (1.0 / geo.scale))
        return State(state.centre + step[:3], turn[None])
    shift, spin = motions(table, geo, step)
    centre = np.stack([c + s for c, s in zip(state.centre, shift, strict=True)])
    turn = np.stack([turned_last(q, w) for q, w in zip(state.turn, spin, strict=True)])
    return State(centre, turn)
