"""What can't be right in the readings of a survey, in sentences that begin with their path."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from kinematics.errors import ProjectError
from kinematics.project.model import Project
from kinematics.project.survey import (
    DistanceReading,
    HeightReading,
    HubReading,
    LeanReading,
    LengthReading,
    OffsetReading,
    PartReading,
    PlaneReading,
    RailReading,
    Reading,
    StackReading,
    Survey,
)
from kinematics.project.unfold import unfold

_ACROSS = ("inner face", "outer face")
_SIGNED = HeightReading | HubReading | PlaneReading | OffsetReading | StackReading


def survey_problems(project: Project) -> Iterator[str]:
    """Sentences that begin with the path of the entry they are about."""
    survey = project.survey
    if survey is None:
        return
    for group in ("readings", "as_built"):
        for number, reading in enumerate(getattr(survey, group)):
            path = f"survey.{group}[{number}]"
            yield from reading_problems(reading, project, survey, path)
    yield from _datums(project, survey)


def reading_problems(
    reading: Reading, project: Project, survey: Survey, path: str = ""
) -> Iterator[str]:
    """What is wrong with one reading; ``path`` is put before the entry's own name."""
    at = f"{path}." if path else ""
    if reading.position and reading.position not in survey.positions:
        known = ", ".join(survey.positions) or "none"
        yield f'{at}position: there is no position "{reading.position}"; there are {known}.'
    if reading.date:
        yield from _date(reading.date, f"{at}date")
    if isinstance(reading, LengthReading):
        yield from _length(reading, at)
    elif isinstance(reading, LeanReading):
        stood = survey.positions.get(reading.position)
        if stood is not None and not stood.on_stands:
            yield f"{at}position: the body leans on its stands; in this position it is level."
    yield from _points(reading, project, survey, at)


def _date(text: str, path: str) -> Iterator[str]:
    try:
        datetime.date.fromisoformat(text)
    except ValueError:
        yield f'{path}: "{text}" is not a day; write it as 2026-03-28.'


def _length(reading: LengthReading, at: str) -> Iterator[str]:
    if reading.value is not None and reading.value < 0 and not isinstance(reading, _SIGNED):
        yield f"{at}value: a length between two points can't be negative."
    ends = 2 if isinstance(reading, DistanceReading | PartReading) else 1
    if len(reading.to) > ends:
        yield f"{at}to: this reading has {'two ends' if ends == 2 else 'one end'} to say it of."
    for number, end in enumerate(reading.to):
        if end.kind != "centre" and end.size == 0:
            what = "diameter" if "edge" in end.kind else "thickness"
            yield f"{at}to[{number}].size: give the {what}, or it can't be allowed for."
        if end.kind in _ACROSS and isinstance(reading, HeightReading | HubReading | StackReading):
            yield f"{at}to[{number}].kind: say near face or far face."


def _points(reading: Reading, project: Project, survey: Survey, at: str) -> Iterator[str]:
    match reading:
        case DistanceReading(between=(a, b)) if a == b:
            yield f"{at}between: both ends are {a}."
        case PartReading(of=of):
            yield from _part(of, project, at)
        case RailReading(rail=(a, b)) if a == b:
            yield f"{at}rail: both its points are {a}."
        case PlaneReading(plane=plane) if len(set(plane)) < 3:
            yield f"{at}plane: three different points are needed."
        case HubReading() if survey.hub_face is None:
            yield "survey.hub_face: name the point in the middle of the hub's face."
        case HubReading(point=point) if point == survey.hub_face:
            yield f"{at}point: this is the hub's face itself."
        case StackReading(between=(a, b)) if a == b:
            yield f"{at}between: both faces are the {a}."
        case StackReading() if project.coilover is None:
            yield f"{at}between: there is no coilover, so there is no mount."
        case HeightReading(face=face, point=point) if face != "bearing":
            if project.coilover is None or point != project.coilover.top.point:
                yield f"{at}face: only the top mount has a {face}; the point is {point}."
        case OffsetReading(string=string, way=way):
            if (string == "centre") != (way in ("out", "in")):
                ways = "out or in" if string == "centre" else "front or rear"
                yield f"{at}way: a point is {ways} of the {string} string."
        case _:
            pass


def _part(of: str, project: Project, at: str) -> Iterator[str]:
    if of == "damper":
        if project.coilover is None:
            yield f"{at}of: there is no coilover, so there is no damper."
        return
    try:
        links = unfold(project).links
    except ProjectError:
        return  # said elsewhere
    if of not in links:
        known = ", ".join([*links, *(["damper"] if project.coilover else [])])
        yield f'{at}of: there is no link "{of}"; there are {known or "none"}.'


def _datums(project: Project, survey: Survey) -> Iterator[str]:
    for name in (*survey.datums, *survey.settled, *filter(None, [survey.hub_face])):
        if name not in project.points:
            yield f'survey: there is no point "{name}".'
