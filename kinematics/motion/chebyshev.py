"""Chebyshev interpolation: weights that go from values at nodes to values anywhere between.

Nodes are those of the first kind, ``cos(π(k + ½)/count)``, on [-1, 1]. A smooth function's error
falls as ρ^-count, ρ set by how far off the interval its nearest singularity lies; a polynomial's
series is exact, and the sum of its coefficients' sizes bounds it over the whole interval (L. N.
Trefethen, *Approximation Theory and Approximation Practice*, SIAM 2013; from memory).
"""

from __future__ import annotations

from functools import cache, lru_cache

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
    return np.asarray(_from_nodes(count).dot(terms(t, count)))


def terms(t: Array, count: int) -> Array:
    """The Chebyshev polynomials T_0 to T_(count - 1) at ``t`` (k,) in [-1, 1], (count, k).

    By doubling, T_(m + j) = 2 T_m T_j - T_(m - j): a few array operations, and no cosine.
    """
    out = np.empty((count, len(t)))
    out[0], out[1] = 1.0, t
    m = 1
    while m + 1 < count:
        more = min(m, count - 1 - m)
        new = out[m + 1 : m + 1 + more]
        np.multiply(out[1 : more + 1], out[m] + out[m], out=new)
        new -= out[m - more : m][::-1]
        m += more
    return out


@lru_cache(maxsize=256)
def weights_at(t: float, count: int) -> Array:
    """The weights (count, 1) at one place in [-1, 1]: mostly the middle or an end."""
    return weights(np.array([t]), count)


@cache
def _from_nodes(count: int) -> Array:
    return np.ascontiguousarray(series(count).T)


@cache
def between(count: int, more: int) -> Array:
    """The weights from ``count`` nodes to the finer ``more`` nodes."""
    return weights(nodes(more), count)
