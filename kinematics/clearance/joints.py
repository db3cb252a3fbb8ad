"""Pairs that are joined: what lies inside a ball about the joint is left out, the rest is checked.

Each piece is cut by planes into convex pieces that cover all of it outside the ball. They may keep
a little from inside (a rod is cut square, where the ball still holds its whole cross-section; a
plate along the sides of a polygon drawn in the ball's circle), never the other way round: nothing
outside the ball goes unchecked. Where to cut is settled once for all poses, since a joint does not
move in the parts it joins.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from weakref import WeakKeyDictionary

import numpy as np
import numpy.typing as npt

from kinematics.shapes.pieces import Block, Mesh, Part, Piece, Ring, Rod, Sheet, poses
from kinematics.shapes.profile import Profile, rectangle

Array = npt.NDArray[np.float64]

_SIDES = 12  # of the polygon drawn in a ball's circle
_CUTS = 64  # kept of a part
_HALVES = 512  # kept of a block


@dataclass(frozen=True, eq=False)
class Joint:
    """Two parts joined at a point: names or indices as in `clearances`.

    centre : (n, 3) over poses, or (1, 3) or (3,); radius of the ball left out, mm.
    """

    part_a: int
    part_b: int
    centre: Array
    radius: float


# A part that stands still is the same object from one motion to the next: it is cut once. None
# stands for a part that nothing is cut from: held here by itself it would never be let go.
_still: WeakKeyDictionary[Part, dict[tuple[object, ...], Part | None]] = WeakKeyDictionary()


def trimmed(part: Part, balls: Sequence[tuple[Array, float]]) -> Part:
    """The part with what lies inside the balls (centre (n, 3), radius) cut away; may be empty."""
    if any(poses(piece) > 1 for piece in part.pieces) or any(c.size > 3 for c, _ in balls):
        return _trimmed(part, balls)
    cuts = _still.setdefault(part, {})
    key = tuple((centre.tobytes(), radius) for centre, radius in balls)
    if key not in cuts:
        if len(cuts) >= _CUTS:
            cuts.clear()
        made = _trimmed(part, balls)
        cuts[key] = None if made is part else made
    return cuts[key] or part


def _trimmed(part: Part, balls: Sequence[tuple[Array, float]]) -> Part:
    pieces = list(part.pieces)
    sagitta = list(part.sagitta) if part.sagitta else [0.0] * len(pieces)
    for centre, radius in balls:
        at = np.atleast_2d(centre)
        kept = [_outside(piece, at, radius) for piece in pieces]
        sagitta = [s for s, new in zip(sagitta, kept, strict=True) for _ in new]
        pieces = [p for new in kept for p in new]
    if len(pieces) == len(part.pieces) and all(map(operator.is_, pieces, part.pieces)):
        return part
    return replace(part, pieces=tuple(pieces), sagitta=tuple(sagitta))


def _outside(piece: Piece, centre: Array, radius: float) -> list[Piece]:
    if isinstance(piece, Mesh):  # a scan is measured whole
        return [piece]
    if isinstance(piece, Rod):
        return _rod_outside(piece, centre, radius)
    if isinstance(piece, Ring):
        return _ring_outside(piece, centre, radius)
    if isinstance(piece, Sheet):
        return _sheet_outside(piece, centre, radius)
    return _block_outside(piece, centre, radius)


def _rod_outside(rod: Rod, centre: Array, radius: float) -> list[Piece]:
    if len(rod.ends) == 1 and len(centre) == 1 and rod.ends[0, 0, 0] == rod.ends[0, 0, 0]:
        return _rod_once(rod, centre, radius)
    start, end = rod.ends[:, 0], rod.ends[:, 1]
    length = np.linalg.norm(end - start, axis=1)
    axis = (end - start) / np.where(length > 0.0, length, 1.0)[:, None]
    along, off = _axial(centre, start, axis)
    across = off + rod.radius
    if not np.all((across < radius) | np.isnan(across)):
        return [rod]
    reach = np.sqrt(radius**2 - across**2)
    before = np.clip(along - reach, 0.0, length)
    after = np.clip(length - along - reach, 0.0, length)
    out: list[Piece] = []
    for free, at, direction in ((before, start, axis), (after, end, -axis)):
        cap = np.linalg.norm(at - centre, axis=1) + rod.radius
        if _most(cap) > radius:
            out.append(Rod(np.repeat(at[:, None, :], 2, axis=1), rod.radius))
        if _most(free) > 0.0 and rod.radius > 0.0:
            span = np.broadcast_to(free, len(at))
            flat = _unit_cylinder(rod.radius)
            out.append(Ring(at, _unit(direction), flat, np.ascontiguousarray(span) - 1.0))
        elif _most(free) > 0.0:
            far = at + direction * free[:, None]
            out.append(Rod(np.stack([at, far], axis=1), 0.0))
    return out


def _rod_once(rod: Rod, centre: Array, radius: float) -> list[Piece]:
    """`_rod_outside` at a single position, in plain numbers: asked for while a wheel is dragged."""
    start, end = rod.ends[0].tolist()
    middle = centre[0].tolist()
    length = math.dist(start, end)
    if not length > 0.0:
        return [rod]
    axis = [(end[i] - start[i]) / length for i in (0, 1, 2)]
    along, across = _along(middle, start, axis)
    across += rod.radius
    if not across < radius:
        return [rod]
    reach = math.sqrt(radius**2 - across**2)
    before = min(max(along - reach, 0.0), length)
    after = min(max(length - along - reach, 0.0), length)
    out: list[Piece] = []
    for free, at, sign in ((before, start, 1.0), (after, end, -1.0)):
        if math.dist(at, middle) + rod.radius > radius:
            out.append(Rod(np.array([[at, at]]), rod.radius))
        if free > 0.0 and rod.radius > 0.0:
            direction = np.array([[sign * u for u in axis]])
            flat = _unit_cylinder(rod.radius)
            out.append(Ring(np.array([at]), direction, flat, np.array([free - 1.0])))
        elif free > 0.0:
            far = [p + sign * free * u for p, u in zip(at, axis, strict=True)]
            out.append(Rod(np.array([[at, far]]), 0.0))
    return out


def _ring_outside(ring: Ring, centre: Array, radius: float) -> list[Piece]:
    """Cut square to the axis; what is left is covered by plain cylinders."""
    if ring.hollow:
        return [ring]
    if len(ring.centre) == 1 and len(centre) == 1:
        return _ring_once(ring, centre, radius)
    along, off = _axial(centre, ring.centre, ring.axis)
    across = off + ring.profile.r_max
    if not np.all((across < radius) | np.isnan(across)):
        return [ring]
    reach = np.sqrt(radius**2 - across**2)
    stretch = np.zeros(1) if ring.stretch is None else ring.stretch
    low, high = ring.profile.y_min, ring.profile.y_max + stretch
    whole = high - low
    before = np.clip(along - reach - low, 0.0, whole)
    after = np.clip(high - along - reach, 0.0, whole)
    if not np.any(before + after < whole):  # the ball lies past either end
        return [ring]
    flat = _unit_cylinder(ring.profile.r_max)
    out: list[Piece] = []
    for start, length in ((np.full(1, low), before), (high - after, after)):
        if _most(length) > 0.0:
            at = ring.centre + ring.axis * start[:, None]
            axis = np.broadcast_to(ring.axis, at.shape)
            span = np.broadcast_to(length, len(at))
            out.append(Ring(at, axis, flat, np.ascontiguousarray(span) - 1.0))
    return out


def _along(point: list[float], start: list[float], axis: list[float]) -> tuple[float, float]:
    """Distance along an axis and off it, as `_axial`."""
    x, y, z = point[0] - start[0], point[1] - start[1], point[2] - start[2]
    along = x * axis[0] + y * axis[1] + z * axis[2]
    off = math.hypot(x - along * axis[0], y - along * axis[1], z - along * axis[2])
    return along, off


def _ring_once(ring: Ring, centre: Array, radius: float) -> list[Piece]:
    """`_ring_outside` at a single position, in plain numbers."""
    axis = ring.axis[0].tolist()
    along, off = _along(centre[0].tolist(), ring.centre[0].tolist(), axis)
    across = off + ring.profile.r_max
    if not across < radius:
        return [ring]
    reach = math.sqrt(radius**2 - across**2)
    low = ring.profile.y_min
    high = ring.profile.y_max + (0.0 if ring.stretch is None else float(ring.stretch[0]))
    before = min(max(along - reach - low, 0.0), high - low)
    after = min(max(high - along - reach, 0.0), high - low)
    if not before + after < high - low:  # the ball lies past either end
        return [ring]
    flat = _unit_cylinder(ring.profile.r_max)
    return [
        Ring(ring.centre + start * ring.axis, ring.axis, flat, np.array([length - 1.0]))
        for start, length in ((low, before), (high - after, after))
        if length > 0.0
    ]


@lru_cache(maxsize=256)
def _unit_cylinder(radius: float) -> Profile:
    return rectangle(0.0, radius, 0.0, 1.0)


def _sheet_outside(sheet: Sheet, centre: Array, radius: float) -> list[Piece]:
    corners, middle = _reference(sheet.corners, centre)
    origin = corners[0]
    x = _unit(corners[1] - origin)
    normal = np.cross(corners - origin, np.roll(corners, -1, axis=0) - origin).sum(axis=0)
    if np.linalg.norm(normal) == 0.0:
        return [sheet]
    normal = _unit(normal)
    off = abs((middle - origin) @ normal) + sheet.half
    if off >= radius:
        return [sheet]
    circle = np.sqrt(radius**2 - off**2) * np.cos(np.pi / _SIDES)
    y = np.cross(normal, x)
    out: list[Piece] = []
    for angle in 2.0 * np.pi * np.arange(_SIDES) / _SIDES:
        direction = np.cos(angle) * x + np.sin(angle) * y
        height = (corners - middle) @ direction - circle
        if np.all(height >= 0.0):
            return [sheet]
        mixed = _clipped_polygon(height)
        if len(mixed) >= 3:
            out.append(replace(sheet, corners=_mix(sheet.corners, mixed)))
    return out


def _block_outside(block: Block, centre: Array, radius: float) -> list[Piece]:
    corners, middle = _reference(block.corners, centre)
    apart = corners - middle
    if np.all(np.linalg.norm(apart, axis=1) <= radius):
        return []
    # A cube drawn in the ball: what is outside it lies beyond one of its faces.
    side = radius / math.sqrt(3.0)
    heights = np.concatenate([apart, -apart], axis=1) - side
    if np.any(heights.min(axis=0) >= 0.0):
        return [block]
    planes = (np.concatenate([middle, -middle]) + side).tolist()
    return [
        _beyond(block, k, planes[k], heights[:, k])
        for k in np.flatnonzero(heights.max(axis=0) > 0.0).tolist()
    ]


# A ball that goes over a block in rows and columns cuts it at the same few planes.
_halves: WeakKeyDictionary[Block, dict[tuple[int, float], Block]] = WeakKeyDictionary()


def _beyond(block: Block, side: int, plane: float, height: Array) -> Block:
    """What of a block lies beyond a plane square to +x, +y, +z, -x, -y or -z, as ``side`` says;
    height (k,) of its corners above it."""
    if len(block.corners) > 1:
        return _clipped_block(block, height)
    known = _halves.setdefault(block, {})
    key = side, plane
    if key not in known:
        if len(known) >= _HALVES:
            known.clear()
        known[key] = _clipped_block(block, height)
    return known[key]


def _clipped_block(block: Block, heights: Array) -> Block:
    """The side height >= 0 of a block's corners: its faces clipped, and one more at the cut."""
    height: list[float] = heights.tolist()  # plain numbers: they are looked at one by one
    number: dict[tuple[int, int], int] = {}
    mixed: list[tuple[int, int, float]] = []

    def corner(i: int, j: int) -> int:
        key = (min(i, j), max(i, j))
        if key not in number:
            number[key] = len(mixed)
            share = 0.0 if i == j else height[key[0]] / (height[key[0]] - height[key[1]])
            mixed.append((*key, share))
        return number[key]

    faces: list[tuple[int, ...]] = []
    follows: dict[int, int] = {}  # along the cut, against the way the faces go round it
    for face in block.faces:
        ring: list[int] = []
        way_out = way_in = -1
        for i, j in zip(face, face[1:] + face[:1], strict=True):
            if height[i] >= 0.0:
                ring.append(corner(i, i))
            if (height[i] >= 0.0) != (height[j] >= 0.0):
                on = i if height[i] == 0.0 else (j if height[j] == 0.0 else -1)
                at = corner(on, on) if on >= 0 else corner(i, j)
                if at not in ring:
                    ring.append(at)
                if height[i] >= 0.0:
                    way_out = at
                else:
                    way_in = at
        if len(ring) >= 3:
            faces.append(tuple(ring))
        if way_out >= 0 and way_in >= 0 and way_in != way_out:
            follows[way_in] = way_out
    if follows:
        first = next(iter(follows))
        cut = [first]
        while (at := follows.get(cut[-1], first)) != first and len(cut) <= len(follows):
            cut.append(at)
        if len(cut) >= 3:
            faces.append(tuple(cut))
    return Block(_mix(block.corners, mixed), tuple(faces))


def _clipped_polygon(height: Array) -> list[tuple[int, int, float]]:
    """Corners of the side height >= 0 of a polygon, as points (1 - t) p_i + t p_j."""
    out: list[tuple[int, int, float]] = []
    for i in range(len(height)):
        j = (i + 1) % len(height)
        if height[i] >= 0.0:
            out.append((i, i, 0.0))
        if height[i] * height[j] < 0.0:
            out.append((i, j, float(height[i] / (height[i] - height[j]))))
    return out


def _mix(corners: Array, mixed: Sequence[tuple[int, int, float]]) -> Array:
    first, second = [m[0] for m in mixed], [m[1] for m in mixed]
    share = np.array([m[2] for m in mixed])[None, :, None]
    return np.ascontiguousarray((1.0 - share) * corners[:, first] + share * corners[:, second])


def _reference(corners: Array, centre: Array) -> tuple[Array, Array]:
    """Corners and the ball's centre at the first pose where both are known."""
    if np.isfinite(corners[0]).all() and np.isfinite(centre[0]).all():
        return corners[0], centre[0]
    n = max(len(corners), len(centre))
    c = np.broadcast_to(corners, (n, *corners.shape[1:]))
    m = np.broadcast_to(centre, (n, 3))
    known = np.isfinite(c).all(axis=(1, 2)) & np.isfinite(m).all(axis=1)
    i = int(np.argmax(known))
    return c[i], m[i]


def _axial(point: Array, start: Array, axis: Array) -> tuple[Array, Array]:
    """Distance along an axis and off it, per pose."""
    rel = point - start
    along = np.sum(rel * axis, axis=1)
    return along, np.linalg.norm(rel - along[:, None] * axis, axis=1)


def _unit(v: Array) -> Array:
    length = np.linalg.norm(v, axis=-1, keepdims=True)
    unit: Array = np.where(length > 0.0, v / np.where(length > 0.0, length, 1.0), [0.0, 0.0, 1.0])
    return unit


def _most(values: Array) -> float:
    return float(np.nanmax(values)) if np.any(np.isfinite(values)) else -np.inf


def _least(values: Array) -> float:
    return float(np.nanmin(values)) if np.any(np.isfinite(values)) else -np.inf
