"""The ruler at the left of the strips: travel, upright, with where it touches beside it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPolygonF

from app.document.board import Band
from app.look.numbers import nice_ticks, plain
from app.look.palette import State
from app.look.signs import saw_block
from app.paper import ink
from app.paper.ink import face, line, text
from app.paper.scale import Scale, figure
from kinematics.units import Units, unit_of


@dataclass(frozen=True)
class Ruler:
    """The travel axis: its range in the units shown, bands, named heights, the level line."""

    low: float
    high: float
    unit: Units
    bands: tuple[Band, ...] = ()
    marks: tuple[tuple[float, str], ...] = ()
    level: float | None = None
    level_label: str = ""

    def scale(self, area: QRectF) -> Scale:
        """Travel to px down the page within an area, a little room left past each end."""
        room = 0.06 * (self.high - self.low) or 1.0
        return Scale(self.low - room, self.high + room, area.bottom(), area.top())


def draw_ruler(painter: QPainter, area: QRectF, ruler: Ruler) -> None:
    """The ruler at the left of the strips: ticks, the coloured band, the named heights."""
    at = ruler.scale(area)
    edge = area.left() + 14
    painter.setPen(line(ink.CLEAR, 3))
    painter.drawLine(QPointF(edge, at(ruler.low)), QPointF(edge, at(ruler.high)))
    for band in ruler.bands:
        _band_on_ruler(painter, edge, at, band)
    for value, long in _ticks(ruler):
        painter.setPen(line(ink.INK if long else ink.INK3, 1.2 if long else 0.8))
        reach = 16 if long == 2 else 10 if long else 6
        painter.drawLine(QPointF(edge + 5, at(value)), QPointF(edge + 5 + reach, at(value)))
    _ruler_figures(painter, edge + 26, at, ruler, _ruler_marks(painter, area, at, ruler))


def _ticks(ruler: Ruler) -> list[tuple[float, int]]:
    """Each tick and its rank: 2 with a figure, 1 half way, 0 the finest."""
    wide = nice_ticks(ruler.low, ruler.high, 8)
    if len(wide) < 2:
        return [(value, 2) for value in wide]
    step = wide[1] - wide[0]
    fine = [
        i * step / 10
        for i in range(
            math.ceil(10 * ruler.low / step - 1e-9), math.floor(10 * ruler.high / step + 1e-9) + 1
        )
    ]
    return [
        (v, 2 if round(10 * v / step) % 10 == 0 else 1 if round(10 * v / step) % 5 == 0 else 0)
        for v in fine
    ]


def _ruler_figures(
    painter: QPainter, x: float, at: Scale, ruler: Ruler, named: list[QRectF]
) -> None:
    """The figures of the long ticks, but where a mark, its name or the level stands."""
    wide = nice_ticks(ruler.low, ruler.high, 8)
    step = wide[1] - wide[0] if len(wide) > 1 else 1.0
    font = face(12, 500, True)
    taken = [at(value) for value, _ in ruler.marks]
    if ruler.level is not None:
        taken.append(at(ruler.level))
    for value in wide:
        if any(abs(at(value) - y) < 11 for y in taken) and value:
            continue
        words = ("+" if value > 0 else "") + figure(value, step)
        box = QRectF(x, at(value) - 6, ink.width(words, font), 11)
        if not any(box.intersects(name) for name in named):
            text(painter, x, at(value) + 4, words, font)


def _ruler_marks(painter: QPainter, area: QRectF, at: Scale, ruler: Ruler) -> list[QRectF]:
    """An arrow and a name at each mark; where the names stand."""
    named: list[QRectF] = []
    font = face(12, 400, True)
    last = -math.inf  # how far down the page the last mark and its words come
    for value, label in sorted(ruler.marks, reverse=True):
        y, right = at(value), area.right() - 6
        if ruler.level is not None and abs(y - at(ruler.level)) < 24:
            continue
        painter.setPen(line(ink.INK2, 1))
        painter.drawLine(QPointF(right - 26, y), QPointF(right, y))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(ink.INK)
        arrow = [QPointF(right + 5, y), QPointF(right - 1, y - 3.4), QPointF(right - 1, y + 3.4)]
        painter.drawPolygon(QPolygonF(arrow))
        below = value == ruler.low or y - 17 < last
        last = y + 16 if below else y
        y += 14 if below else -4
        if value:
            words = plain(value, unit_of("travel", ruler.unit).decimals, sign=True)
            right -= 4 + text(painter, right, y, words, face(12, 600, True), ink.INK, "right")
        right -= text(painter, right, y, label, font, ink.INK2, "right")
        named.append(QRectF(right - 2, y - 10, area.right() - right, 12))
    return named


def _band_on_ruler(painter: QPainter, edge: float, at: Scale, band: Band) -> None:
    top, foot = at(band.high), at(band.low)
    high = max(foot - top, 3.0)
    painter.setPen(Qt.PenStyle.NoPen)
    if band.state is State.TOUCH:
        painter.setBrush(ink.TOUCH_FILL)
        painter.drawPolygon(saw_block(QRectF(edge - 11, top, 13, high), 7))
        return
    area = QRectF(edge - 8, top, 10, high)
    painter.fillRect(area, ink.NEAR_FILL)
    ink.hatch(painter, area, ink.NEAR, 5)
    painter.setPen(line(ink.NEAR, 1.2))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(area)
