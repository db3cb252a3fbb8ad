"""Distances against closed forms and against a general-purpose mesh library.

The closed forms are elementary geometry, worked by hand: point to box (clamp each coordinate),
point to cylinder and torus (in the half-plane through the axis), torus to plane, common normal of
two lines, axes of two capsules, pairs of triangles. The library is python-fcl (BSD-licensed), whose
distance of separated triangle meshes is right; on overlap and containment it is not, and is not
asked.
"""

from __future__ import annotations

import fcl
import numpy as np
import pytest

from kinematics.clearance import distance
from kinematics.shapes.pieces import Block, Ring, Rod, Sheet, box, point
from kinematics.shapes.profile import circle, rectangle

BOX = box([0.0, 0.0, 0.0], [10.0, 20.0, 30.0])
Z = np.array([[0.0, 0.0, 1.0]])
CYLINDER = Ring(np.zeros((1, 3)), Z, rectangle(0.0, 50.0, -100.0, 100.0))
TORUS = Ring(np.zeros((1, 3)), Z, circle(262.0, 0.0, 50.0), hollow=True)


def rod(p, q, r):
    return Rod(np.array([[p, q]], float), r)


def triangle(*corners):
    return Sheet(np.array([corners], float))


# The lines (1, 2, 3) + t (2, -1, 1) and (-1, 0, 2) + t (1, 1, -2), long enough.
SKEW_1 = rod((-1999, 1002, -997), (2001, -998, 1003), 0)
SKEW_2 = rod((-1001, -1000, 2002), (999, 1000, -1998), 0)
TRIANGLE = triangle((0, 0, 0), (1, 0, 0), (0, 1, 0))


@pytest.mark.parametrize(
    ("a", "b", "expected"),
    [
        (BOX, point([13, 24, 30]), 5.0),
        (BOX, point([13, 24, 42]), 13.0),
        (BOX, point([5, 5, 5]), -5.0),
        (CYLINDER, point([53, 0, 104]), 5.0),
        (CYLINDER, point([0, 0, 90]), -10.0),
        (TORUS, point([400, 0, 0]), 88.0),
        (TORUS, point([262, 0, 80]), 30.0),
        (TORUS, point([300, 0, 40]), np.hypot(38.0, 40.0) - 50.0),
        (SKEW_1, SKEW_2, 2.535463),
        (rod((0, 0, 0), (100, 0, 0), 10), rod((50, 30, 40), (50, 130, 40), 8), 32.0),
        (TRIANGLE, triangle((0, 0, 2), (1, 0, 2), (0, 1, 2)), 2.0),
        (TRIANGLE, triangle((2, 0, 0), (3, 0, 0), (2, 1, 0)), 1.0),
        (TRIANGLE, triangle((1, 1, 0), (2, 1, 0), (1, 2, 0)), np.sqrt(0.5)),
    ],
)  # fmt: skip
def test_closed_forms(a, b, expected):
    for first, second in ((a, b), (b, a)):
        found = distance(first, second, tol=1e-6)
        assert found.low[0] <= expected + 1e-6
        assert found.low[0] + found.bound[0] >= expected - 1e-6
        assert found.bound[0] <= 1e-6


def test_torus_from_its_middle():
    """R - r = 212, reached all round at once: as near as the usual calculation error asks."""
    found = distance(TORUS, point([0, 0, 0]))
    assert 212.0 - 0.02 <= found.low[0] <= 212.0
    assert found.low[0] + found.bound[0] == pytest.approx(212.0, abs=1e-6)


@pytest.mark.parametrize(("tilt", "expected"), [(0.0, 18.0), (3.0, 18.359062)])
def test_torus_to_plane(tilt, expected):
    """h - R sqrt(1 - (n·a)^2) - r with h 330, R 262, r 50, axis level and tilted by 3 degrees."""
    axis = np.array([[0.0, np.cos(np.radians(tilt)), np.sin(np.radians(tilt))]])
    torus = Ring(np.array([[0.0, 0.0, 330.0]]), axis, circle(262.0, 0.0, 50.0), hollow=True)
    ground = box([0.0, 0.0, -500.0], [2000.0, 2000.0, 500.0])
    found = distance(torus, ground, tol=1e-5)
    assert found.low[0] == pytest.approx(expected, abs=2e-5)
    assert found.point_b[0, 2] == pytest.approx(0.0, abs=1e-9)


def test_separated_meshes_agree_with_fcl():
    """Boxes and triangles as meshes: python-fcl's separated distance, to 1e-6 mm."""
    rng = np.random.default_rng(7)
    compared = 0
    for _ in range(60):
        a = _random_block(rng, np.zeros(3))
        b = (
            _random_block(rng, rng.normal(size=3) * 120)
            if rng.random() < 0.5
            else Sheet(rng.normal(size=(1, 3, 3)) * 40 + rng.normal(size=3) * 80)
        )
        theirs = fcl.distance(_mesh(a), _mesh(b), fcl.DistanceRequest(), fcl.DistanceResult())
        ours = distance(a, b, tol=1e-7)
        if theirs > 1e-3:
            compared += 1
            assert ours.low[0] + ours.bound[0] == pytest.approx(theirs, abs=1e-6)
            assert ours.low[0] == pytest.approx(theirs, abs=1e-6)
        else:
            assert ours.low[0] <= 1e-3
    assert compared > 30


def _random_block(rng, centre):
    turn, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    turn *= np.sign(np.linalg.det(turn))
    return box(centre, rng.uniform(3, 60, 3), turn)


def _mesh(piece: Block | Sheet):
    corners = piece.corners[0]
    faces = piece.faces if isinstance(piece, Block) else ((0, 1, 2),)
    triangles = [(f[0], f[i], f[i + 1]) for f in faces for i in range(1, len(f) - 1)]
    model = fcl.BVHModel()
    model.beginModel(len(triangles), len(corners))
    model.addSubModel(corners, np.array(triangles))
    model.endModel()
    return fcl.CollisionObject(model)
