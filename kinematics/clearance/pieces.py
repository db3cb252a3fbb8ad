"""Clearance of two pieces, pose by pose."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from kinematics.clearance.pack import pack
from kinematics.shapes.pieces import Piece, poses

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

    tol : greatest calculation error, mm. Sources of the method: see kernel.py.
    """
    from kinematics.clearance import kernel

    n = max(poses(piece_a), poses(piece_b))
    packed = pack((piece_a, piece_b), n)
    results = np.full((n, 8), np.nan)
    directions = np.full((n, 3), np.nan)
    origin = packed.middle[0]
    kernel.run_pieces(
        packed.data, packed.meta, packed.fixed, packed.blank, 0, 1, n, float(tol), origin,
        results, directions,
    )  # fmt: skip
    return Distance(
        low=results[:, 0],
        bound=results[:, 1] - results[:, 0],
        point_a=results[:, 2:5] + origin,
        point_b=results[:, 5:8] + origin,
    )
