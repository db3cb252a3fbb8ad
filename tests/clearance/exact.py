"""Signed distances of points to exact pieces, each from its own definition, arcs as arcs.

Written apart from the product: a profile is its arcs and the lines between them; a filled ring is
taken with its mirror image in the axis.
"""

from __future__ import annotations

import numpy as np

from kinematics.shapes.pieces import Block, Part, Ring, Rod, Sheet

Array = np.ndarray


def to_part(points: Array, part: Part, pose: int) -> Array:
    """Signed distance (k,) of points (k, 3) to a part: the least over its pieces."""
    return np.min([_to_piece(points, piece, pose) for piece in part.pieces], axis=0)


def _to_piece(points: Array, piece: object, pose: int) -> Array:
    if isinstance(piece, Rod):
        return _segment(points, *_at(piece.ends, pose)) - piece.radius
    if isinstance(piece, Sheet):
        return _polygon(points, _at(piece.corners, pose)) - piece.half
    if isinstance(piece, Block):
        return _block(points, _at(piece.corners, pose), piece.faces)
    assert isinstance(piece, Ring)
    axis, way = _at(piece.axis, pose), points - _at(piece.centre, pose)
    y = way @ axis
    flat = np.column_stack([np.linalg.norm(way - y[:, None] * axis, axis=1), y])
    arcs = (piece.profile.arcs if piece.hollow else piece.profile.outer).copy()
    if piece.stretch is not None:
        arcs[:, 1] += arcs[:, 7] * _at(piece.stretch, pose)
    if not piece.hollow:
        mirrored = (arcs * [-1, 1, 1, -1, 1, -1, 1, 1])[::-1, [0, 1, 2, 5, 6, 3, 4, 7]]
        arcs = np.concatenate([arcs, mirrored])
    return _outline(flat, arcs)


def _at(values: Array, pose: int) -> Array:
    return values[pose if len(values) > 1 else 0]


def _segment(points: Array, a: Array, b: Array) -> Array:
    way = b - a
    square = float(way @ way)
    share = np.clip((points - a) @ way / square, 0.0, 1.0) if square else np.zeros(len(points))
    return np.linalg.norm(points - a - share[:, None] * way, axis=1)


def _normal(corners: Array) -> Array:
    turned = np.cross(corners - corners[0], np.roll(corners, -1, axis=0) - corners[0]).sum(axis=0)
    return turned / np.linalg.norm(turned)


def _polygon(points: Array, corners: Array) -> Array:
    """Distance to a flat convex polygon."""
    n = _normal(corners)
    height = (points - corners[0]) @ n
    inside, nearest = np.ones(len(points), bool), np.full(len(points), np.inf)
    for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        inside &= (points - height[:, None] * n - a) @ np.cross(n, b - a) >= 0.0
        nearest = np.minimum(nearest, _segment(points, a, b))
    return np.where(inside, np.abs(height), nearest)


def _block(points: Array, corners: Array, faces: tuple[tuple[int, ...], ...]) -> Array:
    value, away = np.full(len(points), -np.inf), np.full(len(points), np.inf)
    for face in faces:
        flat = corners[list(face)]
        n = _normal(flat)
        n = n * np.sign((flat[0] - corners.mean(axis=0)) @ n)
        value = np.maximum(value, (points - flat[0]) @ n)
        away = np.minimum(away, _polygon(points, flat))
    return np.where(value <= 0.0, value, away)


def _outline(p: Array, arcs: Array) -> Array:
    """Signed distance of (r, y) to a closed convex outline of arcs and lines between them."""
    nearest, outside = np.full(len(p), np.inf), np.full(len(p), -np.inf)
    for arc, after in zip(arcs, np.roll(arcs, -1, axis=0), strict=True):
        centre, radius, first, last = arc[:2], arc[2], arc[3:5], arc[5:7]
        way = p - centre
        far = np.linalg.norm(way, axis=1)
        owns = (first[0] * way[:, 1] - first[1] * way[:, 0] >= 0.0) & (
            way[:, 0] * last[1] - way[:, 1] * last[0] >= 0.0
        )
        owns &= way @ (first + last) >= 0.0
        start, end = centre + radius * first, centre + radius * last
        tips = np.minimum(np.linalg.norm(p - start, axis=1), np.linalg.norm(p - end, axis=1))
        nearest = np.minimum(nearest, np.where(owns, np.abs(far - radius), tips))
        onward = after[:2] + after[2] * after[3:5]
        nearest = np.minimum(nearest, _segment(p, end, onward))
        outside = np.maximum(outside, np.where(owns, far - radius, -np.inf))
        outside = np.maximum(outside, np.maximum((p - start) @ first, (p - end) @ last))
    return np.where(outside > 0.0, nearest, -nearest)
