"""Bounds on how far a carried point strays from the straight line between two solved poses.

Certified by the constraint equations over each whole interval, not sampled: at both ends the
point's second derivative is exact, and between them it can drift no faster than the rows'
constants allow (see ``bounds``). From a pose with κ, y = |v|, A = |v'|, over a distance t and with
``G = (1 - 2κyt)^-½``:

    |v''| = |J⁻¹(J''v + 2J'v')| ≤ κ₂y³ + 3κyA,
    A(t) ≤ (A + tG⁴κ₂y³)·exp(3G²κy·t)    (Gronwall), and also  A(t) ≤ G³κy².

Every pose between two neighbours is within half the interval of one of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import Array, cross_last
from kinematics.motion.bounds import Bounds
from kinematics.motion.errors import MotionError
from kinematics.motion.giving_bulge import most_bend_at_rest
from kinematics.motion.proof import distance
from kinematics.motion.rows import motions
from kinematics.project.model import Ball, Hinge

if TYPE_CHECKING:
    from kinematics.motion.motion import Motion


FINE = 0.3
"""κ·y·h above which an interval is cut before it is bounded."""
MOST = 64
"""Most pieces an interval is cut into."""


@dataclass(frozen=True)
class Drift:
    """What can change within ``t`` (n,) mm of each pose: most |v'| and |v''|, all (n,)."""

    t: Array
    bend: Array
    jerk: Array


def drift(at: Bounds, t: Array) -> Drift:
    """Bounds within ``t`` of every pose; inf where the branch can't be vouched for so far."""
    u = at.kappa * at.y
    with np.errstate(all="ignore"):
        room = 1.0 - 2.0 * u * t
        way = np.where(u > 0.0, (1.0 - np.sqrt(room)) / at.kappa, at.y * t)
        grow = np.where((room > 0.0) & (way <= at.slack), 1.0 / np.sqrt(room), np.inf)
        push = grow**4 * at.kappa2 * at.y**3
        rate = 3.0 * grow**2 * u
        bend = np.minimum((at.bend + t * push) * np.exp(rate * t), grow**3 * u * at.y)
        return Drift(t, bend, push + rate * bend)


def bulge(motion: Motion, body: str, xyz: Array) -> Array:
    """See ``Motion.bulge``."""
    motion.number(body)
    if motion.by != "travel":
        raise MotionError("Bounds between positions are only had for a motion by wheel travel.")
    points = np.atleast_2d(xyz)
    if len(motion.travel) < 2:
        found = np.zeros((len(points), 0, motion.shape[1]))
    elif motion.linkage.give or motion.finer is None:
        found = _between(motion, body, points)
    else:
        # The bound of an interval is the worst of the shorter ones it was cut into.
        fine = motion.finer
        found = np.maximum.reduceat(_between(fine.motion, body, points), fine.first, axis=1)
        found = np.where(motion.reached[:-1] & motion.reached[1:], found, np.inf)
    return np.asarray(found[0] if xyz.ndim == 1 else found)


def _between(motion: Motion, body: str, points: Array) -> Array:
    """Bounds (points, nz-1, ns); each end of an interval answers for its half."""
    nz, ns = motion.shape
    gaps = np.abs(np.diff(motion.travel))
    halves = 0.5 * np.stack([np.append(gaps, 0.0), np.append(0.0, gaps)])
    if np.ptp(gaps) < 1e-9 * gaps.max():
        halves = np.full((1, nz), 0.5 * gaps[0])
    sides = [
        most_bend(motion, body, points, half.repeat(ns)).reshape(len(points), nz, ns)
        for half in halves
    ]
    out = np.maximum(sides[0][:, :-1], sides[-1][:, 1:])
    return np.where(np.isfinite(out), out, np.inf)


@dataclass(frozen=True)
class Finer:
    """The same motion with long intervals cut: where each interval's shorter ones ``first`` are."""

    motion: Motion
    first: NDArray[np.intp]


def finer(motion: Motion) -> Finer | None:
    """The motion with intervals cut until κ·y·h is about ``FINE``; None if that is so already."""
    from kinematics.motion.grid import move

    u = (motion.bounds.kappa * motion.bounds.y).reshape(motion.shape)
    u = np.where(motion.reached & np.isfinite(u), u, 0.0).max(axis=1)
    gaps = np.abs(np.diff(motion.travel))
    wanted = np.ceil(np.maximum(u[:-1], u[1:]) * gaps / FINE)
    count = np.clip(wanted, 1, MOST).astype(int)
    if (count == 1).all():
        return None
    pieces = [
        np.linspace(a, b, c, endpoint=False)
        for a, b, c in zip(motion.travel[:-1], motion.travel[1:], count, strict=True)
    ]
    travel = np.concatenate([*pieces, motion.travel[-1:]])
    first = np.concatenate([[0], np.cumsum(count)[:-1]])
    cut = move(motion.linkage, travel, motion.rack, stops=False, prove=False)
    there = cut.solved.take(_flat(first, motion.shape[1]))
    apart = distance(
        motion.linkage.driven().system.geometry,
        there,
        motion.solved.take(slice(0, len(first) * motion.shape[1])),
    )
    # Never mix in another assembly: its bounds would vouch for the wrong branch.
    return Finer(cut, first) if (apart[motion.reached[:-1].ravel()] < 1e-6).all() else None


def _flat(index: NDArray[np.intp], n: int) -> NDArray[np.intp]:
    return np.asarray((index[:, None] * n + np.arange(n)).ravel())


def most_bend(motion: Motion, body: str, points: Array, t: Array) -> Array:
    """The most |p''| (points, n) of carried points (points, 3) within ``t`` (n,) of each pose."""
    linkage = motion.linkage
    system = linkage.driven(motion.by).system
    if body in system.bodies and motion.linkage.give:
        return most_bend_at_rest(motion, system.bodies.index(body), points, t)
    if body in system.bodies:
        return _on_solved(motion, system.bodies.index(body), points, t)
    if body in system.circles:
        hinge, ball = (linkage.mechanism.joints[name] for name in system.circles[body])
        assert isinstance(hinge, Hinge)
        assert isinstance(ball, Ball)
        pivot, rear, tip = (
            linkage.mechanism.xyz[linkage.mechanism.points[name]]
            for name in (*hinge.along, ball.at)
        )
        axis = (pivot - rear) / np.linalg.norm(pivot - rear)
        share = np.linalg.norm(np.cross(axis, points - pivot), axis=-1) / np.linalg.norm(
            np.cross(axis, tip - pivot)
        )
        other = ball.bodies[0] if ball.bodies[1] == body else ball.bodies[1]
        # All points of an arm on a fixed hinge share its angle: bends go as radii.
        return np.asarray(share[:, None] * most_bend(motion, other, tip[None], t))
    if body in system.rods:
        joints = [linkage.mechanism.joints[name] for name in system.rods[body]]
        ends = [
            (j.at, j.bodies[0] if j.bodies[1] == body else j.bodies[1])
            for j in joints
            if isinstance(j, Ball)
        ]
        return np.stack([_on_rod(motion, ends, point, t) for point in points])
    if body in linkage.mechanism.bent:
        link = linkage.mechanism.links[body]
        ends = [(e.point, e.body) for e in (link.inner, link.outer)]
        return np.stack([_on_rod(motion, ends, point, t) for point in points])
    return np.zeros((len(points), len(t)))


def _on_solved(motion: Motion, i: int, points: Array, t: Array) -> Array:
    """Points of a solved body: their exact second derivative plus what it can drift."""
    driven = motion.linkage.driven(motion.by)
    system, geo = driven.system, driven.system.geometry
    at, number = motion.bounds, motion.number(system.bodies[i])
    near = drift(at, t)
    _, spins = motions(system.table, geo, at.speed)
    pushes, twists = motions(system.table, geo, at.acceleration)
    spin, push, twist = spins[i][:, None], pushes[i][:, None], twists[i][:, None]
    arm = motion.carry_flat(number, points) - motion.solved.centre[i][:, None]
    r = np.linalg.norm(points - geo.centre[i, :, 0], axis=-1)[:, None]
    here = push + cross_last(twist, arm) + cross_last(spin, cross_last(spin, arm))
    with np.errstate(all="ignore"):
        turning = np.sqrt((spins[i] * spins[i]).sum(axis=0)) + t * near.bend / geo.scale
        change = near.jerk * np.hypot(1.0, r / geo.scale)
        change += 3.0 * r * turning * near.bend / geo.scale + r * turning**3
        return np.asarray(np.sqrt((here * here).sum(axis=0)) + np.where(t > 0.0, t * change, 0.0))


def _on_rod(motion: Motion, ends: list[tuple[str, str]], xyz: Array, t: Array) -> Array:
    """A point of a bent link, carried by the least turn from its direction as measured.

    With u the link's direction and θ its turn, T = tan(θ/2): |ω| ≤ |u'|·sec(θ/2) and
    |ω'| ≤ |u''|(1+T) + |u'|²((1+T)/(1+cosθ) + T).
    """
    mechanism = motion.linkage.mechanism
    first, second = (mechanism.xyz[mechanism.points[point]] for point, _ in ends)
    start = (second - first) / np.linalg.norm(second - first)
    at = [
        motion.carry_flat(motion.number(body), p[None])[:, 0]
        for p, (_, body) in zip((first, second), ends, strict=True)
    ]
    span = at[1] - at[0]
    length = np.sqrt((span * span).sum(axis=0))
    twist = motion.by_travel
    speed = [
        cross_last(twist.spin[motion.number(body)], where) + twist.drift[motion.number(body)]
        for where, (_, body) in zip(at, ends, strict=True)
    ]
    ends_bend = [
        most_bend(motion, body, p[None], t)[0]
        for p, (_, body) in zip((first, second), ends, strict=True)
    ]
    along = (xyz - first) @ start
    off = float(np.linalg.norm(xyz - first - along * start))
    with np.errstate(all="ignore"):
        part = along / length
        swing2 = (ends_bend[0] + ends_bend[1]) / length
        rate = speed[1] - speed[0]
        swing = np.sqrt((rate * rate).sum(axis=0)) / length + t * swing2
        angle = np.arccos(np.clip(start @ span / length, -1.0, 1.0)) + t * swing
        half, cosine = np.tan(0.5 * angle), np.cos(angle)
        turning2 = (swing / np.cos(0.5 * angle)) ** 2
        turning = swing2 * (1.0 + half) + swing**2 * ((1.0 + half) / (1.0 + cosine) + half)
        straight = np.abs(1.0 - part) * ends_bend[0] + np.abs(part) * ends_bend[1]
        return np.asarray(straight + off * (turning + turning2))
