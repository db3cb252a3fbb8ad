"""A strut's top moved: lengths, round trips, and the lean that geometry asks for."""

from __future__ import annotations

import math
from dataclasses import replace

import msgspec
import numpy as np
import pytest

from app.resources import assets
from kinematics.errors import ClearstrokeError
from kinematics.motion import corner, move
from kinematics.motion.displaced import displaced
from kinematics.project.files import dumps, loads, read
from kinematics.project.mirror import mirror
from kinematics.project.model import Scan
from kinematics.project.unfold import unfold
from kinematics.shapes.scan import placing
from kinematics.shapes.wheel import axis
from kinematics.studies.strut_mount import move_strut_top
from kinematics.studies.strut_places import _crossed, solved
from kinematics.studies.study import set_up


def example(name):
    return read(assets() / "examples" / f"{name}.corner.json")


def apart(project, a, b):
    return np.linalg.norm(np.subtract(project.points[a], project.points[b]))


@pytest.fixture(scope="module")
def strut():
    return example("front-strut")


@pytest.mark.parametrize("way", [(0.0, -12.0, 0.0), (9.0, 5.0, 0.0), (-8.0, -20.0, 6.0)])
def test_every_body_keeps_its_shape_and_the_strut_its_line(strut, way):
    moved = move_strut_top(strut, *way)
    for a, b in (
        ("strut clamp", "lower ball joint"), ("lower ball joint", "steering arm"),
        ("steering arm", "wheel centre"), ("hub inner", "hub face"), ("rack end", "steering arm"),
        ("lower arm front pivot", "lower ball joint"), ("strut clamp", "steering arm"),
    ):  # fmt: skip
        assert apart(moved, a, b) == pytest.approx(apart(strut, a, b), abs=1e-6)
    assert moved.points["wheel centre"][2] == pytest.approx(278.0, abs=1e-6)
    # The line from clamp to top is fixed to the upright: it keeps its angle to the wheel's axis.
    angles = [
        np.dot(axis(p), np.subtract(p.points["top bearing"], p.points["strut clamp"]))
        / apart(p, "top bearing", "strut clamp")
        for p in (strut, moved)
    ]
    assert angles[0] == pytest.approx(angles[1], abs=1e-9)


def test_there_and_back_again(strut):
    back = move_strut_top(move_strut_top(strut, 4.0, -15.0, 3.0), -4.0, 15.0, -3.0)
    for name, xyz in strut.points.items():
        assert back.points[name] == pytest.approx(xyz, abs=1e-6)
    assert back.wheel.camber_deg == pytest.approx(strut.wheel.camber_deg, abs=1e-9)
    assert back.wheel.toe_deg == pytest.approx(strut.wheel.toe_deg, abs=1e-9)


def test_camber_follows_the_strut_about_the_lower_ball_joint(strut):
    """A top d farther in leans the upright by about d over its height above the ball joint."""
    moved = move_strut_top(strut, 0.0, -5.0, 0.0)
    height = strut.points["top bearing"][2] - strut.points["lower ball joint"][2]
    lean = moved.wheel.camber_deg - strut.wheel.camber_deg
    assert lean == pytest.approx(-math.degrees(5.0 / height), rel=0.15)


def test_a_moved_corner_is_a_project_and_moves(strut):
    moved = loads(dumps(move_strut_top(strut, 0.0, -10.0, 0.0)))
    linkage = corner(unfold(moved))
    motion = move(linkage, [-60.0, 0.0, 60.0])
    assert motion.reached.all()
    assert motion.closure.max() < 1e-9


def test_over_travel_it_is_the_corner_written_down_anew(strut):
    """The batch of moved tops and the moved project go the same way, lock to lock."""
    linkage = corner(unfold(strut))
    way = np.array([[6.0, -14.0, 2.0], [-5.0, 4.0, 0.0]])
    for rack in (-25.0, 0.0, 25.0):
        many = displaced(linkage, [-50.0, 0.0, 50.0], way, rack)
        assert many.closed.all()
        for k, by in enumerate(way):
            one = move(corner(unfold(move_strut_top(strut, *by))), [-50.0, 0.0, 50.0], [rack])
            for point in ("strut clamp", "steering arm", "wheel centre"):
                there = one.carry("upright", np.array(_at(strut, by, point)))[:, 0]
                assert many.carry("upright", point)[:, k] == pytest.approx(there, abs=1e-6)


def _at(strut, by, point):
    return move_strut_top(strut, *by).points[point]


def test_a_right_hand_strut_mirrors(strut):
    right = move_strut_top(mirror(strut), 3.0, 7.0, 0.0)
    left = move_strut_top(strut, 3.0, -7.0, 0.0)
    assert right.wheel.camber_deg == pytest.approx(left.wheel.camber_deg, abs=1e-9)
    assert right.wheel.toe_deg == pytest.approx(left.wheel.toe_deg, abs=1e-9)


def test_a_top_that_only_carries_the_damper_is_no_strut():
    with pytest.raises(ClearstrokeError, match="no strut"):
        displaced(corner(unfold(example("rear-in-trouble"))), [0.0], np.zeros((1, 3)))


def test_a_length_is_crossed_where_it_is_one_and_nowhere_else() -> None:
    travel = np.linspace(-80.0, 80.0, 9)
    falls = 400.0 - 0.9 * travel
    dead = np.where(travel < 0.0, falls, 300.0)  # places that don't close all end alike
    found = _crossed(travel, np.stack([falls, dead, falls - 200.0], axis=1), 373.0)
    assert abs(found[0] - 30.0) < 1e-9
    assert np.isnan(found[1:]).all()


def test_places_are_not_made_up_where_too_little_of_the_travel_can_be_reached(strut):
    setting = replace(set_up(strut), range=(5000.0, 6000.0))
    with pytest.raises(ClearstrokeError, match="Too little"):
        solved(setting, np.zeros((1, 3)), 0.0)


def test_a_scan_of_the_upright_stays_where_it_is_on_it(strut):
    """Every point of it keeps its distances to the upright's own."""
    scan = Scan("upright", "knuckle.stl", "mm", turn_deg=(10.0, -80.0, 140.0), move=(5.0, 600.0, 9))
    held = msgspec.structs.replace(strut, parts={**strut.parts, "knuckle": scan})
    moved = move_strut_top(move_strut_top(held, 9.0, -14.0, 3.0), -2.0, 0.0, 5.0)
    mesh = np.random.default_rng(3).uniform(-80.0, 80.0, (40, 3))

    def spans(project):
        turned, at = placing(project.parts["knuckle"])
        own = ("strut clamp", "lower ball joint", "steering arm", "wheel centre")
        points = np.array([project.points[name] for name in own])
        return np.linalg.norm((mesh @ turned.T + at)[:, None] - points, axis=2)

    np.testing.assert_allclose(spans(moved), spans(held), rtol=0, atol=1e-6)
    assert moved.parts["knuckle"].turn_deg != scan.turn_deg
    assert loads(dumps(moved)) == moved
