"""A survey as text on the screen of a terminal, and as a record for another program."""

from __future__ import annotations

import textwrap
from functools import lru_cache
from typing import Any

import numpy as np

from kinematics.errors import ClearstrokeError
from kinematics.measures import measure
from kinematics.motion import corner, move
from kinematics.project.model import Project
from kinematics.survey import Surveyed
from kinematics.survey.built import Built, Moved, as_built, dates, left_against_right
from kinematics.survey.helps import Plan
from kinematics.survey.tools import value_of
from kinematics.survey.words import (
    Units,
    as_read,
    decider_words,
    loose_words,
    point_words,
    reading_words,
    suspect_words,
    twin_words,
    unchecked,
    verdict,
)
from kinematics.units import show_angle, show_length, show_plain

_WIDE = 92
_MOST = 8


def screen(found: Surveyed, units: Units, other: Surveyed | None = None) -> str:
    """Verdict, suspects, questions, points, then what it is at set-up height."""
    lines = [_title(found), *_wrapped(verdict(found, units))]
    lines += _suspects(found, units)
    for twin in found.twins:
        lines += ["", *_wrapped(twin_words(twin, units))]
    for loose in found.loose:
        lines += ["", *_wrapped(loose_words(loose))]
    lines += _points(found, units)
    lines += _stance(found, units)
    lines += setup_lines(found.project, units)
    lines += _poorly_checked(found)
    lines += _built(found, units)
    if other is not None:
        lines += _against(found, other, units)
    return "\n".join(lines)


def _title(found: Surveyed) -> str:
    data = found.original.data
    days = dates(found.net.readings)
    on = f", taken {days[0]}" + (f" to {days[-1]}" if len(days) > 1 else "") if days else ""
    return found.original.title + ("" if data == "measured" else f" ({data} data)") + on


def _wrapped(words: str, mark: str = "") -> list[str]:
    return textwrap.wrap(words, _WIDE, initial_indent=mark, subsequent_indent=" " * len(mark))


def _suspects(found: Surveyed, units: Units) -> list[str]:
    suspects = found.judged.suspects
    if not suspects:
        return []
    many = len(suspects) > 1
    lines = ["", "Any one of these may be the wrong one:" if many else "Look at this one again:"]
    for suspect in suspects[:_MOST]:
        lines += _wrapped(suspect_words(found, suspect, units), "  - ")
    if len(suspects) > _MOST:
        lines.append(f"  and {len(suspects) - _MOST} more.")
    if found.decider is not None:
        lines += _wrapped(decider_words(found, found.decider, units))
    elif many:
        lines.append("No single further reading tells them apart: take these again.")
    return lines


def _points(found: Surveyed, units: Units) -> list[str]:
    lines = ["", f"Points, {units}, each give or take (19 times in 20):"]
    wide = max(len(name) for name in found.measured)
    lines += [f"  {name:<{wide}} {point_words(found, name, units)}" for name in found.measured]
    rest = [name for name in found.net.project.points if name not in found.measured]
    if rest:
        lines += _wrapped(f"Not measured, taken as they stand: {', '.join(rest)}.")
    return lines


def _stance(found: Surveyed, units: Units) -> list[str]:
    stands = found.net.survey.stands
    said = []
    stance = found.fit.state.stance
    for at, (name, words) in enumerate(
        (
            ("nose_up_deg", "nose up"),
            ("left_up_deg", "left side up"),
            ("turned_deg", "turned left"),
            ("forward", "ahead of the axle string"),
            ("left", "left of the centre string"),
            ("lifted", "above set-up height"),
        )
    ):
        if getattr(stands, name) is None:
            value = float(stance[at])
            amount = show_angle(value) if at < 3 else show_length(value, units)
            said.append(f"{amount} {words}")
    return ["", f"The body stood {', '.join(said)}."] if said else []


def setup_lines(project: Project, units: Units) -> list[str]:
    """Camber, toe, hub and damper at set-up height, worked out from where it was measured."""
    try:
        linkage = corner(project)
        motion = move(linkage, [0.0], stops=False)
        figures = measure(project, motion)
    except ClearstrokeError as error:
        return ["", *_wrapped(f"At set-up height: {error}")]
    hub = motion.point(project.wheel.centre)[0, 0]
    said = [
        f"camber {show_angle(float(figures['camber'][0, 0]))}",
        f"toe {show_angle(float(figures['toe'][0, 0]))}",
        f"hub at {show_length(float(hub[1]), units)} across and "
        f"{show_length(float(hub[2]), units)} up",
    ]
    damper = float(figures["damper"][0, 0])
    if np.isfinite(damper):
        said.append(f"damper {show_length(damper, units)}")
    return ["", *_wrapped(f"At set-up height: {', '.join(said)}.")]


def _poorly_checked(found: Surveyed) -> list[str]:
    left = unchecked(found)
    if not left or found.fit.surplus <= 0:
        return []
    names = "; ".join(reading_words(r) for r in left[:_MOST])
    more = f"; and {len(left) - _MOST} more" if len(left) > _MOST else ""
    return [
        "",
        *_wrapped(f"Nothing checks these, so a slip in them would not show: {names}{more}."),
    ]


@lru_cache(maxsize=4)
def built_of(found: Surveyed) -> Built | None:
    """What the readings after tacking say; None where there are none."""
    survey = found.original.survey
    if survey is None or not survey.as_built:
        return None
    return as_built(found.original, found)


def _built(found: Surveyed, units: Units) -> list[str]:
    built = built_of(found)
    if built is None:
        return []
    days = dates(built.found.net.readings)
    lines = ["", f"As built{f', {days[-1]}' if days else ''}, against the plan:"]
    lines += [_moved(m, units) for m in built.moved]
    if not built.found.judged.agree:
        lines += _wrapped("The readings after tacking don't agree among themselves.")
        for suspect in built.found.judged.suspects[:_MOST]:
            lines += _wrapped(suspect_words(built.found, suspect, units), "  - ")
    lines += _clearance_change(built, units)
    return lines


def _moved(moved: Moved, units: Units) -> str:
    shift = ", ".join(show_length(float(v), units) for v in moved.shift)
    if not moved.sure:
        return f"  {moved.point}: where it should be, as far as the tape can tell ({shift})"
    return f"  {moved.point}: {show_length(moved.length, units)} off: {shift} (x, y, z)"


def _clearance_change(built: Built, units: Units) -> list[str]:
    """What the movement means in clearance, before the final weld."""
    from kinematics.studies.measured import cost_of_moving

    lines = []
    for change in cost_of_moving(built.found.original, built.project):
        was, now = (show_length(v, units) for v in (change.before, change.after))
        a, b = change.parts
        lines.append(f"  {a} to {b}: {was} as planned, {now} as built")
    if not lines:
        return ["  It changes no clearance by more than half a millimetre."]
    return ["  In clearance (overlap is negative):", *lines]


def _against(found: Surveyed, other: Surveyed, units: Units) -> list[str]:
    lines = ["", f"Against {other.original.title}:"]
    lines += [_moved(m, units) for m in left_against_right(found, other)]
    return lines


def plan_screen(planned: Plan, units: Units) -> str:
    """Which readings suffice, before anything is measured."""
    net = planned.net
    lines = [net.project.title, f"{len(net.readings)} readings planned."]
    open_ = [name for name, spread in planned.spread.items() if not np.isfinite(spread)]
    if open_:
        lines += _wrapped(f"They don't fix {', '.join(open_)}.")
    else:
        worst = max(planned.spread, key=lambda name: planned.spread[name])
        lines += _wrapped(
            f"They fix every point; least surely {worst}, to "
            f"{show_length(planned.spread[worst], units)} (one standard deviation)."
        )
    if planned.suffices:
        slip = show_plain(20.0, units)
        return "\n".join([*lines, f"They suffice: a slip of {slip} in any of them would be seen."])
    if planned.added:
        lines.append("Add these, and what they can fix and check is fixed and checked:")
        lines += [f"  {n}. {reading_words(r)}" for n, r in enumerate(planned.added, start=1)]
    if planned.unchecked:
        names = "; ".join(reading_words(r) for r in planned.unchecked[:_MOST])
        lines += _wrapped(f"Take these twice, since no other reading checks them: {names}.")
    return "\n".join(lines)


def record(found: Surveyed, other: Surveyed | None = None) -> dict[str, Any]:
    """The same as plain data, lengths in mm and angles in degrees."""
    judged, fit = found.judged, found.fit
    return {
        "title": found.original.title,
        "data": found.original.data,
        "agree": judged.agree,
        "chi_square": fit.chi_square,
        "limit": judged.limit if np.isfinite(judged.limit) else None,
        "surplus": fit.surplus,
        "points": {name: _place(found, name) for name in found.measured},
        "readings": [_reading(found, i) for i in range(len(found.net.readings))],
        "suspects": [
            {
                "reading": s.reading,
                "words": suspect_words(found, s),
                "too_large_by": _own(found, s.reading, s.size),
                "slips": [slip.words for slip in found.slips(s.reading)],
            }
            for s in judged.suspects
        ],
        "decides": None if found.decider is None else decider_words(found, found.decider),
        "not_fixed": {loose.point: loose_words(loose) for loose in found.loose},
        "two_places": {t.point: [t.here.tolist(), t.there.tolist()] for t in found.twins},
        "against": None
        if other is None
        else {m.point: m.shift.tolist() for m in left_against_right(found, other)},
    }


def _place(found: Surveyed, name: str) -> dict[str, Any]:
    place = found.place(name)
    return {
        "xyz_mm": place.xyz.tolist(),
        "sigma_mm": np.sqrt(np.diag(place.covariance)).tolist(),
        "half_axes_mm": place.half_axes.tolist(),
    }


def _own(found: Surveyed, number: int, amount: float) -> float:
    angle = not hasattr(found.net.readings[number], "value")
    return float(np.degrees(amount)) if angle else float(amount)


def _reading(found: Surveyed, number: int) -> dict[str, Any]:
    reading, judged = found.net.readings[number], found.judged
    smallest = judged.smallest[number]
    return {
        "what": reading_words(reading),
        "read": value_of(reading),
        "residual": _own(found, number, float(found.fit.residual[number])),
        "w": float(judged.w[number]),
        "redundancy": float(found.fit.redundancy[number]),
        "smallest_seen": _own(found, number, float(smallest)) if np.isfinite(smallest) else None,
    }


__all__ = ["as_read", "built_of", "plan_screen", "record", "screen", "setup_lines"]
