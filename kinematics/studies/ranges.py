"""The positions that a study looks at: as asked for, closer together, even about set-up height."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import numpy.typing as npt

from kinematics.errors import ClearstrokeError

Array = npt.NDArray[np.float64]

MOST_TRAVELS = 2000
FINEST = 1.0
"""Positions are checked this close together whatever was asked for, mm: between them the bound on
how far the motion strays from a straight line is then some hundredths of a millimetre."""


def closer(travel: Array) -> Array:
    """The positions with others put between them, none farther than ``FINEST`` from the next."""
    gaps = np.diff(travel)
    if gaps.size == 0:
        return travel
    step = max(FINEST, float(travel[-1] - travel[0]) / MOST_TRAVELS)
    pieces = [
        np.linspace(a, b, max(int(np.ceil((b - a) / step - 0.01)), 1), endpoint=False)
        for a, b in pairwise(travel.tolist())
    ]
    return np.concatenate([*pieces, travel[-1:]])


def rising(values: npt.ArrayLike, what: str) -> Array:
    """A range as asked for, in rising order."""
    given = np.unique(np.asarray(values, dtype=float).ravel())
    if given.size == 0 or not np.isfinite(given).all():
        raise ClearstrokeError(f"The {what} positions asked for should be numbers, at least one.")
    return given


def through_nought(low: float, high: float, count: int) -> Array:
    """So many positions from ``low`` to ``high``, even on either side of 0, 0 among them."""
    if not low < 0 < high:
        return np.linspace(low, high, count)
    below = min(max(round((count - 1) * -low / (high - low)), 1), count - 2)
    down = np.linspace(low, 0.0, below + 1)
    return np.concatenate([down, np.linspace(0.0, high, count - below)[1:]])
