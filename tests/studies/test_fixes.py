"""Fixes: each, applied, cures what it says; a tenth of a millimetre less does not.

The amounts of the trouble example are those two independent solvers gave for this invented corner:
a 5 mm spacer just frees the tyre, 15 mm keeps 10 mm; trimming the lip by 15 mm keeps about 10 mm;
moving mount and tower 12 mm rearward and 16 mm inboard keeps every rule.
"""

from __future__ import annotations

import msgspec
import pytest

from app.resources import assets
from kinematics.errors import EntryError
from kinematics.project.edit import move_top
from kinematics.project.files import read
from kinematics.project.mirror import mirror
from kinematics.project.model import MountPlate, Rule, TopMount
from kinematics.studies.bench import Bench, troubles
from kinematics.studies.cure import Work
from kinematics.studies.cures import Choice, Own, cures_for, cures_of, ranges
from kinematics.studies.effects import effects
from kinematics.studies.fix_pairs import suggested, together, trade_off
from kinematics.studies.fix_words import say, say_cannot, say_dear, say_work
from kinematics.studies.fixes import Shop, fixes, gaps, remedy

LIP, ARM = ("tyre", "tower lip"), ("spring", "radius arm")


def example(name):
    return read(assets() / "examples" / f"{name}.corner.json")


@pytest.fixture(scope="module")
def shop():
    return Shop(Bench(example("rear-in-trouble")))


@pytest.fixture(scope="module")
def cures(shop):
    return {cure.name: cure for cure in cures_for(shop.bench)}


def test_troubles_of_the_example(shop):
    assert shop.bench.troubles == (LIP, ARM)


def test_what_is_done_again_is_said_in_whole_sentences(shop, cures):
    def work(name):
        return say_work(shop.checked(cures[name], 5.0, cures[name].apply(shop.bench.project, 5.0)))

    assert work("wheel spacer") == "Bolted on. Nothing is undone: it comes off again."
    assert work("front panel moved") == (
        "A part is made anew. The tower's seams are cut and welded again."
    )
    both = together(cures["wheel spacer"], 5.0, cures["lip trimmed"])
    assert "Nothing" not in say_work(shop.checked(both, 5.0, both.apply(shop.bench.project, 5.0)))


def test_a_fix_that_spoils_the_camber_says_why_it_stands_behind(shop, cures):
    cure = cures["upper link bracket outboard"]
    fix = shop.checked(cure, 14.0, cure.apply(shop.bench.project, 14.0))
    assert "camber" in fix.dear
    assert say_dear(fix).startswith("Camber")
    assert say_dear(fix).endswith("more than most would accept.")
    plain = cures["wheel spacer"]
    assert say_dear(shop.checked(plain, 5.0, plain.apply(shop.bench.project, 5.0))) == ""


@pytest.mark.parametrize(
    ("name", "touching", "rules"),
    [("wheel spacer", (5.0, 4.96), (15.0, 14.96)), ("lip trimmed", (5.0, 4.97), (15.0, 14.98))],
)
def test_fixes_worked_out_before(shop, cures, name, touching, rules):
    found = remedy(shop, cures[name])
    assert (found.touching.amount, found.rules.amount) == (touching[0], rules[0])
    assert found.touching.exact == pytest.approx(touching[1], abs=0.05)
    assert found.rules.exact == pytest.approx(rules[1], abs=0.05)
    assert found.fix.settles == (LIP,)
    assert found.fix.leaves == (ARM,)


CURING = (
    "wheel spacer",
    "droop strap",
    "mount rearward on its plate",
    "outer panel moved",
    "upper link longer",
    "radius arm offset forward",
)
MORE = (
    "wheel of less offset",
    "narrower tyre",
    "slimmer spring",
    "shorter spring",
    "coilover foot rearward",
    "lip trimmed",
    "outer panel shorter",
    "tower inboard with its mount",
    "upper link bracket outboard",
)


@pytest.mark.parametrize(
    "name", [*CURING, *(pytest.param(name, marks=pytest.mark.campaign) for name in MORE)]
)
def test_a_fix_cures_and_a_tenth_less_does_not(shop, cures, name):
    """Each as a project of its own, checked anew from nothing."""
    cure = cures[name]
    found = remedy(shop, cure)
    project = shop.bench.project
    for amount, rules in ((found.touching, False), (found.rules, True)):
        if amount is None:
            continue

        def over(mm, rules=rules):
            left = gaps(cure.apply(project, mm))
            return {n for n in (LIP, ARM) if n not in left or _left(left[n], rules) >= 0.0}

        settled = over(amount.amount)
        assert settled - over(0.0)
        assert over(amount.exact + 0.02) == settled
        assert over(amount.exact - 0.1) < settled


def _left(gap, rules):
    return gap.left if rules else gap.low


def test_thread_left_on_the_studs_is_told_where_it_is_known(shop):
    project = shop.bench.project
    for thread, words in (
        (27.0, "12 mm of thread left on the studs."),
        (18.0, "too little for any"),
    ):
        rim = msgspec.structs.replace(project.wheel.rim, stud_thread=thread)
        wheel = msgspec.structs.replace(project.wheel, rim=rim)
        other = Shop(Bench(msgspec.structs.replace(project, wheel=wheel)))
        (spacer,) = cures_for(other.bench, Choice(only=frozenset(["wheel spacer"])))
        assert words in say(remedy(other, spacer))


def test_a_fix_that_cannot_says_what_the_most_of_it_leaves(shop, cures):
    assert say(remedy(shop, cures["bump-stop packer"])) == (
        "Bump-stop packer: even 20 mm leaves the tyre 1.0 mm into the tower lip."
    )
    assert say(remedy(shop, cures["spring seat up"])) == (
        "Spring seat up: that changes nothing that is wrong."
    )
    assert say(remedy(shop, cures["wheel of more offset"])) == (
        "Wheel of more offset: that only brings the tyre nearer the tower lip."
    )
    assert "damper and stops end the travel" in say(remedy(shop, cures["ride height up"]))


def test_what_only_just_stops_touching_and_what_else_comes_nearer_is_said(shop, cures):
    plate = remedy(shop, cures["mount rearward on its plate"])
    assert say(plate).startswith(
        "Set the top mount 5 mm rearward on its plate: just stops the spring touching the radius "
        "arm, but tyre to tower lip stays wrong. "
    )
    assert say(plate).endswith("No amount of it keeps the rule.")
    assert say_work(plate.fix) == "Bolted on. The plate's holes are drilled anew."
    panel = remedy(shop, cures["outer panel moved"])
    was, now = (g["spring", "tower lip"].low for g in (panel.fix.before, panel.fix.gaps))
    assert was - now == pytest.approx(panel.rules.amount, abs=0.1)  # as far as it is set
    assert "The spring comes to 12.8 mm from the tower lip, 27.8 mm from it now." in say(panel)
    tyre = say(remedy(shop, cures["narrower tyre"]))
    assert tyre.endswith("A 185/50R15 tyre just stops the touching.")
    up = remedy(shop, cures["upper link bracket up"])
    assert "and brings the spring seat too near the radius arm (2.3 mm clear)" in say(up)


def test_where_one_works_in_inches_they_stand_beside_the_sizes_sold(shop, cures):
    spacer = remedy(shop, cures["wheel spacer"])
    assert say(spacer, "in").startswith("Fit a 15 mm (0.591 in) wheel spacer: ")
    assert say(spacer, "in").endswith(
        "5 mm (0.197 in) just stops the touching, 15 mm (0.591 in) keeps the rule."
    )


def test_a_car_set_higher_or_lower_keeps_clear_where_travel_is_asked_for():
    """As much travel from another height: up for what meets in bump, down for what meets in droop,
    by as much as the pair came too near in travel."""
    project = msgspec.structs.replace(example("rear-in-trouble"), travel=(-30.0, 30.0))
    shop = Shop(Bench(project))
    assert shop.bench.troubles == (LIP, ARM)
    found = {c.name: c for c in cures_for(shop.bench, Choice(only=frozenset(["ride height"])))}
    up, down = (remedy(shop, found[f"ride height {way}"]) for way in ("up", "down"))
    assert up.fix.settles == (LIP,)
    assert up.rules.exact == pytest.approx(30.0 - 23.2, abs=0.3)  # under 10 mm from +23.2
    assert down.fix.settles == (ARM,)
    assert down.rules.exact == pytest.approx(30.0 - 14.8, abs=0.3)  # under 5 mm below -14.8
    assert down.fix.words.endswith("mm lower")


def test_every_fix_has_a_range_in_words(shop, cures):
    far = ranges(cures.values())
    assert far["lip trimmed"] == "up to 35 mm"
    assert far["wheel spacer"] == "3, 5, 8, 10, 12, 15, 20, 25 or 30 mm"
    assert "ride height up" not in far  # it can do nothing here


def test_those_that_cannot_for_the_same_reason_are_told_together(shop, cures):
    names = ("spring seat up", "bump-stop packer", "longer spring", "ride height up")
    said = say_cannot([remedy(shop, cures[name]) for name in names])
    assert said[0] == "Spring seat up; longer spring: each changes nothing that is wrong."
    assert said[1] == "Bump-stop packer: even 20 mm leaves the tyre 1.0 mm into the tower lip."
    assert said[2].startswith("Ride height: damper and stops end the travel")


def test_a_quick_look_equals_a_full_check(shop, cures):
    """Of every kind of fix, at an amount of no meaning."""
    bench = shop.bench
    for name in ("wheel spacer", "droop strap", "mount inboard on its plate", "lower link longer"):
        changed = cures[name].apply(bench.project, 3.3)
        full = gaps(changed)
        assert {n: g.low for n, g in bench.tried(changed, (LIP, ARM)).items()} == pytest.approx(
            {n: full[n].low for n in (LIP, ARM)}, abs=1e-3
        )
        _, checked = bench.checked(changed)
        assert checked.keys() == full.keys()
        for names, gap in full.items():
            if gap.left < 10.0:
                assert checked[names].low == pytest.approx(gap.low, abs=1e-9)


def test_a_strut_moved_to_where_nothing_is_near_its_rule():
    """The wheel follows its mount; with one rule alone no other pair can come near its own."""
    project = example("front-strut")
    rule = Rule(between=("tyre", "lower arm rear"), at_least=45.0)
    (found,) = fixes(
        msgspec.structs.replace(project, rules=(rule,)),
        choice=Choice(only=frozenset(["tower inboard with its mount"])),
    )
    assert not found.fix.leaves
    assert found.fix.effects.camber < 0.0
    changed = gaps(found.fix.project)
    assert changed["tyre", "lower arm rear"].low >= 45.0


def test_a_right_hand_corner_is_fixed_by_as_much(shop, cures):
    other = Shop(Bench(mirror(shop.bench.project)))
    mirrored = {cure.name: cure for cure in cures_for(other.bench)}
    for name in ("lip trimmed", "mount rearward on its plate"):
        right, left = remedy(other, mirrored[name]), remedy(shop, cures[name])
        assert right.touching.exact == pytest.approx(left.touching.exact, abs=0.02)


def test_effects_of_a_spacer_and_of_a_mount_moved(shop, cures):
    project = shop.bench.project
    spaced = effects(project, cures["wheel spacer"].apply(project, 15.0))
    assert spaced.half_track == pytest.approx(15.0, abs=0.01)  # times the cosine of 1 degree
    assert (spaced.camber, spaced.bump) == pytest.approx((0.0, 0.0), abs=1e-9)
    moved = effects(project, move_top(project, -12.0, -16.0, 0.0))
    assert moved.camber == pytest.approx(0.0, abs=1e-12)
    assert moved.droop == pytest.approx(-1.5, abs=0.1)


def test_fixes_are_switched_off_and_own_ones_added(shop):
    own = Own("tower.outer", -20.0, 0.0)
    only = Choice(only=frozenset(["wheel spacer"]), own=(own,))
    told = []
    found = fixes(shop.bench.project, choice=only, told=told.append)
    assert {r.name for r in found} == {"wheel spacer", "make tower, outer less"}
    assert sorted(told, key=lambda r: r.rank) == list(found)
    mine = next(r for r in found if r.name != "wheel spacer")
    assert mine.rules.amount == 15.0
    without = Choice(without=frozenset(["wheel spacer"]))
    assert "wheel spacer" not in {c.name for c in cures_for(shop.bench, without)}


@pytest.mark.parametrize("path", ["tower.colour", "points.nowhere.x", "length of string", "title"])
def test_a_dimension_there_is_none_of_is_refused(shop, path):
    with pytest.raises(EntryError, match="no number that this project gives"):
        cures_for(shop.bench, Choice(own=(Own(path, -1.0, 1.0),)))


def test_a_fix_there_is_none_of_is_refused(shop):
    with pytest.raises(EntryError, match="no fix called"):
        cures_for(shop.bench, Choice(only=frozenset(["a hammer"])))


def test_more_of_one_fix_is_less_of_another(shop, cures):
    """A front that falls; every split on it keeps all rules when checked from nothing."""
    inboard, rearward = (cures[f"tower {way} with its mount"] for way in ("inboard", "rearward"))
    front = trade_off(shop, inboard, rearward, splits=3)
    assert [split.first for split in front] == [0.0, 10.0, 20.0, 30.0]
    assert [split.fix is None for split in front] == [True, True, False, False]
    assert front[2].second > front[3].second == 0.0
    project = inboard.apply(shop.bench.project, 20.0)
    assert troubles(gaps(rearward.apply(project, front[2].exact + 0.02))) == ()
    assert troubles(gaps(rearward.apply(project, front[2].exact - 0.1))) != ()


def test_two_fixes_that_reach_one_trouble_are_traded_off_for_that_one(shop, cures):
    """Less of the lip is trimmed with a spacer; the spring stays where it is."""
    front = trade_off(shop, cures["wheel spacer"], cures["lip trimmed"])
    assert [split.first for split in front] == [0.0, 3.0, 5.0, 8.0, 10.0, 12.0, 15.0]
    assert front[0].second == 15.0
    assert front[-1].second == 0.0
    seconds = [split.second for split in front]
    assert seconds == sorted(seconds, reverse=True)
    assert all(split.fix.settles == (LIP,) for split in front)
    assert all(split.fix.leaves == (ARM,) for split in front)


def test_two_fixes_together_put_right_what_neither_does_alone(shop, cures):
    alone = [remedy(shop, cures[n]) for n in ("wheel spacer", "radius arm offset forward")]
    assert not any(r.fix.cures_all for r in alone)
    (both,) = suggested(shop, tuple(cures.values()), alone)
    assert both.fix.words == (
        "Fit a 15 mm wheel spacer, and bend or offset the radius arm 9 mm forward where the "
        "spring passes"
    )
    assert both.fix.cures_all
    assert troubles(gaps(both.fix.project)) == ()


def test_a_mount_is_slid_no_farther_than_its_slots_go():
    plate = MountPlate(length=110.0, width=110.0, thickness=5.0, slot_inboard=15.0, set_inboard=2.0)
    project = msgspec.structs.replace(example("rear-in-trouble"), top_mount=TopMount(plate=plate))
    slides = {c.name.split()[1]: c for c in cures_of(project) if c.family == "mount on its plate"}
    assert (slides["inboard"].most, slides["outboard"].most) == (5.0, 9.0)
    assert slides["forward"].most == 0.0
    assert "no room left" in slides["forward"].cannot
    assert not slides["inboard"].cannot


def test_nothing_wrong_needs_no_fix():
    assert fixes(example("rear-put-right")) == ()


@pytest.mark.campaign
def test_the_first_suggestion_puts_the_example_right(shop):
    """All fixes of the trouble example, about half a minute."""
    first = fixes(shop.bench.project)[0]
    assert first.fix.cures_all
    assert first.fix.work is Work.REMADE
    assert first.fix.words == "Move the top mount and its tower 16 mm inboard and 12 mm rearward"
    assert troubles(gaps(first.fix.project)) == ()
