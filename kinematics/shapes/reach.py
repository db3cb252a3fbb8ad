"""All that a hose between two clips can reach, as a solid.

A hose of length L clipped at a and b reaches every point p with |p - a| + |p - b| <= L: an
ellipsoid of revolution with its foci at the clips, half as long as the hose.
"""

from __future__ import annotations

from dataclasses import replace
from math import cos, pi, sqrt

import numpy as np

from kinematics.shapes.pieces import Array, Block, Mesh, Piece, Ring, Rod, Sheet
from kinematics.shapes.profile import Profile, rounded

SIDES = 112
"""Tangents that its outline is made of, end to end."""
AROUND, CLOSE = 48, 20.0
"""Points about a ring, and how close they are along its outline, mm."""


def reach(clip_a: Array, clip_b: Array, length: float) -> Ring | None:
    """What a hose can reach between clips at (3,) and (3,), or None where it is too short.

    A turned outline of tangents to the ellipse, so that nothing the hose can reach is outside.
    """
    way = clip_b - clip_a
    apart = float(np.linalg.norm(way))
    if not apart < length:
        return None
    axis = way / apart if apart > 1e-9 * length else np.array([0.0, 0.0, 1.0])
    across = sqrt(length**2 - apart**2) / 2
    middle = (clip_a + clip_b) / 2
    return Ring(middle[None], axis[None], _outline(length / 2, across))


def _outline(along: float, across: float) -> Profile:
    turn = pi / SIDES
    middles = -pi / 2 + turn * (np.arange(SIDES) + 0.5)
    corners = np.column_stack([across * np.cos(middles), along * np.sin(middles)])
    corners /= cos(turn / 2)
    return rounded([(0.0, -along), *corners, (0.0, along)])


def spare(ring: Ring, clip_a: Array, clip_b: Array, length: Array) -> Array:
    """How much longer than `length` (n,) a hose must be at least to reach a ring, (n,) mm.

    From points on the ring's surface: no point of it is farther than `h` from one of them, and
    |p - a| + |p - b| changes by no more than twice the way. Negative: it reaches, or may. The
    ellipsoid of the hose is then at least half of this away.
    """
    outline, gap = _dense(ring)
    n = len(length)
    axis = np.broadcast_to(ring.axis, (n, 3))
    side = np.cross(axis, np.eye(3)[np.argmin(np.abs(axis), axis=1)])
    side /= np.linalg.norm(side, axis=1, keepdims=True)
    other = np.cross(axis, side)
    h = float(np.hypot(gap / 2, ring.profile.r_max * pi / AROUND))
    stretch = np.zeros(1) if ring.stretch is None else ring.stretch
    r, y = outline[:, 0], outline[:, 1] + stretch[:, None] * outline[:, 2]
    seen = [
        np.stack([np.einsum("ij,ij->i", clip - ring.centre, way) for way in (side, other, axis)])
        for clip in (clip_a, clip_b)
    ]
    level = [(y - along[:, None]) ** 2 for _, _, along in seen]
    least = np.full(n, np.inf)
    for turn in 2 * pi * np.arange(AROUND) / AROUND:
        p, q = r * np.cos(turn), r * np.sin(turn)
        apart = [
            np.sqrt((p - u[:, None]) ** 2 + (q - v[:, None]) ** 2 + up)
            for (u, v, _), up in zip(seen, level, strict=True)
        ]
        least = np.minimum(least, (apart[0] + apart[1]).min(axis=1))
    return np.asarray(least - length - 2 * h)


def _dense(ring: Ring) -> tuple[Array, float]:
    """Points (k, 3) of r, y and share of the stretch on a ring's outline; their widest gap, mm."""
    bare = ring.profile.points(1.0)
    low, high = ring.profile.y_min, ring.profile.y_max
    longest = 0.0 if ring.stretch is None else float(np.nanmax(ring.stretch, initial=0.0))
    share = (bare[:, 1] - low) / (high - low) if ring.stretch is not None else 0.0 * bare[:, 1]
    points = np.column_stack([bare, share])
    after = np.roll(points, -1, axis=0)
    steps = np.hypot(*(after - points)[:, :2].T) + longest * np.abs(after - points)[:, 2]
    parts = np.maximum(np.ceil(steps / CLOSE), 1.0).astype(int)
    dense = [
        p + (q - p) * (np.arange(k) / k)[:, None]
        for p, q, k in zip(points, after, parts, strict=True)
    ]
    return np.concatenate(dense), float((steps / parts).max()) + 2.0


def at_pose(piece: Piece, i: int) -> Piece:
    """A piece as it stands at pose i alone."""

    def one(values: Array) -> Array:
        return values[i : i + 1] if len(values) > 1 else values

    match piece:
        case Rod():
            return replace(piece, ends=one(piece.ends))
        case Sheet() | Block():
            return replace(piece, corners=one(piece.corners))
        case Ring():
            stretch = None if piece.stretch is None else one(piece.stretch)
            return replace(piece, centre=one(piece.centre), axis=one(piece.axis), stretch=stretch)
        case Mesh():
            return replace(piece, rotation=one(piece.rotation), position=one(piece.position))
