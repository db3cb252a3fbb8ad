"""Clearances at one position after another: what does not change with the position is done once.

While a wheel is dragged only the control points of the pieces change. The layout of the kernel's
arrays stays, and the search goes on from where the last position left it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from threading import Lock

import numpy as np
import numpy.typing as npt

from kinematics.clearance.joints import Joint
from kinematics.clearance.pack import Packed, pack, written
from kinematics.clearance.parts import (
    Clearances,
    Memory,
    Pair,
    empty,
    finish,
    remember,
    with_joints,
    with_scans,
    without_scans,
)
from kinematics.shapes.pieces import Block, Mesh, Part, Piece, Ring, Rod, Sheet
from kinematics.shapes.profile import Profile

Array = npt.NDArray[np.float64]


class Prepared:
    """Pairs of parts made ready for single positions.

    The parts asked about may be others than last time; the nearer they are to those, the quicker.
    """

    def __init__(self, pairs: Sequence[Pair], tol: float = 0.02) -> None:
        """pairs : indices into the parts; tol : greatest calculation error, mm."""
        self.pairs = tuple(pairs)
        self.tol = tol
        self._lock = Lock()
        self._layout: _Layout | None = None

    def at(self, parts: Sequence[Part], joints: Sequence[Joint] = ()) -> Clearances:
        """What `clearances` finds for parts given at one position (grid (1, 1))."""
        from kinematics.clearance import kernel

        found = empty(self.pairs, 1, 1)
        work, place = with_joints(parts, self.pairs, joints)
        whole, pieces = work, [piece for part in work for piece in part.pieces]
        scans = any(isinstance(piece, Mesh) for piece in pieces)
        if scans:
            work = [without_scans(part) for part in work]
            pieces = [piece for part in work for piece in part.pieces]
        with self._lock:
            layout = self._layout
            if layout is None or not layout.fits(work, pieces):
                layout = self._layout = _Layout(work, pieces, place, kernel.KEPT, kernel.SPAN)
            layout.take(pieces)
            if len(layout.table):
                packed = layout.packed
                kernel.run_pairs(
                    packed.data, packed.meta, packed.fixed, packed.blank, packed.middle,
                    layout.ids, layout.first, layout.table, _ONE, self.tol, np.inf, False,
                    layout.sagitta, *layout.memory, layout.lows, layout.before, found.low,
                    found.bound, found.point_a, found.point_b, found.between_low, found.between_at,
                )  # fmt: skip
        for k in layout.apart:
            found.low[k] = np.inf
        if scans:
            with_scans(whole, place, found, (1, 1), self.tol, np.inf)
        return finish(found)


_ONE = np.ones((1, 2), np.int64)


class _Layout:
    """The kernel's arrays for parts of one make, and what it remembers."""

    packed: Packed
    memory: Memory

    def __init__(
        self, work: list[Part], pieces: list[Piece], place: list[Pair], kept: int, span: int
    ) -> None:
        counts = [len(part.pieces) for part in work]
        self.counts = counts
        self.first = np.cumsum([0, *counts], dtype=np.int64)
        unique = {id(piece): piece for piece in pieces}
        number = {key: k for k, key in enumerate(unique)}
        self.ids = np.array([number[id(piece)] for piece in pieces], np.int64)
        #: Where in the list of all pieces each one that is written stands first.
        self.at = [int(np.argmax(self.ids == k)) for k in range(len(unique))]
        self.pieces = [pieces[k] for k in self.at]
        self.packed = pack(self.pieces, 1) if self.pieces else _NOTHING
        self.starts = self.packed.meta[: len(self.pieces), 0].tolist()
        rows = [(i, j, k) for k, (i, j) in enumerate(place) if counts[i] and counts[j]]
        self.table = np.array(rows, np.int64).reshape(-1, 3)
        self.apart = [k for k, (i, j) in enumerate(place) if not (counts[i] and counts[j])]
        self.sagitta = np.zeros((len(pieces), 0, 1))
        self.memory = remember([counts[i] * counts[j] for i, j in place], kept, span)
        self._sizes: dict[Profile, tuple[float, float]] = {}
        self.lows = np.full(len(self.memory[1]), -1e300)
        #: The data of the last position.
        self.before = self.packed.data.copy()

    def fits(self, work: list[Part], pieces: list[Piece]) -> bool:
        """Whether these parts are of the same make: only their control points may differ."""
        return [len(part.pieces) for part in work] == self.counts and all(
            pieces[k] is old or _alike(pieces[k], old)
            for k, old in zip(self.at, self.pieces, strict=True)
        )

    def take(self, pieces: list[Piece]) -> None:
        """Write the pieces that are not the same as last time."""
        data = self.packed.data
        self.before[:] = data
        for slot, (k, start) in enumerate(zip(self.at, self.starts, strict=True)):
            piece = pieces[k]
            if piece is not self.pieces[slot]:
                written(piece, data, start)
                if isinstance(piece, Ring) and piece.stretch is not None:
                    self._reach(piece.profile, slot, start)
                self.pieces[slot] = piece

    def _reach(self, profile: Profile, slot: int, start: int) -> None:
        """No point of a stretched ring is farther from its centre, now or last time."""
        r, y = self._sizes.setdefault(profile, (0.0, 0.0))
        if r == 0.0:
            r, y = self._sizes[profile] = profile.r_max, max(-profile.y_min, profile.y_max)
        stretch = max(abs(self.before[start + 6]), abs(self.packed.data[start + 6]))
        self.packed.blank[slot, 5] = math.hypot(r, y + stretch)


_NOTHING = Packed(
    np.zeros(0), np.zeros((0, 5), np.int64), np.zeros(1), np.zeros((0, 1)), np.zeros((0, 3))
)


def _alike(a: Piece, b: Piece) -> bool:
    """Whether two pieces differ in their control points alone."""
    if isinstance(a, Ring) and isinstance(b, Ring):
        same = a.profile is b.profile or np.array_equal(a.profile.arcs, b.profile.arcs)
        return same and a.hollow == b.hollow and len(a.centre) == 1
    if isinstance(a, Rod) and isinstance(b, Rod):
        return a.radius == b.radius and len(a.ends) == 1
    if isinstance(a, Sheet) and isinstance(b, Sheet):
        return a.half == b.half and a.corners.shape == b.corners.shape
    if isinstance(a, Block) and isinstance(b, Block):
        return a.corners.shape == b.corners.shape and a.faces == b.faces
    return isinstance(a, Mesh) and a is b
