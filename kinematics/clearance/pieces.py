"""Clearance of two pieces, pose by pose."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from kinematics.clearance.parts import clearances
from kinematics.shapes.pieces import Part, Piece, poses

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Distance:
    """Signed clearance per pose (n,), mm; negative is overlap; NaN where a pose is unknown.

    The true value lies in [low, low + bound]. point_a, point_b : (n, 3) on the two surfaces, that
    far apart; where the pieces overlap, the deepest point and the nearest surface point.
    """

    low: Array
    bound: Array
    point_a: Array
    point_b: Array


def distance(piece_a: Piece, piece_b: Piece, tol: float = 0.02) -> Distance:
    """Signed clearance of two pieces at every pose they are given at (see `Distance`).

    tol : greatest calculation error, mm. Sources of the method: see kernel.
    """
    n = max(poses(piece_a), poses(piece_b))
    parts = Part("a", "a", "", (piece_a,)), Part("b", "b", "", (piece_b,))
    # All poses side by side, as rack positions: nothing is asked of the motion between them.
    found = clearances(parts, [(0, 1)], (1, n), tol, threads=1)
    return Distance(
        low=found.low[0, 0],
        bound=found.bound[0, 0],
        point_a=found.point_a[0, 0],
        point_b=found.point_b[0, 0],
    )
