"""The worst clearance at every one of many places of something that slides, each over samples.

Most pairs and samples can't decide a place's worst, and are not measured there: a figure taken at
the middle of a tile of places, less how far pieces are moved from there at most, bounds it all over
the tile. Tiles are divided until few places are left in each; at every one of these the candidates
that are left are measured, the likeliest first, until no other can be worse.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from kinematics.clearance.grid import Grid, Placing, Worst, unknown
from kinematics.clearance.pack import Packed, pack
from kinematics.clearance.parts import Cancelled, Memory, Pair, remember
from kinematics.shapes.pieces import Mesh

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

SPLIT = 3
"""Tiles are divided by this each way."""
FEW = 36
"""A tile of so few places is not divided any more."""
SHARE = 0.3
"""What exact parts are of all the work where there are scans, for telling how far it is."""


def worst_by_place(
    parts: Sequence[Placing],
    pairs: Sequence[Pair],
    rule: Array,
    grid: Grid,
    tol: float = 0.02,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
    threads: int | None = None,
) -> tuple[Worst, Worst]:
    """The lowest clearance, and the lowest margin over its rule, of every place.

    pairs : two parts by number. rule (pairs,) mm, NaN for none. Figures are lower bounds; the true
    one lies at most tol above where no bore and no scan is entered. NaN where nothing is known.
    Which thread comes first, and how many there are, makes no difference. Raises Cancelled.
    """
    workers = threads or os.cpu_count() or 1
    exact = [_without_scans(placing) for placing in parts]
    scanned = any(a is not b for a, b in zip(exact, parts, strict=True))
    share = SHARE if scanned else 1.0

    def first(done: float) -> None:
        if progress is not None:
            progress(share * done)

    def then(done: float) -> None:
        if progress is not None:
            progress(share + (1.0 - share) * done)

    if any(placing.pieces for placing in exact):
        found = _Search(exact, pairs, rule, grid, tol).run(first, cancelled, workers)
    else:
        found = unknown(len(grid.rows)), unknown(len(grid.rows))
    if scanned:
        from kinematics.clearance.scan_places import settle_scans  # slow to import

        settle_scans(parts, pairs, rule, grid, found, tol, then, cancelled, workers)
    return found


def _without_scans(placing: Placing) -> Placing:
    """The exact pieces alone."""
    kept = tuple(piece for piece in placing.pieces if not isinstance(piece, Mesh))
    return placing if len(kept) == len(placing.pieces) else replace(placing, pieces=kept)


@dataclass(frozen=True, eq=False)
class _Tile:
    """Places, the one in their middle and the last tile's; the candidates (pair, sample) (m, 2),
    their bounds at the last middle, and the likeliest two; what the last tile left to go on from:
    each begins with a copy, so that no figure depends on which thread comes first."""

    members: Ints
    middle: int
    before: int
    candidates: Ints
    bound: Array
    lead: Ints
    memory: Memory


class _Search:
    def __init__(
        self, parts: Sequence[Placing], pairs: Sequence[Pair], rule: Array, grid: Grid, tol: float
    ) -> None:
        self.grid, self.tol = grid, tol
        self.pairs = np.array(pairs, np.int64).reshape(-1, 2)
        self.rule = np.asarray(rule, float)
        self.packed, self.ids, self.lists = _laid_out(parts, len(grid.rows))
        counts = (self.lists[:, :, 1] - self.lists[:, :, 0]).max(axis=0)
        self.sizes = (counts[self.pairs[:, 0]] * counts[self.pairs[:, 1]]).tolist()
        at = self.ids[self.lists[0, :, 0].clip(max=len(self.ids) - 1)]
        near = self.packed.middle[at]
        self.near = np.ascontiguousarray(0.5 * (near[self.pairs[:, 0]] + near[self.pairs[:, 1]]))
        self.valid = grid.valid.astype(np.int64)
        places = len(grid.rows)
        self.value = np.full((2, places), np.inf)
        self.pair = np.full((2, places), -1, np.int64)
        self.sample = np.full((2, places), -1, np.int64)

    def run(
        self,
        progress: Callable[[float], None] | None,
        cancelled: Callable[[], bool] | None,
        workers: int,
    ) -> tuple[Worst, Worst]:
        from kinematics.clearance import kernel

        members = np.flatnonzero(self.grid.valid.any(axis=1)).astype(np.int64)
        known = np.flatnonzero(np.array(self.sizes, int) > 0)
        nothing = remember(self.sizes, kernel.KEPT, kernel.SPAN)
        done = 0
        if len(members) and len(known):
            with ThreadPoolExecutor(workers) as pool:
                open_tiles = {pool.submit(self._look, self._whole(members, known, nothing))}
                while open_tiles:
                    if cancelled is not None and cancelled():
                        pool.shutdown(wait=True, cancel_futures=True)
                        raise Cancelled
                    ready, open_tiles = wait(open_tiles, 0.1, FIRST_COMPLETED)
                    done += self._go_on(ready, open_tiles, pool)
                    if progress is not None:
                        progress(done / len(members))
        self.value[np.isinf(self.value)] = np.nan
        lowest, tightest = (Worst(self.value[g], self.pair[g], self.sample[g]) for g in (0, 1))
        return lowest, tightest

    def _go_on(
        self,
        ready: set[Future[tuple[int, list[_Tile]]]],
        open_tiles: set[Future[tuple[int, list[_Tile]]]],
        pool: ThreadPoolExecutor,
    ) -> int:
        """Hand in what is left of the tiles that are ready; how many places were settled."""
        settled = 0
        for future in ready:
            count, left = future.result()
            settled += count
            open_tiles.update(pool.submit(self._look, tile) for tile in left)
        return settled

    def _whole(self, members: Ints, known: Ints, memory: Memory) -> _Tile:
        samples = self.grid.rows.shape[1]
        every = np.column_stack(
            [np.repeat(known, samples), np.tile(np.arange(samples), len(known))]
        )
        none = np.full((2, 2), -1, np.int64)
        tile = _Tile(members, -1, -1, every, np.full(len(every), -1e300), none, memory)
        return replace(tile, middle=self._middle(members))

    def _middle(self, members: Ints) -> int:
        at = np.column_stack(np.divmod(members, self.grid.shape[1]))
        return int(members[np.argmin(np.linalg.norm(at - at.mean(axis=0), axis=1))])

    def _look(self, tile: _Tile) -> tuple[int, list[_Tile]]:
        """Measure at the tile's middle, and settle it or divide it."""
        from kinematics.clearance import kernel

        few = len(tile.members) <= FEW
        begin, certificates, sectors, counts, points = tile.memory
        memory = begin, certificates.copy(), sectors.copy(), counts.copy(), points.copy()
        packed, grid = self.packed, self.grid
        bound, lead = tile.bound.copy(), tile.lead.copy()
        kernel.run_places(
            packed.data, packed.meta, packed.fixed, packed.blank, self.ids, self.lists, grid.rows,
            self.valid, grid.shift, self.tol, self.pairs, lead, self.near, self.rule, *memory,
            tile.members, np.array([tile.middle, tile.before, few], np.int64), tile.candidates,
            bound, self.value, self.pair, self.sample,
        )  # fmt: skip
        if few:
            return len(tile.members), []
        kept = np.flatnonzero(bound < 1e300)
        number = np.full(len(bound) + 1, -1)
        number[kept] = np.arange(len(kept))
        leading = np.stack([number[lead[:, 1]], np.full(2, -1)], axis=1)
        rest = np.ascontiguousarray(tile.candidates[kept]), bound[kept], leading
        parts = self._parts(tile.members)
        return 0, [_Tile(m, self._middle(m), tile.middle, *rest, memory) for m in parts]

    def _parts(self, members: Ints) -> list[Ints]:
        """The members in blocks of rows and columns."""
        blocks = []
        for number in np.divmod(members, self.grid.shape[1]):
            first, last = number.min(), number.max()
            blocks.append((number - first) * SPLIT // (last - first + 1))
        which = blocks[0] * SPLIT + blocks[1]
        return [members[which == b] for b in np.unique(which)]


def _laid_out(parts: Sequence[Placing], places: int) -> tuple[Packed, Ints, Ints]:
    """The kernel's arrays, and where each part's pieces stand, (places or 1, parts, 2)."""
    unique = {id(piece): (piece, placing.mode) for placing in parts for piece in placing.pieces}
    number = {key: k for k, key in enumerate(unique)}
    packed = pack([piece for piece, _ in unique.values()], None)
    mode = np.zeros((len(packed.meta), 1), np.int64)
    mode[: len(unique), 0] = [mode for _, mode in unique.values()]
    packed = replace(packed, meta=np.hstack([packed.meta, mode]))
    ids = np.array([number[id(p)] for placing in parts for p in placing.pieces], np.int64)
    ends = np.cumsum([0, *(len(placing.pieces) for placing in parts)])
    varied = any(placing.at >= 0 for placing in parts)
    count = 1 + max(placing.part for placing in parts)
    lists = np.zeros((places if varied else 1, count, 2), np.int64)
    for k, placing in enumerate(parts):
        where = slice(None) if placing.at < 0 else placing.at
        lists[where, placing.part] = ends[k], ends[k + 1]
    return packed, ids, lists
