"""What can be taken hold of in the view while the corner is described, besides its points."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF

from app.stage.pick import Hit
from app.stage.view import Stage
from kinematics.project.furnish import move_face, move_tower_face
from kinematics.project.grips import (
    TOWER,
    Corner,
    Edge,
    bolted_to,
    corners_of,
    edges_of,
    middle_of,
    move_bracket,
    move_corner,
    move_edge,
)
from kinematics.project.model import Box, Project

Array = NDArray[np.float64]
SQUARE = 0.8  # cosine of the slant up to which a face counts as square to an axis
NEAR = 10.0  # px about a corner, an edge or a bracket's handle that take hold of it
OF_TOWER = {TOWER, "tower lip"}
FACES = {(0, 1): "front", (0, -1): "rear", (2, 1): "upper", (2, -1): "lower"}


@dataclass(frozen=True, eq=False)
class Grip:
    """Something that can be pulled.

    line : (n, 3), what lights up. along : the unit vector (3,) it goes along; None: in a plane,
    that square to ``normal`` (3,), or of the picture without one. at : (k, 3), places of it whose
    coordinates snap to their neighbours'; the first is where a corner stands.
    entry : where its coordinate is typed.
    """

    part: str
    name: str
    line: Array
    along: Array | None
    at: Array
    moved: Callable[[Project, Array], Project]
    entry: tuple[str | int, ...]
    takes: tuple[str, ...] = ()  # points that go along
    normal: Array | None = None

    @property
    def leaves(self) -> tuple[str, ...]:
        """What it can't come level with, since it goes along."""
        return (self.name if self.normal is not None else self.part, *self.takes)


def grip_at(project: Project, stage: Stage, at: QPointF, hit: Hit | None) -> Grip | None:
    """A bracket's handle, a panel's corner or edge, or a face under the pointer."""
    reach = NEAR * stage.theme.scale
    for part, spot in handles(project, stage):
        if (spot - at).manhattanLength() < reach:
            return whole(project, part)
    if hit is None or hit.piece.moving:
        return None
    part = TOWER if hit.piece.part in OF_TOWER else hit.piece.part
    found = [(away(stage, corner.at, at), k, corner) for k, corner in
             enumerate(corners_of(project, part))]  # fmt: skip
    if found and min(found)[0] < reach:
        return _corner(project, min(found)[2])
    near = [(apart(stage, edge, at), k, edge) for k, edge in enumerate(edges_of(project, part))]
    if near and min(near)[0] < reach:
        return _edge(min(near)[2])
    face = face_at(project, hit)
    return None if face is None else _face(project, face, hit)


def handles(project: Project, stage: Stage) -> list[tuple[str, QPointF]]:
    """The boxes and plates, and where on the stage they are taken as a whole."""
    found = []
    for part in project.parts:
        middle = middle_of(project, part)
        if middle is not None:
            x, y = stage.spots(middle)
            if np.isfinite((x, y)).all():
                found.append((part, QPointF(float(x), float(y))))
    return found


def away(stage: Stage, point: Array, at: QPointF) -> float:
    """How far the pointer is from a point on the screen, px."""
    x, y = stage.spots(point)
    far = float(np.hypot(x - at.x(), y - at.y()))
    return far if np.isfinite(far) else np.inf


def apart(stage: Stage, edge: Edge, at: QPointF) -> float:
    """How far the pointer is from an edge on the screen, px."""
    a, b = stage.spots(edge.ends)
    spot = np.array([at.x(), at.y()])
    along = b - a
    share = np.clip((spot - a) @ along / max(float(along @ along), 1e-9), 0.0, 1.0)
    far = float(np.linalg.norm(a + share * along - spot))
    return far if np.isfinite(far) else np.inf


def whole(project: Project, part: str) -> Grip:
    """A box or plate as one, with what is bolted to it."""
    found = project.parts[part]
    if isinstance(found, Box):
        at = np.array([found.least, found.most], float)
        line = _rectangles(at)
    else:
        at = np.asarray(found.outline, float)  # type: ignore[union-attr]
        line = np.vstack([at, at[:1]])
    takes = bolted_to(project, part)

    def moved(start: Project, move: Array) -> Project:
        return move_bracket(start, part, (float(move[0]), float(move[1]), float(move[2])))

    entry = ("least", 0) if isinstance(found, Box) else ("outline", 0, 0)
    return Grip(part, part, line, None, at, moved, ("parts", part, *entry), takes)


def _edge(edge: Edge) -> Grip:
    def moved(start: Project, move: Array) -> Project:
        return move_edge(start, edge, float(move @ edge.way))

    entry: tuple[str | int, ...] = (TOWER, edge.entry)
    if edge.part != TOWER:
        entry = ("parts", edge.part, "outline", edge.entry, 0)
    return Grip(edge.part, edge.name, edge.ends, edge.way, edge.ends[:1], moved, entry)


def _corner(project: Project, corner: Corner) -> Grip:
    def moved(start: Project, move: Array) -> Project:
        return move_corner(start, corner, move)

    every = corners_of(project, corner.part)
    entry: tuple[str | int, ...] = (TOWER, corner.entry)
    if corner.part == TOWER:
        # From its two neighbours by way of it: the top's corners go round by these numbers.
        round_ = [every[k].at for k in (0, 1, 3, 2)]
        k = next(i for i, xyz in enumerate(round_) if np.allclose(xyz, corner.at))
    else:
        round_, k = [c.at for c in every], int(corner.entry)
        entry = ("parts", corner.part, "outline", corner.entry, 0)
    line = np.array([round_[k - 1], corner.at, round_[(k + 1) % len(round_)]])
    return Grip(
        corner.part, corner.name, line, None, corner.at[None], moved, entry, normal=corner.normal
    )


def face_at(project: Project, hit: Hit | None) -> tuple[str, int, int] | None:
    """Part, axis and side of the face under the hand, if it is one that can be pulled."""
    if hit is None or hit.piece.moving:
        return None
    part = hit.piece.part
    boxed = isinstance(project.parts.get(part), Box)
    if not boxed and not (part == TOWER and project.tower is not None):
        return None
    axis = int(np.argmax(np.abs(hit.normal)))
    if abs(hit.normal[axis]) < SQUARE:
        return None
    side = 1 if hit.normal[axis] > 0 else -1
    return None if part == TOWER and (axis, side) == (2, -1) else (part, axis, side)


def _face(project: Project, face: tuple[str, int, int], hit: Hit) -> Grip:
    part, axis, side = face
    out = 1 if project.side == "left" else -1
    move: Callable[[Project, int, int, float], Project]
    word = FACES.get((axis, side), "outer" if side == out else "inner")
    if part == TOWER:
        move, corners = move_tower_face, _tower_box(project, hit)
        entry: tuple[str | int, ...] = (TOWER, {"upper": "top"}.get(word, word))
    else:
        box = project.parts[part]
        assert isinstance(box, Box)
        move = partial(_move_box_face, part)
        corners = np.array([box.least, box.most], float)
        entry = ("parts", part, "most" if side > 0 else "least", axis)
    along = np.eye(3)[axis]

    def moved(start: Project, by: Array) -> Project:
        return move(start, axis, side, float(by @ along))

    flat = corners.copy()
    flat[:, axis] = corners[1 if side > 0 else 0, axis]
    name = f"{word} face of the {part}"
    return Grip(part, name, _rectangle(flat, axis), along, flat[:1], moved, entry)


def _move_box_face(part: str, project: Project, axis: int, side: int, by: float) -> Project:
    return move_face(project, part, axis, side, by)


def _tower_box(project: Project, hit: Hit) -> Array:
    """The tower's outer faces, and down to the foot of the panel in hand. (2, 3)"""
    tower = project.tower
    assert tower is not None
    sides = sorted((tower.inner, tower.outer) if project.side == "left" else
                   (-tower.inner, -tower.outer))  # fmt: skip
    low = float(hit.piece.points()[:, 2].min())
    return np.array([[tower.rear, sides[0], low], [tower.front, sides[1], tower.top]])


def _rectangle(ends: Array, axis: int) -> Array:
    """The closed outline of a box that is flat along an axis. (5, 3)"""
    a, b = (k for k in range(3) if k != axis)
    found = np.repeat(ends[:1], 5, axis=0)
    found[[1, 2], a] = ends[1, a]
    found[[2, 3], b] = ends[1, b]
    return found


def _rectangles(ends: Array) -> Array:
    """Once round the lower and once round the upper face of a box. (10, 3)"""
    lower = _rectangle(np.array([ends[0], [*ends[1, :2], ends[0, 2]]]), 2)
    return np.vstack([lower, lower + np.array([0.0, 0.0, ends[1, 2] - ends[0, 2]])])
