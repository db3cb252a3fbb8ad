"""Faces of boxes and of the tower pulled in the view while the corner is described."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, Qt

from app.hand.drags import nearest_on_line
from app.stage.pick import Hit
from app.stage.view import Stage
from kinematics.errors import ClearstrokeError
from kinematics.project.furnish import move_face, move_tower_face
from kinematics.project.model import Box, Project

if TYPE_CHECKING:
    from app.document.document import Document
    from app.hand.hands import StageHands

Array = NDArray[np.float64]
SNAP = 1.5  # mm within which a coordinate takes that of a neighbour
SQUARE = 0.8  # cosine of the slant up to which a face counts as square to an axis
TOWER = "tower"


def snapped(value: float, others: Array) -> float:
    """The neighbour's coordinate if one is that near, else the value in tenths."""
    near = others[np.abs(others - value) < SNAP]
    return float(near[np.argmin(np.abs(near - value))]) if len(near) else round(value, 1)


def coordinates(project: Project, axis: int, leave: str = "") -> Array:
    """What a coordinate along an axis may snap to: points and faces of boxes, mm."""
    found = [xyz[axis] for name, xyz in project.points.items() if name != leave]
    for name, part in project.parts.items():
        if isinstance(part, Box) and name != leave:
            found += [part.least[axis], part.most[axis]]
    return np.array(found, float)


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
    return part, axis, 1 if hit.normal[axis] > 0 else -1


class PullFace:
    """One face pulled along its normal: a step of undo, snapping to its neighbours."""

    cursor = Qt.CursorShape.ClosedHandCursor

    def __init__(
        self,
        stage: Stage,
        document: Document,
        face: tuple[str, int, int],
        hit: Hit,
        at: QPointF,
        hands: StageHands,
    ) -> None:
        assert document.project is not None
        self.stage, self.document, self.hands = stage, document, hands
        self.part, self.axis, self.side = face
        self.project, self.point = document.project, hit.point
        self.along = np.eye(3)[self.axis]
        self.last, self.by = self._at(at), 0.0
        self.others = coordinates(self.project, self.axis, self.part)
        document.begin()

    def _at(self, at: QPointF) -> float:
        return nearest_on_line(self.point, self.along, *self.stage.sight(at))

    def move(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Follow the hand; Alt slows to a tenth and does not snap."""
        slow = bool(modifiers & Qt.KeyboardModifier.AltModifier)
        here = self._at(at)
        self.by += (here - self.last) * (0.1 if slow else 1.0)
        self.last = here
        stood = float(self.point[self.axis])
        by = round(self.by, 1) if slow else snapped(stood + self.by, self.others) - stood
        self.hands.held.emit("face", at)
        try:
            self.document.drag(self._moved(by))
        except ClearstrokeError as error:
            self.document.said.emit(str(error))

    def _moved(self, by: float) -> Project:
        if self.part == TOWER and self.project.tower is not None:
            return move_tower_face(self.project, self.axis, self.side, by)
        return move_face(self.project, self.part, self.axis, self.side, by)

    def drop(self) -> None:
        """One undo step."""
        self.document.finish(f"move a face of the {self.part}")

    def cancel(self) -> None:
        """Back to where it was."""
        self.document.revert()
