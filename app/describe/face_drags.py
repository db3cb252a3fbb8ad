"""Brackets, panel edges and faces pulled in the view while the corner is described."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

import msgspec
import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, Qt

from app.hand.drags import nearest_on_line
from app.look import numbers
from app.stage.pick import Hit
from app.stage.view import Stage
from kinematics.errors import ClearstrokeError
from kinematics.project.furnish import move_face, move_tower_face
from kinematics.project.grips import (
    TOWER,
    Edge,
    bolted_to,
    edges_of,
    middle_of,
    move_bracket,
    move_edge,
)
from kinematics.project.model import Box, Project

if TYPE_CHECKING:
    from app.document.document import Document
    from app.hand.hands import StageHands

Array = NDArray[np.float64]
SNAP = 1.5  # mm within which a coordinate takes that of a neighbour
SQUARE = 0.8  # cosine of the slant up to which a face counts as square to an axis
NEAR = 10.0  # px about an edge or a bracket's handle that take hold of it
OF_TOWER = {TOWER, "tower lip"}
FACES = {(0, 1): "front", (0, -1): "rear", (2, 1): "upper", (2, -1): "lower"}


@dataclass(frozen=True, eq=False)
class Grip:
    """Something that can be pulled.

    line : (n, 3), what lights up. along : the unit vector (3,) it goes along; None: in the plane
    of the picture. at : (k, 3), places of it whose coordinates snap to their neighbours'.
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


# --- what there is to take ----------------------------------------------------------------


def grip_at(project: Project, stage: Stage, at: QPointF, hit: Hit | None) -> Grip | None:
    """A bracket's handle, a panel's edge or a face under the pointer."""
    reach = NEAR * stage.theme.scale
    for part, spot in handles(project, stage):
        if (spot - at).manhattanLength() < reach:
            return whole(project, part)
    if hit is None or hit.piece.moving:
        return None
    part = TOWER if hit.piece.part in OF_TOWER else hit.piece.part
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


# --- snapping -----------------------------------------------------------------------------


def snapped(value: float, others: Array) -> float:
    """The neighbour's coordinate if one is that near, else the value in tenths."""
    near = others[np.abs(others - value) < SNAP]
    return float(near[np.argmin(np.abs(near - value))]) if len(near) else round(value, 1)


def coordinates(project: Project, axis: int, leave: tuple[str, ...] = ()) -> Array:
    """What a coordinate along an axis may snap to: points and faces of boxes, mm."""
    found = [xyz[axis] for name, xyz in project.points.items() if name not in leave]
    for name, part in project.parts.items():
        if isinstance(part, Box) and name not in leave:
            found += [part.least[axis], part.most[axis]]
    return np.array(found, float)


def snapped_move(move: Array, at: Array, others: list[Array]) -> Array:
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


# --- the hold -----------------------------------------------------------------------------


class PullGrip:
    """An edge or face pulled its own way, a bracket in the plane of the picture.

    One step of undo; it snaps to its neighbours. Shift keeps a bracket to one axis; Alt slows to
    a tenth and does not snap; with Ctrl a bracket leaves what is bolted to it where it is.
    """

    cursor = Qt.CursorShape.ClosedHandCursor

    def __init__(
        self,
        stage: Stage,
        document: Document,
        grip: Grip,
        hit: Hit | None,
        at: QPointF,
        hands: StageHands,
    ) -> None:
        assert document.project is not None
        self.stage, self.document, self.grip, self.hands = stage, document, grip, hands
        self.project, self.entry = document.project, grip.entry
        self.point = grip.line[0] if hit is None else hit.point
        self.move_by = np.zeros(3)
        self.last = QPointF(at)
        leave = (grip.part, *grip.takes)
        self.others = [coordinates(self.project, k, leave) for k in range(3)]
        document.begin()

    def _step(self, at: QPointF) -> Array:
        """What the hand moved since it was last seen, mm."""
        along, stage = self.grip.along, self.stage
        if along is None:
            d = at - self.last
            axes = stage.camera.axes
            return np.asarray((d.x() * axes[0] - d.y() * axes[1]) * stage.mm_per_px)
        here, there = (nearest_on_line(self.point, along, *stage.sight(p)) for p in (at, self.last))
        return np.asarray((here - there) * along)

    def move(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Follow the hand."""
        slow = bool(modifiers & Qt.KeyboardModifier.AltModifier)
        self.move_by = self.move_by + self._step(at) * (0.1 if slow else 1.0)
        self.last = QPointF(at)
        move = self._held_to(modifiers, slow)
        out = 1.0 if self.project.side == "left" else -1.0
        self.hands.points.grip = replace(self.grip, line=self.grip.line + move)
        self.hands.told = told(self.grip, move, out, self.project.units)
        self.hands.held.emit("grip", at)
        try:
            self.document.drag(self._moved(move, modifiers))
        except ClearstrokeError as error:
            self.document.said.emit(str(error))

    def _moved(self, move: Array, modifiers: Qt.KeyboardModifier) -> Project:
        made = self.grip.moved(self.project, move)
        if self.grip.takes and modifiers & Qt.KeyboardModifier.ControlModifier:
            made = msgspec.structs.replace(made, points=self.project.points)
        return made

    def _held_to(self, modifiers: Qt.KeyboardModifier, slow: bool) -> Array:
        move, along = self.move_by, self.grip.along
        if along is None and modifiers & Qt.KeyboardModifier.ShiftModifier:
            keep = int(np.argmax(np.abs(move)))
            move = np.where(np.arange(3) == keep, move, 0.0)
        if along is not None and np.count_nonzero(np.abs(along) > 1e-9) > 1:
            return np.asarray(round(float(move @ along), 1) * along)  # slanting: nothing to snap to
        return np.round(move, 1) if slow else snapped_move(move, self.grip.at, self.others)

    def drop(self) -> None:
        """One undo step."""
        self.document.finish(f"move the {self.grip.name}")

    def cancel(self) -> None:
        """Back to where it was."""
        self.document.revert()


def told(grip: Grip, move: Array, out: float, units: str) -> list[tuple[str, str]]:
    """What the hand moves and by how much, for the card beside it."""
    if grip.along is not None:
        by = numbers.length(float(move @ grip.along), units, sign=True)
        return [(grip.name, f"{by} {units}")]
    words = (("forward", "back"), ("out", "in"), ("up", "down"))
    moved = [
        f"{numbers.length(abs(float(v)), units)} {pair[0] if v > 0 else pair[1]}"
        for v, pair in zip(move * (1.0, out, 1.0), words, strict=True)
        if abs(v) > 0.04
    ]
    if moved:
        moved[0] = moved[0].replace(" ", f" {units} ", 1)
    rows = [(grip.name, ", ".join(moved) or "as it was")]
    return [*rows, ("goes along", ", ".join(grip.takes))] if grip.takes else rows
