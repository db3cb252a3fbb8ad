"""Which faces can come near a place, by which sides of it their corners lie on.

A face all of whose corners lie beyond the same side of a box doesn't come into it. That takes a
few bits a corner, and leaves so few faces that they can be looked at as they are.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def beyond(points: NDArray, low: NDArray, high: NDArray) -> NDArray[np.uint8]:
    """Beyond which sides of a box points lie, a bit for each side. (n,)

    points (d, n): coordinate by coordinate, up to four.
    """
    code = np.zeros(points.shape[1], np.uint8)
    for k, column in enumerate(points):
        code |= (column < low[k]).view(np.uint8) << np.uint8(2 * k)
        code |= (column > high[k]).view(np.uint8) << np.uint8(2 * k + 1)
    return code


def may_meet(code: NDArray[np.uint8], faces: NDArray) -> NDArray[np.intp]:
    """The faces (m, c), by corners, not wholly beyond one side of the box: their numbers."""
    out = code.take(faces[:, 0])
    for corner in faces.T[1:]:
        out &= code.take(corner)
    return np.flatnonzero(out == 0)
