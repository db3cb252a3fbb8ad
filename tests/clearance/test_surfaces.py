"""Two scans: surface to surface against python-fcl, crossing, within each other, in motion."""

from __future__ import annotations

import fcl
import numpy as np
import pytest
import trimesh
from scipy.spatial.transform import Rotation

from kinematics.clearance import clearances
from kinematics.clearance.triangles import nearest, on_triangle
from kinematics.shapes.pieces import Mesh, Part, Surface
from tests.clearance.test_scans import lumpy

STILL = (np.eye(3)[None], np.zeros((1, 3)))


def surface(mesh, closed=()):
    return Surface(np.ascontiguousarray(mesh.triangles), None, closed)


def scan(name, made, rotation=STILL[0], position=STILL[1], sagitta=()):
    return Part(name, name, "scan", (Mesh(made, rotation, position),), bool(made.closed), sagitta)


def their_distance(a, b, turn, at):
    objects = []
    for mesh, rotation, position in ((a, np.eye(3), np.zeros(3)), (b, turn, at)):
        model = fcl.BVHModel()
        model.beginModel(len(mesh.faces), len(mesh.vertices))
        model.addSubModel(mesh.vertices, mesh.faces)
        model.endModel()
        objects.append(fcl.CollisionObject(model, fcl.Transform(rotation, position)))
    return fcl.distance(*objects, fcl.DistanceRequest(), fcl.DistanceResult())


def test_separated_surfaces_agree_with_fcl():
    rng = np.random.default_rng(3)
    a, b = lumpy(1, 2), lumpy(2, 2)
    one, other = surface(a), surface(b)
    apart = 0
    for _ in range(25):
        turn, at = Rotation.random(rng=rng).as_matrix(), rng.normal(size=3) * 110
        found = clearances([scan("a", one), scan("b", other, turn[None], at[None])], [(0, 1)])
        theirs = their_distance(a, b, turn, at)
        low, bound = found.low[0, 0, 0], found.bound[0, 0, 0]
        if theirs <= 0.0:
            assert -1e-9 < low < 0.0
            continue
        apart += 1
        assert low <= theirs + 1e-9
        assert low + bound == pytest.approx(theirs, abs=0.011 + 0.01 * theirs)
        assert bound <= 0.011 + 0.01 * theirs
        assert low + bound >= theirs - 1e-6
        gap = np.linalg.norm(found.point_a[0, 0, 0] - found.point_b[0, 0, 0])
        assert gap == pytest.approx(low + bound, abs=1e-6)
    assert apart > 8


def test_triangles_against_the_handbook():
    """Check values for triangles with (0,0,0), (1,0,0), (0,1,0): closed forms."""
    base = np.array([[[0.0, 0, 0], [1, 0, 0], [0, 1, 0]]])
    one = np.zeros(1, np.int64)
    for other, gap in (
        (base + np.array([0.0, 0, 2]), 2.0),
        (np.array([[[2.0, 0, 0], [3, 0, 0], [2, 1, 0]]]), 1.0),
        (np.array([[[1.0, 1, 0], [2, 1, 0], [1, 2, 0]]]), np.sqrt(0.5)),
        (np.array([[[0.2, 0.2, -1], [0.2, 0.2, 1], [3, 3, 1]]]), 0.0),
    ):
        assert nearest(base, other, one, one).gap == pytest.approx(gap, abs=1e-12)
        assert nearest(other, base, one, one).gap == pytest.approx(gap, abs=1e-12)


def test_the_nearest_point_of_a_triangle_is_nearest():
    rng = np.random.default_rng(0)
    triangle, point = rng.normal(size=(200, 3, 3)), rng.normal(size=(200, 3)) * 2
    foot = on_triangle(point, triangle)
    share = rng.dirichlet(np.ones(3), size=400)
    for k in range(200):
        sampled = np.linalg.norm(share @ triangle[k] - point[k], axis=1).min()
        assert np.linalg.norm(foot[k] - point[k]) <= sampled + 1e-12


def test_surfaces_that_cross_touch():
    plate = trimesh.creation.box((200.0, 200.0, 1.0))
    flat = surface(trimesh.Trimesh(plate.vertices, plate.faces[:6]))
    found = clearances([scan("a", surface(lumpy())), scan("b", flat)], [(0, 1)])
    assert -1e-6 < found.low[0, 0, 0] < 0.0


def test_one_wholly_within_a_closed_one_is_overlap():
    outer = surface(trimesh.creation.icosphere(subdivisions=2, radius=100.0), (True,))
    inner = surface(trimesh.creation.icosphere(subdivisions=1, radius=10.0))
    for parts in ([scan("a", outer), scan("b", inner)], [scan("b", inner), scan("a", outer)]):
        found = clearances(parts, [(0, 1)])
        low, bound = found.low[0, 0, 0], found.bound[0, 0, 0]
        assert low < -80.0
        assert low + bound == pytest.approx(-89.0, abs=4.0)  # at least as deep as this
    open_one = surface(trimesh.creation.icosphere(subdivisions=2, radius=100.0))
    found = clearances([scan("a", open_one), scan("b", inner)], [(0, 1)])
    assert found.low[0, 0, 0] == pytest.approx(89.0, abs=4.0)  # no inside: distance to the surface


def test_figures_hold_at_and_between_positions():
    """A scan that turns as it passes another, against ten times as many positions."""
    a, b = surface(lumpy(4, 2)), surface(lumpy(5, 2))
    nz, fine = 11, 8

    def passing(n):
        z = np.linspace(-1.0, 1.0, n)
        turn = Rotation.from_rotvec(np.radians(20) * z[:, None] * [0, 0, 1]).as_matrix()
        at = np.stack([300 * z, np.full(n, 150.0) + 25 * z**2, 20 * z], axis=1)
        return turn, at

    step = 2.0 / (nz - 1)
    turning = np.radians(20) ** 2 * 80.0  # |p''| of a point turning at 20 degrees per unit
    stray = (turning + 50.0) * step**2 / 8
    parts = [scan("a", a), scan("b", b, *passing(nz), sagitta=(stray,))]
    found = clearances(parts, [(0, 1)], (nz, 1))
    many = clearances([scan("a", a), scan("b", b, *passing((nz - 1) * fine + 1))], [(0, 1)],
                      ((nz - 1) * fine + 1, 1))  # fmt: skip
    true = many.low[0, :, 0]
    high = true + many.bound[0, :, 0]
    assert np.all(found.low[0, :, 0] <= high[::fine] + 1e-9)
    assert np.all(found.low[0, :, 0] + found.bound[0, :, 0] >= true[::fine] - 1e-9)
    for i in range(nz - 1):
        assert found.between_low[0, i, 0] <= high[fine * i : fine * i + fine + 1].min() + 1e-9
    assert found.low[0].min() == pytest.approx(true.min(), abs=1.5)
    gaps = np.linalg.norm(found.point_a - found.point_b, axis=-1)[0, :, 0]
    np.testing.assert_allclose(gaps, found.low[0, :, 0] + found.bound[0, :, 0], atol=2e-6)


def test_a_position_that_is_not_reached_is_unknown():
    at = np.array([[200.0, 0, 0], [np.nan] * 3, [220.0, 0, 0]])
    turn = np.repeat(np.eye(3)[None], 3, axis=0)
    found = clearances([scan("a", surface(lumpy())), scan("b", surface(lumpy()), turn, at)],
                       [(0, 1)], (3, 1))  # fmt: skip
    assert np.isnan(found.low[0, 1, 0])
    assert np.all(np.isfinite(found.low[0, ::2, 0]))
    assert np.isnan(found.between_low[0, :, 0]).all()
