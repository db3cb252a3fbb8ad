"""The sketch beside the readings: the chosen one stands out, a click on the corner chooses one."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from app.look.theme import Theme
from app.look.type import font
from app.paper.survey_sketch import TITLES, Brush, Sketch, View
from app.survey.bench import Bench
from app.told import told
from kinematics.errors import ClearstrokeError
from kinematics.survey.network import points_in

VIEWS: tuple[View, ...] = ("front", "top", "side")
NEAR = 14.0  # px


@told
class Canvas(QWidget):
    """Two square views of the corner. ``chosen`` names the row of the reading that was clicked."""

    chosen = Signal(int)

    def __init__(self, theme: Theme, bench: Bench) -> None:
        super().__init__()
        self.theme, self.bench, self.row = theme, bench, -1
        self.setMinimumHeight(round(170 * theme.scale))
        self.setAccessibleName("Sketch of the corner with its readings")
        self.setMouseTracking(True)
        bench.renewed.connect(self.update)
        theme.changed.connect(self.update)

    def choose(self, row: int) -> None:
        """Have a reading stand out."""
        if row != self.row:
            self.row = row
            self.update()

    def _sketches(self) -> list[Sketch]:
        project = self.bench.project
        if project is None:
            return []
        s = self.theme.scale
        p = self.theme.palette
        brush = Brush(p, font(13 * s, 500), s, under=p.stage[0])
        box = QRectF(self.rect()).adjusted(8, 4, -8, -4)
        wide = box.width() > box.height() * 0.9
        views = VIEWS[:2]
        out = []
        for k, view in enumerate(views):
            if wide:
                part = QRectF(
                    box.left() + k * box.width() / 2, box.top(), box.width() / 2 - 4, box.height()
                )
            else:
                part = QRectF(
                    box.left(), box.top() + k * box.height() / 2, box.width(), box.height() / 2 - 4
                )
            try:
                out.append(Sketch(project, view, part, brush))
            except ClearstrokeError:
                return []
        return out

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(self.theme.palette.stage[0]))
        for sketch in self._sketches():
            sketch.draw(
                painter, self.bench.readings, self.row, self.bench.suspects(), self.bench.found
            )
        if self.bench.found is not None:
            s = self.theme.scale
            painter.setFont(font(12 * s, 400))
            painter.setPen(QColor(self.theme.palette.ink3))
            flags = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignBottom
            words = "rings: where a point may be, ten times too large"
            painter.drawText(self.rect().adjusted(0, 0, -8, -6), flags, words)
        painter.end()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        row = self.at(event.position())
        if row >= 0:
            self.chosen.emit(row)

    def at(self, place: QPointF) -> int:
        """The reading whose line passes nearest; -1 if none is near. Clicks go round rivals."""
        near: list[tuple[float, int]] = []
        for sketch in self._sketches():
            if not sketch.box.contains(place):
                continue
            for row, reading in enumerate(self.bench.readings):
                names = points_in(reading, sketch.project)
                spots = [sketch.point(name) for name in names]
                gap = _gap(place, spots)
                if gap < NEAR * self.theme.scale:
                    near.append((round(gap / 4), row))
        if not near:
            return -1
        near.sort()
        best = [row for gap, row in near if gap == near[0][0]]
        later = [row for row in best if row > self.row]
        return later[0] if self.row in best and later else best[0]


def _gap(place: QPointF, spots: list[QPointF]) -> float:
    """How far a place is from the line through one or two spots, px."""
    if not spots:
        return float("inf")
    p = np.array([place.x(), place.y()])
    a = np.array([spots[0].x(), spots[0].y()])
    if len(spots) == 1:
        return float(np.linalg.norm(p - a))
    b = np.array([spots[1].x(), spots[1].y()])
    run = b - a
    square = float(run @ run)
    share = float(np.clip((p - a) @ run / square, 0.0, 1.0)) if square > 0 else 0.0
    return float(np.linalg.norm(p - a - share * run))


__all__ = ["TITLES", "Canvas"]
