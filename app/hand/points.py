"""Points and handles over the stage, seen and named while describing a corner."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from app.hand.grips import Grip, handles
from app.look.type import font, metrics
from app.stage.view import Stage
from kinematics.project.basics import Xyz
from kinematics.project.model import Project

Array = NDArray[np.float64]
NEAR = 11.0  # px about a point that take hold of it


class Points:
    """Dots at the points as measured; the one in hand or in the form is large and named.

    Squares at boxes, plates and scans, moved as a whole; what else can be pulled lights up.
    """

    def __init__(self) -> None:
        self._project: Project | None = None
        self.current = ""
        self.hovered = ""
        self.grip: Grip | None = None  # the bracket, edge or face under the pointer
        self.waiting: dict[str, Array] = {}  # lines of what can't stand yet
        self.begun: dict[str, Xyz] = {}  # and its points, which the project has not

    @property
    def project(self) -> Project | None:
        """The project shown."""
        return self._project

    @project.setter
    def project(self, project: Project | None) -> None:
        """What lit up in another may stand elsewhere in this one."""
        if project is not self._project:
            self._project, self.grip = project, None

    def at(self, stage: Stage, at: QPointF) -> str:
        """The point nearest the pointer, if any is near."""
        if self.project is None:
            return ""
        names, spots = self._spots(stage)
        far = np.hypot(spots[:, 0] - at.x(), spots[:, 1] - at.y())
        far = np.where(np.isfinite(far), far, np.inf)
        nearest = int(np.argmin(far))
        return names[nearest] if far[nearest] < NEAR * stage.theme.scale else ""

    def bounds(self, stage: Stage) -> QRectF:
        """About all dots, squares and lines; the whole stage where one is named as well."""
        if self.project is None:
            return QRectF()
        if self.waiting or not stage.rows:
            return QRectF(stage.rect())
        _, spots = self._spots(stage)
        every = [spots, *([stage.spots(self.grip.line)] if self.grip is not None else [])]
        every += [np.array([[spot.x(), spot.y()]]) for _, spot in handles(self.project, stage)]
        found = np.vstack(every)
        found = found[np.isfinite(found).all(axis=1)]
        if not len(found):
            return QRectF()
        low, high, room = found.min(axis=0), found.max(axis=0), 9.0 * stage.theme.scale
        return QRectF(*(low - room), *(high - low + 2 * room))

    def _spots(self, stage: Stage) -> tuple[list[str], Array]:
        """The points' names, and where they stand on the stage. (n, 2)"""
        assert self.project is not None
        places = {**self.project.points, **self.begun}
        return list(places), stage.spots(np.array(list(places.values()), float))

    def draw(self, stage: Stage, painter: QPainter) -> None:
        """What lights up under the pointer, all squares and dots, then the named one."""
        if self.project is None:
            return
        s, p = stage.theme.scale, stage.theme.palette
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._grip(painter, stage)
        self._lines(painter, stage)
        for part, spot in handles(self.project, stage):
            lit = self.grip is not None and self.grip.name == part
            half = (6.5 if lit else 4.2) * s
            painter.setPen(QPen(QColor(p.sheet), 1.6))
            painter.setBrush(QColor(p.dye))
            painter.drawRect(QRectF(spot.x() - half, spot.y() - half, 2 * half, 2 * half))
        for name, (x, y) in zip(*self._spots(stage), strict=True):
            if not np.isfinite(x):
                continue
            named = name in (self.current, self.hovered)
            begun = name in self.begun  # hollow: it waits
            painter.setPen(QPen(QColor(p.dye if begun else p.sheet), 2.0 * s if begun else 1.6))
            painter.setBrush(QColor(p.sheet if begun else p.dye))
            radius = (6.5 if named else 3.6) * s
            painter.drawEllipse(QPointF(x, y), radius, radius)
            if named and not stage.rows:  # else the card beside the hand says it
                self._name(painter, stage, name, QPointF(x, y))
        if self.grip is not None and not stage.rows:
            spot = stage.spots(self.grip.line).mean(axis=0)
            if np.isfinite(spot).all():
                self._name(painter, stage, self.grip.name, QPointF(*spot))

    def _grip(self, painter: QPainter, stage: Stage) -> None:
        """The outline of what would be pulled."""
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

    def _lines(self, painter: QPainter, stage: Stage) -> None:
        """The links and tubes that wait, dashed from end to end."""
        s, p = stage.theme.scale, stage.theme.palette
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for name, line in self.waiting.items():
            spots = stage.spots(line)
            if not np.isfinite(spots).all():
                continue
            way = QPolygonF([QPointF(float(x), float(y)) for x, y in spots])
            for colour, wide, dashes in ((p.sheet, 5.0, None), (p.dye, 2.4, [3.0, 2.2])):
                pen = QPen(QColor(colour), wide * s)
                if dashes is not None:
                    pen.setDashPattern(dashes)
                painter.setPen(pen)
                painter.drawPolyline(way)
            self._name(painter, stage, name, QPointF(*spots.mean(axis=0)))

    def wait(self, lines: dict[str, Array]) -> None:
        """Links and tubes that can't stand yet are drawn too: their middle lines (n, 3)."""
        self.waiting = lines

    def begin(self, points: dict[str, Xyz]) -> None:
        """Points that can't stand yet are seen and pulled too: where they are, by name."""
        self.begun = points

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
