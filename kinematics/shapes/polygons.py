"""Flat outlines: cut into triangles, joined into convex facets."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def doubled_area(loop: Floats) -> float:
    """Twice the signed area of a loop (k, 2), anticlockwise positive."""
    (x, y), (after_x, after_y) = loop.T, np.concatenate([loop[1:], loop[:1]]).T
    return float(np.sum(x * after_y - y * after_x))


def turned(loop: Floats, sense: int) -> Floats:
    """The loop made anticlockwise (1) or clockwise (-1)."""
    return loop if doubled_area(loop) * sense > 0 else loop[::-1]


def triangulate(loops: list[Floats]) -> Ints:
    """Triangles (k, 3) of a flat shape: anticlockwise outline first, clockwise holes after.

    Holes are bridged to the outline, then ears are cut (the method of Meisters, 1975).
    """
    flat = np.concatenate(loops)
    starts = np.cumsum([0] + [len(loop) for loop in loops])
    rings = [list(range(first, last)) for first, last in pairwise(starts)]
    edges = np.array([(ring[k - 1], ring[k]) for ring in rings for k in range(len(ring))])
    ring, waiting = rings[0], rings[1:]
    while waiting:
        ring, waiting = _bridged(flat, edges, ring, waiting)
    return np.array(_ears(flat, ring), dtype=np.int64)


def _bridged(
    flat: Floats, edges: Ints, ring: list[int], holes: list[list[int]]
) -> tuple[list[int], list[list[int]]]:
    """The ring with one hole let in by the shortest cut that crosses nothing; the holes left."""
    gaps = np.concatenate(
        [
            np.array(
                [
                    (np.linalg.norm(flat[a] - flat[b]), i, h, j)
                    for i, a in enumerate(ring)
                    for j, b in enumerate(hole)
                ]
            )
            for h, hole in enumerate(holes)
        ]
    )
    for _, *numbers in gaps[np.argsort(gaps[:, 0], kind="stable")]:
        i, h, j = (int(n) for n in numbers)
        at, to = flat[ring[i]], flat[holes[h][j]]
        # A corner already cut to stands in the ring twice: take the one open towards the hole.
        after = flat[ring[(i + 1) % len(ring)]]
        if _opens(flat[ring[i - 1]], at, after, to) and not _crosses(at, to, flat[edges]):
            hole = holes[h]
            return ring[: i + 1] + hole[j:] + hole[: j + 1] + ring[i:], holes[:h] + holes[h + 1 :]
    raise ValueError("the holes of an outline must lie inside it and apart from each other")


def _crosses(a: Floats, b: Floats, edges: Floats) -> bool:
    """True if the open segment a b meets one of the edges (k, 2, 2) away from their ends."""
    way, runs = b - a, edges[:, 1] - edges[:, 0]
    start = edges[:, 0] - a
    turn = way[0] * runs[:, 1] - way[1] * runs[:, 0]
    safe = np.where(np.abs(turn) < 1e-12, np.inf, turn)
    t = (start[:, 0] * runs[:, 1] - start[:, 1] * runs[:, 0]) / safe
    u = (start[:, 0] * way[1] - start[:, 1] * way[0]) / safe
    inside = (t > 1e-9) & (t < 1 - 1e-9) & (u > -1e-9) & (u < 1 + 1e-9)
    return bool(np.any(inside & np.isfinite(safe)))


def _opens(before: Floats, at: Floats, after: Floats, to: Floats) -> bool:
    """True if `to` lies within the corner at `at` of an anticlockwise ring."""
    left, right = _cross(at, after, to) >= 0, _cross(before, at, to) >= 0
    return (left and right) if _cross(before, at, after) > 0 else (left or right)


def _ears(flat: Floats, ring: list[int]) -> list[tuple[int, int, int]]:
    ring, faces = list(ring), []
    while len(ring) > 3:
        size = len(ring)
        for at in range(size):
            a, b, c = ring[at - 1], ring[at], ring[(at + 1) % size]
            if _cross(flat[a], flat[b], flat[c]) > 1e-12 and not any(
                _inside(flat[p], flat[a], flat[b], flat[c]) for p in ring if p not in (a, b, c)
            ):
                break
        else:
            at = min(
                range(size),
                key=lambda k: abs(
                    _cross(flat[ring[k - 1]], flat[ring[k]], flat[ring[(k + 1) % size]])
                ),
            )
            a, b, c = ring[at - 1], ring[at], ring[(at + 1) % size]
        faces.append((a, b, c))
        del ring[at]
    return [*faces, (ring[0], ring[1], ring[2])]


def _cross(a: Floats, b: Floats, c: Floats) -> float:
    return float((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))


def _inside(p: Floats, a: Floats, b: Floats, c: Floats) -> bool:
    if any(np.array_equal(p, corner) for corner in (a, b, c)):
        return False
    return min(_cross(a, b, p), _cross(b, c, p), _cross(c, a, p)) >= -1e-12


def merged(facets: list[list[int]], flat: Floats) -> list[list[int]]:
    """Facets joined across shared edges while they stay convex (Hertel and Mehlhorn, 1983)."""
    facets = [list(f) for f in facets]
    for a in range(len(facets)):
        for b in range(len(facets) - 1, a, -1):
            if (whole := _joined(facets[a], facets[b], flat)) is not None:
                facets[a] = whole
                del facets[b]
                return merged(facets, flat)
    return facets


def _joined(a: list[int], b: list[int], flat: Floats) -> list[int] | None:
    """Two anticlockwise facets as one, or None where they share no edge or are not convex so."""
    for i in range(len(a)):
        p, q = a[i], a[(i + 1) % len(a)]
        for j in range(len(b)):
            if b[j] == q and b[(j + 1) % len(b)] == p:
                whole = [*a[i + 1 :], *a[: i + 1]][:-1] + [*b[j + 1 :], *b[: j + 1]][:-1]
                return whole if _convex(flat[whole]) else None
    return None


def _convex(loop: Floats) -> bool:
    edge = np.roll(loop, -1, axis=0) - loop
    after = np.roll(edge, -1, axis=0)
    return bool(np.all(edge[:, 0] * after[:, 1] - edge[:, 1] * after[:, 0] >= -1e-9))
