"""How far down parts reach: closed forms, and no sampled point lower."""

import numpy as np
import pytest

from kinematics.shapes.lowest import lowest
from kinematics.shapes.pieces import Mesh, Part, Ring, Rod, Sheet, Surface, box
from kinematics.shapes.profile import circle, rectangle, rounded


def low(*pieces):
    return lowest(Part("part", "body", "", pieces))


@pytest.mark.parametrize(("camber", "gap"), [(0.0, 18.0), (3.0, 18.359062)])
def test_a_torus_above_a_plane(camber, gap):
    """h - R sqrt(1 - (n.a)^2) - r for R 262, r 50, h 330 (closed form)."""
    a = np.radians(camber)
    torus = Ring(np.array([[0.0, 0, 330]]), np.array([[0.0, np.cos(a), np.sin(a)]]),
                 circle(262.0, 0.0, 50.0), hollow=True)  # fmt: skip
    assert low(torus)[0] == pytest.approx(gap, abs=1e-6)


def test_plain_pieces():
    rod = Rod(np.array([[[0.0, 0, 50], [0, 100, 40]]]), 12.0)
    assert low(rod)[0] == pytest.approx(28.0)
    assert low(rod, box((0, 0, 30), (5, 5, 5)))[0] == pytest.approx(25.0)
    sheet = Sheet(np.array([[[0.0, 0, 9], [1, 0, 8], [0, 1, 7]]]), 1.5)
    assert low(sheet)[0] == pytest.approx(5.5)
    triangle = Surface(np.array([[[0.0, 0, 0], [10, 0, 0], [0, 10, 0]]]))
    tipped = np.array([[[0.0, 0, 1], [0, 1, 0], [-1, 0, 0]]])  # x goes down
    assert low(Mesh(triangle, tipped, np.array([[0.0, 0, 100]])))[0] == pytest.approx(90.0)


def test_a_part_that_stands_still_beside_one_that_moves():
    still = Rod(np.array([[[0.0, 0, 5], [1, 0, 5]]]), 0.0)
    moving = Rod(np.array([[[0.0, 0, z], [1, 0, z]] for z in (1.0, 9.0, np.nan)]), 0.0)
    np.testing.assert_array_equal(low(still, moving), [1.0, 5.0, np.nan])


def test_no_point_of_a_turned_profile_is_lower_and_one_is_as_low():
    rng = np.random.default_rng(7)
    profiles = [
        rectangle(20.0, 60.0, -15.0, 25.0, 6.0),
        rounded([(30, -40), (90, -20), (80, 50), (40, 45)], [3.0, 10.0, 5.0, 2.0]),
        rectangle(0.0, 41.0, 0.0, 100.0),
    ]
    turn = np.linspace(0, 2 * np.pi, 2000)
    for profile in profiles:
        for _ in range(10):
            a, centre = rng.normal(size=3), rng.normal(size=3) * 100
            a /= np.linalg.norm(a)
            stretch = rng.uniform(0.0, 50.0) if profile is profiles[2] else 0.0
            ring = Ring(centre[None], a[None], profile, np.array([stretch]))
            out = profile.points(0.001)
            out = np.concatenate([out, out + np.array([0.0, stretch])]) if stretch else out
            across = np.sqrt(1 - a[2] ** 2)
            heights = centre[2] + a[2] * out[:, 1, None] + across * np.cos(turn) * out[:, :1]
            if stretch:  # the lower half of the doubled points is not stretched at the far end
                inside = (out[:, 1] <= profile.y_min + 1e-9) | (
                    out[:, 1] >= profile.y_max + stretch - 1e-9
                )
                heights = heights[inside]
            least = heights.min()
            assert low(ring)[0] <= least + 1e-9
            assert low(ring)[0] == pytest.approx(least, abs=0.003)
