"""Every arrangement moves, closes, and agrees with differences of itself."""

from __future__ import annotations

import numpy as np
import pytest

from kinematics.measures import measure
from kinematics.motion import MotionError, Reach, corner, move, travel_range
from tests.motion.corners import ALL, radius_arm, strut

TRAVEL = np.linspace(-60.0, 60.0, 25)


def racks(project):
    steered = (
        "steered" in str(project.title)
        or project.rack
        or getattr(project.arrangement, "steered", False)
    )
    return [-20.0, 0.0, 20.0] if steered else [0.0]


@pytest.fixture(scope="module", params=list(ALL))
def moved(request):
    project = ALL[request.param]()
    linkage = corner(project)
    return project, linkage, move(linkage, TRAVEL, racks(project))


def test_every_pose_is_reached_and_closed(moved):
    _, _, motion = moved
    assert motion.reached.all()
    assert motion.closure.max() <= 1e-9


def test_travel_is_what_was_asked(moved):
    project, _linkage, motion = moved
    height = motion.point(project.wheel.centre)[..., 2]
    start = project.points[project.wheel.centre][2]
    np.testing.assert_allclose(
        height, np.broadcast_to((start + TRAVEL)[:, None], height.shape), atol=1e-9
    )


def test_link_lengths_hold(moved):
    _, linkage, motion = moved
    for link in linkage.project.links.values():
        d = motion.point(link.outer) - motion.point(link.inner)
        length = np.linalg.norm(d, axis=-1)
        np.testing.assert_allclose(length, length[0, 0], atol=1e-9)


def test_poses_are_rigid(moved):
    _, _, motion = moved
    r = motion.rotation
    product = np.einsum("...ij,...kj->...ik", r, r)
    np.testing.assert_allclose(product, np.broadcast_to(np.eye(3), product.shape), atol=1e-13)
    np.testing.assert_allclose(np.linalg.det(r), 1.0, atol=1e-13)


def test_rates_are_the_differences(moved):
    _project, linkage, motion = moved
    h = 1e-3
    for along in ("travel", "rack"):
        if along == "rack" and len(motion.rack) == 1:
            continue
        step = (h, 0.0) if along == "travel" else (0.0, h)
        near = [
            move(linkage, TRAVEL + sign * step[0], motion.rack + sign * step[1], stops=False)
            for sign in (1.0, -1.0)
        ]
        for body in motion.bodies:
            point = np.array([30.0, 500.0, 400.0])
            slope = (near[0].carry(body, point) - near[1].carry(body, point)) / (2 * h)
            np.testing.assert_allclose(motion.speed(body, point, along), slope, atol=2e-8)


def test_figures_rates_are_the_differences(moved):
    project, linkage, motion = moved
    h = 1e-3
    here = measure(project, motion)
    ahead, back = (
        measure(project, move(linkage, TRAVEL + s * h, motion.rack, stops=False)) for s in (1, -1)
    )
    for rate, key, sign in (
        ("camber_gain", "camber", 1.0),
        ("bump_steer", "toe", 1.0),
        ("motion_ratio", "damper", -1.0),
    ):
        slope = sign * (ahead[key] - back[key]) / (2 * h)
        np.testing.assert_allclose(here[rate], slope, atol=1e-9, equal_nan=True)
    rise = ahead["contact_z"] - back["contact_z"]
    shift = ahead["contact_y"] - back["contact_y"]
    np.testing.assert_allclose(
        here["roll_centre"], here["contact_y"] * shift / rise, rtol=1e-7, atol=1e-5
    )


def test_order_of_the_values_does_not_matter(moved):
    project, linkage, motion = moved
    order = np.random.default_rng(1).permutation(len(TRAVEL))
    mixed = move(linkage, TRAVEL[order], motion.rack[::-1])
    there = motion.point(project.wheel.centre)[order][:, ::-1]
    np.testing.assert_allclose(mixed.point(project.wheel.centre), there, atol=1e-9)


def test_warm_poses_agree_with_cold_ones(moved):
    _project, linkage, motion = moved
    warm = move(linkage, [11.3], [7.0 if len(motion.rack) > 1 else 0.0], start=motion)
    cold = move(linkage, [11.3], warm.rack)
    np.testing.assert_allclose(warm.rotation, cold.rotation, atol=1e-12)
    np.testing.assert_allclose(warm.position, cold.position, atol=1e-9)


def test_past_the_damper_is_not_reached():
    linkage = corner(radius_arm())
    low, high = travel_range(linkage)
    motion = move(linkage, [low - 5.0, low, 0.0, high, high + 60.0])
    assert motion.state[:, 0].tolist() == [Reach.DAMPER_OPEN, 0, 0, 0, Reach.DAMPER_CLOSED]
    assert np.isnan(motion.point("foot")[0]).all()
    assert "fully open" in motion.reason(0)
    assert motion.last(0) == 1
    assert move(linkage, [low - 5.0], stops=False).reached.all()


def test_past_straightening_is_not_reached():
    linkage = corner(strut())
    motion = move(linkage, [0.0, 900.0], stops=False)
    assert motion.state[:, 0].tolist() == [0, Reach.STRAIGHTENED]
    assert np.isnan(motion.closure[1, 0])


def test_bad_values_are_refused():
    linkage = corner(radius_arm())
    with pytest.raises(MotionError, match="plain numbers"):
        move(linkage, [np.nan])
    with pytest.raises(MotionError, match="not an arm"):
        move(linkage, [0.1], by="upright")
    with pytest.raises(MotionError, match="no body"):
        move(linkage, [0.0]).carry("wing", (0, 0, 0))
