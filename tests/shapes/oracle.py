"""Plain, slow signed distances of points to exact pieces, written apart from the product."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kinematics.shapes.pieces import Block, Part, Piece, Ring, Rod, Sheet

Array = NDArray[np.float64]


def depth_outside(points: Array, part: Part, pose: int = 0) -> Array:
    """Signed distance (k,) of points (k, 3) to a part: the least over its pieces."""
    return np.min([_piece(points, piece, pose) for piece in part.pieces], axis=0)


def _piece(points: Array, piece: Piece, pose: int) -> Array:
    if isinstance(piece, Rod):
        a, b = _at(piece.ends, pose)
        return _to_segment(points, a, b) - piece.radius
    if isinstance(piece, Block):
        corners = _at(piece.corners, pose)
        planes = []
        for face in piece.faces:
            p = corners[list(face)]
            n = np.cross(p[1] - p[0], p[2] - p[1])
            planes.append((points - p[0]) @ (n / np.linalg.norm(n)))
        return np.max(planes, axis=0)
    assert not isinstance(piece, Sheet)
    return _ring(points, piece, pose)


def _ring(points: Array, piece: Ring, pose: int) -> Array:
    way = points - _at(piece.centre, pose)
    axis = _at(piece.axis, pose)
    y = way @ axis
    r = np.linalg.norm(way - y[:, None] * axis, axis=1)
    outline = piece.profile.points(0.005).copy()
    if piece.stretch is not None:
        middle = (outline[:, 1].min() + outline[:, 1].max()) / 2
        outline[outline[:, 1] > middle, 1] += _at(piece.stretch, pose)
    flat = np.column_stack([r, y])
    if not piece.hollow:
        outline = np.vstack([outline * [1, 1], outline * [-1, 1]])
        outline = _hull(outline)
    return _to_polygon(flat, outline)


def _hull(points: Array) -> Array:
    from scipy.spatial import ConvexHull

    return points[ConvexHull(points).vertices]


def _to_polygon(points: Array, loop: Array) -> Array:
    nearest = np.full(len(points), np.inf)
    inside = np.ones(len(points), bool)
    area = np.sum(loop[:, 0] * np.roll(loop[:, 1], -1) - loop[:, 1] * np.roll(loop[:, 0], -1))
    sense = np.sign(area)
    for a, b in zip(loop, np.roll(loop, -1, axis=0), strict=True):
        nearest = np.minimum(nearest, _to_segment(points, a, b))
        edge = b - a
        inside &= sense * (edge[0] * (points[:, 1] - a[1]) - edge[1] * (points[:, 0] - a[0])) >= 0
    return np.where(inside, -nearest, nearest)


def _to_segment(points: Array, a: Array, b: Array) -> Array:
    way = b - a
    length = float(way @ way)
    share = np.clip((points - a) @ way / length, 0.0, 1.0) if length > 0 else np.zeros(len(points))
    return np.linalg.norm(points - a - share[:, None] * way, axis=1)


def _at(array: Array, pose: int) -> Array:
    return array[pose] if len(array) > 1 else array[0]
