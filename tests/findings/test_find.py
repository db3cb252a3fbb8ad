"""Facts from clearances: worst, first touch outward from set-up height, ranking."""

from types import SimpleNamespace

import numpy as np
import pytest

from kinematics.findings.find import Checked, below, clearance_findings, ranked
from kinematics.findings.finding import Finding, Onset, Stretch, outward
from kinematics.findings.words import say

Z = np.linspace(-80, 80, 33)


def checked(*curves, rule=10.0, z=Z, names=None, between=None):
    """Pairs whose clearance is a given function of travel; straight ahead only."""
    low = np.array([[[c(v)] for v in z] for c in curves], float)
    if between is None:
        between = np.minimum(low[:, :-1], low[:, 1:])
    points = np.zeros((*low.shape, 3))
    found = SimpleNamespace(
        low=low,
        bound=np.full(low.shape, 0.02),
        between_low=between,
        between_at=np.full(between.shape, 0.4),
        point_a=points,
        point_b=points + 1,
    )
    names = names or tuple((f"a{i}", f"b{i}") for i in range(len(curves)))
    kinds = tuple(("tower", "tyre") for _ in curves)
    rules = np.broadcast_to(rule, len(curves)).astype(float)
    return Checked(names, kinds, rules, found, z, np.zeros(1))


def looking(curve, bend=0.0):
    """Looks again at a curve of travel and rack, whose second derivative is at most ``bend``."""

    def look(travel, rack):
        low = np.array([curve(z, rack) for z in travel])
        return low, np.minimum(low[1:], low[:-1]) - bend * np.diff(travel) ** 2 / 8

    return look


def onsets(checked, p, level, look=None):
    return outward(below(checked, p, level, look))


def place(z):
    return "full bump" if z == 80 else ""


def test_contact_has_worst_place_and_solved_onsets():
    curve = lambda z: 19.52 - 0.4 * z  # noqa: E731
    (f,) = clearance_findings(checked(curve), place, lambda p: looking(lambda z, r: curve(z)))
    assert f.kind == "contact"
    assert f.place == "full bump"
    assert f.travel == 80
    assert f.amount == pytest.approx(curve(80))
    assert f.touches.bump == pytest.approx(48.8, abs=2e-3)
    assert f.under.bump == pytest.approx(23.8, abs=2e-3)
    assert f.touches.droop is None
    assert f.parts == ("b0", "a0")  # the tyre does the touching
    assert f.point_a == (1, 1, 1)


def test_both_ways_are_found_separately():
    curve = lambda z: 20 - abs(z + 10) * 0.4  # noqa: E731
    on = onsets(checked(curve), 0, 0.0, looking(lambda z, r: curve(z)))
    assert on.bump == pytest.approx(40, abs=2e-3)
    assert on.droop == pytest.approx(-60, abs=2e-3)


def test_without_a_solver_the_sample_before_is_named():
    on = onsets(checked(lambda z: 12 - 0.4 * z), 0, 0.0)
    assert on.bump == 30
    assert on.bump <= 12 / 0.4


def test_touching_at_setup_height():
    on = onsets(checked(lambda z: -1.0), 0, 0.0)
    assert on.bump == 0
    assert on.droop == 0


def test_a_dip_between_samples_is_the_worst_and_is_placed_between():
    data = checked(lambda z: 12.0)
    dipped = data.found.between_low.copy()
    dipped[0, 20, 0] = -0.7
    data = checked(lambda z: 12.0, between=dipped)
    (f,) = clearance_findings(data, place)
    assert f.kind == "contact"
    assert f.amount == -0.7
    assert Z[20] < f.travel < Z[21]
    assert f.touches.bump == Z[20]


def test_a_shallow_dip_between_samples_is_bounded_and_a_false_alarm_let_go():
    """A parabola between samples 5 mm apart: under the level within 1 mm of 12.5 (closed form)."""
    curve = lambda z, r: 10.0 + 0.5 * ((z - 12.5) ** 2 - 1.0)  # noqa: E731
    data = checked(lambda z: curve(z, 0))
    coarse = np.minimum(data.found.low[:, 1:], data.found.low[:, :-1]) - 25 / 8 - 0.2
    data = checked(lambda z: curve(z, 0), between=coarse)
    (s,) = below(data, 0, 10.0, looking(curve, 1.0))
    assert (s.low, s.high) == pytest.approx((11.5, 13.5), abs=2e-3)
    assert s.low <= 11.5
    assert s.high >= 13.5
    assert below(data, 0, 9.4, looking(curve, 1.0)) == ()  # its least is 9.5
    (alarm,) = below(data, 0, 9.4)  # unless nobody looks again
    assert alarm.low < 11.5 < 13.5 < alarm.high


def test_all_stretches_are_told_apart_and_rack_by_rack():
    """A cosine, below 0 over two stretches; steering shifts it along travel (closed form)."""
    curve = lambda z, r: np.cos(np.pi * (z - r) / 40.0)  # noqa: E731
    racks = np.array([-5.0, 0.0, 7.5])
    low = np.array([[[curve(z, r) for r in racks] for z in Z]])
    found = SimpleNamespace(low=low, between_low=np.minimum(low[:, 1:], low[:, :-1]) - 0.01)
    data = Checked((("a", "b"),), (("x", "y"),), np.array([np.nan]), found, Z, racks)
    held = below(data, 0, 0.0, looking(curve, (np.pi / 40) ** 2))
    middle = [x for s in held if s.rack == 0.0 for x in (s.low, s.high)]
    assert middle == pytest.approx([-60.0, -20.0, 20.0, 60.0], abs=5e-3)
    first = outward(held)
    assert (first.bump, first.droop) == pytest.approx((15.0, -12.5), abs=5e-3)
    assert (first.bump_rack, first.droop_rack) == (-5.0, 7.5)
    there = outward(s for s in held if s.rack == 7.5)
    assert (there.bump, there.droop) == pytest.approx((27.5, -12.5), abs=5e-3)


def test_the_rack_of_a_first_touch_is_said_and_what_it_is_straight_ahead():
    held = (Stretch(-30.0, 20.0, 60.0), Stretch(0.0, 48.8, 60.0))
    f = Finding("contact", ("tyre", "rail"), 60.0, -30.0, -3.0, touches=outward(held),
                touching=held)  # fmt: skip
    assert (
        "First touches at +20.0 with the rack 30.0 mm to the right. Straight ahead from +48.8."
        in say(f)
    )
    alone = held[:1]
    f = Finding("contact", ("tyre", "rail"), 60.0, -30.0, -3.0, touches=outward(alone),
                touching=alone)  # fmt: skip
    assert "Straight ahead it never does." in say(f)
    here = (Stretch(0.0, 48.8, 60.0),)
    f = Finding("contact", ("tyre", "rail"), 60.0, 0.0, -3.0, touches=outward(here), touching=here)
    assert "ahead" not in say(f)


def test_outward_of_nothing_is_never():
    assert outward(()) == Onset()
    assert outward([Stretch(0.0, -3.0, 4.0)]) == Onset(0.0, 0.0)


def test_nothing_touches_gives_the_closest_pair():
    data = checked(lambda z: 40 + z * 0.01, lambda z: 15 + z * 0.01, rule=np.array([30.0, 10.0]))
    (f,) = clearance_findings(data, place)
    assert f.kind == "clear"
    assert f.parts == ("b1", "a1")
    assert not f.is_problem


def test_contact_counts_without_any_rule():
    kinds = [f.kind for f in clearance_findings(checked(lambda z: -1, rule=np.nan), place)]
    assert kinds == ["contact"]
    kinds = [f.kind for f in clearance_findings(checked(lambda z: 1, rule=np.nan), place)]
    assert kinds == ["clear"]


def test_positions_not_reached_are_unknown_not_clear():
    data = checked(lambda z: np.nan if z > 60 else 19.5 - 0.4 * z)
    (f,) = clearance_findings(data, place)
    assert f.travel == 60
    assert clearance_findings(checked(lambda z: np.nan), place) == []


def test_range_away_from_setup_height():
    z = np.linspace(20, 60, 41)
    on = onsets(checked(lambda v: 19.5 - 0.4 * v, z=z), 0, 0.0)
    assert on.bump == 48
    assert on.droop is None


def test_ranked_worst_first():
    def make(kind, amount, rule=None):
        return Finding(kind, ("a", "b"), 0, 0, amount, rule)

    given = [
        make("clear", 30),
        make("near", 4, 5),
        make("contact", -1),
        make("near", 3, 10),
        make("contact", -5),
        make("end", 0),
    ]
    assert [f.amount for f in ranked(given)] == [-5, -1, 3, 4, 30, 0]
