"""A coordinate that looks mistyped is asked about, an ordinary change is not."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from app import examples
from app.describe.slips import slip
from kinematics.project.files import read
from kinematics.project.model import Project


def corner(y: float, units: str = "mm") -> Project:
    made = read(examples.examples()["front-wishbones"])
    x, _, z = made.points["upper ball joint"]
    return replace(made, points={**made.points, "upper ball joint": (x, y, z)}, units=units)


PLACE = ("points", "upper ball joint", 1)


@pytest.mark.parametrize(
    ("typed", "units", "asked"),
    [
        (25.75, "mm", "Was 25.75 in meant?"),
        (654.0 * 25.4, "in", "Was 654 mm meant?"),
        (-655.0, "mm", "Is its sign turned?"),
        (65.5, "mm", "Is a digit missing"),
        (6550.0, "mm", "Is a digit missing"),
        (640.0, "mm", ""),
        (250.0, "mm", ""),
    ],
)
def test_what_was_meant(typed: float, units: str, asked: str) -> None:
    said = slip(PLACE, corner(655.0, units), corner(typed, units))
    assert asked in said
    assert bool(said) == bool(asked)
    assert not said or said.startswith("upper ball joint y went ")


def test_nothing_is_asked_of_what_is_no_coordinate() -> None:
    assert slip(("points", "upper ball joint", ""), corner(655.0), corner(25.75)) == ""
    assert slip(("wheel", "camber_deg"), corner(655.0), corner(25.75)) == ""
    assert slip(PLACE, None, corner(25.75)) == ""
