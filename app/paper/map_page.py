"""A sheet of the map: where the top mount can go in a plane, and what stops it elsewhere."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF

from app.look.palette import LIGHT
from app.look.signs import diamond, hatch, star
from app.paper import ink
from app.paper.about import about_project
from app.paper.ink import face, line, text
from app.paper.map_dxf import marked
from app.paper.map_lie import lie_of
from app.paper.map_table import TITLE
from app.paper.media import Page
from app.paper.sheet import foot
from kinematics.findings.phrases import Units
from kinematics.studies.place_words import say_limits, say_standing, say_tightest, say_where
from kinematics.studies.places import contours
from kinematics.studies.study import Setting
from kinematics.studies.top_map import TopMap
from kinematics.units import unit_of

Array = NDArray[np.float64]

WIDE, HIGH = 794, 1123  # A4
MARGIN = 44.0
FIELD = QRectF(96, 132, 600, 600)
NOTE_TOP = HIGH - 98.0
NOTE = (
    "At every place the corner goes through its own travel there. Shown is the least room of any "
    "pair of parts that the place changes; between the places looked at the lines are straight. A "
    "rigid model: check the real car through full travel, spring off, before the final weld. "
    "Support the car on stands; mind springs under load. Welding is for a qualified engineer and "
    "your local rules."
)


def map_page(setting: Setting, plan: TopMap, units: Units) -> Page:
    """The sheet, ready to be written."""

    def draw(painter: QPainter) -> None:
        project = setting.project
        text(painter, MARGIN, 44, project.title, face(16, 600, True))
        seen = f"top mount, {lie_of(plan, project).words(units)}"
        text(painter, WIDE - MARGIN, 44, seen, face(12), ink.INK2, "right")
        painter.setPen(line(ink.HAIR, 1))
        painter.drawLine(QPointF(MARGIN, 55), QPointF(WIDE - MARGIN, 55))
        text(painter, MARGIN, 92, _headline(plan), face(24, 600, True))
        _Field(setting, plan, units).draw(painter)
        _legend(painter, plan)
        _words(painter, setting, plan, units)
        y = NOTE_TOP
        for each in ink.wrapped(NOTE, face(10.5), WIDE - 2 * MARGIN):
            text(painter, MARGIN, y, each, face(10.5), ink.INK2)
            y += 13
        foot(painter, WIDE, HIGH, about_project(project, units))

    title = f"{TITLE}: {setting.project.title}"
    return Page(WIDE, HIGH, title, about_project(setting.project, units), draw)


def _headline(plan: TopMap) -> str:
    if np.isnan(plan.margin).all():
        return "The damper can't stand at any of these places."
    clear, kept = int(np.sum(plan.clearance >= 0.0)), int(plan.good.sum())
    return f"Of {plan.margin.size} places {clear} touch nothing, {kept} keep all rules."


class _Field:
    """The painted square."""

    def __init__(self, setting: Setting, plan: TopMap, units: Units) -> None:
        self.plan, self.units, self.lie = plan, units, lie_of(plan, setting.project)
        spans = np.ptp(plan.along), np.ptp(plan.across)
        self.per = min(FIELD.height() / max(spans[0], 1.0), FIELD.width() / max(spans[1], 1.0))
        self.middle = (
            float(plan.along[0] + plan.along[-1]) / 2,
            float(plan.across[0] + plan.across[-1]) / 2,
        )

    def spot(self, row: float, column: float) -> QPointF:
        centre = FIELD.center()
        right, up = self.lie.spot(row - self.middle[0], column - self.middle[1])
        return QPointF(centre.x() + right * self.per, centre.y() - up * self.per)

    def draw(self, painter: QPainter) -> None:
        plan = self.plan
        ends = (self.spot(float(plan.along[k]), float(plan.across[k])) for k in (0, -1))
        box = QRectF(*ends).normalized()
        painter.save()
        painter.setClipRect(box)
        painter.fillRect(box, hatch(QColor(LIGHT.touch_wash), 6, rising=False))
        near, good = self._area(plan.clearance), self._area(plan.room)
        painter.fillPath(near, QColor(LIGHT.sheet))
        painter.fillPath(near, hatch(LIGHT.near_fill, 5, rising=True, width=1.6))
        painter.fillPath(good, QColor(LIGHT.clear_fill))
        painter.restore()
        self._lines(painter)
        painter.setPen(line(ink.INK3, 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(box)
        self._ticks(painter, box)
        self._marks(painter)

    def _area(self, figure: Array) -> QPainterPath:
        """The area where a figure is 0 or more, to the edge of the map."""
        plan = self.plan
        x = np.concatenate([[plan.along[0] - 1e-6], plan.along, [plan.along[-1] + 1e-6]])
        y = np.concatenate([[plan.across[0] - 1e-6], plan.across, [plan.across[-1] + 1e-6]])
        path = QPainterPath()
        path.setFillRule(Qt.FillRule.OddEvenFill)
        for ring in contours(x, y, np.pad(figure, 1, constant_values=np.nan), 0.0):
            path.addPolygon(QPolygonF([self.spot(float(a), float(b)) for a, b in ring]))
        return path

    def _lines(self, painter: QPainter) -> None:
        plan = self.plan
        rule = QPen(QColor(LIGHT.clear), 1.8)
        rule.setDashPattern([4, 3])
        limit = QPen(QColor(LIGHT.ink), 1.4)
        limit.setDashPattern([1, 3])
        for figure, pen in (
            (plan.clearance, QPen(QColor(LIGHT.ink), 1.8)),
            (plan.margin, rule),
            (plan.limits.spare, limit),
        ):
            painter.setPen(pen)
            for each in contours(plan.along, plan.across, np.minimum(figure, 1e6), 0.0):
                painter.drawPolyline(QPolygonF([self.spot(float(a), float(b)) for a, b in each]))
        self._slots(painter)

    def _slots(self, painter: QPainter) -> None:
        """What the plate's slots reach, heavy where everything is in order."""
        if self.plan.slots is None:
            return
        (rear, fore), (least, most) = self.plan.slots
        box = QRectF(self.spot(fore, most), self.spot(rear, least)).normalized()
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(QColor(LIGHT.ink), 1.2))
        painter.drawRoundedRect(box, 4, 4)
        if not self.plan.with_tower:
            painter.save()
            painter.setClipRect(box)
            painter.setPen(QPen(QColor(LIGHT.clear), 3.0))
            painter.drawPath(self._area(self.plan.room))
            painter.restore()

    def _ticks(self, painter: QPainter, box: QRectF) -> None:
        small, plan = face(11, 400, True), self.plan
        unit = unit_of("length", self.units).size
        step = 10.0 if self.units == "mm" else 0.5
        painter.setPen(line(ink.INK3, 1))
        for value in _steps(plan.along / unit, step):
            at = self.spot(value * unit, self.middle[1])
            painter.setPen(line(ink.INK3, 1))
            painter.drawLine(QPointF(box.left() - 5, at.y()), QPointF(box.left(), at.y()))
            text(painter, box.left() - 9, at.y() + 4, _signed(value), small, ink.INK2, "right")
        for value in _steps(plan.across / unit, step):
            at = self.spot(self.middle[0], value * unit)
            painter.setPen(line(ink.INK3, 1))
            painter.drawLine(QPointF(at.x(), box.bottom()), QPointF(at.x(), box.bottom() + 5))
            words = _signed(self.lie.told * value)
            text(painter, at.x(), box.bottom() + 18, words, small, ink.INK2, "middle")
        middle = box.center()
        words = f"{self.lie.rows}, {self.units}"
        text(painter, middle.x(), box.top() - 8, words, small, ink.INK2, "middle")
        words = f"{self.lie.columns}, {self.units}"
        text(painter, middle.x(), box.bottom() + 36, words, small, ink.INK2, "middle")

    def _marks(self, painter: QPainter) -> None:
        """Where it stands, the place with most room, and the middle of the safe area."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        here = self.spot(0.0, 0.0)
        painter.setPen(QPen(QColor(LIGHT.dye), 2.0))
        painter.setBrush(QColor(LIGHT.sheet))
        painter.drawEllipse(here, 8, 8)
        painter.drawLine(here + QPointF(-8, 0), here + QPointF(8, 0))
        painter.drawLine(here + QPointF(0, -8), here + QPointF(0, 8))
        spots = marked(self.plan)
        painter.setPen(QPen(QColor(LIGHT.clear), 2.0))
        if "BEST" in spots:
            painter.drawPolygon(star(self.spot(*spots["BEST"]), 9))
        if "MIDDLE" in spots:
            painter.drawPolygon(diamond(self.spot(*spots["MIDDLE"]), 7))


def _legend(painter: QPainter, plan: TopMap) -> None:
    y, small = FIELD.bottom() + 62, face(12, 400)
    x = MARGIN
    for fill, words in (
        (QColor(LIGHT.clear_fill), "everything in order"),
        (
            hatch(LIGHT.near_fill, 5, rising=True, width=1.6),
            "touches nothing, but a rule or limit is broken",
        ),
        (hatch(QColor(LIGHT.touch_wash), 6, rising=False), "touches, or can't be had"),
    ):
        box = QRectF(x, y - 11, 20, 13)
        painter.fillRect(box, fill)
        painter.setPen(line(ink.HAIR, 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(box)
        x += 28 + text(painter, x + 27, y, words, small) + 22
    x, y = MARGIN, y + 22
    painter.setPen(QPen(QColor(LIGHT.clear), 1.6))
    painter.setBrush(QColor(LIGHT.sheet))
    painter.drawPolygon(star(QPointF(x + 10, y - 5), 8))
    x += 28 + text(painter, x + 27, y, "most room", small) + 22
    painter.setPen(QPen(QColor(LIGHT.clear), 1.6))
    painter.setBrush(QColor(LIGHT.sheet))
    painter.drawPolygon(diamond(QPointF(x + 10, y - 5), 6))
    x += 28 + text(painter, x + 27, y, "middle of the largest safe area", small) + 22
    painter.setPen(QPen(QColor(LIGHT.dye), 1.6))
    painter.drawEllipse(QPointF(x + 10, y - 5), 6, 6)
    x += 28 + text(painter, x + 27, y, "where it is", small) + 22
    if plan.limits.wrong.any():
        pen = QPen(QColor(LIGHT.ink), 1.4)
        pen.setDashPattern([1, 3])
        painter.setPen(pen)
        painter.drawLine(QPointF(x, y - 5), QPointF(x + 20, y - 5))
        x += 28 + text(painter, x + 27, y, "limit of joints or spring", small) + 22
    if plan.slots is not None:
        painter.setPen(QPen(QColor(LIGHT.ink), 1.2))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRoundedRect(QRectF(x, y - 11, 20, 13), 3, 3)
        text(painter, x + 27, y, "the plate's slots", small)


def _words(painter: QPainter, setting: Setting, plan: TopMap, units: Units) -> None:
    y, wide, small = FIELD.bottom() + 107, WIDE - 2 * MARGIN, face(11)
    for name, (i, j) in _places(plan):
        at = say_where(setting, plan, i, j, units)
        said = say_tightest(setting, plan, i, j, units)
        title = name if at == "not moved" else f"{name}: {at}"
        text(painter, MARGIN, y, title, face(12.5, 600))
        wrong, rest = say_limits(plan, i, j, units)
        words = [f"{said[:1].upper()}{said[1:]}.", *wrong, *rest] if said else []
        for each in ink.wrapped(" ".join(words) or say_standing(plan.limits, i, j), small, wide):
            y += 14
            if y < NOTE_TOP - 14:
                text(painter, MARGIN, y, each, small, ink.INK2)
        y += 18


def _places(plan: TopMap) -> Sequence[tuple[str, tuple[int, int]]]:
    from kinematics.studies.places import middle_of

    here = int(np.argmin(np.abs(plan.along))), int(np.argmin(np.abs(plan.across)))
    off = max(map(abs, plan.place(*here))) > 0.05
    found = [("Nearest to where it is" if off else "Where it is", here)]
    if not np.isnan(plan.margin).all():
        found.append(("Most room", plan.best))
    if plan.best_in_slots is not None and not plan.with_tower:
        found.append(("Most room in the slots", plan.best_in_slots))
    if (middle := middle_of(plan.good)) is not None:
        found.append(("Middle of the safe area", middle))
    return found


def _steps(values: Array, step: float) -> list[float]:
    first = math.ceil(float(values.min()) / step - 1e-9)
    last = math.floor(float(values.max()) / step + 1e-9)
    return [k * step for k in range(first, last + 1)]


def _signed(value: float) -> str:
    return f"{value + 0.0:g}".replace("-", "−")
