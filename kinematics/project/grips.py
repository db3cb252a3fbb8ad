"""What of a fabricated part a hand can take: an edge or a corner of a panel, or a whole bracket.

An edge is pulled square to itself, a corner in its panel's plane; a bracket takes along the points
that are bolted to it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import msgspec
import numpy as np
import numpy.typing as npt

from kinematics.errors import ProjectError
from kinematics.project.basics import CHASSIS, Xyz
from kinematics.project.furnish import move_part, move_tower_face
from kinematics.project.model import Box, Plate, Project
from kinematics.project.structure import Tower
from kinematics.project.unfold import unfold

Array = npt.NDArray[np.float64]
TOWER = "tower"
ON_PLATE = 20.0  # mm from a plate within which a point counts as bolted to it
LEAST = 1.0  # mm that a panel keeps
TOUCH = 0.01  # mm: two sides of an outline nearer than this meet


@dataclass(frozen=True, eq=False)
class Edge:
    """An edge of a part's panel: what a builder calls it, its ends and which way it is pulled.

    part : as in the project, or ``tower``. ends : (2, 3) mm, car coordinates. way : unit vector
    (3,) along which a pull is positive. entry : the tower's entry that it is, or the number of
    the first of the two corners of a plate's outline.
    """

    part: str
    name: str
    ends: Array
    way: Array
    entry: str | int


@dataclass(frozen=True, eq=False)
class Corner:
    """A corner of a plate, or of the tower's top: where it is, mm, car coordinates.

    part, entry : as of an edge; the tower's entry is the one its x is. at : (3,). normal : unit
    vector (3,) square to what it is a corner of, which it stays in.
    """

    part: str
    name: str
    at: Array
    normal: Array
    entry: str | int


def edges_of(project: Project, part: str) -> tuple[Edge, ...]:
    """The edges of a plate, or the feet and folds of the tower; none of anything else."""
    if part == TOWER and project.tower is not None:
        return _tower_edges(project.tower, 1.0 if project.side == "left" else -1.0)
    found = project.parts.get(part)
    return _plate_edges(part, found) if isinstance(found, Plate) else ()


def move_edge(project: Project, edge: Edge, by: float) -> Project:
    """An edge pulled by so much along its way, mm. Raises ProjectError if nothing were left."""
    if edge.part == TOWER and project.tower is not None:
        return _move_tower_edge(project, project.tower, str(edge.entry), by)
    plate = project.parts[edge.part]
    if not isinstance(plate, Plate):
        raise ProjectError(f'"{edge.part}" has no edges that can be moved.')
    corners = np.asarray(plate.outline, float)
    first = int(edge.entry)
    moved = [first, (first + 1) % len(corners)]
    rest = np.delete(corners, moved, axis=0) @ edge.way
    if float(corners[first] @ edge.way) + by < float(rest.max()) + LEAST:
        raise ProjectError(f'"{edge.part}" would turn inside out.')
    corners[moved] += by * edge.way
    made = msgspec.structs.replace(plate, outline=tuple(_xyz(p) for p in corners))
    return msgspec.structs.replace(project, parts={**project.parts, edge.part: made})


def corners_of(project: Project, part: str) -> tuple[Corner, ...]:
    """The corners of a plate, or the four of the tower's top; none of anything else."""
    found = project.parts.get(part)
    if part == TOWER and project.tower is not None:
        return _tower_corners(project.tower, 1.0 if project.side == "left" else -1.0)
    if not isinstance(found, Plate):
        return ()
    up = normal_of(found)
    return tuple(
        Corner(part, f"corner {k + 1} of the {part}", np.asarray(xyz, float), up, k)
        for k, xyz in enumerate(found.outline)
    )


def move_corner(project: Project, corner: Corner, move: Array) -> Project:
    """A corner moved by so much (3,), mm, as far as that lies in its panel's plane.

    The tower's takes two of its faces along. Raises ProjectError if the outline crossed itself.
    """
    move = move - (move @ corner.normal) * corner.normal
    if corner.part == TOWER:
        middle = np.mean([c.at for c in corners_of(project, TOWER)], axis=0)
        for axis in (0, 1):
            side = 1 if corner.at[axis] > middle[axis] else -1
            project = move_tower_face(project, axis, side, float(move[axis]))
        return project
    plate = project.parts[corner.part]
    if not isinstance(plate, Plate):
        raise ProjectError(f'"{corner.part}" has no corners that can be moved.')
    outline = np.asarray(plate.outline, float)
    outline[int(corner.entry)] += move
    if not _simple(outline, corner.normal):
        raise ProjectError(f'The outline of "{corner.part}" would cross itself.')
    made = msgspec.structs.replace(plate, outline=tuple(_xyz(p) for p in outline))
    return msgspec.structs.replace(project, parts={**project.parts, corner.part: made})


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
    for name, xyz in project.points.items():
        off = np.asarray(xyz, float) - np.clip(xyz, least, most)
        if isinstance(found, Plate):
            off = np.append(off, (np.asarray(xyz, float) - corners[0]) @ normal_of(found))
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
    """A box or plate moved by so much, mm, with the points that are bolted to it."""
    along = bolted_to(project, part)
    points = {
        name: _xyz(np.asarray(xyz, float) + move) if name in along else xyz
        for name, xyz in project.points.items()
    }
    return msgspec.structs.replace(move_part(project, part, move), points=points)


def normal_of(plate: Plate) -> Array:
    """A unit vector square to a plate, by its corners in order. (3,)"""
    corners = np.asarray(plate.outline, float)
    turned = np.cross(corners, np.roll(corners, -1, axis=0)).sum(axis=0)
    return np.asarray(turned / np.linalg.norm(turned))


def _plate_edges(name: str, plate: Plate) -> tuple[Edge, ...]:
    corners = np.asarray(plate.outline, float)
    up = normal_of(plate)
    found = []
    for k, (a, b) in enumerate(zip(corners, np.roll(corners, -1, axis=0), strict=True)):
        length = float(np.linalg.norm(b - a))
        if length > LEAST:
            way = np.cross((b - a) / length, up)
            found.append(Edge(name, f"edge of the {name}", np.array([a, b]), way, k))
    return tuple(found)


def _tower_edges(tower: Tower, out: float) -> tuple[Edge, ...]:
    """Each panel's foot, then its fold's free edge."""
    front, rear, inner, outer = tower.front, tower.rear, tower.inner * out, tower.outer * out
    x, y = np.array([1.0, 0.0, 0.0]), np.array([0.0, out, 0.0])
    panels = (
        ("front", ((front, inner), (front, outer)), x, tower.front_lip),
        ("rear", ((rear, inner), (rear, outer)), -x, tower.rear_lip),
        ("inner", ((rear, inner), (front, inner)), -y, tower.inner_lip),
        ("outer", ((rear, outer), (front, outer)), y, tower.lip),
    )
    found = []
    for side, ends, way, lip in panels:
        foot = getattr(tower, f"{side}_down_to")
        if foot is None:
            continue
        at = np.array([[*end, foot] for end in ends])
        words = f"foot of the tower's {side} panel"
        found.append(Edge(TOWER, words, at, np.array([0.0, 0.0, 1.0]), f"{side}_down_to"))
        if lip:
            entry = "lip" if side == "outer" else f"{side}_lip"
            words = f"fold of the tower's {side} panel"
            found.append(Edge(TOWER, words, at + lip * way, way, entry))
    return tuple(found)


def _tower_corners(tower: Tower, out: float) -> tuple[Corner, ...]:
    """Where two of the top's edges meet."""
    up = np.array([0.0, 0.0, 1.0])
    found = []
    for end, x in (("front", tower.front), ("rear", tower.rear)):
        for side, y in (("inner", tower.inner * out), ("outer", tower.outer * out)):
            at = np.array([x, y, tower.top])
            found.append(Corner(TOWER, f"{end} {side} corner of the tower", at, up, end))
    return tuple(found)


def _move_tower_edge(project: Project, tower: Tower, entry: str, by: float) -> Project:
    value = float(getattr(tower, entry)) + by
    if entry.endswith("down_to") and value > tower.top - 2 * tower.thickness:
        raise ProjectError("The tower's panel would have no height left.")
    made = msgspec.structs.replace(tower, **{entry: value})
    return msgspec.structs.replace(project, tower=made)


def _xyz(values: Array) -> Xyz:
    return float(values[0]), float(values[1]), float(values[2])
