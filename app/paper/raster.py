"""Solid pictures without OpenGL: a depth buffer in numpy, looking along an axis of the car.

The picture is a technical illustration: flat light, dark outlines where one part ends before
another, fine lines along creases.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

CREASE = np.cos(np.radians(33.0))
_CHUNK = 4_000_000


@dataclass(frozen=True)
class Mesh:
    """Triangles of one part in car coordinates: corners (m, 3, 3), normals at them (m, 3, 3)."""

    corners: Floats
    normals: Floats
    colour: tuple[int, int, int]
    part: int


@dataclass(frozen=True)
class Look:
    """Where one looks from: rows right, up and toward the eye as unit vectors (3, 3)."""

    axes: Floats
    centre: tuple[float, float]
    px_per_mm: float
    wide: int
    high: int

    def place(self, xyz: Floats) -> Floats:
        """Car coordinates (..., 3) to px right, px down, and mm toward the eye."""
        out = np.asarray(xyz) @ self.axes.T
        out[..., 0] = (out[..., 0] - self.centre[0]) * self.px_per_mm + self.wide / 2
        out[..., 1] = (self.centre[1] - out[..., 1]) * self.px_per_mm + self.high / 2
        return out


def mesh(vertices: Floats, faces: Ints, colour: tuple[int, int, int], part: int) -> Mesh:
    """A part's triangles with normals smoothed where faces meet at less than about 33°."""
    corners = np.asarray(vertices, float)[faces]
    area = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    flat = area / np.maximum(np.linalg.norm(area, axis=1, keepdims=True), 1e-12)
    # Equal places count as one vertex even where the mesh keeps them apart.
    _, same = np.unique(np.round(vertices, 3), axis=0, return_inverse=True)
    same = same.reshape(-1)[faces]
    total = np.zeros((int(same.max(initial=-1)) + 1, 3))
    for k in range(3):
        np.add.at(total, same[:, k], area)
    round_ = total / np.maximum(np.linalg.norm(total, axis=1, keepdims=True), 1e-12)
    normals = round_[same]
    sharp = np.einsum("mkj,mj->mk", normals, flat) < CREASE
    normals[sharp] = np.broadcast_to(flat[:, None], normals.shape)[sharp]
    return Mesh(corners, normals, colour, part)


def picture(meshes: list[Mesh], look: Look, ink: tuple[int, int, int]) -> NDArray[np.uint8]:
    """The parts as a picture (high, wide, 4) RGBA with the background left clear."""
    corners = np.concatenate([m.corners for m in meshes])
    normals = (np.concatenate([m.normals for m in meshes]) @ look.axes.T).astype(np.float32)
    count = [len(m.corners) for m in meshes]
    colour = np.repeat(np.array([m.colour for m in meshes], np.float32), count, axis=0)
    part = np.repeat(np.array([m.part for m in meshes]), count)
    planes = _planes(look.place(corners))
    depth, face = _depth(planes, look.place(corners), look.wide, look.high)
    out = np.zeros((look.high, look.wide, 4), np.uint8)
    box = _covered(face)
    depth, face, window = depth[box], face[box], out[box]
    there = face >= 0
    normal = np.zeros((*face.shape, 3), np.float32)
    normal[there] = _normal(planes, normals, face, there, box)
    shade = colour[face[there]] * _light(normal[there])[:, None]
    window[there, :3] = np.clip(shade, 0, 255)
    window[there, 3] = 255
    _lines(window, depth, normal, np.where(there, part[face], -1), ink, look.px_per_mm)
    return out


def _covered(face: Ints) -> tuple[slice, slice]:
    """The part of the picture that has anything in it, one px more all round."""
    rows, columns = np.flatnonzero((face >= 0).any(axis=1)), np.flatnonzero((face >= 0).any(axis=0))
    if not rows.size:
        return slice(0, 0), slice(0, 0)
    return (
        slice(max(int(rows[0]) - 1, 0), int(rows[-1]) + 2),
        slice(max(int(columns[0]) - 1, 0), int(columns[-1]) + 2),
    )


def depth_at(corners: Floats, look: Look) -> float:
    """Mm toward the eye of the nearest surface at the middle of the picture; -inf if none."""
    seen = look.place(corners)
    depth, _ = _depth(_planes(seen), seen, look.wide, look.high)
    return float(depth[look.high // 2, look.wide // 2])


def _depth(planes: Floats, seen: Floats, wide: int, high: int) -> tuple[NDArray[np.float32], Ints]:
    """Depth toward the eye and the face seen at each pixel; -inf and -1 where there is none."""
    low = np.maximum(np.ceil(seen[..., :2].min(axis=1) - 0.5).astype(np.int64), 0)
    most = np.floor(seen[..., :2].max(axis=1) - 0.5).astype(np.int64)
    size = np.maximum(np.minimum(most, [wide - 1, high - 1]) - low + 1, 0)
    drawn = np.flatnonzero((size.prod(axis=1) > 0) & np.isfinite(planes).all(axis=(1, 2)))
    best = np.full(wide * high, -np.inf, np.float32)
    face = np.full(wide * high, -1, np.int64)
    ends = np.cumsum(size[drawn].prod(axis=1))
    start = 0
    while start < drawn.size:
        done = ends[start - 1] if start else 0
        stop = max(start + 1, int(np.searchsorted(ends, done + _CHUNK, side="right")))
        _fill(planes, low, size, drawn[start:stop], wide, best, face)
        start = stop
    return best.reshape(high, wide), face.reshape(high, wide)


def _fill(
    planes: Floats,
    low: Ints,
    size: Ints,
    faces: Ints,
    wide: int,
    best: NDArray[np.float32],
    face: Ints,
) -> None:
    """Draw some faces into the depth buffer: every pixel of their boxes that lies inside."""
    rows = np.repeat(faces, size[faces, 1])
    y = low[rows, 1] + _count(size[faces, 1])
    # A row of a face's box at a time: what depends on y is worked out once a row.
    start = planes[rows, :, 0] + planes[rows, :, 2] * (y + 0.5)[:, None]
    start += planes[rows, :, 1] * (low[rows, 0] + 0.5)[:, None]
    first, last = _inside(start[:, :3], planes[rows, :3, 1], size[rows, 0])
    many = np.maximum(last - first + 1, 0)
    row = np.repeat(np.arange(rows.size), many)
    step = first[row] + _count(many)
    depth = (start[row, 3] + planes[rows, 3, 1][row] * step).astype(np.float32)
    at = y[row] * wide + low[rows, 0][row] + step
    before = best[at]
    np.maximum.at(best, at, depth)
    won = (depth == best[at]) & (depth > before)
    face[at[won]] = rows[row[won]]


def _inside(start: Floats, slope: Floats, size: Ints) -> tuple[Ints, Ints]:
    """First and last step of a row at which all three shares are positive."""
    with np.errstate(divide="ignore", invalid="ignore"):
        root = -start / slope
    first = np.where(slope > 0, root, -np.inf).max(axis=1)
    last = np.where(slope < 0, root, np.inf).min(axis=1)
    last = np.where(((slope == 0) & (start < 0)).any(axis=1), -np.inf, last)
    most = (size - 1).astype(float)
    first = np.clip(np.ceil(first - 1e-6), 0, most + 1)
    last = np.clip(np.floor(last + 1e-6), -1, most)
    return first.astype(np.int64), last.astype(np.int64)


def _count(many: Ints) -> Ints:
    """0, 1, .. many[0]-1, 0, 1, .. many[1]-1, ..."""
    return np.asarray(np.arange(many.sum()) - np.repeat(np.cumsum(many) - many, many))


def _planes(seen: Floats) -> Floats:
    """Per face the three shares and the depth as constant, x and y terms: (m, 4, 3)."""
    a, b, c = seen[:, 0], seen[:, 1], seen[:, 2]
    ab, ac = b - a, c - a
    twice = ab[:, 0] * ac[:, 1] - ac[:, 0] * ab[:, 1]
    with np.errstate(divide="ignore", invalid="ignore"):
        v = np.stack([np.zeros_like(twice), ac[:, 1], -ac[:, 0]], axis=1) / twice[:, None]
        w = np.stack([np.zeros_like(twice), -ab[:, 1], ab[:, 0]], axis=1) / twice[:, None]
        for share in (v, w):
            share[:, 0] = -share[:, 1] * a[:, 0] - share[:, 2] * a[:, 1]
        u = -v - w
        u[:, 0] += 1
        depth = u * a[:, 2:] + v * b[:, 2:] + w * c[:, 2:]
    return np.stack([u, v, w, depth], axis=1)


def _normal(
    planes: Floats,
    normals: NDArray[np.float32],
    face: Ints,
    there: NDArray[np.bool_],
    box: tuple[slice, slice],
) -> NDArray[np.float32]:
    """The surface's direction at every covered pixel (n, 3), blended over its face."""
    y, x = np.nonzero(there)
    mine = face[there]
    flat = planes[:, :3].astype(np.float32)[mine]
    at = np.stack([np.ones(len(x)), x + box[1].start + 0.5, y + box[0].start + 0.5], axis=1)
    share = np.einsum("nkj,nj->nk", flat, at.astype(np.float32))
    blend = np.einsum("nk,nkj->nj", share, normals[mine])
    blend /= np.maximum(np.sqrt(np.einsum("nj,nj->n", blend, blend)), 1e-9)[:, None]
    # Seen from the back (an open sheet) a face is lit like its front.
    blend[blend[:, 2] < 0] *= -1.0
    return np.asarray(blend, np.float32)


def _light(normal: NDArray[np.float32]) -> NDArray[np.float32]:
    """Wrapped light over the left shoulder, a lighter sky than floor, darker edges."""
    lamp = np.array([-0.45, 0.62, 0.64], np.float32)
    lamp /= np.linalg.norm(lamp)
    wrapped = np.clip(0.5 + 0.5 * (normal @ lamp), 0, 1)
    lit = 0.50 + 0.52 * wrapped + 0.07 * normal[:, 1] + 0.06 * (normal[:, 2] - 1)
    return np.asarray(lit, np.float32)


def _lines(
    out: NDArray[np.uint8],
    depth: NDArray[np.float32],
    normal: NDArray[np.float32],
    part: Ints,
    ink: tuple[int, int, int],
    px_per_mm: float,
) -> None:
    """Darken the pixels where a part ends, and more lightly where a surface folds."""
    strong, faint = np.zeros(depth.shape, bool), np.zeros(depth.shape, bool)
    for a, b in (
        ((slice(None), slice(None, -1)), (slice(None), slice(1, None))),
        ((slice(None, -1), slice(None)), (slice(1, None), slice(None))),
    ):
        ends = part[a] != part[b]
        both = ~ends & (part[a] >= 0)
        gap = np.abs(np.subtract(depth[a], depth[b], where=both, out=np.zeros_like(depth[a])))
        slope = np.minimum(normal[a][..., 2], normal[b][..., 2])
        ends |= gap > 3.0 + 2.0 / (px_per_mm * np.maximum(slope, 0.08))
        fold = both & (np.einsum("ijk,ijk->ij", normal[a], normal[b]) < CREASE)
        for lines, here in ((strong, ends), (faint, fold)):
            lines[a] |= here
            lines[b] |= here
    faint &= ~strong
    dark = np.array(ink)
    out[faint, :3] = out[faint, :3] * 0.45 + dark * 0.55
    out[strong, :3] = dark
    out[strong, 3] = 255
