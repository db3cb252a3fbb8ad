"""A sheet of statics: where it rides, what stops it, what the joints use, where the load goes."""

from __future__ import annotations

from datetime import date

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from app.look.numbers import plain
from app.look.palette import LIGHT, State
from app.look.signs import draw_sign
from app.paper import ink
from app.paper.about import about
from app.paper.chart import columns, draw_strips
from app.paper.curves import ruler
from app.paper.force_picture import draw_forces, hardest
from app.paper.ink import face, line, text
from app.paper.media import Page
from app.paper.ruler import draw_ruler
from app.paper.sheet import footer
from app.paper.statics_curves import statics_strips
from kinematics.findings.joint_words import JOINT_SENTENCES
from kinematics.findings.spring_words import SPRING_SENTENCES
from kinematics.findings.statics import CAUTION, fact_sentence
from kinematics.findings.words import Units, position
from kinematics.statics.fact import Fact
from kinematics.statics.loading import Settled, top_force
from kinematics.studies.study import Study
from kinematics.units import chart_unit, unit_of

WIDE, HIGH = 794, 1123  # A4
MARGIN = 44.0
WORDS_TOP, WORDS_FOOT, WORDS_WIDE = 82.0, 506.0, 424.0
PICTURE_WIDE, PICTURE_TOP, PICTURE_HIGH = 236.0, 58.0, 450.0
CHART_TOP, CHART_HIGH, RULER = 540.0, 196.0, 122.0
TABLE_TOP = 786.0
CASES_SHOWN, ROWS_SHOWN, ROWS_FOOT, ROW = 6, 15, 988.0, 16.0
IN_THE_TABLE = ("force",)  # facts that the table and the picture tell
LAST = ("rates", "coils")  # told where there is room
NAME_WIDE = 176.0
NOTE = (
    "Forces in {} where spring and stops carry each load case: links and coilover along their "
    "length, pull positive, push negative; other joints by size. The arrows are what the chassis "
    "is pushed and pulled with in the case that loads the top mount most. Load cases are multiples "
    "of this corner's weight"
)


def statics_page(study: Study, units: Units) -> Page:
    """The sheet, ready to be written; it says so where nothing is known."""

    def draw(painter: QPainter) -> None:
        spare = _spare(study, units)
        left = WIDE - MARGIN - PICTURE_WIDE
        picture = QRectF(left, PICTURE_TOP, PICTURE_WIDE, PICTURE_HIGH + spare)
        _head(painter, study)
        _words(painter, study, units, WORDS_FOOT + spare)
        draw_forces(painter, picture, study)
        _chart(painter, study, units, CHART_TOP + spare)
        _forces(painter, study, units, TABLE_TOP + spare)
        footer(painter, WIDE, HIGH, study, units)

    return Page(WIDE, HIGH, f"Springs and forces: {study.project.title}", about(study, units), draw)


def _spare(study: Study, units: Units) -> float:
    """What a short table of forces leaves for the words above it, px."""
    loading = study.statics.loading if study.statics else None
    if loading is None or not loading.settled:
        return ROWS_FOOT - TABLE_TOP
    rows = min(len(_rows(study, loading.settled[:1], units)), ROWS_SHOWN)
    return max(0.0, ROWS_FOOT - TABLE_TOP - 20.0 - ROW * rows)


def _head(painter: QPainter, study: Study) -> None:
    text(painter, MARGIN, 44, study.project.title, face(16, 600, True))
    right = f"springs, stops, joints, forces · {date.today().isoformat()}"
    text(painter, WIDE - MARGIN, 44, right, face(12, 400), ink.INK2, "right")
    painter.setPen(line(ink.HAIR, 1))
    painter.drawLine(QPointF(MARGIN, 55), QPointF(WIDE - MARGIN, 55))


def _words(painter: QPainter, study: Study, units: Units, foot: float) -> None:
    """Every fact in its sentence, problems first, as far as there is room."""
    y, wide = WORDS_TOP, WORDS_WIDE
    facts = _told(study)
    if not facts:
        text(painter, MARGIN, y, "Nothing is known of springs or loads.", face(15, 500))
    for fact in facts:
        headline, detail = fact_sentence(fact, units)
        detail = detail.replace(CAUTION, "").strip()
        head = ink.wrapped(headline, face(13, 500), wide)
        rest = ink.wrapped(detail, face(11.5), wide) if detail else []
        if y + 15.5 * len(head) + 13.5 * len(rest) > foot:
            text(painter, MARGIN + 20, y, "and more in findings.json", face(11.5), ink.INK2)
            break
        state = State.TOUCH if fact.problem else State.CLEAR
        draw_sign(painter, LIGHT, state, QPointF(MARGIN + 6, y - 4), 5)
        for words in head:
            text(painter, MARGIN + 20, y, words, face(13, 500))
            y += 15.5
        for words in rest:
            text(painter, MARGIN + 20, y - 1, words, face(11.5), ink.INK2)
            y += 13.5
        y += 6


def _told(study: Study) -> list[Fact]:
    """Facts of springs, joints and forces that neither table nor picture tells."""
    kinds = (SPRING_SENTENCES.keys() | JOINT_SENTENCES.keys()) - set(IN_THE_TABLE)
    facts = [fact for fact in study.facts if fact.kind in kinds]
    return sorted(facts, key=lambda fact: (not fact.problem, fact.kind in LAST))


def _chart(painter: QPainter, study: Study, units: Units, top: float) -> None:
    strips = statics_strips(study, units)
    if not strips:
        return
    axis = ruler(study, units)
    area = QRectF(MARGIN + RULER, top, WIDE - 2 * MARGIN - RULER, CHART_HIGH)
    text(painter, MARGIN + 19, top - 8, f"travel {units}", face(12, 500, True), ink.INK2)
    for column, strip in zip(columns(area, strips), strips, strict=True):
        x = column.left() + 6
        used = text(painter, x, top - 8, strip.title, face(13, 600, True))
        text(painter, x + used + 5, top - 8, strip.unit, face(12, 400, True), ink.INK2)
    draw_strips(painter, area, axis, strips, about=4)
    draw_ruler(painter, QRectF(MARGIN, area.top(), RULER, area.height()), axis)


def _forces(painter: QPainter, study: Study, units: Units, top: float) -> None:
    """Members down, load cases across; then the top mount's push by direction."""
    loading = study.statics.loading if study.statics else None
    if loading is None or not loading.settled:
        return
    shown = shown_cases(study)
    y = _cases(painter, shown, units, top)
    rows = _rows(study, shown, units)[:ROWS_SHOWN]
    unit = chart_unit("force", units)
    step = min(ROW, (ROWS_FOOT - y) / len(rows))
    small = face(12 if step > 14 else 11, 400, True)
    for name, values in rows:
        y += step
        text(painter, MARGIN, y, name, small)
        for i, value in enumerate(values):
            x, words = _column(i, len(shown)), plain(value, unit.decimals)
            text(painter, x, y, words, small, align="right")
    y += 22
    usual = " (the usual ones: common practice, no source)" if loading.usual else ""
    more = " Other cases are in forces.csv." if len(loading.settled) > len(shown) else ""
    left, name = (
        max(s.forces.unbalance.max() for s in loading.settled),
        unit_of("force", units).name,
    )
    balance = f"Every body balances within 0.000001 {name}. " if left <= 1e-6 else ""
    for words in ink.wrapped(
        f"{NOTE.format(unit.name)}{usual}.{more} {balance}{CAUTION}", face(11), WIDE - 2 * MARGIN
    ):
        text(painter, MARGIN, y, words, face(11), ink.INK2)
        y += 13.5


def shown_cases(study: Study) -> tuple[Settled, ...]:
    """The first load cases, the one in the picture among them."""
    known, most = study.statics, hardest(study)
    settled = known.loading.settled if known is not None and known.loading is not None else ()
    first = settled[:CASES_SHOWN]
    return first if most is None or most in first else (*first[:-1], most)


def _cases(painter: QPainter, shown: tuple[Settled, ...], units: Units, top: float) -> float:
    """The heads of the table: the case, and where it settles; returns the last line's height."""
    bold, small = face(11.5, 600, True), face(11, 400, True)
    room = (WIDE - 2 * MARGIN - NAME_WIDE) / len(shown) - 8
    for i, settled in enumerate(shown):
        x = _column(i, len(shown))
        for k, words in enumerate(reversed(ink.wrapped(settled.case, bold, room))):
            text(painter, x, top - 13 * k, words, bold, ink.INK2, "right")
        where = f"at {position(settled.travel, units)}"
        text(painter, x, top + 14, where, small, ink.INK2, "right")
    text(painter, MARGIN, top, "Force in", bold, ink.INK2)
    text(painter, MARGIN, top + 14, "the wheel stands", small, ink.INK2)
    painter.setPen(line(ink.HAIR, 1))
    painter.drawLine(QPointF(MARGIN, top + 19), QPointF(WIDE - MARGIN, top + 19))
    return top + 20


def _rows(study: Study, shown: tuple[Settled, ...], units: Units) -> list[tuple[str, list[float]]]:
    """Each joint's force as the sheet shows it, then the three parts of the top mount's."""
    unit = chart_unit("force", units)
    coilover = study.statics.project.coilover if study.statics else None
    rows: list[tuple[str, list[float]]] = []
    for name in shown[0].pushes:
        pushes = [unit.of(-settled.pushes.get(name, 0.0)) for settled in shown]
        if any(pushes):
            rows.append(("spring seat" if name == "spring" else name, pushes))
    for k, joint in enumerate(shown[0].forces.joints):
        same = [settled.forces.joints[k] for settled in shown if len(settled.forces.joints) > k]
        if joint.axial is None:
            alone = sum(j.member == joint.member for j in shown[0].forces.joints) == 1
            name = joint.member if alone else f"{joint.member}, {joint.place}"
            values = [float(j.size[0, 0]) for j in same]
        else:
            sign = -1.0 if joint.member == "coilover" else 1.0
            name = joint.member
            values = [sign * float(j.axial[0, 0]) for j in same if j.axial is not None]
        rows.append((name, [unit.of(value) for value in values]))
    if coilover is not None:
        out = study.out
        point = coilover.top.point
        forces = unit.of(np.array([top_force(s.forces, point)[0, 0] for s in shown]))
        for name, values_ in (
            ("top mount, up", forces[:, 2]),
            ("top mount, forward", forces[:, 0]),
            ("top mount, inboard", -out * forces[:, 1]),
        ):
            rows.append((name, values_.tolist()))
    return rows


def _column(i: int, count: int) -> float:
    room = WIDE - 2 * MARGIN - NAME_WIDE
    return MARGIN + NAME_WIDE + room * (i + 1) / count
