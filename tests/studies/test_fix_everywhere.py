"""Fixes of other corners: a strut's whose mount moves the wheel, and in a campaign all of them."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest

from app.resources import assets
from kinematics.project.files import read
from kinematics.project.model import Rule
from kinematics.studies.bench import Bench, troubles
from kinematics.studies.cures import MOVED, Choice, cures_for
from kinematics.studies.cures_coilover import moved_mount
from kinematics.studies.fix_words import say
from kinematics.studies.fixes import Shop, fixes, gaps, remedy
from kinematics.studies.place_words import say_tightest
from kinematics.studies.study import set_up
from kinematics.studies.top_map import top_map

EXAMPLES = ("rear-in-trouble", "front-strut", "front-wishbones", "rear-five-links",
            "rear-semi-trailing", "published-wishbones")  # fmt: skip
LITTLE = 0.1
"""mm: so much less of a fix must not do."""


def example(name):
    return read(assets() / "examples" / f"{name}.corner.json")


def asked_more(project, pairs, more):
    """The project with a rule for each pair that asks more of it than it has, by so much, mm."""
    found = gaps(project)
    rules = [Rule(between=pair, at_least=round(found[pair].low + more, 1)) for pair in pairs]
    kept = [r for r in project.rules or () if r.between not in pairs]
    return msgspec.structs.replace(project, rules=(*kept, *rules))


def test_a_strut_is_mapped_over_a_tower_that_stays():
    """At places where the tower is cut about the mount, as a full check has it there."""
    project = example("front-strut")
    setting = set_up(msgspec.structs.replace(project, rack=None))
    along, across = np.array([-21.0, 18.0]), np.array([-33.0, -14.0])
    plan = top_map(setting, across, along, with_tower=False, travels=81)
    for i, j in ((0, 0), (1, 1)):
        moved = moved_mount(setting.project, along[i], across[j], 0.0, False)
        pair = setting.names[plan.margin_pair[i, j]]
        low = Bench(moved).gaps[pair].left
        assert low - 0.02 <= plan.margin[i, j] <= low + 0.2, pair  # between places less is sure


def test_a_mount_whose_place_is_not_what_is_wrong_is_not_moved():
    """It is not told to move by nothing, nor that nothing of it just stops a touching."""
    project = asked_more(example("rear-put-right"), [("upper link", "chassis rail")], 2.0)
    (found,) = fixes(project, choice=Choice(only=frozenset([MOVED])))
    assert found.fix is None
    assert say(found) == "Top mount and tower moved: that changes nothing that is wrong."


def test_a_pair_without_a_rule_must_not_touch():
    """A project with no rules is mapped by what touches, as a check judges it."""
    setting = set_up(msgspec.structs.replace(example("rear-in-trouble"), rules=()))
    plan = top_map(setting, [0.0, -16.0], [0.0, -12.0])
    assert (plan.margin == plan.clearance).all()
    assert not plan.good[0, 0]
    assert plan.good[1, 1]
    assert say_tightest(setting, plan, 0, 0).startswith("5.0 mm overlap (it has no rule), tyre to ")


@pytest.mark.campaign
@pytest.mark.parametrize("name", EXAMPLES)
def test_every_fix_cures_and_a_little_less_does_not(name):
    """Every fix by an amount there is for a corner, asked more of where it is tightest."""
    project = example(name)
    if not (wrong := troubles(gaps(project))):
        found = gaps(project)
        tight = sorted(found, key=lambda pair: found[pair].left)[:2]
        project = asked_more(project, tight, 4.0)
        wrong = troubles(gaps(project))
    shop = Shop(Bench(project))
    cured = 0
    for cure in cures_for(shop.bench):
        found = remedy(shop, cure)
        for amount, rules in ((found.touching, False), (found.rules, True)):
            if amount is None:
                continue
            cured += 1

            def over(mm, cure=cure, rules=rules):
                left = gaps(cure.apply(project, mm))
                return {n for n in wrong if n not in left or _left(left[n], rules) >= 0.0}

            settled = over(amount.amount)
            assert settled - over(0.0), cure.name
            assert over(amount.exact + 0.02) >= settled - over(0.0), cure.name
            assert over(amount.exact - LITTLE) < settled, cure.name
    assert cured >= 2


def _left(gap, rules):
    return gap.left if rules else gap.low
