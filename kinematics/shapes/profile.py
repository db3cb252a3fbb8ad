"""Convex outlines of lines and arcs in a plane (r, y), to be revolved into a `Ring`.

r is the distance from the ring's axis, y the height along it. An outline is kept as its arcs in
counter-clockwise order, each with the sector of outward normals it owns; a sharp corner is an arc
of radius 0, and a line is what joins one arc to the next. So the sectors cover the whole circle of
directions once, and with unit normals n

    support            h(n) = n·c_i + radius_i            for the arc i that owns n
    signed distance    d(p) = max over n of  n·p - h(n)   (negative inside)

(Rockafellar, Convex Analysis, section 13, for the second, which holds inside and outside alike.)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

#: Columns of `Profile.arcs`.
R, Y, RADIUS, FROM_R, FROM_Y, TO_R, TO_Y, FAR = range(8)


@dataclass(frozen=True, eq=False)
class Profile:
    """A closed convex outline.

    arcs : (m, 8) centre r, centre y, radius, first normal (r, y), last normal (r, y), far (0 or 1).
    Arcs marked far move with `Ring.stretch`, which lengthens the ring along its axis. Make one with
    `rounded` or `from_arcs`, which check it.
    """

    arcs: Array

    @cached_property
    def outer(self) -> Array:
        """The arcs clipped to normals that do not point to the axis: all a filled ring shows."""
        return _clip_outer(self.arcs)

    @cached_property
    def r_max(self) -> float:
        """Greatest distance from the axis, mm."""
        return self.support((1.0, 0.0))

    @cached_property
    def y_min(self) -> float:
        """Lowest height along the axis, mm, unstretched."""
        return -self.support((0.0, -1.0))

    @cached_property
    def y_max(self) -> float:
        """Greatest height along the axis, mm, unstretched."""
        return self.support((0.0, 1.0))

    def support(self, direction: Sequence[float]) -> float:
        """Greatest n·p over the outline, for a unit direction n = (n_r, n_y)."""
        return float(self.supports(np.asarray(direction, float)[None])[0])

    def supports(self, directions: Array, stretch: Array | float = 0.0) -> Array:
        """The same for many (n, 2), the far end moved out by `stretch` (n,) mm: (n,)."""
        longer = np.multiply.outer(stretch, self.arcs[:, FAR])
        centre = directions @ self.arcs[:, :2].T + directions[:, 1:] * longer
        reach: Array = np.max(centre + self.arcs[:, RADIUS] * _reach(self.arcs, directions), axis=1)
        return reach

    def points(self, chord_error: float = 0.05) -> Array:
        """Points (k, 2) on the outline in order; chords stay within chord_error (mm) of it."""
        out: list[Array] = []
        for row in self.arcs:
            start = np.arctan2(row[FROM_Y], row[FROM_R])
            turn = float(_angle(row[FROM_R:FAR][:2], row[TO_R : TO_Y + 1]))
            radius = float(row[RADIUS])
            steps = 0
            if radius > 0.0 and turn > 0.0:
                span = 2.0 * np.arccos(max(1.0 - chord_error / radius, -1.0))
                steps = max(1, int(np.ceil(turn / span)))
            angles = start + turn * np.linspace(0.0, 1.0, steps + 1)
            out.append(row[:2] + radius * np.column_stack([np.cos(angles), np.sin(angles)]))
        points = np.concatenate(out)
        keep = np.linalg.norm(points - np.roll(points, 1, axis=0), axis=1) > 1e-12
        return np.ascontiguousarray(points[keep])


def rounded(
    corners: npt.ArrayLike,
    radii: float | Sequence[float] = 0.0,
    far: Sequence[bool] | None = None,
) -> Profile:
    """A convex polygon (k, 2) of (r, y) corners, each rounded by its radius (0 keeps it sharp).

    far : which corners belong to the far end of a ring that is stretched along its axis.
    Raises ValueError when the polygon is not convex or a rounding does not fit its edges.
    """
    xy = np.asarray(corners, float)
    k = len(xy)
    if xy.ndim != 2 or xy.shape[1] != 2 or k < 3 or not np.all(np.isfinite(xy)):
        raise ValueError("A profile needs at least three finite (r, y) corners.")
    rad = np.broadcast_to(np.asarray(radii, float), (k,)).copy()
    ends = np.zeros(k) if far is None else np.asarray(far, float)
    area = float(np.sum(_cross(xy, np.roll(xy, -1, axis=0))))
    if area < 0.0:
        xy, rad, ends = xy[::-1], rad[::-1], ends[::-1]
    edge = np.roll(xy, -1, axis=0) - xy
    length = np.linalg.norm(edge, axis=1)
    if np.any(length < 1e-9):
        raise ValueError("Two neighbouring corners of a profile are the same point.")
    tangent = edge / length[:, None]
    normal = np.column_stack([tangent[:, 1], -tangent[:, 0]])
    before = np.roll(normal, 1, axis=0)
    sine, cosine = _cross(before, normal), np.sum(before * normal, axis=1)
    if np.any(sine < -1e-12):
        raise ValueError("A profile must be convex: one of its corners points inwards.")
    half = np.tan(0.5 * np.arctan2(sine, cosine))
    used = rad * half + np.roll(rad * half, -1)
    if np.any(used > length * (1.0 + 1e-9)):
        raise ValueError("A corner radius of a profile does not fit the edges beside it.")
    centre = xy - (before + half[:, None] * np.roll(tangent, 1, axis=0)) * rad[:, None]
    return _checked(np.column_stack([centre, rad, before, normal, ends]))


def from_arcs(arcs: npt.ArrayLike, far: Sequence[bool] | None = None) -> Profile:
    """An outline from arcs (m, 5): centre r, centre y, radius, first and last normal angle (rad).

    Counter-clockwise; each arc's last normal is the next one's first; lines fill the gaps.
    Raises ValueError when they do not close into a convex outline.
    """
    a = np.asarray(arcs, float)
    if a.ndim != 2 or a.shape[1] != 5 or not np.all(np.isfinite(a)):
        raise ValueError("Arcs of a profile are rows of five finite numbers.")
    ends = np.zeros(len(a)) if far is None else np.asarray(far, float)
    first = np.column_stack([np.cos(a[:, 3]), np.sin(a[:, 3])])
    last = np.column_stack([np.cos(a[:, 4]), np.sin(a[:, 4])])
    return _checked(np.column_stack([a[:, :3], first, last, ends]))


@lru_cache(maxsize=64)
def rectangle(
    r_in: float, r_out: float, y_low: float, y_high: float, radius: float = 0.0
) -> Profile:
    """A rectangle whose outer corners are rounded by radius; its y_high side is the far end."""
    inner = radius if r_in > 0.0 else 0.0
    return rounded(
        [(r_in, y_low), (r_out, y_low), (r_out, y_high), (r_in, y_high)],
        [inner, radius, radius, inner],
        [False, False, True, True],
    )


def circle(r: float, y: float, radius: float) -> Profile:
    """A round outline about (r, y): turned about the axis and hollow, a torus."""
    quarter = 0.5 * np.pi
    return from_arcs([(r, y, radius, quarter * i, quarter * (i + 1)) for i in range(4)])


def _checked(arcs: Array) -> Profile:
    arcs = _split(arcs)
    nxt = np.roll(arcs, -1, axis=0)
    if np.any(np.abs(arcs[:, TO_R : TO_Y + 1] - nxt[:, FROM_R : FROM_Y + 1]) > 1e-9):
        raise ValueError("The arcs of a profile do not follow one another.")
    normal = arcs[:, TO_R : TO_Y + 1]
    end = arcs[:, :2] + arcs[:, RADIUS, None] * normal
    gap = nxt[:, :2] + nxt[:, RADIUS, None] * normal - end
    along = gap[:, 0] * -normal[:, 1] + gap[:, 1] * normal[:, 0]
    off = np.abs(np.sum(gap * normal, axis=1))
    scale = 1.0 + float(np.max(np.abs(arcs[:, :3])))
    if np.any(off > 1e-9 * scale) or np.any(along < -1e-9 * scale):
        raise ValueError("The arcs of a profile are not joined by lines that touch both.")
    total = float(np.sum(_angle(arcs[:, FROM_R : FROM_Y + 1], normal)))
    if abs(total - 2.0 * np.pi) > 1e-6:
        raise ValueError("The arcs of a profile do not go once round.")
    if np.any(arcs[:, RADIUS] < 0.0) or np.any(arcs[:, R] + arcs[:, RADIUS] < -1e-9):
        raise ValueError("A profile lies at r >= 0 and its radii are not negative.")
    mixed = arcs[:, FAR] != nxt[:, FAR]
    if np.any(mixed & (np.abs(normal[:, 1]) > 1e-9)):
        raise ValueError("Where a profile stretches, its sides must be parallel to the axis.")
    return Profile(np.ascontiguousarray(arcs))


def _split(arcs: Array) -> Array:
    """Arcs of at most 90 degrees, so that a sector test by two cross products is unambiguous."""
    turns = _angle(arcs[:, FROM_R : FROM_Y + 1], arcs[:, TO_R : TO_Y + 1])
    counts = np.maximum(np.ceil(turns / (0.5 * np.pi) - 1e-9).astype(int), 1)
    if (counts == 1).all():
        return arcs.copy()
    out: list[Array] = []
    for row, turn, parts in zip(arcs, turns.tolist(), counts.tolist(), strict=True):
        start = np.arctan2(row[FROM_Y], row[FROM_R])
        for j in range(parts):
            piece = row.copy()
            if j > 0:
                angle = start + turn * j / parts
                piece[FROM_R : FROM_Y + 1] = np.cos(angle), np.sin(angle)
                out[-1][TO_R : TO_Y + 1] = piece[FROM_R : FROM_Y + 1]
            out.append(piece)
    return np.array(out)


def _clip_outer(arcs: Array) -> Array:
    """Sectors clipped to n_r >= 0, in order of angle from -90 to +90 degrees."""
    out: list[Array] = []
    lows = np.arctan2(arcs[:, FROM_Y], arcs[:, FROM_R])
    highs = lows + _angle(arcs[:, FROM_R : FROM_Y + 1], arcs[:, TO_R : TO_Y + 1])
    for row, low, high in zip(arcs, lows.tolist(), highs.tolist(), strict=True):
        for shift in (-2.0 * np.pi, 0.0, 2.0 * np.pi):
            a, b = max(low + shift, -0.5 * np.pi), min(high + shift, 0.5 * np.pi)
            if b - a < 1e-12:
                continue
            piece = row.copy()
            # The given normals are kept where they stand, free of the rounding of an angle.
            if a > low + shift:
                piece[FROM_R : FROM_Y + 1] = 0.0, -1.0
            if b < high + shift:
                piece[TO_R : TO_Y + 1] = 0.0, 1.0
            out.append(piece)
    order = np.argsort([np.arctan2(row[FROM_Y], row[FROM_R]) for row in out])
    return np.ascontiguousarray(np.array(out)[order])


def _reach(arcs: Array, directions: Array) -> Array:
    """n·(the arc's furthest unit normal) for directions n (n, 2): 1 where the arc owns it."""
    n = directions[:, None]
    first, last = arcs[:, FROM_R : FROM_Y + 1], arcs[:, TO_R : TO_Y + 1]
    inside = (_cross(first, n) >= -1e-12) & (_cross(n, last) >= -1e-12)
    inside &= directions @ (first + last).T > 0.0
    ends = np.maximum(directions @ first.T, directions @ last.T)
    reach: Array = np.where(inside, 1.0, ends)
    return reach


def _cross(a: Array, b: Array) -> Array:
    value: Array = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    return value


def _angle(first: Array, last: Array) -> Array:
    """Counter-clockwise turn from one unit normal to another, in [0, 2 pi)."""
    sine, cosine = _cross(first, last), np.sum(first * last, axis=-1)
    turn: Array = np.arctan2(np.where(np.abs(sine) < 1e-15, 0.0, sine), cosine)
    return np.where(turn < 0.0, turn + 2.0 * np.pi, turn)
