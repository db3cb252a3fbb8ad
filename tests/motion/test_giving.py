"""Corners that move only through rubber: named bushes give."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize

from kinematics.motion import MotionError, corner, move
from kinematics.project.model import End, Link
from tests.motion.corners import five_links, five_links_steered
from tests.motion.test_mobility import plus

TRAVEL = [-20.0, 0.0, 12.0, 20.0]
GIVE = {"extra": 4000.0, "link 2": 9000.0}


def locked():
    return plus(five_links(), extra=Link(End("i4"), End("o2", "upright")))


@pytest.fixture(scope="module")
def motion():
    return move(corner(locked(), GIVE), TRAVEL, stops=False)


def test_it_moves_and_the_rigid_members_hold(motion):
    assert motion.reached.all()
    assert motion.closure.max() <= 1e-9
    assert motion.certified


def test_bushes_are_unstressed_as_measured(motion):
    for give in motion.give().values():
        assert abs(give.stretch[1, 0]) < 1e-9
        assert np.abs(give.force[[0, 2, 3], 0]).min() > 1.0


def test_energy_is_least(motion):
    """Against scipy's constrained minimiser in other unknowns (centre, rotation vector)."""
    from scipy.spatial.transform import Rotation

    project = motion.linkage.project
    points = {k: np.array(v) for k, v in project.points.items()}
    hub = points["wheel centre"]
    links = {
        name: (points[x.inner.point], points[x.outer.point] - hub)
        for name, x in project.links.items()
    }
    rest = {name: np.linalg.norm(hub + out - inn) for name, (inn, out) in links.items()}

    def stretch(x, name):
        inner, outer = links[name]
        at = hub + x[:3] + Rotation.from_rotvec(x[3:] / 100.0).apply(outer)
        return np.linalg.norm(at - inner) - rest[name]

    for i, travel in enumerate(TRAVEL):
        rigid = [
            {"type": "eq", "fun": lambda x, n=n: stretch(x, n)} for n in links if n not in GIVE
        ]
        rigid.append({"type": "eq", "fun": lambda x, z=travel: x[2] - z})
        found = minimize(
            lambda x: 0.5 * sum(k * stretch(x, n) ** 2 for n, k in GIVE.items()) / 1e4,
            np.array([0, 0, travel, 0, 0, 0.0]),
            constraints=rigid,
            method="SLSQP",
            options={"ftol": 1e-15, "maxiter": 300},
        )
        at = motion.point("wheel centre")[i, 0]
        np.testing.assert_allclose(hub + found.x[:3], at, atol=2e-4)
        for name, give in motion.give().items():
            assert stretch(found.x, name) == pytest.approx(give.stretch[i, 0], abs=2e-4)
            assert give.force[i, 0] == pytest.approx(GIVE[name] * give.stretch[i, 0])


def test_rates_are_the_differences(motion):
    h = 1e-3
    near = [move(motion.linkage, np.array(TRAVEL) + s * h, stops=False) for s in (1, -1)]
    slope = (near[0].point("o5") - near[1].point("o5")) / (2 * h)
    speed = motion.speed("upright", motion.linkage.project.points["o5"])
    np.testing.assert_allclose(speed, slope, atol=1e-7)


def test_stiff_bushes_approach_the_rigid_corner():
    """With the extra link soft and the rest stiff, it is the five-link corner again."""
    plain = move(corner(five_links()), [-20.0, 20.0])
    soft = move(corner(locked(), {"extra": 1.0}), [-20.0, 20.0], stops=False)
    np.testing.assert_allclose(soft.point("foot"), plain.point("foot"), atol=1e-8)


def test_names_and_stiffnesses_are_checked():
    with pytest.raises(MotionError, match="no bush that could give"):
        corner(locked(), {"wing": None})
    with pytest.raises(MotionError, match="above 0"):
        corner(locked(), {"extra": -1.0})


def test_giving_the_wrong_member_is_said():
    project = plus(
        five_links(),
        extra=Link(End("i4"), End("o2", "upright")),
        more=Link(End("i3"), End("o2", "upright")),
    )
    with pytest.raises(MotionError, match="still fights"):
        corner(project, {"extra": None})


def test_it_is_proved_to_be_one_assembly(motion):
    assert (motion.proof[motion.reached] <= 0.15).all()
    steered = plus(five_links_steered(), extra=Link(End("i4"), End("o2", "upright")))
    linkage = corner(steered, {"extra": None})
    grid = move(linkage, [-30.0, 0.0, 30.0], [-10.0, 0.0, 12.0], stops=False)
    assert grid.reached.all()
    assert (grid.proof <= 0.15).all()
    alone = move(corner(steered, {"extra": None}), [30.0], [12.0], stops=False)
    np.testing.assert_allclose(alone.point("o2")[0, 0], grid.point("o2")[2, 2], atol=1e-9)


def test_another_rest_is_not_taken_for_it(motion):
    """Of a stretch whose nodes belong to different assemblies nothing is proved."""
    from dataclasses import replace

    from kinematics.motion import giving_track

    driven = motion.linkage.driven()
    system, soft, rest = driven.system, driven.soft, driven.rest
    track = giving_track._laid(system, soft, rest, 0.0, (0.0, 20.0), 0.0, 0)
    assert track.number < 1e-3
    for node in range(9):
        table = track.table.copy()
        table[0, node] += 0.5  # half a millimetre off at one node
        spoiled = giving_track._vouched(system, soft, replace(track, table=table), 0.0, 0)
        assert np.isinf(spoiled.number)


def test_the_bounds_of_the_proof_hold(motion):
    """κ bounds how fast inverse times slopes changes, over random small motions of the pose."""
    from kinematics.motion import giving_track
    from kinematics.motion.giving import Rest
    from kinematics.motion.rows import moved

    driven = motion.linkage.driven()
    system, soft, rest = driven.system, driven.soft, driven.rest
    track = giving_track._laid(system, soft, rest, 0.0, (0.0, 20.0), 0.0, 0)
    values = np.array([10.0])
    here, inverse = giving_track.rest_of(system, soft, track.taken(values))
    zero, width, top = np.zeros(1), system.table.width, float(soft.stiffness.max())
    kappa = giving_track._kappa(system, soft, track, here, (values, zero))
    base = giving_track._slopes(system, soft, here, values, zero)[..., 0]
    rng = np.random.default_rng(5)
    for _ in range(60):
        step = rng.normal(size=(len(base), 1))
        step *= 0.2 * rng.uniform() / np.linalg.norm(step)
        away = Rest(
            moved(system.table, system.geometry, here.state, step[:width]),
            here.hold + top * step[width:],
        )
        change = giving_track._slopes(system, soft, away, values, zero)[..., 0] - base
        found = np.linalg.norm(inverse[..., 0] @ change, 2)
        assert found <= kappa * np.linalg.norm(step)


@pytest.mark.parametrize("racks", [[0.0], [-8.0, 0.0, 10.0]])
def test_no_point_strays_farther_than_stated(racks):
    base = five_links() if racks == [0.0] else five_links_steered()
    project = plus(base, extra=Link(End("i4"), End("o2", "upright")))
    linkage = corner(project, {"extra": 4000.0, "link 2": 9000.0})
    travel, pieces = np.linspace(-60.0, 60.0, 7), 20
    motion = move(linkage, travel, racks, stops=False)
    dense = move(linkage, np.linspace(-60.0, 60.0, 6 * pieces + 1), racks, stops=False)
    part = np.linspace(0.0, 1.0, pieces + 1)[:, None, None]
    points = np.array([[60.0, 560.0, 420.0], [-30.0, 700.0, 150.0]])
    for body in motion.bodies:
        bounds = motion.bulge(body, points)
        assert np.isfinite(bounds).all()
        for bound, point in zip(bounds, points, strict=True):
            path, knots = dense.carry(body, point), motion.carry(body, point)
            for i in range(6):
                here = path[i * pieces : (i + 1) * pieces + 1]
                chord = knots[i] * (1.0 - part) + knots[i + 1] * part
                stray = np.linalg.norm(here - chord, axis=-1).max(axis=0)
                assert (stray <= bound[i] * 20.0**2 / 8.0 + 1e-9).all()
                bend = np.linalg.norm(here[2:] - 2 * here[1:-1] + here[:-2], axis=-1)
                most = bend.max(axis=0) / (20.0 / pieces) ** 2
                assert (most <= bound[i] * (1 + 1e-6) + 1e-7).all()
                assert (bound[i] <= 1.2 * most + 1e-7).all()  # and not far off it
