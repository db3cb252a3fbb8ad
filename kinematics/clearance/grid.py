"""Many places of what slides, what is looked at in each, and how parts are given there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from kinematics.shapes.pieces import Piece

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

STILL, MOVING, PLACED, SHIFTED = range(4)
"""How pieces are given: at one pose; by row of a motion; for every place and sample, places
slowest; at one pose, shifted with the place."""


@dataclass(frozen=True, eq=False)
class Placing:
    """Pieces of one part and how they are given. at : the one place they are for, -1 for all."""

    part: int
    pieces: tuple[Piece, ...]
    mode: int
    at: int = -1


@dataclass(frozen=True, eq=False)
class Grid:
    """Places in rows and columns, and what is looked at in each.

    shape : rows and columns. rows (places, samples) : the motion's row at each. valid : whether the
    sample counts there; places without any are left out. shift (places, 3) : how far shifted pieces
    are from where they are given, mm.
    """

    shape: tuple[int, int]
    rows: Ints
    valid: Bools
    shift: Array


@dataclass(frozen=True, eq=False)
class Worst:
    """The lowest figure (places,), mm, and the pair and sample it is met at (-1: none)."""

    value: Array
    pair: Ints
    sample: Ints


def unknown(places: int) -> Worst:
    """Nothing known of any place."""
    return Worst(np.full(places, np.nan), np.full(places, -1), np.full(places, -1))
