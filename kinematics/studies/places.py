"""What the map of top-mount places comes to: the safe area, its middle and its edges."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy import ndimage

from kinematics.studies.top_map import TopMap

Array = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]


def middle_of(good: Bools) -> tuple[int, int] | None:
    """Row and column in the largest connected area, farthest from its edge; None without one."""
    label, count = ndimage.label(good)
    if count == 0:
        return None
    largest = int(np.argmax(np.bincount(label.ravel())[1:])) + 1
    # Outside the map nothing is known: its edge is an edge.
    depth = ndimage.distance_transform_edt(np.pad(label == largest, 1))[1:-1, 1:-1]
    row, column = np.unravel_index(int(np.argmax(depth)), depth.shape)
    return int(row), int(column)


def rising(plan: TopMap) -> TopMap:
    """The same map with its columns in rising order of y."""
    if len(plan.across) < 2 or plan.across[0] < plan.across[-1]:
        return plan
    return _each(plan, lambda values: values[:, ::-1], across=plan.across[::-1])


def thinned(plan: TopMap, every: int | tuple[int, int]) -> TopMap:
    """The same map at every so many of its rows and columns, the first and the last among them."""
    down, right = (every, every) if isinstance(every, int) else every
    axes = {"across": plan.across[::right], "along": plan.along[::down]}
    return _each(plan, lambda values: values[::down, ::right], **axes)


def _each(
    plan: TopMap, change: Callable[[npt.NDArray[Any]], npt.NDArray[Any]], **axes: Any
) -> TopMap:
    """The map with every array over places changed alike."""
    changed: dict[str, Any] = {
        field.name: change(getattr(plan, field.name))
        for field in fields(plan)
        if getattr(getattr(plan, field.name), "ndim", 0) == 2
    }
    return replace(plan, limits=plan.limits.each(change), **axes, **changed)


def contours(x: Array, y: Array, values: Array, level: float) -> list[Array]:
    """Lines (k, 2) of points (x, y) along which a figure (len(x), len(y)) is at a level.

    Straight between neighbours on the grid (marching squares; a saddle is parted by its mean).
    The higher side lies to the left going along the line. NaN counts as lower.
    """
    raised = np.where(np.isnan(values), -np.inf, values) >= level
    low = np.nanmin(values, initial=level) - 1.0
    figure = np.where(np.isnan(values), low, values)
    joins: dict[tuple[int, int, int], tuple[int, int, int]] = {}
    places: dict[tuple[int, int, int], Array] = {}
    for i in range(len(x) - 1):
        for j in range(len(y) - 1):
            for start, end in _crossings(raised, figure, i, j, level):
                for edge in (start, end):
                    if edge not in places:
                        places[edge] = _on_edge(x, y, figure, edge, level)
                joins[start] = end
    return _chained(joins, places)


def _crossings(
    raised: Bools, figure: Array, i: int, j: int, level: float
) -> list[tuple[tuple[int, int, int], tuple[int, int, int]]]:
    """The stretches of line in one cell, each from one side of it to another."""
    ring = [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)]
    up = [bool(raised[at]) for at in ring]
    # Side k lies between corners k and k + 1 of the ring, which goes round counter-clockwise.
    falls = [k for k in range(4) if up[k] and not up[(k + 1) % 4]]
    rises = [k for k in range(4) if not up[k] and up[(k + 1) % 4]]
    sides = [(0, i, j), (1, i + 1, j), (0, i, j + 1), (1, i, j)]
    if len(falls) == 2:
        mean = float(np.mean([figure[at] for at in ring]))
        order = 1 if mean >= level else 3
        return [(sides[k], sides[(k + order) % 4]) for k in falls]
    return [(sides[a], sides[b]) for a, b in zip(falls, rises, strict=True)]


def _on_edge(x: Array, y: Array, figure: Array, edge: tuple[int, int, int], level: float) -> Array:
    """Where a line crosses an edge of the grid: (0, i, j) along x from (i, j), (1, ..) along y."""
    along_y, i, j = edge
    k, m = (i, j + 1) if along_y else (i + 1, j)
    a, b = float(figure[i, j]), float(figure[k, m])
    share = (level - a) / (b - a)
    return np.array([x[i] + share * (x[k] - x[i]), y[j] + share * (y[m] - y[j])])


def _chained(
    joins: dict[tuple[int, int, int], tuple[int, int, int]],
    places: dict[tuple[int, int, int], Array],
) -> list[Array]:
    """Stretches joined to lines, the open ones first begun where nothing leads to."""
    left = dict(joins)
    ends = set(joins.values())
    lines = []
    for start in [*(s for s in joins if s not in ends), *joins]:
        if start not in left:
            continue
        line = [start]
        while line[-1] in left:
            line.append(left.pop(line[-1]))
        lines.append(np.array([places[edge] for edge in line]))
    return lines
