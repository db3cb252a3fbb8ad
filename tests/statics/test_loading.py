"""Forces by virtual work, energy and balance, at every position of every example."""

from functools import cache
from itertools import pairwise
from pathlib import Path

import msgspec
import numpy as np
import pytest
from scipy.integrate import fixed_quad

from kinematics.motion import corner, move
from kinematics.motion.limits import travel_range
from kinematics.motion.positions import over
from kinematics.project.files import read
from kinematics.project.loads import Loads
from kinematics.project.model import BumpStop, Coilover, End, Project, Spring
from kinematics.statics import forces, ride
from kinematics.statics.cases import GRAVITY, cases_of, road
from kinematics.statics.chassis import on_chassis
from kinematics.statics.course import line_of
from kinematics.statics.figures import figures
from kinematics.statics.loading import wheel_poses
from kinematics.statics.reactions import units, wrench
from kinematics.statics.statics import Statics, statics

EXAMPLES = sorted(Path("assets/examples").glob("*.corner.json"))


def example(path: Path) -> Project:
    """An example; the published corner, which has neither, is given a coilover and a weight."""
    project = read(path)
    if project.coilover is not None:
        return project
    # Its foot is carried at the lower ball joint; the top stands above the arm.
    x, y, z = project.points[project.arrangement.lower.outer]
    points = {**project.points, "lent top": (x, y - 160.0, z + 420.0)}
    foot, top = End(project.arrangement.lower.outer, "upright"), End("lent top")
    long = float(np.hypot(160.0, 420.0))
    spring = Spring(90, 12, 120, 40, free=long - 60.0, rate_n_per_mm=40)
    stop = BumpStop(50, 20)
    coilover = Coilover(foot, top, long + 70, long - 110, spring=spring, bump_stop=stop)
    loads = Loads(corner_kg=300, unsprung_kg=35)
    return msgspec.structs.replace(project, points=points, coilover=coilover, loads=loads)


@cache
def known(path: Path) -> Statics:
    linkage = corner(example(path))
    low, high = travel_range(linkage)
    racks = [0.0] if linkage.project.rack is None else [-25.0, 0.0, 25.0]
    return statics(move(linkage, np.linspace(low, high, 161), racks))


each = pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name.split(".")[0])


def coilover_slope(whole: Statics) -> np.ndarray:
    """d(length)/d(travel) from the motion's exact rates, flattened."""
    return line_of(whole.motion, whole.elements[0].ends)[1].ravel()


@each
def test_virtual_work_at_every_position(path: Path) -> None:
    """A force up at the wheel centre is carried by the coilover at 1/(motion ratio)."""
    motion = known(path).motion
    positions = over(motion).without_set_up()
    up = np.broadcast_to([0.0, 0.0, 1000.0], (positions.count, 3))
    centre = motion.point(motion.linkage.project.wheel.centre).reshape(-1, 3)
    body = motion.linkage.project.wheel.body
    found = forces.solve(
        units(motion.linkage.project, positions.carry), {"up": {body: wrench(up, centre)}}
    )
    push = found.of("coilover").axial[0]
    work = push * -coilover_slope(known(path))
    reached = motion.reached.ravel()
    assert np.abs(work / 1000.0 - 1.0)[reached].max() <= 1e-9
    assert np.isnan(work[~reached]).all()
    assert found.held
    assert not found.undetermined


@each
def test_every_load_case_does_no_work_on_the_whole(path: Path) -> None:
    """Load, moved with its body by the motion's exact rates, against the coilover's push."""
    motion, project = known(path).motion, known(path).project
    wheel, out = wheel_poses(motion), motion.linkage.mechanism.out
    number = motion.number(project.wheel.body)
    spin, drift = motion.by_travel.spin[number].T, motion.by_travel.drift[number].T
    for row, case in enumerate(cases_of(project.loads).values()):
        load = road(case, project.loads, wheel, out)
        power = np.sum(load[:, :3] * drift, axis=1) + np.sum(load[:, 3:] * spin, axis=1)
        push = known(path).loading.grid.of("coilover").axial[row]
        given = push * coilover_slope(known(path))
        scale = project.loads.corner_kg * GRAVITY
        assert np.nanmax(np.abs(power + given)) <= 1e-9 * scale


@each
def test_each_body_balances(path: Path) -> None:
    loading = known(path).loading
    assert np.nanmax(loading.grid.unbalance) <= 1e-6
    assert max(settled.forces.unbalance.max() for settled in loading.settled) <= 1e-6


@each
def test_the_settled_case_is_carried_by_spring_and_stops(path: Path) -> None:
    """What each pushes with adds up to the coilover's force, whatever the case rests on."""
    for settled in known(path).loading.settled:
        needed = float(settled.forces.of("coilover").axial[0, 0])
        assert sum(settled.pushes.values()) == pytest.approx(needed, rel=1e-6)
        assert settled.pushes["spring"] > 0.0


@each
def test_energy_is_the_integral_of_wheel_force(path: Path) -> None:
    whole = known(path)
    soft = [i for i, e in enumerate(whole.elements) if e.kind != "hard"]
    parts = [whole.elements[i] for i in soft]
    low = whole.stops.end("droop").travel + 1e-3
    high = whole.stops.end("bump").travel - 1e-3
    kinks = [
        z
        for i in soft
        for corner_at in whole.elements[i].curve.squash
        for z in whole.course.crossings(
            lambda t, i=i, c=corner_at: whole.elements[i].squash(whole.course.lines(t)[0][i]) - c
        )
    ]
    edges = sorted({low, high, *(k for k in kinks if low < k < high)})

    def force(z: np.ndarray) -> np.ndarray:
        lengths, slopes = whole.course.lines(z)
        return ride.wheel_force(parts, lengths[soft], slopes[soft])

    def stored(z: float) -> float:
        lengths = whole.course.lines(np.array([z]))[0]
        return float(ride.energy(parts, lengths[soft])[0])

    work = sum(fixed_quad(force, a, b, n=24)[0] for a, b in pairwise(edges))
    assert stored(high) - stored(low) == pytest.approx(work, rel=1e-9)


@each
def test_wheel_rate_is_the_slope_of_the_wheel_force(path: Path) -> None:
    whole = known(path)
    soft = [i for i, e in enumerate(whole.elements) if e.kind != "hard"]
    parts = [whole.elements[i] for i in soft]
    for z in (-40.0, -3.0, 17.0):
        lengths, slopes = whole.course.lines(np.array([z - 1e-3, z + 1e-3]))
        force = ride.wheel_force(parts, lengths[soft], slopes[soft])
        there = move(whole.motion.linkage, [z], [0.0], start=whole.motion)
        exact = figures(there, whole.elements, whole.project.coilover, whole.sheet)
        slope = (force[1] - force[0]) / 2e-3
        assert exact["wheel_rate"][0, 0] == pytest.approx(slope, rel=1e-6)


@each
def test_stops_are_where_a_dense_scan_has_them(path: Path) -> None:
    whole = known(path)
    z = np.linspace(-150.0, 150.0, 6001)
    lengths = whole.course.lines(z)[0]
    for act in (*whole.stops.bump, *whole.stops.droop):
        i = next(k for k, e in enumerate(whole.elements) if e.name == act.name)
        element = whole.elements[i]
        level = element.ends_at if act.ends else element.meets
        side = z >= 0 if act.side == "bump" else z <= 0
        past = np.abs(z[side & ((lengths[i] - level) * element.way < 0)])
        assert past.min() == pytest.approx(abs(act.travel), abs=0.06)


def test_an_inboard_brake_asks_less_of_a_radius_arm_in_turning() -> None:
    """With the caliper on the chassis the contact's pull is felt at the axle: no wind-up."""
    project = read(Path("assets/examples/rear-in-trouble.corner.json"))
    inboard = msgspec.structs.replace(
        project, loads=msgspec.structs.replace(project.loads, brake="inboard")
    )
    travels = {}
    for name, each_project in (("outboard", project), ("inboard", inboard)):
        motion = move(corner(each_project), np.linspace(-80, 79, 9))
        settled = {s.case: s for s in statics(motion).loading.settled}
        travels[name] = settled["1 g braking"].travel - settled["standing"].travel
    assert travels["outboard"] > 40
    assert abs(travels["inboard"]) < 20


@each
def test_what_the_chassis_feels_is_what_the_road_puts_in(path: Path) -> None:
    """All pushes on chassis and rack add up to the load, and their moments about the car's origin
    too: nothing of the top mount's force is left out or counted twice."""
    whole = known(path)
    grid, project = whole.loading.grid, whole.project
    wheel, out = wheel_poses(whole.motion), whole.motion.linkage.mechanism.out
    pushes = on_chassis(project, grid)
    assert [push.top for push in pushes] == [True] + [False] * (len(pushes) - 1)
    to_rack = [j for j in grid.joints if "rack" in (j.on, j.against)]
    for row, case in enumerate(cases_of(project.loads).values()):
        load = road(case, project.loads, wheel, out)
        felt = sum(wrench(push.force[row], push.at) for push in pushes)
        for joint in to_rack:
            sign, at = (1.0, joint.at) if joint.on == "rack" else (-1.0, joint.against_at)
            felt = felt + wrench(sign * joint.force[row], at)
        left = np.abs(felt - load)
        assert np.nanmax(left[:, :3]) <= 1e-6
        assert np.nanmax(left[:, 3:]) <= 1e-3
