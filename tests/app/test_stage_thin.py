"""Fine scans: drawn with fewer faces no farther off than is told, picked as they were read."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
import trimesh
from scipy.spatial import cKDTree

from app.stage import mesh
from app.stage.around import beyond, may_meet
from app.stage.pick import pick
from app.stage.scene import Scene
from app.stage.thin import thinned
from kinematics.shapes.skins import Skin

rng = np.random.default_rng(11)


@pytest.fixture(scope="module")
def ball() -> trimesh.Trimesh:
    return trimesh.creation.icosphere(subdivisions=5, radius=150.0)


@pytest.fixture(scope="module")
def sheet() -> trimesh.Trimesh:
    """A sheet of 1 mm as a scanner sees it: closed, both sides in small faces."""
    made = trimesh.creation.box((200.0, 1.0, 160.0))
    for _ in range(6):
        made = made.subdivide()
    return made


def skin_of(made: trimesh.Trimesh) -> Skin:
    vertices, faces = np.asarray(made.vertices, np.float32), np.asarray(made.faces, np.int32)
    return Skin("scan", "scan", "scan", vertices, faces, closed=False)


def test_a_thinned_ball_keeps_to_what_is_told_of_it(ball: trimesh.Trimesh) -> None:
    few = thinned(np.asarray(ball.vertices), np.asarray(ball.faces), 2000)
    assert 800 < len(few.faces) <= 2000
    spread = rng.dirichlet((1.0, 1.0, 1.0), len(few.faces))
    on_faces = np.einsum("fc,fcd->fd", spread, few.vertices[few.faces])
    assert np.abs(np.linalg.norm(on_faces, axis=1) - 150.0).max() <= few.off < 20.0
    dense = trimesh.sample.sample_surface(
        trimesh.Trimesh(few.vertices, few.faces, process=False), 60_000, seed=3
    )[0]
    assert cKDTree(dense).query(ball.vertices)[0].max() <= few.off + 3.0  # 3: between samples


@pytest.mark.parametrize("shape", ["ball", "sheet"])
def test_what_is_closed_stays_closed(shape: str, request: pytest.FixtureRequest) -> None:
    made = request.getfixturevalue(shape)
    few = thinned(np.asarray(made.vertices), np.asarray(made.faces), 1500)
    ways = Counter((int(face[k]), int(face[k - 1])) for face in few.faces for k in range(3))
    assert all(count == ways[b, a] for (a, b), count in ways.items())


def test_the_two_sides_of_a_sheet_are_not_drawn_together(sheet: trimesh.Trimesh) -> None:
    few = thinned(np.asarray(sheet.vertices), np.asarray(sheet.faces), 1500)
    made = trimesh.Trimesh(few.vertices, few.faces, process=False)
    assert made.volume == pytest.approx(200.0 * 160.0, rel=0.1)


def test_of_dust_some_grains_are_kept() -> None:
    grain = np.array([[0.0, 0, 0], [0.01, 0, 0], [0, 0.01, 0]])
    corners = (rng.uniform(0, 500, (700, 1, 3)) + grain).reshape(-1, 3)
    few = thinned(corners, np.arange(2100).reshape(-1, 3), 100)
    assert 50 < len(few.faces) <= 100
    assert len(mesh.prepare(few.vertices, few.faces).faces) == len(few.faces)


def test_a_few_faces_are_left_alone_and_fine_ones_made_ready_once(
    ball: trimesh.Trimesh, monkeypatch: pytest.MonkeyPatch
) -> None:
    skin = skin_of(ball)
    whole = mesh.drawn(skin)
    assert whole.off == 0.0
    assert len(whole.faces) == len(ball.faces)
    monkeypatch.setattr(mesh, "FINE", 3000)
    fewer = mesh.drawn(skin)
    assert fewer.off > 0.0
    assert len(fewer.faces) <= 3000
    assert not len(fewer.edges)
    assert mesh.drawn(skin) is fewer


def test_a_thinned_scan_is_picked_as_it_was_read(
    ball: trimesh.Trimesh, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(mesh, "FINE", 500)
    scene = Scene()
    scene.dress([skin_of(ball)], ())
    (piece,) = scene.pieces.values()
    turn = trimesh.transformations.random_rotation_matrix(rng.random(3))[:3, :3]
    piece.pose[:, :3], piece.pose[:, 3] = turn, (40.0, -900.0, 300.0)
    eye = np.array([500.0, 0.0, 700.0])
    normals = ball.face_normals @ turn.T
    corners = np.asarray(ball.triangles) @ turn.T + piece.pose[:, 3]
    for aim in rng.normal(size=(60, 3)) * 90.0 + piece.pose[:, 3]:
        way = (aim - eye) / np.linalg.norm(aim - eye)
        # Slow and by another way: where the line meets each face's plane, and on which side of
        # its edges that is.
        depth = np.einsum("fd,fd->f", corners[:, 0] - eye, normals) / (normals @ way)
        at = eye + depth[:, None] * way
        edges = np.roll(corners, -1, axis=1) - corners
        side = np.einsum("fcd,fd->fc", np.cross(edges, at[:, None] - corners), normals)
        met = depth[(side >= -1e-9).all(axis=1) & (depth > 0)]
        hit = pick(scene, eye, way)
        assert (hit is None) == (not len(met))
        if hit is not None:
            assert hit.depth == pytest.approx(met.min(), abs=1e-3)


def test_no_face_that_meets_a_box_is_left_out() -> None:
    corners = rng.uniform(-10, 10, (3000, 3))
    faces = rng.integers(0, 3000, (4000, 3))
    low, high = np.array([-2.0, -1.0, 0.0]), np.array([1.0, 3.0, 4.0])
    kept = np.zeros(len(faces), bool)
    kept[may_meet(beyond(corners.T, low, high), faces)] = True
    spread = rng.dirichlet((1.0, 1.0, 1.0), 200)
    inside = np.zeros(len(faces), bool)
    for weights in spread:
        at = np.einsum("c,fcd->fd", weights, corners[faces])
        inside |= ((at >= low) & (at <= high)).all(axis=1)
    assert not (inside & ~kept).any()
    assert kept.mean() < 0.8
