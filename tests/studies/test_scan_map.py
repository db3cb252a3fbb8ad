"""The map with scans in the way, against the corner rebuilt with its mount at each place."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest
import trimesh

from app.resources import assets
from kinematics.clearance import Cancelled
from kinematics.project.files import read
from kinematics.project.furnish import add_scan
from kinematics.project.model import Box, Project
from kinematics.studies.bench import Bench, troubles
from kinematics.studies.cures import Choice
from kinematics.studies.cures_coilover import moved_mount
from kinematics.studies.fixes import MOVED, fixes
from kinematics.studies.study import Setting, look, set_up
from kinematics.studies.top_map import TopMap, top_map
from tests.studies.test_top_map import affected

OFFSETS = np.linspace(-24.0, 24.0, 5)


def example(name: str) -> Project:
    return read(assets() / "examples" / f"{name}.corner.json")


def about_the_coilover(project: Project, radius: float, n: int = 10) -> trimesh.Trimesh:
    """Part of a tube about the coilover, lumpy and open, 2 n^2 triangles."""
    assert project.coilover is not None
    foot, top = (np.array(project.points[end.point])
                 for end in (project.coilover.foot, project.coilover.top))  # fmt: skip
    length = np.linalg.norm(top - foot)
    up = (top - foot) / length
    side = np.cross(up, [1.0, 0.0, 0.0])
    side /= np.linalg.norm(side)
    angle, high = np.meshgrid(np.linspace(-2.4, 2.4, n + 1), np.linspace(0.25, 1.2, n + 1))
    r = radius + 6.0 * np.sin(5.0 * angle + 9.0 * high) + 3.0 * np.cos(9.0 * angle)
    way = np.cos(angle)[..., None] * np.cross(side, up) + np.sin(angle)[..., None] * side
    points = foot + r[..., None] * way + (high * length)[..., None] * up
    k = np.arange((n + 1) ** 2).reshape(n + 1, n + 1)
    halves = ([k[:-1, :-1], k[1:, :-1], k[1:, 1:]], [k[:-1, :-1], k[1:, 1:], k[:-1, 1:]])
    faces = np.concatenate([np.stack(half, axis=-1).reshape(-1, 3) for half in halves])
    return trimesh.Trimesh(points.reshape(-1, 3), faces, process=False)


def scanned(folder, name: str, mesh: trimesh.Trimesh, body: str = "chassis") -> Setting:
    mesh.export(folder / "scan.stl")
    made, part = add_scan(example(name), "scan.stl", "mm", body)
    assert part == "scan"
    return set_up(made, folder)


def checked(setting: Setting, plan: TopMap, at, with_tower) -> tuple[float, float]:
    """The lowest clearance and margin of the corner rebuilt with its mount at a place."""
    project = moved_mount(setting.project, *at, with_tower)
    moved = set_up(project, setting.folder)
    inside = (plan.travels > moved.range[0]) & (plan.travels < moved.range[1])
    travel = np.sort(np.concatenate([plan.travels[inside], moved.range]))
    low = look(moved, travel, np.zeros(1)).clearances.low[:, :, 0]
    pairs = sorted(affected(setting, with_tower))
    return float(np.nanmin(low[pairs])), float(np.nanmin((low - moved.rule[:, None])[pairs]))


def agrees(setting: Setting, plan: TopMap, with_tower: bool, seed: int) -> None:
    """Rebuild the corner at some places where a scan is the nearest, and at one any other."""
    rng = np.random.default_rng(seed)
    named = np.array([["scan" in setting.names[k] for k in row] for row in plan.margin_pair])
    places = np.argwhere(named)
    assert len(places) > 3
    for row, column in [*rng.permutation(places)[:3], (2, 2)]:
        found = plan.clearance[row, column], plan.margin[row, column]
        at = plan.along[row], plan.across[column], plan.height
        # Both figures are lower bounds within 0.02 mm of the truth.
        assert found == pytest.approx(checked(setting, plan, at, with_tower), abs=0.02)


@pytest.mark.parametrize("with_tower", [True, False])
def test_a_scan_of_the_car_equals_the_corner_rebuilt(tmp_path, with_tower) -> None:
    mesh = about_the_coilover(example("rear-in-trouble"), 74.0)
    setting = scanned(tmp_path, "rear-in-trouble", mesh)
    plan = top_map(setting, OFFSETS, OFFSETS + 1.0, 3.0, with_tower, travels=9)
    agrees(setting, plan, with_tower, 1)
    assert plan.clearance.min() < 0.0 < plan.clearance.max()


@pytest.mark.parametrize("with_tower", [True, False])
def test_a_scan_that_moves_equals_the_corner_rebuilt(tmp_path, with_tower) -> None:
    """One of the upright's, before coilover and tower that go along."""
    mesh = about_the_coilover(example("rear-in-trouble"), 74.0)
    setting = scanned(tmp_path, "rear-in-trouble", mesh, "upright")
    plan = top_map(setting, OFFSETS, OFFSETS + 1.0, 3.0, with_tower, travels=9)
    agrees(setting, plan, with_tower, 2)


def test_a_strut_with_a_scan_of_the_car_equals_the_corner_rebuilt(tmp_path) -> None:
    mesh = about_the_coilover(example("front-strut"), 70.0)
    setting = scanned(tmp_path, "front-strut", mesh)
    plan = top_map(setting, 0.5 * OFFSETS, 0.5 * OFFSETS, travels=9)
    agrees(setting, plan, True, 3)


@pytest.mark.parametrize("with_tower", [True, False])
def test_a_strut_with_a_scan_of_its_upright_equals_each_place_by_itself(
    tmp_path, with_tower, monkeypatch
) -> None:
    """A map of many places, and one of each alone."""
    mesh = about_the_coilover(example("front-strut"), 100.0)
    setting = scanned(tmp_path, "front-strut", mesh, "upright")
    plan = top_map(setting, 0.5 * OFFSETS, 0.5 * OFFSETS, 2.0, with_tower, travels=9)
    names = {setting.names[k] for k in plan.margin_pair.ravel()}
    assert any("scan" in name for name in names)
    for row, column in ((0, 0), (1, 3), (4, 2)):
        alone = top_map(setting, plan.across[[column]], plan.along[[row]], 2.0, with_tower,
                        travels=9)  # fmt: skip
        assert plan.margin[row, column] == pytest.approx(alone.margin[0, 0], abs=0.03)


def test_a_strut_with_a_scan_of_its_upright_equals_the_corner_rebuilt(tmp_path) -> None:
    """The scan is turned and moved with the upright, as it would be measured there."""
    mesh = about_the_coilover(example("front-strut"), 100.0)
    setting = scanned(tmp_path, "front-strut", mesh, "upright")
    plan = top_map(setting, 0.5 * OFFSETS, 0.5 * OFFSETS, 2.0, True, travels=9)
    agrees(setting, plan, True, 4)


def test_a_scan_of_a_box_equals_the_box(tmp_path) -> None:
    project = example("rear-in-trouble")
    least, most = (150.0, 480.0, 250.0), (170.0, 600.0, 600.0)
    mesh = trimesh.creation.box(bounds=(least, most))
    scan = scanned(tmp_path, "rear-in-trouble", mesh)
    parts = {**project.parts, "scan": Box(body="chassis", least=least, most=most, is_a="chassis")}
    box = set_up(msgspec.structs.replace(project, parts=parts))
    ours, other = (top_map(s, OFFSETS, OFFSETS, 0.0, True, travels=9) for s in (scan, box))
    named = {scan.names[k] for k in ours.margin_pair.ravel()}
    assert any("scan" in name for name in named)
    clear = other.clearance > 0.0
    assert clear.sum() > 3
    np.testing.assert_allclose(ours.clearance[clear], other.clearance[clear], atol=0.02)
    np.testing.assert_allclose(ours.margin[clear], other.margin[clear], atol=0.02)


def test_cancel_stops_and_progress_rises(tmp_path) -> None:
    setting = scanned(
        tmp_path, "rear-in-trouble", about_the_coilover(example("rear-in-trouble"), 74.0)
    )
    told: list[float] = []
    first = top_map(setting, OFFSETS, OFFSETS, travels=9, progress=told.append, threads=2)
    assert told == sorted(told)
    assert told[-1] == 1.0
    again = top_map(setting, OFFSETS, OFFSETS, travels=9, threads=1)
    np.testing.assert_allclose(again.margin, first.margin, atol=0.02)
    with pytest.raises(Cancelled):
        top_map(setting, OFFSETS, OFFSETS, travels=9, cancelled=lambda: len(told) > 0)


def test_the_fix_that_moves_the_mount_clears_a_scan(tmp_path, monkeypatch) -> None:
    """A car put right, and a sheet scanned just behind its spring."""
    project = example("rear-put-right")
    assert project.coilover is not None
    x, y, z = (float(v) for v in project.points[project.coilover.foot.point])
    mesh = trimesh.creation.box(bounds=((x - 60, y - 70, z + 250), (x - 56, y + 30, z + 420)))
    setting = scanned(tmp_path, "rear-put-right", mesh)
    monkeypatch.setattr("kinematics.studies.fix_places.REACH", 12)
    was = Bench(setting.project, tmp_path)
    assert any("scan" in names for names in was.troubles)
    found = fixes(setting.project, folder=tmp_path, choice=Choice(only=frozenset({MOVED})))
    kept = [remedy for remedy in found if remedy.rules is not None]
    assert kept
    for remedy in kept:
        assert not troubles(Bench(remedy.rules.project, tmp_path).gaps)
