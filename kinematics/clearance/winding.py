"""Which points lie inside a closed scan, many at once, however fine it is.

A point's winding number is the sum of the solid angles of the triangles over 4 pi (1 inside, 0
outside). Far triangles count together, as one patch at their middle (G. Barill et al., 'Fast
winding numbers for soups and clouds', 2018, of first order); near ones by themselves (A. van
Oosterom and J. Strackee, 'The solid angle of a plane triangle', 1983).
"""

from __future__ import annotations

from typing import NamedTuple
from weakref import WeakKeyDictionary

import numpy as np
import numpy.typing as npt

from kinematics.shapes.pieces import Surface
from kinematics.shapes.tree import LEAF

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

FAR = 3.0
"""Triangles count together from so many times as far off as they reach."""
DOUBT = 0.2
"""A winding number so near to a half is worked out anew from every triangle."""


class _Patches(NamedTuple):
    """Of every ball of the tree: area vector (nodes, 3), mm^2, middle (nodes, 3), reach (nodes,)
    of what is closed below it."""

    area: Array
    middle: Array
    reach: Array
    triangles: Array  # (leaves * LEAF, 3, 3), those of open pieces and past the last one a point


_patches: WeakKeyDictionary[Surface, _Patches] = WeakKeyDictionary()


def inside(surface: Surface, points: Array) -> Bools:
    """Whether points (n, 3) in the scan's coordinates lie inside a closed component of it."""
    if not any(surface.closed):
        return np.zeros(len(points), dtype=bool)
    number = _winding(_patches_of(surface), points)
    found = np.abs(number) > 0.5
    for k in np.flatnonzero(np.abs(np.abs(number) - 0.5) < DOUBT):
        found[k] = holds(surface, points[k])
    return found


def _winding(patches: _Patches, points: Array) -> Array:
    """The winding number of every point, (n,)."""
    total = np.zeros(len(points))
    who, node = np.arange(len(points)), np.zeros(len(points), np.int64)
    inner = (len(patches.reach) - 1) // 2
    while len(who):
        way = patches.middle[node] - points[who]
        square = np.einsum("ij,ij->i", way, way)
        far = square > (FAR * patches.reach[node]) ** 2
        angle = np.einsum("ij,ij->i", patches.area[node[far]], way[far]) / square[far] ** 1.5
        np.add.at(total, who[far], angle)
        leaf = ~far & (node >= inner)
        held = (node[leaf] - inner)[:, None] * LEAF + np.arange(LEAF)
        np.add.at(total, who[leaf], _angles(patches.triangles[held], points[who[leaf]]))
        more = ~far & ~leaf
        who = np.repeat(who[more], 2)
        node = (2 * node[more][:, None] + [1, 2]).ravel()
    return total / (4.0 * np.pi)


def _angles(triangles: Array, points: Array) -> Array:
    """The solid angles (n,) of LEAF triangles each (n, LEAF, 3, 3) seen from points (n, 3)."""
    a, b, c = np.moveaxis(triangles - points[:, None, None], 2, 0)
    la, lb, lc = (np.linalg.norm(v, axis=-1) for v in (a, b, c))
    volume = np.sum(a * np.cross(b, c), axis=-1)
    base = la * lb * lc + np.sum(a * b, axis=-1) * lc + np.sum(b * c, axis=-1) * la
    base += np.sum(c * a, axis=-1) * lb
    return np.asarray(2.0 * np.arctan2(volume, base).sum(axis=1))


def _patches_of(surface: Surface) -> _Patches:
    if surface not in _patches:
        _patches[surface] = _gathered(surface)
    return _patches[surface]


def _gathered(surface: Surface) -> _Patches:
    tree = surface.tree
    leaves = (len(tree.radius) + 1) // 2
    triangles = np.zeros((leaves * LEAF, 3, 3))
    count = len(tree.triangles)
    triangles[:count] = tree.triangles.reshape(-1, 3, 3)
    triangles[count:] = triangles[count - 1, :1]
    if surface.component is not None:
        closed = np.array(surface.closed)[surface.component[tree.order]]
        triangles[:count][~closed] = triangles[:count][~closed][:, :1]
    a, b, c = np.moveaxis(triangles, 1, 0)
    area = 0.5 * np.cross(b - a, c - a)
    weight = np.linalg.norm(area, axis=1)
    middle = triangles.mean(axis=1) * weight[:, None]
    area, middle = (v.reshape(leaves, LEAF, 3).sum(axis=1) for v in (area, middle))
    weight = weight.reshape(leaves, LEAF).sum(axis=1)
    levels = [(area, middle, weight)]
    while len(levels[-1][0]) > 1:
        area, middle, weight = (v.reshape(-1, 2, *v.shape[1:]).sum(axis=1) for v in levels[-1])
        levels.append((area, middle, weight))
    area, middle, weight = (np.concatenate(v) for v in zip(*levels[::-1], strict=True))
    known = weight > 0.0
    at = np.where(known[:, None], middle / np.where(known, weight, 1.0)[:, None], tree.centre)
    reach = np.maximum(tree.radius, 0.0) + np.linalg.norm(at - tree.centre, axis=1)
    return _Patches(area, at, np.where(known, reach, 0.0), triangles)


_closed: WeakKeyDictionary[Surface, list[tuple[Array, Array, Array]]] = WeakKeyDictionary()


def _closed_of(surface: Surface) -> list[tuple[Array, Array, Array]]:
    """The triangles of every closed component, and the least and the most corner of its box."""
    if surface not in _closed:
        every, component = surface.triangles, surface.component
        parts = [
            every if component is None else every[component == k]
            for k, closed in enumerate(surface.closed)
            if closed
        ]
        _closed[surface] = [(t, t.min(axis=(0, 1)), t.max(axis=(0, 1))) for t in parts]
    return _closed[surface]


def holds(surface: Surface, point: Array) -> bool:
    """Whether a point lies inside any closed component: its winding number (van Oosterom and
    Strackee 1983 for the solid angle of a triangle) is not 0."""
    for triangles, low, high in _closed_of(surface):
        if np.any(point < low) or np.any(point > high):
            continue
        a, b, c = np.moveaxis(triangles - point, 1, 0)
        la, lb, lc = (np.linalg.norm(v, axis=1) for v in (a, b, c))
        volume = np.einsum("ij,ij->i", a, np.cross(b, c))
        base = la * lb * lc
        base += np.einsum("ij,ij->i", a, b) * lc + np.einsum("ij,ij->i", b, c) * la
        base += np.einsum("ij,ij->i", c, a) * lb
        winding = np.sum(np.arctan2(volume, base)) / (2.0 * np.pi)
        if abs(winding) > 0.5:
            return True
    return False
