"""Limits found by root-finding against dense scans, and dips between samples."""

from functools import cache
from pathlib import Path

import msgspec
import numpy as np
import pytest

from kinematics.findings.statics import say_fact
from kinematics.motion import Motion, corner, move
from kinematics.motion.limits import limits
from kinematics.project.files import read
from kinematics.project.model import (
    Bearing,
    BumpStop,
    DroopStop,
    End,
    Hose,
    LoadCase,
    Loads,
    OutsideStop,
    Project,
    Strap,
)
from kinematics.statics.facts import facts
from kinematics.statics.onset import past
from kinematics.statics.statics import Statics, bearings_of, hose_slacks, shaft_states, statics

EXAMPLES = Path("assets/examples")


@cache
def trouble() -> Project:
    return read(EXAMPLES / "rear-in-trouble.corner.json")


@cache
def dense() -> Motion:
    return move(corner(trouble()), np.linspace(-80.2, 79.9, 3203))


def coarse(project: Project, racks: tuple[float, ...] = (0.0,)) -> Motion:
    return move(corner(project), np.linspace(-80.0, 79.0, 12), racks)


def first(values: np.ndarray, z: np.ndarray, side: float) -> float | None:
    """The first travel on a side with nothing left, by looking at every dense sample."""
    mine = side * z >= 0
    bad = z[mine][values[mine] < 0]
    return None if not len(bad) else float(bad[np.argmin(np.abs(bad))])


def check(project: Project, of, level_of_dense: np.ndarray) -> None:
    motion = coarse(project)
    found = past(motion, of, of(motion))
    for side, got in ((1.0, found.bump), (-1.0, found.droop)):
        expected = first(level_of_dense, dense().travel, side)
        if expected is None:
            assert got is None
        else:
            assert got == pytest.approx(expected, abs=0.06)


@pytest.mark.parametrize("limit", [2.0, 3.1, 4.0, 9.0])
def test_every_bearing(limit: float) -> None:
    for i, use in enumerate(bearings_of(dense())):
        left = np.radians(limit) - use.angle[:, 0]

        def of(motion: Motion, i: int = i) -> np.ndarray:
            return np.radians(limit) - bearings_of(motion)[i].angle

        check(trouble(), of, left)


@pytest.mark.parametrize("limit", [5.0, 8.0, 10.5])
def test_the_drive_shaft(limit: float) -> None:
    name = "drive shaft"
    for end in ("inner", "outer"):

        def of(motion: Motion, end: str = end) -> np.ndarray:
            return np.radians(limit) - getattr(shaft_states(motion)[name], end)

        check(trouble(), of, of(dense())[:, 0])


@pytest.mark.parametrize("least", [56.0, 60.0, 70.0, 85.0])
def test_the_hose(least: float) -> None:
    def of(motion: Motion) -> np.ndarray:
        return hose_slacks(motion)["brake hose"] - least

    check(trouble(), of, of(dense())[:, 0])


def test_a_dip_between_samples_is_found() -> None:
    """What is left passes nought only for a moment between two coarse positions."""
    motion = coarse(trouble())
    middle = 0.5 * (motion.travel[7] + motion.travel[8])

    def of(there: Motion) -> np.ndarray:
        return np.broadcast_to(0.02 * (there.travel[:, None] - middle) ** 2 - 0.3, there.shape)

    assert (of(motion) > 0.3).all()
    found = past(motion, of, of(motion))
    assert found.left == pytest.approx(-0.3, abs=1e-6)
    assert found.bump == pytest.approx(middle - np.sqrt(15.0), abs=1e-6)


def known(project: Project) -> Statics:
    return statics(coarse(project))


def kinds(project: Project) -> dict[str, object]:
    return {fact.kind: fact for fact in facts(known(project))}


def changed(**coilover: object) -> Project:
    return msgspec.structs.replace(
        trouble(), coilover=msgspec.structs.replace(trouble().coilover, **coilover)
    )


def with_spring(**spring: object) -> Project:
    return changed(spring=msgspec.structs.replace(trouble().coilover.spring, **spring))


def test_the_trouble_example_rides_and_stops_as_section_ten_says() -> None:
    """280 kg sprung: wheel rate about 32 N/mm, 1.70 Hz; stop meets near +45, solid near +80."""
    said = kinds(trouble())
    rides = said["rides"]
    assert rides.amount == pytest.approx(0.0, abs=0.5)
    assert rides.figures["wheel_rate"] == pytest.approx(32.0, abs=0.1)
    assert rides.figures["frequency"] == pytest.approx(1.70, abs=0.005)
    assert rides.figures["spring_length"] == pytest.approx(281, abs=0.5)
    bump = said["bump stops"]
    assert bump.notes == {"first": "bump stop", "end": "bump stop"}
    assert bump.figures["meets: bump stop"] == pytest.approx(45, abs=0.2)
    assert bump.amount == pytest.approx(80, abs=0.2)
    assert bump.figures["left: damper closed"] == pytest.approx(22.0)
    assert bump.figures["left: spring"] == pytest.approx(217 - 166.8)
    assert said["droop stops"].notes["end"] == "damper open"
    assert said["droop stops"].amount == pytest.approx(-80.24, abs=0.01)
    assert not any(fact.problem for fact in said.values())


def test_the_rates_that_suit_the_trouble_example() -> None:
    """At each end of the window the other spring is just right at one end of the travel."""
    rates = kinds(trouble())["rates"]
    assert rates.amount == 50.0
    load = 280 * 9.80665 / 0.79881
    stretch = 345.0 - 281.25  # from ride to full droop, with no lip to hold it
    assert rates.figures["greatest"] == pytest.approx(load / stretch, rel=1e-3)
    assert 40.0 < rates.figures["least"] < 50.0


def test_the_seat_brings_it_to_set_up_height() -> None:
    rides = kinds(trouble())["rides"]
    up = rides.figures["seat_up"]
    assert rides.figures["turns"] == pytest.approx(up / 2.0)
    moved = kinds(with_spring(seat_from_foot=135.0 + up))["rides"]
    assert moved.amount == pytest.approx(0.0, abs=1e-6)


def test_without_a_bump_stop_the_damper_bottoms() -> None:
    said = kinds(changed(bump_stop=None))
    assert said["bottoms"].problem
    assert said["bottoms"].amount == pytest.approx(107.39, abs=0.01)


def test_a_spring_too_short_hangs_loose_unless_its_lip_holds_it() -> None:
    loose = kinds(with_spring(free=330.0))["loose"]
    assert loose.problem
    assert loose.figures["slack"] == pytest.approx(345 - 0.19 - 330, abs=0.01)
    # 330 mm is its room at damper 500: first loose there
    z = dense().travel
    lengths = np.linalg.norm(dense().point("top bearing") - dense().point("coilover foot"), axis=-1)
    assert loose.droop == pytest.approx(z[np.argmin(np.abs(lengths[:, 0] - 500))], abs=0.06)
    held = kinds(with_spring(free=330.0, locating_lip=16.0))["loose"]
    assert not held.problem


def test_a_spring_with_too_many_coils_is_tight_then_coil_bound() -> None:
    assert kinds(with_spring(solid=190.0))["tight"].problem
    assert kinds(with_spring(solid=218.5))["coil-bound"].problem
    ends = kinds(with_spring(solid=240.0))
    assert ends["bump stops"].notes["end"] == "spring"
    assert ends["bottoms"].subject == "spring"


def test_too_little_and_too_much_spring() -> None:
    soft = kinds(with_spring(rate_n_per_mm=9.0))["does not ride"]
    softer = kinds(
        msgspec.structs.replace(
            with_spring(rate_n_per_mm=9.0), loads=Loads(corner_kg=918.0, unsprung_kg=38.0)
        )
    )["does not ride"]
    stiff = kinds(with_spring(rate_n_per_mm=250.0, free=375.0))["does not ride"]
    assert soft.problem
    assert stiff.problem
    assert soft.notes == {"stands": "on a stop", "why": "bump stop"}
    assert softer.notes["stands"] == "down on its stops"
    assert stiff.notes["stands"] == "topped out"


def test_a_joint_past_its_limit_binds_where_the_scan_says() -> None:
    tight = msgspec.structs.replace(
        trouble(),
        bearings={
            **trouble().bearings,
            "lower link outer": Bearing(limit_deg=2.0, axis=(1, 0.05, 0)),
        },
    )
    bound = kinds(tight)["binds"]
    every = move(corner(tight), dense().travel)
    use = next(use for use in bearings_of(every) if use.point == "lower link outer")
    left = use.left[:, 0]
    assert bound.subject == "lower link outer"
    assert bound.bump == pytest.approx(first(left, dense().travel, 1.0), abs=0.06)
    assert bound.droop == pytest.approx(first(left, dense().travel, -1.0), abs=0.06)


def test_a_short_hose_and_a_short_shaft() -> None:
    ends = trouble().hoses["brake hose"].ends
    assert kinds(msgspec.structs.replace(trouble(), hoses={"h": Hose(ends, 300.0)}))["hose"].problem
    shaft = msgspec.structs.replace(
        trouble().parts["drive shaft"], inner_limit_deg=8.0, pull_apart=0.1, bottoming=0.5
    )
    said = kinds(
        msgspec.structs.replace(trouble(), parts={**trouble().parts, "drive shaft": shaft})
    )
    assert {"shaft bends", "shaft bottoms"} <= set(said)


def test_what_is_allowed_is_told_with_what_it_uses() -> None:
    """Shaft, hose and preload of the example against the dense scan."""
    said = kinds(trouble())
    state = shaft_states(dense())["drive shaft"]
    used = said["shaft"].figures
    assert used["inner"] == pytest.approx(state.inner.max(), abs=2e-3)
    assert used["longest"] == pytest.approx(state.plunge.max(), abs=0.02)
    assert used["shortest"] == pytest.approx(state.plunge.min(), abs=0.02)
    slack = hose_slacks(dense())["brake hose"].min()
    assert said["hose"].amount == pytest.approx(slack, abs=0.3)  # the scan goes a little farther
    assert not said["hose"].problem
    # pulled right out the seats are 515 - 170 apart, for a spring of 350 at 50 N/mm
    assert said["preload"].amount == pytest.approx(5.0)
    assert said["preload"].figures["force"] == pytest.approx(250.0)
    assert "preload" not in kinds(with_spring(free=330.0))
    assert said["rides"].figures["stroke"] == 150.0
    assert said["rides"].figures["stroke_used"] == pytest.approx(515 - 170 - 281.2, abs=0.5)


def test_cross_joints_turn_unevenly() -> None:
    shaft = msgspec.structs.replace(trouble().parts["drive shaft"], cross_joints=True)
    said = kinds(msgspec.structs.replace(trouble(), parts={"drive shaft": shaft}))["shaft"]
    bend = max(said.figures["inner"], said.figures["outer"])
    turned = np.linspace(0, np.pi, 20_001)
    driven = np.unwrap(np.arctan2(np.sin(turned), np.cos(bend) * np.cos(turned)))
    assert said.figures["uneven"] == pytest.approx(np.abs(driven - turned).max(), rel=1e-6)


def beside() -> Project:
    """The example with a bump stop and a strap beside its damper, both acting before its own."""
    points = {**trouble().points, "stop above": (0.0, 690.0, 560.0), "strap at rail": (0, 440, 540)}
    stop = OutsideStop(End("hub inner", "upright"), End("stop above"), meets=250.0, solid=225.0)
    strap = Strap((End("hub inner", "upright"), End("strap at rail")), 415.0)
    loads = Loads(corner_kg=318.0, unsprung_kg=38.0, cases={"pothole": LoadCase(up=6.0)})
    return msgspec.structs.replace(
        trouble(),
        points=points,
        stops={"rubber cone": stop},
        straps={"limit strap": strap},
        loads=loads,
    )


def test_stops_beside_the_damper_act_first() -> None:
    whole = known(beside())
    assert whole.stops.end("bump").name == "rubber cone"
    assert whole.stops.end("droop").name == "limit strap"
    z = np.linspace(-80, 79.9, 1600)
    there = move(whole.motion.linkage, z, stops=False)
    hub = there.point(End("hub inner", "upright"))[:, 0]
    to_stop = np.linalg.norm(hub - (0.0, 690.0, 560.0), axis=-1)
    to_strap = np.linalg.norm(hub - (0.0, 440.0, 540.0), axis=-1)
    assert whole.stops.end("bump").travel == pytest.approx(z[to_stop < 225].min(), abs=0.11)
    assert whole.stops.end("droop").travel == pytest.approx(z[to_strap > 415].max(), abs=0.11)


def test_a_joint_that_ends_the_travel_is_what_stops_it() -> None:
    """Ride height, room left and load cases then end where the joint does, not at the damper."""
    foot = msgspec.structs.replace(
        trouble().bearings["coilover foot"], limit_deg=3.0, ends_travel=True
    )
    stiff = msgspec.structs.replace(
        trouble(), bearings={**trouble().bearings, "coilover foot": foot}
    )
    whole = statics(move(corner(stiff), np.linspace(-40.0, 40.0, 9)))
    met = limits(corner(stiff))
    for side, travel in (("bump", met.high), ("droop", met.low)):
        end = whole.stops.end(side)
        assert end.name == "joint at coilover foot"
        assert end.travel == pytest.approx(travel)
    use = next(u for u in bearings_of(dense()) if u.point == "coilover foot")
    left = np.radians(3.0) - use.angle[:, 0]
    assert met.high == pytest.approx(first(left, dense().travel, 1.0), abs=0.06)
    said = {fact.kind: fact for fact in facts(whole)}
    assert said["bump stops"].notes["end"] == "joint at coilover foot"
    assert "is at its limit" in say_fact(said["bump stops"])
    assert "bottoms" not in said
    assert said["rides"].figures["bump_left"] == pytest.approx(met.high - said["rides"].amount)
    # spring and stops can't carry 3 g before the joint is at its limit: nothing is made up
    assert "3 g bump" not in {settled.case for settled in whole.loading.settled}


def test_packers_bring_an_outside_stop_in_sooner() -> None:
    """10 mm of packer is a stop 10 mm nearer, for what acts first and for the ends of travel."""
    packed = msgspec.structs.replace(beside().stops["rubber cone"], packer=10.0)
    nearer = msgspec.structs.replace(packed, packer=0.0, meets=260.0, solid=235.0)
    ends = []
    for stop in (packed, nearer):
        project = msgspec.structs.replace(beside(), stops={"rubber cone": stop})
        acts = known(project).stops
        ends.append([a.travel for a in acts.bump] + [limits(corner(project)).bump[0].travel])
    assert ends[0] == pytest.approx(ends[1], abs=1e-6)
    assert ends[0][1] < known(beside()).stops.end("bump").travel - 5.0


def test_a_solid_stop_beside_the_damper_takes_what_is_left() -> None:
    whole = known(beside())
    hard = next(s for s in whole.loading.settled if s.case == "pothole")
    assert hard.rests_on == "rubber cone"
    assert hard.forces.unbalance.max() <= 1e-6
    taken = hard.forces.of("rubber cone").axial[0, 0]
    assert taken > 0.0


def test_a_droop_stop_and_chosen_squash() -> None:
    project = changed(
        droop_stop=DroopStop(25.0, 10.0), bump_stop=BumpStop(50.0, 22.0, full_squash=20.0)
    )
    whole = known(project)
    assert whole.stops.first("droop").name == "droop stop"
    end = whole.stops.end("bump")
    lengths = whole.course.lines(np.array([end.travel]))[0]
    assert lengths[0, 0] == pytest.approx(365 + 50 - 20, abs=1e-6)
