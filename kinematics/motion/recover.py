"""Poses of all bodies, from those that were solved for.

Arms that were taken as circles and bodies taken as rods get their poses in closed form. The last
axis is the batch; the pose maps a point as measured ``p0`` to ``rotation @ p0 + position``.
"""

from __future__ import annotations

import numpy as np

from kinematics.frames import Array, cross_last, dot_last, posture_terms
from kinematics.motion.mechanism import Mechanism
from kinematics.motion.rows import State
from kinematics.motion.system import System
from kinematics.project.model import CHASSIS, RACK, Ball, Hinge

STANDING = np.append(np.eye(3), np.zeros(3))[:, None]
"""The pose of what stands still: its rotation matrix, row by row, and its position."""


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
    whole = np.empty((len(order), 12, n), dtype=kind)
    index = {name: i for i, name in enumerate(order)}
    whole[0] = STANDING
    if RACK in index:
        whole[index[RACK]] = STANDING
        whole[index[RACK], 10] = rack
    for i, body in enumerate(system.bodies):
        terms = posture_terms(state.centre[i], state.turn[i])
        np.dot(system.carry[i], terms, out=whole[index[body]])
    both = whole.reshape(len(order), 4, 3, n)
    rotation, position = both[:, :3], both[:, 3]
    if xyz is mechanism.xyz:
        for swing in system.swings:
            found = swing.poses(whole[index[swing.other]])
            for arm, pose in zip(swing.arms, found, strict=True):
                whole[index[arm]] = pose
        if not system.rods and not mechanism.bent:
            return rotation, position
    p = xyz.T[:, :, None] if xyz.ndim == 2 else xyz
    at = _Carrier(mechanism, index, rotation, position, p)
    if xyz is not mechanism.xyz:
        for body in system.circles:
            rotation[index[body]], position[index[body]] = _arm(system, body, at)
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
