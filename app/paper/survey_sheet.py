"""The measuring sheet: a sketch, and a box for every reading, for a clipboard and a soft pencil."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from app.look.palette import LIGHT
from app.paper import ink
from app.paper.about import IN_UNITS
from app.paper.ink import face, line, text
from app.paper.media import Page, write_pdf
from app.paper.survey_sketch import Brush, Sketch
from app.version import version
from kinematics.project.model import Project
from kinematics.project.survey import AngleReading, Reading
from kinematics.survey.adjust import SurveyError
from kinematics.survey.tools import is_taken
from kinematics.survey.words import Units, as_read, reading_words, to_words

WIDE, HIGH = 794, 1123  # A4
MARGIN = 44.0
ROW = 34.0
FIRST_TOP, NEXT_TOP, FOOT = 452.0, 96.0, 1050.0
BOX = 128.0
CAUTION = (
    "Stands on hard ground, never a jack alone. Take the spring out before you move the hub by "
    "hand. Say what you measured to: hole centre, near or far edge, near or far face."
)


def pages(project: Project) -> list[list[tuple[int, Reading]]]:
    """The readings by page, each with its number."""
    survey = project.survey
    if survey is None or not survey.readings:
        raise SurveyError("This project has no readings to make a sheet of; they go under survey.")
    rows = list(enumerate(survey.readings, start=1))
    first = int((FOOT - FIRST_TOP) // ROW)
    more = int((FOOT - NEXT_TOP) // ROW)
    out = [rows[:first]]
    out += [rows[i : i + more] for i in range(first, len(rows), more)]
    return out


def write_sheet(project: Project, path: Path, units: Units) -> None:
    """Write the sheet as a PDF, A4, whole or not at all.

    Raises ``SurveyError`` without readings, ``PaperError`` where it can't be written.
    """
    chapters = pages(project)
    count = len(chapters)

    def page(number: int) -> Callable[[QPainter], None]:
        rows = chapters[number - 1]
        return lambda painter: draw_page(painter, project, rows, number, count, units)

    title, about = f"Measuring sheet: {project.title}", f"Clearstroke {version()}"
    first, *rest = (Page(WIDE, HIGH, title, about, page(k)) for k in range(1, count + 1))
    write_pdf(replace(first, rest=tuple(rest)), path)


def draw_page(
    painter: QPainter,
    project: Project,
    rows: list[tuple[int, Reading]],
    number: int,
    count: int,
    units: Units,
) -> None:
    """One page: head, on the first the sketch, then the rows."""
    _head(painter, project, number, count)
    top = NEXT_TOP
    if number == 1:
        _sketches(painter, project)
        top = FIRST_TOP
    _columns(painter, top - 10)
    for k, (which, reading) in enumerate(rows):
        _row(painter, which, reading, top + k * ROW, units)
    _foot(painter, project, units)


def _head(painter: QPainter, project: Project, number: int, count: int) -> None:
    data = {"measured": "", "invented": " (invented data)", "published": " (published data)"}
    title = f"{project.title}{data[project.data]}"
    text(painter, MARGIN, 44, title, face(16, 600, True))
    text(painter, WIDE - MARGIN, 44, f"page {number} of {count}", face(12), ink.INK2, "right")
    painter.setPen(line(ink.HAIR, 1))
    painter.drawLine(QPointF(MARGIN, 55), QPointF(WIDE - MARGIN, 55))
    y = 76.0
    for x, words, wide in ((MARGIN, "Measured by", 170.0), (330.0, "Day", 110.0),
                           (510.0, "Hub height or damper length", 70.0)):  # fmt: skip
        start = x + text(painter, x, y, words, face(12), ink.INK2) + 6
        painter.setPen(line(ink.INK3, 0.8))
        painter.drawLine(QPointF(start, y + 2), QPointF(start + wide, y + 2))


def _sketches(painter: QPainter, project: Project) -> None:
    brush = Brush(LIGHT, face(9.5, 400, True), 0.9, paper=True)
    half = (WIDE - 2 * MARGIN - 12) / 2
    for k, view in enumerate(("front", "top")):
        box = QRectF(MARGIN + k * (half + 12), 88, half, 326)
        painter.setPen(line(ink.HAIR, 0.8))
        painter.drawRect(box)
        sketch = Sketch(project, view, box, brush)  # type: ignore[arg-type]
        survey = project.survey
        sketch.draw(painter, survey.readings if survey is not None else ())


def _columns(painter: QPainter, y: float) -> None:
    small = face(11, 600, True)
    for x, words in (
        (MARGIN, "No."),
        (MARGIN + 34, "What"),
        (WIDE - MARGIN - BOX - 202, "measured to"),
        (WIDE - MARGIN - BOX - 88, "with"),
        (WIDE - MARGIN - BOX, "reads"),
    ):
        text(painter, x, y, words, small, ink.INK2)
    painter.setPen(line(ink.HAIR, 1))
    painter.drawLine(QPointF(MARGIN, y + 5), QPointF(WIDE - MARGIN, y + 5))


def _row(painter: QPainter, number: int, reading: Reading, top: float, units: Units) -> None:
    base = top + 21
    text(painter, MARGIN, base, str(number), face(13, 600, True))
    room = WIDE - 2 * MARGIN - BOX - 34 - 210
    words = ink.wrapped(reading_words(reading), face(12.5), room)[:2]
    start = base if len(words) == 1 else base - 7
    for k, each in enumerate(words):
        text(painter, MARGIN + 34, start + 14 * k, each, face(12.5))
    to = "" if isinstance(reading, AngleReading) else to_words(reading) or "centre"
    text(painter, WIDE - MARGIN - BOX - 202, base, to, face(11), ink.INK2)
    text(painter, WIDE - MARGIN - BOX - 88, base, reading.tool, face(11), ink.INK2)
    box = QRectF(WIDE - MARGIN - BOX, top + 3, BOX, ROW - 7)
    painter.setPen(line(ink.INK, 1.2))
    painter.drawRect(box)
    unit = "°" if isinstance(reading, AngleReading) else units
    text(painter, box.right() - 6, base - 1, unit, face(11), ink.INK2, "right")
    if is_taken(reading):
        was = f"was {as_read(reading, units)}"
        text(painter, box.left() - 8, base + 9, was, face(8.5), ink.INK3, "right")


def _foot(painter: QPainter, project: Project, units: Units) -> None:
    y = HIGH - 52.0
    for words in ink.wrapped(CAUTION, face(10.5), WIDE - 2 * MARGIN):
        text(painter, MARGIN, y, words, face(10.5), ink.INK2)
        y += 13
    said = " · ".join(
        (project.title, date.today().isoformat(), f"Clearstroke {version()}", IN_UNITS[units])
    )
    text(painter, MARGIN, HIGH - 20, said, face(10), ink.INK3)
