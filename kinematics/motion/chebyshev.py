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
    """Matrix (count, k) from values at ``count`` nodes to values at ``t`` (k,) in [-1, 1].

    By powers of t, doubled: a few array operations, and no cosine. That loses a digit for every
    three or four nodes, so it is for a dozen at most.
    """
    powers = np.empty((count, len(t)))
    powers[0], powers[1] = 1.0, t
    done = 2
    while done < count:
        more = min(done - 1, count - done)
        np.multiply(powers[1 : more + 1], powers[done - 1], out=powers[done : done + more])
        done += more
    return np.asarray(_from_nodes(count).dot(powers))


@lru_cache(maxsize=256)
def weights_at(t: float, count: int) -> Array:
    """The weights (count, 1) at one place in [-1, 1]: mostly the middle or an end."""
    return weights(np.array([t]), count)


@cache
def _from_nodes(count: int) -> Array:
    """Matrix (count, count) of the coefficients by powers of the polynomials that are 1 at one
    node and 0 at the others."""
    power = np.zeros((count, count))
    power[0, 0] = power[1, 1] = 1.0
    for k in range(2, count):
        power[k, 1:] = 2.0 * power[k - 1, :-1]
        power[k] -= power[k - 2]
    return np.ascontiguousarray(series(count).T @ power)


@cache
def between(count: int, more: int) -> Array:
    """The weights from ``count`` nodes to the finer ``more`` nodes."""
    angle = np.pi * (np.arange(more) + 0.5) / more
    return np.asarray(series(count).T @ np.cos(np.arange(count)[:, None] * angle))
