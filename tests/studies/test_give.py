"""Clearances with give: both figures, certified, and looked at only where they can matter."""

import csv
import io

import numpy as np
import pytest
from msgspec.structs import replace

from app.examples import find_project
from app.paper.tables import clearance_csv
from kinematics.findings import say
from kinematics.findings.give_words import say_give
from kinematics.findings.words import GIVES
from kinematics.project.extra import USUAL_EXTRA_POSITIONS
from kinematics.project.files import read
from kinematics.project.mirror import mirror
from kinematics.project.model import ExtraPosition
from kinematics.studies.give import give
from kinematics.studies.study import study


@pytest.fixture(scope="module")
def trouble():
    return read(find_project("rear-in-trouble"))


def lip(checked):
    return next(f for f in checked.findings if set(f.parts) == {"tyre", "tower lip"})


def with_extra(project, **extras):
    return replace(project, extra_positions=extras)


def test_three_mm_inboard_turns_five_of_overlap_into_eight(trouble):
    checked = study(with_extra(trouble, pushed=ExtraPosition(inboard=3.0)))
    found = lip(checked)
    assert found.amount == pytest.approx(-5.0, abs=0.3)
    assert found.give.amount == pytest.approx(found.amount - 3.0, abs=0.03)
    assert not found.give.usual
    # The same as if the lip stood 3 mm farther out.
    out = replace(trouble, tower=replace(trouble.tower, inner=trouble.tower.inner + 3.0,
                                         outer=trouble.tower.outer + 3.0))  # fmt: skip
    rigid = lip(study(replace(out, extra_positions={})))
    assert rigid.give is None
    assert found.give.amount == pytest.approx(rigid.amount, abs=0.03)
    assert found.give.touches.bump == pytest.approx(rigid.touches.bump, abs=1.0)
    assert found.give.touches.bump <= rigid.touches.bump + 1e-6


def test_both_figures_are_said(trouble):
    checked = study(with_extra(trouble, pushed=ExtraPosition(inboard=3.0)))
    words = say(lip(checked))
    assert "digs 5.0 mm into the tower lip" in words
    assert "Allowing for give (pushed), they overlap by 8.0 mm, from +37.9" in words
    assert say_give(checked.given, checked.project) == "Give, as typed: pushed (3 mm inboard)."


def test_the_table_holds_both_figures(trouble):
    checked = study(with_extra(trouble, pushed=ExtraPosition(inboard=3.0)), [-60.0, 0.0, 60.0])
    out = io.StringIO()
    clearance_csv(checked, out)
    rows = list(csv.DictReader(io.StringIO(out.getvalue())))
    tight = {r["travel_mm"]: r for r in rows if {r["part_a"], r["part_b"]} == {"tyre", "tower lip"}}
    row = tight["60.000000"]
    # The lip's face stands across the car, and the tyre meets it squarely.
    assert float(row["give_mm"]) == pytest.approx(float(row["clearance_mm"]) - 3.0, abs=0.05)
    assert float(row["give_bound_mm"]) <= checked.tolerance
    for r in rows:
        if r["clearance_mm"]:
            low, bound = float(r["give_mm"]), float(r["give_bound_mm"])
            rigid, error = float(r["clearance_mm"]), float(r["bound_mm"])
            assert rigid - 3.0 - checked.tolerance <= low <= rigid + error
            # Within reach of its give a pair is measured; farther off it has lost 3 mm at most.
            assert bound <= checked.tolerance or low + bound <= rigid + error + 1e-5
    still = study(with_extra(trouble), [0.0])
    out = io.StringIO()
    clearance_csv(still, out)
    assert all(not r["give_mm"] for r in csv.DictReader(io.StringIO(out.getvalue())))


def test_the_usual_give_is_marked(trouble):
    checked = study(trouble)
    assert lip(checked).give.usual
    assert "Allowing for give (the tyre bulges under load, as usual), they overlap" in say(
        lip(checked)
    )
    assert GIVES.keys() == USUAL_EXTRA_POSITIONS.keys()
    assert "common practice, no source" in say_give(checked.given, checked.project)


def test_what_touches_only_once_it_gives_is_a_problem(trouble):
    away = with_extra(trouble, pushed=ExtraPosition(inboard=30.0))
    rigid = replace(away, rules=(), tower=replace(trouble.tower, lip=20.0))
    checked = study(rigid, travel=np.linspace(-20.0, 60.0, 81))
    found = lip(checked)
    assert found.kind == "near"
    assert found.amount > 0.0
    assert found.give.amount < 0.0
    assert found.is_problem
    assert "Allowing for give (pushed), they overlap by" in say(found)


def test_the_other_side_of_the_car_gives_the_same(trouble):
    one = with_extra(trouble, hit=ExtraPosition(inboard=2.0, forward=1.0, lean_in_deg=0.5))
    here, there = lip(study(one)), lip(study(mirror(one)))
    assert here.give.amount == pytest.approx(there.give.amount, abs=0.03)
    assert here.give.travel == pytest.approx(there.give.travel, abs=1.0)


def test_no_pair_that_gives_into_touching_is_passed_over(trouble):
    """Every pair measured with give, against those that were chosen."""
    extra = ExtraPosition(inboard=12.0, up=8.0, lean_in_deg=2.0)
    one = with_extra(trouble, hit=extra)
    travel = np.linspace(-60.0, 60.0, 9)
    checked = study(one, travel=travel)
    pairs = range(len(checked.names))
    every = give(checked, pairs)
    for k, p in enumerate(every.pairs):
        least = np.nanmin(every.each[0].low[k])
        if least < 0.0:
            assert p in checked.given.pairs, checked.names[p]
        there = every.each[0]
        fall = np.nanmax(checked.clearances.low[p] - there.low[k] - there.bound[k])
        assert fall <= 12.0 + 8.0 + 2 * np.radians(2.0) * 300  # no point goes farther


def test_parts_of_the_wheels_own_carrier_do_not_meet_it_by_giving(trouble):
    checked = study(with_extra(trouble, pushed=ExtraPosition(inboard=30.0)))
    kin = [p for p in checked.given.pairs if "radius arm" in checked.names[p]]
    assert all({"tyre", "wheel"}.isdisjoint(checked.names[p]) for p in kin)


def test_low_is_never_more_than_rigid(trouble):
    checked = study(trouble)
    for p in checked.given.pairs:
        low = checked.given.low(p)
        assert np.all(low <= checked.given.rigid.low[checked.given.pairs.index(p)] + 1e-12)
    assert checked.given.low(10_000) is None
