"""The direction that centres a bearing: the smallest cap round a set of directions.

The largest angle from an axis p to directions u_i is least where p is the axis of the smallest
circle on the sphere round them: at most three of the u_i lie on it. Found exactly by growing the
supporting set one outlier at a time, as for the smallest enclosing circle (E. Welzl, 1991, and
the family of methods after it; from memory).
"""

from __future__ import annotations

from itertools import combinations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def smallest_cap(directions: Floats) -> tuple[Floats, float]:
    """Axis (3,) and half angle (rad) of the smallest cap holding unit ``directions`` (n, 3).

    Raises ValueError if there are none, or they do not fit in a half sphere.
    """
    u = np.asarray(directions, float).reshape(-1, 3)
    if not len(u):
        raise ValueError("no directions to centre")
    support = u[:1]
    for _ in range(len(u) + 8):
        axis, half = _cap_of_few(support)
        away = _angles(axis, u)
        worst = int(np.argmax(away))
        if half >= np.pi / 2:
            break
        if away[worst] <= half + 1e-12:
            return axis, float(max(half, away[worst]))
        support = _supporting(np.vstack([support, u[worst]]))
    raise ValueError("the directions do not fit in a half sphere")


def _angles(axis: Floats, u: Floats) -> Floats:
    return np.asarray(np.arctan2(np.linalg.norm(np.cross(axis, u), axis=-1), u @ axis))


def _supporting(few: Floats) -> Floats:
    """The fewest of up to four directions whose cap holds them all."""
    best: tuple[float, Floats] | None = None
    for size in (1, 2, 3):
        for chosen in combinations(range(len(few)), size):
            part = few[list(chosen)]
            axis, half = _cap_through(part)
            if np.max(_angles(axis, few)) <= half + 1e-12 and (best is None or half < best[0]):
                best = (half, part)
    if best is None:
        raise ValueError("the directions do not fit in a half sphere")
    return best[1]


def _cap_of_few(few: Floats) -> tuple[Floats, float]:
    return _cap_through(_supporting(few))


def _cap_through(few: Floats) -> tuple[Floats, float]:
    """The smallest cap with one, two or three given directions on its rim."""
    axis = few.sum(axis=0)
    if len(few) == 3:
        flat = np.cross(few[1] - few[0], few[2] - few[0])
        if np.linalg.norm(flat) < 1e-14:  # on one great circle: two of them already span it
            return few[0], np.inf
        axis = flat if flat @ axis >= 0.0 else -flat
    length = np.linalg.norm(axis)
    if length < 1e-12:
        return few[0], np.inf
    axis = axis / length
    return axis, float(np.max(_angles(axis, few)))
