"""Outlines of lines and arcs: what is accepted, and their supports against sampled points."""

from __future__ import annotations

import numpy as np
import pytest

from kinematics.shapes.profile import circle, from_arcs, rectangle, rounded


@pytest.mark.parametrize(
    "profile",
    [
        rectangle(0, 288, -103.2, 103.2, 40),
        rounded([(170, -90), (178, -80), (182, 60), (171, 95)], [2, 1, 3, 0.5]),
        circle(262, 0, 50),
    ],
)
def test_support_and_points_agree(profile):
    points = profile.points(1e-4)
    for angle in np.linspace(-np.pi, np.pi, 37):
        n = np.array([np.cos(angle), np.sin(angle)])
        assert profile.support(n) == pytest.approx(np.max(points @ n), abs=2e-4)
    assert profile.r_max == pytest.approx(points[:, 0].max(), abs=2e-4)
    assert profile.y_min == pytest.approx(points[:, 1].min(), abs=2e-4)


def test_orders_of_corners_make_the_same_outline():
    there = rounded([(0, 0), (50, 0), (50, 20), (0, 20)], [0, 3, 3, 0])
    back = rounded([(0, 20), (50, 20), (50, 0), (0, 0)], [0, 3, 3, 0])
    assert there.support((1, 0)) == back.support((1, 0)) == 50.0


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: rounded([(0, 0), (10, 0), (2, 2), (0, 10)]), "convex"),
        (lambda: rounded([(0, 0), (10, 0), (10, 10)], [0, 20, 0]), "fit"),
        (lambda: rounded([(0, 0), (10, 0), (10, np.nan)]), "finite"),
        (lambda: rounded([(0, 0), (0, 0), (10, 10)]), "same point"),
        (lambda: rounded([(-5, 0), (10, 0), (10, 10)]), "r >= 0"),
        (lambda: from_arcs([(0, 0, 5, 0, 1), (0, 0, 5, 2, 6)]), "follow"),
        (
            lambda: rounded([(0, 0), (10, 0), (12, 9), (0, 9)], 0, [False, False, True, True]),
            "parallel",
        ),
    ],
)
def test_what_is_refused(make, says):
    with pytest.raises(ValueError, match=says):
        make()
