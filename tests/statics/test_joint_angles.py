"""Joint angles against angles taken from carried points and directions."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest

from kinematics.motion import corner, move
from kinematics.project.model import Bearing
from kinematics.statics.statics import bearings_of
from tests.motion.corners import ALL, radius_arm

TRAVEL = np.linspace(-60.0, 60.0, 9)


@pytest.mark.parametrize("name", list(ALL))
def test_every_joint_has_an_angle(name):
    linkage = corner(ALL[name]())
    motion = move(linkage, [*TRAVEL, 4000.0], stops=False)
    found = bearings_of(motion)
    points = {(x.member, x.point) for x in found}
    for link, ends in linkage.project.links.items():
        assert {(link, ends.inner.point), (link, ends.outer.point)} <= points
    for joint in found:
        assert joint.angle.shape == (10, 1)
        assert (joint.angle[:9] >= 0.0).all()
        assert np.isnan(joint.angle[9]).all()
        assert np.isnan(joint.left).all() == np.isnan(joint.limit)


def test_a_damper_s_lean_in_an_upright_bore():
    project = msgspec.structs.replace(
        radius_arm(),
        bearings={"top": Bearing(bolt="along", axis=(0.0, 0.0, 1.0), limit_deg=12.0)},
    )
    motion = move(corner(project), TRAVEL)
    top = next(x for x in bearings_of(motion) if x.point == "top")
    d = motion.point("top") - motion.point("foot")
    lean = np.arctan2(np.hypot(d[..., 0], d[..., 1]), d[..., 2])
    np.testing.assert_allclose(top.angle, lean, atol=1e-13)
    np.testing.assert_allclose(top.left, np.radians(12.0) - lean, atol=1e-13)
