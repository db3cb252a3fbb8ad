"""What is handed to the driver: all that can be seen, and about a mark all within its reach."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
import trimesh

from app.stage import rings, shade
from app.stage.buffers import FLAT_SLACK, SLACK, Batch, Choice
from app.stage.camera import Camera
from app.stage.mesh import prepare
from app.stage.scene import Piece
from app.stage.sides import creases_of, eyes_of, faces_of
from kinematics.shapes.skins import Skin

rng = np.random.default_rng(7)


def piece(mesh: trimesh.Trimesh, name: str, along: np.ndarray | None = None) -> Piece:
    vertices = np.asarray(mesh.vertices, np.float32)
    skin = Skin(name, name, "link", vertices, np.asarray(mesh.faces, np.int32), along)
    return Piece(name, name, "link", prepare(vertices, skin.faces, along), skin, True)


@pytest.fixture(scope="module")
def pieces() -> tuple[Piece, ...]:
    """A ball, a box and a drum that stretches upwards."""
    drum = trimesh.creation.cylinder(radius=40.0, height=200.0, sections=24)
    along = (np.asarray(drum.vertices)[:, 2] / 200.0 + 0.5).astype(np.float32)
    made = (
        piece(trimesh.creation.icosphere(subdivisions=3, radius=90.0), "ball"),
        piece(trimesh.creation.box((120.0, 60.0, 30.0)), "box"),
        piece(drum, "drum", along),
    )
    for k, each in enumerate(made):
        each.pose[:, 3] = (300.0 * k, 40.0, 250.0)
    return made


def front(batch: tuple[Piece, ...], camera: Camera) -> np.ndarray:
    """Which faces look at the eye, from their corners where they stand."""
    found = []
    for each in batch:
        place = each.mesh.position.astype(float)
        place[:, 2] += each.mesh.along * each.stretch
        a, b, c = ((place @ each.pose[:, :3].T + each.pose[:, 3])[each.mesh.faces[:, k]]
                   for k in range(3))  # fmt: skip
        normal = np.cross(b - a, c - a)
        way = camera.axes[2] if camera.flat else camera.eye - a
        found.append(np.einsum("ij,ij->i", normal, np.broadcast_to(way, a.shape)) > 0)
    return np.concatenate(found)


@pytest.mark.parametrize("flat", [False, True])
def test_a_kept_choice_holds_all_that_is_seen_while_it_serves(
    pieces: tuple[Piece, ...], flat: bool
) -> None:
    camera = Camera(flat=flat)
    faces = faces_of(pieces, [0, 10_000, 20_000])
    everything = [tuple(row) for row in faces.index]
    slack = FLAT_SLACK if flat else SLACK
    eyes = eyes_of(pieces, camera)
    stretch = np.zeros(len(pieces), np.float32)
    choice = Choice(camera, (), eyes, stretch, slack)
    chosen, _, rim = faces.chosen(pieces, eyes, flat, slack)
    drawn, outlined = ({tuple(row) for row in part} for part in (chosen, rim))
    served = 0
    for _ in range(40):
        turn = trimesh.transformations.random_rotation_matrix(rng.random(3))
        small = trimesh.transformations.rotation_matrix(rng.uniform(0, 0.05), turn[:3, 0])
        kept = [p.pose.copy() for p in pieces]
        for each in pieces:
            each.pose[:, :3] = small[:3, :3]
            each.pose[:, 3] += rng.uniform(-30, 30, 3)
        now = eyes_of(pieces, camera)
        if choice.serves(now, stretch):
            served += 1
            seen = front(pieces, camera)
            assert all(everything[k] in drawn for k in np.flatnonzero(seen))
            assert {row for k, row in enumerate(everything) if not seen[k]} & outlined
        for each, pose in zip(pieces, kept, strict=True):
            each.pose[:] = pose
    assert served > 3


def test_a_choice_does_not_serve_an_eye_that_came_too_far(pieces: tuple[Piece, ...]) -> None:
    eyes = eyes_of(pieces, Camera())
    still = np.zeros(len(pieces), np.float32)
    choice = Choice(Camera(), (), eyes, still, SLACK)
    off = np.zeros_like(eyes)
    off[1, 0] = SLACK * 1.01
    assert choice.serves(eyes, still)
    assert not choice.serves(eyes + off, still)
    assert not choice.serves(eyes, still + np.float32(SLACK))


def test_all_within_a_marks_reach_wears_its_rings(pieces: tuple[Piece, ...]) -> None:
    faces = faces_of(pieces, [0, 10_000, 20_000])
    batch = cast(Batch, SimpleNamespace(
        pieces=pieces, faces=faces, creases=creases_of(pieces), first_edge=100
    ))  # fmt: skip
    place = np.array([85.0, 10.0, 5.0])
    found, creases = rings.about(batch, 0, place)
    mesh: Any = pieces[0].mesh
    corners = mesh.position[mesh.faces]
    near = np.linalg.norm(corners - place, axis=2).min(axis=1) < shade.MARK_REACH
    assert 0 < near.sum() < len(found) < len(corners)
    assert {tuple(row) for row in mesh.faces[near]} <= {tuple(row) for row in found}
    assert creases.size == 6 * len(creases)
    # One that stretches is drawn whole: where its faces are depends on how far.
    assert len(rings.about(batch, 2, place)[0]) == len(pieces[2].mesh.faces)
