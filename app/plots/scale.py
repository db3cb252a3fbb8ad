"""What the ruler's figures, names and flag are made of."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPainterPath

from app.document.board import Stop
from app.look import numbers
from app.plots.upright import Upright
from kinematics.units import Units, unit_of


def height(mm: float, units: Units) -> str:
    """A travel as the sentences have it: one decimal of a millimetre, two of an inch."""
    unit = unit_of("travel", units)
    return numbers.plain(unit.of(mm), unit.decimals, sign=True)


def wrapped(words: str, face: QFont, room: float) -> list[str]:
    """Words broken into at most two lines; what doesn't fit ends in an ellipsis."""
    measure = QFontMetricsF(face)
    if measure.horizontalAdvance(words) <= room:
        return [words]
    parts = words.split()
    first = next(
        (" ".join(parts[:n]) for n in range(len(parts) - 1, 0, -1)
         if measure.horizontalAdvance(" ".join(parts[:n])) <= room),
        parts[0],
    )  # fmt: skip
    rest = words[len(first) :].strip()
    return [first, measure.elidedText(rest, Qt.TextElideMode.ElideRight, room)]


def steps(per_unit: float, s: float) -> tuple[float, float, float]:
    """Fine, middle and labelled steps so that ticks stand at least 5 px apart, labels 36."""
    for coarse in (0.5, 1, 2, 5, 10, 20, 50, 100):
        if coarse * per_unit >= 36 * s:
            break
    parts = {0.5: (10, 2), 1: (10, 2), 2: (10, 2), 5: (5, 5), 10: (10, 2)}.get(coarse, (10, 2))
    return coarse / parts[0], coarse / parts[1], coarse


def placed(stops: tuple[Stop, ...], scale: Upright, room: float) -> list[tuple[Stop, float, bool]]:
    """Each stop with its height and whether its name goes below the line, to keep names apart."""
    found: list[tuple[Stop, float, bool]] = []
    last = -1e9
    for stop in sorted(stops, key=lambda s: -s.travel):
        y = float(scale.y(stop.travel))
        low = y - room < last or stop.travel <= scale.low + 1e-6
        found.append((stop, y, low))
        last = y + room if low else y
    return found


def tag_shape(box: QRectF, point: float) -> QPainterPath:
    """A pill whose left end is a point."""
    r = box.height() / 2
    path = QPainterPath(QPointF(box.left(), box.center().y()))
    path.lineTo(box.left() + point, box.top() + 2)
    path.quadTo(box.left() + point + 2, box.top(), box.left() + point + 6, box.top())
    path.lineTo(box.right() - r, box.top())
    path.arcTo(QRectF(box.right() - 2 * r, box.top(), 2 * r, 2 * r), 90, -180)
    path.lineTo(box.left() + point + 6, box.bottom())
    path.quadTo(box.left() + point + 2, box.bottom(), box.left() + point, box.bottom() - 2)
    path.closeSubpath()
    return path
