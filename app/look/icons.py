"""Our own icons: paths in a 22 px box, drawn with a 1.7 px round stroke."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen

BOX = 22.0


def _lines(path: QPainterPath, *points: tuple[float, float]) -> None:
    path.moveTo(*points[0])
    for x, y in points[1:]:
        path.lineTo(x, y)


def _undo() -> QPainterPath:
    path = QPainterPath()
    _lines(path, (8, 4), (4, 8), (8, 12))
    path.moveTo(4, 8)
    path.lineTo(12.5, 8)
    path.cubicTo(19.5, 8, 19.5, 17.5, 12.5, 17.5)
    path.lineTo(8, 17.5)
    return path


def _redo() -> QPainterPath:
    path = QPainterPath()
    _lines(path, (14, 4), (18, 8), (14, 12))
    path.moveTo(18, 8)
    path.lineTo(9.5, 8)
    path.cubicTo(2.5, 8, 2.5, 17.5, 9.5, 17.5)
    path.lineTo(14, 17.5)
    return path


def _before() -> QPainterPath:
    path = QPainterPath()
    path.addEllipse(QPointF(8, 11), 5.6, 5.6)
    path.addEllipse(QPointF(14, 11), 5.6, 5.6)
    return path


def _only() -> QPainterPath:
    path = QPainterPath()
    path.addRect(QRectF(8, 3.5, 10.5, 10.5))
    _lines(path, (8, 8), (3.5, 8), (3.5, 18.5), (14, 18.5), (14, 14))
    return path


def _cut() -> QPainterPath:
    path = QPainterPath()
    _lines(path, (11, 2.5), (11, 5.5))
    _lines(path, (11, 8), (11, 11))
    _lines(path, (11, 13.5), (11, 16.5))
    _lines(path, (11, 18.5), (11, 19.5))
    _lines(path, (8, 5.5), (3.5, 5.5), (3.5, 16.5), (8, 16.5))
    _lines(path, (14, 5.5), (18.5, 5.5))
    _lines(path, (18.5, 9), (18.5, 13))
    _lines(path, (18.5, 16.5), (14, 16.5))
    return path


def _distance() -> QPainterPath:
    path = QPainterPath()
    _lines(path, (3, 5.5), (3, 16.5))
    _lines(path, (19, 5.5), (19, 16.5))
    _lines(path, (3, 11), (19, 11))
    _lines(path, (6.5, 8), (3.4, 11), (6.5, 14))
    _lines(path, (15.5, 8), (18.6, 11), (15.5, 14))
    return path


def _paper() -> QPainterPath:
    path = QPainterPath()
    _lines(path, (5, 2.8), (13, 2.8), (17.5, 7.3), (17.5, 19.2), (5, 19.2), (5, 2.8))
    _lines(path, (8.2, 10.5), (14.3, 10.5))
    _lines(path, (8.2, 14), (14.3, 14))
    return path


def _lamp() -> QPainterPath:
    path = QPainterPath()
    path.moveTo(8.4, 15.2)
    path.cubicTo(8.4, 12.6, 5.2, 11.8, 5.2, 8.2)
    path.cubicTo(5.2, 0.6, 16.8, 0.6, 16.8, 8.2)
    path.cubicTo(16.8, 11.8, 13.6, 12.6, 13.6, 15.2)
    path.lineTo(8.4, 15.2)
    _lines(path, (9, 18), (13, 18))
    return path


def _help() -> QPainterPath:
    path = QPainterPath()
    path.moveTo(6.6, 8)
    path.cubicTo(6.6, 1.4, 15.4, 1.4, 15.4, 7.6)
    path.cubicTo(15.4, 11, 11, 10.6, 11, 14.2)
    path.addEllipse(QPointF(11, 18.3), 0.35, 0.35)
    return path


def _camera() -> QPainterPath:
    path = QPainterPath()
    path.addRoundedRect(QRectF(2.8, 6.2, 16.4, 11.6), 2, 2)
    _lines(path, (7.5, 6.2), (9, 3.8), (13, 3.8), (14.5, 6.2))
    path.addEllipse(QPointF(11, 12), 3.3, 3.3)
    return path


def _play() -> QPainterPath:
    path = QPainterPath()
    _lines(path, (7, 4), (17.5, 11), (7, 18), (7, 4))
    return path


def _views() -> QPainterPath:
    path = QPainterPath()
    path.addRect(QRectF(3, 3, 7, 7))
    path.addRect(QRectF(12.5, 3, 6.5, 7))
    path.addRect(QRectF(3, 12.5, 7, 6.5))
    _lines(path, (12.5, 15.8), (19, 15.8))
    _lines(path, (15.8, 12.5), (15.8, 19))
    return path


DRAWN: dict[str, Callable[[], QPainterPath]] = {
    "undo": _undo,
    "redo": _redo,
    "before": _before,
    "only": _only,
    "cut": _cut,
    "distance": _distance,
    "paper": _paper,
    "lamp": _lamp,
    "help": _help,
    "camera": _camera,
    "play": _play,
    "views": _views,
}


def draw_icon(painter: QPainter, name: str, centre: QPointF, size: float, colour: QColor) -> None:
    """Draw an icon by name about ``centre``, ``size`` px across its box."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(centre.x() - size / 2, centre.y() - size / 2)
    painter.scale(size / BOX, size / BOX)
    pen = QPen(colour, 1.7)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPath(DRAWN[name]())
    painter.restore()
