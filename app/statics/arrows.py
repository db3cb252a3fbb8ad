"""What the corner pushes the chassis with, drawn over the stage where it acts."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen

from app.look.palette import Palette
from app.look.type import font, metrics
from app.stage.view import Stage
from kinematics.statics.chassis import ChassisPush
from kinematics.units import Units, show_force

Array = NDArray[np.float64]
LONGEST = 132.0  # px at scale 1 of the largest force
LEAST = 0.03  # of the largest: smaller ones are not drawn
NUMBERED = 0.1  # of the largest: those are given their size in words
SIZES_NOTHING = "This sizes nothing."


class ForceArrows:
    """An extra of the stage. ``ask`` gives the pushes at the position shown and what to call it,
    ``units`` what their sizes are told in."""

    def __init__(
        self, ask: Callable[[], tuple[tuple[ChassisPush, ...], str]], units: Callable[[], Units]
    ) -> None:
        self.ask, self.units = ask, units

    def bounds(self, stage: Stage) -> QRectF:
        """What the arrows and their words cover."""
        box = QRectF()
        pushes, words = self.ask()
        for push, start, end, told in self._arrows(stage, pushes):
            box = box.united(QRectF(start, end).normalized().adjusted(-16, -16, 16, 16))
            if told:
                box = box.united(self._word(stage, push, start, end, told))
        return box.united(self._foot(stage, words)) if words else box

    def draw(self, stage: Stage, painter: QPainter) -> None:
        """Arrows the way the chassis is pushed, the top mount's boldest and last."""
        s, p = stage.theme.scale, stage.theme.palette
        pushes, words = self.ask()
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        arrows = self._arrows(stage, pushes)
        for push, start, end, _ in arrows:
            draw_arrow(painter, p, start, end, s * (1.6 if push.top else 1.0))
        for push, start, end, told in arrows:
            if told:
                _write(painter, p, self._word(stage, push, start, end, told), told, push, s)
        if words:
            painter.setFont(font(13 * s, 500))
            painter.setPen(QColor(p.ink2))
            painter.drawText(self._foot(stage, words), Qt.AlignmentFlag.AlignRight, words)
        painter.restore()

    def _arrows(
        self, stage: Stage, pushes: tuple[ChassisPush, ...]
    ) -> list[tuple[ChassisPush, QPointF, QPointF, str]]:
        """Each push with its ends on the widget and its size in words; the top mount's last."""
        known = [push for push in pushes if np.isfinite(push.force[0, 0]).all()]
        most = max((float(push.size[0, 0]) for push in known), default=0.0)
        if most < 1.0:
            return []
        length = LONGEST * stage.theme.scale * stage.mm_per_px / most
        found = []
        for push in sorted(known, key=lambda each: each.top):
            size = float(push.size[0, 0])
            if size < LEAST * most:
                continue
            ends = stage.spots(np.stack([push.at[0], push.at[0] + push.force[0, 0] * length]))
            if np.isfinite(ends).all():
                named = push.top or size > NUMBERED * most
                told = show_force(size, self.units()) if named else ""
                found.append((push, QPointF(*ends[0]), QPointF(*ends[1]), told))
        return found

    @staticmethod
    def _word(stage: Stage, push: ChassisPush, start: QPointF, end: QPointF, told: str) -> QRectF:
        """Beyond the arrow's head, on the side it points to, and off what must be read."""
        s, size = stage.theme.scale, _size(push)
        wide = metrics(size * s, 600).horizontalAdvance(told) + 8 * s
        high = (size + 6) * s
        along = end - start
        reach = max(1.0, float(np.hypot(along.x(), along.y())))
        x, y = along.x() / reach, along.y() / reach
        middle = end + QPointF(x * (0.5 * wide + 13 * s), y * (0.5 * high + 13 * s))
        box = QRectF(middle.x() - wide / 2, middle.y() - high / 2, wide, high)
        for kept in stage.keep_clear:
            if kept.intersects(box):
                box.moveLeft(max(kept.right(), end.x() + 12 * s))
        return box

    @staticmethod
    def _foot(stage: Stage, words: str) -> QRectF:
        s = stage.theme.scale
        wide = metrics(13 * s, 500).horizontalAdvance(words) + 4
        return QRectF(stage.width() - wide - 14 * s, stage.height() - 26 * s, wide, 20 * s)


def draw_arrow(painter: QPainter, p: Palette, start: QPointF, end: QPointF, s: float) -> None:
    """An arrow with an edge of the stage's own colour, so that it stands out on any part."""
    along = end - start
    size = float(np.hypot(along.x(), along.y()))
    if size < 2.0:
        return
    along /= size
    side = QPointF(-along.y(), along.x())
    head = min(11.0 * s, size)
    neck = end - along * (0.85 * head)
    tip = QPainterPath(end + along * (0.4 * head))
    tip.lineTo(end - along * (0.6 * head) + side * (0.5 * head))
    tip.lineTo(neck)
    tip.lineTo(end - along * (0.6 * head) - side * (0.5 * head))
    tip.closeSubpath()
    for colour, wide, edge in ((p.sheet, 5.4 * s, 3.0 * s), (p.ink, 2.4 * s, 0.0)):
        pen = QPen(QColor(colour), wide)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        painter.setPen(pen)
        painter.drawLine(start, neck)
        painter.setBrush(QColor(colour))
        if edge:
            outline = QPen(QColor(colour), edge)
            outline.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
            painter.setPen(outline)
        else:
            painter.setPen(Qt.PenStyle.NoPen)
        painter.drawPath(tip)
    painter.drawEllipse(start, 2.6 * s, 2.6 * s)
    painter.setBrush(Qt.BrushStyle.NoBrush)


def _size(push: ChassisPush) -> float:
    return 19.0 if push.top else 13.0


def _write(
    painter: QPainter, p: Palette, box: QRectF, told: str, push: ChassisPush, s: float
) -> None:
    painter.setPen(Qt.PenStyle.NoPen)
    card = QColor(p.sheet)
    card.setAlphaF(0.85)
    painter.setBrush(card)
    painter.drawRoundedRect(box, 5 * s, 5 * s)
    painter.setFont(font(_size(push) * s, 600))
    painter.setPen(QColor(p.ink))
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, told)
