"""A tree of balls over the triangles of a scan."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

#: Triangles a leaf.
LEAF = 4


@dataclass(frozen=True, eq=False)
class Tree:
    """A full binary tree, children of node i at 2 i + 1 and 2 i + 2, leaves last.

    triangles : (m, 9) in the order of the leaves, LEAF each; order : their numbers before.
    centre (nodes, 3), radius (nodes,) : balls that hold what is below; radius -1 where nothing is.
    """

    triangles: Array
    order: npt.NDArray[np.int64]
    centre: Array
    radius: Array


def grow(triangles: Array) -> Tree:
    """Sort triangles (m, 3, 3) along a space-filling curve (Morton 1966) and box them in pairs."""
    order = np.argsort(_morton(triangles.mean(axis=1)), kind="stable")
    ordered = triangles[order]
    leaves = 1
    while leaves * LEAF < len(ordered):
        leaves *= 2
    low = np.full((leaves * LEAF, 3), np.inf)
    high = np.full((leaves * LEAF, 3), -np.inf)
    low[: len(ordered)] = ordered.min(axis=1)
    high[: len(ordered)] = ordered.max(axis=1)
    low, high = low.reshape(leaves, LEAF, 3).min(axis=1), high.reshape(leaves, LEAF, 3).max(axis=1)
    centres, radii = [], []
    while True:
        filled = np.isfinite(low[:, 0])
        middle, half = np.zeros_like(low), np.zeros_like(low)
        middle[filled] = 0.5 * (low[filled] + high[filled])
        half[filled] = 0.5 * (high[filled] - low[filled])
        centres.append(middle)
        radii.append(np.where(filled, np.linalg.norm(half, axis=1) * (1.0 + 1e-12), -1.0))
        if len(low) == 1:
            break
        low = low.reshape(-1, 2, 3).min(axis=1)
        high = high.reshape(-1, 2, 3).max(axis=1)
    return Tree(
        triangles=np.ascontiguousarray(ordered.reshape(-1, 9)),
        order=order,
        centre=np.concatenate(centres[::-1]),
        radius=np.concatenate(radii[::-1]),
    )


def _morton(points: Array) -> npt.NDArray[np.uint64]:
    """Interleaved bits of the coordinates, 16 each."""
    low, high = points.min(axis=0), points.max(axis=0)
    span = float(np.max(high - low)) or 1.0
    cells = ((points - low) / span * 65535.0).astype(np.uint64)
    code = np.zeros(len(points), np.uint64)
    for axis in range(3):
        x = cells[:, axis]
        for shift, mask in (
            (32, 0x1F00000000FFFF),
            (16, 0x1F0000FF0000FF),
            (8, 0x100F00F00F00F00F),
            (4, 0x10C30C30C30C30C3),
            (2, 0x1249249249249249),
        ):
            x = (x | (x << np.uint64(shift))) & np.uint64(mask)
        code |= x << np.uint64(axis)
    return code
