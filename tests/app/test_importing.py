"""Meshes dropped on the window: unit asked for, size shown, laid beside the project, undone."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import trimesh
from PySide6.QtCore import QMimeData, QUrl

from app.document import importing
from app.document.importing import ScanCard
from kinematics.shapes.scan import read_scan
from tests.app.conftest import Driver


@pytest.fixture
def box_file(tmp_path: Path) -> Path:
    """A closed box of 100 x 200 x 300 in the file's unit, inboard of the corner."""
    mesh = trimesh.creation.box(extents=(100, 200, 300))
    mesh.apply_translation((0, 150, 400))
    path = tmp_path / "away" / "tank.stl"
    path.parent.mkdir()
    mesh.export(path)
    return path


def test_the_size_is_told_in_the_unit_chosen(driver: Driver, box_file: Path) -> None:
    mesh = read_scan(box_file, "mm")
    card = ScanCard("tank.stl", mesh, ["chassis", "upright"], driver.window)
    assert card.unit.currentText() == "mm"
    assert card.told.text().startswith("100 x 200 x 300 mm (3.94 x 7.87 x 11.8 in)")
    card.unit.setCurrentText("in")
    assert card.told.text().startswith("2540 x 5080 x 7620 mm (100 x 200 x 300 in)")
    card.deleteLater()


def test_a_file_in_metres_is_known_by_its_size(tmp_path: Path) -> None:
    path = tmp_path / "small.stl"
    trimesh.creation.box(extents=(0.1, 0.2, 0.3)).export(path)
    assert importing.likely_unit(read_scan(path, "mm")) == "m"


def test_a_dropped_mesh_is_brought_in_checked_and_undone(
    driver: Driver, box_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    document = driver.document
    assert document.save(tmp_path / "car.corner.json")
    before = document.project
    monkeypatch.setattr(ScanCard, "ask", lambda self: (self.unit.currentText(), "chassis"))
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(box_file))])
    assert importing.dropped(data) == [box_file]
    importing.take(driver.window, data)
    assert (tmp_path / "tank.stl").read_bytes() == box_file.read_bytes()
    assert document.project.parts["tank"].file == "tank.stl"
    driver.settle()
    piece = driver.stage.scene.pieces["tank"]
    assert piece.selected
    assert np.allclose(np.ptp(piece.points(), axis=0), (100, 200, 300), atol=1e-2)
    assert any("tank" in names for names in document.study.names)
    document.stack.undo()
    assert document.project == before
    assert "tank" not in driver.stage.scene.pieces


def test_a_mesh_that_is_none_gets_a_sentence(driver: Driver, tmp_path: Path) -> None:
    assert driver.document.save(tmp_path / "car.corner.json")
    path = tmp_path / "broken.stl"
    path.write_bytes(b"not a mesh at all")
    said: list[str] = []
    driver.document.said.connect(said.append)
    before = driver.document.project
    assert not importing.bring_in(driver.window, path)
    assert said
    assert "broken.stl" in said[-1]
    assert driver.document.project is before


def test_a_file_is_read_before_anything_is_asked(
    driver: Driver, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[bool] = []
    monkeypatch.setattr(driver.window.actions_, "save_as", lambda: bool(asked.append(True)))
    path = tmp_path / "broken.stl"
    path.write_bytes(b"not a mesh at all")
    monkeypatch.setattr(driver.document, "path", None)
    assert not importing.bring_in(driver.window, path)
    assert not asked
    trimesh.creation.box(extents=(100, 200, 300)).export(path)
    assert not importing.bring_in(driver.window, path)
    assert asked
