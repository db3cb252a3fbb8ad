"""What of a tower a hand can pull: its top's and panels' corners, feet, folds and gussets.

The hole in its top lies under the mount, which is what the hand takes there: it is typed.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import msgspec
import numpy as np

from kinematics.errors import ProjectError
from kinematics.project.furnish import move_tower_face
from kinematics.project.model import Project
from kinematics.project.panels import edges, gusset_away, gusset_triangle
from kinematics.project.pulls import Array, Corner, Edge
from kinematics.project.structure import Tower

TOWER = "tower"
LEAST = 1.0  # mm that a gusset keeps
UP = np.array([0.0, 0.0, 1.0])


def tower_edges(project: Project) -> tuple[Edge, ...]:
    """Each panel's foot and its fold's free edge, and each gusset's tips."""
    tower, out = project.tower, _out(project)
    if tower is None:
        return ()
    return (*panel_edges(project), *_gusset_tips(tower, out))


def tower_corners(project: Project) -> tuple[Corner, ...]:
    """Where two of the top's edges meet, and the ends of each panel's foot and of its fold."""
    tower, out = project.tower, _out(project)
    if tower is None:
        return ()
    return (*_top_corners(tower, out), *_foot_corners(tower, out))


def gusset_at(project: Project, place: Array) -> int | None:
    """The number of the gusset that a place (3,) of the tower's surface is on, mm."""
    tower, out = project.tower, _out(project)
    for k, gusset in enumerate(() if tower is None else tower.gussets):
        assert tower is not None
        corners = gusset_triangle(tower, gusset, out)
        if corners is None:
            continue
        along, away = _gusset_ways(gusset.on, out)
        away = away * gusset_away(gusset)
        off = place - corners[0]
        thick = (gusset.thickness or tower.thickness) / 2 + 0.1
        inside = off @ away / gusset.depth + off[2] / gusset.height < 1.01
        if inside and abs(off @ along) < thick and off @ away > 0.1 and off[2] > -0.1:
            return k
    return None


def gusset_way(project: Project, k: int) -> Array:
    """The unit vector (3,) along its panel by which a gusset's place is counted."""
    return _gusset_ways(_tower(project).gussets[k].on, _out(project))[0]


def pull_gusset(project: Project, k: int, by: float) -> Project:
    """A gusset shifted by so much along `gusset_way`, mm."""
    return _gusset_with(project, k, at=_tower(project).gussets[k].at + by)


def gusset_line(project: Project, k: int) -> Array:
    """The outline of a gusset, closed, mm, car axes. (4, 3)"""
    tower = _tower(project)
    corners = gusset_triangle(tower, tower.gussets[k], _out(project))
    return np.zeros((0, 3)) if corners is None else np.vstack([corners, corners[:1]])


# --- panels ---------------------------------------------------------------------------------


def panel_edges(project: Project) -> Iterator[Edge]:
    """Each panel's foot, then its fold's free edge."""
    tower, out = project.tower, _out(project)
    if tower is None:
        return
    for side, (axis, face, foot, width) in edges(tower).items():
        if foot is None:
            continue
        at, way = _along(tower, out, axis, face, foot), _outward(side, out)
        words, entry = f"foot of the tower's {side} panel", f"{side}_down_to"
        yield Edge(TOWER, words, at, UP, (TOWER, entry), partial(_pull_foot, entry), at)
        if width:
            entry = "lip" if side == "outer" else f"{side}_lip"
            at = at + float(getattr(tower, entry)) * way
            words = f"fold of the tower's {side} panel"
            yield Edge(TOWER, words, at, way, (TOWER, entry), partial(_add, entry), at)


def _top_corners(tower: Tower, out: float) -> Iterator[Corner]:
    every = {
        (end, side): np.array([x, y, tower.top])
        for end, x in (("front", tower.front), ("rear", tower.rear))
        for side, y in (("inner", tower.inner * out), ("outer", tower.outer * out))
    }
    for (end, side), at in every.items():
        other = "rear" if end == "front" else "front", "outer" if side == "inner" else "inner"
        line = np.array([every[other[0], side], at, every[end, other[1]]])
        words = f"{end} {side} corner of the tower"
        pull = partial(_pull_faces, (end, side))
        yield Corner(TOWER, words, at, UP, (TOWER, end), pull, line)


def _foot_corners(tower: Tower, out: float) -> Iterator[Corner]:
    for side, (axis, face, foot, width) in edges(tower).items():
        if foot is None:
            continue
        ends = _along(tower, out, axis, face, foot)
        names = ("inner", "outer") if axis == 0 else ("rear", "front")
        normal, way = np.eye(3)[axis], _outward(side, out)
        for k, end in enumerate(names):
            at, far = ends[k], ends[1 - k]
            top = np.array([*at[:2], tower.top])
            entry = f"{side}_down_to"
            words = f"{end} corner of the {side} panel's foot"
            pull = partial(_pull_foot_corner, entry, end)
            line = np.array([far, at, top])
            yield Corner(TOWER, words, at, normal, (TOWER, entry), pull, line)
            if width:
                entry = "lip" if side == "outer" else f"{side}_lip"
                off = float(getattr(tower, entry)) * way
                words = f"{end} corner of the {side} panel's fold"
                pull = partial(_pull_fold_corner, entry, end, way)
                line = np.array([far + off, at + off, at])
                yield Corner(TOWER, words, at + off, UP, (TOWER, entry), pull, line)


def _along(tower: Tower, out: float, axis: int, face: float, foot: float) -> Array:
    """The ends of a panel's foot: inner and outer, or rear and front. (2, 3)"""
    if axis == 0:
        return np.array([[face, y * out, foot] for y in (tower.inner, tower.outer)])
    return np.array([[x, face * out, foot] for x in (tower.rear, tower.front)])


def _outward(side: str, out: float) -> Array:
    """Square to a panel, away from the tower. (3,)"""
    if side in ("front", "rear"):
        return np.array([1.0 if side == "front" else -1.0, 0.0, 0.0])
    return np.array([0.0, out if side == "outer" else -out, 0.0])


def _pull_faces(faces: tuple[str, ...], project: Project, move: Array) -> Project:
    """The named faces of the tower taken along, each as far as it can go."""
    out = _out(project)
    for face in faces:
        way = _outward(face, out)
        axis = int(np.argmax(np.abs(way)))
        project = move_tower_face(project, axis, int(way[axis]), float(move[axis]))
    return project


def _pull_foot(entry: str, project: Project, by: float) -> Project:
    tower = _tower(project)
    if float(getattr(tower, entry)) + by > tower.top - 2 * tower.thickness:
        raise ProjectError("The tower's panel would have no height left.")
    return _add(entry, project, by)


def _pull_foot_corner(entry: str, end: str, project: Project, move: Array) -> Project:
    return _pull_faces((end,), _pull_foot(entry, project, float(move[2])), move)


def _pull_fold_corner(entry: str, end: str, way: Array, project: Project, move: Array) -> Project:
    return _pull_faces((end,), _add(entry, project, float(move @ way)), move)


# --- gussets --------------------------------------------------------------------------------


def _gusset_tips(tower: Tower, out: float) -> Iterator[Edge]:
    """A gusset's top, its outer end and its square corner: each goes one way."""
    for k, gusset in enumerate(tower.gussets):
        corners = gusset_triangle(tower, gusset, out)
        if corners is None:
            continue
        away = _gusset_ways(gusset.on, out)[1] * gusset_away(gusset)
        of, held = f"gusset on the tower's {gusset.on} panel", (TOWER, "gussets", k)
        for words, way, entry, ends, line in (
            ("top", UP, "height", [2, 2], [0, 2, 1]),
            ("tip", away, "depth", [1, 1], [0, 1, 2]),
            ("level edge", UP, "foot", [0, 1], [0, 1]),
        ):
            pull = partial(_pull_foot_of, k) if entry == "foot" else partial(_pull_tip, k, entry)
            name = f"{words} of the {of}"
            yield Edge(TOWER, name, corners[ends], way, (*held, entry), pull, corners[line])


def _pull_tip(k: int, entry: str, project: Project, by: float) -> Project:
    size = float(getattr(_tower(project).gussets[k], entry)) + by
    if size < LEAST:
        raise ProjectError("The gusset would have nothing left.")
    return _gusset_with(project, k, **{entry: size})


def _pull_foot_of(k: int, project: Project, by: float) -> Project:
    """The level edge raised or lowered; the gusset's top stays."""
    tower = _tower(project)
    gusset = tower.gussets[k]
    foot = edges(tower)[gusset.on][2] if gusset.foot is None else gusset.foot
    if foot is None or gusset.height - by < LEAST:
        raise ProjectError("The gusset would have nothing left.")
    return _gusset_with(project, k, foot=foot + by, height=gusset.height - by)


def _gusset_with(project: Project, k: int, **values: float) -> Project:
    tower = _tower(project)
    every = list(tower.gussets)
    every[k] = msgspec.structs.replace(every[k], **values)
    made = msgspec.structs.replace(tower, gussets=tuple(every))
    return msgspec.structs.replace(project, tower=made)


def _gusset_ways(on: str, out: float) -> tuple[Array, Array]:
    """Along its panel, and square to it as its axis grows. (3,) each"""
    x, y = np.array([1.0, 0.0, 0.0]), np.array([0.0, out, 0.0])
    return (y, x) if on in ("front", "rear") else (x, y)


# --- the project with it --------------------------------------------------------------------


def _out(project: Project) -> float:
    return 1.0 if project.side == "left" else -1.0


def _tower(project: Project) -> Tower:
    if project.tower is None:
        raise ProjectError("This corner has no tower.")
    return project.tower


def _add(entry: str, project: Project, by: float) -> Project:
    tower = _tower(project)
    made = msgspec.structs.replace(tower, **{entry: float(getattr(tower, entry)) + by})
    return msgspec.structs.replace(project, tower=made)
