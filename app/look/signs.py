"""Signs of a pair's state, told by shape: ring, hatched diamond, saw disc, dotted ring."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen, QPixmap, QPolygonF

from app.look.palette import Palette, State


def saw_disc(centre: QPointF, radius: float, teeth: int = 10) -> QPolygonF:
    """A disc with teeth."""
    points = []
    for i in range(2 * teeth):
        r = radius if i % 2 == 0 else radius * 0.72
        a = math.pi * i / teeth - math.pi / 2
        points.append(QPointF(centre.x() + r * math.cos(a), centre.y() + r * math.sin(a)))
    return QPolygonF(points)


def star(at: QPointF, radius: float) -> QPolygonF:
    """Five points, for the place with most room."""
    turns = [(-90 + 36 * k, radius if k % 2 == 0 else 0.45 * radius) for k in range(10)]
    return QPolygonF(
        [
            at + QPointF(r * math.cos(math.radians(t)), r * math.sin(math.radians(t)))
            for t, r in turns
        ]
    )


def diamond(at: QPointF, r: float) -> QPolygonF:
    """Four points, for the middle of the safe area."""
    ways = ((0, -r), (r, 0), (0, r), (-r, 0))
    return QPolygonF([at + QPointF(x, y) for x, y in ways])


def saw_block(box: QRectF, tooth: float) -> QPolygonF:
    """A block whose left edge is a saw blade."""
    count = max(1, round(box.height() / tooth))
    step = box.height() / count
    points = [box.topRight(), QPointF(box.left() + tooth * 0.5, box.top())]
    for i in range(count):
        points.append(QPointF(box.left(), box.top() + (i + 0.5) * step))
        points.append(QPointF(box.left() + tooth * 0.5, box.top() + (i + 1) * step))
    points.append(box.bottomRight())
    return QPolygonF(points)


def hatch(colour: QColor | str, spacing: float, rising: bool, width: float = 1.0) -> QBrush:
    """A 45 degree hatch that tiles without seams; ``rising`` slopes up to the right."""
    size = max(4, round(spacing * math.sqrt(2)))
    tile = QPixmap(size, size)
    tile.fill(Qt.GlobalColor.transparent)
    painter = QPainter(tile)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(colour), width))
    for shift in (-size, 0, size):
        if rising:
            painter.drawLine(QPointF(shift, size), QPointF(shift + size, 0))
        else:
            painter.drawLine(QPointF(shift, 0), QPointF(shift + size, size))
    painter.end()
    return QBrush(tile)


def draw_sign(painter: QPainter, p: Palette, state: State, centre: QPointF, radius: float) -> None:
    """Draw the sign of ``state`` about ``centre``."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    colour = QColor(p.state(state))
    pen = QPen(colour, max(1.6, radius * 0.2))
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if state is State.TOUCH:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(p.touch_fill))
        painter.drawPolygon(saw_disc(centre, radius))
    elif state is State.NEAR:
        _diamond(painter, p, centre, radius)
    elif state is State.UNKNOWN:
        pen.setDashPattern([0.1, 1.9])
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        painter.setPen(pen)
        painter.drawEllipse(centre, radius * 0.8, radius * 0.8)
    else:
        painter.drawEllipse(centre, radius * 0.8, radius * 0.8)
    painter.restore()


def _diamond(painter: QPainter, p: Palette, c: QPointF, radius: float) -> None:
    path = QPainterPath()
    path.addPolygon(
        QPolygonF(
            [
                QPointF(c.x(), c.y() - radius),
                QPointF(c.x() + radius, c.y()),
                QPointF(c.x(), c.y() + radius),
                QPointF(c.x() - radius, c.y()),
            ]
        )
    )
    path.closeSubpath()
    painter.fillPath(path, QColor(p.near_fill))
    painter.save()
    painter.setClipPath(path)
    painter.setPen(QPen(QColor(p.near), max(1.0, radius * 0.12)))
    step = radius * 0.42
    for i in range(-6, 7):
        x = c.x() + i * step
        painter.drawLine(QPointF(x - radius, c.y() + radius), QPointF(x + radius, c.y() - radius))
    painter.restore()
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPath(path)
