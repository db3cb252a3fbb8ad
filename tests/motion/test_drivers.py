"""Drivers: by damper length and by arm angle a corner goes through the poses it has by travel."""

from __future__ import annotations

import numpy as np
import pytest

from kinematics.measures import measure
from kinematics.motion import MotionError, corner, move
from tests.motion.corners import ALL, five_links, published_wishbone

TRAVEL = np.linspace(-40.0, 40.0, 9)
STEERED = [-10.0, 0.0, 15.0]


@pytest.mark.parametrize("name", [n for n in ALL if ALL[n]().coilover is not None])
def test_by_damper_length(name):
    linkage = corner(ALL[name]())
    racks = STEERED if "rack" in linkage.bodies else [0.0]
    by_travel = move(linkage, TRAVEL, racks, stops=False)
    coilover = linkage.project.coilover
    length = np.linalg.norm(by_travel.point(coilover.foot) - by_travel.point(coilover.top), axis=-1)
    for j, rack in enumerate(racks):
        driven = move(linkage, length[:, j], [rack], by="damper", stops=False)
        assert driven.reached.all()
        np.testing.assert_allclose(
            driven.rotation[:, :, 0], by_travel.rotation[:, :, j], atol=1e-10
        )
        shift = driven.position[:, :, 0] - by_travel.position[:, :, j]
        assert np.abs(shift).max() < 1e-7
        # Figures per mm of wheel travel don't care what drives.
        one = measure(linkage.project, driven)["motion_ratio"][:, 0]
        other = measure(linkage.project, by_travel)["motion_ratio"][:, j]
        np.testing.assert_allclose(one, other, atol=1e-9)
        assert (driven.proof <= 0.15).all()


ARMS = [(n, arm) for n in ALL for arm in corner(ALL[n]()).mechanism.hinges]


@pytest.mark.parametrize(("name", "arm"), ARMS)
def test_by_arm_angle(name, arm):
    linkage = corner(ALL[name]())
    angles = np.radians([-4.0, -1.0, 0.0, 2.5, 4.0])
    driven = move(linkage, angles, by=arm, stops=False)
    assert driven.reached.all()
    # The arm has turned by the angle about its hinge, and rises for more.
    turned = driven.rotation[driven.number(arm), :, 0]
    size = np.arccos(np.clip(0.5 * (np.trace(turned, axis1=-2, axis2=-1) - 1.0), -1.0, 1.0))
    np.testing.assert_allclose(size, np.abs(angles), atol=1e-7)
    travel = driven.point(linkage.project.wheel.centre)[:, 0, 2] - linkage.setup_height
    again = move(linkage, travel, stops=False)
    np.testing.assert_allclose(again.rotation, driven.rotation, atol=1e-9)
    moved = np.diff(travel)
    assert (moved > 0.0).all() or (moved < 0.0).all()


def test_what_can_not_drive_is_said():
    with pytest.raises(MotionError, match="no coilover"):
        move(corner(published_wishbone()), [400.0], by="damper")
    with pytest.raises(MotionError, match="not an arm hinged"):
        move(corner(five_links()), [0.1], by="upright")
