"""The live figures beside the hand: clearance, camber and toe change, what the damper has left."""

from __future__ import annotations

import numpy as np

from app.document import live, reading
from app.document.board import Board
from app.document.document import Document
from app.document.places import describe
from app.look import numbers
from kinematics.units import Units

Rows = list[tuple[str, str]]
SAME = 0.05  # mm
TURNED = ("camber", "toe")
RESHAPES = ("point", "grip")
"""Holds that change the corner where it stands as measured."""


def rows(document: Document, told: Rows, what: str, board: Board) -> Rows:
    """Of the present position, below what is ``told`` of what the hand holds.

    ``board`` : the ruler's, which knows what ends the travel.
    """
    if document.now is None or document.project is None:
        return []
    units = document.project.units
    worst, _ = reading.worst_now(document.now)
    found = [*told, ("clearance", reading.amount_words(worst, units))]
    if what == "pull" and (why := stopped(document.travel, board)):
        found.insert(len(told), ("stopped by", why))
    if what == "mount":
        found[len(told) : len(told)] = in_all(document, units)
    found += reshaped(document, units) if what in RESHAPES else turned(document)
    if (left := reading.damper_left(document.now)) is not None:
        found.append(("damper left", f"{numbers.length(left, units)} {units}"))
    return found


def stopped(travel: float, board: Board) -> str:
    """What the wheel can't be pulled past here; '' if it can."""
    ends = ((board.high, board.high_reason), (board.low, board.low_reason))
    return next((why for end, why in ends if abs(travel - end) < SAME), "")


def turned(document: Document) -> Rows:
    """How far camber and toe are from what they are at set-up height."""
    assert document.now is not None
    figures, start = document.now.measures.figures, reading.at_setup(document.study)
    return [
        (f"{key} change", f"{numbers.angle(float(figures[key][0, 0]) - start[key], sign=True)}°")
        for key in TURNED
        if key in figures and key in start
    ]


def reshaped(document: Document, units: Units) -> Rows:
    """What a moved point does to camber and toe in full bump; at set-up they are as measured."""
    study, pose, (_, high) = document.study, document.pose, document.limits
    if study is None or pose is None:
        return []
    i = int(np.argmin(np.abs(np.asarray(study.travel) - high)))
    j = live.column(study, document.rack)
    travel, rack = float(study.travel[i]), float(study.rack[j])
    figures, before = live.figures_at(pose, travel, rack), study.measures.figures
    found = []
    for key in TURNED:
        if key in figures and key in before:
            change = figures[key] - float(before[key][i, j])
            told = f"{numbers.angle(change, sign=True)}°" if np.isfinite(change) else "out of reach"
            found.append((f"{key} change at {numbers.travel(travel, units)} {units}", told))
    return found


def in_all(document: Document, units: Units) -> Rows:
    """How far the mount is from where it first stood, if this hold took it from elsewhere."""
    offset, held = document.offset(), live.top_mount(document.drag_start)
    if offset is None or held is None or document.mount_start is None:
        return []
    if float(abs(held - document.mount_start).max()) < SAME:
        return []
    return [("in all", describe(*offset, units))]
