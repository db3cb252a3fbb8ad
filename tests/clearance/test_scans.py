"""Scans: distance to their surface against python-fcl, insides, motion, size."""

from __future__ import annotations

import fcl
import numpy as np
import pytest
import trimesh

from kinematics.clearance import clearances, distance
from kinematics.clearance.winding import holds
from kinematics.shapes.pieces import Mesh, Part, Ring, Rod, Sheet, Surface, box
from kinematics.shapes.profile import circle


def scan(surface, rotation=None, position=None):
    turn = np.eye(3)[None] if rotation is None else rotation
    at = np.zeros((1, 3)) if position is None else position
    return Part("scan", "chassis", "scan", (Mesh(surface, turn, at),))


def part(piece):
    return Part("part", "wheel", "arm", (piece,))


def lumpy(seed=0, subdivisions=3):
    rng = np.random.default_rng(seed)
    ball = trimesh.creation.icosphere(subdivisions=subdivisions, radius=60.0)
    ball.vertices *= 1.0 + 0.15 * rng.random((len(ball.vertices), 1))
    return ball


def test_distance_to_a_box_agrees_with_fcl():
    rng = np.random.default_rng(5)
    ball = lumpy()
    surface = Surface(np.ascontiguousarray(ball.triangles))
    model = fcl.BVHModel()
    model.beginModel(len(ball.faces), len(ball.vertices))
    model.addSubModel(ball.vertices, ball.faces)
    model.endModel()
    for _ in range(20):
        block = box(rng.normal(size=3) * 120, rng.uniform(2, 30, 3))
        triangles = [(f[0], f[i], f[i + 1]) for f in block.faces for i in (1, 2)]
        other = fcl.BVHModel()
        other.beginModel(12, 8)
        other.addSubModel(block.corners[0], np.array(triangles))
        other.endModel()
        theirs = fcl.distance(
            fcl.CollisionObject(model),
            fcl.CollisionObject(other),
            fcl.DistanceRequest(),
            fcl.DistanceResult(),
        )
        found = clearances([scan(surface), part(block)], [(0, 1)], tol=1e-7)
        if theirs > 1e-3:
            assert found.low[0, 0, 0] == pytest.approx(theirs, abs=1e-6)
            apart = np.linalg.norm(found.point_a - found.point_b)
            assert apart == pytest.approx(theirs, abs=1e-6)
        else:
            assert found.low[0, 0, 0] < 1e-3


def test_inside_of_a_closed_scan_is_overlap_and_of_an_open_one_is_not_known():
    ball = lumpy()
    rod = part(Rod(np.array([[[0.0, 0, 0], [10.0, 0, 0]]]), 5.0))
    triangles = np.ascontiguousarray(ball.triangles)
    inside = clearances([scan(Surface(triangles, None, (True,))), rod], [(0, 1)])
    surface = clearances([scan(Surface(triangles)), rod], [(0, 1)])
    depth = surface.low[0, 0, 0]
    assert 40.0 < depth < 56.0
    assert inside.low[0, 0, 0] <= -depth - 5.0
    assert inside.low[0, 0, 0] + inside.bound[0, 0, 0] <= -depth + 1e-6
    assert holds(Surface(triangles, None, (True,)), np.array([0.0, 50.0, 0]))
    assert not holds(Surface(triangles, None, (True,)), np.array([0.0, 75.0, 0]))


def test_moving_scan_and_ring_against_triangle_by_triangle():
    ball = lumpy(1, 1)
    triangles = np.ascontiguousarray(ball.triangles)
    angles = np.array([0.0, 0.02, 0.04])
    turn = np.array([trimesh.transformations.rotation_matrix(a, [0, 0, 1])[:3, :3] for a in angles])
    at = np.array([[150.0, 0, 0], [151.0, 0, 0], [152.0, 0, 0]])
    ring = Ring(np.zeros((1, 3)), np.array([[0.0, 0, 1]]), circle(60, 0, 15), hollow=True)
    for piece in (ring, box([20, 10, 0], [30, 20, 10])):
        found = clearances(
            [part(piece), scan(Surface(triangles), turn, at)], [(0, 1)], (3, 1), tol=0.001
        )
        for i in range(3):
            moved = triangles @ turn[i].T + at[i]
            lowest = min(distance(piece, Sheet(t[None]), 0.001).low[0] for t in moved)
            assert found.low[0, i, 0] == pytest.approx(lowest, abs=0.003)
        assert np.all(
            found.between_low[0, :, 0] <= np.minimum(*found.low[0, [[0, 1], [1, 2]], 0].T)
        )
        assert np.all(found.between_low[0, :, 0] > found.low[0].min() - 2.5)


def test_a_scan_needs_triangles():
    with pytest.raises(ValueError, match="at least one triangle"):
        Surface(np.zeros((0, 3, 3)))
    with pytest.raises(ValueError, match="finite"):
        Surface(np.full((1, 3, 3), np.nan))
