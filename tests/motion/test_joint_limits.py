"""A joint whose limit is declared hard ends the travel, found exactly; any other does not."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest

from kinematics.motion import MotionError, Reach, corner, limits, move, travel_range
from kinematics.motion.bearings import bearing_uses
from kinematics.motion.positions import over
from kinematics.project.checks import problems_of
from kinematics.project.model import Bearing
from tests.motion.corners import ALL, radius_arm, strut

UPRIGHT_BORE = (0.0, 0.0, 1.0)


def with_bearing(project, point, **bearing):
    return msgspec.structs.replace(project, bearings={point: Bearing(**bearing)})


def lean(motion):
    """The angle of the damper from upright."""
    coilover = motion.linkage.project.coilover
    d = motion.point(coilover.top) - motion.point(coilover.foot)
    return np.arctan2(np.hypot(d[..., 0], d[..., 1]), d[..., 2])[:, 0]


@pytest.mark.parametrize("limit", [3.8, 4.2, 5.0])
def test_a_top_bearing_stops_the_wheel_where_its_damper_leans_that_far(limit):
    project = with_bearing(
        radius_arm(), "top", bolt="along", axis=UPRIGHT_BORE, limit_deg=limit, ends_travel=True
    )
    linkage = corner(project)
    found = limits(linkage)
    ends = [x for x in (*found.droop, *found.bump) if "angle limit" in x.cause]
    assert ends
    for end in ends:
        assert end.ends
        assert end.cause == "the joint at 'top' is at its angle limit"
        at = move(linkage, [end.travel])
        assert at.reached.all()
        assert lean(at)[0] == pytest.approx(np.radians(limit), abs=1e-11)
        outward = end.travel + np.sign(end.travel) * np.array([1e-3, 1.0])
        past = move(linkage, [0.0, *outward])
        assert past.state[:, 0].tolist() == [0, Reach.JOINT_ANGLE, Reach.JOINT_ANGLE]
        assert past.reason(2) == "the joint at 'top' is at its angle limit before it"
        assert past.last(2) == 0
    low, high = travel_range(linkage)
    assert low == pytest.approx(found.low)
    assert move(linkage, np.linspace(low, high, 9)).reached.all()


def test_one_that_is_not_declared_hard_only_gets_reported():
    plain = limits(corner(radius_arm()))
    soft = with_bearing(radius_arm(), "top", bolt="along", axis=UPRIGHT_BORE, limit_deg=3.6)
    assert limits(corner(soft)) == plain
    assert move(corner(soft), [-60.0, 60.0]).reached.all()


@pytest.mark.parametrize("name", ["five links", "strut", "H-arm", "wishbones, coilover on arm"])
def test_every_limit_is_where_the_bearing_uses_all_it_has(name):
    """Half of what each joint uses over the travel, declared as its limit."""
    base = ALL[name]()
    motion = move(corner(base), np.linspace(-50.0, 50.0, 21), stops=False)
    uses = bearing_uses(motion.linkage.project, over(motion))
    tried = 0
    for use in uses:
        spread = float(np.nanmax(use.angle))
        start = float(use.angle[0])
        if spread - start < np.radians(1.0):
            continue
        tried += 1
        limit = np.degrees(0.5 * (start + spread))
        linkage = corner(with_bearing(base, use.point, limit_deg=limit, ends_travel=True))
        found = limits(linkage)
        ends = [x for x in (*found.droop, *found.bump) if use.point in x.cause]
        assert ends
        for end in ends:
            there = move(linkage, [end.travel], stops=False)
            angles = [
                u.angle[1]
                for u in bearing_uses(linkage.project, over(there))
                if u.point == use.point
            ]
            assert max(angles) == pytest.approx(np.radians(limit), abs=1e-9)
    assert tried


def test_with_the_rack_turned_and_without_stops():
    project = with_bearing(
        strut(), "top", bolt="along", axis=UPRIGHT_BORE, limit_deg=11.0, ends_travel=True
    )
    linkage = corner(project)
    assert limits(linkage, 20.0).low_cause is not None
    assert move(linkage, [-60.0, 60.0], stops=False).reached.all()


def test_past_its_limit_at_set_up_is_said():
    project = with_bearing(
        radius_arm(), "top", bolt="along", axis=(1.0, 0.0, 1.0), limit_deg=10.0, ends_travel=True
    )
    with pytest.raises(MotionError, match="At set-up height the joint at 'top' is past its angle"):
        limits(corner(project))


def test_a_hard_limit_needs_a_limit():
    project = with_bearing(radius_arm(), "top", ends_travel=True)
    assert [p for p in problems_of(project) if "it has no limit" in p]
