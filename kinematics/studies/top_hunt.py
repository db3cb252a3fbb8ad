"""The worst pair and travel of every mount position, by dividing the grid into tiles.

A *sample* is a travel looked at: a common one, or a position's own full droop or full bump. A
*candidate* is a pair at a sample, in a tile. It is measured at the tile's middle and kept while
it may still be the worst of some position of the tile; then the tile is divided.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from kinematics.clearance import Cancelled
from kinematics.motion import Motion
from kinematics.studies.sliding import Sliding
from kinematics.studies.study import TOLERANCE

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.intp]
Bools = npt.NDArray[np.bool_]

SPLIT = 4
"""Tiles are divided by this each way."""
FEW = 16
"""A tile of so few positions is not divided any more: all of it is computed."""
SPEED_MARGIN = 1.05
"""Taken on the greatest speed of any point, which is read off at the travels alone."""


@dataclass(frozen=True, eq=False)
class Worst:
    """The lowest figure (n,) of every position, mm, its pair (-1: none) and its travel, mm."""

    value: Array
    pair: Ints
    travel: Array


@dataclass(frozen=True, eq=False)
class _Tile:
    """Positions by number, the one in their middle, and the candidates (pair, sample) (m, 2)."""

    members: Ints
    middle: int
    candidates: Ints


def hunt(
    sliding: Sliding,
    common: Array,
    ends: Array,
    offset: Array,
    shape: tuple[int, int],
    progress: Callable[[float], None] | None,
    cancelled: Callable[[], bool] | None,
) -> tuple[Worst, Worst]:
    """The lowest clearance and the lowest margin over its rule of every position.

    sliding : its motion has the common travels first, then droop and bump of every position in
    turn. ends (n, 2), offset (n, 3), n = shape[0] * shape[1], row by row.
    """
    return _Hunt(sliding, common, ends, offset, shape).run(progress, cancelled)


class _Hunt:
    def __init__(
        self,
        sliding: Sliding,
        common: Array,
        ends: Array,
        offset: Array,
        shape: tuple[int, int],
    ) -> None:
        self.sliding = sliding
        self.common, self.ends, self.offset, self.shape = common, ends, offset, shape
        self.rule = sliding.setting.rule
        # Both parts move with the travel, so their distance changes at up to twice the speed.
        self.speed = 2.0 * SPEED_MARGIN * _fastest(sliding.motion)
        count = len(offset)
        self.value = np.full((2, count), np.inf)
        self.pair = np.full((2, count), -1, dtype=np.intp)
        self.travel = np.full((2, count), np.nan)

    def run(
        self,
        progress: Callable[[float], None] | None,
        cancelled: Callable[[], bool] | None,
    ) -> tuple[Worst, Worst]:
        possible = np.flatnonzero(~np.isnan(self.ends[:, 0]))
        samples = len(self.common) + 2
        pairs = self.sliding.affected
        every = np.column_stack(
            [np.repeat(pairs, samples), np.tile(np.arange(samples), len(pairs))]
        )
        tiles = [self._tile(possible, every)] if len(possible) and len(every) else []
        left = tiles
        while tiles:
            small = [tile for tile in tiles if len(tile.members) <= FEW]
            self._settle(small, cancelled)
            left = [tile for tile in tiles if len(tile.members) > FEW]
            if progress is not None:
                progress(1.0 - sum(len(tile.members) for tile in left) / len(possible))
            tiles = []
            for tile, value in zip(left, self._at_middles(left, cancelled), strict=True):
                tiles += self._divide(tile, value)
        self.value[np.isinf(self.value)] = np.nan
        lowest, tightest = (Worst(self.value[g], self.pair[g], self.travel[g]) for g in (0, 1))
        return lowest, tightest

    def _tile(self, members: Ints, candidates: Ints) -> _Tile:
        at = self.offset[members]
        middle = int(members[np.argmin(np.linalg.norm(at - at.mean(axis=0), axis=1))])
        return _Tile(members, middle, candidates)

    def _at_middles(self, tiles: list[_Tile], cancelled: Callable[[], bool] | None) -> list[Array]:
        """The clearance of every candidate at its tile's middle."""
        if not tiles:
            return []
        counts = [len(tile.candidates) for tile in tiles]
        pair, sample = np.concatenate([tile.candidates for tile in tiles]).T
        position = np.repeat([tile.middle for tile in tiles], counts)
        value = self._measure(pair, sample, position, cancelled)
        return np.split(value, np.cumsum(counts)[:-1])

    def _measure(
        self, pair: Ints, sample: Ints, position: Ints, cancelled: Callable[[], bool] | None
    ) -> Array:
        """Clearances, pair by pair in one batch each."""
        poses = self._pose(position, sample)
        value = np.empty(len(pair))
        for k in np.unique(pair):
            if cancelled is not None and cancelled():
                raise Cancelled
            mine = np.flatnonzero(pair == k)
            value[mine] = self.sliding.clearance(int(k), poses[mine], self.offset[position[mine]])
        return value

    def _pose(self, position: Ints, sample: Ints) -> Ints:
        """Where in the motion a position's sample is."""
        own = len(self.common) + 2 * position + (sample - len(self.common))
        return np.where(sample < len(self.common), sample, own).astype(np.intp)

    def _travel_of(self, position: Ints, sample: Ints) -> Array:
        n = len(self.common)
        ends = self.ends[position]
        own = np.where(sample == n, ends[..., 0], ends[..., 1])
        return np.where(sample < n, self.common[np.minimum(sample, n - 1)], own)

    def _settle(self, tiles: list[_Tile], cancelled: Callable[[], bool] | None) -> None:
        """The worst of every position of the tiles, among its samples within its own travel."""
        if not tiles:
            return
        each = [len(tile.candidates) for tile in tiles for _ in tile.members]
        members = np.concatenate([tile.members for tile in tiles])
        position = np.repeat(members, each)
        pair, sample = np.concatenate([np.tile(t.candidates, (len(t.members), 1)) for t in tiles]).T
        travel = self._travel_of(position, sample)
        inside = (travel >= self.ends[position, 0]) & (travel <= self.ends[position, 1])
        pair, sample, position, travel = (x[inside] for x in (pair, sample, position, travel))
        value = self._measure(pair, sample, position, cancelled)
        for g, figure in enumerate((value, value - self.rule[pair])):
            known = np.flatnonzero(~np.isnan(figure))
            rising = known[np.lexsort((figure[known], position[known]))]
            at, first = np.unique(position[rising], return_index=True)
            best = rising[first]
            self.value[g, at] = figure[best]
            self.pair[g, at] = pair[best]
            self.travel[g, at] = travel[best]

    def _divide(self, tile: _Tile, value: Array) -> list[_Tile]:
        """The tile's parts with the candidates that may still be somebody's worst."""
        pair, sample = tile.candidates.T
        members, middle = tile.members, tile.middle
        radius = self.sliding.reach * float(
            np.max(np.linalg.norm(self.offset[members] - self.offset[middle], axis=1))
        )
        shift = np.max(np.abs(self.ends[members] - self.ends[middle]), axis=0)
        n = len(self.common)
        # A position's own end lies at another travel than the middle's.
        slack = radius + self.speed * np.where(
            sample < n, 0.0, np.where(sample == n, shift[0], shift[1])
        )
        low, high = self.ends[members, 0], self.ends[members, 1]
        travel = self._travel_of(np.full(len(sample), middle), sample)
        own = sample >= n
        for_all = own | ((travel > low.max()) & (travel < high.min()))
        for_any = own | ((travel > low.min()) & (travel < high.max()))
        keep = np.zeros(len(value), dtype=bool)
        for figure in (value, value - self.rule[pair]):
            known = ~np.isnan(figure)
            sure = np.where(known & for_all, figure + slack, np.inf).min() + 2.0 * TOLERANCE
            keep |= known & for_any & (figure - slack <= sure)
        kept = tile.candidates[keep]
        return [self._tile(part, kept) for part in self._parts(members)]

    def _parts(self, members: Ints) -> list[Ints]:
        """The members in blocks of rows and columns."""
        row, column = np.divmod(members, self.shape[1])
        block = []
        for number in (row, column):
            first, last = number.min(), number.max()
            block.append((number - first) * SPLIT // (last - first + 1))
        which = block[0] * SPLIT + block[1]
        return [members[which == b] for b in np.unique(which)]


def _fastest(motion: Motion) -> float:
    """Greatest speed of any point of the corner, mm per mm of travel, at the motion's poses."""
    project = motion.linkage.project
    speeds = np.array(
        [
            [
                np.nanmax(np.linalg.norm(motion.speed(body, xyz), axis=-1))
                for xyz in project.points.values()
            ]
            for body in motion.bodies[1:]
        ]
    )
    spin = max(np.nanmax(np.linalg.norm(motion.spin(body), axis=-1)) for body in motion.bodies[1:])
    return float(np.max(speeds) + spin * 100.0)
