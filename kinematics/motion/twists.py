"""Exact rates of all bodies by the driver and by the rack, from the Jacobian."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from kinematics.frames import Array, cross_last, dot_last
from kinematics.motion.recover import names
from kinematics.motion.rows import Geometry, State, motions
from kinematics.motion.solve import tangents
from kinematics.motion.system import System
from kinematics.project.model import RACK, Ball, Hinge


class Twist(NamedTuple):
    """How all bodies move per mm of travel (or of rack): a point at ``x`` in car coordinates has
    the speed ``spin × x + drift``; both (bodies, 3, n)."""

    spin: Array
    drift: Array


class Posed(NamedTuple):
    """Recovered poses of all bodies, and the points as measured (3, points, 1 or n)."""

    rotation: Array
    position: Array
    points: Array


def twists(
    system: System, geo: Geometry, state: State, drive: Array, rack: Array, posed: Posed
) -> tuple[Twist, Twist]:
    """Twists of all bodies along the driver and along the rack, at every pose."""
    speeds, _ = tangents(system, geo, state, drive, rack)
    by_driver = spread(system, geo, state, speeds[:, 0], posed, 0.0)
    by_rack = spread(system, geo, state, speeds[:, 1], posed, 1.0)
    return by_driver, by_rack


def spread(
    system: System, geo: Geometry, state: State, speed: Array, posed: Posed, rack_rate: float
) -> Twist:
    """The twists of all bodies from the solved speed (columns, n) of those solved for."""
    mechanism = system.mechanism
    index = {name: i for i, name in enumerate(names(mechanism))}
    spin, drift = np.zeros_like(posed.position), np.zeros_like(posed.position)
    shifts, spins = motions(system.table, geo, speed)
    for i, body in enumerate(system.bodies):
        k = index[body]
        spin[k] = spins[i]
        drift[k] = shifts[i] - cross_last(spins[i], state.centre[i])
    if RACK in index:
        drift[index[RACK], 1] = rack_rate
    mover = _Mover(mechanism.points, index, posed, Twist(spin, drift))
    for body, (hinge_name, ball_name) in system.circles.items():
        hinge, ball = mechanism.joints[hinge_name], mechanism.joints[ball_name]
        assert isinstance(hinge, Hinge)
        assert isinstance(ball, Ball)
        k = index[body]
        other = ball.bodies[0] if ball.bodies[1] == body else ball.bodies[1]
        pivot = mover.measured(hinge.along[0])
        line = pivot - mover.measured(hinge.along[1])
        axis = line / np.sqrt(dot_last(line, line))
        arm = mover.now(ball.at, other) - pivot
        arm = arm - axis * dot_last(axis, arm)
        turning = dot_last(cross_last(axis, arm), mover.speed(ball.at, other))
        spin[k] = axis * (turning / dot_last(arm, arm))
        drift[k] = -cross_last(spin[k], pivot)
    for body, pair in system.rods.items():
        balls = [j for j in (mechanism.joints[name] for name in pair) if isinstance(j, Ball)]
        ends = [(j.at, j.bodies[0] if j.bodies[1] == body else j.bodies[1]) for j in balls]
        spin[index[body]], drift[index[body]] = mover.rod(ends)
    for name in mechanism.bent:
        link = mechanism.links[name]
        ends = [(end.point, end.body) for end in (link.inner, link.outer)]
        spin[index[name]], drift[index[name]] = mover.rod(ends)
    return Twist(spin, drift)


class _Mover:
    """Where named points are and how fast they move."""

    def __init__(
        self, points: dict[str, int], index: dict[str, int], posed: Posed, twist: Twist
    ) -> None:
        self._points, self._index, self._posed, self._twist = points, index, posed, twist

    def measured(self, point: str) -> Array:
        return self._posed.points[:, self._points[point]]

    def now(self, point: str, body: str) -> Array:
        k, p = self._index[body], self.measured(point)
        matrix = self._posed.rotation[k]
        turned = matrix[:, 0] * p[0] + matrix[:, 1] * p[1] + matrix[:, 2] * p[2]
        return np.asarray(turned + self._posed.position[k])

    def speed(self, point: str, body: str) -> Array:
        k = self._index[body]
        return np.asarray(
            cross_last(self._twist.spin[k], self.now(point, body)) + self._twist.drift[k]
        )

    def rod(self, ends: list[tuple[str, str]]) -> tuple[Array, Array]:
        """Twist of the least turn that carries a rod from its direction as measured."""
        (i, on_i), (j, on_j) = ends
        start = self.measured(j) - self.measured(i)
        start = start / np.sqrt(dot_last(start, start))
        base, along = self.now(i, on_i), self.now(j, on_j) - self.now(i, on_i)
        size = np.sqrt(dot_last(along, along))
        u = along / size
        swing = (self.speed(j, on_j) - self.speed(i, on_i)) / size
        swing = swing - u * dot_last(u, swing)
        w = cross_last(u, swing)
        # The least turn keeps no spin about start + u, which fixes its spin about u.
        w = w - u * (dot_last(start, w) / (1.0 + dot_last(start, u)))
        return w, self.speed(i, on_i) - cross_last(w, base)
