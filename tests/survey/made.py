"""Surveys made up from a corner whose points are known: what an honest tape would have read."""

from __future__ import annotations

from itertools import combinations

import msgspec
import numpy as np

from kinematics.project.model import Project
from kinematics.project.survey import (
    AngleReading,
    DistanceReading,
    HeightReading,
    HubReading,
    OffsetReading,
    PartReading,
    Reading,
    Survey,
    WheelReading,
)
from kinematics.project.unfold import unfold
from kinematics.survey.network import network
from kinematics.survey.standing import Standing


def full_survey(project: Project, near: int = 4) -> Project:
    """A project with a thorough survey, its readings not taken yet.

    Every point by drops, height and the nearest other points, links eye to eye, the upright from
    the hub's face, camber and toe.
    """
    whole = unfold(project)
    xyz = {name: np.array(p) for name, p in project.points.items()}
    readings: list[Reading] = []
    for name in xyz:
        readings += [
            OffsetReading(point=name, string="centre", way="out"),
            OffsetReading(point=name, string="axle", way="front"),
            HeightReading(point=name),
        ]
    for a in xyz:
        others = sorted((n for n in xyz if n != a), key=lambda n: np.linalg.norm(xyz[n] - xyz[a]))
        for b in others[:near]:
            if np.linalg.norm(xyz[b] - xyz[a]) > 40 and not _has(readings, a, b):
                readings.append(DistanceReading(between=(a, b)))
    readings += [PartReading(of=name, tool="rule") for name in whole.links]
    if whole.coilover is not None:
        readings.append(PartReading(of="damper"))
    face = project.wheel.centre
    upright = [e.point for link in whole.links.values() for e in (link.inner, link.outer)
               if e.body == project.wheel.body]  # fmt: skip
    for name in dict.fromkeys(upright):
        readings += [HubReading(point=name, way=w, tool="rule") for w in ("out", "front", "up")]
    readings += [WheelReading(which="camber"), WheelReading(which="toe")]
    survey = Survey(readings=tuple(readings), hub_face=face)
    return msgspec.structs.replace(project, survey=survey)


def _has(readings: list[Reading], a: str, b: str) -> bool:
    return any(isinstance(r, DistanceReading) and set(r.between) == {a, b} for r in readings)


def read_off(project: Project, at: Standing | None = None) -> Project:
    """The project with every planned reading taken without error from where things are."""
    net = network(project, planned=True)
    value, _ = net.evaluate(net.start if at is None else at)
    survey = project.survey
    assert survey is not None
    taken = {id(r): v for r, v in zip(net.readings, value, strict=True)}
    readings = tuple(
        with_value(r, float(taken[id(r)])) if id(r) in taken else r for r in survey.readings
    )
    return with_readings(project, readings)


def with_value(reading: Reading, value: float) -> Reading:
    """A reading with a value, mm or rad."""
    if isinstance(reading, AngleReading):
        return msgspec.structs.replace(reading, degrees=float(np.degrees(value)))
    return msgspec.structs.replace(reading, value=value)


def with_readings(project: Project, readings: tuple[Reading, ...]) -> Project:
    """The project with other readings."""
    return msgspec.structs.replace(
        project, survey=msgspec.structs.replace(project.survey, readings=readings)
    )


def distances(points: dict[str, tuple[float, float, float]], pairs: object = None) -> list[Reading]:
    """Honest distances between points."""
    chosen = combinations(points, 2) if pairs is None else pairs
    return [
        DistanceReading(
            between=(a, b),
            value=float(np.linalg.norm(np.subtract(points[a], points[b]))),
        )
        for a, b in chosen  # type: ignore[attr-defined]
    ]
