"""A study read between two of its steers, where no column of it stands."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from app.plots.board import Curve

Array = NDArray[np.float64]
FITTED = 5  # steers a smooth figure is led through
SAME = 1e-6  # mm


@dataclass(frozen=True, eq=False)
class Place:
    """Where a steer stands among the columns of a study.

    left, right : the columns on either side, the same where one stands there. share : how far it
    is from left to right, 0 to 1. near, weights : the columns a smooth figure is led through, and
    what each counts.
    """

    left: int
    right: int
    share: float
    near: NDArray[np.intp]
    weights: Array


def place(racks: Array, rack: float) -> Place:
    """Where a rack position stands among those of a study, all in mm; beyond the ends, at one.

    The weights are those of Lagrange's polynomial through the nearest columns.
    """
    at = min(max(rack, float(racks[0])), float(racks[-1]))
    same = int(np.argmin(np.abs(racks - at)))
    if abs(float(racks[same]) - at) < SAME:
        return Place(same, same, 0.0, np.array([same]), np.ones(1))
    right = int(np.searchsorted(racks, at))
    share = (at - racks[right - 1]) / (racks[right] - racks[right - 1])
    near = np.sort(np.argsort(np.abs(racks - at))[:FITTED])
    stand = racks[near]
    weights = [np.prod([(at - b) / (a - b) for b in stand if b != a]) for a in stand]
    return Place(right - 1, right, float(share), near, np.array(weights))


def smooth(values: Array, at: Place) -> Array:
    """Values (nz, ns) of a smooth figure at a steer: (nz,).

    On a straight line where one of the columns is unknown. For what must never be read too high,
    as a clearance, this is not to be used.
    """
    fitted = values[:, at.near] @ at.weights
    straight = (1 - at.share) * values[:, at.left] + at.share * values[:, at.right]
    return np.asarray(np.where(np.isfinite(fitted), fitted, straight))


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
