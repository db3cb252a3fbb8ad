"""The tower from its few dimensions: top plate with its hole, hanging panels, lip.

All of it stands still. In the tower's records distances from the centre plane are given, so that
y = side x distance. Panels are inside the top plate's edges, their outer faces flush with them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from kinematics.project.model import CHASSIS, Project, Tower
from kinematics.project.panels import sheet
from kinematics.shapes.folds import gussets, lips
from kinematics.shapes.pieces import Array, Block, Part, Piece, Ring
from kinematics.shapes.plain import corners, prism
from kinematics.shapes.polygons import Floats, turned
from kinematics.shapes.profile import rectangle
from kinematics.shapes.recipe import Recipe

Box = tuple[Array, Array]


def outboard(project: Project) -> float:
    """Sign of y on the outboard side: +1 on the left, -1 on the right."""
    return 1.0 if project.side == "left" else -1.0


def panels(tower: Tower, out: float) -> dict[str, Box]:
    """Every flat panel but the top plate as a box (least, most), mm, by the builder's name."""
    t, top = tower.thickness, tower.top
    f, r, i, o = (sheet(tower, name) for name in ("front", "rear", "inner", "outer"))
    rear, front = sorted((tower.rear, tower.front))
    inner, outer = sorted((tower.inner, tower.outer))
    spans = {
        "front panel": (front - f, front, inner, outer, tower.front_down_to),
        "rear panel": (rear, rear + r, inner, outer, tower.rear_down_to),
        "inner panel": (rear, front, inner, inner + i, tower.inner_down_to),
        "outer panel": (rear, front, outer - o, outer, tower.outer_down_to),
    }
    return {
        name: _box(x0, x1, y0, y1, down, top, out)
        for name, (x0, x1, y0, y1, down) in spans.items()
        if down is not None and down < top - t
    }


def plate(tower: Tower, out: float) -> Box:
    """The top plate without its hole, as a box, mm."""
    rear, front = sorted((tower.rear, tower.front))
    inner, outer = sorted((tower.inner, tower.outer))
    return _box(rear, front, inner, outer, tower.top - tower.thickness, tower.top, out)


def hole(project: Project) -> tuple[float, float, float] | None:
    """The hole in the top plate: x, y of its middle (below the top bearing) and radius, mm.

    None without one, or where it would break the plate's edge: the plate then counts as whole,
    which never shows more room than there is.
    """
    tower, coilover = project.tower, project.coilover
    if tower is None or coilover is None or tower.hole <= 0.0:
        return None
    x, y, _ = project.points[coilover.top.point]
    least, most = plate(tower, outboard(project))
    room = min(x - least[0], most[0] - x, y - least[1], most[1] - y)
    radius = tower.hole / 2
    return (x, y, radius) if room > 1.02 * radius else None


def recipes(project: Project) -> Iterator[Recipe]:
    """The tower with its gussets, and its lips."""
    tower = project.tower
    if tower is None:
        return
    out = outboard(project)
    pieces: list[Piece] = [*_plate_pieces(project, tower)]
    pieces += [Block(corners(*box)[None]) for box in panels(tower, out).values()]
    pieces += [Block(xyz[None], faces) for xyz, faces in gussets(tower, out)]
    whole = Part("tower", CHASSIS, "tower", tuple(pieces))
    yield lambda poses: whole
    if folds := lips(tower, out):
        blocks = tuple(Block(corners(*fold)[None]) for fold in folds.values())
        turned_out = Part("tower lip", CHASSIS, "tower", blocks)
        yield lambda poses: turned_out


def _plate_pieces(project: Project, tower: Tower) -> Iterator[Piece]:
    """The top plate; with a hole, exactly: a flat ring about it, and prisms out to the edges.

    The ring runs from the hole to a circle within the plate; the prisms begin at a polygon drawn
    in that circle and round the hole, so that ring and prisms together leave out the hole alone.
    """
    least, most = plate(tower, outboard(project))
    cut = hole(project)
    if cut is None:
        yield Block(corners(least, most)[None])
        return
    x, y, radius = cut
    room = min(x - least[0], most[0] - x, y - least[1], most[1] - y)
    outer = min(math.sqrt(2.0) * radius, room)
    yield Ring(
        np.array([[x, y, least[2]]]),
        np.array([[0.0, 0.0, 1.0]]),
        rectangle(radius, outer, 0.0, tower.thickness),
        hollow=True,
    )
    sides = max(4, math.ceil(math.pi / math.acos(radius / outer) - 1e-9))
    for facet in around(np.array([x, y]), outer, sides, least[:2], most[:2]):
        middle = np.column_stack([facet, np.full(len(facet), (least[2] + most[2]) / 2)])
        solid, faces = prism(middle, tower.thickness)
        yield Block(solid[None], faces)


def around(centre: Floats, radius: float, sides: int, least: Array, most: Array) -> list[Floats]:
    """Convex outlines (k, 2) that fill a rectangle but for a polygon drawn in a circle in it."""
    angle = np.pi / 4 + 2 * np.pi * np.arange(sides + 1) / sides
    box_angles = [
        math.atan2(y - centre[1], x - centre[0]) % (2 * math.pi)
        for x in (least[0], most[0])
        for y in (least[1], most[1])
    ]
    facets = []
    for a, b in pairwise(angle.tolist()):
        inside = sorted(
            turn
            for corner in box_angles
            for turn in (corner, corner + 2 * math.pi)
            if a + 1e-9 < turn < b - 1e-9
        )
        way = [np.array([math.cos(t), math.sin(t)]) for t in (a, *inside, b)]
        far = [centre + _reach(centre, w, least, most) * w for w in way]
        facet = np.array([centre + radius * way[0], *far, centre + radius * way[-1]])
        facets.append(turned(facet, 1))
    return facets


def _reach(centre: Floats, way: Floats, least: Array, most: Array) -> float:
    """How far it is from the centre to the rectangle's edge in a direction."""
    walls = np.where(way > 0, most - centre, least - centre)
    return float(min(w / d for w, d in zip(walls, way, strict=True) if abs(d) > 1e-12))


def _box(x0: float, x1: float, y0: float, y1: float, z0: float, z1: float, out: float) -> Box:
    y0, y1 = sorted((out * y0, out * y1))
    return np.array([x0, y0, z0]), np.array([x1, y1, z1])
