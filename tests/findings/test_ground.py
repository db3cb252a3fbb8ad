"""The lowest part to the ground, tyre up and flat."""

import numpy as np
import pytest
from msgspec.structs import replace

from app.examples import find_project
from kinematics.findings.statics import fact_sentence, say_fact
from kinematics.project.files import read
from kinematics.project.mirror import mirror
from kinematics.project.model import Box, Rule
from kinematics.shapes.sections import rim_section
from kinematics.studies.study import study


@pytest.fixture(scope="module")
def right():
    return read(find_project("rear-put-right"))


def ground(project, travel=(-60.0, 0.0, 60.0)):
    checked = study(project, travel=travel)
    facts = {f.kind: f for f in checked.facts}
    return facts["ground"], facts["ground flat"], checked


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
    assert up.amount == pytest.approx(120.0 - contact[2])
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
    up, flat, checked = ground(rail(right, 66.0))
    assert up.problem
    assert up.figures["rule"] == 10.0
    assert 0 < up.amount < 10
    assert "comes within" in fact_sentence(up).headline
    assert "10 mm is asked for" in say_fact(up)
    assert flat.problem
    assert "digs" in fact_sentence(flat).headline
    assert {f.reason for f in checked.findings if f.is_problem} == {"ground", "ground flat"}
    own = (Rule(between=("low rail", "ground"), at_least=0.0),)
    up, _, _ = ground(rail(right, 66.0, rules=own))
    assert not up.problem


def test_what_gets_too_low_says_from_where_on(right):
    up, _, _ = ground(rail(right, 66.0), travel=np.linspace(-60, 60, 121))
    assert up.bump == pytest.approx(56.0, abs=1.01)
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
