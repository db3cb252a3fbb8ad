"""What the joints of a corner can push with: the transposed constraint Jacobian, body by body.

Each joint, link and the coilover gives *unit reactions*: equal and opposite unit forces on its two
bodies. Stacked as columns they are the transpose of the constraint rows' Jacobian, built here
from the positions alone and so independent of the solver that found them. Equilibrium of all the
moving bodies is one linear system in their sizes.

Forces in N, moments about the car's origin in N mm, poses first: (n, ...).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kinematics.motion.bearings import COILOVER as COILOVER
from kinematics.project.model import (
    CHASSIS,
    RACK,
    Ball,
    End,
    Hinge,
    Joint,
    Link,
    PointOnLine,
    Project,
)

Floats = NDArray[np.float64]
Carry = Callable[[str, str], Floats]
"""Gives the positions (n, 3) of a named point carried by a named body."""

HELD = (CHASSIS, RACK)
"""Bodies whose own balance is not asked for: the chassis, and the rack held by the steering."""


@dataclass(frozen=True)
class Unit:
    """One unit reaction: ``direction`` (n, 3) acts on ``on`` at ``at`` (n, 3), its opposite on
    ``against`` at ``against_at`` (n, 3).

    member : the link, joint or coilover it belongs to. place : the point's name. sense : what a
    positive size means, in a word (``pull``, ``push``, ``thrust`` or empty).
    """

    member: str
    place: str
    sense: str
    on: str
    against: str
    at: Floats
    against_at: Floats
    direction: Floats


def units(project: Project, carry: Carry) -> tuple[Unit, ...]:
    """Every unit reaction of an unfolded project: joints, links, then the coilover."""
    found: list[Unit] = []
    for name, joint in project.joints.items():
        found += _of_joint(name, joint, carry)
    for name, link in project.links.items():
        found.append(_of_link(name, link, carry))
    if project.coilover is not None:
        foot, top = project.coilover.foot, project.coilover.top
        at, end = carry(foot.body, foot.point), carry(top.body, top.point)
        found.append(push_between(COILOVER, foot, top, at, end))
    return tuple(found)


def push_between(member: str, one: End, other: End, at: Floats, other_at: Floats) -> Unit:
    """A push along the line between two ends: positive presses them apart."""
    push = _unit(at - other_at)
    return Unit(member, one.point, "push", one.body, other.body, at, other_at, push)


def moving_bodies(reactions: tuple[Unit, ...]) -> tuple[str, ...]:
    """The bodies whose balance is asked for, in order of first mention."""
    named = [body for unit in reactions for body in (unit.on, unit.against)]
    return tuple(dict.fromkeys(body for body in named if body not in HELD))


def matrix(reactions: tuple[Unit, ...], bodies: tuple[str, ...]) -> Floats:
    """The transposed Jacobian (n, 6 nb, m): force and moment of each unit on each body."""
    n = len(reactions[0].at)
    out = np.zeros((n, 6 * len(bodies), len(reactions)))
    for column, unit in enumerate(reactions):
        for body, at, sign in (
            (unit.on, unit.at, 1.0),
            (unit.against, unit.against_at, -1.0),
        ):
            if body in bodies:
                row = 6 * bodies.index(body)
                out[:, row : row + 6, column] += sign * wrench(unit.direction, at)
    return out


def wrench(force: Floats, at: Floats) -> Floats:
    """Force and its moment about the car's origin: (..., 6) from (..., 3) and its point."""
    return np.concatenate([force, np.cross(at, force)], axis=-1)


def _of_link(name: str, link: Link, carry: Carry) -> Unit:
    inner, outer = link.inner, link.outer
    at, end = carry(inner.body, inner.point), carry(outer.body, outer.point)
    return Unit(name, inner.point, "pull", inner.body, outer.body, at, end, _unit(end - at))


def _of_joint(name: str, joint: Joint, carry: Carry) -> list[Unit]:
    first, second = joint.bodies
    if isinstance(joint, Ball):
        at = carry(second, joint.at)
        axes = np.eye(3)[:, None].repeat(len(at), axis=1)
        return [Unit(name, joint.at, "", second, first, at, at, axis) for axis in axes]
    if isinstance(joint, PointOnLine):
        start, end = (carry(first, point) for point in joint.line)
        at = carry(second, joint.point)
        return [
            Unit(name, joint.point, "side", second, first, at, at, side)
            for side in _square_pair(_unit(end - start))
        ]
    ends = [carry(first, point) for point in joint.along]
    line = _unit(ends[1] - ends[0])
    across = [
        Unit(name, place, "", second, first, at, at, side)
        for place, at in zip(joint.along, ends, strict=True)
        for side in _square_pair(line)
    ]
    if isinstance(joint, Hinge):
        thrust = Unit(name, joint.along[0], "thrust", second, first, ends[0], ends[0], line)
        return [*across, thrust]
    return [*across, *_twist(name, joint.along[0], second, first, ends[0], line)]


def _twist(name: str, place: str, on: str, against: str, at: Floats, line: Floats) -> list[Unit]:
    """A slide that does not turn: the couple about its line, as a force on a 1 m lever."""
    side = _square_pair(line)[0]
    lever = at + 1000.0 * np.cross(line, side)
    return [Unit(name, place, "twist", on, against, lever, lever, side)]


def _square_pair(line: Floats) -> tuple[Floats, Floats]:
    seed = np.eye(3)[np.argmin(np.abs(line), axis=-1)]
    side = _unit(np.cross(line, seed))
    return side, np.cross(line, side)


def _unit(v: Floats) -> Floats:
    return np.asarray(v / np.linalg.norm(v, axis=-1, keepdims=True))
