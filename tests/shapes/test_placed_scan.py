"""A scan turned and moved, against the same mesh exported already placed by trimesh."""

from __future__ import annotations

from pathlib import Path

import msgspec
import numpy as np
import pytest
import trimesh
from scipy.spatial import cKDTree

from kinematics.clearance import clearances
from kinematics.motion.grid import move
from kinematics.motion.linkage import corner
from kinematics.project.mirror import mirror
from kinematics.project.model import Project, Scan
from kinematics.project.unfold import unfold
from kinematics.shapes import scan as scans
from kinematics.shapes.build import parts
from kinematics.shapes.skins import Dresser
from tests.shapes.corners import TROUBLE, project

TURN, MOVE = (20.0, -35.0, 110.0), (55.0, 600.0, 640.0)


@pytest.fixture
def files(tmp_path: Path) -> Path:
    """A lopsided mesh in inches as exported, and in mm turned over, turned and moved by trimesh."""
    mesh = trimesh.creation.box((0.8, 1.6, 2.4)).subdivide()
    mesh.vertices += [0.3, -0.5, 0.2]
    mesh.vertices[:, 0] *= 1.0 + 0.2 * mesh.vertices[:, 2]
    mesh.export(tmp_path / "raw.obj", digits=16)
    placed = trimesh.Trimesh(mesh.vertices * 25.4, mesh.faces, process=False)
    placed.apply_transform(np.diag([1.0, -1.0, 1.0, 1.0]))
    placed.apply_transform(trimesh.transformations.euler_matrix(*np.radians(TURN), "sxyz"))
    placed.apply_transform(trimesh.transformations.translation_matrix(MOVE))
    placed.export(tmp_path / "placed.obj", digits=16)
    return tmp_path


def with_scan(scan: Scan) -> Project:
    before = project(TROUBLE)
    return msgspec.structs.replace(before, parts={**before.parts, "lump": scan})


def raw(body: str) -> Scan:
    return Scan(body, "raw.obj", "in", mirrored=True, turn_deg=TURN, move=MOVE)


def moved(which: Project):
    return move(corner(unfold(which)), [-20.0, 0.0, 30.0])


def measured(which: Project, folder: Path):
    """Clearance of the lump to everything else, over the travel and between."""
    made = parts(which, moved(which), folder)
    at = next(k for k, part in enumerate(made) if part.name == "lump")
    return clearances(made, [(at, k) for k in range(len(made)) if k != at], (3, 1), 1e-9)


@pytest.mark.parametrize("body", ["chassis", "upright"])
def test_a_placed_scan_is_the_mesh_exported_placed(files: Path, body: str) -> None:
    ours = measured(with_scan(raw(body)), files)
    other = measured(with_scan(Scan(body, "placed.obj", "mm")), files)
    assert ours.low.min() < 0.0 < ours.low.max()  # touching some, clear of others
    clear = other.low > 0.0
    np.testing.assert_allclose(ours.low[clear], other.low[clear], rtol=0, atol=1e-9)
    # How deep it touches is found in the scan's own boxes, to the same certified bound.
    np.testing.assert_allclose(ours.low, other.low, rtol=0, atol=0.02)


@pytest.mark.parametrize("body", ["chassis", "upright"])
def test_it_is_drawn_where_it_is_checked(files: Path, body: str) -> None:
    drawn = []
    for scan in (raw(body), Scan(body, "placed.obj", "mm")):
        which = with_scan(scan)
        dresser = Dresser(which, files)
        skin = next(s for s in dresser.skins if s.name == "lump")
        at = dresser.place(moved(which))["lump"]
        drawn.append(skin.vertices @ at.rotation[2].T + at.origin[2])
    assert len(drawn[0]) == len(drawn[1])
    for one, other in (drawn, drawn[::-1]):  # each corner has its fellow; skins are single floats
        assert cKDTree(one).query(other)[0].max() < 1e-4


@pytest.mark.parametrize("body", ["chassis", "upright"])
def test_the_other_side_is_its_exact_mirror_image(files: Path, body: str) -> None:
    which = with_scan(raw(body))
    here, there = (measured(each, files).low for each in (which, mirror(which)))
    clear = here > 0.0
    np.testing.assert_allclose(here[clear], there[clear], rtol=0, atol=1e-9)
    np.testing.assert_allclose(here, there, rtol=0, atol=0.02)


def test_placing_it_otherwise_reads_and_sorts_nothing_again(files: Path, monkeypatch) -> None:
    scan = raw("chassis")
    first = scans.scan_of(scan, files)
    tree = first.surface.tree
    skin = next(s for s in Dresser(with_scan(scan), files).skins if s.name == "lump")
    monkeypatch.setattr(scans, "read_scan", None)
    other = msgspec.structs.replace(scan, turn_deg=(0.0, 0.0, 1.0), move=(1.0, 2.0, 3.0))
    assert scans.scan_of(other, files).surface.tree is tree
    again = next(s for s in Dresser(with_scan(other), files).skins if s.name == "lump")
    assert again is skin
