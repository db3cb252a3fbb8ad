"""What every sheet carries: a title above, and below it project, date, version and units."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from app.paper import ink
from app.paper.about import about
from app.paper.chart import Strip, draw_strips
from app.paper.curves import ruler
from app.paper.ink import face, line, text
from app.paper.media import Page
from app.paper.ruler import draw_ruler
from kinematics.findings.words import Units
from kinematics.studies.study import Study

MARGIN = 40.0
WIDE, HIGH = 620, 800
RULER = 132.0


def footer(painter: QPainter, wide: float, high: float, study: Study, units: Units) -> None:
    """The line along the foot of a sheet."""
    foot(painter, wide, high, about(study, units))


def foot(painter: QPainter, wide: float, high: float, words: str) -> None:
    """A line of words along the foot of a sheet, as small as it must be."""
    y = high - MARGIN + 6
    painter.setPen(line(ink.HAIR, 1))
    painter.drawLine(QPointF(MARGIN, y - 16), QPointF(wide - MARGIN, y - 16))
    small = face(11, 400)
    while ink.width(words, small) > wide - 2 * MARGIN and small.pixelSize() > 8:
        small = face(small.pixelSize() - 1, 400)
    text(painter, MARGIN, y, words, small, ink.INK2)


def plot_page(study: Study, strip: Strip, units: Units, note: str, level: float | None) -> Page:
    """One figure against travel, on a sheet of its own."""

    def draw(painter: QPainter) -> None:
        unit = f" {strip.unit}" if strip.unit else ""
        wide = text(painter, MARGIN, 58, strip.title, face(29, 600, True))
        text(painter, MARGIN + wide + 8, 58, unit.strip(), face(18, 400, True), ink.INK2)
        for i, words in enumerate(ink.wrapped(note, face(14), WIDE - 2 * MARGIN)[:2]):
            text(painter, MARGIN, 80 + 18 * i, words, face(14), ink.INK2)
        area = QRectF(MARGIN + RULER, 126, WIDE - 2 * MARGIN - RULER, HIGH - 126 - 84)
        axis = ruler(study, units, level)
        text(painter, MARGIN + 19, 116, f"travel {units}", face(12, 500, True), ink.INK2)
        draw_strips(painter, area, axis, [strip], about=6)
        draw_ruler(painter, QRectF(MARGIN, area.top(), RULER, area.height()), axis)
        footer(painter, WIDE, HIGH, study, units)

    title = f"{strip.title} against travel: {study.project.title}"
    return Page(WIDE, HIGH, title, about(study, units), draw)
