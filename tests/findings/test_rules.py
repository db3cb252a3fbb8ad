"""Which rule holds between two parts."""

import numpy as np

from kinematics.findings.rules import asked_for, rule_between
from kinematics.project.model import Rule
from kinematics.project.rules import USUAL_RULES

TYRE_LIP = (("tyre", "tower lip"), ("tyre", "tower"))


def test_usual_rules_cover_tyre_and_spring_against_anything():
    # 10 mm round a tyre, 5 mm round a spring, 3 mm elsewhere: common practice, no source.
    pairs = [
        TYRE_LIP,
        (("spring", "radius arm"), ("spring", "arm")),
        (("tyre", "spring"), ("tyre", "spring")),
        (("upper link", "hub"), ("link", "upright")),
    ]
    found = asked_for(USUAL_RULES, [p[0] for p in pairs], [p[1] for p in pairs])
    np.testing.assert_array_equal(found, [10, 5, 10, 3])


def test_a_name_beats_a_class_and_a_class_beats_anything():
    general = Rule(between=("anything", "tyre"), at_least=10)
    by_class = Rule(between=("tower", "tyre"), at_least=8)
    by_name = Rule(between=("tyre", "tower lip"), at_least=3)
    assert rule_between([general], *TYRE_LIP) == 10
    assert rule_between([general, by_class], *TYRE_LIP) == 8
    assert rule_between([by_name, general, by_class], *TYRE_LIP) == 3


def test_of_equally_close_rules_the_larger_holds():
    rules = [
        Rule(between=("tyre", "anything"), at_least=4),
        Rule(between=("anything", "tower"), at_least=6),
    ]
    assert rule_between(rules, *TYRE_LIP) == 6


def test_a_rule_asks_for_both_its_parts():
    assert rule_between([Rule(between=("tyre", "spring"), at_least=4)], *TYRE_LIP) is None
    assert rule_between([], *TYRE_LIP) is None
