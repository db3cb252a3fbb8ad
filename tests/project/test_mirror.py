import json

import pytest

from app.resources import assets
from kinematics.project.files import dumps, loads, read
from kinematics.project.mirror import mirror
from kinematics.project.mirror_title import mirrored_title
from kinematics.project.model import Box, Scan
from tests.project.corners import WISHBONES


def test_the_other_side_has_y_turned_round() -> None:
    left = loads(json.dumps(WISHBONES).encode())
    right = mirror(left)
    assert right.side == "right"
    assert right.points["top"] == (-10, -430, 580)
    assert right.wheel.axis == (0.01, -1, 0.02)
    assert right.rack is not None
    assert (right.rack.least, right.rack.most) == (-45, 50)
    rail, scan = right.parts["rail"], right.parts["scan"]
    assert isinstance(rail, Box)
    assert (rail.least, rail.most) == ((-400, -360, 430), (400, -280, 500))
    assert isinstance(scan, Scan)
    assert scan.mirrored
    assert (scan.turn_deg, scan.move) == ((-10, 20, -30), (1, -2, 3))
    assert right.tower == left.tower  # its sides are distances from the centre plane
    assert loads(dumps(right)) == right


def test_mirrored_twice_is_the_same() -> None:
    left = loads(json.dumps(WISHBONES).encode())
    assert mirror(mirror(left)) == left
    assert dumps(mirror(mirror(left))) == dumps(left)


def test_extra_positions_are_the_same_on_either_side() -> None:
    tree = dict(WISHBONES, extra_positions={"hit": {"inboard": 3, "toe_in_deg": 1}})
    left = loads(json.dumps(tree).encode())
    assert mirror(left).extra_positions == left.extra_positions
    assert loads(dumps(mirror(left))) == mirror(left)


@pytest.mark.parametrize(
    ("left", "right"),
    [
        ("Halfpenny rear left, in trouble", "Halfpenny rear right, in trouble"),
        ("Halfpenny rear left, put right", "Halfpenny rear right, put right"),
        ("Front Left", "Front Right"),
        ("LEFT REAR", "RIGHT REAR"),
        ("my kit, left", "my kit, right"),
        ("left-hand corner", "right-hand corner"),
        ("Kit LH", "Kit RH"),
        ("Kit car left", "Kit car right"),
        ("What I left of it, all right", "What I left of it, all right"),
        ("Leftover bits", "Leftover bits"),
        ("Front left and front right", "Front left and front right"),
        ("Bright corner", "Bright corner"),
        ("", ""),
    ],
)
def test_the_title_says_which_side_it_is(left: str, right: str) -> None:
    assert mirrored_title(left, "left") == right
    assert mirrored_title(right, "right") == left


def test_a_mirrored_examples_title_is_that_of_its_side() -> None:
    for path in sorted((assets() / "examples").glob("*.json")):
        project = read(path)
        turned = mirror(project)
        assert turned.title == project.title.replace("left", "right"), project.title
        assert mirror(turned).title == project.title
