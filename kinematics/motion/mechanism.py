"""The mechanism: what the unfolded project says about bodies and joints, checked and numbered.

Points become rows of one array, so that the same corner can be given other points (variants,
sensitivities) without being read again.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kinematics.frames import Array
from kinematics.motion.errors import MotionError
from kinematics.project.adjusters import shifts, wound
from kinematics.project.model import (
    CHASSIS,
    RACK,
    Ball,
    Coilover,
    End,
    Hinge,
    Joint,
    Link,
    PointOnLine,
    Project,
    Slide,
)
from kinematics.project.unfold import unfold

FIXED = (CHASSIS, RACK)
"""Bodies that are not solved for: the chassis stands, the rack's shift is given."""


@dataclass(frozen=True)
class Mechanism:
    """A project's bodies and joints with its points numbered.

    ``points`` maps a name to its row in ``xyz`` (points, 3). ``bodies`` are those solved for.
    """

    project: Project
    points: dict[str, int]
    xyz: Array
    bodies: tuple[str, ...]

    @cached_property
    def links(self) -> dict[str, Link]:
        """The two-ball rods by name, their adjusters wound in."""
        return wound(self.project)

    @cached_property
    def shifts(self) -> dict[str, tuple[str, Array]]:
        """Points that shims have moved on one body: that body, and by how much (3,)."""
        return {name: (body, np.array(by)) for name, (body, by) in shifts(self.project).items()}

    @cached_property
    def shimmed(self) -> set[str]:
        """Bodies joined where a shim has moved a point: they keep all their unknowns."""
        out: set[str] = set()
        for joint in self.joints.values():
            if not self.shifts.keys().isdisjoint(joint_points(joint)):
                out |= set(joint.bodies)
        return out

    def seen(self, p: Array, body: str) -> Array:
        """The points (3, points, n) as a body carries them: shims move a point on one body only.

        With the body left empty, all as measured.
        """
        if not self.shifts:
            return p
        out = p.copy()
        for name, (on, by) in self.shifts.items():
            if on != body:
                out[:, self.points[name]] -= by[:, None]
        return out

    def place(self, end: End) -> Array:
        """Where a body carries a point, (3,), in the position the points were measured in."""
        at = self.xyz[self.points[end.point]]
        on, by = self.shifts.get(end.point, (end.body, 0.0))
        return np.asarray(at if on == end.body else at - by)

    @property
    def joints(self) -> dict[str, Joint]:
        """The other joints by name."""
        return self.project.joints

    @property
    def coilover(self) -> Coilover | None:
        """The coilover, if there is one."""
        return self.project.coilover

    @property
    def out(self) -> float:
        """The sign of y that is outboard."""
        return 1.0 if self.project.side == "left" else -1.0

    @cached_property
    def hinges(self) -> dict[str, str]:
        """For each body hinged on the chassis, the name of its (first) hinge."""
        found: dict[str, str] = {}
        for name, joint in self.joints.items():
            if isinstance(joint, Hinge) and CHASSIS in joint.bodies:
                body = joint.bodies[0] if joint.bodies[1] == CHASSIS else joint.bodies[1]
                if body not in FIXED:
                    found.setdefault(body, name)
        return found

    @cached_property
    def bent(self) -> tuple[str, ...]:
        """Links whose tube passes other points; they get a pose of their own."""
        return tuple(name for name, link in self.links.items() if link.through)

    @cached_property
    def carriers(self) -> dict[str, str]:
        """The body that carries each point; one that moves is preferred to the chassis."""
        found: dict[str, str] = {}
        for point, body in self._mentions():
            if body != CHASSIS or point not in found:
                found.setdefault(point, body)
                if found[point] == CHASSIS:
                    found[point] = body
        return {name: found.get(name, CHASSIS) for name in self.points}

    def _mentions(self) -> list[tuple[str, str]]:
        out = [(self.project.wheel.centre, self.project.wheel.body)]
        for link in self.links.values():
            out += [(end.point, end.body) for end in (link.inner, link.outer)]
        for joint in self.joints.values():
            first, second = joint.bodies
            match joint:
                case Ball(at=at):
                    out += [(at, first), (at, second)]
                case Hinge(along=line):
                    # The bushes sit on the body they are listed with first.
                    out += [(point, first) for point in line]
                case Slide(along=line):
                    out += [(point, first) for point in line]
                case PointOnLine(line=line, point=point):
                    out += [(point, second)] + [(p, first) for p in line if p != point]
        if self.coilover:
            out += [(end.point, end.body) for end in (self.coilover.foot, self.coilover.top)]
        for part in self.project.parts.values():
            points = getattr(part, "points", ())
            out += [(point, part.body) for point in points if hasattr(part, "body")]
        return out

    @property
    def holding(self) -> set[str]:
        """The points the corner's motion hangs on: not those that only the coilover has."""
        return {point for _, ends in _holds(self) for point, _ in ends} | self.shifts.keys()

    def end(self, where: str | End) -> End:
        """A point with its body; a bare name gets the body that carries it."""
        if isinstance(where, End):
            return where
        if where not in self.points:
            raise MotionError(f"There is no point '{where}' in this project.")
        return End(where, self.carriers[where])


def mechanism(project: Project) -> Mechanism:
    """The mechanism of a project, unfolded first if need be.

    Raises ``MotionError`` for a name that leads nowhere; the reader of project files has said so
    in more detail before.
    """
    project = unfold(project)
    names = {name: i for i, name in enumerate(project.points)}
    xyz = np.array([project.points[name] for name in names], dtype=float).reshape(-1, 3)
    for name, (_, by) in shifts(project).items():
        xyz[names[name]] += by
    bodies = list(project.bodies)
    if project.wheel.body not in (*bodies, *FIXED):
        bodies.insert(0, project.wheel.body)
    built = Mechanism(project, names, xyz, tuple(b for b in bodies if b not in FIXED))
    _check(built)
    return built


def _check(mechanism: Mechanism) -> None:
    known = {*mechanism.bodies, *FIXED}
    for where, ends in _uses(mechanism):
        for point, body in ends:
            if point not in mechanism.points:
                raise MotionError(f"{where} uses the point '{point}', which is not in the project.")
            if body not in known:
                raise MotionError(f"{where} uses the body '{body}', which is not in the project.")
            if body == RACK and mechanism.project.rack is None:
                raise MotionError(f"{where} is on the rack, but the project has no rack.")


def joint_points(joint: Joint) -> tuple[str, ...]:
    """The points a joint names."""
    match joint:
        case Ball(at=at):
            return (at,)
        case Hinge(along=line) | Slide(along=line):
            return line
        case PointOnLine(line=line, point=point):
            return (*line, point)


def _uses(mechanism: Mechanism) -> list[tuple[str, list[tuple[str, str]]]]:
    out = _holds(mechanism)
    if mechanism.coilover:
        pair = (mechanism.coilover.foot, mechanism.coilover.top)
        out.append(("The coilover", [(end.point, end.body) for end in pair]))
    return out


def _holds(mechanism: Mechanism) -> list[tuple[str, list[tuple[str, str]]]]:
    """What takes part in the motion, and by which points of which bodies."""
    wheel = mechanism.project.wheel
    out = [("The wheel", [(wheel.centre, wheel.body)])]
    for name, link in mechanism.links.items():
        ends = [(link.inner.point, link.inner.body), (link.outer.point, link.outer.body)]
        ends += [(point, link.inner.body) for point in link.through]
        out.append((f"Link '{name}'", ends))
    for name, joint in mechanism.joints.items():
        ends = [(p, b) for p in joint_points(joint) for b in joint.bodies]
        out.append((f"Joint '{name}'", ends))
    return out
