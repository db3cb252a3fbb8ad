"""Stops and ride height on a made-up course whose every answer can be had another way."""

from itertools import pairwise

import msgspec
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from kinematics.project.model import BumpStop, Coilover, DroopStop, End, Helper, Spring
from kinematics.statics import ride as riding
from kinematics.statics import stops
from kinematics.statics.cases import GRAVITY
from kinematics.statics.course import Course
from kinematics.statics.curves import linear
from kinematics.statics.elements import RIGID, Element, of_coilover

ENDS = (End("foot", "upright"), End("top"))
TRAVEL = np.linspace(-90.0, 90.0, 61)


def course(count: int, arm: float = 600.0, ratio: float = 0.8) -> Course:
    """The same length for ``count`` elements: a foot on a circle, seen from a point above."""

    def lines(z: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        foot = np.stack([np.sqrt(arm**2 - z**2) * ratio - arm * ratio, z * ratio])
        rate = np.stack([-z / np.sqrt(arm**2 - z**2) * ratio, np.full_like(z, ratio)])
        apart = foot - np.array([[-90.0], [441.0]])
        length = np.hypot(*apart)
        return np.tile(length, (count, 1)), np.tile((apart * rate).sum(0) / length, (count, 1))

    return Course(TRAVEL, lines)


COILOVER = Coilover(
    foot=ENDS[0], top=ENDS[1], open=515, closed=365,
    spring=Spring(
        outside=82, wire=12, seat_from_foot=135, end_from_top=35, free=350, rate_n_per_mm=50,
        helper=Helper(rate_n_per_mm=10, free=40, solid=15),
    ),
    bump_stop=BumpStop(50, 22, packer=4),
    droop_stop=DroopStop(20, 12),
)  # fmt: skip


def test_energy_is_the_integral_of_wheel_force() -> None:
    parts = [e for e in of_coilover(COILOVER) if e.kind != "hard"]
    road = course(len(parts))

    def force(z: float) -> float:
        return float(riding.wheel_force(parts, *road.lines(np.array([z])))[0])

    def stored(z: float) -> float:
        return float(riding.energy(parts, road.lines(np.array([z]))[0])[0])

    acts = stops.acting(parts, road)
    low, high = -78.0, acts.end("bump").travel - 0.01
    kinks = [
        root
        for part in parts
        for corner in part.curve.squash
        for root in road.crossings(
            lambda z, part=part, corner=corner: part.squash(road.lines(z)[0][0]) - corner
        )
    ]
    edges = sorted({low, high, *(k for k in kinks if low < k < high)})
    work = sum(quad(force, a, b, epsabs=1e-9, epsrel=1e-12)[0] for a, b in pairwise(edges))
    assert stored(high) - stored(low) == pytest.approx(work, rel=1e-9)


def test_wheel_rate_is_the_slope_of_wheel_force() -> None:
    parts = [e for e in of_coilover(COILOVER) if e.kind != "hard"]
    road = course(len(parts))
    for z in (-60.0, -10.0, 20.0, 60.0):
        at = np.array([z])
        rate = riding.wheel_rate(parts, *road.lines(at), road.second(at))[0]
        either = riding.wheel_force(parts, *road.lines(np.array([z - 1e-4, z + 1e-4])))
        assert rate == pytest.approx((either[1] - either[0]) / 2e-4, rel=1e-7)


@given(st.floats(60, 420))
def test_it_stands_where_the_spring_carries_it(sprung: float) -> None:
    parts = of_coilover(COILOVER)
    road = course(len(parts))
    acts = stops.acting(parts, road)
    ends = (acts.end("droop").travel, acts.end("bump").travel)
    found = riding.ride(parts, road, sprung, ends)
    yielding = [e for e in parts if e.kind != "hard"]

    def unbalance(z: float) -> float:
        force = riding.wheel_force(yielding, *course(len(yielding)).lines(np.array([z])))
        return float(force[0]) - sprung * GRAVITY

    inside = (ends[0] + 1e-6, ends[1] - 1e-6)
    if unbalance(inside[0]) > 0:
        assert found.stands == "topped out"
    elif unbalance(inside[1]) < 0:
        assert found.stands == "down on its stops"
    else:
        assert found.stands in ("on the spring", "on a stop")
        assert found.travel == pytest.approx(brentq(unbalance, *inside, xtol=1e-11), abs=1e-7)


@given(st.floats(150, 400), st.floats(-50, 35))
def test_moving_the_seat_brings_it_to_the_wanted_height(sprung: float, wanted: float) -> None:
    coilover = replace_spring(COILOVER, helper=None)
    parts = of_coilover(coilover)
    road = course(len(parts))
    shift = riding.seat_shift(parts, road, sprung, wanted)
    assert coilover.spring is not None
    moved = replace_spring(coilover, seat_from_foot=coilover.spring.seat_from_foot + shift)
    found = riding.ride(of_coilover(moved), road, sprung, (-75.0, 75.0))
    if found.stands == "on the spring":
        assert found.travel == pytest.approx(wanted, abs=1e-6)


def replace_spring(coilover: Coilover, **changes: object) -> Coilover:

    spring = msgspec.structs.replace(coilover.spring, **changes)
    return msgspec.structs.replace(coilover, spring=spring)


def test_without_a_known_spring_the_ride_is_unknown() -> None:
    parts = of_coilover(replace_spring(COILOVER, free=None))
    found = riding.ride(parts, course(len(parts)), 280.0, (-80.0, 80.0))
    assert found.stands == "unknown"
    assert np.isnan(found.travel)
    assert "free length" in found.reason


levels = st.lists(
    st.tuples(
        st.sampled_from([1, -1]),
        st.floats(375, 515),
        st.floats(0, 40),
        st.sampled_from(["soft", "hard"]),
    ),
    min_size=1,
    max_size=6,
)


def _solid(act: stops.Act, parts: list[Element]) -> bool:
    """Whether it is the end of something that gives, which touched before."""
    part = next(part for part in parts if part.name == act.name)
    return act.ends and part.kind != "hard"


@given(levels, st.randoms())
def test_stops_may_act_in_any_order(made: list, order: object) -> None:
    """Root-finding equals a dense scan, whatever acts first and however they are listed."""
    parts = [
        Element(
            f"stop {i}", ENDS, way, meets,
            RIGID if kind == "hard" or stroke < 1 else linear(30.0, stroke),
            "hard" if stroke < 1 else kind,
        )
        for i, (way, meets, stroke, kind) in enumerate(made)
    ]  # fmt: skip
    road = course(len(parts))
    found = stops.acting(parts, road)
    shuffled = list(parts)
    order.shuffle(shuffled)  # type: ignore[attr-defined]
    assert stops.acting(shuffled, road) == found

    for acts in (found.bump, found.droop):
        assert [abs(act.travel) for act in acts] == sorted(abs(act.travel) for act in acts)
    dense = np.linspace(-90, 90, 20_001)
    length = road.lines(dense)[0][0]
    for side, outward in (("bump", dense[10_000:]), ("droop", dense[10_000::-1])):
        lengths = length[10_000:] if side == "bump" else length[10_000::-1]
        limits, touches = [], []
        for part in parts:
            for level, into in ((part.solid_at, limits), (part.meets, touches)):
                past = part.way * (level - lengths) >= 0
                if past.any() and not past[0]:
                    into.append(abs(outward[np.argmax(past)]))
        met = [a for a in getattr(found, side) if not a.already and not _solid(a, parts)]
        assert sorted(abs(a.travel) for a in met) == pytest.approx(sorted(touches), abs=0.0091)
        act = next((a for a in getattr(found, side) if a.ends and not a.already), None)
        if limits:
            assert act is not None
            assert abs(act.travel) == pytest.approx(min(limits), abs=0.0091)
        else:
            assert act is None


def test_what_is_left_at_a_length() -> None:
    parts = of_coilover(COILOVER)
    rest = stops.left(parts, np.full((len(parts), 1), 420.0))
    assert rest["bump stop"] == pytest.approx(420 - (365 + 4 + 22))
    assert rest["damper closed"] == pytest.approx(55.0)
    assert rest["damper open"] == pytest.approx(95.0)
