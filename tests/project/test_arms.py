"""Joints and arms added and copied: what comes with them, and how the corner is then held."""

from __future__ import annotations

from pathlib import Path

import pytest

from kinematics.errors import ProjectError
from kinematics.motion import mobility
from kinematics.project import files
from kinematics.project.arms import JOINTS, add_arm, add_joint, copy_body
from kinematics.project.bodies import remove_body
from kinematics.project.furnish import remove_entry
from kinematics.project.model import Project
from kinematics.project.unfold import unfold

ASSETS = Path(__file__).parents[2] / "assets"


@pytest.fixture(scope="module")
def wishbones() -> Project:
    return unfold(files.read(ASSETS / "examples" / "front-wishbones.corner.json"))


@pytest.mark.parametrize("kind", JOINTS)
def test_a_joint_is_added_between_chassis_and_carrier(wishbones: Project, kind: str) -> None:
    made, name = add_joint(wishbones, kind)
    files.dumps(made)  # refuses what can't be saved
    assert made.joints[name].bodies in (("chassis", "upright"), ("upright", "chassis"))
    assert set(made.points) > set(wishbones.points)
    assert remove_entry(made, "joints", name) == wishbones


def test_there_is_no_joint_of_another_kind(wishbones: Project) -> None:
    with pytest.raises(ProjectError, match="no joint of kind"):
        add_joint(wishbones, "spring")


def test_an_arm_holds_the_carrier_in_two_ways_more(wishbones: Project) -> None:
    """A hinge leaves an arm one motion of six; its ball takes three of them all: two are held."""
    assert not mobility(wishbones).fights
    made, name = add_arm(wishbones)
    files.dumps(made)
    assert len(mobility(made).fights) == 2
    assert remove_body(made, name) == wishbones


def test_an_arm_is_copied_with_its_joints_and_tubes_on_points_of_its_own(
    wishbones: Project,
) -> None:
    made, new = copy_body(wishbones, "upper arm")
    files.dumps(made)
    assert new == "upper arm 2"
    copied = {
        old: f"{old.replace('upper arm', new)}"
        for group in ("joints", "parts")
        for old in getattr(wishbones, group)
        if "upper arm" in old
    }
    assert len(copied) >= 3
    for old, called in copied.items():
        group = "joints" if old in wishbones.joints else "parts"
        assert type(getattr(made, group)[called]) is type(getattr(wishbones, group)[old])
    fresh = set(made.points) - set(wishbones.points)
    assert all(made.points[p][2] == wishbones.points[p[:-2]][2] + 40.0 for p in fresh)
    assert len(mobility(made).fights) == 2
    assert remove_body(made, new) == wishbones
    with pytest.raises(ProjectError, match="comes with the arrangement"):
        copy_body(wishbones, "chassis")
