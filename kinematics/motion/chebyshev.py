"""Chebyshev interpolation: weights that go from values at nodes to values anywhere between.

Nodes are those of the first kind, ``cos(π(k + ½)/count)``, on [-1, 1]. A smooth function's error
falls as ρ^-count, ρ set by how far off the interval its nearest singularity lies; a polynomial's
series is exact, and the sum of its coefficients' sizes bounds it over the whole interval (L. N.
Trefethen, *Approximation Theory and Approximation Practice*, SIAM 2013; from memory).
"""

from __future__ import annotations

from functools import cache

import numpy as np

from kinematics.frames import Array


@cache
def nodes(count: int) -> Array:
    """The nodes (count,), falling from near 1 to near -1."""
    return np.asarray(np.cos(np.pi * (np.arange(count) + 0.5) / count))


@cache
def series(count: int) -> Array:
    """Matrix (count, count) from values at the nodes to the coefficients of the series."""
    angle = np.pi * (np.arange(count) + 0.5) / count
    out = np.cos(np.arange(count)[:, None] * angle) * (2.0 / count)
    out[0] *= 0.5
    return np.asarray(out)


def weights(t: Array, count: int) -> Array:
    """Matrix (count, k) from values at ``count`` nodes to values at ``t`` (k,) in [-1, 1]."""
    angle = np.arccos(np.minimum(np.maximum(t, -1.0), 1.0))
    return np.asarray(series(count).T @ np.cos(np.arange(count)[:, None] * angle))


@cache
def between(count: int, more: int) -> Array:
    """The weights from ``count`` nodes to the finer ``more`` nodes."""
    return weights(nodes(more), count)
