"""A scan thinned for the screen: corners near one another made one, until few enough are left.

Only what is drawn is thinned; what is measured, picked and exported stays as it was read.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]
COARSER = 1.15  # how much larger the cells are made where too many faces are left


@dataclass(frozen=True, eq=False)
class Thinned:
    """A mesh of fewer faces: vertices (m, 3), faces (k, 3).

    off: no point of either surface lies farther from the other than this.
    """

    vertices: Array
    faces: Index
    off: float


def thinned(vertices: Array, faces: Index, most: int) -> Thinned:
    """A mesh with no more than ``most`` faces in the place of a finer one.

    The corners in a cell of a grid are drawn together to their mean, those of the far side of a
    sheet apart from those of the near side. As every face keeps to its corners, what was closed
    stays closed, and no point of a face is moved farther than a corner of it. Of dust, which
    would come to nothing, some grains are kept as they are.
    """
    area = _areas(vertices, faces)
    normal = _normals(vertices, faces, area)
    cell = float(np.sqrt(3.0 * np.linalg.norm(area, axis=1).sum() / 2 / most))
    while True:
        number, count = _clusters(vertices, normal, cell)
        kept = number[faces]
        a, b, c = kept.T
        kept = kept[(a != b) & (b != c) & (c != a)]
        if len(kept) <= most:
            break
        cell *= COARSER
    if not len(kept):
        size = np.linalg.norm(np.ptp(vertices, axis=0))
        return Thinned(vertices, faces[:: -(-len(faces) // most)], float(size))
    weight = np.bincount(number, minlength=count)
    sums = [np.bincount(number, vertices[:, k], count) for k in range(3)]
    place: Array = np.stack(sums, axis=1) / weight[:, None]
    off = np.sqrt(((place[number] - vertices) ** 2).sum(axis=1).max(initial=0.0))
    return Thinned(place, kept, float(off))


def _areas(vertices: Array, faces: Index) -> Array:
    """Twice each face's area, along its normal. (k, 3)"""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    (x, y, z), (u, v, w) = (b - a).T, (c - a).T
    return np.stack([y * w - z * v, z * u - x * w, x * v - y * u], axis=1)


def _normals(vertices: Array, faces: Index, area: Array) -> Array:
    """The way each corner's faces look together, of any length. (m, 3)"""
    at = faces.ravel()
    count = len(vertices)
    parts = [np.bincount(at, np.repeat(area[:, k], 3), count) for k in range(3)]
    return np.stack(parts, axis=1)


def _clusters(vertices: Array, normal: Array, cell: float) -> tuple[Index, int]:
    """Which corners become one: a number each (m,), and how many there are."""
    steps = np.floor((vertices - vertices.min(axis=0)) / cell).astype(np.int64)
    wide = steps.max(axis=0) + 1
    key = (steps[:, 0] * wide[1] + steps[:, 1]) * wide[2] + steps[:, 2]
    _, first, number = np.unique(key, return_index=True, return_inverse=True)
    behind = np.einsum("ij,ij->i", normal, normal[first][number]) < 0
    if behind.any():
        _, number = np.unique(2 * number + behind, return_inverse=True)
    return number.ravel(), int(number.max()) + 1
