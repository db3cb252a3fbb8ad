"""The needle on the chalk ring: which way the wheel points, to be pulled round by hand."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from app.look import numbers
from app.look.type import font, metrics
from app.stage.view import Stage

Array = NDArray[np.float64]
REACH = 0.93, 1.02  # where the needle's foot and point stand, in parts of the ring's radius


class Needle:
    """Written over the stage of a steered corner. ``angle`` in rad, left positive."""

    def __init__(self) -> None:
        self.angle = math.nan
        self.hovered = False

    def point(self, stage: Stage, angle: float, reach: float = REACH[1]) -> Array:
        """A place on the floor at an angle from straight ahead. (3,)"""
        r = stage.floor.radius * reach
        return np.asarray(stage.floor.centre) + r * np.array([math.cos(angle), math.sin(angle), 0])

    def spot(self, stage: Stage) -> QPointF | None:
        """Where the point of the needle is on the stage."""
        if not math.isfinite(self.angle) or stage.camera.elevation < 0.05:
            return None
        x, y = stage.spots(self.point(stage, self.angle))
        return QPointF(float(x), float(y)) if math.isfinite(x) else None

    def bounds(self, stage: Stage) -> QRectF:
        """All it paints on."""
        spot = self.spot(stage)
        if spot is None:
            return QRectF()
        s = stage.theme.scale
        return QRectF(spot.x() - 90 * s, spot.y() - 60 * s, 190 * s, 110 * s)

    def draw(self, stage: Stage, painter: QPainter) -> None:
        """A violet arrowhead on the ring, and the angle in words."""
        spot = self.spot(stage)
        if spot is None:
            return
        s, p = stage.theme.scale, stage.theme.palette
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        wide = 0.035
        corners = [
            self.point(stage, self.angle, REACH[1]),
            self.point(stage, self.angle + wide, REACH[0]),
            self.point(stage, self.angle - wide, REACH[0]),
        ]
        shape = QPolygonF([QPointF(float(x), float(y)) for x, y in stage.spots(np.array(corners))])
        painter.setPen(QPen(QColor(p.stage[0]), 3))
        painter.setBrush(QColor(p.dye))
        painter.drawPolygon(shape)
        degrees = math.degrees(self.angle)
        side = "" if abs(degrees) < 0.05 else " left" if degrees > 0 else " right"
        text = "straight ahead" if not side else f"{numbers.plain(abs(degrees), 1)}°{side}"
        painter.setFont(font(15 * s, 600))
        painter.setPen(QColor(p.dye))
        across = metrics(15 * s, 600).horizontalAdvance(text)
        box = QRectF(spot.x() - across / 2, spot.y() - 44 * s, across + 4, 20 * s)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)
