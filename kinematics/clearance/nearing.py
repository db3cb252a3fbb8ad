"""A scan and one piece of another part, at every place of something that slides and every sample.

Everything is seen from the scan: it stands still, and the piece is where it is as the scan sees it.
So it does not matter which of the two moves, and the scan's tree is grown once.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product

import numpy as np
import numpy.typing as npt

from kinematics.clearance.grid import MOVING, PLACED, SHIFTED, Grid, Placing
from kinematics.clearance.pack import pack
from kinematics.clearance.scans import Solid, gaps, in_scan, sizes
from kinematics.clearance.surfaces import CROSSED, surface_clearance
from kinematics.clearance.winding import inside
from kinematics.shapes.pieces import Mesh, Piece, Ring, Rod, Surface

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

UNKNOWN, OUTSIDE, INSIDE = -1, 0, 1


@dataclass(frozen=True, eq=False)
class Solids:
    """A scan and an exact piece, given in the scan's coordinates at every position.

    pair : of parts, by number. at : the one place it is for, -1 for all. Positions are numbered
    place * samples + sample. many : as many are measured in one go.
    """

    pair: int
    at: int
    surface: Surface
    piece: Solid
    many: int = 24

    @property
    def closed(self) -> bool:
        """Whether the scan has an inside."""
        return any(self.surface.closed)

    @cached_property
    def rows(self) -> Array:
        """The piece's control points and numbers, (positions, width)."""
        packed = pack((self.piece,), None)
        return packed.data.reshape(-1, int(packed.meta[0, 2]))

    @cached_property
    def known(self) -> Bools:
        """(positions,) whether both are placed there."""
        return np.asarray(np.isfinite(self.rows).all(axis=1))

    def way(self, these: Ints, those: Ints) -> Array:
        """How far at most a point of the piece is moved, mm: the ends of a rod, the corners of a
        plate. A point of a ring lies between its ends' middles, as far off as its radius at most,
        and is moved no farther than these and what the axis turns."""
        now, then = self.rows[these], self.rows[those]
        if not isinstance(self.piece, Ring):
            points = (now - then).reshape(len(now), now.shape[1] // 3, 3)
            return np.asarray(np.linalg.norm(points, axis=2).max(axis=1))
        profile, turned = self.piece.profile, now[:, 3:6] - then[:, 3:6]
        still = np.zeros(1)
        far = now[:, 6], then[:, 6]
        ends = [
            (now[:, :3] - then[:, :3])
            + (y + s)[:, None] * now[:, 3:6]
            - (y + t)[:, None] * then[:, 3:6]
            for y in (profile.y_min, profile.y_max)
            for s, t in ((still, still), *([far] if self.piece.stretch is not None else []))
        ]
        moved = np.max([np.linalg.norm(end, axis=1) for end in ends], axis=0)
        return np.asarray(moved + profile.r_max * np.linalg.norm(turned, axis=1))

    def gaps(self, these: Ints, cutoff: Array, tol: float) -> tuple[Array, Array]:
        """Lower and upper figures of the clearance but for what lies inside, mm."""
        return gaps(self.surface, self._there(these), cutoff, tol)

    def holds(self, these: Ints) -> Bools:
        """Whether the piece lies inside at some positions, where it keeps clear of the surface."""
        points = self.rows[these, :3]
        if isinstance(self.piece, Ring):
            axis, (r, y) = self.rows[these, 3:6], self._outer
            side = np.cross(axis, np.eye(3)[np.argmin(np.abs(axis), axis=1)])
            points = points + y * axis + r * side / np.linalg.norm(side, axis=1)[:, None]
        return inside(self.surface, points)

    @cached_property
    def _outer(self) -> Array:
        """A point (r, y) of a ring's outline."""
        assert isinstance(self.piece, Ring)
        return np.asarray(self.piece.profile.points(1.0)[0])

    def size(self, these: Ints) -> Array:
        """The piece's own size, mm."""
        return sizes(self._there(these), len(these))

    def floor(self, low: Array, way: Array) -> Array:
        """A signed distance changes no faster than what it is of is moved."""
        return low - way

    def _there(self, these: Ints) -> Solid:
        """The piece at some positions."""
        rows = np.ascontiguousarray(self.rows[these])
        if isinstance(self.piece, Ring):
            stretch = None if self.piece.stretch is None else rows[:, 6].copy()
            return replace(self.piece, centre=rows[:, :3], axis=rows[:, 3:6], stretch=stretch)
        if isinstance(self.piece, Rod):
            return replace(self.piece, ends=rows.reshape(-1, 2, 3))
        return replace(self.piece, corners=rows.reshape(len(rows), rows.shape[1] // 3, 3))


@dataclass(frozen=True, eq=False)
class Scans:
    """Two scans, as `Solids`; whether one holds the other is in their figure (`surfaces`)."""

    pair: int
    at: int
    one: Mesh
    other: Mesh
    closed: bool = False
    many: int = 2

    @cached_property
    def known(self) -> Bools:
        """(positions,) whether both are placed there."""
        return np.asarray(np.isfinite(self._corners).all(axis=(1, 2)))

    @cached_property
    def _corners(self) -> Array:
        """The corners of the other's box as the one sees them, (positions, 8, 3)."""
        points = self.other.surface.triangles.reshape(-1, 3)
        ends = np.stack([points.min(axis=0), points.max(axis=0)])
        corners = np.array([[ends[(k >> n) & 1, n] for n in range(3)] for k in range(8)])
        at = np.einsum("nij,kj->nki", self.other.rotation, corners)
        at = at + (self.other.position - self.one.position)[:, None]
        return np.asarray(np.einsum("nji,nkj->nki", self.one.rotation, at))

    def way(self, these: Ints, those: Ints) -> Array:
        """That of a corner of its box, since it is convex in where a point lies."""
        step = self._corners[these] - self._corners[those]
        return np.asarray(np.linalg.norm(step, axis=2).max(axis=1))

    def gaps(self, these: Ints, cutoff: Array, tol: float) -> tuple[Array, Array]:
        """Lower and upper figures of the clearance, mm; all are looked for, however far."""
        a, b = (
            Mesh(mesh.surface, mesh.rotation[these], mesh.position[these])
            for mesh in (self.one, self.other)
        )
        found = surface_clearance(a, b, (1, len(these)), np.zeros((0, len(these))))
        return found.low[0], found.high[0]

    def holds(self, these: Ints) -> Bools:
        """Never: it is in the figures."""
        return np.zeros(len(these), dtype=bool)

    def size(self, these: Ints) -> Array:
        """Nothing: it is in the figures."""
        return np.zeros(len(these))

    def floor(self, low: Array, way: Array) -> Array:
        """Surfaces that cross read one figure; of closed ones that meet nothing is known."""
        inside = any(self.one.surface.closed) or any(self.other.surface.closed)
        return np.where(low > way, low - way, -np.inf if inside else CROSSED)


Nearing = Solids | Scans


def nearings(
    parts: Sequence[Placing], pairs: Sequence[tuple[int, int]], grid: Grid
) -> Iterator[Nearing]:
    """Every scan with every piece of the part it is checked against.

    parts : how they are given; pairs : two of them by number.
    """
    listed: dict[int, list[Placing]] = {}
    for placing in parts:
        listed.setdefault(placing.part, []).append(placing)
    for k, (i, j) in enumerate(pairs):
        for a, b in product(listed[i], listed[j]):
            if -1 not in (a.at, b.at) and a.at != b.at:
                continue
            here = k, max(a.at, b.at)
            for one, other in product(a.pieces, b.pieces):
                if isinstance(one, Mesh):
                    yield _met(here, (one, a.mode), (other, b.mode), grid)
                elif isinstance(other, Mesh):
                    yield _met(here, (other, b.mode), (one, a.mode), grid)


def _met(
    here: tuple[int, int], scan: tuple[Mesh, int], piece: tuple[Piece, int], grid: Grid
) -> Nearing:
    there, placed = everywhere(*scan, grid, here[1]), everywhere(*piece, grid, here[1])
    assert isinstance(there, Mesh)
    if isinstance(placed, Mesh):
        return Scans(*here, there, placed)
    return Solids(*here, there.surface, in_scan(there, placed))


def everywhere(piece: Piece, mode: int, grid: Grid, at: int = -1) -> Piece:
    """A piece at every place and sample, places slowest; at : at that place alone."""
    places, samples = grid.rows.shape
    mine = slice(None) if at < 0 else slice(at, at + 1)
    numbers = np.arange(places * samples).reshape(places, samples)
    row = (grid.rows if mode == MOVING else numbers)[mine].ravel()
    moved = grid.shift[mine] if mode == SHIFTED else np.zeros((1, 3))
    shift = np.repeat(moved, samples, axis=0) if mode == SHIFTED else moved

    def of(values: Array) -> Array:
        if len(values) == 1 or mode not in (MOVING, PLACED):
            return np.broadcast_to(values[:1], (len(row), *values.shape[1:]))
        return np.asarray(values[row])

    if isinstance(piece, Mesh):
        return Mesh(piece.surface, of(piece.rotation), of(piece.position) + shift)
    if isinstance(piece, Ring):
        stretch = None if piece.stretch is None else of(piece.stretch)
        return replace(piece, centre=of(piece.centre) + shift, axis=of(piece.axis), stretch=stretch)
    if isinstance(piece, Rod):
        return replace(piece, ends=of(piece.ends) + shift[:, None])
    return replace(piece, corners=of(piece.corners) + shift[:, None])
