"""The figures of springs and stops at every position, with what each means."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kinematics.measures import Figure
from kinematics.motion import Motion, move
from kinematics.project.model import Coilover
from kinematics.statics import ride, sprung
from kinematics.statics.course import STEP, lines_of
from kinematics.statics.curves import Floats
from kinematics.statics.elements import Element, main_and_inner, seats
from kinematics.statics.sprung import SpringSheet

_ALL = (
    Figure(
        "stroke_used", "Damper stroke used", "length",
        "How far the damper is pushed in from pulled right out, eye to eye.",
        "its definition",
    ),
    Figure(
        "stroke_left", "Damper stroke left", "length",
        "How far it can still be pushed in before a stop on the coilover ends it: bump stop at "
        "its solid height, or the damper shut.",
        "its definition",
    ),
    Figure(
        "stop_squash", "Bump stop squash", "length",
        "How far the bump stop on the damper is squashed; 0 before it meets.",
        "its definition",
    ),
    Figure(
        "spring_room", "Spring length", "length",
        "Room between the spring's seats: its length while it is not loose.",
        "its definition",
    ),
    Figure(
        "spring_loose", "Spring loose", "length",
        "How far the spring's free length falls short of its room; negative while it is squashed.",
        "its definition",
    ),
    Figure(
        "spring_left", "Spring left", "length",
        "Room left above the spring's shortest safe length.",
        "EN 13906-1, from memory",
    ),
    Figure(
        "spring_turn", "Turn of hat and seat", "angle",
        "How far the spring's ends turn against each other from free when nothing holds them.",
        "Wahl, Mechanical Springs, from memory",
    ),
    Figure(
        "spring_force", "Spring force", "force",
        "What the spring pushes with along the damper.",
        "EN 13906-1, from memory",
    ),
    Figure(
        "stop_force", "Force in stops", "force",
        "What bump stops push with along their own lines; pulling stops count negative.",
        "as typed, or usual (common practice, no source)",
    ),
    Figure(
        "wheel_force", "Wheel force", "force",
        "What springs and stops hold up at the wheel centre.",
        "virtual work",
    ),
    Figure(
        "wheel_rate", "Wheel rate", "force_per_length",
        "How fast the wheel force grows with bump, with the term from the changing motion ratio.",
        "virtual work",
    ),
)  # fmt: skip

#: Every figure of statics by its key, in the order they are shown in.
FIGURES: dict[str, Figure] = {figure.key: figure for figure in _ALL}


def figures(
    motion: Motion,
    elements: Sequence[Element],
    coilover: Coilover | None,
    sheet: SpringSheet | None,
) -> dict[str, Floats]:
    """The figures at every position of a motion: key to (nz, ns), NaN where not reached.

    Those that need what the project does not have, such as a spring's free length, are left out.
    """
    shape = motion.shape
    out: dict[str, Floats] = {}
    if not elements:
        return out
    lengths, slopes = lines_of(motion, elements)
    yielding = [i for i, e in enumerate(elements) if e.kind != "hard"]
    soft = [elements[i] for i in yielding]
    bare = lengths[yielding], slopes[yielding]
    if any(element.kind == "spring" for element in elements):
        out["wheel_force"] = _finite(ride.wheel_force(soft, *bare))
        out["wheel_rate"] = _finite(ride.wheel_rate(soft, *bare, _bends(motion, soft)))
    stops = [i for i in yielding if elements[i].kind == "soft"]
    out["stop_force"] = _finite(
        sum((elements[i].push(lengths[i]) for i in stops), start=np.zeros(shape))
    )
    out |= _of_damper(elements, lengths, coilover)
    if coilover is not None and sheet is not None:
        out |= _of_spring(elements, lengths, coilover, sheet)
    reached = motion.reached
    return {key: np.where(reached, out[key], np.nan) for key in FIGURES if key in out}


def _bends(motion: Motion, elements: Sequence[Element]) -> Floats:
    """Second slopes of the elements over the grid, by the five-point rule on exact slopes."""

    shifted = np.concatenate([motion.travel + i * STEP for i in (-2, -1, 1, 2)])
    there = move(motion.linkage, shifted, motion.rack, stops=False, start=motion)
    out, back, forth, away = np.split(lines_of(there, elements)[1], 4, axis=1)
    return np.asarray((8.0 * (forth - back) - (away - out)) / (12.0 * STEP))


def _of_damper(
    elements: Sequence[Element], lengths: Floats, coilover: Coilover | None
) -> dict[str, Floats]:
    if coilover is None:
        return {}
    ends = (coilover.foot, coilover.top)
    mine = [i for i, e in enumerate(elements) if e.ends == ends]
    length = lengths[mine[0]]
    shut = max(
        elements[i].ends_at for i in mine if elements[i].way > 0 and elements[i].kind != "spring"
    )
    out = {"stroke_used": coilover.open - length, "stroke_left": length - shut}
    for i in mine:
        if elements[i].name == "bump stop":
            out["stop_squash"] = np.maximum(elements[i].squash(length), 0.0)
    return out


def _of_spring(
    elements: Sequence[Element], lengths: Floats, coilover: Coilover, sheet: SpringSheet
) -> dict[str, Floats]:
    assert coilover.spring is not None
    ends = (coilover.foot, coilover.top)
    length = next(x for e, x in zip(elements, lengths, strict=True) if e.ends == ends)
    room = length - seats(coilover.spring)
    out = {"spring_room": room}
    if sheet.least_room is not None:
        out["spring_left"] = room - sheet.least_room
    if sheet.free is not None:
        out["spring_loose"] = room - sheet.free
        squash = np.maximum(sheet.free - room, 0.0)
        out["spring_turn"] = sprung.turn(coilover.spring, _of_main(squash, coilover, sheet))
    for element, along in zip(elements, lengths, strict=True):
        if element.kind == "spring":
            out["spring_force"] = _finite(element.push(along))
    return out


def _of_main(squash: Floats, coilover: Coilover, sheet: SpringSheet) -> Floats:
    """The main spring's part of the stack's squash; NaN past its solid length."""
    spring = coilover.spring
    assert spring is not None
    pair = main_and_inner(spring)
    if pair is None or sheet.curve is None:
        return squash
    if spring.helper is not None:
        force = sheet.curve.at(squash)
        known = np.isfinite(force)
        squash = np.where(known, pair.squash_for(np.where(known, force, 0.0)), np.nan)
    later = max(spring.inner.free - spring.free, 0.0) if spring.inner and spring.free else 0.0
    return np.maximum(squash - later, 0.0)


def _finite(values: Floats) -> Floats:
    """Infinite forces, past a solid stop, are whatever they must be: not a number here."""
    return np.where(np.isfinite(values), values, np.nan)
