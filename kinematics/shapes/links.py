"""Links and drive shafts as exact solids between two points that move on their own."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from kinematics.project.model import Link, Project, Shaft
from kinematics.shapes.coilover import ends
from kinematics.shapes.pieces import Array, Part, Rod
from kinematics.shapes.poses import Anchor, Poses, anchor, point
from kinematics.shapes.recipe import Recipe, carried, drum, ring
from kinematics.shapes.wheel import axis


def link(name: str, spec: Link, project: Project) -> Recipe:
    """A link: one rod, or a chain of rods through the points of a bent one.

    A bent link follows the line through its balls by the least turn, as the motion has it;
    nothing but friction holds it so.
    """
    inner, outer = anchor(project, spec.inner), anchor(project, spec.outer)
    if not spec.through:
        return _straight(name, "link", inner, outer, spec.diameter / 2)
    through = np.array([point(project, p) for p in spec.through])

    def make(poses: Poses) -> Part:
        line = poses.line(inner, outer)
        middle = poses.carry(name, through)
        start, end = (np.broadcast_to(p, middle[:, 0].shape) for p in (line.start, line.end))
        path = np.concatenate([start[:, None], middle, end[:, None]], axis=1)
        pieces = tuple(
            Rod(np.ascontiguousarray(path[:, k : k + 2]), spec.diameter / 2)
            for k in range(path.shape[1] - 1)
        )
        stray = np.maximum(line.start_stray, line.end_stray)
        stray = np.maximum(stray, poses.stray(name, through))
        return Part(name, name, "link", pieces, sagitta=(stray,) * len(pieces))

    return make


def _straight(name: str, kind: str, start: Anchor, end: Anchor, radius: float) -> Recipe:
    def make(poses: Poses) -> Part:
        line = poses.line(start, end)
        stray = np.maximum(line.start_stray, line.end_stray)
        return Part(name, name, kind, (Rod(ends(line.start, line.end), radius),), sagitta=(stray,))

    return make


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
            profile = drum(size.diameter / 2, -half, half)
            solid = ring(at.body, at.xyz, joint_axis(project, at.body), profile)
            yield carried(f"{name} {place}", at.body, spec.is_a, [solid])


def joint_axis(project: Project, body: str) -> Array:
    """The axis (3,) of a joint body: the wheel's on the wheel's carrier, else across the car."""
    return axis(project) if body == project.wheel.body else np.array([0.0, 1.0, 0.0])
