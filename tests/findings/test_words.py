"""Sentences: a fabricator's words, figures that never promise more room than was found."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinematics.findings import Finding, Onset, say
from kinematics.findings.words import position, room, sentence

TYRE = Finding(
    kind="contact",
    parts=("tyre", "tower lip"),
    travel=80.0,
    rack=0.0,
    amount=-4.91,
    rule=10.0,
    touches=Onset(bump=48.87),
    under=Onset(bump=23.27),
    place="full bump",
)


def test_contact_names_parts_figure_place_and_first_touch():
    assert say(TYRE) == (
        "Tyre digs 5.0 mm into the tower lip. Worst at full bump, +80.0. "
        "First touches at +48.8. Under your 10 mm from +23.2."
    )


def test_inches():
    headline, detail = sentence(TYRE, "in")
    assert headline == "Tyre digs 0.194 in into the tower lip."
    assert "+3.15" in detail
    assert "First touches at +1.92" in detail
    assert "0.394 in" in detail


def test_near_in_droop():
    near = Finding("near", ("spring", "radius arm"), -80, 0, 2.96, 5.0, under=Onset(droop=-14.86))
    assert say(near) == (
        "Spring comes within 2.9 mm of the radius arm. Worst at −80.0. Under your 5 mm below −14.8."
    )


def test_touching_already_at_setup_height():
    both = Finding("contact", ("spring", "upper arm"), 20, 0, -1.0, touches=Onset(0.0, 0.0))
    assert "First touches already at set-up height." in say(both)


def test_steered_position_says_which_way_the_rack_is():
    left = Finding("near", ("tyre", "rail"), -20.0, 31.04, 4.0, 10.0)
    assert "at −20.0 with the rack 31.0 mm to the left" in say(left)
    right = Finding("near", ("tyre", "rail"), -20.0, -31.04, 4.0, 10.0)
    assert "with the rack 31.0 mm to the right" in say(right)


def test_bare_touch_is_not_a_dig_of_nothing():
    assert say(Finding("contact", ("tyre", "rail"), 1, 0, -0.0)).startswith("Tyre touches")


def test_unreachable_gives_the_reason():
    f = Finding("unreachable", (), -95.0, 0.0, math.nan, reason="the damper is fully open at −80.3")
    assert say(f) == "The wheel can't reach −95.0. The damper is fully open at −80.3."
    f = Finding("unreachable", (), -95.0, 0.0, -80.3, reason="the damper is fully open")
    assert (
        say(f, "in") == "The wheel can't reach −3.74. The damper is fully open; it gets to −3.16."
    )


@given(st.floats(-500, 500))
def test_room_is_never_overstated(mm):
    said = float(room(mm).removesuffix(" mm"))
    if mm >= 0:
        assert mm - 0.1 - 1e-6 <= said <= mm + 1e-6
    else:
        assert -mm - 1e-6 <= said <= -mm + 0.1 + 1e-6


@given(st.floats(-500, 500), st.sampled_from(["mm", "in"]))
def test_first_touch_is_never_said_late(mm, units):
    said = position(mm, units, toward_zero=True).replace("−", "-")
    value = float(said) * (1 if units == "mm" else 25.4)
    assert abs(value) <= abs(mm) + 1e-5
    assert value * mm >= 0


@pytest.mark.parametrize(("mm", "said"), [(0, "0"), (-0.04, "0"), (23.25, "+23.2"), (-80, "−80.0")])
def test_positions_carry_their_sign(mm, said):
    assert position(mm) == said
