"""Which bolt, which housing, which limit: bearings of a project in hand-made positions."""

import msgspec
import numpy as np
import pytest

from kinematics.errors import ProjectError
from kinematics.motion import bearings
from kinematics.motion.positions import Positions
from kinematics.project.model import (
    Ball,
    Bearing,
    Coilover,
    End,
    Hinge,
    Link,
    Project,
    Rim,
    Tower,
    Tyre,
    Wheel,
)
from kinematics.statics.top import centred_plate

POINTS = {
    "wheel centre": (0.0, 700.0, 300.0),
    "inner": (0.0, 300.0, 200.0),
    "outer": (0.0, 600.0, 200.0),
    "front": (150.0, 300.0, 200.0),
    "rear": (-150.0, 300.0, 200.0),
    "foot": (0.0, 560.0, 220.0),
    "top": (0.0, 560.0, 640.0),
}
SWING = np.radians([0.0, -10.0, 15.0])


def project(**more: object) -> Project:
    wheel = Wheel(centre="wheel centre", tyre=Tyre("195/50R15"), rim=Rim("6Jx15 ET30"))
    return Project(title="hand-made", points=POINTS, wheel=wheel, **more)


def about(axis: int, angles: np.ndarray, through: str) -> tuple[np.ndarray, np.ndarray]:
    """Rotations about a vehicle axis through a point, and the positions that go with them."""
    x, y = (axis + 1) % 3, (axis + 2) % 3
    rotation = np.tile(np.eye(3), (len(angles), 1, 1))
    rotation[:, x, x] = rotation[:, y, y] = np.cos(angles)
    rotation[:, x, y], rotation[:, y, x] = -np.sin(angles), np.sin(angles)
    centre = np.array(POINTS[through])
    return rotation, centre - rotation @ centre


def swinging(axis: int = 0, through: str = "inner", body: str = "upright") -> Positions:
    rotation, position = about(axis, SWING, through)
    return Positions(POINTS, {body: rotation}, {body: position}, len(SWING))


LINK = Link(inner=End("inner"), outer=End("outer", "upright"))


def use(found: tuple, point: str) -> bearings.BearingUse:
    return next(each for each in found if each.point == point)


def test_a_link_swinging_about_a_level_bolt_uses_no_tilt() -> None:
    found = bearings.bearing_uses(project(links={"link": LINK}), swinging())
    assert use(found, "inner").angle == pytest.approx(0.0, abs=1e-12)
    assert use(found, "inner").usual == ("bolt direction",)


def test_an_upright_bolt_takes_the_whole_swing() -> None:
    stood = project(links={"link": LINK}, bearings={"inner": Bearing(axis=(0, 0, 2))})
    found = bearings.bearing_uses(stood, swinging())
    assert use(found, "inner").angle == pytest.approx(np.abs(SWING))
    assert use(found, "inner").usual == ()


def test_a_bonded_bush_twists_about_its_bolt() -> None:
    bush = Bearing(rubber=True, limit_deg=5, twist_limit_deg=12)
    found = use(
        bearings.bearing_uses(project(links={"l": LINK}, bearings={"inner": bush}), swinging()),
        "inner",
    )
    assert np.abs(found.twist) == pytest.approx(np.abs(SWING))
    assert found.twist_left == pytest.approx(np.radians(12) - np.abs(SWING))


def test_a_hinge_bolt_five_degrees_out_uses_five_all_along() -> None:
    arm = Hinge(along=("front", "rear"), bodies=("chassis", "arm"))
    out = np.radians(5)
    skewed = project(
        bodies=("arm",),
        joints={"arm bushes": arm},
        bearings={"front": Bearing(axis=(np.cos(out), np.sin(out), 0), rubber=True)},
    )
    found = bearings.bearing_uses(skewed, swinging(body="arm"))
    assert np.degrees(use(found, "front").angle) == pytest.approx([5.0, 5.0, 5.0])
    assert use(found, "rear").angle == pytest.approx(0.0, abs=1e-12)


def test_a_ball_joint_tilts_from_where_it_stood_at_set_up() -> None:
    ball = Ball(at="outer", bodies=("arm", "upright"))
    stood = project(bodies=("arm",), joints={"ball joint": ball})
    rotation, position = about(0, SWING, "inner")
    still = np.tile(np.eye(3), (3, 1, 1))
    shift = (rotation @ np.array(POINTS["outer"]) + position) - POINTS["outer"]
    both = Positions(
        POINTS, {"arm": rotation, "upright": still}, {"arm": position, "upright": shift}, 3
    )
    assert use(bearings.bearing_uses(stood, both), "outer").angle == pytest.approx(np.abs(SWING))


COILOVER = Coilover(foot=End("foot", "upright"), top=End("top"), open=500, closed=350)
TOWER = Tower(front=80, rear=-80, inner=450, outer=620, top=660)


def test_the_top_bearing_sits_in_a_level_plate_when_there_is_a_tower() -> None:
    tilted = swinging(1, "wheel centre")
    found = use(bearings.bearing_uses(project(coilover=COILOVER, tower=TOWER), tilted), "top")
    foot = np.array([tilted.at(COILOVER.foot)[i] for i in range(3)])
    lean = np.arctan2(foot[:, 0] - 0.0, 640.0 - foot[:, 2])
    assert found.angle == pytest.approx(np.abs(lean))
    assert found.usual == ("plate level",)


def test_the_centring_tilt_halves_a_swing() -> None:
    tilted = swinging(1, "wheel centre")
    plate = centred_plate(tilted, COILOVER.foot, COILOVER.top)
    foot = tilted.at(COILOVER.foot)
    lean = np.arctan2(0.0 - foot[:, 0], 640.0 - foot[:, 2])
    assert plate.largest == pytest.approx(np.ptp(lean) / 2)
    assert plate.forward == pytest.approx((lean.max() + lean.min()) / 2)
    assert plate.left == pytest.approx(0.0, abs=1e-9)


def test_the_smallest_limit_counts_and_is_named() -> None:
    sizes = Bearing(ball=19.05, ball_width=14, housing_width=10.5)
    limit, by = bearings.limit_of(sizes, "p")
    assert np.degrees(limit) == pytest.approx(13.86, abs=0.01)
    assert "shoulders" in by
    in_clevis = msgspec.structs.replace(sizes, head=28)
    assert np.degrees(bearings.limit_of(in_clevis, "p")[0]) < 8
    eye = Bearing(rubber=True, housing_width=30, head=40, clevis_gap=34)  # a bushed eye, its width
    assert np.degrees(bearings.limit_of(eye, "p")[0]) == pytest.approx(
        np.degrees(np.arcsin(34 / 50) - np.arctan(30 / 40))
    )
    spaced = msgspec.structs.replace(in_clevis, spacer_neck=12, spacer_length=6)
    assert np.degrees(bearings.limit_of(spaced, "p")[0]) == pytest.approx(17.5, abs=0.5)
    assert bearings.limit_of(msgspec.structs.replace(spaced, limit_deg=3), "p") == (
        pytest.approx(np.radians(3)),
        "its maker's limit",
    )
    assert np.isnan(bearings.limit_of(Bearing(), "p")[0])


def test_impossible_sizes_are_named() -> None:
    wrong = project(
        links={"link": LINK}, bearings={"inner": Bearing(ball=10, ball_width=14, housing_width=9)}
    )
    with pytest.raises(ProjectError, match=r"bearings\.inner.*ball width"):
        bearings.bearing_uses(wrong, swinging())


def test_positions_that_were_not_reached_have_no_angle() -> None:
    there = swinging()
    rotation = there.rotation["upright"].copy()
    rotation[1] = np.nan
    gone = Positions(POINTS, {"upright": rotation}, there.position, 3)
    angle = use(bearings.bearing_uses(project(links={"link": LINK}), gone), "inner").angle
    assert np.isnan(angle).tolist() == [False, True, False]
