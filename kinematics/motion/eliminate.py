"""Linear equations for many poses at once, the batch axis last.

Elimination is written over arrays: each step of the textbook algorithm runs for all poses in one
numpy call. Rows come in the order that needed no exchange at set-up height, so none is made here;
the caller checks the answer and sends the poses where that failed to ``solve_pivoting``.
"""

from __future__ import annotations

import numpy as np

from kinematics.frames import Array

FEW = 128
"""Below this many poses LAPACK's own loop is quicker than elimination over arrays."""


def solve(matrix: Array, right: Array) -> Array:
    """Solve (m, m, n) for right-hand sides (m, k, n); both may be overwritten.

    A singular matrix gives inf or NaN, not an exception.
    """
    m, _, n = matrix.shape
    if n < FEW:
        return solve_pivoting(matrix, right)
    with np.errstate(all="ignore"):
        for i in range(m - 1):
            factor = matrix[i + 1 :, i] / matrix[i, i]
            matrix[i + 1 :, i + 1 :] -= factor[:, None] * matrix[i, i + 1 :]
            right[i + 1 :] -= factor[:, None] * right[i]
        for i in range(m - 1, -1, -1):
            right[i] /= matrix[i, i]
            if i:
                right[:i] -= matrix[:i, i, None] * right[i]
    return right


def solve_pivoting(matrix: Array, right: Array) -> Array:
    """The same with row exchanges for every pose, by LAPACK."""
    a, b = matrix.transpose(2, 0, 1), right.transpose(2, 0, 1)
    try:
        return np.asarray(np.linalg.solve(a, b)).transpose(1, 2, 0)
    except np.linalg.LinAlgError:
        return _one_by_one(a, b).transpose(1, 2, 0)


def _one_by_one(a: Array, b: Array) -> Array:
    """Each pose on its own, NaN where it is exactly singular."""
    out = np.full(b.shape, np.nan, dtype=b.dtype)
    for i in range(len(a)):
        try:
            out[i] = np.linalg.solve(a[i], b[i])
        except np.linalg.LinAlgError:
            continue
    return out
