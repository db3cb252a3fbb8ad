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

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple, TypeVar

import numpy as np

from kinematics.frames import (
    Array,
    carried_last,
    cross_last,
    matrix_last,
    posture_last,
    turned_last,
)
from kinematics.motion.tables import GROUND, Index, Table

Kept = TypeVar("Kept")


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

    def kept(self, what: str, work: Callable[[], Kept]) -> Kept:
        """What hangs on this geometry alone, worked out once."""
        if what not in self.__dict__:
            self.__dict__[what] = work()
        found: Kept = self.__dict__[what]
        return found

    def plan(self, table: Table) -> Plan | None:
        """What rows take from the poses in one product; None for many variants."""
        return self.kept("_plan", lambda: _plan(table, self))

    def motion(self, table: Table, step: Array) -> Array:
        """Shift and turn in rad (bodies, 6, n) of each body, from a solved ``step``."""
        matrix = self.kept("_spread", lambda: _spread(table, self))
        if matrix is None:
            return _spread_by_body(table, self, step)
        return np.asarray(np.matmul(matrix, step).reshape(-1, 6, step.shape[-1]))


class Plan(NamedTuple):
    """One ``matrix`` (3, 3·rows or 4·rows, width) for all that rows take from the poses.

    For each direction of the car, from the bodies' matrices' rows, their centres, 1 and the rack:
    the ends' partings, the forces, the B arms, and the A arms where any A end moves. ``offset``
    (rows, 1) is what the rows' values count from.
    """

    matrix: Array
    offset: Array


class State(NamedTuple):
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


class Rows(NamedTuple):
    """The rows evaluated at n poses: ``value`` (rows, n) in mm, ``force`` g, ``apart`` d, and the
    ends seen from their bodies' centres, ``arm_a`` and ``arm_b`` (3, rows, n), 0 on the ground."""

    value: Array
    force: Array
    apart: Array
    arm_a: Array
    arm_b: Array


def evaluate(table: Table, geo: Geometry, state: State, drive: Array, rack: Array) -> Rows:
    """The rows at the poses ``state``, the driver at ``drive`` (n,) and the rack at ``rack``."""
    plan, rows = geo.plan(table), table.rows
    if plan is None:
        apart, force, arm_a, arm_b, offset = _each(table, geo, state, rack)
    else:
        taken = np.matmul(plan.matrix, _posture(state, rack))
        apart, force, arm_b = taken[:, :rows], taken[:, rows : 2 * rows], taken[:, 2 * rows :]
        offset, arm_a = plan.offset, STILL
        if table.a_moves:
            arm_b, arm_a = arm_b[:, :rows], arm_b[:, rows:]
    if table.by not in ("travel", "none"):
        force = _driven_force(table, geo, force, drive)
    value = np.einsum("imn,imn->mn", force, apart)
    value *= table.halves
    value -= offset
    if table.driver >= 0:
        if value.dtype != drive.dtype:
            value = value.astype(np.result_type(value, drive))
        if table.by == "travel":
            value[table.driver] -= drive
        elif table.by == "damper":
            value[table.driver] -= 0.5 * drive
    return Rows(value, force, apart, arm_a, arm_b)


def misfit(table: Table, geo: Geometry, state: State, drive: Array, rack: Array) -> Array:
    """The rows' values alone, (rows, n) in mm: what ``evaluate`` has of them, for less."""
    plan, rows, m = geo.plan(table), table.rows, table.distances
    if table.by not in ("travel", "none") or (plan is None and not table.dense):
        return evaluate(table, geo, state, drive, rack).value
    if plan is not None:
        taken = np.matmul(plan.matrix[:, : 2 * rows], _posture(state, rack))
        value = np.einsum("imn,imn->mn", taken[:, :rows], taken[:, rows:])
        value *= table.halves
        value -= plan.offset
    else:
        apart, _ = _parted(table, geo, state, matrix_last(state.turn)[0], rack)
        value = np.empty(apart.shape[1:], dtype=apart.dtype)
        np.einsum("imn,imn->mn", apart[:, :m], apart[:, :m], out=value[:m])
        value[:m] *= geo.kept("_halves", lambda: 0.5 / geo.size[:m])
        np.einsum("imn,imn->mn", geo.normal, apart[:, m:], out=value[m:])
        value -= geo.kept("_offset", lambda: _offset(table, geo))
    if table.driver >= 0:
        value[table.driver] -= drive
    return np.asarray(value)


FREE = (False,)
"""One body and no hinge: the usual corner, whose steps are shift and turn as they come."""
STILL = np.zeros((3, 1, 1))
"""The arms of ends that stand on the ground."""


def _driven_force(table: Table, geo: Geometry, force: Array, drive: Array) -> Array:
    """The forces with that of a driver which is not linear in its row."""
    out = force.astype(np.result_type(force, drive))
    if table.by == "damper":
        out[:, table.driver] /= drive
    else:
        # Square to the arm as it should stand, so the row holds when the arm stands so.
        out[:, table.driver] = np.cos(drive) * geo.arm[1] - np.sin(drive) * geo.arm[0]
    return out


def _posture(state: State, rack: Array) -> Array:
    """What a plan is applied to, (3, 4·bodies + 2, n): for each direction of the car the bodies'
    matrices' rows, their centres, 1, and the rack."""
    bodies, _, n = state.centre.shape
    if bodies == 1:
        return posture_last(state.centre[0], state.turn[0], rack)
    out = np.empty((3, 4 * bodies + 2, n), dtype=np.result_type(state.centre, state.turn, rack))
    matrix = matrix_last(state.turn)
    out[:, : 3 * bodies].reshape(3, bodies, 3, n)[...] = matrix.swapaxes(0, 1)
    out[:, 3 * bodies : 4 * bodies] = state.centre.swapaxes(0, 1)
    out[:, -2], out[:, -1] = 1.0, rack
    return out


def _plan(table: Table, geo: Geometry) -> Plan | None:
    if any(x.shape[-1] > 1 for x in (geo.a, geo.b, geo.normal)):
        return None
    rows, bodies, m = table.rows, len(table.hinged), table.distances
    kind = np.result_type(geo.a, geo.b, geo.normal, geo.size)
    out = np.zeros((3, (4 if table.a_moves else 3) * rows, 4 * bodies + 2), dtype=kind)
    apart, force = out[:, :rows], out[:, rows : 2 * rows]
    for groups, local, sign, arms in (
        (table.a_on, geo.a, -1.0, 3 * rows),
        (table.b_on, geo.b, 1.0, 2 * rows),
    ):
        for group in groups:
            k, at = np.arange(rows)[group.rows], local[:, group.rows, 0]
            if group.body == GROUND:
                apart[:, k, -2] += sign * at
                continue
            own = slice(3 * group.body, 3 * group.body + 3)
            apart[:, k, own] += sign * at.T
            apart[:, k, 3 * bodies + group.body] += sign
            out[:, arms + k, own] = at.T
    apart[1, :, -1] = table.racked
    force[:, :m] = apart[:, :m] / lengths(table, geo)
    for group in table.a_on:
        if group.normals is not None:
            k = np.arange(m, rows)[group.normals]
            normal = geo.normal[:, group.normals, 0]
            if group.body == GROUND:
                force[:, k, -2] = normal
            else:
                force[:, k, 3 * group.body : 3 * group.body + 3] = normal.T
    return Plan(out, _offset(table, geo))


def _offset(table: Table, geo: Geometry) -> Array:
    """What the rows' values count from, (rows, 1 or n): ½L or h; a damper's length comes later."""
    out = geo.size * table.halves
    if table.by == "damper":
        out[table.driver] = 0.0
    return out


def _each(
    table: Table, geo: Geometry, state: State, rack: Array
) -> tuple[Array, Array, Array, Array, Array]:
    """The same taken body by body, for variants whose points differ from pose to pose."""
    matrix = matrix_last(state.turn)
    if table.dense:
        (apart, arm_b), arm_a = _parted(table, geo, state, matrix[0], rack), STILL
    else:
        apart, arm_a, arm_b = _ends(table, geo, state, matrix, rack)
    m, size = table.distances, lengths(table, geo)
    force = np.empty(apart.shape, dtype=np.result_type(apart, size))
    np.divide(apart[:, :m], size, out=force[:, :m])
    for group in table.a_on:
        if group.normals is not None:
            part = geo.normal[:, group.normals]
            turned = part if group.body == GROUND else carried_last(part, matrix[group.body])
            force[:, m:][:, group.normals] = turned
    return apart, force, arm_a, arm_b, geo.kept("_offset", lambda: _offset(table, geo))


def _parted(
    table: Table, geo: Geometry, state: State, matrix: Array, rack: Array
) -> tuple[Array, Array]:
    """How the ends part, and the B arms, where one free body has all that move."""
    arm_b = carried_last(geo.b, matrix)
    apart = state.centre[0][:, None] - geo.a
    apart += arm_b
    if table.racked.any():
        apart[1] += table.racked[:, None] * rack
    return apart, arm_b


def _ends(
    table: Table, geo: Geometry, state: State, matrix: Array, rack: Array
) -> tuple[Array, Array, Array]:
    """How the ends part, and their arms, body by body."""
    shape = (3, table.rows, max(state.size, geo.size.shape[-1]))
    kind = np.result_type(geo.a, geo.b, state.centre, state.turn, rack)
    apart = np.zeros(shape, dtype=kind)
    arms = []
    for groups, local, sign in ((table.a_on, geo.a, -1.0), (table.b_on, geo.b, 1.0)):
        arm = np.zeros(shape, dtype=kind)
        for group in groups:
            if group.body == GROUND:
                apart[:, group.rows] += sign * local[:, group.rows]
                continue
            mine = carried_last(local[:, group.rows], matrix[group.body])
            arm[:, group.rows] = mine
            apart[:, group.rows] += sign * (mine + state.centre[group.body][:, None])
        arms.append(arm)
    apart[1] += table.racked[:, None] * rack
    return apart, arms[0], arms[1]


def lengths(table: Table, geo: Geometry) -> Array:
    """The distance rows' lengths (distances, 1 or n), 1 for a damper that drives."""
    out = geo.size[: table.distances]
    if table.by == "damper":
        out = out.copy()
        out[table.driver] = 1.0
    return out


def jacobian(table: Table, geo: Geometry, rows: Rows, state: State) -> Array:
    """Derivatives (rows, columns, n) by each body's shift and scaled turn, or its hinge angle.

    Columns of a free body: 3 of shift of its centre in mm, 3 of turn in scaled mm.
    """
    n, kind = rows.value.shape[-1], rows.value.dtype
    force = rows.force.swapaxes(0, 1)
    if table.hinged == FREE:
        lever = rows.arm_b
        out = np.empty((table.rows, 6, n), dtype=kind)
        out[:, :3] = force
        if table.a_moves:
            # Where the A end moves, both turn round; the force acts through b all the same.
            moving, lever = table.lead, lever.copy()
            out[moving, :3] *= -1.0
            lever[:, moving] = -(rows.apart[:, moving] + rows.arm_a[:, moving])
        moment = cross_last(lever, rows.force).swapaxes(0, 1)
        np.multiply(moment, 1.0 / geo.scale, out=out[:, 3:])
        return out
    gathered = geo.kept("_gathered", lambda: _gathered(table, geo))
    both = np.zeros((table.rows, gathered.shape[2], n), dtype=kind)
    both[:, :3] = force
    if table.a_moves:
        # The force acts along a line through b, wherever that is seen from.
        arms = np.empty((3, 2, table.rows, n), dtype=kind)
        arms[:, 0] = rows.arm_b
        np.add(rows.apart, rows.arm_a, out=arms[:, 1])
        moments = cross_last(arms, rows.force[:, None])
        both[:, 3:].reshape(-1, 2, 3, n)[...] = moments.transpose(2, 1, 0, 3)
    else:
        both[:, 3:6] = cross_last(rows.arm_b, rows.force).swapaxes(0, 1)
    if gathered.ndim == 3:
        return np.asarray(np.matmul(gathered, both))
    return np.asarray(np.einsum("rckn,rkn->rcn", gathered, both))


def _gathered(table: Table, geo: Geometry) -> Array:
    """Matrix (rows, columns, 6 or 9[, n]) to each row's slopes from its force, its moment about
    the B body's centre, and that about the A body's."""
    n = geo.axis.shape[-1]
    wide = 9 if len(table.ends[0][0]) else 6
    out = np.zeros((table.rows, table.width, wide, n), dtype=geo.axis.dtype)
    for (rows, bodies), sign, moment in zip(table.ends, (-1.0, 1.0), (6, 3), strict=True):
        for row, body in zip(rows, bodies, strict=True):
            columns = table.columns[body]
            if table.hinged[body]:
                turned = sign / geo.scale * geo.axis[body]
                out[row, columns.start, moment : moment + 3] = turned
                continue
            for k in range(3):
                out[row, columns.start + k, k] += sign
                out[row, columns.start + 3 + k, moment + k] = sign / geo.scale
    return out[..., 0] if n == 1 else out


def motions(table: Table, geo: Geometry, step: Array) -> tuple[list[Array], list[Array]]:
    """Shift of each body's centre and its turn in rad, (3, n) each, from a solved step."""
    motion = geo.motion(table, step)
    return [x[:3] for x in motion], [x[3:] for x in motion]


def moved(table: Table, geo: Geometry, state: State, step: Array) -> State:
    """The poses after a solved ``step`` (columns, n)."""
    if table.hinged == FREE:
        turn = turned_last(state.turn[0], step[3:], 1.0 / geo.scale)
        return State(state.centre + step[:3], turn[None])
    motion = geo.motion(table, step)
    return State(state.centre + motion[:, :3], turned_last(state.turn, motion[:, 3:]))


def _spread(table: Table, geo: Geometry) -> Array | None:
    """Matrix (6·bodies, columns) from a step to motions; None where axes differ in the batch."""
    if geo.axis.shape[-1] > 1:
        return None
    out = np.zeros((len(table.hinged), 6, table.width), dtype=geo.axis.dtype)
    for body, columns in enumerate(table.columns):
        if table.hinged[body]:
            out[body, 3:, columns.start] = geo.axis[body, :, 0] / geo.scale
        else:
            own = out[body, :, columns]
            own[np.arange(3), np.arange(3)] = 1.0
            own[np.arange(3, 6), np.arange(3, 6)] = 1.0 / geo.scale
    return out.reshape(-1, table.width)


def _spread_by_body(table: Table, geo: Geometry, step: Array) -> Array:
    out = np.zeros((len(table.hinged), 6, step.shape[-1]), dtype=np.result_type(step, geo.axis))
    for body, columns in enumerate(table.columns):
        part = step[columns]
        if table.hinged[body]:
            out[body, 3:] = geo.axis[body] * (part[0] / geo.scale)
        else:
            out[body, :3], out[body, 3:] = part[:3], part[3:] / geo.scale
    return out
