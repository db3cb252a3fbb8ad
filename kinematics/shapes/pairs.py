"""Which parts are checked against which, and why the others are not.

Every two parts that can move against each other are checked. Two of one body never, nor two of
one unit (tyre on its wheel, spring on its damper). Of two parts joined at a joint the points
within a ball about it are left out and the rest is checked: brackets, rod ends and bushes there
are made to meet.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import NamedTuple

from kinematics.motion.motion import Motion
from kinematics.project.model import (
    Ball,
    Coilover,
    Disc,
    Joint,
    Link,
    PartSpec,
    Project,
    Shaft,
    Tube,
    Upright,
)
from kinematics.project.model import PointOnLine as Strut
from kinematics.project.unfold import unfold
from kinematics.shapes.brakes import disc_middle
from kinematics.shapes.pieces import Array, Part
from kinematics.shapes.poses import Anchor, Poses, point
from kinematics.shapes.sections import rim_section
from kinematics.shapes.wheel import WHEEL_PARTS, axis, middle

JOINT_ROOM = 20.0
"""How far beyond half a member's diameter the ball left out about its joint reaches, mm.

Common practice, no source: about what a rod end, bush or clevis takes up.
"""
HUB_ROOM = 12.0
"""How far beyond the hub face the ball left out about the wheel's bolted joint reaches, mm."""


class JointBall(NamedTuple):
    """Of parts `a` and `b` (numbers) the points within `radius` (mm) of `at` are left out."""

    a: int
    b: int
    at: Anchor
    radius: float


class LeftOut(NamedTuple):
    """Two parts (by name) that are not checked against each other, and the reason in words."""

    a: str
    b: str
    why: str


@dataclass(frozen=True, eq=False)
class Pairs:
    """What is checked.

    checked : numbers (a, b) of the parts, a < b. joints : the balls left out about their joints.
    left_out : the pairs that are not checked and why.
    """

    checked: tuple[tuple[int, int], ...]
    joints: tuple[JointBall, ...]
    left_out: tuple[LeftOut, ...]

    def centres(self, motion: Motion) -> tuple[Array, ...]:
        """The centre of each joint ball over the motion's poses: (n, 3) or (1, 3), mm."""
        poses = Poses(motion)
        return tuple(poses.carry(j.at.body, j.at.xyz[None])[:, 0] for j in self.joints)


class _Hold(NamedTuple):
    """A joint of a part: the point's name, where it is, the body it is held by, the ball."""

    name: str
    at: Anchor
    radius: float


@dataclass(frozen=True)
class _Member:
    """What pairing needs to know of a part.

    body : the body it is fixed to, None for one that moves with two. unit : parts of one unit
    are not checked against each other. holds : its joints to bodies. sort : of its record, where
    that counts.
    """

    body: str | None
    unit: str
    holds: tuple[_Hold, ...] = ()
    radius: float = 0.0
    sort: str = ""


def pairs(project: Project, parts: Sequence[Part]) -> Pairs:
    """Which of `parts` (of the same project) are checked against each other."""
    project = unfold(project)
    members = [_member(part, project) for part in parts]
    checked, joints, left_out = [], [], []
    for a, b in combinations(range(len(parts)), 2):
        if (why := _why_not(members[a], members[b])) is not None:
            left_out.append(LeftOut(parts[a].name, parts[b].name, why))
            continue
        checked.append((a, b))
        joints += [
            JointBall(a, b, hold.at, hold.radius)
            for hold in _shared(members[a], members[b], project)
        ]
    return Pairs(tuple(checked), tuple(joints), tuple(left_out))


def _why_not(a: _Member, b: _Member) -> str | None:
    if a.unit == b.unit and a.unit:
        return {
            "wheel": "both turn with the wheel",
            "coilover": "damper and spring are one unit",
        }.get(a.unit, f"the {a.unit} and its joints are one unit")
    if {a.sort, b.sort} == {"disc", "upright"}:
        return None  # The disc turns past the upright, though the one carries the other.
    if a.body is not None and a.body == b.body:
        return f"both are fixed to the {a.body}, so neither moves against the other"
    return None


def _shared(a: _Member, b: _Member, project: Project) -> Iterator[_Hold]:
    """The joints two members have in common."""
    for one, other in ((a, b), (b, a)):
        for hold in one.holds:
            if other.body is not None and hold.at.body == other.body:
                yield hold
    names = {hold.name for hold in b.holds}
    if a.body is None and b.body is None:
        yield from (hold for hold in a.holds if hold.name in names)
    if a.body is not None and b.body is not None:
        room = max(a.radius, b.radius) + JOINT_ROOM
        for joint in project.joints.values():
            if set(joint.bodies) == {a.body, b.body}:
                for name in _points(joint):
                    yield _Hold(name, Anchor(joint.bodies[0], point(project, name)), room)


def _points(joint: Joint) -> tuple[str, ...]:
    """The points at which a joint holds its two bodies together, as its first body carries them."""
    if isinstance(joint, Ball):
        return (joint.at,)
    if isinstance(joint, Strut):
        return ()  # The coilover itself is that joint, and brings its own two.
    return joint.along


def _member(part: Part, project: Project) -> _Member:
    coilover = project.coilover
    if part.name in WHEEL_PARTS:
        return _wheel(project)
    if coilover is not None and part.body == "coilover":
        return _coilover(part.name, coilover, project)
    if part.name in project.links:
        return _link(project.links[part.name], project)
    owner = next((n for n in project.parts if part.name in (n, *_joint_names(n))), None)
    if owner is None:
        return _Member(part.body, "")
    return _fixed(part, owner, project.parts[owner], project)


def _wheel(project: Project) -> _Member:
    """The wheel turns on its carrier, to which it is bolted at the hub face."""
    section = rim_section(project.wheel)
    face = middle(project) + (section.face or 0.0) * axis(project)
    at = Anchor(project.wheel.body, face)
    return _Member(None, "wheel", (_Hold("hub face", at, section.pad + HUB_ROOM),))


def _coilover(name: str, coilover: Coilover, project: Project) -> _Member:
    room = coilover.body_diameter / 2 + JOINT_ROOM
    hole = project.tower.hole / 2 if project.tower is not None else 0.0
    holds = tuple(
        _Hold(end.point, Anchor(end.body, point(project, end.point)), radius)
        for end, radius in ((coilover.foot, room), (coilover.top, max(room, hole + 5.0)))
    )
    clamped = name in ("damper body", "spring seat") and any(
        isinstance(joint, Strut) and joint.line[0] == coilover.foot.point
        for joint in project.joints.values()
    )
    return _Member(coilover.foot.body if clamped else None, "coilover", holds)


def _link(link: Link, project: Project) -> _Member:
    room = link.diameter / 2 + JOINT_ROOM
    holds = tuple(
        _Hold(end.point, Anchor(end.body, point(project, end.point)), room)
        for end in (link.inner, link.outer)
    )
    return _Member(None, "", holds)


def _fixed(part: Part, owner: str, spec: PartSpec, project: Project) -> _Member:
    if isinstance(spec, Disc):
        return _disc(part, spec, project)
    if isinstance(spec, Upright):
        return _Member(part.body, "", radius=spec.width / 2, sort="upright")
    if not isinstance(spec, Shaft):
        return _Member(part.body, "", radius=spec.diameter / 2 if isinstance(spec, Tube) else 0.0)
    room = spec.diameter / 2 + JOINT_ROOM
    for joint in (spec.inner_joint, spec.outer_joint):
        room = max(room, joint.diameter / 2 + 5.0 if joint is not None else 0.0)
    if part.name != owner:
        return _Member(part.body, owner)
    holds = tuple(
        _Hold(end.point, Anchor(end.body, point(project, end.point)), room)
        for end in (spec.inner, spec.outer)
    )
    return _Member(None, owner, holds)


def _disc(part: Part, spec: Disc, project: Project) -> _Member:
    """Checked full to its middle, though a hub goes through it: there the upright may be."""
    carriers = [s.diameter for s in project.parts.values() if isinstance(s, Upright)]
    at = Anchor(part.body or "", disc_middle(spec, project))
    room = max(carriers, default=0.0) / 2 + HUB_ROOM
    return _Member(part.body, "wheel", (_Hold("hub", at, room),) if carriers else (), sort="disc")


def _joint_names(shaft: str) -> tuple[str, str]:
    return f"{shaft} inner joint", f"{shaft} outer joint"
