"""Corners solved again to 30 digits, in another formulation.

Nothing of the solver is used. A body is three of its points; its other points are a fixed
combination of them and of their cross product. Unknowns are the coordinates of the points, the
equations squared distances and coincidences, solved by Newton's method in mpmath.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import mpmath as mp

from kinematics.project.model import Ball, Hinge, PointOnLine, Project
from kinematics.project.unfold import unfold

DIGITS = 30
Vector = list  # of three mpf


def vec(xyz) -> Vector:
    return [mp.mpf(x) for x in xyz]


def sub(a, b):
    return [x - y for x, y in zip(a, b, strict=True)]


def dot(a, b):
    return sum((x * y for x, y in zip(a, b, strict=True)), mp.mpf(0))


def cross(a, b):
    return [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]


@dataclass
class Body:
    """Three points as measured; ``fixed`` of them (hinge points) do not move."""

    base: list
    fixed: int
    first: int = 0  # where its unknowns start
    cache: dict = field(default_factory=dict)

    @property
    def unknowns(self) -> int:
        return 3 * (3 - self.fixed)

    def corners(self, x):
        out = list(self.base[: self.fixed])
        for i in range(3 - self.fixed):
            out.append([x[self.first + 3 * i + k] for k in range(3)])
        return out

    def at(self, x, point):
        """Where a point as measured is now."""
        key = tuple(point)
        if key not in self.cache:
            self.cache[key] = self._weights(point)
        a, b, c = self.cache[key]
        p, q, r = self.corners(x)
        u, v = sub(q, p), sub(r, p)
        w = cross(u, v)
        return [p[k] + a * u[k] + b * v[k] + c * w[k] for k in range(3)]

    def _weights(self, point):
        p, q, r = self.base
        u, v = sub(q, p), sub(r, p)
        w = cross(u, v)
        matrix = mp.matrix([[u[k], v[k], w[k]] for k in range(3)])
        solved = mp.lu_solve(matrix, mp.matrix(sub(point, p)))
        return solved[0], solved[1], solved[2]

    def rigid(self, x):
        now, then = self.corners(x), self.base
        for i in range(3):
            for j in range(i):
                if not (i < self.fixed and j < self.fixed):
                    d, e = sub(now[i], now[j]), sub(then[i], then[j])
                    yield dot(d, d) - dot(e, e)


class Digits:
    """A corner to be solved at a travel and a rack position."""

    def __init__(self, project: Project) -> None:
        self.project = project = unfold(project)
        self.points = {name: vec(xyz) for name, xyz in project.points.items()}
        hinged = {}
        for joint in project.joints.values():
            if isinstance(joint, Hinge) and "chassis" in joint.bodies:
                body = joint.bodies[0] if joint.bodies[1] == "chassis" else joint.bodies[1]
                hinged.setdefault(body, joint)
        self.bodies, start = {}, 0
        for name in project.bodies:
            own = self._own(name)
            if name in hinged:
                pivots = [self.points[p] for p in hinged[name].along]
                tip = max(own, key=lambda p: self._off(p, pivots))
                body = Body([*pivots, tip], 2)
            else:
                body = Body(self._spread(own), 0)
            body.first = start
            start += body.unknowns
            self.bodies[name] = body
        self.count = start

    def _own(self, name):
        """Points on a body."""
        project, out = self.project, []
        if project.wheel.body == name:
            out.append(project.wheel.centre)
        for link in project.links.values():
            out += [end.point for end in (link.inner, link.outer) if end.body == name]
        for joint in project.joints.values():
            if isinstance(joint, Ball) and name in joint.bodies:
                out.append(joint.at)
            if isinstance(joint, PointOnLine) and joint.bodies[0] == name:
                out += joint.line
        return [self.points[p] for p in dict.fromkeys(out)]

    @staticmethod
    def _off(p, pivots):
        w = cross(sub(pivots[1], pivots[0]), sub(p, pivots[0]))
        return dot(w, w)

    def _spread(self, own):
        """Three points that span a large triangle."""
        import itertools

        def area(three):
            w = cross(sub(three[1], three[0]), sub(three[2], three[0]))
            return dot(w, w)

        return list(max(itertools.combinations(own, 3), key=area))

    def where(self, x, point, body, rack):
        if body == "chassis":
            return point
        if body == "rack":
            return [point[0], point[1] + rack, point[2]]
        return self.bodies[body].at(x, point)

    def equations(self, x, travel, rack):
        project, points = self.project, self.points
        for body in self.bodies.values():
            yield from body.rigid(x)
        for link in project.links.values():
            ends = [(points[e.point], e.body) for e in (link.inner, link.outer)]
            now = [self.where(x, p, b, rack) for p, b in ends]
            d, e = sub(*now), sub(ends[0][0], ends[1][0])
            yield dot(d, d) - dot(e, e)
        for joint in project.joints.values():
            if isinstance(joint, Ball):
                p = points[joint.at]
                yield from sub(*(self.where(x, p, b, rack) for b in joint.bodies))
            elif isinstance(joint, PointOnLine):
                a, b = (self.where(x, points[p], joint.bodies[0], rack) for p in joint.line)
                p = self.where(x, points[joint.point], joint.bodies[1], rack)
                w = cross(sub(b, a), sub(p, a))
                # Two of the three components; the strut stands, so its z is never small.
                yield w[0]
                yield w[1]
        centre = points[project.wheel.centre]
        yield self.where(x, centre, project.wheel.body, rack)[2] - centre[2] - travel

    def solve(self, start, travel, rack):
        """Newton from a start (unknowns) to the root, to ``DIGITS`` and some more."""
        with mp.workdps(DIGITS + 10):
            travel, rack = mp.mpf(travel), mp.mpf(rack)
            x = mp.matrix([mp.mpf(v) for v in start])
            for _ in range(12):
                f = mp.matrix(list(self.equations(x, travel, rack)))
                if mp.norm(f, mp.inf) < mp.mpf(10) ** (-DIGITS):
                    return x
                x = x - mp.lu_solve(self._slopes(x, f, travel, rack), f)
            raise ArithmeticError("no root to 30 digits")

    def _slopes(self, x, f, travel, rack):
        """Differences with a step far below the digits kept: exact to 20 of 40."""
        h = mp.mpf(10) ** -20
        matrix = mp.matrix(len(f), self.count)
        for j in range(self.count):
            nudged = x.copy()
            nudged[j] += h
            for i, value in enumerate(self.equations(nudged, travel, rack)):
                matrix[i, j] = (value - f[i]) / h
        return matrix
