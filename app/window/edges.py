"""Rulers along the edges of a square view: millimetres of the car, whatever the view."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QLinearGradient, QPainter, QPen

from app.look import numbers
from app.look.type import font
from app.stage.view import Stage
from kinematics.units import Units, unit_of

NAMES = ("x", "y", "z")
MEANT = {"x": "forward", "y": "from the middle of the car", "z": "above the ground"}
EDGE = 22  # px


class Edges:
    """Written over the stage while it looks square: two rulers and the ground."""

    def __init__(self) -> None:
        self.units: Units = "mm"
        self.ground = 0.0
        self.left = 0.0  # px that something covers, on a stage that has something over it

    def bounds(self, stage: Stage) -> QRectF:
        """The whole stage while it looks square."""
        return QRectF(stage.rect()) if stage.camera.flat else QRectF()

    def draw(self, stage: Stage, painter: QPainter) -> None:
        """Ticks at round figures along the foot and the right edge."""
        if not stage.camera.flat:
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._ground(stage, painter)
        wide, high = float(stage.width()), float(stage.height())
        self._ground_of_figures(stage, painter)
        corner = stage.sight(QPointF(0, high))[0]
        across, up = stage.camera.axes[0], stage.camera.axes[1]
        self._ruler(stage, painter, corner, across, wide, horizontal=True)
        self._ruler(stage, painter, corner, up, high, horizontal=False)

    def _ground(self, stage: Stage, painter: QPainter) -> None:
        if abs(stage.camera.axes[1][2]) < 0.9:
            return
        p = stage.theme.palette
        _x, y = stage.spots(np.array([*stage.camera.target[:2], self.ground]))
        painter.setPen(QPen(QColor(p.ink3), 1.6))
        painter.drawLine(QPointF(0, float(y)), QPointF(stage.width(), float(y)))

    def _ground_of_figures(self, stage: Stage, painter: QPainter) -> None:
        """The stage's colour under both rulers: parts and the floor's letters run behind them."""
        s, wide, high = stage.theme.scale, float(stage.width()), float(stage.height())
        full = QColor(stage.theme.palette.stage[1])
        none = QColor(full)
        none.setAlpha(0)
        right, foot = QRectF(wide - 62 * s, 0, 62 * s, high), QRectF(0, high - 40 * s, wide, 40 * s)
        for box, end in ((right, QPointF(wide, 0)), (foot, QPointF(0, high))):
            fade = QLinearGradient(box.topLeft(), end)
            fade.setColorAt(0.0, none)
            fade.setColorAt(0.4, full)
            painter.fillRect(box, fade)

    def _ruler(
        self,
        stage: Stage,
        painter: QPainter,
        corner: np.ndarray,
        way: np.ndarray,
        length: float,
        horizontal: bool,
    ) -> None:
        """One ruler: ``corner`` is the stage's lower left in vehicle axes, mm."""
        s, p = stage.theme.scale, stage.theme.palette
        axis = int(np.argmax(np.abs(way)))
        sign = float(np.sign(way[axis]))
        per = unit_of("length", self.units).size
        zero = self.ground if axis == 2 else 0.0
        start = (float(corner[axis]) - zero) / per
        size = length * stage.mm_per_px / per * sign
        low, high = min(start, start + size), max(start, start + size)
        painter.setFont(font(13 * s, 500))
        for value in numbers.nice_ticks(low, high, int(length / (70 * s))):
            share = (value - start) / size
            text = numbers.plain(abs(value) if axis == 1 else value, 0)
            painter.setPen(QPen(QColor(p.ink2), 1.2))
            if horizontal:
                x, foot = share * length, stage.height() - 1.0
                if stage.keep_clear and x < self.left:
                    continue
                painter.drawLine(QPointF(x, foot), QPointF(x, foot - 7 * s))
                box = QRectF(x - 40 * s, foot - 26 * s, 80 * s, 18 * s)
                painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)
            else:
                y, right = stage.height() - share * length, stage.width() - 1.0
                if y > stage.height() - 40 * s:
                    continue
                painter.drawLine(QPointF(right, y), QPointF(right - 7 * s, y))
                box = QRectF(right - 62 * s, y - 9 * s, 52 * s, 18 * s)
                flags = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
                painter.drawText(box, flags, text)
        self._name(stage, painter, NAMES[axis], horizontal)

    def _name(self, stage: Stage, painter: QPainter, axis: str, horizontal: bool) -> None:
        s, p = stage.theme.scale, stage.theme.palette
        painter.setPen(QColor(p.ink2))
        painter.setFont(font(13 * s, 600))
        text = f"{axis}, {self.units} {MEANT[axis]}"
        if horizontal:
            box = QRectF(stage.width() - 300 * s, stage.height() - 46 * s, 230 * s, 18 * s)
            painter.drawText(box, Qt.AlignmentFlag.AlignRight, text)
        else:
            box = QRectF(stage.width() - 300 * s, 10 * s, 230 * s, 18 * s)
            painter.drawText(box, Qt.AlignmentFlag.AlignRight, text)
