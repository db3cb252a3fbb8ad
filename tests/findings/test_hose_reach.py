"""Whether hoses can reach tyre and spring."""

import numpy as np
import pytest
from msgspec.structs import replace

from app.examples import find_project
from kinematics.findings.hose_reach import hose_reach_facts, hose_room
from kinematics.findings.statics import say_fact
from kinematics.motion import corner, move
from kinematics.project.files import read
from kinematics.project.model import End, Hose, Rule
from kinematics.project.rules import USUAL_RULES
from kinematics.project.unfold import unfold
from kinematics.shapes.build import Builder, parts
from kinematics.shapes.wheel import axis
from kinematics.studies.study import look, racks, set_up, travels


@pytest.fixture(scope="module")
def car():
    return read(find_project("rear-in-trouble"))


def hosed(car, start, end, length, body="chassis"):
    points = {**car.points, "clip a": tuple(start), "clip b": tuple(end)}
    hose = Hose((End("clip a"), End("clip b", body)), length)
    return unfold(replace(car, points=points, hoses={"line": hose}))


def room(project, name, travel):
    motion = move(corner(project), np.asarray(travel, float))
    part = next(p for p in parts(project, motion) if p.name == name)
    return hose_room(project, project.hoses["line"], part, motion), motion


def test_clips_at_one_place_reach_a_ball(car):
    """A ball of half the hose about the clip, above the middle of the tyre's crown."""
    centre = np.array(car.points["wheel centre"])
    n = axis(car)
    up = np.array([0.0, 0, 1.0]) - n[2] * n
    at = centre + up / np.linalg.norm(up) * (288.0 + 100.0)
    low, _ = room(hosed(car, at, at, 180.0), "tyre", [0.0])
    assert low[0, 0] == pytest.approx(10.0, abs=0.1)
    low, _ = room(hosed(car, at, at, 220.0), "tyre", [0.0])
    assert low[0, 0] == pytest.approx(-10.0, abs=0.1)


def test_positions_between_are_covered(car):
    """Coarse samples say no more than fine ones find, clip by clip on car and upright."""
    project = hosed(car, (-150.0, 430.0, 420.0), (-60.0, 560.0, 300.0), 230.0, "upright")
    coarse, _ = room(project, "spring", np.linspace(-60.0, 60.0, 13))
    fine, _ = room(project, "spring", np.linspace(-60.0, 60.0, 121))
    assert np.nanmin(coarse) <= np.nanmin(fine) + 1e-6
    assert np.nanmin(coarse) >= np.nanmin(fine) - 12.0
    assert np.nanmin(fine) > 0.0


def test_how_far_it_stays_off_is_as_close_as_a_clearance(car):
    """Steps of 4 mm against the plain figure at every tenth of a mm about the least."""
    project = hosed(car, (-150.0, 330.0, 420.0), (-60.0, 500.0, 250.0), 330.0, "upright")
    motion = move(corner(project), np.linspace(-60.0, 60.0, 31))
    fact = hose_reach_facts(project, parts(project, motion), motion, Builder(project), ())[1]
    near = np.clip(fact.travel + np.linspace(-1.0, 1.0, 21), -60.0, 60.0)
    least = np.inf
    for travel in near:  # a single position: nothing moves, so nothing is added
        least = min(least, room(project, "spring", [travel])[0][0, 0])
    assert fact.amount - 1e-6 <= least <= fact.amount + 0.05


def test_too_short_a_hose_is_unknown_there(car):
    project = hosed(car, (-150.0, 430.0, 420.0), (-60.0, 560.0, 300.0), 150.0, "upright")
    low, _ = room(project, "spring", [0.0])
    assert np.isnan(low).all()


def test_reaching_is_told_and_a_problem_where_a_rule_says_so(car):
    project = hosed(car, (-150.0, 430.0, 420.0), (-60.0, 560.0, 300.0), 500.0, "upright")
    motion = move(corner(project), np.linspace(-20.0, 20.0, 41))
    whole = parts(project, motion)
    facts = hose_reach_facts(project, whole, motion, Builder(project), USUAL_RULES)
    assert [f.notes["part"] for f in facts] == ["tyre", "spring"]
    assert not any(f.problem for f in facts)
    assert "Swung at its worst, the line could reach the tyre." in say_fact(facts[0])
    own = (*USUAL_RULES, Rule(between=("hose", "tyre"), at_least=5.0))
    facts = hose_reach_facts(project, whole, motion, Builder(project), own)
    assert [f.problem for f in facts] == [True, False]
    assert "The line can reach the tyre." in say_fact(facts[0])
    named = (Rule(between=("line", "anything"), at_least=5.0),)
    assert all(f.problem for f in hose_reach_facts(project, whole, motion, Builder(project), named))


def test_staying_away_is_said(car):
    project = hosed(car, (-150.0, 430.0, 420.0), (-150.0, 460.0, 420.0), 60.0)
    motion = move(corner(project), np.linspace(-20.0, 20.0, 41))
    fact = hose_reach_facts(project, parts(project, motion), motion, Builder(project), ())[1]
    assert fact.amount > 50.0
    assert "however it swings" in say_fact(fact)


def test_beside_a_position_that_is_not_reached_nothing_is_made_up() -> None:
    """At the end of the strut's travel with the rack over some positions are missing."""
    setting = set_up(read(find_project("front-strut")))
    found = look(setting, travels(setting, 21), racks(setting))
    assert not found.reached.all()
    hose = setting.unfolded.hoses["brake hose"]
    for part in found.parts:
        if part.kind in ("tyre", "spring"):
            near = hose_room(setting.unfolded, hose, part, found.motion)
            assert not np.isinf(near).any()
            assert np.isfinite(near[2:-2]).all()
