"""The curves of the strips: straight lines from value to value, with their names beside them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QImage, QPainter, QPainterPath, QPen, QPolygonF

from app.document.board import Board, Curve, Line
from app.look.type import font, metrics
from app.plots.spans import span
from app.plots.upright import FOOTER, HEADER, Upright

if TYPE_CHECKING:
    from app.plots.strips import Strips

Array = NDArray[np.float64]
DASHES = [4.0, 2.0]  # in widths of the line


@dataclass(frozen=True)
class Field:
    """One strip's place for curves: its box, what its sides stand for, the ruler's scale."""

    box: QRectF
    low: float
    high: float
    scale: Upright

    def x(self, value: Array | float) -> Array:
        """Px across of values of the figure."""
        share = (np.asarray(value) - self.low) / (self.high - self.low)
        return np.asarray(self.box.left() + share * self.box.width())


def draw_curve(painter: QPainter, curve: Curve, column: QRectF, strips: Strips) -> None:
    """The lines of one column at the ruler's scale."""
    s = strips.theme.scale
    top, bottom = HEADER * s, strips.height() - FOOTER * s
    box = QRectF(column.left() + 10 * s, top, column.width() - 20 * s, bottom - top)
    field = Field(box, *span(curve, strips.before_curve(curve)), strips.scale)
    painter.save()
    painter.setClipRect(box)
    _rules(painter, field, curve, strips)
    _curves(painter, field, curve, strips)
    _names(painter, field, curve, strips)
    painter.restore()


def look_of(curve: Curve | None, board: Board | None) -> tuple[object, ...]:
    """All that a column's picture takes from its curve and that curve's board, to be compared."""
    if curve is None or board is None:
        return ()
    lines = ((line.values.tobytes(), line.label, line.main) for line in curve.lines)
    told = curve.title, curve.decimals, curve.guides, curve.span, curve.note
    return board.travel.tobytes(), *told, *lines


def _rules(painter: QPainter, field: Field, curve: Curve, strips: Strips) -> None:
    """Nought and the builder's rules, upright through the field."""
    s, p, box = strips.theme.scale, strips.theme.palette, field.box
    lines = [(value, words, _dashed(p.near, 1.4)) for value, words in curve.guides]
    if field.low < 0 < field.high:
        lines.insert(0, (0.0, "", QPen(QColor(p.ink3), 1)))
    for value, _words, pen in lines:
        x = float(field.x(value))
        painter.setPen(pen)
        painter.drawLine(QPointF(x, box.top()), QPointF(x, box.bottom()))
    painter.setFont(font(13 * s, 600))
    named = [(float(field.x(value)), words) for value, words, _pen in lines if words]
    for row, (x, words) in enumerate(named):
        # On a ground of their own: the next rule's line may run behind them.
        wide = metrics(13 * s, 600).horizontalAdvance(words) + 4 * s
        low = box.bottom() - (5 + 17 * row) * s
        painter.fillRect(QRectF(x + 2 * s, low - 15 * s, wide, 16 * s), QColor(p.ground))
        painter.setPen(QColor(p.near))
        painter.drawText(QPointF(x + 4 * s, low - 3 * s), words)


def _curves(painter: QPainter, field: Field, curve: Curve, strips: Strips) -> None:
    """What was before dashed, then the quieter lines, the main one over them."""
    s, p = strips.theme.scale, strips.theme.palette
    painter.setBrush(Qt.BrushStyle.NoBrush)
    before = strips.before_curve(curve)
    if before is not None and strips.before is not None:
        for line in before.lines:
            if line.main:
                _polyline(painter, field, line, strips.before.travel, _dashed(p.ink3, 1.6 * s))
    for line in sorted(curve.lines, key=lambda line: line.main):
        pen = QPen(QColor(p.ink if line.main else p.ink3), (2.4 if line.main else 1.3) * s)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        _polyline(painter, field, line, strips.board.travel, pen)


def _dashed(colour: str, wide: float) -> QPen:
    pen = QPen(QColor(colour), wide)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    pen.setDashPattern(DASHES)
    return pen


def _polyline(painter: QPainter, field: Field, line: Line, travel: Array, pen: QPen) -> None:
    """One curve, broken where it is unknown."""
    painter.setPen(pen)
    x, y = field.x(line.values), np.asarray(field.scale.y(travel))
    known = np.isfinite(x)
    spots = [QPointF(*spot) for spot in np.stack([x, y], axis=1).tolist()]
    # Where each stretch that is known begins, and where it is over.
    turns = np.flatnonzero(np.diff(known, prepend=False, append=False)).tolist()
    for begin, over in zip(turns[::2], turns[1::2], strict=True):
        if over - begin > 1:
            painter.drawPolyline(QPolygonF(spots[begin:over]))


def _names(painter: QPainter, field: Field, curve: Curve, strips: Strips) -> None:
    """Names of the curves where each has room and stands clearest of the others."""
    s, p = strips.theme.scale, strips.theme.palette
    named = [line for line in curve.lines if line.label]
    taken: list[int] = []
    for line in named:
        weight = 700 if line.main else 500
        face = metrics(13 * s, weight)
        x = field.x(line.values)
        after, before = field.box.right() - x - 8 * s, x - field.box.left() - 8 * s
        fits = np.maximum(after, before) >= face.horizontalAdvance(line.label)
        at = _clearest(line, named, taken, fits, field)
        if at is None:
            continue
        taken.append(at)
        room, left = float(after[at]), float(before[at])
        right = room >= face.horizontalAdvance(line.label) or room >= left
        rows = broken(line.label, face, max(room, left))
        y = float(field.scale.y(strips.board.travel[at])) + 0.35 * face.ascent()
        ratio = painter.device().devicePixelRatioF()
        ink = p.ink if line.main else p.ink2
        picture, foot = _haloed(tuple(rows), right, weight, ink, p.sheet, s, ratio)
        corner = QPointF(float(x[at]) + (6 * s if right else -6 * s), y) - foot
        painter.drawImage(on_pixel(corner, ratio), picture)


@lru_cache(maxsize=64)
def _haloed(
    rows: tuple[str, ...], right: bool, weight: int, ink: str, sheet: str, s: float, ratio: float
) -> tuple[QImage, QPointF]:
    """Rows of words with a rim, as other lines may run behind them, and the foot of the first:
    its beginning where they stand ``right`` of their curve, else its end.

    Drawn once: the rim takes as long as all else of a strip, and the curves follow the hand.
    """
    face, room = metrics(13 * s, weight), 3.0 * s
    wide = max(face.horizontalAdvance(row) for row in rows)
    high = face.height() + 14 * s * (len(rows) - 1)
    size = QSizeF(wide + 2 * room, high + 2 * room) * ratio
    picture = QImage(size.toSize(), QImage.Format.Format_ARGB32_Premultiplied)
    picture.setDevicePixelRatio(ratio)
    picture.fill(Qt.GlobalColor.transparent)
    foot, path = QPointF(room if right else room + wide, room + face.ascent()), QPainterPath()
    for k, row in enumerate(rows):
        back = 0.0 if right else face.horizontalAdvance(row)
        path.addText(foot + QPointF(-back, 14 * s * k), font(13 * s, weight), row)
    rim = QPen(QColor(sheet), 4 * s)
    rim.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    painter = QPainter(picture)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.strokePath(path, rim)
    painter.fillPath(path, QColor(ink))
    painter.end()
    return picture, foot


def on_pixel(at: QPointF, ratio: float) -> QPointF:
    """The whole pixel of the screen nearest to a place: a picture put there stays sharp."""
    return QPointF(round(at.x() * ratio) / ratio, round(at.y() * ratio) / ratio)


def broken(words: str, face: QFontMetricsF, room: float) -> list[str]:
    """Words on as many lines as they need; one that is too long by itself is cut short."""
    rows: list[str] = []
    for word in words.split():
        longer = f"{rows[-1]} {word}" if rows else word
        if rows and face.horizontalAdvance(longer) <= room:
            rows[-1] = longer
        else:
            rows.append(word)
    return [face.elidedText(row, Qt.TextElideMode.ElideRight, room) for row in rows]


def _clearest(
    line: Line, lines: list[Line], taken: list[int], fits: NDArray[np.bool_], field: Field
) -> int | None:
    """The row at which a line stands farthest from the others and from names already placed.

    Of the rows beside which its whole name ``fits``, where there are any.
    """
    values, low, high = line.values, field.low, field.high
    inside = np.isfinite(values) & (values > low) & (values < high)
    count = len(values)
    inside[: count // 12] = inside[count - count // 12 :] = False
    for row in taken:
        inside[max(0, row - count // 16) : row + count // 16] = False
    if not inside.any():
        return None
    if (inside & fits).any():
        inside &= fits
    gap = np.full(count, np.inf)
    for other in lines:
        if other is not line:
            apart = np.abs(np.nan_to_num(other.values, nan=1e9) - values)
            gap = np.minimum(gap, apart)
    return int(np.argmax(np.where(inside, np.minimum(gap, (high - low) / 2), -1.0)))
