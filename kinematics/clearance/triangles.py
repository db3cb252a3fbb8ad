"""Distances of many pairs of triangles at once, exactly.

Two triangles that do not meet are nearest between a corner and a face, or between two edges
(C. Ericson, *Real-Time Collision Detection*, 2005, 5.1.10, from memory); they meet where an edge of
one passes through the other, or where those distances are nought.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

_EDGES = ((0, 1), (1, 2), (2, 0))


class Near(NamedTuple):
    """The nearest of many pairs: gap (mm, 0 where they meet), a point (3,) on either, and which."""

    gap: float
    on_a: Array
    on_b: Array
    pair: tuple[int, int]


def nearest(a: Array, b: Array, first: Ints, second: Ints) -> Near:
    """The nearest of the pairs a[i], b[i] (k, 3, 3); `first`, `second` (k,) are their numbers."""
    squares, on_a, on_b = [], [], []
    for corner in range(3):
        foot = on_triangle(a[:, corner], b)
        squares.append(_square(a[:, corner] - foot))
        on_a.append(a[:, corner])
        on_b.append(foot)
        foot = on_triangle(b[:, corner], a)
        squares.append(_square(b[:, corner] - foot))
        on_a.append(foot)
        on_b.append(b[:, corner])
    for i, j in _EDGES:
        for k, l in _EDGES:  # noqa: E741
            p, q = between_segments(a[:, i], a[:, j], b[:, k], b[:, l])
            squares.append(_square(p - q))
            on_a.append(p)
            on_b.append(q)
    for i, j in _EDGES:
        for through, point in (_pierces(a[:, i], a[:, j], b), _pierces(b[:, i], b[:, j], a)):
            squares.append(np.where(through, 0.0, np.inf))
            on_a.append(point)
            on_b.append(point)
    way, which = np.unravel_index(np.argmin(squares), (len(squares), len(a)))
    pair = int(first[which]), int(second[which])
    return Near(float(np.sqrt(squares[way][which])), on_a[way][which], on_b[way][which], pair)


def on_triangle(p: Array, triangle: Array) -> Array:
    """The point of each triangle (k, 3, 3) nearest to each point (k, 3)."""
    a, ab, ac = triangle[:, 0], triangle[:, 1] - triangle[:, 0], triangle[:, 2] - triangle[:, 0]
    normal = _cross(ab, ac)
    area = _square(normal)
    ap = p - a
    flat = np.where(area > 0.0, area, 1.0)
    v = _dot(_cross(ap, ac), normal) / flat
    w = _dot(_cross(ab, ap), normal) / flat
    inside = (area > 0.0) & (v >= 0.0) & (w >= 0.0) & (v + w <= 1.0)
    foot = a + v[:, None] * ab + w[:, None] * ac
    best, least = foot, np.where(inside, _square(p - foot), np.inf)
    for i, j in _EDGES:
        start, way = triangle[:, i], triangle[:, j] - triangle[:, i]
        long = _square(way)
        share = np.clip(_dot(p - start, way) / np.where(long > 0.0, long, 1.0), 0.0, 1.0)
        edge = start + share[:, None] * way
        far = _square(p - edge)
        nearer = far < least
        best, least = np.where(nearer[:, None], edge, best), np.where(nearer, far, least)
    return np.asarray(best)


def between_segments(p0: Array, p1: Array, q0: Array, q1: Array) -> tuple[Array, Array]:
    """The nearest points of segments p0 p1 and q0 q1 (k, 3): the inside solution, then clamped."""
    u, v, w = p1 - p0, q1 - q0, p0 - q0
    a, b, c, d, e = _dot(u, u), _dot(u, v), _dot(v, v), _dot(u, w), _dot(v, w)
    square = a * c - b * b
    s = np.where(square > 0.0, (b * e - c * d) / np.where(square > 0.0, square, 1.0), 0.0)
    s = np.clip(s, 0.0, 1.0)
    t = (b * s + e) / np.where(c > 0.0, c, 1.0)
    t = np.clip(t, 0.0, 1.0)
    s = np.clip((b * t - d) / np.where(a > 0.0, a, 1.0), 0.0, 1.0)
    return p0 + s[:, None] * u, q0 + t[:, None] * v


def _pierces(p: Array, q: Array, triangle: Array) -> tuple[npt.NDArray[np.bool_], Array]:
    """Whether segments p q (k, 3) pass through triangles, and where."""
    a, ab, ac = triangle[:, 0], triangle[:, 1] - triangle[:, 0], triangle[:, 2] - triangle[:, 0]
    normal = _cross(ab, ac)
    up, down = _dot(p - a, normal), _dot(q - a, normal)
    apart = up - down
    share = np.where(apart != 0.0, up / np.where(apart != 0.0, apart, 1.0), 0.0)
    point = p + share[:, None] * (q - p)
    area = _square(normal)
    flat = np.where(area > 0.0, area, 1.0)
    v = _dot(_cross(point - a, ac), normal) / flat
    w = _dot(_cross(ab, point - a), normal) / flat
    inside = (v >= 0.0) & (w >= 0.0) & (v + w <= 1.0) & (area > 0.0)
    return inside & (up * down <= 0.0) & (apart != 0.0), point


def _dot(a: Array, b: Array) -> Array:
    return np.asarray(np.einsum("ij,ij->i", a, b))


def _cross(a: Array, b: Array) -> Array:
    """As numpy's, which is slow to start."""
    (ax, ay, az), (bx, by, bz) = a.T, b.T
    return np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx], axis=1)


def _square(a: Array) -> Array:
    return _dot(a, a)
