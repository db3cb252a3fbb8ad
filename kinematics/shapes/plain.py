"""Tubes, plates, boxes and cylinders carried by one body, as exact solids."""

from __future__ import annotations

import numpy as np

from kinematics.frames import cross
from kinematics.project.model import Box, Cylinder, Plate, Project, Tube
from kinematics.shapes.directions import frame
from kinematics.shapes.pieces import BOX_FACES, Array
from kinematics.shapes.polygons import doubled_area, merged, triangulate
from kinematics.shapes.poses import point
from kinematics.shapes.recipe import Recipe, block, carried, drum, ring, rod

FLAT = 1e-3
"""Corners this near one plane make one flat plate, mm; others are folded along diagonals."""


def tube(name: str, spec: Tube, project: Project) -> Recipe:
    """A round tube: a rod from each point to the next."""
    path = np.array([point(project, p) for p in spec.points])
    solids = [rod(spec.body, path[k : k + 2], spec.diameter / 2) for k in range(len(path) - 1)]
    return carried(name, spec.body, spec.is_a, solids)


def box(name: str, spec: Box) -> Recipe:
    """A box, square to the axes as measured."""
    xyz = corners(np.array(spec.least), np.array(spec.most))
    return carried(name, spec.body, spec.is_a, [block(spec.body, xyz, BOX_FACES)])


def plate(name: str, spec: Plate) -> Recipe:
    """A plate: prisms of its thickness on its outline cut into convex facets."""
    solids = prisms(np.array(spec.outline, float), spec.thickness)
    blocks = [block(spec.body, xyz, faces) for xyz, faces in solids]
    return carried(name, spec.body, spec.is_a, blocks)


def cylinder(name: str, spec: Cylinder, project: Project) -> Recipe:
    """A flat-ended cylinder between two points."""
    start, end = (point(project, p) for p in spec.points)
    length = float(np.linalg.norm(end - start))
    profile = drum(spec.diameter / 2, 0.0, length)
    solid = ring(spec.body, start, (end - start) / length, profile)
    return carried(name, spec.body, spec.is_a, [solid])


def corners(least: Array, most: Array) -> Array:
    """The corners (8, 3) of a box in the order `Block` wants them; the limits in either order."""
    low, high = np.minimum(least, most), np.maximum(least, most)
    bits = np.array([[(i >> 2) & 1, (i >> 1) & 1, i & 1] for i in range(8)], float)
    return np.asarray(low + bits * (high - low))


def prisms(outline: Array, thickness: float) -> list[tuple[Array, tuple[tuple[int, ...], ...]]]:
    """Corners (2 k, 3) and faces of the convex prisms that make up a plate.

    A flat outline is cut into convex facets; one that is not flat, as measured points seldom
    are, into triangles.
    """
    middle = outline.mean(axis=0)
    # The plane of least squares: its normal is the direction of least spread.
    normal = np.linalg.svd(outline - middle)[2][2]
    across = frame(normal)
    flat = (outline - middle) @ across[:, :2]
    order = np.arange(len(outline))[:: 1 if doubled_area(flat) > 0 else -1]
    facets = triangulate([flat[order]]).tolist()
    if float(np.max(np.abs((outline - middle) @ normal))) <= FLAT:
        facets = merged(facets, flat[order])
    return [prism(outline[order[np.array(facet)]], thickness) for facet in facets]


def prism(facet: Array, thickness: float) -> tuple[Array, tuple[tuple[int, ...], ...]]:
    """Corners (2 k, 3) and faces of a flat facet (k, 3) given its thickness."""
    normal = cross(facet[1] - facet[0], facet[2] - facet[0])
    # The widest corner gives the safest normal.
    for k in range(2, len(facet) - 1):
        other = cross(facet[k] - facet[0], facet[k + 1] - facet[0])
        normal = other if np.linalg.norm(other) > np.linalg.norm(normal) else normal
    half = thickness / 2 * normal / np.linalg.norm(normal)
    count = len(facet)
    low, high = tuple(range(count))[::-1], tuple(range(count, 2 * count))
    sides = tuple((k, (k + 1) % count, (k + 1) % count + count, k + count) for k in range(count))
    return np.concatenate([facet - half, facet + half]), (low, high, *sides)
