"""Joints as blocks of rows: which ends, directions and sizes each joint contributes.

A block is a joint's share of the table: its name (so that a problem can point at it), the two
bodies, and a function from the points as measured to the numbers of its rows. The functions are
analytic in the points, so that exact sensitivities come from them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from kinematics.frames import Array, cross_last, dot_last
from kinematics.motion.errors import MotionError
from kinematics.motion.mechanism import FIXED, Mechanism
from kinematics.project.model import Ball, End, Hinge, Joint, Link, PointOnLine, Slide

Seen = Callable[[str], Array]
"""The points (3, points, n) as a body carries them; of no body (empty), as measured."""


class Numbers(NamedTuple):
    """A block's rows: ends ``a`` and ``b`` (3, k, n) in car coordinates as measured, ``normal``
    (3, k, n) for along rows, ``size`` (k, n)."""

    a: Array
    b: Array
    normal: Array | None
    size: Array


@dataclass(frozen=True)
class Block:
    """The rows of one joint: ``build`` maps the points to their numbers."""

    name: str
    what: str
    a_body: str
    b_body: str
    rows: int
    build: Callable[[Seen], Numbers]
    distance: bool = False


def rod(name: str, what: str, a: End, b: End, index: dict[str, int], adjust: float = 0.0) -> Block:
    """Two points a fixed distance apart: their distance as measured plus ``adjust``."""
    if b.body in FIXED:
        a, b = b, a
    i, j = index[a.point], index[b.point]

    def build(seen: Seen) -> Numbers:
        start, end = seen(a.body)[:, i : i + 1], seen(b.body)[:, j : j + 1]
        return Numbers(start, end, None, _length(end - start) + adjust)

    return Block(name, what, a.body, b.body, 1, build, distance=True)


def ball(name: str, at: str, bodies: tuple[str, str], index: dict[str, int]) -> Block:
    """One point held by two bodies: three along rows."""
    first, second = bodies if bodies[1] not in FIXED else (bodies[1], bodies[0])
    i = index[at]

    def build(seen: Seen) -> Numbers:
        p = seen(first)
        on_first, on_second = (np.repeat(x[:, i : i + 1], 3, axis=1) for x in (p, seen(second)))
        return Numbers(on_first, on_second, _axes(p), 0.0 * on_first[0])

    return Block(name, "ball", first, second, 3, build)


def plane_and_sphere(
    name: str, front: str, rear: str, tip: str, on: str, index: dict[str, int]
) -> list[Block]:
    """The ball at the tip of an arm hinged on the chassis, as a point on a circle.

    One row keeps it in the plane of the circle, one at its radius from the hinge line: always
    square to each other, however narrow the arm's base.
    """
    i, j, k = index[front], index[rear], index[tip]

    def plane(seen: Seen) -> Numbers:
        p = seen("")
        pivot, point = p[:, i : i + 1], p[:, k : k + 1]
        axis = _direction(pivot - p[:, j : j + 1])
        return Numbers(pivot, point, axis, dot_last(axis, point - pivot))

    def sphere(seen: Seen) -> Numbers:
        p = seen("")
        pivot, point = p[:, i : i + 1], p[:, k : k + 1]
        axis = _direction(pivot - p[:, j : j + 1])
        centre = pivot + axis * dot_last(axis, point - pivot)
        return Numbers(centre, point, None, _length(point - centre))

    return [
        Block(name, "plane", "chassis", on, 1, plane),
        Block(name, "radius", "chassis", on, 1, sphere, distance=True),
    ]


def hinge(name: str, joint: Hinge, index: dict[str, int]) -> Block:
    """Two bodies sharing a line: a ball at its first point, two rows at its second."""
    first, second = _ordered(joint.bodies)
    i, j = index[joint.along[0]], index[joint.along[1]]

    def build(seen: Seen) -> Numbers:
        p, q = seen(first), seen(second)
        one, two = _square(p[:, j : j + 1] - p[:, i : i + 1])
        points, others = (np.concatenate([x[:, [i, i, i]], x[:, [j, j]]], axis=1) for x in (p, q))
        axes = np.repeat(_axes(p), one.shape[-1], axis=-1)
        return Numbers(points, others, np.concatenate([axes, one, two], 1), 0.0 * points[0])

    return Block(name, "hinge", first, second, 5, build)


def slide(name: str, joint: Slide, index: dict[str, int]) -> Block:
    """A straight slide without turning: two points on the line, and no roll about it."""
    first, second = joint.bodies
    i, j = index[joint.along[0]], index[joint.along[1]]

    def build(seen: Seen) -> Numbers:
        p, q = seen(first), seen(second)
        start, end = p[:, i : i + 1], p[:, j : j + 1]
        one, two = _square(end - start)
        a = np.repeat(start, 5, axis=1)
        start, end = q[:, i : i + 1], q[:, j : j + 1]
        b = np.concatenate([start, start, end, end, start + 100.0 * one], axis=1)
        normal = np.concatenate([one, two, one, two, two], axis=1)
        return Numbers(a, b, normal, 0.0 * a[0])

    return Block(name, "slide", first, second, 5, build)


def point_on_line(name: str, joint: PointOnLine, index: dict[str, int]) -> Block:
    """A point of the second body on a line carried by the first: two rows square to the line.

    A point measured off the line stays as far off it as it was.
    """
    i, j, k = (index[name] for name in (*joint.line, joint.point))

    def build(seen: Seen) -> Numbers:
        p = seen(joint.bodies[0])
        start, point = p[:, i : i + 1], seen(joint.bodies[1])[:, k : k + 1]
        normal = np.concatenate(_square(p[:, j : j + 1] - start), axis=1)
        then = seen("")
        off = dot_last(normal, then[:, k : k + 1] - then[:, i : i + 1])
        return Numbers(np.repeat(start, 2, axis=1), np.repeat(point, 2, axis=1), normal, off)

    return Block(name, "line", joint.bodies[0], joint.bodies[1], 2, build)


def by_travel(mechanism: Mechanism) -> Block:
    """The wheel centre's height over its height at set-up."""
    i = mechanism.points[mechanism.project.wheel.centre]
    at_setup = mechanism.project.setup_wheel_z

    def build(seen: Seen) -> Numbers:
        p = seen(mechanism.project.wheel.body)
        centre = p[:, i : i + 1]
        height = centre[2] if at_setup is None else 0.0 * centre[2] + at_setup
        return Numbers(0.0 * centre, centre, _axes(p)[:, 2:], height)

    return Block("travel", "driver", "chassis", mechanism.project.wheel.body, 1, build)


def by_damper(mechanism: Mechanism) -> Block:
    """The damper's length from foot to top."""
    coilover = mechanism.coilover
    if coilover is None:
        raise MotionError("This corner has no coilover, so it can't be moved by damper length.")
    return rod("damper length", "driver", coilover.top, coilover.foot, mechanism.points)


def by_angle(mechanism: Mechanism, body: str) -> Block:
    """The angle of an arm hinged on the chassis, 0 as measured, positive with its tip rising."""
    i, j, k, _ = arm_points(mechanism, body)

    def build(seen: Seen) -> Numbers:
        p = seen(body)
        _, up, centre = arm_frame(p, i, j, k)
        return Numbers(centre, p[:, k : k + 1], up, 0.0 * centre[0])

    return Block(f"angle of {body}", "driver", "chassis", body, 1, build)


def arm_points(mechanism: Mechanism, body: str) -> tuple[int, int, int, str]:
    """Numbers of an arm's two hinge points and its tip (its point farthest off the hinge line)."""
    if body not in mechanism.hinges:
        arms = ", ".join(f"'{name}'" for name in mechanism.hinges) or "none"
        raise MotionError(
            f"'{body}' is not an arm hinged on the chassis, so it has no angle to move it by. "
            f"Arms here: {arms}."
        )
    joint = mechanism.joints[mechanism.hinges[body]]
    assert isinstance(joint, Hinge)
    i, j = (mechanism.points[name] for name in joint.along)
    axis = mechanism.xyz[i] - mechanism.xyz[j]
    mine = [name for name, carrier in mechanism.carriers.items() if carrier == body]
    mine += [b.at for b in mechanism.joints.values() if isinstance(b, Ball) and body in b.bodies]
    off = {
        name: float(
            np.linalg.norm(np.cross(axis, mechanism.xyz[mechanism.points[name]] - mechanism.xyz[i]))
        )
        for name in mine
    }
    tip = max(off, key=lambda name: off[name])
    return i, j, mechanism.points[tip], tip


def arm_frame(p: Array, i: int, j: int, k: int) -> tuple[Array, Array, Array]:
    """Direction (3, 1, n) of an arm's tip from its hinge line, the way it rises, the centre."""
    pivot, tip = p[:, i : i + 1], p[:, k : k + 1]
    axis = _direction(pivot - p[:, j : j + 1])
    centre = pivot + axis * dot_last(axis, tip - pivot)
    outward = _direction(tip - centre)
    up = cross_last(axis, outward)
    if up[2].real.mean() < 0.0:
        up = -up
    return outward, up, centre


def joint_block(name: str, joint: Joint, index: dict[str, int]) -> Block:
    """The block of any joint between two bodies."""
    match joint:
        case Ball():
            return ball(name, joint.at, joint.bodies, index)
        case Hinge():
            return hinge(name, joint, index)
        case Slide():
            return slide(name, joint, index)
        case PointOnLine():
            return point_on_line(name, joint, index)


def link_block(name: str, link: Link, index: dict[str, int]) -> Block:
    """The block of a two-ball rod."""
    return rod(name, "rod", link.inner, link.outer, index, link.adjust)


def _ordered(bodies: tuple[str, str]) -> tuple[str, str]:
    return bodies if bodies[1] not in FIXED else (bodies[1], bodies[0])


def _axes(p: Array) -> Array:
    """The car's three directions, (3, 3, 1)."""
    return np.eye(3, dtype=p.dtype)[:, :, None]


def _length(v: Array) -> Array:
    return np.asarray(np.sqrt(dot_last(v, v)))


def _direction(v: Array) -> Array:
    return np.asarray(v / _length(v))


def _square(line: Array) -> tuple[Array, Array]:
    """Two unit directions square to a line and to each other."""
    along = _direction(line)
    flattest = int(np.argmin(np.abs(along.real).max(axis=(1, 2))))
    other = np.zeros_like(along)
    other[flattest] = 1.0
    one = _direction(cross_last(other, along))
    return one, cross_last(along, one)
