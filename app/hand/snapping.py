"""What a thing pulled in the view comes level with: points, corners of plates, faces of boxes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kinematics.project.model import Box, Plate, Project
from kinematics.project.tower_grips import TOWER, panel_edges

Array = NDArray[np.float64]
SNAP = 1.5  # mm within which a coordinate takes that of a neighbour
LEVEL = 1e-6  # mm


@dataclass(frozen=True, eq=False)
class Neighbours:
    """By axis, the coordinates there are, mm, and what each is of."""

    values: tuple[Array, Array, Array]
    names: tuple[tuple[str, ...], ...]

    def level(self, place: Array, axis: int) -> str:
        """What a place (3,) is level with along an axis; '' if with nothing."""
        found = np.flatnonzero(np.abs(self.values[axis] - place[axis]) < LEVEL)
        return self.names[axis][int(found[0])] if len(found) else ""


def neighbours(project: Project, leave: str = "") -> Neighbours:
    """Of all points but one to leave, boxes, plates, and the tower with its feet and folds."""
    places = [(name, place) for name, place in project.points.items() if name != leave]
    for name, part in project.parts.items():
        if isinstance(part, Box):
            places += [(name, part.least), (name, part.most)]
        elif isinstance(part, Plate):
            places += [(f"corner {k + 1} of the {name}", p) for k, p in enumerate(part.outline)]
    named_by_axis = [[(name, place[axis]) for name, place in places] for axis in range(3)]
    tower, out = project.tower, 1.0 if project.side == "left" else -1.0
    if tower is not None:
        named_by_axis[0] += [(TOWER, tower.front), (TOWER, tower.rear)]
        named_by_axis[1] += [(TOWER, out * tower.inner), (TOWER, out * tower.outer)]
        named_by_axis[2] += [(TOWER, tower.top)]
        for edge in panel_edges(project):
            axis = int(np.argmax(np.abs(edge.way)))
            named_by_axis[axis].append((edge.name, float(edge.ends[0, axis])))
    x, y, z = (np.array([value for _, value in axis], float) for axis in named_by_axis)
    return Neighbours((x, y, z), tuple(tuple(n for n, _ in axis) for axis in named_by_axis))


def staying(project: Project, moved: Project) -> Neighbours:
    """Those of a project that are where they were in what something in the hand makes of it."""
    before, after = neighbours(project), neighbours(moved)
    stay = [a == b for a, b in zip(before.values, after.values, strict=True)]
    x, y, z = (value[kept] for value, kept in zip(before.values, stay, strict=True))
    names = [
        tuple(name for name, kept in zip(of, keeps, strict=True) if kept)
        for of, keeps in zip(before.names, stay, strict=True)
    ]
    return Neighbours((x, y, z), tuple(names))


def snapped(value: float, others: Array) -> float:
    """The neighbour's coordinate if one is that near, else the value in tenths."""
    near = others[np.abs(others - value) < SNAP]
    return float(near[np.argmin(np.abs(near - value))]) if len(near) else round(value, 1)


def snapped_move(move: Array, at: Array, others: tuple[Array, ...] | list[Array]) -> Array:
    """A move by which the places ``at`` come to stand level with neighbours, or in tenths."""
    found = np.round(move, 1)
    for k in np.flatnonzero(np.abs(move) > 0.05):
        ends = at[:, k] + move[k]
        offs = [snapped(float(end), others[k]) - float(end) for end in ends]
        level = [off for off, end in zip(offs, ends, strict=True)
                 if np.isclose(others[k], end + off, atol=1e-9).any()]  # fmt: skip
        if level:
            found[k] = move[k] + min(level, key=abs)
    return found


def snapped_in_plane(move: Array, at: Array, others: tuple[Array, ...], normal: Array) -> Array:
    """The same for one place (3,) that stays in a plane: level with as many as that leaves room.

    Where nothing is near, the move is in tenths along the plane's own two ways, the first of them
    as level as it can be.
    """
    move = move - (move @ normal) * normal
    eye = np.eye(3)
    free = eye - np.outer(normal, normal)  # what is left to go, as a projection
    found = np.zeros(3)
    rest = move.copy()
    for k in sorted(range(3), key=lambda k: -float(free[k, k])):
        room = float(free[k, k])
        if room < 0.05:
            continue
        way = free[k] / np.sqrt(room)  # the way in the plane along which the coordinate goes most
        share = np.sqrt(room)
        wanted = float(at[k] + found[k] + (rest @ way) * share)
        moves = abs(float(rest @ way)) > 0.05
        end = snapped(wanted, others[k]) if moves and len(others[k]) else wanted
        near = bool(np.isclose(others[k], end, atol=1e-9).any()) if moves else False
        by = (end - at[k] - found[k]) / share if near else round(float(rest @ way), 1)
        found = found + by * way
        rest = rest - (rest @ way) * way
        free = free - np.outer(way, way)
    return found
