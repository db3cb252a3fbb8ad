"""What the hand points at: a line of sight against the triangles, on the processor."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.stage.around import beyond, may_meet
from app.stage.scene import Piece, Scene

Array = NDArray[np.float64]
ROUNDING = 0.01  # mm by which corners are off as they are looked at along a line


@dataclass(frozen=True)
class Hit:
    """A piece, the point met on it in vehicle axes and in its own frame, and its stretch share.

    ``normal``: of the face met, towards the eye, in vehicle axes. ``corners``: that face's numbers
    in the skin's vertices; ``weights``: how much each of the three has of the point.
    """

    piece: Piece
    point: Array
    local: Array
    along: float
    depth: float
    normal: Array
    corners: tuple[int, ...]
    weights: tuple[float, ...]


def pick(scene: Scene, start: Array, way: Array) -> Hit | None:
    """The nearest piece met by a line of sight; hidden and faded ones let it pass."""
    best: Hit | None = None
    for piece in scene.pieces.values():
        if not piece.shown or piece.faded:
            continue
        hit = _meet(piece, start, way, scene.cut)
        if hit is not None and (best is None or hit.depth < best.depth):
            best = hit
    return best


def _meet(piece: Piece, start: Array, way: Array, cut: Array | None) -> Hit | None:
    turn = piece.pose[:, :3]
    origin = (start - piece.pose[:, 3]) @ turn
    ray = way @ turn
    low, high = piece.mesh.box + np.array(
        [[0, 0, min(piece.stretch, 0)], [0, 0, max(piece.stretch, 0)]]
    )
    centre, radius = (low + high) / 2, np.linalg.norm(high - low) / 2
    off = centre - origin
    if off @ off - (off @ ray) ** 2 > radius**2:
        return None
    faces = _about(piece, origin, ray)
    vertices, along = piece.skin.vertices, piece.skin.along
    corners = vertices[faces].astype(float)
    if along is not None:
        corners[..., 2] += along[faces] * piece.stretch
    a, ab, ac = corners[:, 0], corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    p = np.cross(ray, ac)
    det = np.einsum("ij,ij->i", ab, p)
    across = np.abs(det) > 1e-12  # seen edge on a triangle is not met
    inverse = np.where(across, 1.0, 0.0) / np.where(across, det, 1.0)
    t = origin - a
    u = np.einsum("ij,ij->i", t, p) * inverse
    q = np.cross(t, ab)
    v = (q @ ray) * inverse
    depth = np.einsum("ij,ij->i", ac, q) * inverse
    met = across & (u >= 0) & (v >= 0) & (u + v <= 1) & (depth > 0)
    if cut is not None:
        met &= (start + depth[:, None] * way) @ cut[:3] + cut[3] <= 0
    if not met.any():
        return None
    first = np.flatnonzero(met)[np.argmin(depth[met])]
    local = origin + depth[first] * ray
    weights = np.array([1 - u[first] - v[first], u[first], v[first]])
    share = 0.0
    if along is not None:
        share = float(weights @ along[faces[first]])
        local = local - np.array([0, 0, share * piece.stretch])
    normal = turn @ np.cross(ab[first], ac[first])
    normal = -np.sign(normal @ way) * normal / max(float(np.linalg.norm(normal)), 1e-12)
    point = start + depth[first] * way
    face = tuple(faces[first].tolist())
    return Hit(
        piece, point, local, share, float(depth[first]), normal, face, tuple(weights.tolist())
    )


def _about(piece: Piece, origin: Array, ray: Array) -> NDArray[np.int32]:
    """The faces of a piece that may be met, by corners: the line runs through their boxes. (m, 3)

    Looked at along the line, which is a point then.
    """
    vertices, along = piece.skin.vertices, piece.skin.along
    aside = np.linalg.svd(ray[None])[2][1:]
    seen = np.empty((2, len(vertices)), np.float32)
    for k, (x, y, z) in enumerate(aside.tolist()):
        # A product with so narrow a matrix takes ten times as long.
        seen[k] = vertices[:, 0] * x + vertices[:, 1] * y + vertices[:, 2] * z
        seen[k] -= float(origin @ aside[k])
        if along is not None:
            seen[k] += along * (piece.stretch * z)
    room = np.full(2, ROUNDING)
    return piece.skin.faces[may_meet(beyond(seen, -room, room), piece.skin.faces)]
