"""Lower bounds over travel made as close as a figure has to be, by looking again between."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

TOLERANCE = 0.02
"""The true least lies at most so far above the figure, mm; first travels are found as closely."""
SPLIT = 8
"""Parts an interval is cut into to look again."""
ROUNDS = 5
"""How often it is."""
MOST = 150
"""Intervals looked at again at most; what is left then keeps its bound."""

Closer: TypeAlias = Callable[[int, Array, float], tuple[Array, Array]]
"""By number, rising travels (m,) and a rack: the figures there (m,) and between (m - 1,)."""


@dataclass(frozen=True, eq=False)
class Grid:
    """Figures of several things over travel (nz,) and rack (ns,), mm.

    low (things, nz, ns) : at the positions, NaN where unknown. between (things, nz - 1, ns) : no
    more than the least over each whole interval, infinite where nothing is known.
    """

    travel: Array
    rack: Array
    low: Array
    between: Array


class Least(NamedTuple):
    """The least of all: whose it is and where; the true one lies in [low, low + bound]."""

    number: int
    travel: float
    rack: float
    low: float
    bound: float


class _Cell(NamedTuple):
    """A travel interval of one thing at one rack, and a bound of its figure there."""

    number: int
    start: float
    end: float
    rack: float
    low: float


def sharpened(grid: Grid, asked: Array, look: Closer, most: int = MOST) -> Least:
    """The thing with the least figure over what is asked of it (things,), anywhere on the way.

    Intervals that could hold less than the least position are looked at again, until that is
    less by `TOLERANCE` at most, or until ``most`` were. At least one figure must be known.
    """
    over = grid.low - asked[:, None, None]
    k, i, j = np.unravel_index(np.nanargmin(over), over.shape)
    at = float(grid.travel[i])
    best = _Cell(int(k), at, at, float(grid.rack[j]), float(over[k, i, j]))
    waiting, surely = [*_cells(grid, asked, best.low)], best.low
    for _ in range(ROUNDS):
        cells, waiting = sorted(waiting, key=lambda some: some.low), []
        for cell in cells:
            if cell.low >= best.low - TOLERANCE or most == 0:
                surely = min(surely, cell.low)
                continue
            most -= 1
            here, finer = _again(cell, float(asked[cell.number]), look)
            best = min(best, here, key=lambda some: some.low)
            waiting += [some for some in finer if some.low < best.low]
    surely = min([surely, best.low, *(cell.low for cell in waiting)])
    wanted = float(asked[best.number])
    return Least(best.number, best.start, best.rack, surely + wanted, best.low - surely)


def _cells(grid: Grid, asked: Array, below: float) -> Iterator[_Cell]:
    """The intervals that may hold less."""
    over = grid.between - asked[:, None, None]
    for k, i, j in np.argwhere(over < below).tolist():
        ends = float(grid.travel[i]), float(grid.travel[i + 1])
        yield _Cell(k, *ends, float(grid.rack[j]), float(over[k, i, j]))


def _again(cell: _Cell, asked: float, look: Closer) -> tuple[_Cell, list[_Cell]]:
    """The least position within a cell, and the cell in parts."""
    travel = np.linspace(cell.start, cell.end, SPLIT + 1)
    low, between = look(cell.number, travel, cell.rack)
    i = int(np.nanargmin(low))
    here = cell._replace(start=float(travel[i]), end=float(travel[i]), low=float(low[i]) - asked)
    return here, [
        _Cell(cell.number, float(a), float(b), cell.rack, float(least) - asked)
        for a, b, least in zip(travel[:-1], travel[1:], between, strict=True)
    ]


def first_under(
    grid: Grid, number: int, level: float, look: Closer
) -> tuple[float | None, float | None]:
    """The travels in bump and in droop up to which a thing keeps a level, from set-up height on.

    None where it keeps it all the way, at every rack; found within `TOLERANCE`.
    """
    ups: list[float] = []
    downs: list[float] = []
    for j in range(len(grid.rack)):
        up, down = (_outward(grid, number, j, level, way, look) for way in (1.0, -1.0))
        ups += [] if up is None else [up]
        downs += [] if down is None else [down]
    return min(ups, default=None), max(downs, default=None)


def _outward(
    grid: Grid,
    number: int,
    column: int,
    level: float,
    way: float,
    look: Closer,
) -> float | None:
    """The first travel one way that can't be shown to keep the level, at one rack."""
    low, between = grid.low[number, :, column], grid.between[number, :, column]
    travel = grid.travel
    if len(travel) == 1:
        return float(travel[0]) if low[0] < level and way * travel[0] >= 0.0 else None
    order = range(len(travel) - 1) if way > 0.0 else range(len(travel) - 2, -1, -1)
    for i in order:
        if max(way * travel[i], way * travel[i + 1]) < 0.0:
            continue
        if np.fmin(between[i], np.fmin(low[i], low[i + 1])) < level:
            ends = float(travel[i]), float(travel[i + 1])
            cell = _Cell(number, *ends, float(grid.rack[column]), level)
            first = _closed_in(cell, way, look)
            if first is not None:
                return way * max(way * first, 0.0)
    return None


def _closed_in(cell: _Cell, way: float, look: Closer) -> float | None:
    """The first travel within a cell that can't be shown to keep its level; None: all does."""
    start, end, level = cell.start, cell.end, cell.low
    for _ in range(ROUNDS):
        travel = np.linspace(start, end, SPLIT + 1)
        low, between = look(cell.number, travel, cell.rack)
        under = np.flatnonzero(np.fmin(between, np.fmin(low[:-1], low[1:])) < level)
        if under.size == 0:
            return None
        i = int(under[0] if way > 0.0 else under[-1])
        start, end = float(travel[i]), float(travel[i + 1])
        if end - start <= TOLERANCE:
            break
    return start if way > 0.0 else end
