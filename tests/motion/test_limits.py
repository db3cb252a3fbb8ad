"""How far the wheel goes and what stops it, against closed forms and equations solved apart."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest

from kinematics.measures import measure
from kinematics.motion import (
    MotionError,
    Reach,
    corner,
    limits,
    move,
    toggle_margin,
    travel_range,
    where,
)
from kinematics.project.loads import OutsideStop, Strap
from kinematics.project.model import End
from tests.motion.corners import ALL, five_links, radius_arm, strut, trailing_arm
from tests.motion.test_giving import GIVE, locked
from tests.published.test_motion_linkages import front_view


def damper(linkage, z, rack=0.0):
    motion = move(linkage, [z], [rack], stops=False)
    coilover = linkage.project.coilover
    return float(np.linalg.norm(motion.point(coilover.foot) - motion.point(coilover.top)))


@pytest.mark.parametrize("name", list(ALL))
def test_the_damper_has_its_limiting_length_there(name):
    linkage = corner(ALL[name]())
    if linkage.project.coilover is None:
        return
    found = limits(linkage)
    targets = {
        "the damper is fully open": linkage.project.coilover.open,
        "the damper is fully closed": linkage.project.coilover.closed,
    }
    for limit in (*found.droop, *found.bump):
        if limit.cause in targets:
            assert damper(linkage, limit.travel) == pytest.approx(targets[limit.cause], abs=1e-9)
    assert found.low_cause is not None
    assert found.high_cause is not None
    assert move(linkage, [found.low, found.high]).reached.all() or "straight" in (
        found.low_cause + found.high_cause
    )


def test_limits_with_the_rack_turned():
    linkage = corner(strut())
    found = limits(linkage, 25.0)
    assert damper(linkage, found.low, 25.0) == pytest.approx(linkage.project.coilover.open)
    assert found.low != limits(linkage).low


def test_straightening_of_a_four_bar_in_closed_form():
    """In bump the arms of this front view straighten when upright and upper arm are in line.

    Then the lower ball is b + c from the upper inner pivot: its angle by the law of cosines.
    """
    lower, upper = ((0.0, 0.0), (300.0, -40.0)), ((120.0, 180.0), (270.0, 150.0))
    linkage = corner(front_view(lower, upper, wheel=(300.0, -40.0)))
    a = np.hypot(300.0, 40.0)
    d = np.hypot(120.0, 180.0)
    b = np.hypot(30.0, 190.0)
    c = np.hypot(150.0, 30.0)
    heights = []
    for reach in (b + c, abs(b - c)):
        cosine = (a * a + d * d - reach * reach) / (2 * a * d)
        if abs(cosine) <= 1.0:
            ground = np.arctan2(180.0, 120.0)
            heights += [a * np.sin(ground + s * np.arccos(cosine)) for s in (1, -1)]
    margins = toggle_margin(linkage)
    found = [m - 40.0 for m in margins if np.isfinite(m)]
    assert found
    # Travel may also end where the lower arm itself points straight up or down.
    allowed = np.array([*heights, a, -a])
    for height in found:
        assert np.abs(allowed - height).min() < 1e-7


def test_trailing_arm_straightens_when_its_arm_is_upright():
    linkage = corner(trailing_arm())
    points = {k: np.array(v) for k, v in linkage.project.points.items()}
    axis = points["inner"] - points["outer"]
    axis = axis / np.linalg.norm(axis)
    wheel, pivot = points["wheel centre"], points["inner"]
    centre = pivot + axis * (axis @ (wheel - pivot))
    rise = np.linalg.norm(wheel - centre) * np.hypot(axis[0], axis[1])
    low, high = toggle_margin(linkage)
    assert high == pytest.approx(centre[2] + rise - wheel[2], abs=1e-8)
    assert low == pytest.approx(centre[2] - rise - wheel[2], abs=1e-8)


def test_a_strap_and_an_outside_stop():
    base = radius_arm()
    points = {**base.points, "eye": (0.0, 600.0, 300.0), "rail": (0.0, 500.0, 560.0)}
    eye, rail = End("eye", "upright"), End("rail")
    project = msgspec.structs.replace(
        base,
        points=points,
        straps={"strap": Strap((eye, rail), 330.0)},
        stops={"pad": OutsideStop(eye, rail, meets=240.0, solid=220.0)},
    )
    linkage = corner(project)
    found = limits(linkage)
    assert found.low_cause == "the droop strap is tight"
    assert -80.0 < found.low < -30.0
    motion = move(linkage, [found.low - 1.0, found.low, travel_range(linkage)[1]])
    assert motion.state[:, 0].tolist() == [Reach.STRAP, 0, 0]
    apart = np.linalg.norm(motion.point(eye) - motion.point(rail), axis=-1)[:, 0]
    assert apart[1] == pytest.approx(330.0, abs=1e-9)
    assert apart[2] == pytest.approx(220.0, abs=1e-9)
    assert [x.cause for x in found.bump].count("the bump stop meets") == 2


@pytest.mark.campaign
def test_a_corner_on_bushes_ends_where_it_can_be_followed_no_farther():
    """Without a coilover nothing else ends it: a hair nearer is reached, a hair farther is not."""
    linkage = corner(msgspec.structs.replace(locked(), coilover=None), GIVE)
    found = limits(linkage)
    for end, side in ((found.low, -1e-4), (found.high, 1e-4)):
        near, far = (move(linkage, [end + k * side], stops=False) for k in (-1.0, 1.0))
        assert near.reached.all()
        assert not far.reached.any()
        assert far.reason(0)
    assert found.low_cause
    assert found.high_cause


def test_where_a_figure_passes_a_value():
    linkage = corner(five_links())

    def camber(motion):
        return float(measure(linkage.project, motion)["camber"][0, 0])

    z = where(linkage, camber, np.radians(-1.5), (0.0, 60.0))
    assert camber(move(linkage, [z])) == pytest.approx(np.radians(-1.5), abs=1e-13)
    with pytest.raises(MotionError, match="does not pass"):
        where(linkage, camber, 1.0, (0.0, 60.0))


def test_the_usual_range_without_a_coilover():
    assert travel_range(corner(ALL["wishbones"]())) == (-80.0, 80.0)
    told = msgspec.structs.replace(ALL["wishbones"](), travel=(-50.0, 40.0))
    assert travel_range(corner(told)) == (-50.0, 40.0)
