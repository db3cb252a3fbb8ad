"""Triangle meshes and the few ways to make one: turning, sweeping, extruding.

Every maker returns closed, welded components wound outward. Meshes may be put together from
components that run into each other; each stays closed by itself. Meshes are never written to, so
that those that are dear to make are remembered.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache, wraps
from math import acos, ceil, pi
from typing import Any, ParamSpec

import numpy as np
from numpy.typing import ArrayLike

from kinematics.shapes.directions import frame
from kinematics.shapes.polygons import Floats, Ints, doubled_area, triangulate, turned

Given = ParamSpec("Given")
KEPT = 64  # meshes of each maker: half as many again as one corner has


@dataclass(frozen=True, slots=True)
class Mesh:
    """Triangles in a local frame.

    vertices : (m, 3) mm. faces : (k, 3) vertex numbers, anticlockwise seen from outside.
    along : (m,) share of the stretch added to each vertex's local z.
    """

    vertices: Floats
    faces: Ints
    along: Floats

    def moved(self, origin: ArrayLike = (0, 0, 0), rotation: ArrayLike | None = None) -> Mesh:
        """The mesh turned by `rotation` (3, 3), then shifted by `origin`; mirrors rewound."""
        turn = np.eye(3) if rotation is None else np.asarray(rotation, float)
        faces = self.faces if np.linalg.det(turn) > 0 else self.faces[:, ::-1]
        return Mesh(self.vertices @ turn.T + np.asarray(origin, float), faces, self.along)


def mesh(vertices: ArrayLike, faces: ArrayLike) -> Mesh:
    """A mesh that does not stretch."""
    points = np.asarray(vertices, float).reshape(-1, 3)
    return Mesh(points, np.asarray(faces, np.int64).reshape(-1, 3), np.zeros(len(points)))


def join(*parts: Mesh) -> Mesh:
    """Several meshes as one."""
    starts = np.cumsum([0] + [len(p.vertices) for p in parts])
    return Mesh(
        np.concatenate([p.vertices for p in parts]),
        np.concatenate([p.faces + start for p, start in zip(parts, starts[:-1], strict=True)]),
        np.concatenate([p.along for p in parts]),
    )


@dataclass(frozen=True)
class _Call:
    """What a maker is asked for; two calls are one where all that is in their arrays is alike."""

    key: object
    args: tuple[Any, ...] = field(compare=False)
    named: dict[str, Any] = field(compare=False)


def _remembered(maker: Callable[Given, Mesh]) -> Callable[Given, Mesh]:
    """A maker that makes what it was lately asked for no second time: most parts stay as they are
    while one is pulled about."""

    @lru_cache(maxsize=KEPT)
    def known(call: _Call) -> Mesh:
        return maker(*call.args, **call.named)

    @wraps(maker)
    def made(*args: Given.args, **named: Given.kwargs) -> Mesh:
        return known(_Call(_key((args, tuple(named.items()))), args, named))

    return made


def _key(value: Any) -> object:
    """What may stand for a value in a table: arrays by what is in them."""
    if isinstance(value, np.ndarray):
        return value.shape, value.dtype.str, value.tobytes()
    return tuple(map(_key, value)) if isinstance(value, list | tuple) else value


@_remembered
def revolve(outline: ArrayLike, segments: int, turns: Floats | None = None) -> Mesh:
    """A closed outline (k, 2) of (r, z) turned about local z.

    An outline may also differ by segment: (segments, k, 2), and stand at `turns` (segments,)
    rad instead of evenly. Points on the axis are shared.
    """
    loops = np.asarray(outline, float)
    if loops.ndim == 2:
        loops = np.broadcast_to(loops, (segments, *loops.shape))
    if doubled_area(loops[0]) < 0:
        loops = loops[:, ::-1]
    count = loops.shape[1]
    on_axis = np.all(loops[:, :, 0] < 1e-9, axis=0)
    even = 2 * np.pi * np.arange(segments) / segments
    angle = (even if turns is None else turns)[:, None]
    radius, height = loops[:, :, 0], loops[:, :, 1]
    points = np.stack([radius * np.cos(angle), radius * np.sin(angle), height], axis=-1)
    number = np.arange(segments * count).reshape(segments, count)
    number[:, on_axis] = number[0, on_axis]
    after = np.roll(number, -1, axis=0)
    a, b = number, np.roll(number, -1, axis=1)
    c, d = np.roll(after, -1, axis=1), after
    quads = np.stack([a, d, c, b], axis=-1).reshape(-1, 4)
    return _welded(points.reshape(-1, 3), _split(quads))


def sides(radius: float, within: float, least: int) -> int:
    """How many flat sides keep `within` mm of a round of that radius; `least` at least."""
    share = min(within / radius, 1.0) if radius > 0.0 else 1.0
    return max(least, ceil(pi / acos(1.0 - share) - 1e-9))


@lru_cache(maxsize=128)
def cylinder(radius: float, low: float, high: float, segments: int = 24) -> Mesh:
    """A solid cylinder about local z with flat ends."""
    return revolve([(0, low), (radius, low), (radius, high), (0, high)], segments)


@lru_cache(maxsize=32)
def ball(radius: float, sides: int = 16, rings: int = 9) -> Mesh:
    """A sphere about the origin."""
    turn = np.linspace(-np.pi / 2, np.pi / 2, rings)
    outline = np.stack([np.cos(turn), np.sin(turn)], axis=1) * radius
    outline[[0, -1], 0] = 0.0
    return revolve(outline, sides)


@_remembered
def sweep(path: ArrayLike, radius: float, sides: int = 14, rounded: bool = True) -> Mesh:
    """A round tube along a path (k, 3), a ball of its own radius at each bend.

    `rounded` ends are half balls, as a `Rod` has them; otherwise the ends are flat.
    """
    points = np.asarray(path, float)
    run = np.diff(points, axis=0)
    ways = run / np.linalg.norm(run, axis=1, keepdims=True)
    centres, normals = [points[0]], [ways[0]]
    for at, before, after in zip(points[1:-1], ways[:-1], ways[1:], strict=True):
        bend = float(np.arccos(np.clip(before @ after, -1.0, 1.0)))
        steps = max(1, int(np.ceil(bend / 0.45)))
        for share in np.linspace(0.0, 1.0, steps + 1) if bend > 1e-6 else ():
            way = (1 - share) * before + share * after
            centres.append(at)
            normals.append(way / np.linalg.norm(way))
    centres.append(points[-1])
    normals.append(ways[-1])
    radii = [radius] * len(centres)
    if rounded:
        # Rings of the half balls, as fine as the tube's sides: at least two, 30° apart.
        rise = np.pi / 2 / max(3, ceil(sides / 4 - 0.6))
        for turn in np.arange(rise, np.pi / 2 - 1e-9, rise):
            lift, flat = float(np.sin(turn)), float(np.cos(turn)) * radius
            centres = [points[0] - lift * radius * ways[0], *centres]
            centres.append(points[-1] + lift * radius * ways[-1])
            normals = [ways[0], *normals, ways[-1]]
            radii = [flat, *radii, flat]
    reach = radius if rounded else 0.0
    tips = (points[0] - reach * ways[0], points[-1] + reach * ways[-1])
    return _skin(np.array(centres), np.array(normals), np.array(radii), sides, tips)


def coil(centre: Floats, share: Floats, radius: float, sides: int) -> Mesh:
    """Round wire along a centre line (k, 3); `share` (k,) is each section's stretch share."""
    way = np.gradient(centre, axis=0)
    way /= np.linalg.norm(way, axis=1, keepdims=True)
    sizes = np.full(len(centre), radius)
    made = _skin(centre, way, sizes, sides, (centre[0], centre[-1]), staggered=True)
    along = np.concatenate([np.repeat(share, sides), share[[0, -1]]])
    return Mesh(made.vertices, made.faces, along)


@_remembered
def extrude(outline: ArrayLike, low: float, high: float, holes: tuple[Floats, ...] = ()) -> Mesh:
    """A flat outline (k, 2), with holes, between two heights of local z."""
    loops = [turned(np.asarray(outline, float), 1)]
    loops += [turned(np.asarray(hole, float), -1) for hole in holes]
    flat = np.concatenate(loops)
    count = len(flat)
    faces = triangulate(loops)
    points = np.concatenate([np.column_stack([flat, np.full(count, z)]) for z in (low, high)])
    walls, start = [], 0
    for loop in loops:
        a = start + np.arange(len(loop))
        b = start + np.roll(np.arange(len(loop)), -1)
        walls.append(np.stack([a, b, b + count, a + count], axis=1))
        start += len(loop)
    return mesh(
        points, np.concatenate([faces[:, ::-1], faces + count, _split(np.concatenate(walls))])
    )


def loft(stations: Floats) -> Mesh:
    """Closed loops (n, k, 3) joined in order, flat ends; anticlockwise seen from the last."""
    count, size, _ = stations.shape
    number = np.arange(count * size).reshape(count, size)
    low, high = number[:-1], number[1:]
    quads = np.stack([low, np.roll(low, -1, 1), np.roll(high, -1, 1), high], -1).reshape(-1, 4)
    fan = np.array([(0, k, k + 1) for k in range(1, size - 1)])
    faces = [quads[:, [0, 1, 2]], quads[:, [0, 2, 3]], number[0][fan][:, ::-1], number[-1][fan]]
    return mesh(stations.reshape(-1, 3), np.concatenate(faces))


def box(least: ArrayLike, most: ArrayLike) -> Mesh:
    """A box square to the axes."""
    (x0, y0, z0), (x1, y1, z1) = np.asarray(least, float), np.asarray(most, float)
    return extrude([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], float(z0), float(z1))


def circle(radius: float, segments: int, centre: tuple[float, ...] = (0.0, 0.0)) -> Floats:
    """Corners (k, 2) of a regular polygon inside a circle."""
    turn = 2 * np.pi * np.arange(segments) / segments
    return np.column_stack([np.cos(turn), np.sin(turn)]) * radius + centre


def _skin(
    centres: Floats,
    ways: Floats,
    radii: Floats,
    sides: int,
    tips: tuple[Floats, Floats],
    staggered: bool = False,
) -> Mesh:
    """Rings about `centres` square to `ways`, joined up, with a point at either end.

    `staggered` turns every other ring by half a side: the faces then bend by half as much from
    one to the next, so that few sides look round.
    """
    across = np.empty_like(ways)
    across[0] = frame(ways[0])[:, 0]
    for k in range(1, len(ways)):
        # Carrying the last direction over without twist keeps the seam straight.
        level = across[k - 1] - (across[k - 1] @ ways[k]) * ways[k]
        across[k] = level / np.linalg.norm(level)
    other = np.cross(ways, across)
    odd = np.arange(len(centres)) % 2 * (1 if staggered else 0)
    turn = 2 * np.pi * (np.arange(sides)[None] + 0.5 * odd[:, None]) / sides
    spokes = across[:, None] * np.cos(turn)[..., None] + other[:, None] * np.sin(turn)[..., None]
    points = centres[:, None] + radii[:, None, None] * spokes
    number = np.arange(len(centres) * sides).reshape(-1, sides)
    low, high = number[:-1], number[1:]
    low_next, high_next = np.roll(low, -1, axis=1), np.roll(high, -1, axis=1)
    tilted = odd[:-1, None] == 1
    first = np.stack([low, low_next, np.where(tilted, high_next, high)], axis=-1)
    last = np.stack([np.where(tilted, low, low_next), high_next, high], axis=-1)
    tip = number.size
    start = np.stack([np.full(sides, tip), np.roll(number[0], -1), number[0]], axis=1)
    end = np.stack([np.full(sides, tip + 1), number[-1], np.roll(number[-1], -1)], axis=1)
    return mesh(
        np.concatenate([points.reshape(-1, 3), np.array(tips)]),
        np.concatenate([start, first.reshape(-1, 3), last.reshape(-1, 3), end]),
    )


def _split(quads: Ints) -> Ints:
    return np.concatenate([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])


def _welded(points: Floats, faces: Ints) -> Mesh:
    """The mesh without triangles that have two corners in one, and without unused points."""
    real = (
        (faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])
    )
    used, numbers = np.unique(faces[real], return_inverse=True)
    return mesh(points[used], numbers.reshape(-1, 3))
