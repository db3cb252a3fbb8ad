"""Springs that suit a corner: what is chosen is fitted, and the whole corner solved again."""

from functools import cache
from pathlib import Path

import msgspec
import numpy as np
import pytest

from kinematics.errors import ClearstrokeError
from kinematics.motion import corner, move
from kinematics.project.files import read
from kinematics.project.model import Helper, Loads, Project
from kinematics.statics.facts import facts
from kinematics.statics.statics import Statics, statics
from kinematics.statics.suiting import best, fitted, seating, suiting, wound
from kinematics.statics.used import used

EXAMPLES = Path("assets/examples")


@cache
def example(name: str) -> Project:
    return read(EXAMPLES / f"{name}.corner.json")


def known(project: Project, count: int = 13) -> Statics:
    linkage = corner(project)
    low, high = (-78.0, 78.0) if project.rack is None else (-70.0, 70.0)
    return statics(move(linkage, np.linspace(low, high, count)))


@pytest.mark.parametrize("name", ["rear-in-trouble", "front-strut", "front-wishbones"])
@pytest.mark.parametrize("travel", [-8.0, 5.0])
def test_a_chosen_spring_carries_the_car_where_it_was_asked_to(name: str, travel: float) -> None:
    stand = seating(known(example(name)), travel)
    rate = best(stand)
    assert stand.least < rate < stand.greatest
    chosen = suiting(stand, [rate])
    assert chosen.honest.all()
    other = known(fitted(example(name), rate, float(chosen.free[0])))
    assert other.ride.stands == "on the spring"
    assert other.ride.travel == pytest.approx(travel, abs=1e-6)
    kinds = {fact.kind for fact in facts(other)}
    assert not kinds & {"tight", "coil-bound"}
    slack = [f.figures["slack"] for f in facts(other) if f.kind == "loose"]
    assert max(slack, default=0.0) <= 1e-6


def test_outside_the_window_one_end_is_dishonest() -> None:
    stand = seating(known(example("rear-in-trouble")))
    for rate, kind in ((0.9 * stand.least, "tight"), (1.1 * stand.greatest, "loose")):
        free = float(suiting(stand, [rate]).free[0])
        ends = msgspec.structs.replace(fitted(example("rear-in-trouble"), rate, free), travel=None)
        linkage = corner(ends)
        wide = np.linspace(-80.2, 79.9, 41)
        assert kind in {f.kind for f in facts(statics(move(linkage, wide)))}


def test_the_rates_shown_are_round_and_lie_about_the_window() -> None:
    stand = seating(known(example("front-strut")))
    shown = suiting(stand)
    assert 4 <= len(shown.rate) <= 11
    assert shown.rate[0] < stand.least
    assert stand.greatest < shown.rate[-1]
    assert (shown.rate * 2 == np.round(shown.rate * 2)).all()
    assert shown.honest.any()


def test_winding_the_seat_moves_it_by_as_much() -> None:
    project = wound(example("rear-in-trouble"), 4.0)
    assert project.coilover.spring.seat_from_foot == 139.0


def test_what_can_not_be_chosen_is_said() -> None:
    trouble = example("rear-in-trouble")
    spring = msgspec.structs.replace(trouble.coilover.spring, helper=Helper(10, 40, 15))
    helped = msgspec.structs.replace(
        trouble, coilover=msgspec.structs.replace(trouble.coilover, spring=spring)
    )
    for project, words in (
        (example("published-wishbones"), "no spring"),
        (msgspec.structs.replace(trouble, loads=None), "scales"),
        (helped, "helper"),
    ):
        with pytest.raises(ClearstrokeError, match=words):
            seating(known(project))
    with pytest.raises(ClearstrokeError, match="can't ride at 90"):
        seating(known(trouble), 90.0)
    light = msgspec.structs.replace(trouble, loads=Loads(corner_kg=60.0))
    with pytest.raises(ClearstrokeError, match="Stops carry"):
        seating(known(light), 78.0)


@pytest.mark.parametrize("name", ["rear-in-trouble", "front-strut"])
def test_the_joint_nearest_its_limit_comes_first(name: str) -> None:
    whole = known(example(name))
    every = used(whole)
    shares = [each.share for each in every if np.isfinite(each.limit)]
    assert shares == sorted(shares, reverse=True)
    assert len({(each.point, each.member, each.twist) for each in every}) == len(every)
    said = next(f for f in facts(whole) if f.kind == "bearing")
    tilts = [each for each in every if not each.twist]
    assert tilts[0].point == said.subject
    assert tilts[0].angle == pytest.approx(said.figures["angle"], abs=1e-3)
    for each in every:
        assert each.angle == pytest.approx(float(np.nanmax(each.angles)))
