"""Points and handles over the stage, seen, named and pulled while describing a corner."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgspec
import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from app.describe.face_drags import Grip, coordinates, handles, snapped
from app.look import numbers
from app.look.type import font, metrics
from app.stage.view import Stage
from kinematics.project.model import Project

if TYPE_CHECKING:
    from app.document.document import Document
    from app.hand.hands import StageHands

Array = NDArray[np.float64]
NEAR = 11.0  # px about a point that take hold of it


class Points:
    """Dots at the points as measured; the one in hand or in the form is large and named.

    Squares at boxes and plates, which are moved as a whole; what else can be pulled lights up.
    """

    def __init__(self) -> None:
        self.project: Project | None = None
        self.current = ""
        self.hovered = ""
        self.grip: Grip | None = None  # the bracket, edge or face under the pointer

    def at(self, stage: Stage, at: QPointF) -> str:
        """The point nearest the pointer, if any is near."""
        if self.project is None:
            return ""
        names = list(self.project.points)
        spots = stage.spots(np.array([self.project.points[n] for n in names], float))
        far = np.hypot(spots[:, 0] - at.x(), spots[:, 1] - at.y())
        far = np.where(np.isfinite(far), far, np.inf)
        nearest = int(np.argmin(far))
        return names[nearest] if far[nearest] < NEAR * stage.theme.scale else ""

    def bounds(self, stage: Stage) -> QRectF:
        """The whole stage: points are everywhere."""
        return QRectF(stage.rect())

    def draw(self, stage: Stage, painter: QPainter) -> None:
        """What lights up under the pointer, all squares and dots, then the named one."""
        if self.project is None:
            return
        s, p = stage.theme.scale, stage.theme.palette
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._grip(painter, stage)
        for part, spot in handles(self.project, stage):
            lit = self.grip is not None and self.grip.along is None and self.grip.part == part
            half = (6.5 if lit else 4.2) * s
            painter.setPen(QPen(QColor(p.sheet), 1.6))
            painter.setBrush(QColor(p.dye))
            painter.drawRect(QRectF(spot.x() - half, spot.y() - half, 2 * half, 2 * half))
        for name, xyz in self.project.points.items():
            x, y = stage.spots(np.asarray(xyz, float))
            if not np.isfinite(x):
                continue
            named = name in (self.current, self.hovered)
            painter.setPen(QPen(QColor(p.sheet), 1.6))
            painter.setBrush(QColor(p.dye))
            radius = (6.5 if named else 3.6) * s
            painter.drawEllipse(QPointF(x, y), radius, radius)
            if named:
                self._name(painter, stage, name, QPointF(x, y))

    def _grip(self, painter: QPainter, stage: Stage) -> None:
        """The outline of what would be pulled, and its name."""
        if self.grip is None:
            return
        s, p = stage.theme.scale, stage.theme.palette
        spots = stage.spots(self.grip.line)
        if not np.isfinite(spots).all():
            return
        line = QPolygonF([QPointF(float(x), float(y)) for x, y in spots])
        for colour, wide in ((QColor(p.sheet), 4.6 * s), (QColor(p.dye), 2.6 * s)):
            painter.setPen(QPen(colour, wide))
            painter.drawPolyline(line)
        self._name(painter, stage, self.grip.name, QPointF(*spots.mean(axis=0)))

    @staticmethod
    def _name(painter: QPainter, stage: Stage, name: str, spot: QPointF) -> None:
        s, p = stage.theme.scale, stage.theme.palette
        wide = metrics(14 * s, 600).horizontalAdvance(name) + 16 * s
        x = min(spot.x() + 12 * s, stage.width() - wide - 6 * s)
        box = QRectF(x, max(spot.y() - 28 * s, 6 * s), wide, 24 * s)
        painter.setPen(QPen(QColor(p.dye), 1.4))
        painter.setBrush(QColor(p.sheet))
        painter.drawRoundedRect(box, 6 * s, 6 * s)
        painter.setPen(QColor(p.ink))
        painter.setFont(font(14 * s, 600))
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, name)


class SlidePoint:
    """One point pulled in the plane of the picture; Shift keeps to one axis of the car.

    Its coordinates snap to those of other points and faces near by; with Alt they don't.
    """

    cursor = Qt.CursorShape.ClosedHandCursor

    def __init__(
        self, stage: Stage, document: Document, name: str, at: QPointF, hands: StageHands
    ) -> None:
        self.stage, self.document, self.name, self.hands = stage, document, name, hands
        self.entry: tuple[str | int, ...] = ("points", name, 0)
        assert document.project is not None
        self.project = document.project
        self.start = np.asarray(self.project.points[name], float)
        self.last = QPointF(at)
        self.offset = np.zeros(3)
        document.begin()

    def move(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Move by what the hand moved; Alt slows to a tenth."""
        d = at - self.last
        self.last = QPointF(at)
        per = self.stage.mm_per_px * (0.1 if modifiers & Qt.KeyboardModifier.AltModifier else 1.0)
        axes = self.stage.camera.axes
        self.offset = self.offset + (d.x() * axes[0] - d.y() * axes[1]) * per
        move = self.offset.copy()
        if modifiers & Qt.KeyboardModifier.ShiftModifier:
            keep = int(np.argmax(np.abs(move)))
            move = np.where(np.arange(3) == keep, move, 0.0)
        wanted = self.start + move
        if not modifiers & Qt.KeyboardModifier.AltModifier:
            others = (coordinates(self.project, k, (self.name,)) for k in range(3))
            snap = (snapped(v, o) for v, o in zip(wanted, others, strict=True))
            wanted = np.where(np.abs(move) > 0.05, list(snap), wanted)
        xyz = tuple(float(v) for v in np.round(wanted, 3))
        points = {**self.project.points, self.name: xyz}
        unit = self.project.units
        told = ", ".join(numbers.length(v, unit) for v in xyz)
        self.hands.told = [(self.name, f"{told} {unit}")]
        self.hands.held.emit("point", at)
        self.document.drag(msgspec.structs.replace(self.project, points=points))

    def drop(self) -> None:
        """One undo step."""
        self.document.finish(f"move {self.name}")

    def cancel(self) -> None:
        """Back to where it was."""
        self.document.revert()
