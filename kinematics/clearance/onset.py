"""The travel intervals in which a pair is nearer than a level, and where it first is so."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from kinematics.clearance.joints import Joint
from kinematics.clearance.parts import Clearances, Pair, clearances
from kinematics.shapes.pieces import Part

Array = npt.NDArray[np.float64]

#: Parts at the travels (m,) given, with their sagitta between them.
PartsAt = Callable[[Array], Sequence[Part]]

_SPLIT = 8
_ROUNDS = 6


@dataclass(frozen=True, eq=False)
class Onset:
    """Where a pair's clearance is below `level`, mm, at one rack position.

    intervals : (m, 2) travel, mm, in order. Outside them the pair is certified to keep the level;
    their ends lie within `resolution` of a travel where that could not be certified.
    bump, droop : the first such travel going outwards from set-up height (travel 0), None: never.
    Both are 0 when the pair is below the level at set-up height already.
    """

    level: float
    intervals: Array
    bump: float | None
    droop: float | None
    resolution: float


def onset(
    parts_at: PartsAt | None,
    pair: Pair,
    travel: Array,
    found: Clearances,
    level: float = 0.0,
    column: int = 0,
    resolution: float = 0.02,
    tol: float = 0.02,
    joints: Sequence[Joint] = (),
) -> Onset:
    """All travel intervals in which a pair is, or may be, nearer than a level.

    found : clearances over this travel, from which the search starts; column : its rack index.
    parts_at : gives the parts at any travels, to find the ends of the intervals within
    `resolution` mm; None leaves them at the neighbouring samples. Joints as in `clearances`, with
    one centre for all poses. Poses that are not known count as neither clear nor near.
    """
    k = found.pairs.index(pair)
    low, between = found.low[k, :, column], found.between_low[k, :, column]
    cells: list[tuple[float, float]] = []
    for i in range(len(travel) - 1):
        if np.isnan(between[i]) or (between[i] >= level and min(low[i], low[i + 1]) >= level):
            continue
        here = (float(travel[i]), float(travel[i + 1]), float(low[i]), float(low[i + 1]))
        if parts_at is None:
            cells.append(here[:2])
        else:
            cells += _near_cells(parts_at, pair, here, level, resolution, tol, joints)
    if len(travel) == 1 and low[0] < level:
        cells.append((float(travel[0]), float(travel[0])))
    merged = _merged(cells, 1e-9)
    bump, droop = _outwards(merged)
    return Onset(level, merged, bump, droop, resolution)


def _near_cells(
    parts_at: PartsAt,
    pair: Pair,
    cell: tuple[float, float, float, float],
    level: float,
    resolution: float,
    tol: float,
    joints: Sequence[Joint],
) -> list[tuple[float, float]]:
    """The parts of a cell (z0, z1, low0, low1) that are not certified clear, to the resolution."""
    out: list[tuple[float, float]] = []
    open_cells = [cell]
    for _ in range(_ROUNDS):
        split: list[tuple[float, float, float, float]] = []
        for z0, z1, low0, low1 in open_cells:
            if max(low0, low1) < level or z1 - z0 <= resolution:
                out.append((z0, z1))
            else:
                split.append((z0, z1, low0, low1))
        open_cells = []
        for z0, z1, _a, _b in split:
            travel = np.linspace(z0, z1, _SPLIT + 1)
            parts = parts_at(travel)
            found = clearances(
                parts, [pair], (len(travel), 1), tol, joints=joints, cutoff=max(level, 0.0) + 50.0
            )
            low, between = found.low[0, :, 0], found.between_low[0, :, 0]
            open_cells += [
                (travel[i], travel[i + 1], low[i], low[i + 1])
                for i in range(_SPLIT)
                if not between[i] >= level
            ]
        if not open_cells:
            break
    out += [(c[0], c[1]) for c in open_cells]
    return sorted(out)


def _merged(cells: Sequence[tuple[float, float]], gap: float) -> Array:
    out: list[list[float]] = []
    for z0, z1 in sorted(cells):
        if out and z0 <= out[-1][1] + gap:
            out[-1][1] = max(out[-1][1], z1)
        else:
            out.append([z0, z1])
    return np.array(out, float).reshape(-1, 2)


def _outwards(intervals: Array) -> tuple[float | None, float | None]:
    ups = [max(float(z0), 0.0) for z0, z1 in intervals if z1 >= 0.0]
    downs = [min(float(z1), 0.0) for z0, z1 in intervals if z0 <= 0.0]
    return min(ups, default=None), max(downs, default=None)
