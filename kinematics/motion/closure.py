"""Closure checked afresh: how far from fitting together every joint is at every pose.

This knows nothing of rows, unknowns or contraction. It carries the named points with the bodies'
poses, as anyone with a tape would, and measures: rods against their lengths, balls and hinges
for a gap, sliding points for their distance off the line.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from kinematics.frames import Array
from kinematics.motion.mechanism import Mechanism
from kinematics.project.model import Ball, Hinge, PointOnLine, Slide


@dataclass(frozen=True)
class Checks:
    """What to measure: points (k, 3) by body, pairs of them, and how far apart they must be.

    ``lines`` are (body of the line, its two points, body of the point, the point).
    ``slides`` are pairs of bodies that may not turn against each other.
    """

    points: tuple[tuple[int, Array, slice], ...]
    count: int
    first: Array
    second: Array
    apart: Array
    names: tuple[str, ...]
    lines: tuple[tuple[int, Array, int, Array], ...]
    slides: tuple[tuple[int, int], ...]


def checks(mechanism: Mechanism, bodies: tuple[str, ...], but: Collection[str] = ()) -> Checks:
    """The list of checks for a mechanism, once; members named in ``but`` may give."""
    number = {name: i for i, name in enumerate(bodies)}
    xyz = {name: mechanism.xyz[i] for name, i in mechanism.points.items()}
    pairs: list[tuple[str, str, str, str, float, str]] = []
    lines: list[tuple[int, Array, int, Array]] = []
    slides: list[tuple[int, int]] = []
    for name, link in mechanism.links.items():
        if name in but:
            continue
        a, b = link.inner, link.outer
        length = float(np.linalg.norm(xyz[a.point] - xyz[b.point])) + link.adjust
        pairs.append((a.point, a.body, b.point, b.body, length, name))
    for name, joint in mechanism.joints.items():
        if name in but:
            continue
        one, two = joint.bodies
        match joint:
            case Ball(at=at):
                pairs.append((at, one, at, two, 0.0, name))
            case Hinge(along=along):
                pairs += [(at, one, at, two, 0.0, name) for at in along]
            case PointOnLine(line=line, point=point):
                ends = np.array([xyz[line[0]], xyz[line[1]]])
                lines.append((number[one], ends, number[two], xyz[point]))
            case Slide(along=along):
                ends = np.array([xyz[along[0]], xyz[along[1]]])
                lines.append((number[one], ends, number[two], ends[0]))
                slides.append((number[one], number[two]))
    return _packed(pairs, number, xyz, tuple(lines), tuple(slides))


def _packed(
    pairs: list[tuple[str, str, str, str, float, str]],
    number: dict[str, int],
    xyz: dict[str, Array],
    lines: tuple[tuple[int, Array, int, Array], ...],
    slides: tuple[tuple[int, int], ...],
) -> Checks:
    wanted = sorted({(number[b], p) for x in pairs for p, b in ((x[0], x[1]), (x[2], x[3]))})
    place = {key: i for i, key in enumerate(wanted)}
    groups, start = [], 0
    for body in sorted({body for body, _ in wanted}):
        mine = np.array([xyz[p] for b, p in wanted if b == body])
        groups.append((body, mine, slice(start, start + len(mine))))
        start += len(mine)
    return Checks(
        points=tuple(groups),
        count=len(wanted),
        first=np.array([place[number[x[1]], x[0]] for x in pairs], dtype=np.intp),
        second=np.array([place[number[x[3]], x[2]] for x in pairs], dtype=np.intp),
        apart=np.array([x[4] for x in pairs]),
        names=tuple(x[5] for x in pairs),
        lines=lines,
        slides=slides,
    )


def closure(todo: Checks, rotation: Array, position: Array) -> Array:
    """The worst misfit (n,) in mm of any joint, from poses (bodies, 3, 3, n) and (bodies, 3, n)."""
    n = rotation.shape[-1]
    worst = np.zeros(n)
    with np.errstate(invalid="ignore"):
        if todo.count:
            worst = np.abs(misfits(todo, rotation, position)).max(axis=0)
        for on, ends, by, point in todo.lines:
            worst = np.maximum(worst, _off_line(rotation, position, on, ends, by, point))
        for one, two in todo.slides:
            turned = np.abs(rotation[one] - rotation[two]).max(axis=(0, 1))
            worst = np.maximum(worst, 100.0 * turned)
    return worst


def misfits(todo: Checks, rotation: Array, position: Array) -> Array:
    """Distance less the distance it should be, (pairs, n) in mm."""
    at = np.empty((3, todo.count, rotation.shape[-1]))
    for body, points, where in todo.points:
        at[:, where] = np.matmul(points, rotation[body])
        at[:, where] += position[body][:, None]
    d = at[:, todo.second] - at[:, todo.first]
    return np.asarray(np.sqrt((d * d).sum(axis=0)) - todo.apart[:, None])


def _off_line(
    rotation: Array, position: Array, on: int, ends: Array, by: int, point: Array
) -> Array:
    """How far a point has left its line, (n,), seen from the body that carries the line."""
    now = np.matmul(point, rotation[by]) + position[by] - position[on]
    seen = (rotation[on] * now[:, None]).sum(axis=0)  # the transpose turns it back
    line = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    off = seen - ends[0][:, None]
    off -= line[:, None] * (line @ off)
    first = point - ends[0]
    first = first - line * (line @ first)
    return np.asarray(np.sqrt(((off - first[:, None]) ** 2).sum(axis=0)))
