"""Distance of two scans: of their surfaces, since neither need have an inside.

A search over pairs of balls of their two trees, nearest first (S. Quinlan, 'Efficient distance
computation between non-convex objects', 1994), a whole front of pairs at a time; triangles at the
leaves are measured exactly.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from kinematics.clearance.scans import ScanClearance
from kinematics.clearance.triangles import Near, nearest
from kinematics.clearance.winding import inside
from kinematics.shapes.pieces import Mesh
from kinematics.shapes.tree import LEAF, Tree

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

FRONT = 4096
"""Pairs of balls looked at in one step."""
BATCH = 1024
"""Pairs of triangles measured in one step, nearest first."""
CROSSED = -1e-10
"""What surfaces that cross read, mm: less than nought, and how deep can't be told from them."""
ROUNDING = 1e-6
"""By how much rounding may have raised a figure, mm."""
TOLERANCE, CLOSELY = 0.01, 0.01
"""A distance may be less than the nearest pair found by so much, mm, or by this share of it."""
LOOSE = 0.05
"""Share of a far distance that it may be unsure by before it is measured again."""


class Balls(NamedTuple):
    """Of the triangles of a tree: middles (m, 3) and how far from there they reach (m,), mm."""

    middles: Array
    reach: Array


class Posed(NamedTuple):
    """A tree and where it stands: rotation (3, 3), position (3,); its triangles' middles there."""

    tree: Tree
    rotation: Array
    position: Array
    middles: Array
    reach: Array

    def centres(self, nodes: Ints) -> Array:
        """The centres (k, 3) of some balls."""
        return np.asarray(self.tree.centre[nodes] @ self.rotation.T + self.position)

    def triangles(self, numbers: Ints) -> Array:
        """Some triangles (k, 3, 3)."""
        found = self.tree.triangles[numbers].reshape(-1, 3, 3)
        return np.asarray(found @ self.rotation.T + self.position)


def balls(tree: Tree) -> Balls:
    """A ball about every triangle."""
    corners = tree.triangles.reshape(-1, 3, 3)
    middles = 0.5 * (corners.min(axis=1) + corners.max(axis=1))
    return Balls(middles, np.linalg.norm(corners - middles[:, None], axis=2).max(axis=1))


def posed(mesh: Mesh, about: Balls, i: int) -> Posed:
    """A scan at pose i."""
    turn = mesh.rotation[i if len(mesh.rotation) > 1 else 0]
    at = mesh.position[i if len(mesh.position) > 1 else 0]
    return Posed(mesh.surface.tree, turn, at, about.middles @ turn.T + at, about.reach)


def distance(a: Posed, b: Posed, start: tuple[int, int] | None = None) -> Near:
    """The nearest triangles of two surfaces (gap `CROSSED` where they meet) but for a `_slack`.

    start : triangles that were nearest before, from which the search is soon done.
    """
    first, second = (np.array([k]) for k in (start or (0, 0)))
    best = nearest(a.triangles(first), b.triangles(second), first, second)
    waiting = [(np.zeros(1, np.int64), np.zeros(1, np.int64), np.zeros(1))]
    while waiting and best.gap > 0.0:
        one, other, low = waiting.pop()
        kept = low < best.gap - _slack(best.gap)
        one, other = one[kept], other[kept]
        if len(one) > FRONT:
            waiting.append((one[FRONT:], other[FRONT:], low[kept][FRONT:]))
            one, other = one[:FRONT], other[:FRONT]
        leaves = _is_leaf(a.tree, one) & _is_leaf(b.tree, other)
        if leaves.any():
            best = _leaves(a, b, one[leaves], other[leaves], best)
        one, other = _split(a.tree, b.tree, one[~leaves], other[~leaves])
        if len(one) == 0:
            continue
        reach = a.tree.radius[one] + b.tree.radius[other]
        low = np.linalg.norm(a.centres(one) - b.centres(other), axis=1) - reach
        kept = (
            (low < best.gap - _slack(best.gap))
            & (a.tree.radius[one] >= 0.0)
            & (b.tree.radius[other] >= 0.0)
        )
        order = np.argsort(low[kept])
        waiting.append((one[kept][order], other[kept][order], low[kept][order]))
    return best._replace(gap=CROSSED) if best.gap <= 0.0 else best


def _leaves(a: Posed, b: Posed, one: Ints, other: Ints, best: Near) -> Near:
    """The best so far against every triangle of some pairs of leaves."""
    mine, yours = _held(a.tree, one), _held(b.tree, other)
    first = np.repeat(mine, LEAF, axis=1).ravel()
    second = np.tile(yours, (1, LEAF)).ravel()
    real = (first < len(a.tree.triangles)) & (second < len(b.tree.triangles))
    first, second = first[real], second[real]
    low = a.reach[first] + b.reach[second]
    low = np.linalg.norm(a.middles[first] - b.middles[second], axis=1) - low
    near = np.flatnonzero(low < best.gap - _slack(best.gap))
    near = near[np.argsort(low[near])]
    while len(near):
        some, near = near[:BATCH], near[BATCH:]
        one, other = first[some], second[some]
        found = nearest(a.triangles(one), b.triangles(other), one, other)
        best = found if found.gap < best.gap else best
        near = near[low[near] < best.gap - _slack(best.gap)]
    return best


def _held(tree: Tree, leaves: Ints) -> Ints:
    """The triangles (k, LEAF) that leaves hold; past the last one for room left over."""
    start = (leaves - _inner(tree)) * LEAF
    return np.asarray(start[:, None] + np.arange(LEAF))


def _inner(tree: Tree) -> int:
    """How many nodes are not leaves."""
    return (len(tree.radius) - 1) // 2


def _is_leaf(tree: Tree, nodes: Ints) -> npt.NDArray[np.bool_]:
    return np.asarray(nodes >= _inner(tree))


def _split(a: Tree, b: Tree, one: Ints, other: Ints) -> tuple[Ints, Ints]:
    """Each pair once for both halves of its larger ball."""
    mine = ~_is_leaf(a, one) & (_is_leaf(b, other) | (a.radius[one] >= b.radius[other]))
    halves = np.array([1, 2])
    first = np.where(mine[:, None], 2 * one[:, None] + halves, one[:, None])
    second = np.where(mine[:, None], other[:, None], 2 * other[:, None] + halves)
    return first.ravel(), second.ravel()


def surface_clearance(a: Mesh, b: Mesh, grid: tuple[int, int], sagitta: Array) -> ScanClearance:
    """Distance of two scans' surfaces over a grid.

    sagitta : (nz - 1, ns) how far the paths of two points may leave their chords together. Where
    a whole piece of one lies in a closed piece of the other that is an overlap, as deep as their
    surfaces are near at least, and as both are large at most. Positions far apart keep what
    their neighbour says, less the way between them: `high` says how closely.
    """
    nz, ns = grid
    low, high = np.full((nz, ns), np.nan), np.full((nz, ns), np.nan)
    on_a, on_b = np.full((nz, ns, 3), np.nan), np.full((nz, ns, 3), np.nan)
    steps = _steps(a, grid) + _steps(b, grid)
    mine, yours = balls(a.surface.tree), balls(b.surface.tree)
    for js in range(ns):
        before: Near | None = None
        for iz in range(nz):
            here, there = posed(a, mine, iz * ns + js), posed(b, yours, iz * ns + js)
            if not np.isfinite(here.position.sum() + there.position.sum()):
                before = None
                continue
            least = low[iz - 1, js] - steps[iz - 1, js] if before is not None else -np.inf
            found, low[iz, js] = _next(here, there, before, float(least))
            before = found
            on_a[iz, js], on_b[iz, js], high[iz, js] = found.on_a, found.on_b, found.gap
            if found.gap <= 0.0:
                low[iz, js], high[iz, js] = CROSSED, 0.0
            elif _holds(a, b, here, there):
                low[iz, js], high[iz, js] = -(found.gap + _size(a) + _size(b)), -low[iz, js]
    ends = np.minimum(low[1:], low[:-1])
    between = 0.5 * (low[1:] + low[:-1] - steps) - sagitta
    between = np.where(ends < 0.0, np.minimum(between, ends), between)
    return ScanClearance(low, np.where(np.isnan(high), np.inf, high), on_a, on_b, between)


def _next(here: Posed, there: Posed, before: Near | None, least: float) -> tuple[Near, float]:
    """The nearest triangles, and how near any can be at least, mm.

    Where the pair that was nearest before is still as near as any can be, but for a small share,
    that is near enough.
    """
    if before is not None:
        one, other = (np.array([k]) for k in before.pair)
        same = nearest(here.triangles(one), there.triangles(other), one, other)
        if same.gap - least < LOOSE * least:
            return same, least
    found = distance(here, there, None if before is None else before.pair)
    return found, found.gap - _slack(found.gap) - ROUNDING


def _slack(gap: float) -> float:
    """How much nearer than the pair found others may be and not be looked at, mm."""
    return min(max(TOLERANCE, CLOSELY * gap), gap)


def _steps(mesh: Mesh, grid: tuple[int, int]) -> Array:
    """How far at most a point of a scan moves to the next travel sample: (nz - 1, ns) mm.

    That of a corner of its box, since how far a point moves is convex in where it lies.
    """
    nz, ns = grid
    points = mesh.surface.triangles.reshape(-1, 3)
    low, high = points.min(axis=0), points.max(axis=0)
    corners = np.array([[(low, high)[(k >> n) & 1][n] for n in range(3)] for k in range(8)])
    at = np.einsum("nij,kj->nki", mesh.rotation, corners) + mesh.position[:, None]
    at = np.broadcast_to(at, (nz * ns, 8, 3)).reshape(nz, ns, 8, 3)
    return np.asarray(np.linalg.norm(np.diff(at, axis=0), axis=-1).max(axis=-1))


def _size(mesh: Mesh) -> float:
    points = mesh.surface.triangles.reshape(-1, 3)
    return float(np.linalg.norm(points.max(axis=0) - points.min(axis=0)))


def _holds(a: Mesh, b: Mesh, here: Posed, there: Posed) -> bool:
    """Whether a piece of one scan lies within a closed piece of the other."""
    for outer, frame, inner, other in ((a, here, b, there), (b, there, a, here)):
        if not any(outer.surface.closed):
            continue
        corners = _one_of_each(inner)
        seen = (corners @ other.rotation.T + other.position - frame.position) @ frame.rotation
        if inside(outer.surface, seen).any():
            return True
    return False


def _one_of_each(mesh: Mesh) -> Array:
    """A corner of every connected piece, (pieces, 3)."""
    component = mesh.surface.component
    if component is None:
        return mesh.surface.triangles[0, :1]
    _, first = np.unique(component, return_index=True)
    return np.asarray(mesh.surface.triangles[first, 0])
