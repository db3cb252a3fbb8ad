"""Every arrangement the motion takes: virtual work and balance at every position."""

import msgspec
import numpy as np
import pytest

from kinematics.motion import corner, move
from kinematics.project.model import BumpStop, Loads, Project, Spring
from kinematics.statics.cases import USUAL_CASES, road
from kinematics.statics.course import line_of
from kinematics.statics.facts import facts
from kinematics.statics.loading import wheel_poses
from kinematics.statics.statics import statics
from tests.motion import corners

MAKERS = [
    corners.radius_arm, corners.radius_rod, corners.strut, corners.strut_toe_link,
    corners.strut_links, corners.five_links_steered, corners.trailing_arm,
    corners.semi_trailing_arm, corners.h_arm, corners.wishbones_on_arm, corners.pushrod,
    corners.link_on_link,
]  # fmt: skip


def sprung(project: Project) -> Project:
    coilover = project.coilover
    spring = Spring(82, 10, 60, 20, free=coilover.open - 75, rate_n_per_mm=40)
    coilover = msgspec.structs.replace(coilover, spring=spring, bump_stop=BumpStop(30, 15))
    return msgspec.structs.replace(
        project, coilover=coilover, loads=Loads(corner_kg=300, unsprung_kg=30)
    )


@pytest.mark.parametrize("make", MAKERS, ids=lambda make: make.__name__)
def test_virtual_work_and_balance(make) -> None:
    motion = move(corner(sprung(make())), np.linspace(-40, 40, 5))
    whole = statics(motion)
    reached = motion.reached.ravel()
    assert reached.sum() >= 3
    grid = whole.loading.grid
    assert grid.held
    assert grid.undetermined == ()
    assert np.nanmax(grid.unbalance) <= 1e-6
    wheel = motion.linkage.project.wheel.body
    number = motion.number(wheel)
    push = grid.of("coilover").axial[0][reached]
    slope = line_of(motion, whole.elements[0].ends)[1].ravel()[reached]
    # standing still: the road's force, moved with its body, against the coilover's push
    project = motion.linkage.project
    load = road(
        USUAL_CASES["standing"], project.loads, wheel_poses(motion), motion.linkage.mechanism.out
    )[reached]
    spin, drift = (part[number].T[reached] for part in motion.by_travel)
    power = np.sum(load[:, :3] * drift, axis=1) + np.sum(load[:, 3:] * spin, axis=1)
    assert np.abs(power / (push * -slope) - 1.0).max() <= 1e-9
    assert facts(whole)
