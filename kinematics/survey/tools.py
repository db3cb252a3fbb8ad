"""How far a reading can be trusted, and what it means for the point itself.

The tools' figures are common practice, no source: one standard deviation, so that two readings
in three fall within it. A builder who knows better types it.
"""

from __future__ import annotations

import math

import numpy as np

from kinematics.project.model import Project
from kinematics.project.survey import (
    AcrossReading,
    AngleReading,
    DistanceReading,
    HeightReading,
    LengthReading,
    OffsetReading,
    PartReading,
    Reading,
    To,
)
from kinematics.survey.adjust import SurveyError

LENGTH_TOOLS = {"calliper": 0.1, "rule": 0.5, "tape": 1.0, "eye": 3.0}  # mm
LONG_TAPE = 1.5  # mm, where a tape is longer than an arm's reach
REACH = 1000.0  # mm
ANGLE_TOOLS = {"inclinometer": 0.1, "level": 0.2, "eye": 1.0}  # degrees
ARM = 500.0  # mm: a turn is weighed against a shift at this distance

_OUTWARD = 0.5
"""Least part of a direction that is across the car, for inner and outer to mean a side."""


def is_taken(reading: Reading) -> bool:
    """Whether it has a value."""
    return value_of(reading) is not None


def value_of(reading: Reading) -> float | None:
    """As read: mm, or degrees for an angle."""
    return reading.degrees if isinstance(reading, AngleReading) else reading.value


def sigma_of(reading: Reading, symmetry: float) -> float:
    """Its standard deviation, in mm or rad."""
    if isinstance(reading, AngleReading):
        typed = reading.give_or_take_deg
        given = ANGLE_TOOLS[reading.tool] if typed is None else max(typed, 1e-3)
        own, apart = math.radians(given), symmetry / ARM
    else:
        value = abs(reading.value or 0.0)
        usual = LENGTH_TOOLS[reading.tool]
        if reading.tool == "tape" and value > REACH:
            usual = LONG_TAPE
        own, apart = reading.give_or_take or usual, symmetry
    return math.hypot(own, apart) if reading.other_side else own


def corrected(reading: Reading, project: Project) -> float:
    """What the reading says of the points themselves, mm or rad; 0 for one not taken yet.

    Half a hole and half a plate are put back at each end, and the floor's own height.
    Raises ``SurveyError`` where inner or outer face does not say which way.
    """
    if isinstance(reading, AngleReading):
        return math.radians(reading.degrees or 0.0)
    value = (reading.value or 0.0) + correction(reading, project)
    return value


def correction(reading: LengthReading, project: Project) -> float:
    """What is added to a reading as read, mm."""
    added = sum(
        -_side(reading, number, end, project) * end.size / 2
        for number, end in enumerate(reading.to)
    )
    if isinstance(reading, AcrossReading) and len(reading.to) == 1:
        added *= 2
    if isinstance(reading, HeightReading):
        added += reading.floor_correction
    return added


def _side(reading: LengthReading, number: int, end: To, project: Project) -> float:
    """+1 if the reading ran past the point by half the size, -1 if it stopped short, 0 at it."""
    match end.kind:
        case "centre":
            return 0.0
        case "near edge" | "near face":
            return -1.0
        case "far edge" | "far face":
            return 1.0
    along = outward(reading, number, project)
    if abs(along) < _OUTWARD:
        raise SurveyError(
            "This reading does not run across the car, so inner and outer face don't say which "
            "side it was taken from: say near face or far face."
        )
    outer = 1.0 if end.kind == "outer face" else -1.0
    return outer if along > 0 else -outer


def outward(reading: LengthReading, number: int, project: Project) -> float:
    """How much of a reading's direction, at one of its ends, points out of the car (-1 to 1)."""
    if isinstance(reading, OffsetReading):
        return {"out": 1.0, "in": -1.0}.get(reading.way, 0.0)
    if isinstance(reading, AcrossReading):
        return 1.0
    pair = ends_of(reading, project)
    if pair is None:
        return 0.0
    first, second = (np.array(project.points[name]) for name in pair)
    run = (second - first) if number == 1 else (first - second)
    out = 1.0 if project.side == "left" else -1.0
    length = float(np.linalg.norm(run))
    return out * float(run[1]) / length if length > 0 else 0.0


def ends_of(reading: Reading | LengthReading, project: Project) -> tuple[str, str] | None:
    """The two points a distance or a part's length runs between; None for other readings."""
    if isinstance(reading, DistanceReading):
        return reading.between
    if isinstance(reading, PartReading):
        from kinematics.project.unfold import unfold

        return part_ends(reading.of, unfold(project))
    return None


def part_ends(name: str, project: Project) -> tuple[str, str]:
    """The eyes of a link or the damper of an unfolded project."""
    if name == "damper":
        if project.coilover is None:
            raise SurveyError("There is no coilover, so there is no damper to have a length.")
        return project.coilover.foot.point, project.coilover.top.point
    if name not in project.links:
        known = ", ".join([*project.links, *(["damper"] if project.coilover else [])])
        raise SurveyError(f'There is no link "{name}"; there are {known or "none"}.')
    link = project.links[name]
    return link.inner.point, link.outer.point
