"""Scans in the search for the worst of every place.

Exact parts go first, so that of a scan only what is worse counts. Then every piece a scan may meet
is measured at a few places, and each figure, less how far the piece is moved from there, bounds it
at the places around; where that leaves it open the places looked at are taken closer, down to every
one. Nothing depends on which thread comes first: the same question always has the same answer.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor, wait

import numpy as np
import numpy.typing as npt
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from kinematics.clearance.grid import Grid, Placing, Worst
from kinematics.clearance.nearing import INSIDE, OUTSIDE, UNKNOWN, Nearing, nearings
from kinematics.clearance.parts import Cancelled

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

SPLIT = 3
"""So many more places each way are looked at from one step to the next."""
SAMPLES = 5
"""Samples looked at where one place stands for all, at first."""
ROUGHLY = 0.1
"""What stands for others is measured to this share of how far they are off."""
FEW = 2
"""No fewer places each way than this to one that is looked at, before every one is."""
SINGLES = 2
"""How often a place's likeliest sample alone is measured before all that are left."""
NOTHING = -1e300
AT_ONCE = 64
"""Points asked in one go whether they are inside."""
APART = 10.0
"""How far at least the surface of a closed scan is looked for, mm: clear of it by so much, a piece
stays on its side."""


def settle_scans(
    parts: Sequence[Placing],
    pairs: Sequence[tuple[int, int]],
    rule: Array,
    grid: Grid,
    found: tuple[Worst, Worst],
    tol: float,
    progress: Callable[[float], None] | None,
    cancelled: Callable[[], bool] | None,
    threads: int,
) -> None:
    """Lower `found`, the lowest clearance and margin of exact parts alone, to what scans make it.

    As `worst_by_place`; raises Cancelled.
    """
    met = list(nearings(parts, pairs, grid))
    with ThreadPoolExecutor(threads) as pool:
        search = _Search(rule, grid, found, tol, pool, cancelled)
        for n, one in enumerate(search.ordered(met)):
            search.settle(one)
            if progress is not None:
                progress((n + 1) / len(met))
    for worst in found:
        worst.value[np.isinf(worst.value)] = np.nan


class _Search:
    def __init__(
        self,
        rule: Array,
        grid: Grid,
        found: tuple[Worst, Worst],
        tol: float,
        pool: ThreadPoolExecutor,
        cancelled: Callable[[], bool] | None,
    ) -> None:
        self.rule, self.grid, self.found, self.tol = rule, grid, found, tol
        self.pool, self.cancelled = pool, cancelled
        self.steps = _steps(grid.shape, grid.rows.shape[1])
        for worst in found:
            worst.value[np.isnan(worst.value)] = np.inf

    def ordered(self, met: list[Nearing]) -> list[Nearing]:
        """The nearest first, judged at the middle: what they give spares others."""
        samples = self.grid.rows.shape[1]
        low = []
        for one in met:
            middle = np.array([len(self._need(one)) // 2 * samples + samples // 2])
            need = self._need(one)[middle // samples]
            low.append(self._measured(one, middle, need, None, ROUGHLY)[0])
        return [met[k] for k in np.argsort(np.nan_to_num(np.ravel(low)), kind="stable")]

    def settle(self, one: Nearing) -> None:
        """Lower the worst of every place to what one scan and one piece make it."""
        valid = self.grid.valid[_places(one)].ravel() & one.known
        state = _State(one, valid)
        for step in self.steps if one.at < 0 else ():
            self._about(state, step)
        for _ in range(SINGLES):
            self._likeliest(state)
        open_ = np.flatnonzero(self._open(state))
        self._measure(state, open_)

    def _need(self, one: Nearing) -> Array:
        """(places,) a figure no lower changes nothing there, mm."""
        lowest, tightest = (worst.value[_places(one)] for worst in self.found)
        return np.asarray(np.fmax(lowest, tightest + self.rule[one.pair]))

    def _open(self, state: _State) -> Bools:
        """(positions,) where the figure may be the worst, and has not been measured."""
        need = np.repeat(self._need(state.one), self.grid.rows.shape[1])
        return state.valid & ~state.done & (state.low < need)

    def _about(self, state: _State, step: tuple[Ints, Ints]) -> None:
        """Measure, roughly, at the places and samples that stand for those around them."""
        samples = self.grid.rows.shape[1]
        left = np.flatnonzero(self._open(state))
        place, sample = np.divmod(left, samples)
        there = step[0][place] * samples + step[1][sample]
        known = state.one.known[there]
        left, there = left[known], there[known]
        if len(left) == 0:
            return
        at, which = np.unique(there, return_inverse=True)
        way = state.one.way(left, there)
        reach = np.full(len(at), -np.inf)
        np.maximum.at(reach, which, self._need(state.one)[left // samples] + way)
        tol = max(self.tol, ROUGHLY * float(np.median(way)))
        low, high = self._measured(state.one, at, reach, state, tol)
        state.spread(left, there, low[which], high[which], way)

    def _likeliest(self, state: _State) -> None:
        """Measure the one sample of every place that may be lowest, and go on to the others."""
        shape = -1, self.grid.rows.shape[1]
        open_ = self._open(state)
        low = np.where(open_, state.low, np.inf).reshape(shape)
        places = np.flatnonzero(open_.reshape(shape).any(axis=1))
        if len(places) == 0:
            return
        at = places * shape[1] + np.argmin(low[places], axis=1)
        low, high = self._measure(state, at)
        left = np.flatnonzero(self._open(state))
        which = np.searchsorted(places, left // shape[1])
        way = state.one.way(left, at[which])
        state.spread(left, at[which], low[which], high[which], way)

    def _measure(self, state: _State, at: Ints) -> tuple[Array, Array]:
        """Figures at some positions (n,) that are open, which are kept."""
        need = self._need(state.one)[at // self.grid.rows.shape[1]]
        low, high = self._measured(state.one, at, need, state, self.tol)
        figure = state.take(at, low, high)
        state.done[at] = True
        self._keep(state.one, at, figure)
        return low, high

    def _measured(
        self, one: Nearing, at: Ints, cutoff: Array, state: _State | None, tol: float
    ) -> tuple[Array, Array]:
        """Lower and upper figures of the surface's distance at some positions, in threads."""
        limit = cutoff + tol
        if state is not None and one.closed:
            limit = np.where(state.side[at] == INSIDE, np.inf, np.maximum(limit, APART + tol))
        low, high = self._gaps(one, at, limit, tol)
        if state is not None and one.closed:
            again = self._inside(state, at, low) & ~np.isfinite(high)
            if again.any():
                far = np.full(again.sum(), np.inf)
                low[again], high[again] = self._gaps(one, at[again], far, tol)
        return low, high

    def _inside(self, state: _State, at: Ints, low: Array) -> Bools:
        """At which positions (n,) the piece is inside, `low` from the surface at least.

        While it keeps clear of the surface it stays on its side, so positions that are near one
        another go together, and one test serves them all.
        """
        state.clear[at] = np.maximum(low, 0.0)
        here = np.unique(at[low > 0.0])
        side, samples = state.side, self.grid.rows.shape[1]
        place, sample = np.divmod(here, samples)
        for near, standing in self.steps if state.one.at < 0 else ():
            there = near[place] * samples + standing[sample]
            new = (side[here] == UNKNOWN) & (side[there] != UNKNOWN) & state.joined(here, there)
            side[here[new]] = side[there[new]]
        row, column = np.divmod(place, self.grid.shape[1])
        asked = []
        for group in state.groups(here, (place, sample), (row, column)):
            mine = side[here[group]]
            known = mine[mine != UNKNOWN]
            side[here[group]] = known[0] if len(known) else UNKNOWN
            if len(known) == 0:
                asked.append(here[group])
        for k in range(0, len(asked), AT_ONCE):
            self._go_on()
            some = asked[k : k + AT_ONCE]
            held = state.one.holds(np.array([group[0] for group in some]))
            for group, it_is in zip(some, held, strict=True):
                side[group] = INSIDE if it_is else OUTSIDE
        return np.asarray((side[at] == INSIDE) & (low > 0.0))

    def _go_on(self) -> None:
        if self.cancelled is not None and self.cancelled():
            raise Cancelled

    def _gaps(self, one: Nearing, at: Ints, limit: Array, tol: float) -> tuple[Array, Array]:
        blocks = [slice(k, k + one.many) for k in range(0, len(at), one.many)]
        jobs = [self.pool.submit(one.gaps, at[b], limit[b], tol) for b in blocks]
        waiting = set(jobs)
        while waiting:
            try:
                self._go_on()
            except Cancelled:
                for job in jobs:
                    job.cancel()
                raise
            _, waiting = wait(waiting, 0.1)
        found = [job.result() for job in jobs]
        low, high = (np.concatenate([f[k] for f in found] or [np.zeros(0)]) for k in (0, 1))
        return low, high

    def _keep(self, one: Nearing, at: Ints, figure: Array) -> None:
        """Write what is lower than what is known."""
        place, sample = np.divmod(at, self.grid.rows.shape[1])
        place = place + max(one.at, 0)
        for worst, off in zip(self.found, (0.0, self.rule[one.pair]), strict=True):
            value = figure - off
            order = np.argsort(-value, kind="stable")  # the lowest of a place is written last
            order = order[value[order] < worst.value[place[order]]]
            mine = place[order]
            worst.value[mine], worst.sample[mine] = value[order], sample[order]
            worst.pair[mine] = one.pair


class _State:
    """What is known of a scan and a piece at every position.

    low : no figure is lower. done : measured as closely as counts. side : of a closed scan, and
    clear : how far from its surface at least, mm, where that was measured.
    """

    def __init__(self, one: Nearing, valid: Bools) -> None:
        self.one, self.valid = one, valid
        count = len(self.valid)
        self.low = np.full(count, NOTHING)
        self.done = np.zeros(count, dtype=bool)
        self.side = np.full(count, UNKNOWN if one.closed else OUTSIDE, np.int8)
        self.clear = np.zeros(count if one.closed else 0)

    def joined(self, these: Ints, those: Ints) -> Bools:
        """Whether the piece gets from each to each without meeting the surface, surely."""
        clear = np.maximum(self.clear[these], self.clear[those])
        return np.asarray(self.one.way(these, those) < clear)

    def groups(self, here: Ints, at: tuple[Ints, Ints], grid: tuple[Ints, Ints]) -> list[Ints]:
        """Which positions (n,) are surely on one side together, by their numbers in `here`.

        at : place and sample of each; grid : row and column of its place.
        """
        count, (place, sample), (row, column) = len(here), at, grid
        links = []
        for keys in ((sample, place), (place, sample), (row, column, sample)):
            order = np.lexsort(keys)
            first, second = order[:-1], order[1:]
            kept = self.joined(here[first], here[second])
            links.append(np.stack([first[kept], second[kept]]))
        first, second = np.concatenate(links, axis=1)
        graph = coo_array((np.ones(len(first)), (first, second)), shape=(count, count))
        _, label = connected_components(graph, directed=False)
        order = np.argsort(label, kind="stable")
        return np.split(order, np.flatnonzero(np.diff(label[order])) + 1) if count else []

    def take(self, at: Ints, low: Array, high: Array) -> Array:
        """The figures at positions where the surface's distance was measured."""
        figure = low.copy()
        inside = (self.side[at] == INSIDE) & (low > 0.0)
        if inside.any():
            figure[inside] = -(high[inside] + self.one.size(at[inside]))
        self.low[at] = np.maximum(self.low[at], figure)
        return figure

    def spread(self, left: Ints, at: Ints, low: Array, high: Array, way: Array) -> None:
        """Bound the figure at positions from those at others, which are so far off."""
        bound = self.one.floor(low, way)
        if self.one.closed:
            stays = low > way
            self.side[left[stays]] = self.side[at[stays]]
            inside = stays & (self.side[at] == INSIDE)
            bound = np.where(stays, bound, NOTHING)
            bound[inside] = -(high + way)[inside] - self.one.size(left[inside])
        self.low[left] = np.maximum(self.low[left], bound)


def _places(one: Nearing) -> slice:
    """The places a scan and a piece are given for."""
    return slice(None) if one.at < 0 else slice(one.at, one.at + 1)


def _steps(shape: tuple[int, int], samples: int) -> list[tuple[Ints, Ints]]:
    """Of every place, and of every sample, the one that stands for it, step by step closer."""
    steps, count = [], 1
    while count * FEW <= max(shape):
        axes = [_standing(n, min(count, n)) for n in shape]
        places = (axes[0][:, None] * shape[1] + axes[1][None, :]).ravel()
        steps.append((places, _standing(samples, min(SAMPLES * count, samples))))
        count *= SPLIT
    return steps


def _standing(n: int, count: int) -> Ints:
    """The middle of its block for each of n in a row parted into so many blocks."""
    block = np.arange(n) * count // n
    first, last = (np.searchsorted(block, np.arange(count), side) for side in ("left", "right"))
    return np.asarray(((first + last - 1) // 2)[block])
