"""Variants agree with corners assembled one by one."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest

from kinematics.motion import MotionError, corner, move, variants
from kinematics.project.model import End, Link
from kinematics.project.unfold import unfold
from tests.motion.corners import ALL, five_links

TRAVEL = np.array([-50.0, 0.0, 35.0])


def through_rubber():
    """Five links and one more: it moves only through its bushes."""
    base = unfold(five_links())
    links = {**base.links, "extra": Link(End("i4"), End("o2", "upright"))}
    give = {"extra": 4000.0, "link 2": 9000.0}
    return msgspec.structs.replace(base, links=links, give=give)


@pytest.mark.parametrize("name", [*ALL, "through rubber"])
def test_as_solved_one_by_one(name):
    project = through_rubber() if name == "through rubber" else ALL[name]()
    linkage = corner(project)
    rng = np.random.default_rng(4)
    count = 6
    shifts = rng.normal(0.0, 2.0, (count, len(project.points), 3))
    rack = 12.0 if "rack" in linkage.bodies else 0.0
    found = variants(linkage, TRAVEL, shifts, rack)
    assert found.closed.all()
    wheel = project.wheel
    at = found.carry(wheel.body, wheel.centre)
    axis = found.direction(wheel.body, np.array([0.0, 1.0, 0.0]))
    for v in range(count):
        points = {
            k: tuple(np.add(xyz, shifts[v, i])) for i, (k, xyz) in enumerate(project.points.items())
        }
        own = move(
            corner(msgspec.structs.replace(project, points=points)), TRAVEL, [rack], stops=False
        )
        np.testing.assert_allclose(at[:, v], own.point(wheel.centre)[:, 0], atol=1e-8)
        there = own.direction(wheel.body, (0.0, 1.0, 0.0))[:, 0]
        np.testing.assert_allclose(axis[:, v], there, atol=1e-10)


def test_the_shape_is_checked():
    linkage = corner(five_links())
    with pytest.raises(MotionError, match="one for each point"):
        variants(linkage, TRAVEL, np.zeros((3, 2, 3)))
    with pytest.raises(MotionError, match="plain numbers"):
        variants(linkage, TRAVEL, np.full((1, len(linkage.mechanism.xyz), 3), np.nan))
    with pytest.raises(MotionError, match="itself can't reach"):
        variants(linkage, [0.0, 900.0], np.zeros((1, len(linkage.mechanism.xyz), 3)))
