"""The one-page report: what is wrong, where it is, and what the corner does there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainter

from app.look.palette import LIGHT, State
from app.look.signs import draw_sign
from app.paper import corner, ink
from app.paper.about import about
from app.paper.chart import columns, draw_strips
from app.paper.curves import clearance_strip, figure_strip, ruler
from app.paper.fixes_page import fixes_page
from app.paper.ink import face, line, text
from app.paper.media import Page
from app.paper.raster import Look
from app.paper.ruler import draw_ruler
from app.paper.screen import tolerance
from app.paper.sheet import footer
from kinematics.findings.finding import Finding
from kinematics.findings.give_words import say_give
from kinematics.findings.statics import fact_sentence
from kinematics.findings.words import Units, position, room, sentence, steered
from kinematics.measures import FIGURES
from kinematics.project.checks import cautions_of
from kinematics.studies.fix import Remedy
from kinematics.studies.fix_words import outcome
from kinematics.studies.study import Study
from kinematics.units import show, show_plain

WIDE, HIGH = 794, 1123  # A4
MARGIN = 44.0
HERO = QRectF(440, 70, 310, 268)
SQUARES = QRectF(MARGIN, 352, WIDE - 2 * MARGIN, 176)
CHART_TOP, CHART_HIGH = 590.0, 268.0
RULER = 122.0
STATES = {"contact": State.TOUCH, "near": State.NEAR, "limit": State.TOUCH,
          "unreachable": State.TOUCH, "clear": State.CLEAR, "end": State.CLEAR}  # fmt: skip
SET_UP = ("camber", "toe", "caster", "kpi", "scrub", "roll_centre", "damper",
          "motion_ratio")  # fmt: skip
CAUTION = (
    "A rigid model: tyre, bushes and sheet metal give, and tapes err. Check the real car through "
    "full travel, spring off, before the final weld. Support the car on stands; mind springs under "
    "load. This sizes nothing: strength, welding and approval are for a qualified engineer and "
    "your local rules."
)


def report_page(study: Study, units: Units, remedies: Sequence[Remedy] = ()) -> Page:
    """The page, ready to be written; where fixes were looked for, they follow on their own sheets.

    remedies : what `kinematics.studies.fixes.fixes` found, the best first.
    """

    def draw(painter: QPainter) -> None:
        _head(painter, study)
        _story(painter, study, units)
        worst = next((f for f in study.findings if f.point_a is not None), None)
        _pictures(painter, study, worst, units)
        _chart(painter, study, worst, units)
        _table(painter, study, units, _first_fix(remedies, units))
        _figures(painter, study, units)
        _foot(painter, study, units)

    about_it, title = about(study, units), f"Corner report: {study.project.title}"
    sheet = fixes_page(study.project, remedies, units) if remedies else None
    rest = () if sheet is None else (replace(sheet, rest=()), *sheet.rest)
    return Page(WIDE, HIGH, title, about_it, draw, rest)


def _first_fix(remedies: Sequence[Remedy], units: Units) -> str:
    """The best fix in a line; empty if there is none."""
    if not remedies or remedies[0].fix is None:
        return ""
    words = remedies[0].fix.words
    said = f"First fix: {words[:1].lower()}{words[1:]}: {outcome(remedies[0], units)}."
    return f"{said} See the sheets of fixes."


def _head(painter: QPainter, study: Study) -> None:
    text(painter, MARGIN, 44, study.project.title, face(16, 600, True))
    data = {"measured": "", "invented": "invented data", "published": "published data"}
    side = f"{study.project.side} side"
    right = " · ".join(w for w in (data[study.project.data], side, date.today().isoformat()) if w)
    text(painter, WIDE - MARGIN, 44, right, face(12, 400), ink.INK2, "right")
    painter.setPen(line(ink.HAIR, 1))
    painter.drawLine(QPointF(MARGIN, 55), QPointF(WIDE - MARGIN, 55))


def _story(painter: QPainter, study: Study, units: Units) -> None:
    """The worst finding as the headline, the next ones below it."""
    left, wide, y = MARGIN + 34, HERO.left() - MARGIN - 58, 98.0
    shown = [f for f in study.findings if f.kind != "end"][:4]
    if not shown:
        text(painter, MARGIN, y, "Nothing to check.", face(29, 600, True))
        return
    headline, detail = sentence(shown[0], units)
    if not study.findings[0].is_problem:
        headline = f"Nothing touches. {headline}"
    draw_sign(painter, LIGHT, STATES[shown[0].kind], QPointF(MARGIN + 12, y - 9), 12)
    for words in ink.wrapped(headline, face(29, 600, True), wide):
        text(painter, left, y, words, face(29, 600, True))
        y += 33
    y += 2
    for words in ink.wrapped(detail, face(14), wide):
        text(painter, left, y - 8, words, face(14), ink.INK2)
        y += 19
    for finding in shown[1:]:
        y = _sentence(painter, finding, units, left, y + 9, wide)
        if y > HERO.bottom() - 30:
            break
    rest = sum(f.is_problem for f in study.findings) - sum(f.is_problem for f in shown)
    if rest > 0:
        text(painter, left, y + 8, f"{rest} more in the table below.", face(13), ink.INK2)


def _sentence(
    painter: QPainter, finding: Finding, units: Units, left: float, y: float, wide: float
) -> float:
    draw_sign(painter, LIGHT, STATES[finding.kind], QPointF(MARGIN + 12, y - 4), 7)
    headline, detail = sentence(finding, units)
    for words in ink.wrapped(headline, face(15, 500), wide):
        text(painter, left, y, words, face(15, 500))
        y += 19
    for words in ink.wrapped(detail, face(12.5), wide):
        text(painter, left, y, words, face(13), ink.INK2)
        y += 17
    return y


def _pictures(painter: QPainter, study: Study, worst: Finding | None, units: Units) -> None:
    index = _position(study, worst)
    parts = {} if index is None else corner.solids(study, index)
    if not parts:
        return
    point = np.zeros(3) if worst is None or worst.point_a is None else np.array(worst.point_a)
    hero = corner.best_view(parts, study.out, point)
    low, high = corner.extent(parts, hero)
    centre = (float(low[0] + high[0]) / 2, float(low[1] + high[1]) / 2)
    scale = min(HERO.width() / (high[0] - low[0]), (HERO.height() - 8) / (high[1] - low[1]))
    look = corner.draw_view(painter, HERO, parts, hero, centre, float(scale))
    _contact(painter, HERO, look, worst, units, with_tag=True)
    _squares(painter, study, parts, worst, units)


def _position(study: Study, worst: Finding | None) -> int | None:
    """The reached position nearest to the worst finding, or to set-up height; None if none is."""
    travel, rack = (worst.travel, worst.rack) if worst else (0.0, 0.0)
    away = np.abs(study.travel - travel)[:, None] + np.abs(study.rack - rack)[None, :]
    away = np.where(study.reached, away, np.inf)
    best = int(np.argmin(away))
    return best if np.isfinite(away.ravel()[best]) else None


def _squares(
    painter: QPainter,
    study: Study,
    parts: corner.Parts,
    worst: Finding | None,
    units: Units,
) -> None:
    """Front, outside and above at one scale, side by side."""
    seen = [(v, *corner.extent(parts, v)) for v in corner.views(study.out)]
    gap = 26.0
    wides = [float(high[0] - low[0]) for _, low, high in seen]
    highs = [float(high[1] - low[1]) for _, low, high in seen]
    scale = min((SQUARES.width() - 2 * gap) / sum(wides), SQUARES.height() / max(highs))
    spare = (SQUARES.width() - sum(wides) * scale) / 2
    left = SQUARES.left()
    for (view, low, high), wide in zip(seen, wides, strict=True):
        area = QRectF(left, SQUARES.top(), wide * scale, SQUARES.height())
        middle = (float(low[0] + high[0]) / 2, float(low[1] + high[1]) / 2)
        look = corner.draw_view(painter, area, parts, view, middle, scale)
        _contact(painter, area, look, worst, units, with_tag=False)
        text(
            painter,
            area.center().x(),
            SQUARES.bottom() + 18,
            view.name,
            face(12, 400, True),
            ink.INK2,
            "middle",
        )
        left += wide * scale + spare


def _contact(
    painter: QPainter,
    area: QRectF,
    look: Look,
    worst: Finding | None,
    units: Units,
    with_tag: bool,
) -> None:
    if worst is None or worst.point_a is None or worst.point_b is None:
        return
    middle = (np.array(worst.point_a) + np.array(worst.point_b)) / 2
    seen = look.place(middle)
    at = QPointF(area.left() + seen[0], area.top() + seen[1])
    colour = QColor(LIGHT.state(STATES[worst.kind]))
    corner.mark(painter, at, colour)
    if not with_tag:
        return
    word = "overlap" if worst.amount < 0 else "clear"
    words = (f"{room(worst.amount, units)} {word}", ", ".join(worst.parts))
    place = QPointF(area.right() - 150, area.top() - 2)
    if at.x() > area.center().x():
        place = QPointF(area.left() + 4, area.top() - 2)
    corner.tag(painter, at, place, words, colour)


def _chart(painter: QPainter, study: Study, worst: Finding | None, units: Units) -> None:
    strips = [clearance_strip(study, units)]
    strips += [
        figure_strip(study, k, units)
        for k in ("camber", "toe", "motion_ratio")
        if k in study.measures.figures
    ]
    axis = ruler(study, units, worst.travel if worst else None)
    area = QRectF(MARGIN + RULER, CHART_TOP, WIDE - 2 * MARGIN - RULER, CHART_HIGH)
    text(painter, MARGIN + 19, CHART_TOP - 8, f"travel {units}", face(12, 500, True), ink.INK2)
    for column, strip in zip(columns(area, strips), strips, strict=True):
        x = column.left() + 6
        used = text(painter, x, CHART_TOP - 8, strip.title, face(13, 600, True))
        text(painter, x + used + 5, CHART_TOP - 8, strip.unit, face(12, 400, True), ink.INK2)
    draw_strips(painter, area, axis, strips, about=4)
    draw_ruler(painter, QRectF(MARGIN, area.top(), RULER, area.height()), axis)


TABLE_TOP = 904.0
TABLE_ROWS = 5
FIRST = ("rides", "ground", "ground flat", "bump stops", "droop stops", "hose reach")
TABLE_WIDE = 470.0
NOTES_TOP = HIGH - 97.0


def _table(painter: QPainter, study: Study, units: Units, fix: str) -> None:
    """Every finding in a row: what, how much, where, from where on, the rule."""
    heads = (("", 0.0), ("What", 18.0), (f"Room {units}", 218.0), ("With give", 270.0),
             ("Worst at", 324.0), ("Touches from", 376.0), ("Rule", 450.0))  # fmt: skip
    y = TABLE_TOP
    for word, x in heads:
        text(painter, MARGIN + x, y, word, face(11, 600, True), ink.INK2)
    painter.setPen(line(ink.HAIR, 1))
    painter.drawLine(QPointF(MARGIN, y + 5), QPointF(MARGIN + TABLE_WIDE, y + 5))
    rows = [f for f in study.findings if f.kind != "end"]
    most = TABLE_ROWS - 2 if fix else TABLE_ROWS
    for finding in rows[:most]:
        y += 18
        draw_sign(painter, LIGHT, STATES[finding.kind], QPointF(MARGIN + 6, y - 4), 5)
        for (_, x), words in zip(heads[1:], _row(finding, units), strict=True):
            text(painter, MARGIN + x, y, words, face(12, 500 if x == 18 else 400, True))
    y += 6 if fix else 0
    for words in ink.wrapped(fix, face(12, 500, True), TABLE_WIDE - 18) if fix else ():
        y += 16
        text(painter, MARGIN + 18, y, words, face(12, 500, True))
    if len(rows) > most:
        more = f"and {len(rows) - most} more in findings.json"
        text(painter, MARGIN + 18, y + 17, more, face(11, 400, True), ink.INK2)
    else:
        _facts(painter, study, units, y + 22)


def _facts(painter: QPainter, study: Study, units: Units, y: float) -> None:
    """Cautions, where it rides and what stops it, in the room the table leaves."""
    small = face(12, 400, True)
    said = [f"Look again: {c}" for c in cautions_of(study.project)]
    rest = [f for f in study.facts if not f.problem]
    rest.sort(key=lambda f: FIRST.index(f.kind) if f.kind in FIRST else len(FIRST))
    said += [fact_sentence(f, units).headline for f in rest]
    for words in said:
        if y > NOTES_TOP - 14:
            break
        if ink.width(words, small) <= TABLE_WIDE:
            text(painter, MARGIN + 18, y, words, small, ink.INK2)
            y += 16


def _row(f: Finding, units: Units) -> tuple[str, str, str, str, str, str]:
    onset = f.touches if f.kind == "contact" else f.under
    ends = [position(v, units, True) for v in (onset.bump, onset.droop) if v is not None]
    has = f.kind in ("contact", "near", "clear")
    size = _signed(f.amount, units) if has else ""
    given = "" if f.give is None else _signed(min(f.give.amount, f.amount), units)
    first = ", ".join(dict.fromkeys(ends)) + ("" if f.kind == "contact" or not ends else " (rule)")
    rule = "" if f.rule is None else show_plain(f.rule, units, bare=True)
    what = ", ".join(f.parts) if has else f.reason or f.kind
    return what, size, given or "–", position(f.travel, units), first or "–", rule


def _signed(amount: float, units: Units) -> str:
    return ("−" if amount < 0 else "") + room(amount, units).split()[0]


def _figures(painter: QPainter, study: Study, units: Units) -> None:
    """What the corner measures at set-up height, straight ahead, or as near as was looked at."""
    index = _position(study, None)
    if index is None:
        return
    i, j = np.unravel_index(index, study.reached.shape)
    left, y = WIDE - MARGIN - 190, TABLE_TOP
    where = position(float(study.travel[i]), units)
    place = "At set-up height" if where == "0" else f"At {where} of travel"
    head = place + steered(float(study.rack[j]), units)
    text(painter, left, y, head, face(11, 600, True), ink.INK2)
    painter.setPen(line(ink.HAIR, 1))
    painter.drawLine(QPointF(left, y + 5), QPointF(WIDE - MARGIN, y + 5))
    y += 4
    found = {key: study.measures.figures.get(key) for key in SET_UP}
    told = {k: float(v[i, j]) for k, v in found.items() if v is not None and np.isfinite(v[i, j])}
    step = min(14.5, (NOTES_TOP - 15 - y) / max(1, len(told)))  # all of them above the notes
    for key, value in told.items():
        y += step
        text(painter, left, y, FIGURES[key].label, face(12, 400, True))
        words = show(value, FIGURES[key].quantity, units)
        text(painter, WIDE - MARGIN, y, words, face(12, 600, True), align="right")


def _foot(painter: QPainter, study: Study, units: Units) -> None:
    small = face(10.5, 400)
    racks = f", at {len(study.rack)} rack positions" if len(study.rack) > 1 else ""
    note = (
        f"{len(study.names)} pairs checked at {len(study.travel)} travels and between them{racks}; "
        f"calculation error at most {tolerance(study.tolerance, units)}. Room is "
        "never overstated; an overlap is the least that must go. "
    )
    if give := say_give(study.given, study.project, units):
        note += f"{give} "
    y = NOTES_TOP
    for words in ink.wrapped(note + CAUTION, small, WIDE - 2 * MARGIN):
        text(painter, MARGIN, y, words, small, ink.INK2)
        y += 13
    footer(painter, WIDE, HIGH, study, units)
