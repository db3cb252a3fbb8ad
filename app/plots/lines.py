"""The curves of the strips, drawn by pyqtgraph into a picture."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter

from app.look.type import font, metrics
from app.plots.board import FOOTER, HEADER, Board, Curve, Line
from app.plots.spans import span

if TYPE_CHECKING:
    from app.plots.strips import Strips


class Plots:
    """One pyqtgraph view, never shown, rendered into the strips' picture."""

    def __init__(self) -> None:
        self.view = pg.GraphicsView(background=None)
        self.view.setAttribute(Qt.WidgetAttribute.WA_DontShowOnScreen)
        self.boxes: list[pg.ViewBox] = []

    def draw(self, painter: QPainter, columns: list[tuple[Curve, QRectF]], strips: Strips) -> None:
        """Draw the curves of all columns at the ruler's scale."""
        s, scale, board = strips.theme.scale, strips.scale, strips.board
        self.view.resize(strips.size())
        scene = self.view.scene()
        while len(self.boxes) < len(columns):
            box = pg.ViewBox(enableMouse=False, enableMenu=False, defaultPadding=0)
            scene.addItem(box)
            self.boxes.append(box)
        for box in self.boxes:
            box.clear()
        top, bottom = HEADER * s, strips.height() - FOOTER * s
        travels = scale.travel(bottom), scale.travel(top)
        for box, (curve, column) in zip(self.boxes, columns, strict=False):
            area = QRectF(column.left() + 10 * s, top, column.width() - 20 * s, bottom - top)
            box.setGeometry(area)
            before = strips.before_curve(curve)
            box.setRange(
                xRange=span(curve, before), yRange=travels, padding=0, disableAutoRange=True
            )
            self._fill(box, curve, before, strips, board)
        self.view.setSceneRect(QRectF(0, 0, strips.width(), strips.height()))
        area = QRectF(0, 0, strips.width(), strips.height())
        scene.prepareForPaint()
        scene.render(painter, area, area)

    def _fill(
        self, box: pg.ViewBox, curve: Curve, before: Curve | None, strips: Strips, board: Board
    ) -> None:
        s, p = strips.theme.scale, strips.theme.palette
        low, high = span(curve, before)
        if low < 0 < high:
            box.addItem(pg.InfiniteLine(0, angle=90, pen=pg.mkPen(p.ink3, width=1)))
        for value, _label in curve.guides:
            pen = pg.mkPen(p.near, width=1.4, style=Qt.PenStyle.DashLine)
            box.addItem(pg.InfiniteLine(value, angle=90, pen=pen))
        if before is not None and strips.before is not None:
            for line in before.lines:
                if line.main:
                    pen = pg.mkPen(p.ink3, width=1.6 * s, style=Qt.PenStyle.DashLine)
                    box.addItem(pg.PlotCurveItem(line.values, strips.before.travel, pen=pen))
        for line in sorted(curve.lines, key=lambda line: line.main):
            wide = 2.4 if line.main else 1.3
            pen = pg.mkPen(p.ink if line.main else p.ink3, width=wide * s)
            item = pg.PlotCurveItem(
                line.values, board.travel, pen=pen, antialias=True, connect="finite"
            )
            box.addItem(item)
        self._label(box, curve, strips, board)

    @staticmethod
    def _label(box: pg.ViewBox, curve: Curve, strips: Strips, board: Board) -> None:
        """Names of the curves where each stands clearest of the others, rules at the foot."""
        s, p = strips.theme.scale, strips.theme.palette
        low, high = span(curve)
        named = [line for line in curve.lines if line.label]
        rows_taken: list[int] = []
        for line in named:
            at = _clearest(line, named, rows_taken, low, high)
            if at is None:
                continue
            rows_taken.append(at)
            share = (line.values[at] - low) / (high - low)
            face = metrics(13 * s, 700 if line.main else 500)
            after = (1 - share) * box.geometry().width() - 8
            before = share * box.geometry().width() - 8
            right = after >= face.horizontalAdvance(line.label) or after >= before
            words = face.elidedText(line.label, Qt.TextElideMode.ElideRight, max(after, before))
            anchor = (-0.04 if right else 1.04, 0.5)
            text = pg.TextItem(words, color=p.ink if line.main else p.ink2, anchor=anchor)
            text.setFont(font(13 * s, 700 if line.main else 500))
            text.setPos(line.values[at], board.travel[at])
            box.addItem(text)
        foot = box.viewRange()[1][0]
        for k, (value, words) in enumerate(curve.guides):
            if not words:
                continue
            text = pg.TextItem(words, color=p.near, anchor=(0, 1))
            text.setFont(font(13 * s, 600))
            text.setPos(value, foot + k * 16 * s / strips.scale.per_mm)
            box.addItem(text)


def _clearest(
    line: Line, lines: list[Line], taken: list[int], low: float, high: float
) -> int | None:
    """The row at which a line stands farthest from the others and from names already placed."""
    values = line.values
    inside = np.isfinite(values) & (values > low) & (values < high)
    count = len(values)
    inside[: count // 12] = inside[count - count // 12 :] = False
    for row in taken:
        inside[max(0, row - count // 16) : row + count // 16] = False
    if not inside.any():
        return None
    gap = np.full(count, np.inf)
    for other in lines:
        if other is not line:
            apart = np.abs(np.nan_to_num(other.values, nan=1e9) - values)
            gap = np.minimum(gap, apart)
    return int(np.argmax(np.where(inside, np.minimum(gap, (high - low) / 2), -1.0)))
