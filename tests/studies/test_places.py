"""Contours against circles and planes; the middle of an area; the lean against the corner."""

from __future__ import annotations

import numpy as np
import pytest

from app.resources import assets
from kinematics.project.files import read
from kinematics.studies.places import contours, middle_of
from kinematics.studies.strut_mount import move_strut_top
from kinematics.studies.study import set_up
from kinematics.studies.top_map import top_map

X, Y = np.linspace(-40.0, 40.0, 41), np.linspace(-30.0, 30.0, 31)


def area(line):
    """Signed area (shoelace): positive counter-clockwise in (x, y)."""
    x, y = line.T
    return 0.5 * float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))


def test_a_cone_has_a_circle_the_higher_side_on_its_left():
    (line,) = contours(X, Y, 20.0 - np.hypot(X[:, None], Y[None, :]), 0.0)
    assert np.allclose(line[0], line[-1])
    assert np.hypot(*line.T) == pytest.approx(20.0, abs=0.06)
    assert area(line[:-1]) == pytest.approx(np.pi * 400.0, rel=0.003)
    (hole,) = contours(X, Y, np.hypot(X[:, None], Y[None, :]) - 20.0, 0.0)
    assert area(hole[:-1]) == pytest.approx(-np.pi * 400.0, rel=0.003)


def test_a_plane_is_met_exactly_and_open_at_the_edge():
    (line,) = contours(X, Y, X[:, None] + 0.5 * Y[None, :], 3.3)
    assert line[:, 0] + 0.5 * line[:, 1] == pytest.approx(3.3, abs=1e-9)
    assert {abs(line[0][1]), abs(line[-1][1])} == {30.0}


def test_two_hills_have_two_lines_and_the_unknown_is_low():
    hills = np.maximum(
        8.0 - np.hypot(X[:, None] + 20, Y[None, :]), 12.0 - np.hypot(X[:, None] - 15, Y[None, :])
    )
    lines = contours(X, Y, hills, 0.0)
    assert sorted(round(area(line[:-1])) for line in lines) == pytest.approx(
        [np.pi * 64, np.pi * 144], rel=0.03
    )
    hills[:20] = np.nan
    assert len(contours(X, Y, hills, 0.0)) == 1
    assert contours(X, Y, hills, 50.0) == []


def test_the_middle_is_of_the_largest_area():
    good = np.zeros((20, 30), dtype=bool)
    good[2:5, 2:5] = True
    good[8:17, 10:25] = True
    row, column = middle_of(good)
    assert row == 12
    assert 14 <= column <= 20
    assert middle_of(np.zeros((3, 3), dtype=bool)) is None


def test_lean_is_that_of_the_corner_rebuilt():
    project = read(assets() / "examples" / "front-strut.corner.json")
    setting = set_up(project)
    offsets = np.array([-10.0, 0.0, 10.0])
    plan = top_map(setting, offsets, offsets, travels=3)
    camber, toe = plan.limits.camber, plan.limits.toe
    moved = move_strut_top(project, -10.0, 10.0, 0.0)
    change = np.radians([moved.wheel.camber_deg - project.wheel.camber_deg,
                         moved.wheel.toe_deg - project.wheel.toe_deg])  # fmt: skip
    assert (camber[0, 2], toe[0, 2]) == pytest.approx(tuple(change), abs=1e-9)
    assert (camber[1, 1], toe[1, 1]) == pytest.approx((0.0, 0.0), abs=1e-12)
