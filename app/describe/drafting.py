"""A small drawing board: parts in their greys, centre lines, and dimensions as on a shop drawing.

A drawing is made in mm and fitted into the place there is. A dimension belongs to an entry of the
project: it stands out while that entry has the focus, and can be clicked.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import atan2, cos, hypot, pi, sin

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen, QPolygonF

from app.document.tree import Path
from app.look.numbers import length
from app.look.palette import Palette
from app.look.type import font, metrics
from kinematics.units import Units

XY = tuple[float, float]
NOT_GIVEN = "not given"
ARROW = 6.5  # px at scale 1
TEXT = 13.0


def figure(mm: float | None, units: Units) -> str:
    """A length as a drawing writes it, without noughts at its end; words where there is none."""
    if mm is None:
        return NOT_GIVEN
    text = length(mm, units)
    return text.rstrip("0").rstrip(".") if "." in text else text


def across(mm: float | None, units: Units) -> str:
    """A diameter as a drawing writes it."""
    return NOT_GIVEN if mm is None else f"⌀{figure(mm, units)}"


@dataclass
class Board:
    """What is drawn on. ``current`` is the entry that has the focus; ``spots`` are filled while
    drawing: where each dimension can be clicked."""

    painter: QPainter
    place: QRectF
    palette: Palette
    scale: float
    current: Path
    units: Units
    hovered: Path = ()
    spots: list[tuple[QRectF, Path]] = field(default_factory=list)
    origin: QPointF = field(default_factory=QPointF)
    per: float = 1.0  # px to a mm

    def fit(self, low: XY, high: XY, margins: tuple[float, float, float, float]) -> None:
        """Have the box from ``low`` to ``high`` (mm, y up) fill the place but for margins (px)."""
        left, top, right, bottom = (m * self.scale for m in margins)
        room = self.place.adjusted(left, top, -right, -bottom)
        wide, high_ = max(high[0] - low[0], 1e-6), max(high[1] - low[1], 1e-6)
        self.per = min(room.width() / wide, room.height() / high_)
        middle = QPointF((low[0] + high[0]) / 2 * self.per, -(low[1] + high[1]) / 2 * self.per)
        self.origin = room.center() - middle

    def at(self, x: float, y: float) -> QPointF:
        """A place in mm, y up, on the board."""
        return QPointF(self.origin.x() + x * self.per, self.origin.y() - y * self.per)

    # --- parts --------------------------------------------------------------------------------

    def shape(self, points: Iterable[Sequence[float]], kind: str = "", faint: bool = False) -> None:
        """A closed outline (mm) filled as a kind of part is; without a kind only its edge."""
        path = QPainterPath()
        path.addPolygon(QPolygonF([self.at(float(x), float(y)) for x, y in points]))
        path.closeSubpath()
        self.path(path, kind, faint)

    def path(self, path: QPainterPath, kind: str = "", faint: bool = False) -> None:
        """A path in px filled as a kind of part is."""
        p = self.palette
        fill = QColor(p.part(kind)) if kind else QColor(0, 0, 0, 0)
        if faint:
            fill.setAlphaF(0.35 if kind else 0.0)
        self.painter.setPen(QPen(QColor(p.ink3 if faint else p.ink), 1.1 * self.scale))
        self.painter.setBrush(QBrush(fill) if kind else Qt.BrushStyle.NoBrush)
        self.painter.drawPath(path)

    def box(self, a: XY, b: XY, kind: str = "", faint: bool = False) -> None:
        """A rectangle between two corners."""
        self.shape([a, (b[0], a[1]), b, (a[0], b[1])], kind, faint)

    def disc(self, x: float, y: float, radius: float, kind: str = "") -> None:
        """A filled circle."""
        path = QPainterPath()
        path.addEllipse(self.at(x, y), radius * self.per, radius * self.per)
        self.path(path, kind)

    def line(self, a: XY, b: XY, way: str = "thin") -> None:
        """A line: thin, an edge, a centre line, or dashed for what is elsewhere."""
        p, s = self.palette, self.scale
        pen = QPen(QColor(p.ink if way == "edge" else p.ink3), (1.4 if way == "edge" else 1.0) * s)
        if way == "centre":
            pen.setDashPattern([10, 3, 2, 3])
        elif way == "dashed":
            pen.setDashPattern([4, 3])
        self.painter.setPen(pen)
        self.painter.drawLine(self.at(*a), self.at(*b))

    def ground(self, y: float, x0: float, x1: float) -> None:
        """A level line with hatching below it."""
        self.line((x0, y), (x1, y), "edge")
        a, b = self.at(x0, y), self.at(x1, y)
        self.painter.setPen(QPen(QColor(self.palette.ink3), 1.0 * self.scale))
        step, x = 7.0 * self.scale, a.x() + 3 * self.scale
        while x < b.x():
            tip = QPointF(x - 4 * self.scale, a.y() + 5 * self.scale)
            self.painter.drawLine(QPointF(x, a.y()), tip)
            x += step

    def word(self, text: str, at: QPointF, align: str = "left") -> None:
        """A quiet word at a place in px."""
        self.painter.setFont(font(TEXT * self.scale, 500))
        self.painter.setPen(QColor(self.palette.ink2))
        wide = metrics(TEXT * self.scale, 500).horizontalAdvance(text)
        shift = {"left": 0.0, "middle": -wide / 2, "right": -wide}[align]
        self.painter.drawText(at + QPointF(shift, 4.5 * self.scale), text)

    # --- dimensions -----------------------------------------------------------------------------

    def lit(self, path: Path) -> bool:
        """Whether a dimension's entry has the focus."""
        return bool(path) and path == self.current

    def _colour(self, path: Path) -> QColor:
        on = self.lit(path) or (path and path == self.hovered)
        return QColor(self.palette.dye if on else self.palette.ink3)

    def _pen(self, path: Path, wide: float = 1.0) -> QPen:
        return QPen(self._colour(path), (2.0 if self.lit(path) else wide) * self.scale)

    def across(self, path: Path, a: XY, b: XY, level: float, text: str) -> None:
        """A dimension between two places along x, drawn ``level`` px below the upper edge of the
        place (from the lower edge if negative)."""
        y = self.place.top() + level * self.scale
        if level < 0:
            y = self.place.bottom() + level * self.scale
        one, other = self.at(*a), self.at(*b)
        self._between(path, one, QPointF(one.x(), y), other, QPointF(other.x(), y), text)

    def upright(self, path: Path, a: XY, b: XY, level: float, text: str) -> None:
        """A dimension between two places along y, ``level`` px from the left edge of the place
        (from the right edge if negative)."""
        x = self.place.left() + level * self.scale
        if level < 0:
            x = self.place.right() + level * self.scale
        one, other = self.at(*a), self.at(*b)
        self._between(path, one, QPointF(x, one.y()), other, QPointF(x, other.y()), text)

    def right_here(self, path: Path, a: XY, b: XY, text: str) -> None:
        """A dimension drawn straight between two places."""
        one, other = self.at(*a), self.at(*b)
        self._between(path, one, one, other, other, text)

    def _between(
        self, path: Path, one: QPointF, a: QPointF, other: QPointF, b: QPointF, text: str
    ) -> None:
        """Extension lines from the part, the line with its arrows, its figure."""
        self.painter.setPen(QPen(self._colour(path), (1.2 if self.lit(path) else 0.8) * self.scale))
        for start, end in ((one, a), (other, b)):
            far = hypot(end.x() - start.x(), end.y() - start.y())
            if far > 5 * self.scale:
                step = QPointF((end - start) / far)
                self.painter.drawLine(start + step * 3 * self.scale, end + step * 3 * self.scale)
        self.painter.setPen(self._pen(path))
        length = hypot(b.x() - a.x(), b.y() - a.y())
        way = atan2(b.y() - a.y(), b.x() - a.x())
        outside = length < 3.2 * ARROW * self.scale
        reach = QPointF(cos(way), sin(way)) * (2.4 * ARROW * self.scale if outside else 0.0)
        self.painter.drawLine(a - reach, b + reach)
        self._arrow(path, a, way + (0 if outside else pi))
        self._arrow(path, b, way + (pi if outside else 0))
        self.label(path, (a + b) / 2, text, level=abs(sin(way)) < 0.5, room=length)

    def _arrow(self, path: Path, tip: QPointF, way: float) -> None:
        """A slender arrow whose point is at ``tip`` and looks along ``way``."""
        s = self.scale * (1.25 if self.lit(path) else 1.0)
        self.painter.setBrush(self._colour(path))
        pen = self.painter.pen()
        self.painter.setPen(Qt.PenStyle.NoPen)
        back = QPointF(cos(way + pi), sin(way + pi)) * ARROW * s
        side = QPointF(-sin(way), cos(way)) * 2.0 * s
        self.painter.drawPolygon(QPolygonF([tip, tip + back + side, tip + back - side]))
        self.painter.setPen(pen)

    def leader(self, path: Path, to: XY, at: QPointF, text: str) -> None:
        """A figure at a place in px, with a line to what it is of."""
        tip = self.at(*to)
        self.painter.setPen(self._pen(path))
        self.painter.drawLine(at, tip)
        self._arrow(path, tip, atan2(tip.y() - at.y(), tip.x() - at.x()))
        self.label(path, at, text, level=True, room=1e9)

    def label(self, path: Path, at: QPointF, text: str, level: bool, room: float) -> None:
        """The figure of a dimension on a patch of the sheet; clicked, its field gets the hand."""
        s, p, lit = self.scale, self.palette, self.lit(path)
        size, weight = (TEXT + 2 if lit else TEXT) * s, 600 if lit else 500
        wide = metrics(size, weight).horizontalAdvance(text)
        high = metrics(size, weight).height()
        spot = QRectF(at.x() - wide / 2 - 4 * s, at.y() - high / 2, wide + 8 * s, high)
        if level and room < wide + 14 * s and room < 1e8:  # beside a short dimension
            spot.moveLeft(at.x() + room / 2 + 2.6 * ARROW * s)
        edge = self.place.adjusted(2 * s, 2 * s, -2 * s, -2 * s)
        spot.moveLeft(min(max(spot.left(), edge.left()), edge.right() - spot.width()))
        spot.moveTop(min(max(spot.top(), edge.top()), edge.bottom() - spot.height()))
        self.painter.setPen(Qt.PenStyle.NoPen)
        ground = QColor(p.dye if lit else p.sheet)
        ground.setAlphaF(1.0 if lit else 0.86)
        self.painter.setBrush(ground)
        self.painter.drawRoundedRect(spot, 5 * s, 5 * s)
        hot = bool(path) and path == self.hovered
        self.painter.setFont(font(size, weight))
        self.painter.setPen(QColor(p.on_dye if lit else p.dye if hot else p.ink))
        self.painter.drawText(spot, Qt.AlignmentFlag.AlignCenter, text)
        if path:
            self.spots.append((spot, path))
