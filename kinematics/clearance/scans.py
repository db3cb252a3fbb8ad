"""Clearance of a scan and a part: the scan stands still, and the part is moved in its coordinates.

The figure is the distance to the scan's surface; negative where that surface enters the part, by
its greatest depth in it. Where a whole part lies inside a closed component the overlap is at least
its distance from the surface, and at most that and the part's own size: the calculation error says
so. An open scan has no inside.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from kinematics.clearance.pack import pack
from kinematics.clearance.winding import inside
from kinematics.shapes.pieces import Block, Mesh, Ring, Rod, Sheet, Surface
from kinematics.shapes.tree import LEAF

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]
Solid = Rod | Sheet | Block | Ring


BESIDE = 5.0
"""Whether a piece lies inside is asked where it is known to be so far from the surface, mm, or
farther."""


class ScanClearance(NamedTuple):
    """low, high (nz, ns), points (nz, ns, 3) on scan and piece, between (nz - 1, ns)."""

    low: Array
    high: Array
    point_scan: Array
    point_piece: Array
    between: Array


def scan_clearance(
    mesh: Mesh,
    piece: Solid,
    grid: tuple[int, int],
    sagitta: Array,
    tol: float = 0.02,
    cutoff: float | Array = np.inf,
) -> ScanClearance:
    """Clearance of a scan and a convex piece over a grid, as in `clearances`.

    sagitta : (nz - 1, ns), of scan and piece together. cutoff : one, or (nz, ns). For two scans
    see `surfaces`.
    """
    moved = in_scan(mesh, piece)
    sagitta = sagitta + _turning(mesh, moved, grid)
    limit, side = np.full(grid, cutoff, dtype=float), np.zeros(grid, dtype=bool)
    if any(mesh.surface.closed):
        found = _searched(mesh.surface, moved, sagitta, tol, np.full(grid, BESIDE))
        side = _held(mesh.surface, moved, found)
        limit[side] = BESIDE
    if not side.all():
        found = _searched(mesh.surface, moved, sagitta, tol, limit)
    if side.any():
        _turn_round(mesh.surface, moved, found, side, tol)
    for points in (found.point_scan, found.point_piece):
        there = points.reshape(-1, 1, 3) @ np.swapaxes(mesh.rotation, 1, 2)
        points[...] = (there[:, 0] + mesh.position).reshape(points.shape)
    return found


def _searched(
    surface: Surface, piece: Solid, sagitta: Array, tol: float, limit: Array
) -> ScanClearance:
    """Distance of the surface and a piece in its coordinates; limit (nz, ns) as `cutoff`."""
    from kinematics.clearance import kernel

    nz, ns = limit.shape
    found = _nothing(nz, ns)
    packed, tree = pack((piece,), nz * ns), surface.tree
    kernel.run_mesh(
        tree.triangles, tree.centre, tree.radius, LEAF, packed.data, packed.meta, packed.fixed,
        packed.blank, 0, nz, ns, float(tol), limit, sagitta, *found,
    )  # fmt: skip
    return found


def gaps(surface: Surface, piece: Solid, cutoff: Array, tol: float) -> tuple[Array, Array]:
    """How near the scan's surface is, (n,) lower and upper figures, at poses one by one.

    piece : in the scan's coordinates. cutoff (n,) : nothing farther is looked for, and the upper
    figure is infinite. Neighbouring poses should be near each other: each begins with the last
    one's nearest triangle. Whether the piece lies inside is not asked.
    """
    found = _one_by_one(surface, piece, cutoff, tol)
    return found.low[:, 0], found.high[:, 0]


def _one_by_one(surface: Surface, piece: Solid, cutoff: Array, tol: float) -> ScanClearance:
    """As `gaps`, with the points (n, 1, 3); of what lies between poses nothing is asked."""
    from kinematics.clearance import kernel

    packed = pack((piece,), None)
    n, width = len(cutoff), int(packed.meta[0, 2])
    # An unknown pose after each: so nothing is asked of what lies between two.
    data = np.full((n, 2, width), np.nan)
    data[:, 0] = packed.data.reshape(-1, width)
    packed.meta[:, 1] = width
    limit = np.repeat(cutoff, 2)[:, None]
    found, tree = _nothing(2 * n, 1), surface.tree
    kernel.run_mesh(
        tree.triangles, tree.centre, tree.radius, LEAF, data.ravel(), packed.meta, packed.fixed,
        packed.blank, 0, 2 * n, 1, float(tol), limit, np.zeros((2 * n - 1, 1)), *found,
    )  # fmt: skip
    return ScanClearance(*(field[::2] for field in found))


def _nothing(nz: int, ns: int) -> ScanClearance:
    return ScanClearance(
        np.full((nz, ns), np.nan),
        np.full((nz, ns), np.inf),
        np.full((nz, ns, 3), np.nan),
        np.full((nz, ns, 3), np.nan),
        np.full((max(nz - 1, 0), ns), np.nan),
    )


def in_scan(mesh: Mesh, piece: Solid) -> Solid:
    """The piece in the scan's coordinates."""

    def back(points: Array) -> Array:
        moved: Array = np.einsum("nji,nkj->nki", mesh.rotation, points - mesh.position[:, None, :])
        return moved

    if isinstance(piece, Ring):
        centre = back(piece.centre[:, None, :])[:, 0]
        axis = np.einsum("nji,nj->ni", mesh.rotation, piece.axis)
        return Ring(centre, axis, piece.profile, piece.stretch, piece.hollow)
    if isinstance(piece, Rod):
        return Rod(back(piece.ends), piece.radius)
    if isinstance(piece, Sheet):
        return Sheet(back(piece.corners), piece.half)
    return Block(back(piece.corners), piece.faces)


def _turning(mesh: Mesh, moved: Solid, grid: tuple[int, int]) -> Array:
    """How far points' paths in a scan that turns may leave their chords beyond their own sagitta:
    (angle^2 |p| + 2 angle |dp|) / 8."""
    nz, ns = grid
    if len(mesh.rotation) == 1 or nz < 2:
        return np.zeros((max(nz - 1, 0), ns))
    if isinstance(moved, Ring):
        points, reach = moved.centre[:, None, :], ring_reach(moved)
    elif isinstance(moved, Rod):
        points, reach = moved.ends, moved.radius
    else:
        points, reach = moved.corners, getattr(moved, "half", 0.0)
    turns = mesh.rotation.reshape(nz, ns, 3, 3)
    step = np.linalg.norm(turns[1:] - turns[:-1], axis=(2, 3)) / np.sqrt(2.0)  # 2 sin(angle / 2)
    angle = 2.0 * np.arcsin(np.minimum(0.5 * step, 1.0))
    path = np.broadcast_to(points, (nz * ns, *points.shape[1:])).reshape(nz, ns, -1, 3)
    far = np.linalg.norm(path, axis=3).max(axis=2) + reach
    shift = np.linalg.norm(path[1:] - path[:-1], axis=3).max(axis=2) + 2.0 * angle * reach
    turning: Array = (angle**2 * np.maximum(far[1:], far[:-1]) + 2.0 * angle * shift) / 8.0
    return turning


def ring_reach(ring: Ring) -> float:
    """No point of a ring is farther from its centre, at any pose."""
    end = max(-ring.profile.y_min, ring.profile.y_max)
    reach = float(np.hypot(ring.profile.r_max, end))
    if ring.stretch is not None:
        reach += float(np.nanmax(np.abs(ring.stretch), initial=0.0))
    return reach


def _held(surface: Surface, piece: Solid, found: ScanClearance) -> Bools:
    """Where (nz, ns) the piece lies clear of the surface, inside a closed component.

    While a piece keeps clear of the surface it stays on its side of it, so one test serves a run
    of positions; all runs are tested together.
    """
    nz, ns = found.low.shape
    clear = found.low > 0.0
    same = np.zeros((nz, ns), dtype=bool)
    same[1:] = clear[1:] & clear[:-1] & (found.between > 0.0)
    begins = np.flatnonzero(clear & ~same)
    side = np.zeros((nz, ns), dtype=bool)
    side.ravel()[begins] = inside(surface, some_points(piece, nz * ns)[begins])
    if side.any():
        for iz in range(1, nz):
            side[iz] |= same[iz] & side[iz - 1]
    return side


def _turn_round(
    surface: Surface, piece: Solid, found: ScanClearance, side: Bools, tol: float
) -> None:
    """The figures of positions where the piece lies inside, and of the ways from there."""
    nz, ns = side.shape
    rows, size = np.flatnonzero(side), sizes(piece, nz * ns)
    at = _one_by_one(surface, _at(piece, rows, nz * ns), np.full(len(rows), np.inf), tol)
    found.low[side] = -(at.high[:, 0] + size[rows])
    found.high[side] = -at.low[:, 0]
    found.point_scan[side], found.point_piece[side] = at.point_scan[:, 0], at.point_piece[:, 0]
    points = some_points(piece, nz * ns).reshape(nz, ns, 3)
    step = np.linalg.norm(np.diff(points, axis=0), axis=2) + size.reshape(nz, ns)[1:]
    from_here = side[:-1] & (found.between > 0.0)
    found.between[from_here] = (found.low[:-1] - step)[from_here]


def _at(piece: Solid, rows: Ints, n: int) -> Solid:
    """The piece at some of its n poses."""

    def some(values: Array) -> Array:
        return np.asarray(np.broadcast_to(values, (n, *values.shape[1:]))[rows])

    if isinstance(piece, Ring):
        stretch = None if piece.stretch is None else some(np.atleast_1d(piece.stretch))
        return replace(piece, centre=some(piece.centre), axis=some(piece.axis), stretch=stretch)
    if isinstance(piece, Rod):
        return replace(piece, ends=some(piece.ends))
    return replace(piece, corners=some(piece.corners))


def some_points(piece: Solid, n: int) -> Array:
    """A point of the piece at each of n poses, (n, 3)."""
    if isinstance(piece, Ring):
        r, y = piece.profile.points(1.0)[0]
        axis = piece.axis
        flat = np.eye(3)[np.argmin(np.abs(axis), axis=1)]
        side = np.cross(axis, flat)
        side /= np.linalg.norm(side, axis=1)[:, None]
        return np.asarray(np.broadcast_to(piece.centre + y * axis + r * side, (n, 3)))
    points = piece.ends if isinstance(piece, Rod) else piece.corners
    return np.asarray(np.broadcast_to(points[:, 0], (n, 3)))


def sizes(piece: Solid, n: int) -> Array:
    """No two points of the piece are farther apart than this at each of n poses, (n,)."""
    if isinstance(piece, Ring):
        longer = 0.0 if piece.stretch is None else np.abs(piece.stretch)
        height = piece.profile.y_max - piece.profile.y_min + longer
        size = np.hypot(2.0 * piece.profile.r_max, height)
    else:
        at = piece.ends if isinstance(piece, Rod) else piece.corners
        grown = 2.0 * (piece.radius if isinstance(piece, Rod) else getattr(piece, "half", 0.0))
        size = np.linalg.norm(at[:, :, None] - at[:, None], axis=3).max(axis=(1, 2)) + grown
    return np.asarray(np.broadcast_to(size, (n,)))


def merge(found: Sequence[ScanClearance]) -> ScanClearance:
    """The worst of several pieces, position by position."""
    if len(found) == 1:
        return found[0]
    low = np.fmin.reduce([f.low for f in found])
    between = np.fmin.reduce([f.between for f in found])
    which = np.argmin([f.high for f in found], axis=0)
    pick = np.ix_(*(range(k) for k in which.shape))
    high = np.stack([f.high for f in found])[(which, *pick)]
    scan = np.stack([f.point_scan for f in found])[(which, *pick)]
    piece = np.stack([f.point_piece for f in found])[(which, *pick)]
    return ScanClearance(low, high, scan, piece, between)
