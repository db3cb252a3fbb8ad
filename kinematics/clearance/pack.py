"""Pieces written into the flat arrays that the kernel reads."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from weakref import WeakKeyDictionary

import numpy as np
import numpy.typing as npt

from kinematics.shapes.pieces import Block, Mesh, Piece, Ring, Rod, Sheet, poses
from kinematics.shapes.profile import Profile

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

_ROD, _SHEET, _BLOCK, _RING, _SECTOR = 0, 1, 2, 3, 4


@dataclass(frozen=True, eq=False)
class Packed:
    """All pieces of a job: `data` per pose, `fixed` and `blank` once a piece (see kernel.layout).

    meta : (pieces, 5) where a piece's rows start in data, numbers from one pose to the next (0
    for a piece that does not move), numbers a row, where its profile starts in fixed, which row of
    blank holds a hollow ring's whole outline.
    """

    data: Array
    meta: Ints
    fixed: Array
    blank: Array
    middle: Array  # (pieces, 3) a point near each piece, finite


def pack(pieces: Sequence[Piece], n: int | None) -> Packed:
    """Write pieces given at n poses (or one; None: each at as many as it likes) into arrays."""
    written = [_written(piece) for piece in pieces]
    rows, heads = [row for row, _ in written], [head for _, head in written]
    meta = np.zeros((len(pieces), 5), np.int64)
    fixed: list[Array] = []
    start = offset = 0
    for i, (piece, row) in enumerate(zip(pieces, rows, strict=True)):
        count = len(row)
        if n is not None and count not in (1, n):
            raise ValueError(
                f"A {type(piece).__name__} is given at {count} poses; {n} or 1 are needed."
            )
        meta[i] = start, 0 if count == 1 else row.shape[1], row.shape[1], offset, -1
        start += row.size
        if isinstance(piece, Ring):
            fixed.append(piece.profile.outer.ravel())
            offset += piece.profile.outer.size
    for i, piece in enumerate(pieces):
        if isinstance(piece, Ring) and piece.hollow:
            meta[i, 4] = len(heads)
            meta = np.concatenate([meta, [[*meta[i, :3], offset, -1]]])
            heads.append(_sector_head(piece.profile, piece.stretch is not None))
            fixed.append(piece.profile.arcs.ravel())
            offset += piece.profile.arcs.size
    blank = np.zeros((len(heads), max(len(head) for head in heads)))
    for i, head in enumerate(heads):
        blank[i, : len(head)] = head
    return Packed(
        data=np.concatenate([row.ravel() for row in rows]),
        meta=meta,
        fixed=np.concatenate(fixed) if fixed else np.zeros(1),
        blank=blank,
        middle=np.array([_first_known(row) for row in rows]),
    )


# What stands still is the same object from one motion to the next: it is written once.
_still: WeakKeyDictionary[Piece, tuple[Array, Array]] = WeakKeyDictionary()


def written(piece: Piece, data: Array, start: int) -> None:
    """Write a piece that is given at one position into the data from `start` on."""
    if isinstance(piece, Ring):
        data[start : start + 3] = piece.centre[0]
        data[start + 3 : start + 6] = piece.axis[0]
        data[start + 6] = 0.0 if piece.stretch is None else piece.stretch[0]
        return
    assert not isinstance(piece, Mesh)  # scans are kept apart (scans.py)
    points = piece.ends if isinstance(piece, Rod) else piece.corners
    data[start : start + points.size] = points.ravel()


def _written(piece: Piece) -> tuple[Array, Array]:
    """The moving numbers and the head of a piece."""
    if poses(piece) > 1:
        row = _row(piece)
        return row, _head(piece, row)
    if piece not in _still:
        row = _row(piece)
        _still[piece] = row, _head(piece, row)
    return _still[piece]


def _row(piece: Piece) -> Array:
    """The moving numbers of a piece, (n, width)."""
    if isinstance(piece, Ring):
        n = poses(piece)
        stretch = np.zeros(1) if piece.stretch is None else piece.stretch
        return np.ascontiguousarray(
            np.concatenate(
                [
                    np.broadcast_to(piece.centre, (n, 3)),
                    np.broadcast_to(piece.axis, (n, 3)),
                    np.broadcast_to(stretch, (n,))[:, None],
                ],
                axis=1,
            ),
            dtype=float,
        )
    assert not isinstance(piece, Mesh)  # scans are kept apart (scans.py)
    points = piece.ends if isinstance(piece, Rod) else piece.corners
    return np.ascontiguousarray(points.reshape(len(points), -1), dtype=float)


def _head(piece: Piece, row: Array) -> Array:
    """The constant part of a piece's buffer, with room for the rest."""
    if isinstance(piece, Ring):
        if piece.stretch is None:
            return _ring_head(piece.profile, piece.hollow)
        low, high = np.nanmin(row[:, 6], initial=0.0), np.nanmax(row[:, 6], initial=0.0)
        ring = _ring_head(piece.profile, piece.hollow).copy()
        ring[5] = _reach(piece.profile.outer, float(low), float(high))
        return ring
    assert not isinstance(piece, Mesh)
    points = row.reshape(len(row), -1, 3)
    k = points.shape[1]
    if isinstance(piece, Block):
        faces = _outward(piece.faces, points)
        lists = [float(x) for face in faces for x in (len(face), *face)]
        head = [_BLOCK, k, 0.0, 0.0, len(piece.faces), 0.0, 0.0, 0.0]
        return np.concatenate([head, np.zeros(3 * k + 4 * len(piece.faces)), lists])
    kind, margin = (_SHEET, piece.half) if isinstance(piece, Sheet) else (_ROD, piece.radius)
    return np.concatenate([[kind, k, margin, 0, 0, 0, 0, 0], np.zeros(3 * k)])


# The outlines are the same objects from one motion to the next, and from part to part.
_rings: WeakKeyDictionary[Profile, dict[bool, Array]] = WeakKeyDictionary()


def _ring_head(profile: Profile, hollow: bool) -> Array:
    """The buffer of a filled ring, or of a hollow one as if it were filled."""
    kept = _rings.setdefault(profile, {})
    if hollow not in kept:
        arcs = profile.outer
        margin = float(np.min(arcs[:, 2]))
        head = [_RING, len(arcs), margin, 0.0, 0.0, _reach(arcs), float(hollow), 0.0]
        kept[hollow] = np.concatenate([head, np.zeros(6), arcs[:, :7].ravel()])
    return kept[hollow]


def _reach(arcs: Array, low: float = 0.0, high: float = 0.0) -> float:
    """No point of a ring stretched by `low` to `high` is farther from its centre, mm."""
    ends = np.abs(np.concatenate([arcs[:, 1] + arcs[:, 7] * s for s in (low, high)]))
    return float(np.hypot(np.max(arcs[:, 0] + arcs[:, 2]), np.max(ends) + np.max(arcs[:, 2])))


# The outlines of tyre and rim are the same objects from one motion to the next.
_sectors: WeakKeyDictionary[Profile, dict[bool, Array]] = WeakKeyDictionary()


def _sector_head(profile: Profile, stretched: bool) -> Array:
    """The buffer of a hollow ring's whole outline (see kernel.layout): no point of the outline lies
    deeper in it than half its least width over the normals it has."""
    kept = _sectors.setdefault(profile, {})
    if stretched in kept:
        return kept[stretched]
    arcs = profile.arcs
    normals = np.concatenate([arcs[:, 3:5], arcs[:, 5:7], [[1.0, 0.0]]])
    if stretched:  # only widths across the stretched sides stay the same
        normals = np.array([[1.0, 0.0]])
    width = min(profile.support(n) + profile.support(-n) for n in normals)
    middle = 0.5 * (profile.support([1.0, 0.0]) - profile.support([-1.0, 0.0]))
    margin = float(np.min(arcs[:, 2]))
    head = [_SECTOR, len(arcs), margin, 0.5 * width, 0.0, middle, 0.0, 0.0]
    kept[stretched] = np.concatenate([head, np.zeros(6), arcs[:, :7].ravel(), np.zeros(8)])
    return kept[stretched]


def _first_known(row: Array) -> Array:
    if math.isfinite(row[0].sum()):
        return row[0, :3].copy()
    known = np.flatnonzero(np.all(np.isfinite(row), axis=1))
    return row[known[0], :3].copy() if len(known) else np.zeros(3)


def _outward(faces: tuple[tuple[int, ...], ...], points: Array) -> list[tuple[int, ...]]:
    """Faces in counter-clockwise order seen from outside, also where a block was mirrored."""
    at = 0
    if not math.isfinite(points[0].sum()):
        known = np.flatnonzero(np.all(np.isfinite(points), axis=(1, 2)))
        if len(known) == 0:
            return list(faces)
        at = int(known[0])
    corners = points[at]
    here, ahead, first = _rings_of(faces)
    rings, count = corners[here], np.diff(first, append=len(here))[:, None]
    # The cross products row by row; NumPy's own takes ten times as long over so few.
    after = corners[ahead]
    cross = rings[:, [1, 2, 0]] * after[:, [2, 0, 1]] - rings[:, [2, 0, 1]] * after[:, [1, 2, 0]]
    normal = np.add.reduceat(cross, first, axis=0)
    centre = np.add.reduceat(rings, first, axis=0) / count
    out = np.einsum("fi,fi->f", normal, centre - corners.mean(axis=0)) >= 0.0
    return [face if k else face[::-1] for face, k in zip(faces, out.tolist(), strict=True)]


@lru_cache(maxsize=256)
def _rings_of(faces: tuple[tuple[int, ...], ...]) -> tuple[Ints, Ints, Ints]:
    """Every corner of every face in a row, the corner after each, and where each face begins."""
    here = np.array([k for face in faces for k in face], np.int64)
    ahead = np.array([k for face in faces for k in (*face[1:], face[0])], np.int64)
    first = np.cumsum([0, *(len(face) for face in faces[:-1])], dtype=np.int64)
    return here, ahead, first
