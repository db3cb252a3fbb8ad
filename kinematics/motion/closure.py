"""Closure checked afresh: how far from fitting together every joint is at every pose.

This knows nothing of rows, unknowns or contraction. It carries the named points with the bodies'
poses, as anyone with a tape would, and measures: rods against their lengths, balls and hinges
for a gap, sliding points for their distance off the line.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from kinematics.frames import Array
from kinematics.motion.mechanism import FIXED, Mechanism
from kinematics.project.model import Ball, End, Hinge, PointOnLine, Slide


class Line(NamedTuple):
    """A point held to a line: the body of the line and its two points, the body of the point and
    the point, and how the point stood from the line's first as measured."""

    on: int
    ends: Array
    by: int
    point: Array
    first: Array


@dataclass(frozen=True)
class Checks:
    """What to measure: points (k, 3) by body, pairs of them, and how far apart they must be.

    ``slides`` are pairs of bodies that may not turn against each other. The last ``gauges`` pairs
    are only measured: the damper, then straps. ``hub`` is the wheel centre's place.
    """

    points: tuple[tuple[int, Array, slice], ...]
    count: int
    first: Array
    second: Array
    apart: Array
    names: tuple[str, ...]
    lines: tuple[Line, ...]
    slides: tuple[tuple[int, int], ...]
    gauges: int
    hub: int


class Measured(NamedTuple):
    """At n poses: the worst misfit ``gap`` (n,) in mm of any joint, the lengths (gauges, n) of the
    damper and straps, and the wheel centre's ``height`` (n,)."""

    gap: Array
    gauges: Array
    height: Array


def checks(mechanism: Mechanism, bodies: tuple[str, ...], but: Collection[str] = ()) -> Checks:
    """The list of checks for a mechanism, once; members named in ``but`` may give."""
    number = {name: i for i, name in enumerate(bodies)}
    measured_at = mechanism.seen(mechanism.xyz.T[:, :, None], "")[..., 0].T
    then = {name: measured_at[i] for name, i in mechanism.points.items()}

    def at(point: str, body: str) -> Array:
        return mechanism.place(End(point, body))

    pairs: list[tuple[str, str, str, str, float, str]] = []
    lines: list[Line] = []
    slides: list[tuple[int, int]] = []
    for name, link in mechanism.links.items():
        if name in but:
            continue
        a, b = link.inner, link.outer
        apart = np.linalg.norm(at(a.point, a.body) - at(b.point, b.body))
        length = float(apart) + link.adjust
        pairs.append((a.point, a.body, b.point, b.body, length, name))
    for name, joint in mechanism.joints.items():
        if name in but:
            continue
        one, two = joint.bodies
        match joint:
            case Ball(at=point):
                pairs.append((point, one, point, two, 0.0, name))
            case Hinge(along=along) if mechanism.shifts.keys().isdisjoint(along):
                pairs += [(p, one, p, two, 0.0, name) for p in along]
            case Hinge(along=along):
                # Shims at one pivot only make the bushes slide a hair on their pin.
                if two in FIXED:
                    one, two = two, one
                pairs.append((along[0], one, along[0], two, 0.0, name))
                ends = np.array([at(p, one) for p in along])
                lines.append(Line(number[one], ends, number[two], at(along[1], two), 0.0 * ends[0]))
            case PointOnLine(line=line, point=point):
                ends = np.array([at(p, one) for p in line])
                first = then[point] - then[line[0]]
                lines.append(Line(number[one], ends, number[two], at(point, two), first))
            case Slide(along=along):
                ends = np.array([at(p, one) for p in along])
                lines.append(Line(number[one], ends, number[two], at(along[0], two), 0.0 * ends[0]))
                slides.append((number[one], number[two]))
    gauges = _gauges(mechanism)
    pairs += [(a.point, a.body, b.point, b.body, 0.0, name) for name, (a, b) in gauges.items()]
    hub = (number[mechanism.project.wheel.body], mechanism.project.wheel.centre)
    return _packed(pairs, number, at, tuple(lines), tuple(slides), len(gauges), hub)


def _gauges(mechanism: Mechanism) -> dict[str, tuple[End, End]]:
    out = {}
    if mechanism.coilover is not None:
        out["damper"] = (mechanism.coilover.foot, mechanism.coilover.top)
    return out | {name: strap.ends for name, strap in mechanism.project.straps.items()}


def _packed(
    pairs: list[tuple[str, str, str, str, float, str]],
    number: dict[str, int],
    at: Callable[[str, str], Array],
    lines: tuple[Line, ...],
    slides: tuple[tuple[int, int], ...],
    gauges: int,
    hub: tuple[int, str],
) -> Checks:
    ends = {(number[b], p) for x in pairs for p, b in ((x[0], x[1]), (x[2], x[3]))}
    wanted = sorted(ends | {hub})
    place = {key: i for i, key in enumerate(wanted)}
    groups, start = [], 0
    bodies = {i: name for name, i in number.items()}
    for body in sorted({body for body, _ in wanted}):
        mine = np.array([at(p, bodies[b]) for b, p in wanted if b == body])
        groups.append((body, mine, slice(start, start + len(mine))))
        start += len(mine)
    return Checks(
        points=tuple(groups),
        count=len(wanted),
        first=np.array([place[number[x[1]], x[0]] for x in pairs], dtype=np.intp),
        second=np.array([place[number[x[3]], x[2]] for x in pairs], dtype=np.intp),
        apart=np.array([x[4] for x in pairs])[:, None],
        names=tuple(x[5] for x in pairs),
        lines=lines,
        slides=slides,
        gauges=gauges,
        hub=place[hub],
    )


def closure(todo: Checks, rotation: Array, position: Array) -> Array:
    """The worst misfit (n,) in mm of any joint, from poses (bodies, 3, 3, n) and (bodies, 3, n)."""
    return measured(todo, rotation, position).gap


def measured(todo: Checks, rotation: Array, position: Array) -> Measured:
    """Every joint's misfit, and the lengths that limits hang on."""
    at = np.empty((3, todo.count, rotation.shape[-1]))
    for body, points, where in todo.points:
        if body == 0:
            # The chassis stands still.
            at[:, where] = points.T[:, :, None]
            continue
        np.matmul(points, rotation[body], out=at[:, where])
        at[:, where] += position[body][:, None]
    d = at[:, todo.second] - at[:, todo.first]
    length = np.sqrt(np.einsum("ikn,ikn->kn", d, d))
    misfits = len(length) - todo.gauges
    off = np.abs(length[:misfits] - todo.apart[:misfits])
    worst = off.max(axis=0) if misfits else np.zeros(rotation.shape[-1])
    for line in todo.lines:
        worst = np.maximum(worst, _off_line(rotation, position, line))
    for one, two in todo.slides:
        turned = np.abs(rotation[one] - rotation[two]).max(axis=(0, 1))
        worst = np.maximum(worst, 100.0 * turned)
    return Measured(worst, length[misfits:], at[2, todo.hub])


def _off_line(rotation: Array, position: Array, line: Line) -> Array:
    """How far a point has left its line, (n,), seen from the body that carries the line."""
    by, on = line.by, line.on
    now = np.matmul(line.point, rotation[by]) + position[by] - position[on]
    seen = (rotation[on] * now[:, None]).sum(axis=0)  # the transpose turns it back
    along = (line.ends[1] - line.ends[0]) / np.linalg.norm(line.ends[1] - line.ends[0])
    off = seen - line.ends[0][:, None]
    off -= along[:, None] * (along @ off)
    first = line.first - along * (along @ line.first)
    return np.asarray(np.sqrt(((off - first[:, None]) ** 2).sum(axis=0)))
