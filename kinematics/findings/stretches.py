"""All travel over which a figure is, or may be, below a level: what lies outside is certified."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt

from kinematics.findings.finding import Stretch

Array = npt.NDArray[np.float64]

PairLook: TypeAlias = Callable[[Array, float], tuple[Array, Array]]
"""At rising travels (m,) and a rack, mm: certified lower bounds there (m,) and between (m - 1,)."""

RESOLUTION = 2e-3
"""How near the ends of a stretch are found, mm of travel."""
SPLIT = 8
ROUNDS = 5


class Lows(NamedTuple):
    """Certified lower bounds of a figure over travel (nz,) and rack (ns,), mm.

    low : (nz, ns), NaN where unknown. between : (nz - 1, ns), not finite where unknown.
    """

    travel: Array
    rack: Array
    low: Array
    between: Array


def stretches(lows: Lows, level: float, look: PairLook | None = None) -> tuple[Stretch, ...]:
    """The travel over which a figure may be below ``level``, rack by rack, rising.

    ``look`` gives it at any travel: the ends are then found to `RESOLUTION`. Without, they are the
    positions beside. Where it is unknown, nothing is said.
    """
    found: list[Stretch] = []
    for j, rack in enumerate(lows.rack.tolist()):
        pieces = _column(lows, j, level, look)
        found += [Stretch(rack, low, high) for low, high in _joined(pieces)]
    return tuple(found)


def _column(
    lows: Lows, j: int, level: float, look: PairLook | None
) -> Iterator[tuple[float, float]]:
    """Pieces of such travel at one rack, rising; they may touch."""
    travel, low = lows.travel.tolist(), lows.low[:, j]
    for i in np.flatnonzero(low < level).tolist():
        yield travel[i], travel[i]
    for i in np.flatnonzero(_under(low, lows.between[:, j], level)).tolist():
        cell = travel[i], travel[i + 1]
        if look is None or max(low[i], low[i + 1]) < level:
            yield cell
        else:
            yield from _closed_in(cell, float(lows.rack[j]), level, look)


def _under(low: Array, between: Array, level: float) -> npt.NDArray[np.bool_]:
    """The intervals that are not certified to keep the level; not those that are unknown."""
    known = np.isfinite(low[1:]) & np.isfinite(low[:-1])
    dips = np.isfinite(between) & (between < level)
    return np.asarray(known & (dips | (np.fmin(low[1:], low[:-1]) < level)))


def _closed_in(
    cell: tuple[float, float], rack: float, level: float, look: PairLook
) -> Iterator[tuple[float, float]]:
    """The parts of a cell that are not certified to keep the level, to the resolution."""
    waiting = [cell]
    for _ in range(ROUNDS):
        cells, waiting = waiting, []
        for start, end in cells:
            travel = np.linspace(start, end, SPLIT + 1)
            low, between = look(travel, rack)
            for i in np.flatnonzero(_under(low, between, level)).tolist():
                part = float(travel[i]), float(travel[i + 1])
                if max(low[i], low[i + 1]) < level or part[1] - part[0] <= RESOLUTION:
                    yield part
                else:
                    waiting.append(part)
    yield from waiting


def _joined(pieces: Iterator[tuple[float, float]]) -> list[tuple[float, float]]:
    out: list[tuple[float, float]] = []
    for low, high in sorted(pieces):
        if out and low <= out[-1][1]:
            out[-1] = out[-1][0], max(out[-1][1], high)
        else:
            out.append((low, high))
    return out
