"""The corner as a sketch to measure by: points, links and wheel in a square view, and readings.

Drawn alike on the measuring sheet and in the window; only the colours differ.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen

from app.look.palette import Palette
from kinematics.measures.measure import wheel_axis
from kinematics.project.markings import read_tyre
from kinematics.project.model import Project
from kinematics.project.survey import (
    AcrossReading,
    DistanceReading,
    HeightReading,
    HubReading,
    LevelReading,
    OffsetReading,
    PartReading,
    PlaneReading,
    RailReading,
    Reading,
)
from kinematics.project.unfold import unfold
from kinematics.survey.network import points_in
from kinematics.survey.survey import Surveyed

Array = NDArray[np.float64]
View = Literal["front", "top", "side"]
TITLES = {"front": "from the front", "top": "from above", "side": "from outside"}
TIMES = 10.0
"""Ellipses of uncertainty are drawn so many times too large."""
ARROW = 34.0  # px


@dataclass(frozen=True)
class Brush:
    """What the sketch is drawn with: colours, type, the size of everything, what is under it."""

    palette: Palette
    font: QFont
    scale: float = 1.0
    paper: bool = False
    under: str = "#FFFFFF"

    def ink(self, name: str) -> QColor:
        """A colour of the palette by its name."""
        return QColor(getattr(self.palette, name))


class Sketch:
    """One square view of a project's points, fitted into a box."""

    def __init__(self, project: Project, view: View, box: QRectF, brush: Brush) -> None:
        self.project, self.view, self.box, self.brush = unfold(project), view, box, brush
        self.out = 1.0 if project.side == "left" else -1.0
        self.names = list(project.points)
        self._kept_free: list[QRectF] = []
        self._fit()

    def flat(self, xyz: Array) -> Array:
        """Right and up, mm, of points (..., 3) as this view sees them."""
        x, y, z = np.moveaxis(np.asarray(xyz, float), -1, 0)
        if self.view == "front":
            return np.stack([y, z], axis=-1)
        if self.view == "top":
            return np.stack([-y, x], axis=-1)
        return np.stack([-self.out * x, z], axis=-1)

    def _fit(self) -> None:
        points = np.array([self.project.points[n] for n in self.names])
        flat = np.concatenate([self.flat(points), self._wheel()])
        low, high = flat.min(axis=0), flat.max(axis=0)
        room = 26.0 * self.brush.scale
        inner = self.box.adjusted(room, room, -room, -room)
        span = np.maximum(high - low, 1.0)
        self.per_mm = min(inner.width() / span[0], inner.height() / span[1])
        middle = (low + high) / 2
        self.origin = (
            inner.center().x() - middle[0] * self.per_mm,
            inner.center().y() + middle[1] * self.per_mm,
        )

    def at(self, xyz: Array | tuple[float, float, float]) -> QPointF:
        """Where a point of the car is on the page."""
        right, up = self.flat(np.asarray(xyz, float))
        return QPointF(self.origin[0] + right * self.per_mm, self.origin[1] - up * self.per_mm)

    def point(self, name: str) -> QPointF:
        """Where a named point is on the page."""
        return self.at(self.project.points[name])

    def _wheel(self) -> Array:
        """The wheel's outline (k, 2) as this view sees it."""
        wheel = self.project.wheel
        size = read_tyre(wheel.tyre.size)
        radius = wheel.tyre.free_radius or size.diameter / 2
        width = wheel.tyre.section_width or size.width
        n = wheel_axis(self.project)
        up = np.array([0.0, 0.0, 1.0]) - n * n[2]
        up /= np.linalg.norm(up)
        ahead = np.cross(n, up)
        turn = np.linspace(0, 2 * np.pi, 49)
        ring = radius * (np.cos(turn)[:, None] * ahead + np.sin(turn)[:, None] * up)
        centre = np.array(self.project.points[wheel.centre])
        if self.view == "side":
            return self.flat(centre + ring)
        across = ring[np.argmax(np.abs(self.flat(ring)).sum(axis=1))]
        across = radius * (up if self.view == "front" else ahead)
        side = n * width / 2
        corners = [across + side, across - side, -across - side, -across + side, across + side]
        return self.flat(centre + np.array(corners))

    # --- drawing --------------------------------------------------------------------------

    def draw(
        self,
        painter: QPainter,
        readings: Sequence[Reading] = (),
        chosen: int = -1,
        suspects: Sequence[int] = (),
        found: Surveyed | None = None,
        names: bool = True,
    ) -> None:
        """Everything: wheel, links, points, the readings, the chosen and the suspect ones."""
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._draw_wheel(painter)
        self._draw_links(painter)
        for number, reading in enumerate(readings):
            if number != chosen and number not in suspects:
                self._reading(painter, reading, self.brush.ink("ink3"), 0.8, quiet=True)
        for number in suspects:
            if 0 <= number < len(readings) and number != chosen:
                self._reading(painter, readings[number], self.brush.ink("touch_fill"), 2.2)
        if 0 <= chosen < len(readings):
            colour = "touch_fill" if chosen in suspects else "dye"
            self._reading(painter, readings[chosen], self.brush.ink(colour), 3.0)
        if found is not None:
            self._ellipses(painter, found)
        held = points_in(readings[chosen], self.project) if 0 <= chosen < len(readings) else ()
        self._draw_points(painter, held, names)
        self._title(painter)
        painter.restore()

    def _draw_wheel(self, painter: QPainter) -> None:
        colour = QColor(self.brush.palette.part("tyre"))
        colour.setAlphaF(0.16 if not self.brush.palette.dark else 0.5)
        painter.setPen(QPen(self.brush.ink("hair"), 1.2 * self.brush.scale))
        painter.setBrush(Qt.BrushStyle.NoBrush if self.brush.paper else colour)
        painter.drawPolygon(
            [
                QPointF(self.origin[0] + r * self.per_mm, self.origin[1] - u * self.per_mm)
                for r, u in self._wheel()
            ]
        )

    def _draw_links(self, painter: QPainter) -> None:
        pen = QPen(QColor(self.brush.palette.part("link")), 5.0 * self.brush.scale)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        painter.setPen(pen)
        for link in self.project.links.values():
            painter.drawLine(self.point(link.inner.point), self.point(link.outer.point))
        for part in self.project.parts.values():
            run = getattr(part, "points", ())
            if getattr(part, "is_a", "") == "arm":
                for a, b in pairwise(run):
                    painter.drawLine(self.point(a), self.point(b))
        coilover = self.project.coilover
        if coilover is not None:
            pen.setStyle(Qt.PenStyle.DashLine)
            pen.setWidthF(3.0 * self.brush.scale)
            painter.setPen(pen)
            painter.drawLine(self.point(coilover.foot.point), self.point(coilover.top.point))

    def _reading(
        self, painter: QPainter, reading: Reading, colour: QColor, wide: float, quiet: bool = False
    ) -> None:
        pen = QPen(colour, wide * self.brush.scale)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        painter.setPen(pen)
        match reading:
            case DistanceReading() | PartReading() | LevelReading():
                a, b = points_in(reading, self.project)[:2]
                painter.drawLine(self.point(a), self.point(b))
            case RailReading(point=point, rail=(a, _)) | PlaneReading(point=point, plane=(a, _, _)):
                painter.drawLine(self.point(point), self.point(a))
            case HeightReading(point=point, above=above):
                if above is not None:
                    painter.drawLine(self.point(point), self.point(above))
                else:
                    self._arrow(painter, point, np.array([0.0, 0.0, -1.0]), quiet)
            case OffsetReading(point=point, string=string, way=way):
                sign = -1.0 if way in ("out", "front") else 1.0
                axis = np.array([0.0, self.out, 0.0]) if string == "centre" else np.eye(3)[0]
                self._arrow(painter, point, sign * axis, quiet)
            case AcrossReading(point=point):
                self._arrow(painter, point, np.array([0.0, -self.out, 0.0]), quiet)
            case HubReading(point=point):
                survey = self.project.survey
                if survey is not None and survey.hub_face is not None:
                    painter.drawLine(self.point(point), self.point(survey.hub_face))
            case _:
                pass

    def _arrow(self, painter: QPainter, point: str, way: Array, quiet: bool) -> None:
        """From a point towards the string or the floor it was measured from."""
        right, up = self.flat(way)
        length = float(np.hypot(right, up))
        if length < 0.3:
            return  # along the line of sight
        reach = (ARROW * 0.5 if quiet else ARROW) * self.brush.scale
        d = QPointF(right / length * reach, -up / length * reach)
        start = self.point(point)
        tip = start + d
        painter.drawLine(start, tip)
        if not quiet:
            self._kept_free.append(QRectF(start, tip).normalized().adjusted(-3, -6, 3, 6))
            side = QPointF(-d.y(), d.x()) * 0.16
            painter.drawLine(tip, tip - d * 0.28 + side)
            painter.drawLine(tip, tip - d * 0.28 - side)

    def _ellipses(self, painter: QPainter, found: Surveyed) -> None:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(self.brush.ink("clear"), 1.2 * self.brush.scale))
        turn = np.linspace(0, 2 * np.pi, 37)
        circle = np.stack([np.cos(turn), np.sin(turn)])
        for name in found.measured:
            place = found.place(name)
            # The shadow of an ellipsoid is the ellipse of the shadowed covariance.
            way = self.flat(np.eye(3)).T
            value, vector = np.linalg.eigh(way @ place.covariance @ way.T)
            half = vector * np.sqrt(np.clip(value, 0.0, None)) * 2.4477 * TIMES * self.per_mm
            ring = (half @ circle).T
            at = self.at(place.xyz)
            painter.drawPolygon([QPointF(at.x() + r, at.y() - u) for r, u in ring])

    def _draw_points(self, painter: QPainter, held: Sequence[str], names: bool) -> None:
        s = self.brush.scale
        painter.setFont(self.brush.font)
        metrics = QFontMetricsF(self.brush.font)
        taken = list(self._kept_free)
        order = sorted(self.names, key=lambda n: n not in held)
        for name in order:
            at, chosen = self.point(name), name in held
            painter.setPen(QPen(self.brush.ink("dye" if chosen else "ink2"), 1.4 * s))
            painter.setBrush(self.brush.ink("dye" if chosen else "sheet"))
            painter.drawEllipse(at, 3.2 * s, 3.2 * s)
            taken.append(QRectF(at.x() - 4 * s, at.y() - 4 * s, 8 * s, 8 * s))
        for name in order if names else held:
            self._label(painter, name, name in held, metrics, taken)

    def _label(
        self,
        painter: QPainter,
        name: str,
        chosen: bool,
        metrics: QFontMetricsF,
        taken: list[QRectF],
    ) -> None:
        """The point's name in the first free place about it; none if there is no room."""
        s, at = self.brush.scale, self.point(name)
        wide, high = metrics.horizontalAdvance(name), metrics.height()
        gap = 7 * s
        for dx, dy in (
            (gap, -high / 2),
            (-gap - wide, -high / 2),
            (gap, gap / 2),
            (gap, -gap / 2 - high),
            (-gap - wide, gap / 2),
            (-gap - wide, -gap / 2 - high),
            (-wide / 2, gap),
            (-wide / 2, -gap - high),
        ):
            box = QRectF(at.x() + dx, at.y() + dy, wide, high)
            if self.box.contains(box) and not any(box.intersects(other) for other in taken):
                taken.append(box)
                plain = QColor(self.brush.under)
                plain.setAlphaF(0.8)
                painter.fillRect(box, plain)
                painter.setPen(self.brush.ink("dye" if chosen else "ink2"))
                painter.drawText(box, Qt.AlignmentFlag.AlignCenter, name)
                return

    def _title(self, painter: QPainter) -> None:
        painter.setFont(self.brush.font)
        painter.setPen(self.brush.ink("ink3"))
        flags = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
        painter.drawText(self.box.adjusted(4, 2, 0, 0), flags, TITLES[self.view])
