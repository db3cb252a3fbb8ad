"""Fixes: each, applied, cures what it says; a tenth of a millimetre less does not.

The amounts of the trouble example are those two independent solvers gave for this invented corner:
a 5 mm spacer just frees the tyre, 15 mm keeps 10 mm; trimming the lip by 15 mm keeps about 10 mm;
moving mount and tower 12 mm rearward and 16 mm inboard keeps every rule.
"""

from __future__ import annotations

import pytest

from app.resources import assets
from kinematics.project.edit import move_top
from kinematics.project.files import read
from kinematics.project.mirror import mirror
from kinematics.studies.cures import Work, cures_for
from kinematics.studies.effects import effects
from kinematics.studies.fix_words import say
from kinematics.studies.fixes import fixes, gaps, remedy, troubles

LIP, ARM = ("tyre", "tower lip"), ("spring", "radius arm")


@pytest.fixture(scope="module")
def trouble():
    project = read(assets() / "examples" / "rear-in-trouble.corner.json")
    return project, gaps(project)


def cure(project, name):
    return next(c for c in cures_for(project) if c.name == name)


def test_troubles_of_the_example(trouble):
    _, before = trouble
    assert troubles(before) == (LIP, ARM)


@pytest.mark.parametrize(
    ("name", "touching", "rules"),
    [("wheel spacer", (5.0, 4.96), (15.0, 14.96)), ("lip trimmed", (5.0, 4.97), (15.0, 14.98))],
)
def test_a_fix_cures_and_a_tenth_less_does_not(trouble, name, touching, rules):
    project, before = trouble
    chosen = cure(project, name)
    found = remedy(project, chosen, before)
    assert (found.touching.amount, found.rules.amount) == (touching[0], rules[0])
    assert found.touching.exact == pytest.approx(touching[1], abs=0.05)
    assert found.rules.exact == pytest.approx(rules[1], abs=0.05)
    assert found.rules.settles == (LIP,)
    assert found.rules.leaves == (ARM,)
    only = frozenset([LIP])
    for fix, goal in ((found.touching, 0.0), (found.rules, 10.0)):
        enough = gaps(chosen.apply(project, fix.exact + 0.02), only)[LIP].low
        short = gaps(chosen.apply(project, fix.exact - 0.1), only)[LIP].low
        assert enough >= goal > short


def test_a_fix_that_cannot_says_what_the_most_of_it_leaves(trouble):
    project, before = trouble
    found = remedy(project, cure(project, "spring seat up"), before)
    assert found.touching is None
    assert found.rules is None
    assert say(found) == ("Spring seat up: even 30 mm leaves the tyre 5.0 mm into the tower lip.")


def test_a_right_hand_corner_is_fixed_by_as_much(trouble):
    project, before = trouble
    found = remedy(mirror(project), cure(project, "lip trimmed"), gaps(mirror(project)))
    left = remedy(project, cure(project, "lip trimmed"), before)
    assert found.rules.exact == pytest.approx(left.rules.exact, abs=0.02)


def test_effects_of_a_spacer_and_of_a_mount_moved(trouble):
    project, _ = trouble
    spaced = effects(project, cure(project, "wheel spacer").apply(project, 15.0))
    assert spaced.half_track == pytest.approx(15.0, abs=0.01)  # times the cosine of 1 degree
    assert (spaced.camber, spaced.bump) == pytest.approx((0.0, 0.0), abs=1e-9)
    moved = effects(project, move_top(project, -12.0, -16.0, 0.0))
    assert moved.camber == pytest.approx(0.0, abs=1e-12)
    assert moved.droop == pytest.approx(-1.5, abs=0.1)


@pytest.mark.campaign
def test_the_first_suggestion_puts_the_example_right(trouble):
    """All fixes of the trouble example, about a minute."""
    project, _ = trouble
    first = fixes(project)[0]
    assert first.rules.cures_all
    assert first.rules.work is Work.REMADE
    assert first.rules.words == (
        "Move the top mount and its tower 16 mm inboard and 12 mm rearward"
    )
    assert troubles(gaps(first.rules.project)) == ()
