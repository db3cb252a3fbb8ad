"""The live figures beside the hand: clearance, camber and toe change, what the damper has left."""

from __future__ import annotations

from app.document import live, reading
from app.document.document import Document
from app.look import numbers
from app.mount.places import describe
from kinematics.units import Units

Rows = list[tuple[str, str]]
SAME = 0.05  # mm


def rows(document: Document, told: Rows, what: str) -> Rows:
    """Of the present position, below what is ``told`` of what the hand holds."""
    if document.now is None or document.project is None:
        return []
    units = document.project.units
    worst, _ = reading.worst_now(document.now)
    found = [*told, ("clearance", reading.amount_words(worst, units))]
    if what == "mount":
        found[len(told) : len(told)] = in_all(document, units)
    figures = document.now.measures.figures
    start = reading.at_setup(document.study)
    for key, name in (("camber", "camber"), ("toe", "toe")):
        if key in figures and key in start:
            change = float(figures[key][0, 0]) - start[key]
            found.append((f"{name} change", numbers.angle(change, sign=True) + "°"))
    if (left := reading.damper_left(document.now)) is not None:
        found.append(("damper left", f"{numbers.length(left, units)} {units}"))
    return found


def in_all(document: Document, units: Units) -> Rows:
    """How far the mount is from where it first stood, if this hold took it from elsewhere."""
    offset, held = document.offset(), live.top_mount(document.drag_start)
    if offset is None or held is None or document.mount_start is None:
        return []
    if float(abs(held - document.mount_start).max()) < SAME:
        return []
    return [("in all", describe(*offset, units))]
