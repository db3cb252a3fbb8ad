"""A study read between two of its steers, where no column of it stands."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from app.document.board import Curve

Array = NDArray[np.float64]
FITTED = 5  # steers a smooth figure is led through
SAME = 1e-6  # mm
SHORT = 0.1  # of its rows that a column may lack and still be led on


@dataclass(frozen=True, eq=False)
class Place:
    """Where a steer stands among the columns of a study.

    rack, racks : it and they, mm. left, right : the columns on either side, the same where one
    stands there. share : how far it is from left to right, 0 to 1.
    """

    rack: float
    racks: Array
    left: int
    right: int
    share: float


def place(racks: Array, rack: float) -> Place:
    """Where a rack position stands among those of a study, all in mm; beyond the ends, at one."""
    at = min(max(rack, float(racks[0])), float(racks[-1]))
    same = int(np.argmin(np.abs(racks - at)))
    if abs(float(racks[same]) - at) < SAME:
        return Place(at, racks, same, same, 0.0)
    right = int(np.searchsorted(racks, at))
    share = (at - racks[right - 1]) / (racks[right] - racks[right - 1])
    return Place(at, racks, right - 1, right, float(share))


def smooth(values: Array, travel: Array, at: Place) -> Array:
    """Values (nz, ns) of a smooth figure at a steer: (nz,), unknown where a neighbour is.

    Lagrange's polynomial through the nearest columns that are known wherever both neighbours
    are, the same for every row, so that the curve has no step; a column that ends a little short
    is led straight on. For what must never be read too
    high, as a clearance, this is not to be used.
    """
    if at.left == at.right:
        return np.asarray(values[:, at.left])
    known = np.isfinite(values)
    rows = known[:, at.left] & known[:, at.right]
    near = np.argsort(np.abs(at.racks - at.rack), kind="stable")[:FITTED]
    led = np.stack([_led_on(values[:, k], travel) for k in near], axis=1)[rows]
    whole = np.isfinite(led).all(axis=0)
    near = near[whole]
    found = np.full(len(values), np.nan)
    found[rows] = led[:, whole] @ _weights(tuple(at.racks[near].tolist()), at.rack)
    return found


def _led_on(column: Array, travel: Array) -> Array:
    """A column with a few unknown ends put on the straight line of the two rows before them."""
    good = np.flatnonzero(np.isfinite(column))
    if len(good) in (0, 1, len(column)) or len(good) < len(column) * (1 - SHORT):
        return column
    led = column.copy()
    for end, step, beyond in (
        (good[0], good[1], slice(None, good[0])),
        (good[-1], good[-2], slice(good[-1] + 1, None)),
    ):
        slope = (column[step] - column[end]) / (travel[step] - travel[end])
        led[beyond] = column[end] + slope * (travel[beyond] - travel[end])
    return led


@lru_cache(maxsize=64)
def _weights(stand: tuple[float, ...], at: float) -> Array:
    """What each column counts in the polynomial through all of them, at one place."""
    return np.array([np.prod([(at - b) / (a - b) for b in stand if b != a]) for a in stand])


def between(left: dict[str, Curve], right: dict[str, Curve], share: float) -> dict[str, Curve]:
    """Curves on the straight line from those of one column to those of the next."""
    return {key: _between(curve, right[key], share) for key, curve in left.items() if key in right}


def _between(left: Curve, right: Curve, share: float) -> Curve:
    lines = tuple(
        replace(a, values=(1 - share) * a.values + share * b.values)
        for a, b in zip(left.lines, right.lines, strict=True)
    )
    span = left.span
    if span is not None and right.span is not None:
        span = min(span[0], right.span[0]), max(span[1], right.span[1])
    words = f"{left.help} Between two steers worked out: straight lines from one to the other."
    return replace(left, lines=lines, help=words, span=span)
