"""The worst clearance and margin of every place, cutting what stands still only where it matters.

About the top's ball nothing is checked between parts that are joined there. Where the tower stays,
that ball moves over it, and what it leaves of the tower differs from place to place. Left whole,
the tower can only come out nearer than it is: so it is first left whole, and cut only at the places
where a pair of it then is the worst.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from kinematics.clearance.grid import Grid, Worst, unknown
from kinematics.clearance.places import worst_by_place
from kinematics.studies.asking import go_on
from kinematics.studies.sliding import Sliding
from kinematics.studies.study import TOLERANCE

Ints = npt.NDArray[np.int64]
Both = tuple[Worst, Worst]


def worst_sliding(
    sliding: Sliding,
    grid: Grid,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
    threads: int | None = None,
) -> Both:
    """The lowest clearance and the lowest margin of every place, pairs by number of `affected`.

    Raises Cancelled.
    """
    terms = sliding.terms(grid.shift)
    nowhere = np.zeros(len(grid.rows), dtype=bool)
    cut_at = [nowhere if term.cut_at is None else term.cut_at for term in terms]
    rough = np.array([at.any() for at in cut_at], dtype=bool)

    def search(chosen: Ints, places: Ints | None, ends: tuple[float, float], cut: bool) -> Both:
        def report(share: float) -> None:
            if progress is not None:
                progress(ends[0] + share * (ends[1] - ends[0]))

        part = grid if places is None else _of(grid, places)
        if len(chosen) == 0:
            return unknown(len(part.rows)), unknown(len(part.rows))
        mine = [terms[k] for k in chosen]
        placings, pairs = sliding.placed(part.rows, part.shift, mine, places, cut, cancelled)
        go_on(cancelled)
        rule = sliding.setting.rule[sliding.affected[[term.pair for term in mine]]]
        rule = np.nan_to_num(rule)  # a pair without a rule must not touch
        found = worst_by_place(placings, pairs, rule, part, TOLERANCE, report, cancelled, threads)
        lowest, tightest = (replace(w, pair=_numbered(w.pair, chosen)) for w in found)
        return lowest, tightest

    every = np.arange(len(terms))
    lowest, tightest = search(every, None, (0.0, 0.8 if rough.any() else 1.0), False)
    doubted = nowhere.copy()
    for worst in (lowest, tightest):
        for k in np.flatnonzero(rough):
            doubted |= (worst.pair == k) & cut_at[k]
    places = np.flatnonzero(doubted)
    if len(places):
        sure = search(every[~rough], places, (0.8, 0.9), False)
        cut = search(every[rough], places, (0.9, 1.0), True)
        _settle(lowest, places, sure[0], cut[0])
        _settle(tightest, places, sure[1], cut[1])
    if progress is not None:
        progress(1.0)
    pair = np.array([term.pair for term in terms], np.int64)
    lowest, tightest = (replace(w, pair=_numbered(w.pair, pair)) for w in (lowest, tightest))
    return lowest, tightest


def _of(grid: Grid, places: Ints) -> Grid:
    """Some places alone, in a row."""
    return Grid(
        (1, len(places)), grid.rows[places], grid.valid[places],
        np.ascontiguousarray(grid.shift[places]),
    )  # fmt: skip


def _numbered(pair: Ints, chosen: Ints) -> Ints:
    return np.where(pair < 0, -1, chosen[pair.clip(min=0)]) if len(chosen) else pair


def _settle(whole: Worst, places: Ints, sure: Worst, cut: Worst) -> None:
    """Write the worse of the two at the places that were in doubt."""
    mine = ~(cut.value > sure.value) & ~np.isnan(cut.value)
    whole.value[places] = np.where(mine, cut.value, sure.value)
    whole.pair[places] = np.where(mine, cut.pair, sure.pair)
    whole.sample[places] = np.where(mine, cut.sample, sure.sample)
