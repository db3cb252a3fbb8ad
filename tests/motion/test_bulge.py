"""The bound between positions holds against dense sampling, and is not far off it."""

from __future__ import annotations

import numpy as np
import pytest

from kinematics.motion import corner, move
from tests.motion.corners import ALL, radius_arm

POINTS = np.array([[60.0, 560.0, 420.0], [-30.0, 700.0, 150.0]])


@pytest.mark.parametrize("name", list(ALL))
def test_no_point_strays_farther_than_stated(name):
    linkage = corner(ALL[name]())
    racks = [-20.0, 0.0, 20.0] if "rack" in linkage.bodies else [0.0]
    travel = np.linspace(-60.0, 60.0, 13)
    motion = move(linkage, travel, racks)
    pieces = 20
    dense = move(linkage, np.linspace(-60.0, 60.0, 12 * pieces + 1), racks, prove=False)
    part = np.linspace(0.0, 1.0, pieces + 1)[:, None, None]
    for body in motion.bodies:
        for point in POINTS:
            bound = motion.bulge(body, point)
            assert np.isfinite(bound).all()
            path, knots = dense.carry(body, point), motion.carry(body, point)
            for i in range(12):
                here = path[i * pieces : (i + 1) * pieces + 1]
                chord = knots[i] * (1.0 - part) + knots[i + 1] * part
                stray = np.linalg.norm(here - chord, axis=-1).max(axis=0)
                assert (stray <= bound[i] * 10.0**2 / 8.0 + 1e-9).all()
                # Sampled curvature from second differences: below the bound, and near it.
                h = 10.0 / pieces
                bend = np.linalg.norm(here[2:] - 2 * here[1:-1] + here[:-2], axis=-1) / h**2
                assert (bend.max(axis=0) <= bound[i] * (1 + 1e-6) + 1e-7).all()


def test_the_bound_is_tight_at_fine_steps():
    motion = move(corner(radius_arm()), np.linspace(-80.0, 80.0, 161))
    bound = motion.bulge("upright", motion.linkage.project.points["foot"])
    path = motion.point("foot")[:, 0]
    bend = np.linalg.norm(path[2:] - 2 * path[1:-1] + path[:-2], axis=-1)
    assert bound.max() <= 1.08 * bend.max()
    # At 1 mm steps the foot strays from its chords by under half a micrometre.
    assert bound.max() / 8.0 < 5e-4


def test_bodies_that_do_not_bend_say_so():
    motion = move(corner(ALL["wishbones"]()), [-10.0, 0.0, 10.0], [-5.0, 5.0])
    assert (motion.bulge("chassis", np.zeros(3)) == 0.0).all()
    assert (motion.bulge("rack", np.zeros(3)) == 0.0).all()


@pytest.mark.parametrize("name", ["wishbones", "ball-ended radius arm", "H-arm"])
def test_many_points_at_once(name):
    motion = move(corner(ALL[name]()), [-30.0, -5.0, 0.0, 20.0])
    for body in motion.bodies:
        each = np.stack([motion.bulge(body, point) for point in POINTS])
        np.testing.assert_allclose(motion.bulge(body, POINTS), each, rtol=1e-12)


def test_nothing_is_vouched_for_across_a_missing_pose():
    motion = move(corner(radius_arm()), [-85.0, -80.0, 0.0])
    bound = motion.bulge("upright", (0.0, 600.0, 300.0))
    assert np.isinf(bound[0]).all()
    assert np.isfinite(bound[1]).all()
