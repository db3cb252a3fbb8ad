"""The map of the mount's places as it is painted: what is good, what rules elsewhere, the slots."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QPainter,
    QPainterPath,
    QPen,
    QPixmap,
    QPolygonF,
)

from app.document.places import Ground, Rules, Slots
from app.document.plane import Frame
from app.look.palette import Palette
from app.look.signs import diamond, hatch, star

Array = NDArray[np.float64]
NEVER = -1e3
TILE = 10  # px at scale 1


def paint(painter: QPainter, p: Palette, s: float, frame: Frame, ground: Ground) -> None:
    """The ground in its frame. ``s`` : the scale of type."""
    painter.save()
    painter.setClipRect(frame.field)
    rows, columns = ground.rows, ground.columns
    known = frame.box((rows[0], rows[-1]), (columns[0], columns[-1]))
    fill(painter, known, Rules.TOUCH, p, s)
    near = area(frame, rows, columns, ground.touch)
    good = area(frame, rows, columns, ground.plan.room)
    fill(painter, near, Rules.NEAR, p, s)
    for rule, past in ground.past.items():
        held = area(frame, rows, columns, past)
        if rule is not Rules.NOWHERE:
            held = held.intersected(near)
        fill(painter, held, rule, p, s)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(QColor(p.ink3), 1.0))
        painter.drawPath(held)
    fill(painter, good, Rules.GOOD, p, s)
    _lines(painter, p, s, frame, ground)
    if ground.slots is not None:
        _slots(painter, p, s, frame, ground.slots)
    painter.restore()
    _marks(painter, p, s, frame, ground)


def fill(
    painter: QPainter, where: QPainterPath | QRectF, rule: Rules, p: Palette, s: float
) -> None:
    """What a place looks like by what rules there: told by its pattern first."""
    path = where
    if isinstance(where, QRectF):
        path = QPainterPath()
        path.addRect(where)
    assert isinstance(path, QPainterPath)
    if rule is Rules.GOOD:
        painter.fillPath(path, QColor(p.clear_fill))
        return
    painter.fillPath(path, QColor(p.ground if rule > Rules.TOUCH else p.sheet))
    if rule is Rules.TOUCH:
        faint = QColor(p.touch)
        faint.setAlpha(90)
        painter.fillPath(path, hatch(faint, 6 * s, rising=False))
    elif rule is Rules.NEAR:
        painter.fillPath(path, hatch(p.near_fill, 4.5 * s, rising=True, width=1.6))
    else:
        painter.fillPath(path, _pattern(rule, p.ink2, s))


@lru_cache(maxsize=32)
def _pattern(rule: Rules, colour: str, s: float) -> QBrush:
    """Rings for a joint, waves for a spring, bars for a damper, crosses where none stands."""
    size = round(TILE * s)
    tile = QPixmap(size, size)
    tile.fill(Qt.GlobalColor.transparent)
    painter = QPainter(tile)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(colour), 1.2))
    m = size / 2
    if rule is Rules.JOINT:
        painter.drawEllipse(QPointF(m, m), 0.26 * size, 0.26 * size)
    elif rule is Rules.SPRING:
        wave = QPainterPath(QPointF(0, m))
        wave.cubicTo(QPointF(m / 2, -0.1 * size), QPointF(m / 2, -0.1 * size), QPointF(m, m))
        wave.cubicTo(QPointF(1.5 * m, 1.1 * size), QPointF(1.5 * m, 1.1 * size), QPointF(size, m))
        painter.drawPath(wave)
    elif rule is Rules.DAMPER:
        painter.drawLine(QPointF(0.3 * size, m / 2), QPointF(0.3 * size, size - m / 2))
        painter.drawLine(QPointF(0.8 * size, m / 2), QPointF(0.8 * size, size - m / 2))
    else:
        far = 0.2 * size
        painter.drawLine(QPointF(m - far, m - far), QPointF(m + far, m + far))
        painter.drawLine(QPointF(m - far, m + far), QPointF(m + far, m - far))
    painter.end()
    return QBrush(tile)


def area(frame: Frame, rows: Array, columns: Array, values: Array) -> QPainterPath:
    """The area where values are at or above nought, with a smooth edge; unknown is below."""
    import pyqtgraph as pg

    path = QPainterPath()
    padded = np.pad(np.where(np.isfinite(values), values, NEVER), 1, constant_values=NEVER)
    for line in pg.isocurve(padded, 0.0, connected=True, extendToEdge=False):
        points = np.asarray(line) - 1.5
        up = np.interp(points[:, 0], np.arange(len(rows)), rows)
        across = np.interp(points[:, 1], np.arange(len(columns)), columns)
        path.addPolygon(
            QPolygonF([frame.spot(float(a), float(b)) for a, b in zip(up, across, strict=True)])
        )
    return path


def _lines(painter: QPainter, p: Palette, s: float, frame: Frame, ground: Ground) -> None:
    """Where clearance is nought, drawn through; where it is the rule, dashed."""
    from kinematics.studies.places import contours  # slow to import

    dashed = QPen(QColor(p.clear), 1.8 * s)
    dashed.setDashPattern([4, 3])
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for values, pen in ((ground.touch, QPen(QColor(p.ink), 1.8 * s)), (ground.worst, dashed)):
        painter.setPen(pen)
        for line in contours(ground.rows, ground.columns, values, 0.0):
            painter.drawPolyline([frame.spot(*map(float, at)) for at in line])


def _slots(painter: QPainter, p: Palette, s: float, frame: Frame, slots: Slots) -> None:
    """The slots as far as they reach; solid and ruled across where they work."""
    wide = 5.0 * s
    outer = frame.box(slots.rows, slots.columns).adjusted(-wide, -wide, wide, wide)
    shape = QPainterPath()
    shape.addRoundedRect(outer, wide, wide)
    painter.fillPath(shape, faded(p.sheet, 110))
    works = working(frame, slots, wide).intersected(shape)
    painter.fillPath(works, QColor(p.clear))
    painter.fillPath(works, hatch(p.sheet, 5 * s, rising=True, width=1.2))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(p.sheet), 3.2 * s))
    painter.drawPath(shape)
    painter.setPen(QPen(QColor(p.ink), 1.5 * s))
    painter.drawPath(shape)


def working(frame: Frame, slots: Slots, wide: float) -> QPainterPath:
    """Where the slots work, as drawn: a slot one way only is given so much width."""
    rows, columns, room = slots.fore, slots.inward, slots.room
    by = wide / frame.per
    if len(rows) == 1:
        rows, room = np.array([rows[0] - by, rows[0] + by]), np.repeat(room, 2, axis=0)
    else:
        rows, room = _widened(rows, by), np.pad(room, ((1, 1), (0, 0)), mode="edge")
    if len(columns) == 1:
        columns, room = np.array([columns[0] - by, columns[0] + by]), np.repeat(room, 2, axis=1)
    else:
        columns, room = _widened(columns, by), np.pad(room, ((0, 0), (1, 1)), mode="edge")
    return area(frame, rows, columns, room)


def _widened(values: Array, by: float) -> Array:
    return np.concatenate([[values[0] - by], values, [values[-1] + by]])


def _marks(painter: QPainter, p: Palette, s: float, frame: Frame, ground: Ground) -> None:
    """A star where there is most room, a diamond in the middle, a nut at the best in the slots."""
    for kind, place in (
        ("slots", ground.slots.best if ground.slots is not None else None),
        ("best", ground.best),
        ("middle", ground.middle),
    ):
        if place is not None:
            mark(painter, p, s, kind, frame.spot(*place))


def mark(painter: QPainter, p: Palette, s: float, kind: str, at: QPointF) -> None:
    """One of the three marks."""
    painter.setPen(QPen(QColor(p.ink if kind == "slots" else p.clear), 1.8 * s))
    painter.setBrush(QColor(p.sheet))
    shapes = {"best": star(at, 7 * s), "middle": diamond(at, 6 * s), "slots": nut(at, 6 * s)}
    painter.drawPolygon(shapes[kind])
    if kind == "slots":
        painter.drawEllipse(at, 2 * s, 2 * s)


def nut(at: QPointF, r: float) -> QPolygonF:
    """Six sides, as the head of the bolt in the slot."""
    turns = [np.radians(60 * k) for k in range(6)]
    return QPolygonF([at + QPointF(r * float(np.cos(t)), r * float(np.sin(t))) for t in turns])


def cross(painter: QPainter, p: Palette, s: float, at: QPointF, within: bool = True) -> None:
    """The mount itself, in the colour of the hand; hollow where it is not in the plane shown."""
    painter.setPen(QPen(QColor(p.sheet), 2.4))
    painter.setBrush(QColor(p.dye if within else p.sheet))
    painter.drawEllipse(at, 12 * s, 12 * s)
    painter.setPen(QPen(QColor(p.on_dye if within else p.dye), 2 * s))
    if not within:
        painter.drawEllipse(at, 11 * s, 11 * s)
    painter.drawLine(at + QPointF(-6 * s, 0), at + QPointF(6 * s, 0))
    painter.drawLine(at + QPointF(0, -6 * s), at + QPointF(0, 6 * s))


def start(painter: QPainter, p: Palette, s: float, begun: QPointF, now: QPointF) -> None:
    """Where the mount first stood, if it is elsewhere now."""
    if (now - begun).manhattanLength() > 2:
        pen = QPen(QColor(p.ink2), 1.6)
        pen.setDashPattern([3, 2.4])
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(begun, 11 * s, 11 * s)
        painter.drawLine(begun, now)


def faded(colour: str, alpha: int) -> QColor:
    """A colour let through."""
    made = QColor(colour)
    made.setAlpha(alpha)
    return made


def progress(painter: QPainter, p: Palette, s: float, plate: QRectF, share: float) -> None:
    """A line along a plate's foot, as long as the share that is done; none below nought."""
    if share < 0.0:
        return
    wide, y = plate.width() - 52 * s, plate.bottom() - 4 * s
    x = plate.left() + 26 * s
    pen = QPen(QColor(p.hair), 2.4 * s)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    for length, colour in ((1.0, pen.color()), (share, QColor(p.ink2))):
        pen.setColor(colour)
        painter.setPen(pen)
        painter.drawLine(QPointF(x, y), QPointF(x + wide * length, y))
