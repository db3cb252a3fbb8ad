"""Links and drive shafts as exact solids between two points that move on their own."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from kinematics.frames import least_turn
from kinematics.project.model import Link, Project, Shaft
from kinematics.shapes.coilover import ends
from kinematics.shapes.pieces import Array, Part, Rod
from kinematics.shapes.poses import Anchor, Line, Poses, anchor, point
from kinematics.shapes.profile import rectangle
from kinematics.shapes.recipe import Recipe, carried, ring
from kinematics.shapes.wheel import axis


def link(name: str, spec: Link, project: Project) -> Recipe:
    """A link: one rod, or a chain of rods through the points of a bent one."""
    inner, outer = anchor(project, spec.inner), anchor(project, spec.outer)
    if not spec.through:
        return _straight(name, "link", inner, outer, spec.diameter / 2)
    bend = Bend(inner.xyz, outer.xyz, np.array([point(project, p) for p in spec.through]))

    def make(poses: Poses) -> Part:
        line = poses.line(inner, outer)
        path = bend.path(line)
        pieces = tuple(
            Rod(np.ascontiguousarray(path[:, k : k + 2]), spec.diameter / 2)
            for k in range(path.shape[1] - 1)
        )
        return Part(name, name, "link", pieces, sagitta=(bend.stray(line),) * len(pieces))

    return make


def _straight(name: str, kind: str, start: Anchor, end: Anchor, radius: float) -> Recipe:
    def make(poses: Poses) -> Part:
        line = poses.line(start, end)
        stray = np.maximum(line.start_stray, line.end_stray)
        return Part(name, name, kind, (Rod(ends(line.start, line.end), radius),), sagitta=(stray,))

    return make


class Bend:
    """How a bent link lies about the line through its balls.

    Nothing but friction stops a bent link turning about that line; it is taken to follow it by
    the least turn from where it was measured. A point a along the line and v beside it lies at
    start + a u + Q v, with Q the least turn from u0 to u: Q v = v - (u + u0) (u.v) / (1 + u.u0)
    for v square to u0. With g = 1 + u.u0, |u + u0| <= 2, |(1/g)'| <= |u'| / g^2,
    |(1/g)''| <= 2 |u'|^2 / g^3 + |u''| / g^2 and g <= 2, differentiating twice gives
    |(Q v)''| <= |v| (16 |u''| + 24 |u'|^2) / g^3 <= |v| 29 sqrt(|u''|^2 + |u'|^4) / g^3.
    """

    def __init__(self, inner: Array, outer: Array, through: Array) -> None:
        """Points as measured: the two balls (3,), and what the tube passes (k, 3)."""
        span = float(np.linalg.norm(outer - inner))
        self.way = (outer - inner) / span
        along = (through - inner) @ self.way
        self.share = along / span
        self.beside = through - inner - along[:, None] * self.way

    def path(self, line: Line) -> Array:
        """Balls and bends (n, k + 2, 3)."""
        start, end = np.broadcast_arrays(line.start[:, None], line.end[:, None])
        turned = np.einsum("nij,kj->nki", least_turn(self.way, line.direction), self.beside)
        middle = start + self.share[:, None] * (end - start) + turned
        return np.concatenate([start, middle, end], axis=1)

    def stray(self, line: Line) -> Array | float:
        """Stray (nz - 1, ns) of any point of the link."""
        own = np.maximum(line.start_stray, line.end_stray)
        if line.poses.intervals == 0:
            return 0.0
        g = float(np.nanmin(1.0 + line.direction @ self.way) - np.nanmax(line.swing))
        aside = float(np.max(np.linalg.norm(self.beside, axis=1)))
        turning = line.stray(0.0, aside * 29.0 / max(g, 0.1) ** 3) - line.start_stray
        return np.asarray(own + turning)


def shaft(name: str, spec: Shaft, project: Project) -> Iterator[Recipe]:
    """A drive shaft and, where their sizes are given, the bodies of its two joints.

    Joint bodies are cylinders centred on the shaft's ends: the outer one on the wheel's axis
    when the wheel's carrier carries it, others square to the car's side.
    """
    inner, outer = anchor(project, spec.inner), anchor(project, spec.outer)
    yield _straight(name, spec.is_a, inner, outer, spec.diameter / 2)
    for place, at, size in (
        ("inner joint", inner, spec.inner_joint),
        ("outer joint", outer, spec.outer_joint),
    ):
        if size is not None:
            half = size.length / 2
            profile = rectangle(0.0, size.diameter / 2, -half, half)
            solid = ring(at.body, at.xyz, joint_axis(project, at.body), profile)
            yield carried(f"{name} {place}", at.body, spec.is_a, [solid])


def joint_axis(project: Project, body: str) -> Array:
    """The axis (3,) of a joint body: the wheel's on the wheel's carrier, else across the car."""
    return axis(project) if body == project.wheel.body else np.array([0.0, 1.0, 0.0])
