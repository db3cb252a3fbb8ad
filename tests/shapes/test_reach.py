"""What a hose can reach: all of it, and little more."""

import numpy as np
import pytest

from kinematics.clearance import distance
from kinematics.shapes.pieces import Ring, point
from kinematics.shapes.profile import circle, rectangle
from kinematics.shapes.reach import SIDES, reach, spare


@pytest.mark.parametrize("apart", [0.0, 40.0, 200.0, 290.0])
def test_every_point_within_reach_is_in_it_and_little_else(apart):
    rng = np.random.default_rng(1)
    a = rng.normal(size=3) * 100
    way = rng.normal(size=3)
    b = a + apart * way / np.linalg.norm(way)
    length = 300.0
    # The tangents' corners are the ellipse's own points enlarged by this.
    beyond = length / 2 * (1.0 / np.cos(np.pi / SIDES / 2) - 1.0)
    assert beyond < 0.02
    solid = reach(a, b, length)
    at = (a + b) / 2 + rng.normal(size=(300, 3)) * 120
    spread = np.linalg.norm(at - a, axis=1) + np.linalg.norm(at - b, axis=1) - length
    for p, over in zip(at, spread, strict=True):
        gap = distance(solid, point(p)).low[0]
        if over <= 0.0:
            assert gap <= 0.0
        else:
            # |p - a| + |p - b| changes by no more than twice the way gone.
            assert gap >= over / 2 - beyond - 0.03


def test_a_hose_too_short_for_its_clips_reaches_nothing():
    assert reach(np.zeros(3), np.array([100.0, 0, 0]), 100.0) is None


def test_the_tip_is_half_the_hose_from_the_middle():
    solid = reach(np.array([-100.0, 0, 0]), np.array([100.0, 0, 0]), 300.0)
    assert distance(solid, point((160.0, 0, 0))).low[0] == pytest.approx(10.0, abs=0.03)
    side = np.sqrt(150.0**2 - 100.0**2)
    assert distance(solid, point((0, side + 5.0, 0))).low[0] == pytest.approx(5.0, abs=0.1)


def test_the_quick_bound_is_never_more_than_the_truth():
    """Against random points of the rings' surfaces."""
    rng = np.random.default_rng(2)
    rings = (
        Ring(np.zeros((1, 3)), np.array([[0.0, 1, 0]]), circle(250.0, 0.0, 60.0), hollow=True),
        Ring(np.zeros((1, 3)), np.array([[0.6, 0, 0.8]]), rectangle(0.0, 40.0, 0.0, 100.0),
             np.array([80.0])),
    )  # fmt: skip
    for ring in rings:
        for _ in range(20):
            a, b = rng.normal(size=(2, 3)) * 200
            bound = spare(ring, a[None], b[None], np.array([300.0]))[0]
            outline = ring.profile.points(0.1)
            share = rng.random((len(outline), 30))
            some = (
                outline[:, None] + share[..., None] * (np.roll(outline, -1, 0) - outline)[:, None]
            )
            some = some.reshape(-1, 2)
            if ring.stretch is not None:
                some = some + some[:, 1:] / 100.0 * np.array([0.0, 80.0])
            axis = ring.axis[0]
            side = np.cross(axis, [0.0, 0.3, 1.0])
            side /= np.linalg.norm(side)
            turn = rng.random(len(some)) * 2 * np.pi
            ways = np.cos(turn)[:, None] * side + np.sin(turn)[:, None] * np.cross(axis, side)
            p = some[:, :1] * ways + some[:, 1:] * axis
            true = (np.linalg.norm(p - a, axis=1) + np.linalg.norm(p - b, axis=1)).min() - 300.0
            assert bound <= true + 1e-9
            assert bound >= true - 150.0
