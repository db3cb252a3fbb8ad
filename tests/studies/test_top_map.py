"""The map against the corner itself, rebuilt with its mount at each place and checked in full."""

from __future__ import annotations

import traceback
from collections.abc import Callable

import msgspec
import numpy as np
import pytest

from app.resources import assets
from kinematics.clearance import Cancelled
from kinematics.clearance.grid import STILL
from kinematics.motion import move
from kinematics.project.edit import move_top
from kinematics.project.files import read
from kinematics.project.model import Rule
from kinematics.studies.cures_coilover import moved_mount
from kinematics.studies.sliding import Sliding, Term, steers_the_wheel
from kinematics.studies.strut_mount import move_strut_top
from kinematics.studies.strut_places import StrutPlaces
from kinematics.studies.study import look, racks, set_up
from kinematics.studies.top_map import TopMap, top_map

OFFSETS = np.linspace(-30.0, 30.0, 13)


def example(name: str):
    return read(assets() / "examples" / f"{name}.corner.json")


@pytest.fixture(scope="module", params=["rear-in-trouble", "rear-five-links", "front-wishbones"])
def mapped(request):
    setting = set_up(example(request.param))
    return setting, top_map(setting, OFFSETS, OFFSETS, height=4.0)


def test_map_equals_the_corner_rebuilt_at_random_places(mapped):
    setting, plan = mapped
    rng = np.random.default_rng(20)
    for _ in range(6):
        row, column = rng.integers(0, len(OFFSETS), 2)
        moved = set_up(move_top(setting.project, OFFSETS[row], OFFSETS[column], 4.0))
        assert plan.droop[row, column] == pytest.approx(moved.range[0], abs=1e-6)
        assert plan.bump[row, column] == pytest.approx(moved.range[1], abs=1e-6)
        inside = (plan.travels > moved.range[0]) & (plan.travels < moved.range[1])
        travel = np.sort(np.concatenate([plan.travels[inside], moved.range]))
        checked = look(moved, travel, np.zeros(1))
        pairs = Sliding(moved, checked.motion, True).affected
        low = checked.clearances.low[pairs, :, 0]
        # Both figures are lower bounds within 0.02 mm of the truth.
        assert plan.clearance[row, column] == pytest.approx(np.nanmin(low), abs=0.02)
        margin = np.nanmin(low - moved.rule[pairs, None])
        assert plan.margin[row, column] == pytest.approx(margin, abs=0.02)


def test_named_pair_and_travel_give_the_figure(mapped):
    setting, plan = mapped
    row, column = 3, 9
    pair = plan.clearance_pair[row, column]
    moved = set_up(move_top(setting.project, OFFSETS[row], OFFSETS[column], 4.0))
    there = look(moved, np.array([plan.clearance_travel[row, column]]), np.zeros(1))
    assert there.clearances.low[pair, 0, 0] == pytest.approx(plan.clearance[row, column], abs=0.02)


def test_best_place_keeps_the_rules_of_the_trouble_example():
    setting = set_up(example("rear-in-trouble"))
    plan: TopMap = top_map(setting, OFFSETS, OFFSETS)
    row, column = plan.best
    assert plan.margin[row, column] > 0.0
    here = np.flatnonzero(OFFSETS == 0.0)[0]
    assert plan.clearance[here, here] == pytest.approx(-5.0, abs=0.3)


def test_places_where_the_damper_cannot_stand_are_unknown():
    setting = set_up(example("rear-in-trouble"))
    plan = top_map(setting, np.zeros(1), np.zeros(1), height=120.0)
    assert np.isnan(plan.clearance).all()
    assert np.isnan(plan.droop).all()


def test_a_strut_equals_the_corner_solved_with_its_top_there():
    setting = set_up(example("front-strut"))
    offsets = np.linspace(-12.0, 12.0, 5)
    plan = top_map(setting, offsets, offsets)
    for row, column in ((0, 0), (1, 3), (4, 2)):
        moved = set_up(move_strut_top(setting.project, offsets[row], offsets[column], 0.0))
        assert plan.droop[row, column] == pytest.approx(moved.range[0], abs=1e-3)
        assert plan.bump[row, column] == pytest.approx(moved.range[1], abs=1e-3)
        inside = (plan.travels > moved.range[0]) & (plan.travels < moved.range[1])
        travel = np.sort(np.concatenate([plan.travels[inside], moved.range]))
        checked = look(moved, travel, np.zeros(1))
        low = checked.clearances.low[:, :, 0]
        pairs = np.unique(plan.clearance_pair)
        assert plan.clearance[row, column] == pytest.approx(np.nanmin(low), abs=0.02)
        assert plan.clearance_pair[row, column] in pairs


def test_a_mount_that_slides_over_its_tower_equals_the_corner_rebuilt():
    setting = set_up(example("rear-in-trouble"))
    offsets = np.linspace(-12.0, 12.0, 5)
    plan = top_map(setting, offsets, offsets, with_tower=False)
    for row, column in ((0, 0), (1, 3), (4, 2), (2, 4)):
        shift = offsets[row], offsets[column]
        moved = set_up(move_top(setting.project, *shift, 0.0, with_tower=False))
        inside = (plan.travels > moved.range[0]) & (plan.travels < moved.range[1])
        travel = np.sort(np.concatenate([plan.travels[inside], moved.range]))
        checked = look(moved, travel, np.zeros(1))
        pairs = Sliding(moved, checked.motion, False).affected
        low = checked.clearances.low[pairs, :, 0]
        assert plan.clearance[row, column] == pytest.approx(np.nanmin(low), abs=0.02)


EVERY = np.ones(49, dtype=bool)


def everywhere(sliding):
    """Every affected pair whole, to be cut at every place if it is joined at the top."""
    found = []
    for n, k in enumerate(sliding.affected):
        still = [i for i in sliding.setting.pairs.checked[k]
                 if sliding._mode(sliding._parts[i]) == STILL]  # fmt: skip
        pieces = range(len(sliding._parts[still[0]].pieces)) if still else ()
        found.append(Term(n, still[0] if still else -1, tuple(pieces), EVERY if still else None))
    return found


@pytest.mark.parametrize("height", [0.0, -25.0])
def test_a_tower_cut_only_where_it_matters_is_the_tower_cut_everywhere(height):
    """With a rule for the damper shaft that makes it the tightest, beside the ball it goes in."""
    rule = Rule(between=("damper shaft", "tower"), at_least=80.0)
    setting = set_up(msgspec.structs.replace(example("rear-in-trouble"), rules=(rule,)))
    offsets = np.linspace(-40.0, 40.0, 7)
    seen = []
    plan = top_map(setting, offsets, offsets, height=height, with_tower=False,
                   progress=seen.append)  # fmt: skip
    assert seen == sorted(seen)
    assert seen[-1] == 1.0
    with pytest.MonkeyPatch.context() as patch:
        whole = Sliding.placed
        patch.setattr(Sliding, "terms", lambda self, offset: everywhere(self))
        patch.setattr(Sliding, "placed", lambda self, *args: whole(self, *args[:4], True))
        every = top_map(setting, offsets, offsets, height=height, with_tower=False)
    np.testing.assert_allclose(plan.clearance, every.clearance, atol=0.02)
    np.testing.assert_allclose(plan.margin, every.margin, atol=0.02)
    named = {setting.names[k] for k in plan.margin_pair.ravel()}
    assert named == {("damper shaft", "tower")}


def test_several_rack_positions_are_the_worst_of_each():
    setting = set_up(example("front-wishbones"))
    racks = np.array([-15.0, 0.0, 20.0])
    together = top_map(setting, OFFSETS[::4], OFFSETS[::4], rack=racks)
    each = [top_map(setting, OFFSETS[::4], OFFSETS[::4], rack=rack) for rack in racks]
    margin = np.array([plan.margin for plan in each])
    # Lower bounds within 0.02 mm, however the search came by them.
    np.testing.assert_allclose(together.margin, margin.min(axis=0), atol=0.02)
    named = np.argmax(together.margin_rack == racks[:, None, None], axis=0)
    there = np.take_along_axis(margin, named[None], axis=0)[0]
    np.testing.assert_allclose(together.margin, there, atol=0.02)


@pytest.mark.parametrize("count", [5, 9, 21])
def test_a_coarse_map_equals_itself_turned_round_and_the_corner_rebuilt(count):
    # Places far apart: what one leaves behind must not pass for knowledge of the next.
    setting = set_up(example("rear-in-trouble"))
    offsets = np.linspace(-40.0, 40.0, count)
    plan = top_map(setting, offsets, offsets)
    for turned, flip in ((top_map(setting, -offsets, offsets), 1),
                         (top_map(setting, offsets, -offsets), 0)):  # fmt: skip
        np.testing.assert_allclose(np.flip(turned.clearance, flip), plan.clearance, atol=0.02)
        np.testing.assert_allclose(np.flip(turned.margin, flip), plan.margin, atol=0.02)
    for row, column in ((0, 0), (count // 4, count // 4), (count - 2, count - 1)):
        assert plan.clearance[row, column] == pytest.approx(
            rebuilt(setting, plan, row, column), abs=0.02
        )


def test_every_place_of_a_map_is_known_where_tiles_hold_one_place(monkeypatch):
    monkeypatch.setattr("kinematics.clearance.places.FEW", 1)
    setting = set_up(example("rear-in-trouble"))
    offsets = np.linspace(-40.0, 40.0, 9)
    plan = top_map(setting, offsets, offsets)
    assert not np.isnan(plan.clearance).any()
    assert not np.isnan(plan.margin).any()


def rebuilt(setting, plan: TopMap, row: int, column: int) -> float:
    """The lowest clearance of the corner rebuilt with its mount at that place of the map."""
    moved = set_up(move_top(setting.project, plan.along[row], plan.across[column], plan.height))
    inside = (plan.travels > moved.range[0]) & (plan.travels < moved.range[1])
    travel = np.sort(np.concatenate([plan.travels[inside], moved.range]))
    checked = look(moved, travel, np.zeros(1))
    pairs = Sliding(moved, checked.motion, True).affected
    return float(np.nanmin(checked.clearances.low[pairs, :, 0]))


@pytest.mark.campaign
@pytest.mark.parametrize(
    ("name", "with_tower"),
    [("rear-in-trouble", True), ("rear-in-trouble", False), ("rear-five-links", True),
     ("front-wishbones", True), ("front-strut", True), ("rear-semi-trailing", True)],
)  # fmt: skip
def test_the_map_equals_brute_force_at_places_never_tried_before(name, with_tower):
    """Every pair of the corner rebuilt with its mount there, at all the map's travels."""
    seed = int(np.random.SeedSequence().entropy % 2**32)
    rng = np.random.default_rng(seed)
    setting = set_up(example(name))
    offsets = np.sort(rng.uniform(-40.0, 40.0, 9))
    height = float(rng.uniform(-8.0, 8.0))
    plan = top_map(setting, offsets, offsets, height=height, with_tower=with_tower)
    for row, column in rng.integers(0, 9, (8, 2)):
        if np.isnan(plan.margin[row, column]):
            continue
        at = offsets[row], offsets[column], height
        moved = set_up(moved_mount(setting.project, *at, with_tower))
        assert (plan.droop[row, column], plan.bump[row, column]) == pytest.approx(
            moved.range, abs=1e-4
        )
        inside = (plan.travels > moved.range[0]) & (plan.travels < moved.range[1])
        travel = np.sort(np.concatenate([plan.travels[inside], moved.range]))
        low = look(moved, travel, np.zeros(1)).clearances.low[:, :, 0]
        pairs = [k for k in range(len(moved.names)) if k in affected(setting, with_tower)]
        figure = np.nanmin(low[pairs]), np.nanmin((low - moved.rule[:, None])[pairs])
        found = plan.clearance[row, column], plan.margin[row, column]
        assert found == pytest.approx(figure, abs=0.02), f"seed {seed}, place {at}"


def affected(setting, with_tower):
    """Numbers of the pairs that the mount's place changes."""
    motion = move(setting.linkage, [0.0])
    kind = StrutPlaces if steers_the_wheel(setting.unfolded) else Sliding
    return set(kind(setting, motion, with_tower).affected.tolist())


def test_camber_and_toe_over_several_racks_are_those_straight_ahead():
    setting = set_up(example("front-strut"))
    offsets = np.array([-8.0, 0.0])
    alone, steered = (
        top_map(setting, offsets, offsets, rack=rack) for rack in (0.0, racks(setting))
    )
    for name in ("camber", "toe"):
        one, other = (getattr(plan.limits, name) for plan in (alone, steered))
        assert np.abs(one).max() > 1e-4
        np.testing.assert_allclose(other, one, atol=1e-12)
    assert steered.clearance_rack.any()


def test_a_map_is_the_same_whenever_it_is_made():
    """To the last digit, whatever the corner was asked before."""
    setting = set_up(example("front-wishbones"))
    around = OFFSETS[::3]
    first = top_map(setting, around, around, rack=racks(setting))
    move(setting.linkage, np.linspace(-40.0, 40.0, 7), racks(setting))
    again = top_map(setting, around, around, rack=racks(setting))
    for name in ("clearance", "margin", "clearance_travel", "margin_rack", "droop", "bump"):
        np.testing.assert_array_equal(getattr(again, name), getattr(first, name), err_msg=name)


def test_a_struts_map_asks_at_every_stage_whether_to_stop():
    """While its poses are solved, put together and made into parts, and before and after each."""
    setting = set_up(example("front-strut"))
    around = OFFSETS[::4]
    asked: list[str] = []

    def stop_in(stage: str) -> Callable[[], bool]:
        def cancelled() -> bool:
            names = [frame.name for frame in traceback.extract_stack()]
            asked.extend(name for name in names if name in ("solved", "strut_motion", "placed"))
            return stage in names

        return cancelled

    for stage in ("solved", "strut_motion", "placed"):
        with pytest.raises(Cancelled):
            top_map(setting, around, around, cancelled=stop_in(stage))
        assert asked[-1] == stage
    asked.clear()
    top_map(setting, around, around, cancelled=stop_in("no stage"))
    assert asked.count("strut_motion") > 30  # at each travel solved, and for each body
    assert asked.count("placed") > 5
