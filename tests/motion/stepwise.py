"""A separately written small-step continuation, for many corners of one arrangement at once.

Nothing of the solver is used: a body is the coordinates of three of its points (see ``digits``,
whose formulation this is in double precision and over arrays), the Jacobian is by complex step, and
every corner is followed from where it was measured in steps of half a millimetre of travel, with
Newton's method at each (one Jacobian to a step). The smallest singular value of the equations,
scaled to mm per mm, is kept.
"""

from __future__ import annotations

import numpy as np

from kinematics.project.model import Ball, Hinge, PointOnLine, Project
from kinematics.project.unfold import unfold

STEP = 0.5


def dot(a, b):
    return (a * b).sum(axis=0)


def cross(a, b):
    return np.stack(
        [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
    )


class Stepwise:
    """Corners (one project's topology, points (points, 3, n)) to be followed."""

    def __init__(self, project: Project, points: np.ndarray) -> None:
        self.project = project = unfold(project)
        self.number = {name: i for i, name in enumerate(project.points)}
        self.points = points
        hinged = {}
        for joint in project.joints.values():
            if isinstance(joint, Hinge) and "chassis" in joint.bodies:
                body = joint.bodies[0] if joint.bodies[1] == "chassis" else joint.bodies[1]
                hinged.setdefault(body, joint)
        self.base, self.fixed, self.first = {}, {}, {}
        start = 0
        for body in project.bodies:
            own = self._own(body)
            if body in hinged:
                pivots = list(hinged[body].along)
                tip = max(own, key=lambda p, q=tuple(pivots): self._area(*q, p))
                self.base[body], self.fixed[body] = [*pivots, tip], 2
            else:
                import itertools

                three = max(itertools.combinations(own, 3), key=lambda t: self._area(*t))
                self.base[body], self.fixed[body] = list(three), 0
            self.first[body] = start
            start += 3 * (3 - self.fixed[body])
        self.count = start
        self.weights = {}

    def p(self, name):
        return self.points[self.number[name]]

    def _area(self, a, b, c):
        w = cross(self.p(b) - self.p(a), self.p(c) - self.p(a))
        return float(dot(w, w).min())

    def _own(self, body):
        project, out = self.project, []
        if project.wheel.body == body:
            out.append(project.wheel.centre)
        for link in project.links.values():
            out += [e.point for e in (link.inner, link.outer) if e.body == body]
        for joint in project.joints.values():
            if isinstance(joint, Ball) and body in joint.bodies:
                out.append(joint.at)
            if isinstance(joint, PointOnLine) and joint.bodies[0] == body:
                out += joint.line
        return list(dict.fromkeys(out))

    def corners(self, body, x):
        base, fixed, first = self.base[body], self.fixed[body], self.first[body]
        out = [self.p(name) for name in base[:fixed]]
        return out + [x[first + 3 * i : first + 3 * i + 3] for i in range(3 - fixed)]

    def where(self, name, body, x):
        if body in ("chassis", "rack"):
            return self.p(name)
        if (name, body) not in self.weights:
            p, q, r = (self.p(b) for b in self.base[body])
            u, v = q - p, r - p
            matrix = np.stack([u, v, cross(u, v)], axis=1).transpose(2, 0, 1)
            solved = np.linalg.solve(matrix, (self.p(name) - p).T[:, :, None])
            self.weights[name, body] = solved[:, :, 0].T
        a, b, c = self.weights[name, body]
        p, q, r = self.corners(body, x)
        u, v = q - p, r - p
        return p + a * u + b * v + c * cross(u, v)

    def equations(self, x, travel):
        """(equations, n), each in mm: distances as (d² - e²)/2e, coincidences as they are."""
        out, project = [], self.project
        for body in project.bodies:
            now, then = self.corners(body, x), [self.p(b) for b in self.base[body]]
            for i in range(3):
                for j in range(i):
                    if not (i < self.fixed[body] and j < self.fixed[body]):
                        out.append(self._distance(now[i] - now[j], then[i] - then[j]))
        for link in project.links.values():
            ends = (link.inner, link.outer)
            now = [self.where(e.point, e.body, x) for e in ends]
            then = [self.p(e.point) for e in ends]
            out.append(self._distance(now[0] - now[1], then[0] - then[1]))
        for joint in project.joints.values():
            if isinstance(joint, Ball):
                out += list(np.subtract(*(self.where(joint.at, b, x) for b in joint.bodies)))
            elif isinstance(joint, PointOnLine):
                a, b = (self.where(p, joint.bodies[0], x) for p in joint.line)
                w = cross(b - a, self.where(joint.point, joint.bodies[1], x) - a)
                size = np.sqrt(dot(*(2 * [self.p(joint.line[1]) - self.p(joint.line[0])])))
                out += [w[0] / size, w[1] / size]
        hub = project.wheel.centre
        out.append(self.where(hub, project.wheel.body, x)[2] - self.p(hub)[2] - travel)
        return np.stack(np.broadcast_arrays(*out))

    @staticmethod
    def _distance(now, then):
        square = dot(then, then)
        return (dot(now, now) - square) / (2.0 * np.sqrt(square))

    def slopes(self, x, travel):
        out = np.empty((x.shape[1], self.count, self.count))
        for j in range(self.count):
            nudged = x.astype(complex)
            nudged[j] += 1e-30j
            out[:, :, j] = self.equations(nudged, travel).imag.T / 1e-30
        return out

    def start(self):
        out = [
            self.p(name)
            for body in self.project.bodies
            for name in self.base[body][self.fixed[body] :]
        ]
        return np.concatenate(out)

    def follow(self, stops, step=STEP):
        """Wheel centre (stops, 3, n) at travels ``stops`` (rising, of one sign), and the
        smallest singular value (n,) met on the way; not a number where Newton failed."""
        begin = self.start()
        x, z = begin.copy(), 0.0
        before = x
        weakest = np.full(x.shape[1], np.inf)
        lost = np.zeros(x.shape[1], dtype=bool)
        seen = []
        for stop in stops:
            steps = max(1, round(abs(stop - z) / step))
            for travel in np.linspace(z, stop, steps + 1)[1:]:
                # One Jacobian a step, taken where the last step points to.
                x, before = 2.0 * x - before, x
                matrix = self.slopes(x, travel)
                inverse = np.linalg.inv(matrix)
                for _ in range(5):
                    gap = self.equations(x, travel)
                    change = np.matmul(inverse, gap.T[:, :, None])[:, :, 0].T
                    # What runs away is lost for good; it is put back so that it stays a number.
                    lost |= ~(np.abs(change).max(axis=0) < 40.0)
                    x = np.where(lost, begin, x - change)
                    if np.abs(change[:, ~lost]).max(initial=0.0) < 1e-7:
                        break
                before = np.where(lost, begin, before)
                strength = np.linalg.svd(matrix, compute_uv=False)[:, -1]
                weakest = np.minimum(weakest, strength)
            z = stop
            lost |= ~(np.abs(self.equations(x, z)).max(axis=0) < 1e-7)
            at = np.array(self.where(self.project.wheel.centre, self.project.wheel.body, x))
            seen.append(np.where(lost, np.nan, at))
        weakest[lost] = np.nan
        return np.stack(seen), weakest
