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
    """A point held to a line: the bodies of the line and of the point, the point, two directions
    ``across`` (2, 3) the line, and where the point must stay along them, ``at`` (2, 1)."""

    on: int
    by: int
    point: Array
    across: Array
    at: Array


def line(on: int, ends: Array, by: int, point: Array, first: Array) -> Line:
    """The line through two points, and a point that stands off the first by ``first``."""
    along = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    across = np.linalg.svd(along[None])[2][1:]
    return Line(on, by, point, across, (across @ (ends[0] + first))[:, None])


@dataclass(frozen=True)
class Checks:
    """What to measure: pairs of points and how far ``apart`` (pairs, 1) they must be.

    ``plan`` (3, pairs + 1, 4·bodies - 3) carries both points of each pair and takes one from the
    other, from the moving bodies' matrices, their positions and 1; its last row is the wheel
    centre. The last ``gauges`` pairs are only measured: the damper, then straps. ``slides`` are
    pairs of bodies that may not turn against each other.
    """

    plan: Array
    apart: Array
    lines: tuple[Line, ...]
    slides: tuple[tuple[int, int], ...]
    gauges: int


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
                lines.append(line(number[one], ends, number[two], at(along[1], two), 0.0 * ends[0]))
            case PointOnLine(line=along, point=point):
                ends = np.array([at(p, one) for p in along])
                first = then[point] - then[along[0]]
                lines.append(line(number[one], ends, number[two], at(point, two), first))
            case Slide(along=along):
                ends = np.array([at(p, one) for p in along])
                lines.append(line(number[one], ends, number[two], at(along[0], two), 0.0 * ends[0]))
                slides.append((number[one], number[two]))
    gauges = _gauges(mechanism)
    pairs += [(a.point, a.body, b.point, b.body, 0.0, name) for name, (a, b) in gauges.items()]
    hub = (mechanism.project.wheel.body, mechanism.project.wheel.centre)
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
    hub: tuple[str, str],
) -> Checks:
    moving = len(number) - 1
    plan = np.zeros((3, len(pairs) + 1, 4 * moving + 1))

    def carry(row: int, point: str, body: str, sign: float) -> None:
        k = number[body] - 1
        if k < 0:
            # The chassis, first of all bodies, stands still.
            plan[:, row, -1] += sign * at(point, body)
            return
        plan[:, row, 3 * k : 3 * k + 3] += sign * at(point, body)
        plan[:, row, 3 * moving + k] += sign

    for row, (first, on_first, second, on_second, _, _) in enumerate(pairs):
        carry(row, first, on_first, -1.0)
        carry(row, second, on_second, 1.0)
    carry(len(pairs), hub[1], hub[0], 1.0)
    return Checks(plan, np.array([x[4] for x in pairs])[:, None], lines, slides, gauges)


def closure(todo: Checks, rotation: Array, position: Array) -> Array:
    """The worst misfit (n,) in mm of any joint, from poses (bodies, 3, 3, n) and (bodies, 3, n)."""
    return measured(todo, rotation, position).gap


def measured(todo: Checks, rotation: Array, position: Array) -> Measured:
    """Every joint's misfit, and the lengths that limits hang on."""
    moving, n = len(rotation) - 1, rotation.shape[-1]
    posture = np.empty((3, 4 * moving + 1, n))
    posture[:, : 3 * moving].reshape(3, moving, 3, n)[...] = rotation[1:].swapaxes(0, 1)
    posture[:, 3 * moving : -1] = position[1:].swapaxes(0, 1)
    posture[:, -1] = 1.0
    d = np.matmul(todo.plan, posture)
    height = d[2, -1]
    length = np.sqrt(np.einsum("ikn,ikn->kn", d[:, :-1], d[:, :-1]))
    length -= todo.apart  # what is only gauged counts from nought
    misfits = len(length) - todo.gauges
    worst = np.maximum.reduce(np.abs(length[:misfits])) if misfits else np.zeros(n)
    for held in todo.lines:
        worst = np.maximum(worst, _off_line(rotation, position, held))
    for one, two in todo.slides:
        turned = np.abs(rotation[one] - rotation[two]).max(axis=(0, 1))
        worst = np.maximum(worst, 100.0 * turned)
    return Measured(worst, length[misfits:], height)


def _off_line(rotation: Array, position: Array, held: Line) -> Array:
    """How far a point has left its line, (n,), seen from the body that carries the line.

    The chassis, which stands still, is body 0.
    """
    by, on = held.by, held.on
    if by == 0:
        now = held.point[:, None] - position[on]
    else:
        now = np.matmul(held.point, rotation[by])
        now += position[by]
        now -= position[on]
    off = held.across.dot(np.einsum("ijn,in->jn", rotation[on], now))  # turned back
    off -= held.at
    return np.asarray(np.sqrt(np.einsum("kn,kn->n", off, off)))
