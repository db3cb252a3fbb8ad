"""A sheet of fixes: what would put the corner right, ranked, with what each undoes."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainter

from app.look.palette import LIGHT, State
from app.look.signs import draw_sign
from app.paper import ink
from app.paper.about import about_project
from app.paper.fixes_table import fixes_tables
from app.paper.ink import face, line, text
from app.paper.media import Page
from app.paper.sheet import foot
from kinematics.findings.phrases import Units
from kinematics.project.model import Project
from kinematics.studies.cure import BENT, FITS, STUDS
from kinematics.studies.fix import Remedy
from kinematics.studies.fix_words import (
    amounts,
    instruction,
    outcome,
    say_cannot,
    say_closer,
    say_dear,
    say_effects,
    say_nearest,
    say_spoilt,
    say_studs,
    say_work,
)

WIDE, HIGH = 794, 1123  # A4
MARGIN = 44.0
FOOT = HIGH - 84.0
NOTE = (
    "Amounts keep the rules (or just stop the touching, where that is said) over the whole travel "
    "and between positions, rounded up to what a shop can do. Each was checked again with every "
    "pair of parts. Support the car on stands; mind springs under load. Welding, bent arms and "
    "other wheels are for a qualified engineer and your local rules."
)


def fixes_page(project: Project, remedies: Sequence[Remedy], units: Units) -> Page:
    """The sheet, ready to be written; the best fixes first, as many as there is room for.

    All of them follow in a table.
    """

    def draw(painter: QPainter) -> None:
        _head(painter, project)
        y = _summary(painter, remedies, 88.0)
        good = [remedy for remedy in remedies if remedy.fix is not None]
        for k, remedy in enumerate(good):
            lines = _words(remedy, units)
            if y + _height(lines) > FOOT - 24:
                rest = len(good) - k
                text(
                    painter,
                    MARGIN + 26,
                    y + 4,
                    f"and {rest} that do less: see the table",
                    face(12),
                    ink.INK2,
                )
                y += 24
                break
            y = _fix(painter, remedy, lines, y)
        _cannot(painter, [r for r in remedies if r.fix is None], y + 6, units)
        y = FOOT
        for each in ink.wrapped(NOTE, face(10.5), WIDE - 2 * MARGIN):
            text(painter, MARGIN, y, each, face(10.5), ink.INK2)
            y += 13
        foot(painter, WIDE, HIGH, about_project(project, units))

    about, rest = about_project(project, units), fixes_tables(project, remedies, units)
    return Page(WIDE, HIGH, f"Fixes: {project.title}", about, draw, rest)


def _head(painter: QPainter, project: Project) -> None:
    text(painter, MARGIN, 44, project.title, face(16, 600, True))
    text(painter, WIDE - MARGIN, 44, f"fixes · {date.today().isoformat()}", face(12), ink.INK2,
         "right")  # fmt: skip
    painter.setPen(line(ink.HAIR, 1))
    painter.drawLine(QPointF(MARGIN, 55), QPointF(WIDE - MARGIN, 55))


def _summary(painter: QPainter, remedies: Sequence[Remedy], y: float) -> float:
    whole = sum(r.fix is not None and r.fix.cures_all for r in remedies)
    words = f"{whole} of {len(remedies)} fixes put everything right on their own."
    if not remedies:
        words = "Nothing touches and every rule is kept."
    elif whole == 0:
        words = f"None of {len(remedies)} fixes puts everything right on its own."
    text(painter, MARGIN, y, words, face(22, 600, True))
    return y + 34


def _words(remedy: Remedy, units: Units) -> tuple[list[str], list[str], list[str]]:
    """The instruction, what comes of it, and what it undoes, in lines that fit."""
    fix = remedy.fix
    assert fix is not None
    wide = WIDE - 2 * MARGIN - 26
    said = outcome(remedy, units)
    rest = [say_spoilt(fix, units), say_effects(fix.effects, units), say_closer(fix, units)]
    rest += [
        say_dear(fix),
        say_studs(fix, units),
        amounts(remedy, units),
        say_work(fix),
        *(c for c in (STUDS, FITS, BENT) if c in fix.caution),
    ]
    rest.append(say_nearest(fix, units))
    return (
        ink.wrapped(instruction(fix.words, units), face(14, 600, True), wide),
        ink.wrapped(f"{said[:1].upper()}{said[1:]}.", face(13, 500), wide),
        ink.wrapped(" ".join(part for part in rest if part), face(11.5), wide),
    )


def _height(words: tuple[list[str], list[str], list[str]]) -> float:
    return 17.0 * len(words[0]) + 16.5 * len(words[1]) + 14.0 * len(words[2]) + 12.0


def _fix(
    painter: QPainter, remedy: Remedy, words: tuple[list[str], list[str], list[str]], y: float
) -> float:
    fix = remedy.fix
    assert fix is not None
    state = State.CLEAR if fix.cures_all else State.NEAR
    if any(fix.gaps[n].low < 0.0 for n in (*fix.leaves, *fix.breaks)):
        state = State.TOUCH
    draw_sign(painter, LIGHT, state, QPointF(MARGIN + 8, y - 5), 7)
    for lines, style, step, colour in (
        (words[0], face(14, 600, True), 17.0, ink.INK),
        (words[1], face(13, 500), 16.5, ink.INK),
        (words[2], face(11.5), 14.0, ink.INK2),
    ):
        for each in lines:
            text(painter, MARGIN + 26, y, each, style, colour)
            y += step
    return y + 12.0


def _cannot(painter: QPainter, remedies: Sequence[Remedy], y: float, units: Units) -> None:
    """Those that can't, and why, in the room that is left."""
    for why in say_cannot(remedies, units):
        lines = ink.wrapped(why, face(11.5), WIDE - 2 * MARGIN - 26)
        if y + 14.0 * len(lines) > FOOT - 10:
            return
        for words in lines:
            text(painter, MARGIN + 26, y, words, face(11.5), ink.INK2)
            y += 14.0
