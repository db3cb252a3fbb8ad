"""Meshes dropped on the window: unit asked for, size shown, laid beside the project, undone."""

from __future__ import annotations

import math
import shutil
import threading
import time
from pathlib import Path

import msgspec
import numpy as np
import pytest
import trimesh
from PySide6.QtCore import QMimeData, QPointF, Qt, QTimer, QUrl
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton

from app.document import aside, live
from app.document.aside import Progress
from app.stage import mesh
from app.window import importing
from app.window.along import bring_along
from app.window.importing import ScanCard
from kinematics.errors import ProjectError
from kinematics.shapes import pieces, scan
from kinematics.shapes.scan import read_scan
from tests.app.conftest import Driver

FINE = 16_500  # faces: no more are on the corner as it is


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
    assert card.place.text() == "x 0, y 3810, z 10160 mm, as in its file"
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
    brought, points = document.project, piece.points()
    for _ in range(2):
        document.stack.undo()
        assert document.project == before
        assert "tank" not in driver.stage.scene.pieces
        document.stack.redo()
        assert document.project == brought
        assert np.allclose(driver.stage.scene.pieces["tank"].points(), points, atol=1e-6)
        assert (tmp_path / "tank.stl").exists()


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


class Stopper:
    """Presses Stop on the card that tells of work, once a step of it has begun."""

    def __init__(self, driver: Driver, monkeypatch: pytest.MonkeyPatch) -> None:
        self.driver, self.monkeypatch = driver, monkeypatch
        self.begun, self.go_on, self.threads = threading.Event(), threading.Event(), []
        self.took = self._pressed = math.nan
        self._look = QTimer(interval=5)
        self._look.timeout.connect(self._press)

    def hold(self, where: object, what: str) -> None:
        """Let this step wait until the test is over, as a large scan would."""
        really = getattr(where, what)

        def held(*args: object, **kwargs: object) -> object:
            self.threads.append(threading.current_thread())
            self.begun.set()
            self.go_on.wait(20.0)
            return really(*args, **kwargs)

        self.monkeypatch.setattr(where, what, held)

    def bring_in(self, path: Path) -> bool:
        """Bring a mesh in while a hand presses Stop."""
        self._look.start()
        try:
            done = importing.bring_in(self.driver.window, path)
            self.took = time.perf_counter() - self._pressed
        finally:
            self._look.stop()
            self.go_on.set()
        for thread in self.threads:
            thread.join(20.0)
        return done

    def _press(self) -> None:
        cards = self.driver.window.findChildren(Progress)
        if self.begun.is_set() and cards and cards[0].isVisible():
            self._look.stop()
            self._pressed = time.perf_counter()
            QTest.mouseClick(cards[0].findChild(QPushButton), Qt.MouseButton.LeftButton)


@pytest.fixture
def saved(driver: Driver, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder of the window's project, into which whatever is dropped is brought."""
    folder = tmp_path / "car"
    folder.mkdir()
    assert driver.document.save(folder / "car.corner.json")
    monkeypatch.setattr(ScanCard, "ask", lambda self: ("mm", "chassis"))
    scan._remembered.cache_clear()
    return folder


@pytest.fixture
def ball_file(tmp_path: Path) -> Path:
    """A ball of more triangles than all the rest of the corner, clear of it."""
    path = tmp_path / "ball.stl"
    made = trimesh.creation.icosphere(subdivisions=5, radius=60.0)
    made.apply_translation((0, 150, 400))
    made.export(path)
    return path


def rest(driver: Driver) -> None:
    """No study of what a test has left behind."""
    driver.document._later.stop()
    driver.document.jobs.cancel()


@pytest.mark.parametrize(
    ("where", "what"),
    [
        (importing, "read_scan"),
        (shutil, "copyfile"),
        (scan, "read_scan"),
        (pieces, "grow"),
        (mesh, "thinned"),
    ],
    ids=["reading", "copying", "reading again", "sorting", "drawing"],
)
def test_a_stop_at_any_step_leaves_all_as_it_was(
    driver: Driver, ball_file: Path, saved: Path, monkeypatch: pytest.MonkeyPatch,
    where: object, what: str,
) -> None:  # fmt: skip
    monkeypatch.setattr(mesh, "FINE", FINE)
    monkeypatch.setattr(aside, "SOON", 20)
    project, before = driver.document.project, sorted(saved.iterdir())
    stopper = Stopper(driver, monkeypatch)
    stopper.hold(where, what)
    assert not stopper.bring_in(ball_file)
    assert stopper.took < 0.2
    assert threading.main_thread() not in stopper.threads
    assert sorted(saved.iterdir()) == before
    assert driver.document.project is project
    assert not driver.document.stack.canUndo()
    assert ball_file.exists()


def test_the_mount_slides_at_once_after_a_scan_came(
    driver: Driver, box_file: Path, saved: Path
) -> None:
    """What is known of the corner is not yet of the one with the scan, whose folder is new too."""
    document, stage = driver.document, driver.stage
    assert importing.bring_in(driver.window, box_file)
    assert document.study.project is not document.project
    document.set_travel(20.0)
    assert document.pose.project is document.project
    driver.window.enter("Move")
    at = driver.spot(live.top_mount(document.project))
    driver.press(at)
    driver.move(at + QPointF(8.0, 3.0))
    assert "tank" in stage.scene.pieces
    assert document.pose.project is document.project
    driver.drop(at + QPointF(8.0, 3.0))
    rest(driver)


def test_scans_go_along_into_another_folder(
    driver: Driver, box_file: Path, saved: Path, tmp_path: Path
) -> None:
    document, away = driver.document, tmp_path / "elsewhere"
    away.mkdir()
    assert importing.bring_in(driver.window, box_file)
    document.stack.undo()  # the scan of a step that may be done again goes along too
    (away / "tank.stl").write_text("another mesh")
    with pytest.raises(ProjectError, match=r'Another "tank\.stl"'):
        bring_along(driver.window, away / "car.corner.json")
    (away / "tank.stl").unlink()
    assert bring_along(driver.window, away / "car.corner.json")
    assert document.save(away / "car.corner.json")
    assert (away / "tank.stl").read_bytes() == (saved / "tank.stl").read_bytes()
    for path in saved.iterdir():
        path.unlink()
    scan._remembered.cache_clear()
    document.stack.redo()
    assert "tank" in document.project.parts
    rest(driver)


def test_a_refused_scan_leaves_no_copy(
    driver: Driver, box_file: Path, saved: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    said: list[str] = []
    driver.document.said.connect(said.append)
    monkeypatch.setattr(ScanCard, "ask", lambda self: ("m", "chassis"))  # 300 m: too far
    project, before = driver.document.project, sorted(saved.iterdir())
    assert not importing.bring_in(driver.window, box_file)
    assert "choose another unit" in said[-1]
    assert sorted(saved.iterdir()) == before
    assert driver.document.project is project


def test_what_takes_long_runs_beside_the_screens_thread(
    driver: Driver, ball_file: Path, saved: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And once: neither the edit, nor its undo and redo, nor opening it work any of it out anew."""
    monkeypatch.setattr(mesh, "FINE", FINE)
    document, ran = driver.document, []

    def note(where: object, what: str) -> None:
        really = getattr(where, what)

        def noted(*args: object, **more: object) -> object:
            ran.append((what, threading.current_thread() is threading.main_thread()))
            return really(*args, **more)

        monkeypatch.setattr(where, what, noted)

    for where, what in ((scan, "read_scan"), (pieces, "grow"), (mesh, "thinned")):
        note(where, what)
    once = [("read_scan", False), ("grow", False), ("thinned", False)]
    assert importing.bring_in(driver.window, ball_file)
    piece = driver.stage.scene.pieces["ball"]
    assert len(piece.mesh.faces) <= FINE < len(piece.skin.faces)
    assert "all its 20,480 triangles" in driver.window.notice.sentence
    document.stack.undo()
    assert "ball" not in driver.stage.scene.pieces
    document.stack.redo()
    assert driver.stage.scene.pieces["ball"].mesh is piece.mesh
    assert document.edit(msgspec.structs.replace(document.project, title="Another"), "rename")
    assert ran == once
    assert document.save(saved / "car.corner.json")
    scan._remembered.cache_clear()
    assert driver.window.open(saved / "car.corner.json")
    assert "ball" in driver.stage.scene.pieces
    assert ran == 2 * once
    rest(driver)


def test_a_project_whose_scan_is_gone_opens_says_so_and_can_be_mended(
    driver: Driver, box_file: Path, saved: Path
) -> None:
    assert importing.bring_in(driver.window, box_file)
    assert driver.document.save(saved / "car.corner.json")
    (saved / "tank.stl").unlink()
    said: list[str] = []
    driver.document.said.connect(said.append)
    assert driver.window.open(saved / "car.corner.json")
    assert "tank.stl" in said[0]
    project = driver.document.project
    others = {name: part for name, part in project.parts.items() if name != "tank"}
    assert driver.document.edit(msgspec.structs.replace(project, parts=others), "remove tank")
    assert "tyre" in driver.stage.scene.pieces
    rest(driver)


def test_a_dropped_file_of_another_kind_is_told_so(driver: Driver, tmp_path: Path) -> None:
    before = driver.document.project
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(tmp_path / "bracket.step"))])
    importing.take(driver.window, data)
    assert "bracket.step" in driver.window.notice.sentence
    assert "STL, OBJ or PLY" in driver.window.notice.sentence
    assert driver.document.project is before
