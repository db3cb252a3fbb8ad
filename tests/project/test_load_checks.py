"""Weights, stops, springs' extras and bearings that can't be: one sentence each, with its path."""

from pathlib import Path

import msgspec
import pytest

from kinematics.project.checks import cautions_of, problems_of
from kinematics.project.files import read
from kinematics.project.model import (
    Bearing,
    BumpStop,
    DroopStop,
    End,
    Helper,
    Loads,
    OutsideStop,
    Project,
)

TROUBLE = read(Path("assets/examples/rear-in-trouble.corner.json"))
HUB = End("hub inner", "upright")


def coilover(**changes: object) -> dict[str, object]:
    return {"coilover": msgspec.structs.replace(TROUBLE.coilover, **changes)}


def spring(**changes: object) -> dict[str, object]:
    return coilover(spring=msgspec.structs.replace(TROUBLE.coilover.spring, **changes))


def bearing(**sizes: object) -> dict[str, object]:
    return {"bearings": {"top bearing": Bearing(**sizes)}}


@pytest.mark.parametrize(
    ("changes", "path"),
    [
        ({"loads": Loads(corner_kg=40, unsprung_kg=40)}, "loads.unsprung_kg"),
        (coilover(bump_stop=BumpStop(50, 22, curve=((10, 5), (5, 9)))), "coilover.bump_stop.curve"),
        (coilover(bump_stop=BumpStop(50, 22, full_squash=30)), "coilover.bump_stop.full_squash"),
        (coilover(droop_stop=DroopStop(8, 12)), "coilover.droop_stop"),
        (coilover(droop_stop=DroopStop(20, 12, ((4, 0),))), "coilover.droop_stop.curve"),
        (spring(helper=Helper(10, 30, 30)), "coilover.spring.helper"),
        (spring(solid=360), "coilover.spring.solid"),
        (spring(curve=((50, 900), (60, 900))), "coilover.spring.curve"),
        ({"stops": {"cone": OutsideStop(HUB, End("top bearing"), 200, 210)}}, "stops.cone.solid"),
        (bearing(axis=(0, 0, 0)), "bearings.top bearing.axis"),
        (bearing(ball=20, ball_width=20), "bearings.top bearing.ball_width"),
        (bearing(ball=20, ball_width=14, housing_width=15), "bearings.top bearing.housing_width"),
        (bearing(ball=20, spacer_neck=21), "bearings.top bearing.spacer_neck"),
        (bearing(housing_width=12, clevis_gap=11), "bearings.top bearing.clevis_gap"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_each_is_named(changes: dict[str, object], path: str) -> None:
    project: Project = msgspec.structs.replace(TROUBLE, **changes)
    (problem,) = problems_of(project)
    assert problem.startswith(f"{path}: ")


def test_the_example_itself_is_fine() -> None:
    assert problems_of(TROUBLE) == []


def test_a_bearing_where_nothing_swivels_is_worth_a_second_look() -> None:
    more = {**TROUBLE.bearings, "hub face": Bearing(limit_deg=5)}
    project = msgspec.structs.replace(TROUBLE, bearings=more)
    (caution,) = cautions_of(project)
    assert caution.startswith("bearings.hub face: ")
    assert cautions_of(TROUBLE) == []
