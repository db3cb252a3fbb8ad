from itertools import combinations

import numpy as np
import pytest

from kinematics.shapes.build import parts
from kinematics.shapes.pairs import Pairs, pairs
from tests.shapes.corners import EXAMPLES, TROUBLE, motion, moved, project


def found(name: str) -> tuple[Pairs, list[str]]:
    made = parts(project(name), moved(name, 0.0))
    return pairs(project(name), made), [part.name for part in made]


def checked(name: str) -> set[frozenset[str]]:
    which, names = found(name)
    return {frozenset((names[a], names[b])) for a, b in which.checked}


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_two_parts_are_checked_or_left_out_with_a_reason(name: str) -> None:
    which, names = found(name)
    left = {frozenset((one.a, one.b)) for one in which.left_out}
    every = {frozenset(pair) for pair in combinations(names, 2)}
    assert checked(name) | left == every
    assert not checked(name) & left
    assert all(a < b for a, b in which.checked)
    assert all(one.why for one in which.left_out)


def test_what_matters_on_the_corner_in_trouble_is_checked() -> None:
    for pair in (
        {"tyre", "tower lip"},
        {"spring", "radius arm"},
        {"tyre", "radius arm"},
        {"tyre", "spring"},
        {"wheel", "lower link"},
        {"spring", "tower"},
        {"damper body", "drive shaft outer joint"},
    ):
        assert frozenset(pair) in checked(TROUBLE)


def test_units_and_parts_of_one_body_are_not() -> None:
    which, _ = found(TROUBLE)
    why = {frozenset((one.a, one.b)): one.why for one in which.left_out}
    assert "one unit" in why[frozenset({"spring", "damper body"})]
    assert "both turn with the wheel" in why[frozenset({"tyre", "wheel"})]
    assert "fixed to the chassis" in why[frozenset({"tower", "chassis rail"})]
    assert "fixed to the upright" in why[frozenset({"radius arm", "hub"})]


def test_a_strut_is_clamped_in_its_upright() -> None:
    which, _ = found("front-strut")
    why = {frozenset((one.a, one.b)): one.why for one in which.left_out}
    assert "fixed to the upright" in why[frozenset({"damper body", "hub"})]
    assert frozenset({"tyre", "damper body"}) in checked("front-strut")
    assert frozenset({"tyre", "spring seat"}) in checked("front-strut")


def test_joint_balls_follow_their_joints() -> None:
    here = motion(TROUBLE)
    which, names = found(TROUBLE)
    centres = which.centres(here)
    assert len(centres) == len(which.joints)
    at = {
        (names[j.a], names[j.b], j.radius): centre
        for j, centre in zip(which.joints, centres, strict=True)
    }
    top = at["damper body", "tower", 45.0]
    assert top == pytest.approx(np.array([[88.0, 518.0, 640.0]]))
    outer = at["lower link", "radius arm", 32.5]
    assert outer == pytest.approx(here.carry("upright", (-45.0, 662.0, 172.0))[:, 0])


def test_an_arm_is_left_out_about_its_bushes() -> None:
    which, names = found("front-wishbones")
    rail = names.index("chassis rail")
    arm = names.index("lower arm front")
    pivots = [tuple(j.at.xyz) for j in which.joints if {j.a, j.b} == {rail, arm}]
    points = project("front-wishbones").points
    assert tuple(points["lower arm front pivot"]) in pivots


def test_the_wheel_is_left_out_about_its_bolts() -> None:
    which, names = found(TROUBLE)
    ball = next(j for j in which.joints if {names[j.a], names[j.b]} == {"wheel", "hub"})
    assert ball.radius == pytest.approx(100 / 2 + 17 + 12)
