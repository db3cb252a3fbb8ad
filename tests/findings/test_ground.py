"""The lowest part to the ground, tyre up and flat."""

import numpy as np
import pytest
from msgspec.structs import replace

from app.examples import find_project
from kinematics.findings.ground import ground_facts
from kinematics.findings.ground_room import foot, room
from kinematics.findings.sharpen import TOLERANCE, Grid, first_under, sharpened
from kinematics.findings.statics import fact_sentence, say_fact
from kinematics.motion import move
from kinematics.project.files import read
from kinematics.project.mirror import mirror
from kinematics.project.model import Box, Rule
from kinematics.project.rules import rules_of
from kinematics.shapes.sections import rim_section
from kinematics.shapes.wheel import WHEEL_PARTS
from kinematics.studies.study import look, set_up, study


@pytest.fixture(scope="module")
def right():
    return read(find_project("rear-put-right"))


def ground(project, travel=(-60.0, 0.0, 60.0)):
    """Tyre up and tyre flat, and the positions they were looked for from."""
    setting = set_up(project)
    seen = look(setting, np.asarray(travel, float), np.zeros(1))
    up, flat = ground_facts(
        setting.unfolded, seen.parts, seen.motion, setting.builder, rules_of(setting.unfolded)
    )
    return up, flat, seen


def rail(project, bottom, **more):
    """The car with a rail under its floor, its underside at a height."""
    box = Box("chassis", (-300.0, 300.0, bottom), (300.0, 360.0, bottom + 40.0))
    return replace(project, parts={**project.parts, "low rail": box}, **more)


def test_the_body_comes_down_by_the_travel(right):
    up, flat, checked = ground(rail(right, 120.0))
    assert (up.subject, flat.subject) == ("low rail", "low rail")
    assert up.travel == 60.0
    # The loaded tyre stands on the ground at set-up height; travel brings the body down.
    contact = checked.measures["contact_z"][:, 0]
    assert contact[1] == pytest.approx(0.0, abs=0.1)
    assert 0.0 <= 120.0 - contact[2] - up.amount <= TOLERANCE  # certified, on the way there too
    assert up.amount == pytest.approx(60.0, abs=0.5)
    assert up.figures["at_setup"] == pytest.approx(120.0 - contact[1])
    assert not up.problem
    assert "low rail is lowest: 59." in fact_sentence(up).headline
    assert say_fact(flat).startswith("With a flat tyre the low rail")


def test_a_flat_tyre_stands_on_its_rim_or_on_the_radius_typed(right):
    _, flat, checked = ground(rail(right, 120.0), travel=[0.0])
    flange = rim_section(right.wheel).flange
    lean = float(checked.measures["camber"][0, 0])
    # The rim's lower flange edge: the wheel leans by a degree, so that one edge is lower.
    plain = 120.0 - (276.0 - flange * np.cos(lean))
    assert flat.amount == pytest.approx(plain, abs=3.0)
    assert flat.amount >= plain - 1e-6
    typed = replace(right, wheel=replace(
        right.wheel, tyre=replace(right.wheel.tyre, flat_radius=230.0)))  # fmt: skip
    up, flat, _ = ground(rail(typed, 120.0), travel=[0.0])
    sunk = (276.0 - 230.0) * np.cos(lean)
    assert flat.amount == pytest.approx(up.amount - sunk, abs=1e-9)


def test_too_low_is_a_problem_by_the_rule(right):
    up, flat, _ = ground(rail(right, 66.0))
    assert up.problem
    assert up.figures["rule"] == 10.0
    assert 0 < up.amount < 10
    assert "comes within" in fact_sentence(up).headline
    assert "10 mm is asked for" in say_fact(up)
    assert flat.problem
    assert "digs" in fact_sentence(flat).headline
    checked = study(rail(right, 66.0), travel=(-60.0, 0.0, 60.0))
    assert {f.reason for f in checked.findings if f.is_problem} == {"ground", "ground flat"}
    own = (Rule(between=("low rail", "ground"), at_least=0.0),)
    up, _, _ = ground(rail(right, 66.0, rules=own))
    assert not up.problem


def test_what_gets_too_low_says_from_where_on(right):
    up, _, _ = ground(rail(right, 66.0), travel=np.linspace(-60, 60, 121))
    # 10 mm are asked for over 66: when the ground has risen by 56 mm on the body.
    there = ground(rail(right, 66.0), travel=[0.0, up.bump])[2].measures["contact_z"][1, 0]
    assert there == pytest.approx(56.0, abs=0.02)
    assert there <= 56.0
    assert up.droop is None


def test_the_other_side_is_the_same(right):
    here, there = ground(rail(right, 100.0)), ground(mirror(rail(right, 100.0)))
    for a, b in zip(here[:2], there[:2], strict=True):
        assert a.subject == b.subject
        assert a.amount == pytest.approx(b.amount, abs=1e-9)


def test_a_flat_tyre_is_no_taller_than_one_with_air(right):
    from kinematics.project.checks import problems_of

    tall = replace(right, wheel=replace(
        right.wheel, tyre=replace(right.wheel.tyre, flat_radius=280.0)))  # fmt: skip
    assert problems_of(tall) == ["wheel.tyre: the flat radius is more than with air in it."]


def test_without_set_up_height_nothing_is_said_of_it(right):
    up, _, _ = ground(right, travel=[20.0, 30.0])
    assert "at_setup" not in up.figures
    assert "set-up" not in say_fact(up)


@pytest.mark.parametrize("name", ["rear-in-trouble", "front-wishbones", "rear-semi-trailing"])
@pytest.mark.parametrize("flat", [False, True])
def test_between_travels_no_more_is_said_than_any_position_shows(name, flat):
    """Steps of 10 mm against every sixteenth of them, part by part: never over, and close."""
    setting = set_up(read(find_project(name)))
    project, (low, high) = setting.unfolded, (max(-70.0, setting.range[0]), 70.0)
    rack = [0.0] if project.rack is None else [0.6 * project.rack.most]
    on = foot(project, flat)
    found = []
    for count in (15, 14 * 16 + 1):
        motion = move(setting.linkage, np.linspace(low, high, count), rack)
        parts = [p for p in setting.builder(motion) if p.name not in WHEEL_PARTS]
        found.append(room(project, parts, motion, on))
    coarse, fine = found
    least = np.array([fine.low[:, 16 * i : 16 * i + 17].min(axis=1) for i in range(14)])
    spare = least.swapaxes(0, 1) - coarse.between
    assert coarse.between.shape == (len(parts), 14, 1)
    assert spare.min() >= -1e-9
    assert spare.max() < 1.5  # of steps a tenth as long a hundredth


def dip(where, depth=30.0):
    """Two things: one dips by 1/2 (z - where)², the other stands still; bounds by curvature 1."""

    def look(k, travel, rack):
        low = depth + (0.5 * (travel - where) ** 2 if k == 0 else 5.0 + 0.0 * travel)
        return low, np.minimum(low[1:], low[:-1]) - (1.0 - k) * np.diff(travel) ** 2 / 8.0

    return look  # fmt: skip


def grid_of(look, travel, racks=(0.0,)):
    each = [[look(k, travel, r) for r in racks] for k in (0, 1)]
    low = np.array([np.stack([x[0] for x in row], axis=1) for row in each])
    between = np.array([np.stack([x[1] for x in row], axis=1) for row in each])
    return Grid(travel, np.array(racks), low, between)


@pytest.mark.parametrize("where", [13.37, -61.003, 80.0])
def test_a_dip_between_coarse_travels_is_found_to_the_tolerance(where):
    """Its bottom is 30, wherever it lies (closed form)."""
    look = dip(where)
    grid = grid_of(look, np.linspace(-80.0, 80.0, 9))
    least = sharpened(grid, np.zeros(2), look)
    assert least.number == 0
    assert 30.0 - TOLERANCE <= least.low <= 30.0 <= least.low + least.bound
    assert least.bound <= TOLERANCE
    assert least.travel == pytest.approx(where, abs=0.21)  # at which it is 0.02 up
    # More asked of the other thing: it has less over.
    assert sharpened(grid, np.array([0.0, 6.0]), look).number == 1


def test_the_first_travel_under_a_level_is_certified_and_close():
    look = dip(40.0)
    grid = grid_of(look, np.linspace(-80.0, 80.0, 9))
    up, down = first_under(grid, 0, 32.0, look)  # under it within 2 mm of the bottom
    assert up == pytest.approx(38.0, abs=0.03)
    assert up <= 38.0
    assert down is None
    assert first_under(grid, 1, 35.0, look) == (None, None)
    assert first_under(grid, 1, 35.1, look) == (0.0, 0.0)
