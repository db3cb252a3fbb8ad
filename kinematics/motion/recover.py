"""Poses of all bodies, from those that were solved for.

Arms that were taken as circles and bodies taken as rods get their poses in closed form. The last
axis is the batch; the pose maps a point as measured ``p0`` to ``rotation @ p0 + position``.
"""

from __future__ import annotations

import numpy as np

from kinematics.frames import Array, cross_last, dot_last, matrix_last
from kinematics.motion.mechanism import Mechanism
from kinematics.motion.rows import State
from kinematics.motion.system import System
from kinematics.project.model import CHASSIS, RACK, Ball, Hinge


def names(mechanism: Mechanism) -> tuple[str, ...]:
    """All bodies that have a pose: chassis, rack, the moving ones, and bent links."""
    rack = (RACK,) if mechanism.project.rack is not None else ()
    return (CHASSIS, *rack, *mechanism.bodies, *mechanism.bent)


def poses(system: System, state: State, rack: Array, xyz: Array) -> tuple[Array, Array]:
    """Rotations (bodies, 3, 3, n) and positions (bodies, 3, n) of all of ``names``.

    ``xyz`` are the points as measured, (points, 3) or (3, points, n).
    """
    mechanism, n = system.mechanism, state.size
    order = names(mechanism)
    kind = np.result_type(state.centre, state.turn)
    rotation = np.zeros((len(order), 3, 3, n), dtype=kind)
    position = np.zeros((len(order), 3, n), dtype=kind)
    p = xyz.T[:, :, None] if xyz.ndim == 2 else xyz
    index = {name: i for i, name in enumerate(order)}
    for name in (CHASSIS, RACK):
        if name in index:
            rotation[index[name]] = np.eye(3)[:, :, None]
    if RACK in index:
        position[index[RACK], 1] = rack
    for i, body in enumerate(system.bodies):
        matrix = matrix_last(state.turn[i])
        rotation[index[body]] = matrix
        position[index[body]] = state.centre[i] - _turned(matrix, system.geometry.centre[i])
    at = _Carrier(mechanism, index, rotation, position, p)
    as_measured = xyz is mechanism.xyz
    for body in system.circles:
        k = index[body]
        if as_measured:
            swing = system.swings[body]
            now = at.now(swing.tip, swing.other)
            rotation[k], position[k] = swing.pose(now)
        else:
            rotation[k], position[k] = _arm(system, body, at)
    for body, pair in system.rods.items():
        balls = [mechanism.joints[name] for name in pair]
        ends = [
            (j.at, j.bodies[0] if j.bodies[1] == body else j.bodies[1])
            for j in balls
            if isinstance(j, Ball)
        ]
        rotation[index[body]], position[index[body]] = _rod(at, ends)
    for name in mechanism.bent:
        link = mechanism.links[name]
        ends = [(end.point, end.body) for end in (link.inner, link.outer)]
        rotation[index[name]], position[index[name]] = _rod(at, ends)
    return rotation, position


class _Carrier:
    """Points as measured and where their bodies have carried them."""

    def __init__(
        self,
        mechanism: Mechanism,
        index: dict[str, int],
        rotation: Array,
        position: Array,
        p: Array,
    ) -> None:
        self._mechanism, self._index, self._p = mechanism, index, p
        self._rotation, self._position = rotation, position

    def measured(self, point: str) -> Array:
        return self._p[:, self._mechanism.points[point]]

    def now(self, point: str, body: str) -> Array:
        i, p = self._index[body], self.measured(point)
        on, by = self._mechanism.shifts.get(point, (body, 0.0))
        if on != body:
            p = p - np.reshape(by, (3, 1))
        return np.asarray(_turned(self._rotation[i], p) + self._position[i])


def _turned(matrix: Array, v: Array) -> Array:
    if v.shape[-1] == 1:
        return np.asarray(np.matmul(v[:, 0], matrix))
    return np.asarray(matrix[:, 0] * v[0] + matrix[:, 1] * v[1] + matrix[:, 2] * v[2])


def _arm(system: System, body: str, at: _Carrier) -> tuple[Array, Array]:
    """An arm's pose from its ball: a turn about its hinge line."""
    hinge_name, ball_name = system.circles[body]
    hinge, ball = (system.mechanism.joints[name] for name in (hinge_name, ball_name))
    assert isinstance(hinge, Hinge)
    assert isinstance(ball, Ball)
    pivot, tip = at.measured(hinge.along[0]), at.measured(ball.at)
    other = ball.bodies[0] if ball.bodies[1] == body else ball.bodies[1]
    axis = _unit(pivot - at.measured(hinge.along[1]))
    start = tip - pivot
    start = start - axis * dot_last(axis, start)
    across = cross_last(axis, start)
    now = at.now(ball.at, other) - pivot
    c, s = dot_last(start, now), dot_last(across, now)
    size = np.sqrt(c * c + s * s)
    c, s = c / size, s / size
    matrix = axis[:, None] * axis[None] * (1.0 - c)
    for i in range(3):
        j, k = (i + 1) % 3, (i + 2) % 3
        matrix[i, i] += c
        matrix[i, j] -= s * axis[k]
        matrix[j, i] += s * axis[k]
    return matrix, pivot - _turned(matrix, pivot)


def _rod(at: _Carrier, ends: list[tuple[str, str]]) -> tuple[Array, Array]:
    """A rod's pose by the least turn from its direction as measured; its spin is a convention."""
    (i, on_i), (j, on_j) = ends
    first, second = at.measured(i), at.measured(j)
    base = at.now(i, on_i)
    start, end = _unit(second - first), _unit(at.now(j, on_j) - base)
    w = cross_last(start, end)
    c = dot_last(start, end)
    matrix = w[:, None] * w[None] / (1.0 + c)
    for k in range(3):
        matrix[k, k] += c
        a, b = (k + 1) % 3, (k + 2) % 3
        matrix[a, b] -= w[k]
        matrix[b, a] += w[k]
    return matrix, base - _turned(matrix, first)


def _unit(v: Array) -> Array:
    return np.asarray(v / np.sqrt(dot_last(v, v)))
