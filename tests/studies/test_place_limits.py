"""Joints, spring, damper and lean of a map against the corner rebuilt with its mount there."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest

from app.resources import assets
from kinematics.measures import measure
from kinematics.motion import move
from kinematics.project.files import read
from kinematics.project.model import Bearing, End, MountPlate, Strap, TopMount
from kinematics.statics.statics import statics
from kinematics.studies.cures_coilover import moved_mount
from kinematics.studies.place_limits import SpringState, Stands, spring_use
from kinematics.studies.places import rising, thinned
from kinematics.studies.study import set_up
from kinematics.studies.top_map import slot_map, slots_of, top_map

OFFSETS = np.linspace(-40.0, 40.0, 9)
NARROW = {
    "rear-in-trouble": {
        "coilover foot": Bearing(rubber=True, limit_deg=5.0, twist_limit_deg=4.0),
        "top bearing": Bearing(limit_deg=9.0),
    },
    "front-strut": {
        "top bearing": Bearing(limit_deg=11.0),
        "lower ball joint": Bearing(limit_deg=16.5),
    },
}


def example(name):
    return read(assets() / "examples" / f"{name}.corner.json")


def narrowed(name):
    """The example with bearings near their limits, so that places differ in which rules."""
    project = example(name)
    return msgspec.structs.replace(project, bearings={**project.bearings, **NARROW[name]})


@pytest.fixture(scope="module", params=["rear-in-trouble", "front-strut"])
def mapped(request):
    setting = set_up(narrowed(request.param))
    return setting, top_map(setting, OFFSETS, OFFSETS, height=5.0)


def rebuilt(setting, plan, row, column):
    """The corner with its mount at a place of the map, over the travels looked at there."""
    at = plan.along[row], plan.across[column], plan.height
    moved = set_up(moved_mount(setting.project, *at, True))
    inside = (plan.travels > moved.range[0]) & (plan.travels < moved.range[1])
    travel = np.sort(np.concatenate([plan.travels[inside], moved.range]))
    return moved, statics(move(moved.linkage, travel))


def used_most(known):
    """What the joint that uses most of its limit has left, rad, and its point."""
    found = []
    for use in known.bearings:
        limits = [(use.left, use.limit)]
        if use.twist_left is not None:
            limits.append((use.twist_left, use.twist_limit))
        found += [(np.nanmin(x) / n, np.nanmin(x), use.point) for x, n in limits if np.isfinite(n)]
    return min(found)[1:]


def test_limits_equal_a_full_check_at_random_places(mapped):
    setting, plan = mapped
    rng = np.random.default_rng(7)
    limits = plan.limits
    for row, column in rng.integers(0, len(OFFSETS), (6, 2)):
        moved, known = rebuilt(setting, plan, row, column)
        left, point = used_most(known)
        assert limits.joint_left[row, column] == pytest.approx(left, abs=2e-6)
        assert limits.joints[limits.joint[row, column]].point == point
        squash = -np.nanmax(known.figures["spring_loose"])
        assert limits.spring_squash[row, column] == pytest.approx(squash, abs=1e-4)
        room = np.nanmin(known.figures["spring_left"])
        assert limits.spring_left[row, column] == pytest.approx(room, abs=1e-4)
        meets = next(act.travel for act in known.stops.bump if act.name == "bump stop")
        assert limits.meets[row, column] == pytest.approx(meets, abs=1e-3)
        assert limits.damper_left[row, column] == pytest.approx(0.0, abs=1e-3)
        lean = [
            measure(s.unfolded, move(s.linkage, [0.0])).figures[key][0, 0]
            for key in ("camber", "toe")
            for s in (moved, setting)
        ]
        assert limits.camber[row, column] == pytest.approx(lean[0] - lean[1], abs=1e-8)
        assert limits.toe[row, column] == pytest.approx(lean[2] - lean[3], abs=1e-8)


def test_the_joint_that_rules_differs_from_place_to_place_and_some_bind(mapped):
    _, plan = mapped
    limits = plan.limits
    assert len(np.unique(limits.joint)) > 1
    assert limits.binds.any()
    assert not limits.binds.all()
    assert not (plan.good & limits.binds).any()
    at = limits.joint_travel
    assert np.all((at >= plan.droop - 1e-9) & (at <= plan.bump + 1e-9))


def test_joints_past_their_limit_are_those_a_check_calls_so(mapped):
    setting, plan = mapped
    for want in (True, False):
        row, column = np.argwhere(plan.limits.binds == want)[0]
        _, known = rebuilt(setting, plan, row, column)
        assert (used_most(known)[0] < 0.0) == want


def test_best_is_not_where_a_joint_binds(mapped):
    _, plan = mapped
    assert not plan.limits.wrong[plan.best]


def test_a_raised_mount_leaves_the_spring_loose_and_at_last_pulls_the_damper_out():
    project = example("rear-in-trouble")
    spring = msgspec.structs.replace(project.coilover.spring, free=342.0)
    coilover = msgspec.structs.replace(project.coilover, spring=spring)
    setting = set_up(msgspec.structs.replace(project, coilover=coilover))
    here = np.zeros(1)
    plan = top_map(setting, here, here)
    # Installed at 345 mm at full droop by an independent solver: 3 mm loose.
    assert plan.limits.spring_squash[0, 0] == pytest.approx(-3.0, abs=0.3)
    assert plan.limits.spring[0, 0] == SpringState.LOOSE
    assert plan.limits.wrong[0, 0]
    for height, stands in ((120.0, Stands.PULLED_OUT), (-120.0, Stands.SHUT)):
        out = top_map(setting, here, here, height=height)
        assert out.limits.stands[0, 0] == stands
        assert np.isnan(out.limits.joint_left).all()
        assert out.limits.wrong.all()


def test_the_states_of_a_spring():
    """A spring of 350 mm free, 13 coils of 12 mm wire or so: by lengths between its ends."""
    project = example("rear-in-trouble")
    off = 170.0  # 135 mm of seat and 35 mm of hat
    longest = off + np.array([349.0, 351.0, 349.0, 349.0])
    shortest = off + np.array([300.0, 300.0, 180.0, 120.0])
    found = spring_use(project, longest, shortest)
    assert found.squash.tolist() == [1.0, -1.0, 1.0, 1.0]
    lip = project.coilover.spring.locating_lip
    after = SpringState.IN_LIP if lip >= 1.0 else SpringState.LOOSE
    assert found.state[:2].tolist() == [SpringState.CAPTIVE, after]
    assert found.state[3] == SpringState.BOUND
    assert np.all(np.diff(found.left[[0, 2, 3]]) < 0.0)


def test_travel_that_was_asked_for_may_be_more_than_the_damper_has():
    setting = set_up(msgspec.structs.replace(example("rear-in-trouble"), travel=(-75.0, 60.0)))
    plan = top_map(setting, OFFSETS, OFFSETS)
    middle = len(OFFSETS) // 2
    assert plan.limits.damper_left[middle, middle] > 0.0
    raised = top_map(setting, OFFSETS, OFFSETS, height=15.0).limits
    assert raised.short.all()
    assert raised.damper_left.max() > -15.0


def test_a_strap_beside_the_damper_ends_droop_where_the_damper_would_not():
    project = example("rear-in-trouble")
    foot, top = project.coilover.foot, project.points[project.coilover.top.point]
    taut = float(np.linalg.norm(np.subtract(project.points[foot.point], top)))
    points = {**project.points, "strap top": top}
    strap = Strap(ends=(foot, End("strap top")), length=taut + 55.0)
    setting = set_up(msgspec.structs.replace(project, points=points, straps={"strap": strap}))
    plan = top_map(setting, np.zeros(1), OFFSETS)
    assert setting.range[0] > -75.0
    # Lower down the damper would let it droop farther: the strap does not.
    lowered = top_map(setting, np.zeros(1), np.zeros(1), height=-10.0)
    assert lowered.droop[0, 0] == pytest.approx(setting.range[0], abs=1e-6)
    assert plan.droop.min() >= setting.range[0] - 1e-6


def test_places_within_the_slots():
    project = example("rear-in-trouble")
    plate = MountPlate(length=110.0, width=110.0, thickness=5.0, slot_forward=20.0,
                       slot_inboard=30.0, set_forward=4.0, set_inboard=-3.0)  # fmt: skip
    setting = set_up(msgspec.structs.replace(project, top_mount=TopMount(plate=plate)))
    (rear, fore), (least, most) = slots_of(setting)
    assert (rear, fore) == (-14.0, 6.0)
    assert (least, most) == (-18.0, 12.0)  # on the left y is outboard: 18 mm inboard at most
    plan = top_map(setting, OFFSETS, OFFSETS, with_tower=False)
    inside = plan.in_slots
    assert inside.sum() == 6  # x of -10 and 0, y of -10, 0 and 10
    assert inside[plan.best_in_slots]
    assert plan.margin[plan.best_in_slots] == np.nanmax(plan.margin[inside & ~plan.limits.wrong])
    slid = slot_map(setting)
    assert slid.in_slots.all()
    assert (slid.along[0], slid.along[-1], slid.across[0], slid.across[-1]) == (-14, 6, -18, 12)
    assert not slid.with_tower
    assert slot_map(set_up(project)) is None


def test_a_map_turned_or_thinned_takes_its_limits_along(mapped):
    setting, plan = mapped
    turned = rising(top_map(setting, -OFFSETS[::4], OFFSETS[::4], height=5.0))
    few = thinned(plan, 4)
    assert few.limits.joints == plan.limits.joints
    np.testing.assert_allclose(turned.limits.joint_left, few.limits.joint_left, atol=1e-9)
    np.testing.assert_allclose(turned.limits.spring_left, few.limits.spring_left, atol=1e-9)


def test_several_rack_positions_are_the_worst_of_each():
    setting = set_up(narrowed("front-strut"))
    racks = np.array([-20.0, 0.0, 20.0])
    places = OFFSETS[::4]
    together = top_map(setting, places, places, rack=racks).limits
    each = [top_map(setting, places, places, rack=rack).limits for rack in racks]
    assert np.allclose(together.spring_left, np.min([x.spring_left for x in each], axis=0))
    least = np.min([x.joint_left for x in each], axis=0)
    assert np.all(together.joint_left >= least - 1e-12)
    assert set(np.unique(together.joint_rack)) <= set(racks)
