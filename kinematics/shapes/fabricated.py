"""Box-section arms, wheel arches and rod ends as exact pieces."""

from __future__ import annotations

from itertools import pairwise
from math import acos, ceil, cos, radians

import numpy as np

from kinematics.frames import unit
from kinematics.project.model import Arch, Beam, Project, RodEnd
from kinematics.shapes.pieces import BOX_FACES, Array
from kinematics.shapes.poses import point
from kinematics.shapes.recipe import Carried, block, drum, ring, rod
from kinematics.shapes.tower import outboard

EXCESS = 0.25
"""How far at most a rolled sheet or a caliper stands outside its true round, mm."""


def beam(spec: Beam, project: Project, body: str) -> list[Carried]:
    """A mitred box section: one block from each point to the next."""
    path = np.array([point(project, name) for name in spec.points])
    ways = unit(np.diff(path, axis=0))
    planes = np.array([ways[0], *(unit(a + b) for a, b in pairwise(ways)),
                       ways[-1]])  # fmt: skip
    found, out = [], outboard(project)
    for k, way in enumerate(ways):
        across = _width_way(spec, way, out)
        up = _toward(np.cross(way, across), (2, 0, 1), out)
        corners = _section(spec, across, up)
        corners = corners if np.cross(across, up) @ way < 0.0 else corners[::-1]
        ends = [_cut(path[k + n], corners, way, planes[k + n]) for n in (0, 1)]
        if np.any((ends[1] - ends[0]) @ way <= 0.0):  # bent back on itself: left square
            ends = [path[k + n] + corners for n in (0, 1)]
        found.append(block(body, np.concatenate(ends), BAR_FACES))
    return found


BAR_FACES = ((0, 1, 2, 3), (7, 6, 5, 4), (0, 4, 5, 1), (1, 5, 6, 2), (2, 6, 7, 3), (3, 7, 4, 0))
"""Of a block whose first four corners are one end, seen from outside, and the last the other."""


def _width_way(spec: Beam, way: Array, out: float) -> Array:
    """The direction of the width: level, or as near as can be to the one typed."""
    if spec.width_along is not None:
        typed = np.asarray(spec.width_along, float)
        across = typed - (typed @ way) * way
        if np.linalg.norm(across) > 1e-6 * np.linalg.norm(typed):
            return np.asarray(unit(across))
    level = np.cross([0.0, 0.0, 1.0], way)
    if np.linalg.norm(level) < 1e-3:
        level = np.array([0.0, 1.0, 0.0])
    return _toward(unit(level), (1, 0, 2), out)


def _toward(way: Array, order: tuple[int, ...], out: float) -> Array:
    """A direction or its opposite: outboard, forward or up, by the first axis it has a part in.

    So that a corner and its mirror image agree.
    """
    sense = way * np.array([1.0, out, 1.0])
    first = next((axis for axis in order if abs(sense[axis]) > 1e-9), order[0])
    return way if sense[first] >= 0.0 else -way


def _section(spec: Beam, across: Array, up: Array) -> Array:
    """The section's corners (4, 3) about the line, in order."""
    w, h = spec.width / 2, spec.height / 2
    signs = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    return np.array(
        [(spec.offset_width + a * w) * across + (spec.offset_height + b * h) * up for a, b in signs]
    )


def _cut(at: Array, corners: Array, way: Array, plane: Array) -> Array:
    """Where the section's edges along `way` meet the plane through a point."""
    return np.asarray(at + corners - ((corners @ plane) / (way @ plane))[:, None] * way)


def rod_end(spec: RodEnd, project: Project, body: str) -> list[Carried]:
    """The head as a cylinder along its bolt, and the shank as a rod."""
    at, half = point(project, spec.at), spec.width / 2
    axis = unit(np.asarray(spec.axis, float))
    found = [ring(body, at, axis, drum(spec.head / 2, -half, half))]
    if spec.shank_to is not None:
        ends = np.array([at, point(project, spec.shank_to)])
        found.append(rod(body, ends, spec.shank / 2))
    return found


def arch(spec: Arch, project: Project, body: str) -> list[Carried]:
    """Flat strips inside the sheet's true round, so that no more room shows than there is."""
    out, centre = outboard(project), point(project, spec.centre)
    first, last = sorted((radians(spec.from_deg), radians(spec.to_deg)))
    rings = [(spec.radius, spec.radius + spec.thickness, spec.inner, spec.outer)]
    if spec.lip:
        rings.append((spec.radius - spec.lip, spec.radius, spec.outer - spec.thickness, spec.outer))
    found = []
    for low, high, inner, outer in rings:
        x_way, z_way = np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0])
        middle = centre * np.array([1.0, 0.0, 1.0])
        across = np.array([0.0, out, 0.0])
        found += sector(
            body, middle, (x_way, z_way, across), (low, high), (first, last), (inner, outer)
        )
    return found


def sector(
    body: str,
    centre: Array,
    ways: tuple[Array, Array, Array],
    radii: tuple[float, float],
    turn: tuple[float, float],
    span: tuple[float, float],
) -> list[Carried]:
    """Part of a thick-walled tube as convex blocks that hold all of it.

    ways : directions at no turn, at a quarter turn, and along. turn : first and last angle, rad.
    Blocks stand inside the inner radius and outside the outer one by `EXCESS` at most.
    """
    low, high = radii
    step = 2.0 * acos(1.0 - EXCESS / max(high, 1.0))
    count = max(1, ceil((turn[1] - turn[0]) / step - 1e-9))
    angles = np.linspace(turn[0], turn[1], count + 1)
    high /= cos((turn[1] - turn[0]) / count / 2)
    a, b, along = ways
    # Corners in the order that has a box's faces seen from outside.
    span = span if np.cross(along, a) @ b > 0.0 else span[::-1]
    found = []
    for start, end in pairwise(angles):
        spokes = [np.cos(t) * a + np.sin(t) * b for t in (start, end)]
        corners = [
            centre + s * along + r * spoke for s in span for r in (low, high) for spoke in spokes
        ]
        found.append(block(body, np.array(corners), BOX_FACES))
    return found
