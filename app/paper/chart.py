"""The upright chart: travel on the vertical axis, one ruler, one strip a figure.

Everything that shares a sheet shares one ruler, so that where it touches and what camber does
there are read at one height.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPolygonF

from app.look.numbers import nice_ticks, plain
from app.look.palette import State
from app.look.signs import saw_block
from app.paper import ink
from app.paper.ink import face, line, text


@dataclass(frozen=True)
class Curve:
    """One line: value against travel, both (n,), gaps where the value is NaN."""

    travel: NDArray[np.float64]
    value: NDArray[np.float64]
    label: str = ""
    main: bool = True


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


@dataclass(frozen=True)
class Band:
    """A stretch of travel where something touches or is too near."""

    low: float
    high: float
    state: State


@dataclass(frozen=True)
class Ruler:
    """The travel axis: its range in the units shown, bands, named heights, the level line."""

    low: float
    high: float
    unit: str
    bands: tuple[Band, ...] = ()
    marks: tuple[tuple[float, str], ...] = ()
    level: float | None = None
    level_label: str = ""

    def scale(self, area: QRectF) -> Scale:
        """Travel to px down the page within an area, a little room left past each end."""
        room = 0.06 * (self.high - self.low) or 1.0
        return Scale(self.low - room, self.high + room, area.bottom(), area.top())


@dataclass(frozen=True)
class Scale:
    """A straight map from ``low..high`` to ``start..end`` px."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """Where the value lies, px."""
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


def figure(value: float, step: float) -> str:
    """A value on the axis with the decimals its step needs and a true minus."""
    decimals = next((d for d in range(4) if abs(step * 10**d - round(step * 10**d)) < 1e-6), 4)
    return plain(value, decimals)


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
    _ruler_figures(painter, edge + 26, at, ruler)
    _ruler_marks(painter, area, at, ruler)


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


def _ruler_figures(painter: QPainter, x: float, at: Scale, ruler: Ruler) -> None:
    wide = nice_ticks(ruler.low, ruler.high, 8)
    step = wide[1] - wide[0] if len(wide) > 1 else 1.0
    font = face(12, 500, True)
    taken = [at(value) for value, _ in ruler.marks]
    if ruler.level is not None:
        taken.append(at(ruler.level))
    for value in wide:
        if any(abs(at(value) - y) < 11 for y in taken) and value:
            continue
        sign = "+" if value > 0 else ""
        text(painter, x, at(value) + 4, sign + figure(value, step), font)


def _ruler_marks(painter: QPainter, area: QRectF, at: Scale, ruler: Ruler) -> None:
    font = face(12, 400, True)
    for value, label in ruler.marks:
        y, right = at(value), area.right() - 6
        if ruler.level is not None and abs(y - at(ruler.level)) < 24:
            continue
        painter.setPen(line(ink.INK2, 1))
        painter.drawLine(QPointF(right - 26, y), QPointF(right, y))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(ink.INK)
        arrow = [QPointF(right + 5, y), QPointF(right - 1, y - 3.4), QPointF(right - 1, y + 3.4)]
        painter.drawPolygon(QPolygonF(arrow))
        below = value == ruler.low
        text(painter, right, y + (14 if below else -4), label, font, ink.INK2, "right")


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


def draw_strips(
    painter: QPainter, area: QRectF, ruler: Ruler, strips: Sequence[Strip], about: int = 3
) -> None:
    """The strips side by side over the ruler's bands, their scales along the foot."""
    at = ruler.scale(area)
    _ground(painter, area, ruler, at)
    for column, strip in zip(columns(area, strips), strips, strict=True):
        _strip(painter, column, strip, at, about, ruler.level)
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
    painter: QPainter, area: QRectF, strip: Strip, at: Scale, about: int, level: float | None
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
    taken = [] if level is None else [QRectF(area.left(), at(level) - 2, area.width(), 4)]
    _labels(painter, area, strip, across, at, taken)


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


def _labels(
    painter: QPainter,
    area: QRectF,
    strip: Strip,
    across: Scale,
    at: Scale,
    placed: list[QRectF],
) -> None:
    """A word beside each named curve, where it has the most room from the others."""
    for curve in strip.curves:
        if not curve.label:
            continue
        font = face(12, 600 if curve.main else 400, True)
        size = ink.width(curve.label, font)
        box = _place(area, curve, size, across, at, placed, strip.curves)
        if box is not None:
            placed.append(box)
            text(
                painter,
                box.left(),
                box.bottom() - 3,
                curve.label,
                font,
                ink.INK if curve.main else ink.INK2,
            )


def _place(
    area: QRectF,
    curve: Curve,
    size: float,
    across: Scale,
    at: Scale,
    placed: list[QRectF],
    curves: Sequence[Curve],
) -> QRectF | None:
    """The freest box for a label along its curve; None where every one is taken."""
    best: tuple[float, QRectF] | None = None
    good = np.flatnonzero(np.isfinite(curve.value))
    for i in good[:: max(1, good.size // 40)]:
        x, y = across(float(curve.value[i])), at(float(curve.travel[i]))
        for left in (x + 6, x - 6 - size, x + 13, x - 13 - size, x + 22, x - 22 - size):
            box = QRectF(left, y - 8, size, 15)
            if not area.adjusted(2, 4, -2, -4).contains(box):
                continue
            if any(box.intersects(other) for other in placed):
                continue
            room = min((_gap(box, other, across, at) for other in curves), default=0.0)
            # Room from the other curves is worth having, but not far from one's own.
            worth = min(room, 12.0) - 0.4 * abs(left - x if left > x else x - left - size)
            if room > 2 and (best is None or worth > best[0]):
                best = (worth, box)
    return best[1] if best else None


def _gap(box: QRectF, curve: Curve, across: Scale, at: Scale) -> float:
    """The px between a box and a curve's points at its height."""
    y = np.array([at(t) for t in curve.travel.tolist()])
    x = np.array([across(v) for v in curve.value.tolist()])
    near = np.isfinite(x) & (y > box.top() - 4) & (y < box.bottom() + 4)
    if not near.any():
        return 50.0
    return float(np.maximum(box.left() - x[near], x[near] - box.right()).min())


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
