"""All fixes in a table: how much of each, what it settles, what it changes, what work it is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date
from typing import Literal

from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainter

from app.look.palette import LIGHT, State
from app.look.signs import draw_sign
from app.paper import ink
from app.paper.about import about_project
from app.paper.ink import face, line, text
from app.paper.media import Page
from app.paper.sheet import foot
from kinematics.findings.phrases import Units
from kinematics.project.model import Project
from kinematics.studies.cure import Work
from kinematics.studies.fix import Amount, Fix, Remedy
from kinematics.studies.fix_words import instruction
from kinematics.units import MINUS, unit_of

WIDE, HIGH = 1123, 794  # A4, lying
MARGIN = 44.0
TOP, STEP = 104.0, 15.0
ROWS = 40
"""Rows on one sheet."""
WORK = {
    Work.ADJUSTED: "adjusted",
    Work.BOLTED: "bolted on",
    Work.CUT: "cut, welded",
    Work.REMADE: "made again",
}
COLUMNS: tuple[tuple[str, float, Literal["left", "right"]], ...] = (
    ("Fix", 20.0, "left"),
    ("Stops touching", 372.0, "right"),
    ("Keeps rules", 446.0, "right"),
    ("Wrong still", 508.0, "right"),
    ("New trouble", 572.0, "right"),
    ("Camber", 626.0, "right"),
    ("Toe", 672.0, "right"),
    ("Track", 720.0, "right"),
    ("Bump", 766.0, "right"),
    ("Droop", 814.0, "right"),
    ("Ride", 856.0, "right"),
    ("Scrub", 902.0, "right"),
    ("Work", 916.0, "left"),
)
NOTE = (
    "Amounts in {units}, as they can be had, before rounding up in brackets; a dash: not by any "
    "amount looked at; of two fixes together the amount of the second. Camber and toe in degrees "
    "at set-up height; track is one wheel's way out; bump and droop are travel gained; ride is how "
    "far the car stands higher."
)


def fixes_tables(project: Project, remedies: Sequence[Remedy], units: Units) -> tuple[Page, ...]:
    """Sheets with a row for every fix, the best first; none where there is none."""
    sheets = [tuple(remedies[k : k + ROWS]) for k in range(0, len(remedies), ROWS)]
    return tuple(
        _sheet(project, rows, units, f"{n} of {len(sheets)}" if len(sheets) > 1 else "")
        for n, rows in enumerate(sheets, start=1)
    )


def _sheet(project: Project, rows: tuple[Remedy, ...], units: Units, number: str) -> Page:
    def draw(painter: QPainter) -> None:
        text(painter, MARGIN, 44, project.title, face(16, 600, True))
        right = " · ".join(w for w in ("all fixes", number, date.today().isoformat()) if w)
        text(painter, WIDE - MARGIN, 44, right, face(12), ink.INK2, "right")
        painter.setPen(line(ink.HAIR, 1))
        painter.drawLine(QPointF(MARGIN, 55), QPointF(WIDE - MARGIN, 55))
        for word, x, side in COLUMNS:
            text(painter, MARGIN + x, TOP - 20, word, face(10.5, 600, True), ink.INK2, side)
        painter.drawLine(QPointF(MARGIN, TOP - 14), QPointF(WIDE - MARGIN, TOP - 14))
        for k, remedy in enumerate(rows):
            _row(painter, remedy, units, TOP + STEP * k)
        for k, each in enumerate(
            ink.wrapped(NOTE.format(units=units), face(10.5), WIDE - 2 * MARGIN)
        ):
            text(painter, MARGIN, HIGH - 70 + 13 * k, each, face(10.5), ink.INK2)
        foot(painter, WIDE, HIGH, about_project(project, units))

    about = about_project(project, units)
    return Page(WIDE, HIGH, f"All fixes: {project.title}", about, draw)


def _row(painter: QPainter, remedy: Remedy, units: Units, y: float) -> None:
    small = face(10.5, 400, True)
    name = f"{remedy.name[:1].upper()}{remedy.name[1:]}"
    fix = remedy.fix
    if fix is None:
        text(painter, MARGIN + 20, y, name, small, ink.INK2)
        why = instruction(remedy.why_not.removeprefix(f"{name}: "), units)
        room = WIDE - 2 * MARGIN - 300
        lines = ink.wrapped(why, small, room)
        text(painter, MARGIN + 300, y, lines[0] + (" …" if len(lines) > 1 else ""), small, ink.INK2)
        return
    state = State.CLEAR if fix.cures_all else State.NEAR
    if any(fix.gaps[n].low < 0.0 for n in (*fix.leaves, *fix.breaks)):
        state = State.TOUCH
    draw_sign(painter, LIGHT, state, QPointF(MARGIN + 8, y - 4), 4.5)
    change = fix.effects
    cells = (
        name, *_amounts(remedy, fix, units),
        _count(len(fix.leaves)), _count(len(fix.breaks) + len(fix.spoils)),
        _signed(math.degrees(change.camber), 2), _signed(math.degrees(change.toe), 2),
        *(_length(mm, units) for mm in (change.half_track, change.bump, change.droop, change.ride,
                                        change.scrub)),
        WORK[fix.work],
    )  # fmt: skip
    for (_, x, side), words in zip(COLUMNS, cells, strict=True):
        text(painter, MARGIN + x, y, words, small, align=side)


def _amounts(remedy: Remedy, fix: Fix, units: Units) -> tuple[str, str]:
    """What stops the touching and what keeps the rules; of two fixes how much of the second."""
    if remedy.count > 1:
        return "", _amount(Amount(fix.amount, fix.amount, fix.project), units).split(" (")[0]
    return _amount(remedy.touching, units), _amount(remedy.rules, units)


def _amount(amount: Amount | None, units: Units) -> str:
    if amount is None:
        return "–"
    unit = unit_of("length", units)
    had, exact = (f"{unit.of(v):.{unit.decimals}f}" for v in (amount.amount, amount.exact))
    return f"{had} ({exact})"


def _count(number: int) -> str:
    return "–" if number == 0 else str(number)


def _length(mm: float, units: Units) -> str:
    unit = unit_of("length", units)
    return _signed(unit.of(mm), unit.decimals)


def _signed(value: float, places: int) -> str:
    words = f"{value:+.{places}f}".replace("-", MINUS)
    return "–" if not any(c in "123456789" for c in words) else words
