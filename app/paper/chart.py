"""The upright chart: travel on the vertical axis, one ruler, one strip a figure.

Everything that shares a sheet shares one ruler, so that where it touches and what camber does
there are read at one height.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPolygonF

from app.look.numbers import nice_ticks
from app.look.palette import State
from app.paper import ink
from app.paper.ink import face, line, text
from app.paper.labels import Curve, name_curves
from app.paper.ruler import Ruler
from app.paper.scale import Scale, figure


@dataclass(frozen=True)
class Strip:
    """One figure against travel. ``marks`` are dashed lines at a value, with a word each.

    ``least`` is the least range shown, lest a steady figure look wild; ``share`` the width it
    takes beside others.
    """

    title: str
    unit: str
    curves: tuple[Curve, ...]
    marks: tuple[tuple[float, str], ...] = ()
    zero: bool = True
    limits: tuple[float, float] | None = None
    least: float = 0.0
    share: float = 1.0


def draw_strips(
    painter: QPainter, area: QRectF, ruler: Ruler, strips: Sequence[Strip], about: int = 3
) -> None:
    """The strips side by side over the ruler's bands, their scales along the foot."""
    at = ruler.scale(area)
    _ground(painter, area, ruler, at)
    for column, strip in zip(columns(area, strips), strips, strict=True):
        _strip(painter, column, strip, at, about, ruler)
        painter.setPen(line(ink.HAIR, 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(column)
    if ruler.level is not None:
        _level(painter, area, at(ruler.level), ruler.level_label)


def columns(area: QRectF, strips: Sequence[Strip]) -> list[QRectF]:
    """The strips' columns side by side, by their shares of the width."""
    unit = area.width() / sum(s.share for s in strips)
    out, left = [], area.left()
    for strip in strips:
        out.append(QRectF(left, area.top(), unit * strip.share, area.height()))
        left += unit * strip.share
    return out


def _ground(painter: QPainter, area: QRectF, ruler: Ruler, at: Scale) -> None:
    top, foot = at(ruler.high), at(ruler.low)
    painter.fillRect(area, ink.SHEET)
    past = (
        QRectF(area.left(), area.top(), area.width(), top - area.top()),
        QRectF(area.left(), foot, area.width(), area.bottom() - foot),
    )
    for part in past:
        painter.fillRect(part, ink.GROUND)
        ink.hatch(painter, part, ink.HAIR, 7, up=False)
    for band in sorted(ruler.bands, key=lambda b: b.state):
        wash = ink.TOUCH_WASH if band.state is State.TOUCH else ink.NEAR_WASH
        stretch = QRectF(area.left(), at(band.high), area.width(), at(band.low) - at(band.high))
        painter.fillRect(stretch, wash)
    painter.setPen(line(ink.HAIR, 1, (1.5, 3)))
    for value, _ in ruler.marks:
        painter.drawLine(QPointF(area.left(), at(value)), QPointF(area.right(), at(value)))


def span(strip: Strip) -> tuple[float, float]:
    """The values a strip shows: given, or its curves and marks with a little air."""
    if strip.limits:
        return strip.limits
    values = [c.value[np.isfinite(c.value)] for c in strip.curves]
    flat = np.concatenate([*values, [m for m, _ in strip.marks]]) if values else np.zeros(0)
    if flat.size == 0:
        return -1.0, 1.0
    low, high = float(flat.min()), float(flat.max())
    if strip.zero:
        low, high = min(low, 0.0), max(high, 0.0)
    short = max(strip.least - (high - low), 0.0)
    low, high = low - short / 2, high + short / 2
    air = 0.08 * (high - low) or max(0.05 * abs(high), 0.01)
    return low - air, high + air


def _strip(
    painter: QPainter, area: QRectF, strip: Strip, at: Scale, about: int, ruler: Ruler
) -> None:
    low, high = span(strip)
    across = Scale(low, high, area.left(), area.right())
    ticks = nice_ticks(low, high, about)
    step = (
        ticks[1] - ticks[0]
        if len(ticks) > 1
        else 10.0 ** math.floor(math.log10(max(high - low, 1e-9)))
    )
    for value in ticks:
        painter.setPen(line(ink.INK2 if value == 0 else ink.HAIR, 1 if value == 0 else 0.6))
        painter.drawLine(QPointF(across(value), area.top()), QPointF(across(value), area.bottom()))
        words = figure(value, step)
        half = ink.width(words, face(12, 400, True)) / 2
        x = min(max(across(value), area.left() + half + 2), area.right() - half - 2)
        text(painter, x, area.bottom() + 16, words, face(12, 400, True), align="middle")
    painter.save()
    painter.setClipRect(area)
    _marks(painter, area, strip, across)
    for curve in sorted(strip.curves, key=lambda c: c.main):
        painter.setPen(line(ink.INK if curve.main else ink.INK3, 2.0 if curve.main else 1.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPath(_path(curve, across, at))
    painter.restore()
    top, foot = at(ruler.high) + 3, at(ruler.low) - 3
    taken = [QRectF(area.left(), area.top(), area.width(), top - area.top())]
    taken += [QRectF(area.left(), foot, area.width(), area.bottom() - foot)]
    if ruler.level is not None:
        taken += [QRectF(area.left(), at(ruler.level) - 2, area.width(), 4)]
    name_curves(painter, area, strip.curves, across, at, taken)


def _marks(painter: QPainter, area: QRectF, strip: Strip, across: Scale) -> None:
    for i, (value, label) in enumerate(strip.marks):
        x, y = across(value), area.bottom() - 6 - 14 * i
        painter.setPen(line(ink.NEAR, 1.4, (4, 3)))
        painter.drawLine(QPointF(x, area.top()), QPointF(x, area.bottom()))
        font = face(12, 500, True)
        fits = x + 5 + ink.width(label, font) < area.right()
        text(
            painter,
            x + 5 if fits else x - 5,
            y,
            label,
            font,
            ink.NEAR,
            "left" if fits else "right",
        )


def _path(curve: Curve, across: Scale, at: Scale) -> QPainterPath:
    path, drawing = QPainterPath(), False
    for travel, value in zip(curve.travel.tolist(), curve.value.tolist(), strict=True):
        if not math.isfinite(value):
            drawing = False
            continue
        point = QPointF(across(value), at(travel))
        if drawing:
            path.lineTo(point)
        else:
            path.moveTo(point)
        drawing = True
    return path


def _level(painter: QPainter, area: QRectF, y: float, label: str) -> None:
    painter.setPen(line(ink.DYE, 1.8))
    painter.drawLine(QPointF(area.left() - 6, y), QPointF(area.right(), y))
    font = face(13, 600, True)
    wide = ink.width(label, font) + 16
    left = area.left() - 14 - wide
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(ink.DYE)
    painter.drawRoundedRect(QRectF(left, y - 11, wide, 22), 6, 6)
    tip = [
        QPointF(left + wide - 3, y - 9),
        QPointF(area.left() - 4, y),
        QPointF(left + wide - 3, y + 9),
    ]
    painter.drawPolygon(QPolygonF(tip))
    text(painter, left + 8, y + 5, label, font, ink.PAPER)
