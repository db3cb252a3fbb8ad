"""Sentences of statics: what each says, in mm and inches, never promising more than is there."""

import math
from typing import get_args

import pytest

from kinematics.findings import say
from kinematics.findings.fact_phrases import CAUTION, over, up
from kinematics.findings.finding import Onset
from kinematics.findings.statics import (
    SENTENCES,
    fact_sentence,
    say_fact,
    static_findings,
)
from kinematics.statics.fact import Fact, FactKind


def rad(degrees: float) -> float:
    return math.radians(degrees)


LOOSE = Fact("loose", "spring", True, -7.3, -80.0, 0.0, None, -71.26, {"slack": 12.31, "lip": 5.0})


def test_every_kind_of_fact_has_a_sentence() -> None:
    assert set(SENTENCES) == set(get_args(FactKind))


@pytest.mark.parametrize(
    ("fact", "headline", "detail"),
    [
        (
            Fact(
                "rides", "spring", False, -0.41, -0.41, 0.0,
                figures={
                    "spring_length": 281.25, "spring_force": 3437.4, "wheel_rate": 31.98,
                    "frequency": 1.7009, "bump_left": 80.33, "droop_left": 79.82,
                },
            ),
            "The car rides at −0.4 of travel.",
            "That is 0.4 mm higher than at set-up height. Its spring is 281.2 mm long there and "
            "pushes 3440 N; wheel rate 32.0 N/mm, 1.70 Hz. From there it has 80.3 mm of bump and "
            "79.8 mm of droop.",
        ),
        (
            Fact(
                "does not ride", "spring", True, 79.9, 79.9, 0.0,
                notes={"stands": "down on its stops", "why": ""},
            ),
            "The car goes down on its stops: its spring can't carry the weight.",
            "Wind the seat up, or fit a stiffer or longer spring.",
        ),
        (
            Fact(
                "bump stops", "bump stop", False, 79.92, 79.92, 0.0,
                figures={
                    "left: spring": 50.2, "left: damper closed": 22.0, "meets: bump stop": 44.93,
                    "safe: spring": 17.85,
                },
                notes={"first": "bump stop", "end": "bump stop"},
            ),
            "The bump stop meets at +44.9 and ends bump at +79.9, 22.0 mm left before the damper "
            "shuts.",
            "Also left there: 50.2 mm of spring before it is coil-bound, 17.8 mm above its "
            "shortest safe length.",
        ),
        (
            Fact(
                "droop stops", "strap", False, -60.0, -60.0, 0.0,
                notes={"first": "strap", "end": "strap"},
            ),
            "The strap is tight at −60.0: that ends droop.",
            "",
        ),
        (
            Fact("bottoms", "damper closed", True, 75.0, 75.0, 0.0, notes={"met": "bump stop"}),
            "The damper shuts metal to metal at +75.0.",
            "The bump stop has met before, but is not solid yet. Let a bump stop end the travel "
            "sooner.",
        ),
        (
            LOOSE,
            "The spring hangs loose by 12.4 mm, more than the 5 mm its lip holds.",
            "Worst at −80.0. Loose below −71.2. A longer or softer spring, a helper or less droop "
            "cures it.",
        ),
        (
            Fact(
                "binds", "lower ball joint", True, rad(-1.0), 80.0, -40.0, 62.07, None,
                {"angle": rad(14.01), "limit": rad(13.0)},
                {"member": "ball", "by": "its head meeting the clevis", "usual": "bolt direction"},
            ),
            "The joint at lower ball joint binds: it needs 14.1° and has 13.0°.",
            "Worst at +80.0 with the rack 40.0 mm to the right. Past it from +62.0. What limits "
            "it: its head meeting the clevis. Taken as usual, not typed: its bolt direction.",
        ),
        (
            Fact(
                "shaft pulls apart", "drive shaft", True, -2.02, -80.0, 0.0, None, -70.0,
                {"limit": 18.0}, {"end": "plunge"},
            ),
            "The drive shaft pulls apart: it lengthens 20.1 mm and may 18 mm.",
            "Worst at −80.0. Past it below −70.0.",
        ),
        (
            Fact("hose", "brake hose", True, -3.21, -80.0, 0.0, None, -77.0, {"wanted": 20.0}),
            "The brake hose is 3.3 mm too short: it tears.",
            "Worst at −80.0. Past it below −77.0.",
        ),
        (
            Fact("hose", "brake hose", False, 55.08, -80.0, 0.0, figures={"wanted": 20.0}),
            "The brake hose keeps 55.0 mm of slack; 20 mm is asked for.",
            "Tightest at −80.0.",
        ),
        (
            Fact("preload", "spring", False, 5.09, -80.0, 0.0, figures={"force": 250.0}),
            "At full droop the spring is still squashed 5.0 mm: it stays seated.",
            "It pushes 250 N there, its preload.",
        ),
        (
            Fact(
                "shaft", "drive shaft", False, rad(11.01),
                figures={
                    "inner": rad(11.01), "inner_limit": rad(23.0), "outer": rad(10.5),
                    "shortest": -1.31, "longest": 1.7, "bottoming": 22.0, "uneven": rad(0.53),
                },
            ),
            "The drive shaft bends up to 11.1° of 23.0° at its inner joint and 10.5° at its outer "
            "joint.",
            "From set-up it shortens 1.4 mm (it may 22 mm) and lengthens 1.7 mm. One cross joint "
            "bent so far runs ahead and behind by 0.6° a turn.",
        ),
        (
            Fact(
                "plate", "top bearing", False, rad(2.6),
                figures={
                    "now": rad(5.86), "then": rad(3.26), "forward": rad(1.2), "inboard": rad(2.9),
                },
            ),
            "Tilting the plate at top bearing would centre its bearing: 3.3° used, not 5.9°.",
            "Lean the top of its bore 1.2° forward and 2.9° inboard from upright.",
        ),
        (
            Fact(
                "force", "top bearing", False, 12163.0, 79.2, 0.0,
                figures={"x": 890.0, "inboard": -860.0, "z": 12100.0, "unbalance": 0.0},
                notes={"case": "3 g bump", "rests_on": "spring"},
            ),
            "The top bearing takes up to 12.2 kN, in “3 g bump”.",
            f"It pushes 890 N forward, 860 N outboard and 12.1 kN up, the wheel at +79.2. "
            f"{CAUTION}",
        ),
    ],
    ids=lambda value: value.kind if isinstance(value, Fact) else "",
)  # fmt: skip
def test_what_is_said(fact: Fact, headline: str, detail: str) -> None:
    said = fact_sentence(fact)
    assert said == (headline, detail)


def test_winding_the_seat_and_rates_that_suit() -> None:
    rides = Fact(
        "rides", "spring", False, -2.9, -2.9, 0.0,
        figures={
            "spring_length": 272.2, "spring_force": 2449.0, "wheel_rate": 30.4, "frequency": 1.8,
            "seat_up": -2.98, "turns": -1.49,
        },
    )  # fmt: skip
    words = "Winding the seat down by 3.0 mm (1.5 turns) brings it to set-up height."
    assert say_fact(rides).endswith(words)
    suit = Fact("rates", "spring", False, 50.0, figures={"least": 45.2, "greatest": 53.9})
    assert say_fact(suit).startswith("Springs of this wire and diameter suit from 46 to 53 N/mm")
    neither = Fact("rates", "spring", False, 50.0, figures={"least": math.inf, "greatest": 53.9})
    assert say_fact(neither).startswith("No spring of this wire and diameter")


def test_only_problems_become_findings_and_read_the_same() -> None:
    fine = Fact("rides", "spring", False, 0.0, 0.0, 0.0)
    (finding,) = static_findings([fine, LOOSE], lambda travel: "full droop")
    assert finding.is_problem
    assert finding.kind == "limit"
    assert finding.under == Onset(None, -71.26)
    assert "Worst at full droop, −80.0." in say(finding)
    assert say(finding).startswith("The spring hangs loose by 12.4 mm")


def test_inches() -> None:
    assert say_fact(LOOSE, "in").startswith("The spring hangs loose by 0.485 in")
    assert "0.197 in its lip holds" in say_fact(LOOSE, "in")


def test_rounding_never_promises_more_than_is_there() -> None:
    assert up(rad(13.0)) == "13.0°"
    assert up(rad(13.001)) == "13.1°"
    assert over(12.31, "mm") == "12.4 mm"
