"""The readings of the other side of the car, as if the corner had been measured there."""

from __future__ import annotations

from msgspec.structs import replace

from kinematics.project.survey import LeanReading, PlaneReading, Reading, Survey


def mirrored_survey(survey: Survey) -> Survey:
    """The survey of the mirror image: leaning left for right, planes turning the other way."""
    stands = survey.stands
    return replace(
        survey,
        readings=tuple(_reading(r) for r in survey.readings),
        as_built=tuple(_reading(r) for r in survey.as_built),
        stands=replace(
            stands,
            left_up_deg=_negated(stands.left_up_deg),
            turned_deg=_negated(stands.turned_deg),
            left=_negated(stands.left),
        ),
    )


def _reading(reading: Reading) -> Reading:
    match reading:
        case LeanReading(which="left side up"):
            return replace(reading, degrees=_negated(reading.degrees))
        case PlaneReading(plane=(a, b, c)):
            return replace(reading, plane=(a, c, b))
        case _:
            return reading


def _negated(value: float | None) -> float | None:
    return None if value is None else 0.0 - value  # never -0.0
