"""Where something stood when the hand took hold of it, dashed, and the way it has come."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from app.stage.view import Stage

Array = NDArray[np.float64]
RING = 28  # corners of a ring


class Ghost:
    """Written over the stage while something is held. ``line`` (n, 3) is what it looked like,
    ``start`` and ``end`` (3,) how far it has come; all mm, car axes."""

    def __init__(self) -> None:
        self.line: Array | None = None
        self.start, self.end = np.zeros(3), np.zeros(3)

    def take(self, line: Array, start: Array) -> None:
        """It stood so."""
        self.line, self.start, self.end = line, start, start

    def drop(self) -> None:
        """Nothing is held."""
        self.line = None

    def _spots(self, stage: Stage) -> tuple[Array, Array] | None:
        if self.line is None:
            return None
        spots = stage.spots(np.vstack([self.line, self.start, self.end]))
        return (spots[:-2], spots[-2:]) if np.isfinite(spots).all() else None

    def bounds(self, stage: Stage) -> QRectF:
        """All it paints on."""
        found = self._spots(stage)
        if found is None:
            return QRectF()
        every = np.vstack(found)
        low, high = every.min(axis=0), every.max(axis=0)
        return QRectF(*(low - 8.0), *(high - low + 16.0))

    def draw(self, stage: Stage, painter: QPainter) -> None:
        """Dashed on a light ground, so that it shows on parts and floor alike."""
        found = self._spots(stage)
        if found is None:
            return
        s, p = stage.theme.scale, stage.theme.palette
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        line = QPolygonF([QPointF(float(x), float(y)) for x, y in found[0]])
        way = QPolygonF([QPointF(float(x), float(y)) for x, y in found[1]])
        for colour, wide, dashed in ((p.sheet, 3.6, False), (p.ink2, 1.8, True)):
            pen = QPen(QColor(colour), wide * s)
            if dashed:
                pen.setDashPattern([3, 2.4])
            painter.setPen(pen)
            painter.drawPolyline(line)
            painter.drawPolyline(way)


def ring(centre: Array, radius: float, across: tuple[Array, Array] | Array) -> Array:
    """A ring about a place, in the plane of two unit vectors (3,). (n, 3)"""
    turn = np.linspace(0.0, 2 * np.pi, RING)[:, None]
    return np.asarray(centre + radius * (np.cos(turn) * across[0] + np.sin(turn) * across[1]))
