"""What of a fabricated part a hand can take: its edges, its corners, or a whole bracket.

An edge is pulled square to itself, a corner in its panel's plane, a box's any way; a bracket takes
along the points that are bolted to it. What stands on named points alone is pulled by those: tubes,
cylinders, beams, rod ends, shafts. Their thickness, and all that is round about the wheel's axis,
is stock or bought and read off by calliper: typed. A scan is moved as a whole, by a square at its
middle, which only its file tells.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

import msgspec
import numpy as np
import numpy.typing as npt

from kinematics.errors import ProjectError
from kinematics.project.arch_grips import arch_edges
from kinematics.project.basics import CHASSIS, Xyz
from kinematics.project.furnish import move_face, move_part
from kinematics.project.model import Arch, Box, Plate, Project
from kinematics.project.pulls import Corner, Edge, xyz
from kinematics.project.tower_grips import TOWER, tower_corners, tower_edges
from kinematics.project.unfold import unfold

Array = npt.NDArray[np.float64]
ON_PLATE = 20.0  # mm from a plate within which a point counts as bolted to it
LEAST = 1.0  # mm that a panel keeps
SIDES = (("rear", "front"), ("inner", "outer"), ("lower", "upper"))
TOUCH = 0.01  # mm: two sides of an outline nearer than this meet


def edges_of(project: Project, part: str) -> tuple[Edge, ...]:
    """What goes one way of a plate, a wheel arch or the tower; none of anything else."""
    if part == TOWER:
        return tower_edges(project)
    found = project.parts.get(part)
    if isinstance(found, Arch):
        return arch_edges(project, part, found)
    return tuple(_plate_edges(part, found)) if isinstance(found, Plate) else ()


def corners_of(project: Project, part: str) -> tuple[Corner, ...]:
    """The corners of a plate, a box, or the tower; none of anything else."""
    if part == TOWER:
        return tower_corners(project)
    found = project.parts.get(part)
    if isinstance(found, Box):
        return tuple(_box_corners(part, found, 1 if project.side == "left" else -1))
    return tuple(_plate_corners(part, found)) if isinstance(found, Plate) else ()


# --- boxes and plates -----------------------------------------------------------------------


def _box_corners(part: str, box: Box, out: int) -> Iterator[Corner]:
    """All eight: each takes the three faces along that meet in it."""
    ends = np.array([box.least, box.most], float)
    for k in range(8):
        high = np.array([k & 1, k >> 1 & 1, k >> 2 & 1])
        at = ends[high, range(3)]
        along = [
            np.where(np.arange(3) == axis, ends[1 - high[axis], axis], at) for axis in range(3)
        ]
        line = np.array([along[0], at, along[1], at, along[2]])
        sides = np.where(high, 1, -1)
        pull = partial(_pull_box_corner, part, tuple(int(side) for side in sides))
        entry = ("parts", part, "most" if high[0] else "least", 0)
        words = [
            names[int(side > 0)] for names, side in zip(SIDES, sides * (1, out, 1), strict=True)
        ]
        name = f"{words[2]} {words[0]} {words[1]} corner of the {part}"
        yield Corner(part, name, at, None, entry, pull, line)


def _pull_box_corner(part: str, sides: tuple[int, ...], project: Project, move: Array) -> Project:
    for axis, side in enumerate(sides):
        project = move_face(project, part, axis, side, float(move[axis]))
    return project


def _plate_edges(name: str, plate: Plate) -> Iterator[Edge]:
    corners = np.asarray(plate.outline, float)
    up = normal_of(plate)
    for k, (a, b) in enumerate(zip(corners, np.roll(corners, -1, axis=0), strict=True)):
        length = float(np.linalg.norm(b - a))
        if length > LEAST:
            ends, way = np.array([a, b]), np.cross((b - a) / length, up)
            entry = ("parts", name, "outline", k, 0)
            pull = partial(_pull_plate_edge, name, k, way)
            yield Edge(name, f"edge of the {name}", ends, way, entry, pull, ends)


def _pull_plate_edge(name: str, first: int, way: Array, project: Project, by: float) -> Project:
    plate = _plate(project, name)
    corners = np.asarray(plate.outline, float)
    moved = [first, (first + 1) % len(corners)]
    rest = np.delete(corners, moved, axis=0) @ way
    if float(corners[first] @ way) + by < float(rest.max()) + LEAST:
        raise ProjectError(f'"{name}" would turn inside out.')
    corners[moved] += by * way
    return _outlined(project, name, corners)


def _plate_corners(part: str, plate: Plate) -> Iterator[Corner]:
    up, corners = normal_of(plate), np.asarray(plate.outline, float)
    for k, at in enumerate(corners):
        line = np.array([corners[k - 1], at, corners[(k + 1) % len(corners)]])
        entry, pull = ("parts", part, "outline", k, 0), partial(_pull_plate_corner, part, k, up)
        yield Corner(part, f"corner {k + 1} of the {part}", at, up, entry, pull, line)


def _pull_plate_corner(part: str, k: int, up: Array, project: Project, move: Array) -> Project:
    outline = np.asarray(_plate(project, part).outline, float)
    outline[k] += move - (move @ up) * up
    if not _simple(outline, up):
        raise ProjectError(f'The outline of "{part}" would cross itself.')
    return _outlined(project, part, outline)


def _plate(project: Project, name: str) -> Plate:
    found = project.parts[name]
    if not isinstance(found, Plate):
        raise ProjectError(f'"{name}" is not a plate.')
    return found


def _outlined(project: Project, name: str, outline: Array) -> Project:
    corners = tuple(xyz(place) for place in outline)
    made = msgspec.structs.replace(_plate(project, name), outline=corners)
    return msgspec.structs.replace(project, parts={**project.parts, name: made})


def _simple(outline: Array, normal: Array) -> bool:
    """Whether an outline (n, 3) still runs round the same way and nowhere meets itself."""
    after = np.roll(outline, -1, axis=0)
    area = float(np.cross(outline, after).sum(axis=0) @ normal)
    if area < LEAST**2 or np.linalg.norm(after - outline, axis=1).min() < LEAST:
        return False
    sides = list(zip(outline, after, strict=True))
    return all(
        _clear(*sides[i], *sides[j], normal)
        for i in range(len(sides))
        for j in range(i + 2, len(sides) - (i == 0))
    )


def _clear(a: Array, b: Array, c: Array, d: Array, normal: Array) -> bool:
    """Whether the lines a to b and c to d, in a plane, neither cross nor touch."""

    def side(p: Array, q: Array, r: Array) -> float:
        return float(np.cross(q - p, r - p) @ normal)

    def off(p: Array, q: Array, r: Array) -> float:
        share = np.clip((r - p) @ (q - p) / ((q - p) @ (q - p)), 0.0, 1.0)
        return float(np.linalg.norm(p + share * (q - p) - r))

    cross = side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0
    return not cross and min(off(a, b, c), off(a, b, d), off(c, d, a), off(c, d, b)) > TOUCH


# --- a whole bracket ------------------------------------------------------------------------


def middle_of(project: Project, part: str) -> Array | None:
    """Where the whole of a box or plate is taken hold of, mm; None of anything else. (3,)"""
    found = project.parts.get(part)
    if isinstance(found, Box):
        return (np.asarray(found.least, float) + found.most) / 2
    return np.mean(np.asarray(found.outline, float), axis=0) if isinstance(found, Plate) else None


def bolted_to(project: Project, part: str) -> tuple[str, ...]:
    """The points that go along when a box or plate is moved: link ends bolted to it.

    These are the points of its own body nearer to it than half its least side (a plate: than a
    rod end's width); not the top mount, which has a place of its own.
    """
    found = project.parts.get(part)
    if not isinstance(found, Box | Plate):
        return ()
    corners = np.array([found.least, found.most] if isinstance(found, Box) else found.outline)
    least, most = corners.min(0), corners.max(0)
    reach = float((most - least).min()) / 2 if isinstance(found, Box) else ON_PLATE
    own = _points_of_bodies(project).get(found.body, set())
    own -= {project.coilover.top.point} if project.coilover is not None else set()
    near = []
    for name, place in project.points.items():
        off = np.asarray(place, float) - np.clip(place, least, most)
        if isinstance(found, Plate):
            off = np.append(off, (np.asarray(place, float) - corners[0]) @ normal_of(found))
        if name in own and np.abs(off).max() < reach:
            near.append(name)
    return tuple(near)


def _points_of_bodies(project: Project) -> dict[str, set[str]]:
    """The points that each body carries, by its name, whatever names them."""
    found: dict[str, set[str]] = {}

    def walk(tree: Any) -> None:
        if isinstance(tree, list | tuple):
            for each in tree:
                walk(each)
        if not isinstance(tree, dict):
            return
        named = [tree.get(key) for key in ("point", "at", "centre", "points", "along")]
        points = {
            text
            for value in named
            for text in ((value,) if isinstance(value, str) else value or ())
            if isinstance(text, str) and text in project.points
        }
        for body in tree.get("bodies", (tree.get("body", CHASSIS),)) if points else ():
            found.setdefault(body, set()).update(points)
        for value in tree.values():
            walk(value)

    tree = msgspec.to_builtins(unfold(project))
    tree.pop("points")
    tree.pop("survey", None)
    walk(tree)
    return found


def move_bracket(project: Project, part: str, move: Xyz) -> Project:
    """A box or plate moved by so much, mm, with the points that are bolted to it; or a scan."""
    along = bolted_to(project, part)
    points = {
        name: xyz(np.asarray(place, float) + move) if name in along else place
        for name, place in project.points.items()
    }
    return msgspec.structs.replace(move_part(project, part, move), points=points)


def normal_of(plate: Plate) -> Array:
    """A unit vector square to a plate, by its corners in order. (3,)"""
    corners = np.asarray(plate.outline, float)
    turned = np.cross(corners, np.roll(corners, -1, axis=0)).sum(axis=0)
    return np.asarray(turned / np.linalg.norm(turned))
