"""Shims and adjusters: what is fixed keeps its shape, and the corner goes where it must."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest

from kinematics.errors import ProjectError
from kinematics.measures import measure
from kinematics.motion import MotionError, corner, limits, move
from kinematics.project.adjusters import with_adjuster
from kinematics.project.checks import problems_of
from kinematics.project.mirror import mirror
from kinematics.project.model import Adjuster, Bearing, Link
from tests.motion.corners import ALL, five_links, published_wishbone, radius_arm, strut

TRAVEL = np.linspace(-50.0, 50.0, 11)


def with_adjusters(project, **adjusters):
    return msgspec.structs.replace(project, adjusters=adjusters)


def moved(project, travel=TRAVEL):
    return move(corner(project), travel, stops=False)


def camber(project):
    return float(measure(project, moved(project, [0.0]))["camber"][0, 0])


def shim(**more):
    given = {"points": ("D", "E"), "direction": (0.0, 1.0, 0.0), "least": -6.0, "most": 6.0}
    return Adjuster(**{**given, **more})


def test_wound_in_by_nothing_changes_nothing():
    plain = moved(published_wishbone())
    other = moved(with_adjusters(published_wishbone(), shim=shim()))
    np.testing.assert_array_equal(plain.rotation, other.rotation)


def test_a_link_adjuster_is_the_link_s_own():
    own = published_wishbone()
    adjusters = with_adjusters(own, toe=Adjuster(link="track rod", least=-5.0, most=5.0, set=1.5))
    threaded = msgspec.structs.replace(own, links={"track rod": Link(*_track_rod(own), adjust=1.5)})
    np.testing.assert_allclose(moved(adjusters).rotation, moved(threaded).rotation, atol=1e-13)


def _track_rod(project):
    linkage = corner(project)
    link = linkage.project.links["track rod"]
    return link.inner, link.outer


def test_shims_under_the_upper_arm_s_pivots():
    """The arm keeps its shape and hangs on the moved pivots; upright and lower arm theirs."""
    own = published_wishbone()
    project = with_adjusters(own, shim=shim(set=4.0))
    motion = moved(project)
    assert motion.reached.all()
    assert motion.closure.max() <= 1e-9
    p = {name: np.array(xyz) for name, xyz in own.points.items()}
    by = np.array([0.0, 4.0, 0.0])
    ball = motion.carry("upright", p["F"])
    for pivot in ("D", "E"):
        length = np.linalg.norm(ball - (p[pivot] + by), axis=-1)
        np.testing.assert_allclose(length, np.linalg.norm(p["F"] - p[pivot]), atol=1e-9)
        # On the chassis the pivot stands where the shims put it, and the arm's own is there.
        np.testing.assert_allclose(motion.point(pivot)[0, 0], p[pivot] + by, atol=1e-9)
        np.testing.assert_allclose(
            motion.carry("upper arm", p[pivot]),
            np.broadcast_to(p[pivot] + by, ball.shape),
            atol=1e-9,
        )
    lower = motion.carry("upright", p["C"])
    for pivot in ("A", "B"):
        length = np.linalg.norm(lower - p[pivot], axis=-1)
        np.testing.assert_allclose(length, np.linalg.norm(p["C"] - p[pivot]), atol=1e-9)
    # Camber as in a plain front view: 4 mm over the height between the balls, top outward.
    height = p["F"][2] - p["C"][2]
    gained = camber(project) - camber(own)
    assert gained == pytest.approx(4.0 / height, rel=0.12)


def test_shims_at_one_pivot_turn_the_arm():
    own = published_wishbone()
    project = with_adjusters(own, shim=shim(points=("D",), set=3.0))
    motion = moved(project)
    assert motion.closure.max() <= 1e-9
    p = {name: np.array(xyz) for name, xyz in own.points.items()}
    # The arm's rear bush sits where the shimmed one is, but for its slide along the pin.
    rear = motion.carry("upper arm", p["D"])[:, 0] - (p["D"] + [0.0, 3.0, 0.0])
    line = p["E"] - (p["D"] + [0.0, 3.0, 0.0])
    line = line / np.linalg.norm(line)
    np.testing.assert_allclose(rear - (rear @ line)[:, None] * line, 0.0, atol=1e-9)
    gained = measure(project, motion)["caster"] - measure(own, moved(own))["caster"]
    assert np.abs(np.degrees(gained)).min() > 0.1


@pytest.mark.parametrize(
    ("name", "point", "body"),
    [
        ("five links", "i2", "chassis"),
        ("five links", "o2", "upright"),
        ("rigid radius arm", "upper inner", "chassis"),
        ("strut", "top", "chassis"),
        ("strut", "lower ball", "lower arm"),
        ("H-arm", "front", "chassis"),
        ("link on an arm", "mid", "arm"),
        ("pushrod and rocker", "push rocker", "rocker"),
    ],
)
def test_points_of_all_kinds_against_the_digits(name, point, body):
    """Every length that a shim leaves alone is as measured; the shimmed end stands where it is."""
    own = ALL[name]()
    way = np.array([0.3, 0.8, 0.5])
    by = 3.0 * way / np.linalg.norm(way)
    project = with_adjusters(
        own,
        slot=Adjuster(points=(point,), body=body, direction=tuple(way), most=5.0, set=3.0),
    )
    motion, plain = moved(project), moved(own)
    assert motion.reached.all()
    assert motion.closure.max() <= 1e-9
    p = {n: np.array(xyz) for n, xyz in own.points.items()}

    def at(end):
        shifted = p[end.point] + (by if (end.point, end.body) == (point, body) else 0.0)
        return motion.carry(end.body, shifted)

    for link in motion.linkage.project.links.values():
        then = np.linalg.norm(p[link.inner.point] - p[link.outer.point])
        now = np.linalg.norm(at(link.inner) - at(link.outer), axis=-1)
        np.testing.assert_allclose(now, then, atol=1e-9)
    moved_by = np.abs(motion.rotation - plain.rotation).max()
    assert moved_by > 1e-5


def test_mirrored_it_is_the_same():
    project = with_adjusters(
        strut(),
        top=Adjuster(points=("top",), direction=(0.0, -1.0, 0.0), least=-8.0, most=8.0, set=5.0),
    )
    other = mirror(project)
    assert other.adjusters["top"].direction == (0.0, 1.0, 0.0)
    left, right = (measure(p, moved(p)) for p in (project, other))
    np.testing.assert_allclose(left["camber"], right["camber"], atol=1e-12)
    np.testing.assert_allclose(left["caster"], right["caster"], atol=1e-12)


def test_a_camber_plate_leans_the_strut():
    own = strut()
    plate = Adjuster(points=("top",), direction=(0.0, -1.0, 0.0), least=-12.0, most=12.0)
    cambers = []
    for value in (-10.0, 0.0, 10.0):
        project = with_adjuster(with_adjusters(own, plate=plate), "plate", value)
        cambers.append(camber(project))
        linkage = corner(project)
        assert limits(linkage).high_cause is not None
    assert cambers[0] > cambers[1] > cambers[2]
    # 10 mm over the strut's height above the ball, about 1 degree.
    assert np.degrees(cambers[1] - cambers[2]) == pytest.approx(np.degrees(10.0 / 600.0), rel=0.15)


def test_a_joint_limit_sees_the_shimmed_top():
    project = with_adjusters(
        msgspec.structs.replace(
            radius_arm(),
            bearings={
                "top": Bearing(bolt="along", axis=(0, 0, 1), limit_deg=4.2, ends_travel=True)
            },
        ),
        slot=Adjuster(points=("top",), direction=(0.0, 1.0, 0.0), most=6.0, set=6.0),
    )
    linkage = corner(project)
    found = limits(linkage)
    end = next(x for x in (*found.bump, *found.droop) if "angle limit" in x.cause)
    motion = move(linkage, [end.travel], stops=False)
    d = motion.point("top")[0, 0] - motion.point("foot")[0, 0]
    lean = np.degrees(np.arctan2(np.hypot(d[0], d[1]), d[2]))
    assert lean == pytest.approx(4.2, abs=1e-9)
    assert motion.point("top")[0, 0, 1] == pytest.approx(own_top() + 6.0)


def own_top():
    return radius_arm().points["top"][1]


def test_one_that_can_not_be_put_together_is_said():
    project = with_adjusters(
        five_links(),
        far=Adjuster(points=("i1",), direction=(0.0, 1.0, 0.0), most=900.0, set=900.0),
    )
    with pytest.raises(MotionError, match="'far' \\(\\+900\\)"):
        corner(project)


def test_what_is_wrong_is_said():
    def problems(**adjuster):
        project = with_adjusters(published_wishbone(), a=Adjuster(**{"most": 5.0, **adjuster}))
        return [p for p in problems_of(project) if p.startswith("adjusters.a")]

    assert "name either the link" in problems()[0]
    assert "name either the link" in problems(link="track rod", points=("D",))[0]
    assert "no link" in problems(link="wing")[0]
    assert "which way" in problems(points=("D",))[0]
    assert "nothing of chassis is joined" in problems(points=("C",), direction=(0, 1, 0))[0]
    assert "outside its range" in problems(link="track rod", set=6.0)[0]
    assert not problems(points=("D", "E"), direction=(0, 1, 0), set=2.0)
    two = with_adjusters(
        published_wishbone(),
        a=shim(points=("F",), body="upright"),
        b=shim(points=("F",), body="upper arm"),
    )
    assert any("name one body" in p for p in problems_of(two))
    with pytest.raises(ProjectError, match="no 'b'"):
        with_adjuster(with_adjusters(published_wishbone(), a=shim()), "b", 1.0)
    with pytest.raises(ProjectError, match="range of −6 to 6 mm"):
        with_adjuster(with_adjusters(published_wishbone(), a=shim()), "a", 7.0)
