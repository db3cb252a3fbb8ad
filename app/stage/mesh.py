"""Display meshes made ready to draw: smooth and sharp normals, outline normals, crease edges."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from app.stage.thin import thinned
from kinematics.shapes.skins import Skin

CREASE = np.cos(np.radians(32.0))
MERGE = 2e-3  # mm: corners nearer than this are one
FINE = 30_000  # faces: a scan finer than this is thinned to it and drawn smooth, without creases
KEPT = 6  # fine meshes kept ready: now, before, and what an undo brings back
ROUND = ("spring",)  # wire of few sides that is to look round
SCATTER = np.array([0x1E3779B97F4A7C15, 0x2545F4914F6CDD1D, 0x5851F42D4C957F2D, 0x14057B7EF767814F])
"""Odd numbers by which a row of four becomes one number, as good as its own."""

F32 = NDArray[np.float32]
I32 = NDArray[np.int32]


@dataclass(frozen=True)
class Mesh:
    """One skin ready to draw, in its own frame.

    position, normal, hull (n, 3) and along (n,): per vertex; ``hull`` is the normal averaged
    over all faces at the corner. faces (k, 3). edges (m, 2, 3) and edge_along (m, 2): creases,
    edge_sides (m, 2, 3): the normals of the two faces that meet there, by which an edge on the
    far side is left out. corner (k, 3): the faces by corners that are one wherever vertices
    lie in one place; unit (k, 3): the faces' normals. box (2, 3): least and most corner of the
    skin; off: how far what is drawn may lie from it, mm, 0 unless it was thinned.
    """

    position: F32
    normal: F32
    hull: F32
    along: F32
    faces: I32
    edges: F32
    edge_along: F32
    edge_sides: F32
    corner: I32
    unit: F32
    box: F32
    off: float = 0.0

    @cached_property
    def quads(self) -> F32:
        """Each crease as four corners of a strip, the number of its piece left 0. (m, 4, 16)"""
        edges, along = self.edges, self.edge_along
        quads = np.zeros((len(edges), 4, 16), np.float32)
        quads[:, :, 10:] = self.edge_sides.reshape(-1, 1, 6)
        for corner, (here, side) in enumerate(((0, 1.0), (0, -1.0), (1, -1.0), (1, 1.0))):
            there = 1 - here
            quads[:, corner, 0:3] = edges[:, here]
            quads[:, corner, 3:6] = edges[:, there]
            quads[:, corner, 6] = side
            quads[:, corner, 7] = along[:, here]
            quads[:, corner, 8] = along[:, there]
        return quads


def drawn(skin: Skin) -> Mesh:
    """A skin made ready to draw; a fine one only once."""
    return _remembered(skin) if len(skin.faces) > FINE else _made(skin)


@lru_cache(maxsize=KEPT)
def _remembered(skin: Skin) -> Mesh:
    return _made(skin)


def _made(skin: Skin) -> Mesh:
    return prepare(skin.vertices, skin.faces, skin.along, skin.kind in ROUND)


def prepare(
    vertices: NDArray, faces: NDArray, along: NDArray | None = None, smooth: bool = False
) -> Mesh:
    """Split vertices at creases and find the edges to draw; ``smooth``: it has none.

    A fine mesh that does not stretch is thinned first.
    """
    vertices = np.asarray(vertices, float)
    faces = np.asarray(faces, np.int64)
    if len(faces) > FINE and along is None:
        fewer = thinned(vertices, faces, FINE)
        made = prepare(fewer.vertices, fewer.faces, smooth=True)
        return replace(made, box=_box(vertices), off=fewer.off)
    stretch = np.zeros(len(vertices)) if along is None else np.asarray(along, float)
    welded = _weld(vertices, stretch)
    area = np.cross(
        vertices[faces[:, 1]] - vertices[faces[:, 0]],
        vertices[faces[:, 2]] - vertices[faces[:, 0]],
    )
    size = np.linalg.norm(area, axis=1)
    faces, area, size = faces[size > 1e-9], area[size > 1e-9], size[size > 1e-9]
    unit = area / size[:, None]
    corner = welded[faces]
    hull = _sums(corner.ravel(), np.repeat(area, 3, axis=0), welded.max() + 1)
    hull /= np.maximum(np.linalg.norm(hull, axis=1), 1e-12)[:, None]
    if smooth:
        normals = hull[corner]
        edges, sides = np.zeros((0, 2), int), np.zeros((0, 2), int)
    else:
        normals = _corner_normals(corner, area, unit)
        edges, sides = _creases(corner, unit)
    return _assemble(vertices, stretch, welded, faces, corner, normals, hull, edges, sides, unit)


def _weld(vertices: NDArray, along: NDArray) -> NDArray:
    """The index of the first vertex at the same place, renumbered from 0. (n,)"""
    keys = np.round(np.column_stack([vertices, along * 100]) / MERGE).astype(np.int64)
    # Rows as one number each, wrapped round: two alike by chance are out of the question.
    _, inverse = np.unique(keys @ SCATTER, return_inverse=True)
    return np.asarray(inverse).ravel()


def _sums(index: NDArray, values: NDArray, count: int) -> NDArray:
    return np.stack([np.bincount(index, values[:, k], count) for k in range(3)], axis=1)


def _corner_normals(corner: NDArray, area: NDArray, unit: NDArray) -> NDArray:
    """Per face corner: the mean of the faces about it that bend away by less than a crease."""
    count = len(corner)
    face = np.repeat(np.arange(count), 3)
    at = corner.ravel()
    order = np.argsort(at, kind="stable")
    face, sorted_at = face[order], at[order]
    start = np.searchsorted(sorted_at, np.arange(at.max() + 2))
    fan = np.diff(start)[sorted_at]
    first = np.repeat(np.arange(3 * count), fan)
    run = np.arange(len(first)) - np.repeat(np.cumsum(fan) - fan, fan)
    second = start[sorted_at][first] + run
    near = np.einsum("ij,ij->i", unit[face[first]], unit[face[second]]) > CREASE
    total = _sums(first[near], area[face[second[near]]], 3 * count)
    result = np.empty_like(total)
    result[order] = total / np.maximum(np.linalg.norm(total, axis=1), 1e-12)[:, None]
    return result.reshape(count, 3, 3)


def _creases(corner: NDArray, unit: NDArray) -> tuple[NDArray, NDArray]:
    """Edges where the surface bends by more than a crease or ends.

    As welded corners (m, 2), and the faces on either side (m, 2).
    """
    ends = np.concatenate([corner[:, [0, 1]], corner[:, [1, 2]], corner[:, [2, 0]]])
    face = np.tile(np.arange(len(corner)), 3)
    ends = np.sort(ends, axis=1)
    kept = ends[:, 0] != ends[:, 1]
    ends, face = ends[kept], face[kept]
    unique, inverse, counts = np.unique(ends, axis=0, return_inverse=True, return_counts=True)
    inverse = np.asarray(inverse).ravel()
    order = np.argsort(inverse, kind="stable")
    start = np.cumsum(counts) - counts
    a = face[order[start]]
    b = face[order[start + np.minimum(counts - 1, 1)]]
    bend = np.einsum("ij,ij->i", unit[a], unit[b])
    sharp = (counts != 2) | (bend < CREASE)
    return unique[sharp], np.stack([a, b], axis=1)[sharp]


def _assemble(
    vertices: NDArray,
    along: NDArray,
    welded: NDArray,
    faces: NDArray,
    corner: NDArray,
    normals: NDArray,
    hull: NDArray,
    edges: NDArray,
    sides: NDArray,
    unit: NDArray,
) -> Mesh:
    """Share a drawn vertex between corners of one place and one normal."""
    keys = np.column_stack([corner.ravel(), np.round(normals.reshape(-1, 3) * 200)])
    _, first, inverse = np.unique(
        keys.astype(np.int64) @ SCATTER, return_index=True, return_inverse=True
    )
    source = faces.ravel()[first]
    place = np.empty((welded.max() + 1, 3))
    place[welded] = vertices
    place_along = np.empty(len(place))
    place_along[welded] = along
    return Mesh(
        position=vertices[source].astype(np.float32),
        normal=normals.reshape(-1, 3)[first].astype(np.float32),
        hull=hull[welded[source]].astype(np.float32),
        along=along[source].astype(np.float32),
        faces=np.asarray(inverse).reshape(-1, 3).astype(np.int32),
        edges=place[edges].astype(np.float32).reshape(-1, 2, 3),
        edge_along=place_along[edges].astype(np.float32).reshape(-1, 2),
        edge_sides=unit[sides].astype(np.float32).reshape(-1, 2, 3),
        corner=corner.astype(np.int32),
        unit=unit.astype(np.float32),
        box=_box(vertices),
    )


def _box(vertices: NDArray) -> F32:
    return np.array([vertices.min(axis=0), vertices.max(axis=0)], np.float32)
