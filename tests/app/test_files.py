"""Opening, saving, asking, recovering and exporting, as a user meets them."""

from __future__ import annotations

import csv
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
import trimesh
from msgspec.structs import replace
from pypdf import PdfReader
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QGuiApplication, QImage
from PySide6.QtPrintSupport import QPrintDialog
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QMessageBox

from app import examples
from app.document import live, recents, recovery
from app.paper.media import Page
from app.paper.printing import ask_and_print
from app.window import importing
from app.window.importing import ScanCard
from kinematics.project import files
from kinematics.project.model import Scan
from kinematics.shapes.scan import read_scan
from tests.app.census import forget
from tests.app.conftest import Driver

ROOT = Path(__file__).parent.parent.parent


def slide(driver: Driver) -> None:
    document = driver.document
    assert document.edit(document.slide_mount(document.project, -12.0, -16.0), "slide")


def test_save_and_open_again(driver: Driver, tmp_path: Path) -> None:
    document = driver.document
    slide(driver)
    assert document.dirty
    path = tmp_path / "mine.corner.json"
    assert document.save(path)
    assert not document.dirty
    assert files.read(path) == document.project
    assert recents.recent()[0] == path
    driver.open("front-strut")
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path))])
    assert importing.dropped(data) == [path]
    copy, left, none = Qt.DropAction.CopyAction, Qt.MouseButton.LeftButton, Qt.KeyboardModifier(0)
    enter = QDragEnterEvent(QPoint(300, 300), copy, data, left, none)
    enter.ignore()
    driver.window.dragEnterEvent(enter)
    assert enter.isAccepted()
    driver.window.dropEvent(QDropEvent(QPointF(300, 300), copy, data, left, none))
    driver.settle()
    assert document.path == path
    assert live.top_mount(document.project)[0] == pytest.approx(76.0)


def test_a_bad_file_gets_a_sentence_and_changes_nothing(driver: Driver, tmp_path: Path) -> None:
    project = driver.document.project
    path = tmp_path / "bad.corner.json"
    path.write_text('{"clearstroke": 1, "points": NaN}')
    assert not driver.window.open(path)
    assert driver.document.project is project
    assert driver.window.notice.isVisible()
    assert "Traceback" not in driver.window.notice.words
    driver.window.notice.put_away()


def test_scans_are_found_beside_the_project(driver: Driver, tmp_path: Path) -> None:
    ball = trimesh.creation.icosphere(radius=15.0)
    (tmp_path / "scans").mkdir()
    ball.apply_translation((0.0, 560.0, 700.0)).export(tmp_path / "scans" / "arch.stl")
    project = driver.document.project
    scanned = {**project.parts, "scanned arch": Scan("chassis", "scans/arch.stl", "mm")}
    path = tmp_path / "scanned.corner.json"
    files.write(replace(project, parts=scanned), path)
    assert driver.window.open(path)
    driver.settle()
    study = driver.document.study
    assert ("tyre", "scanned arch") in study.names
    assert "scanned arch" in {skin.name for skin in live.dressed(study.project, tmp_path)}
    driver.document.set_travel(20.0)
    assert driver.document.now is not None
    assert driver.document.edit(driver.document.slide_mount(study.project, -5.0, -5.0), "slide")
    driver.settle()
    assert ("tyre", "scanned arch") in driver.document.study.names


def test_unsaved_changes_are_asked_about(driver: Driver, monkeypatch: pytest.MonkeyPatch) -> None:
    actions, asked = driver.window.actions_, []
    buttons = QMessageBox.StandardButton

    def answer(with_: QMessageBox.StandardButton) -> None:
        monkeypatch.setattr(actions, "ask_to_save", lambda: asked.append(1) or with_)

    answer(buttons.Cancel)
    assert actions.may_leave()
    assert not asked
    slide(driver)
    assert not actions.may_leave()
    assert not driver.window.close()
    answer(buttons.Discard)
    assert actions.may_leave()
    assert len(asked) == 3


@pytest.mark.parametrize("kind", ["png", "svg", "pdf", "csv"])
@pytest.mark.parametrize("what", ["clearance", "camber"])
def test_plots_are_written_and_read_back(
    driver: Driver, tmp_path: Path, what: str, kind: str
) -> None:
    path = tmp_path / f"{what}.{kind}"
    assert driver.window.actions_.exports.write(what, path)
    if kind == "png":
        image = QImage(str(path))
        assert image.width() > 500
        assert len({image.pixel(x, image.height() // 2) for x in range(image.width())}) > 3
    elif kind == "svg":
        assert QSvgRenderer(str(path)).isValid()
    elif kind == "pdf":
        (page,) = PdfReader(path).pages
        assert "Halfpenny" in page.extract_text()
    else:
        title, about, *lines = path.read_text(encoding="utf-8").splitlines()
        assert title == f"# {what.capitalize()} against travel"
        assert "Halfpenny" in about
        rows = list(csv.DictReader(lines))
        assert len(rows) >= len(driver.document.study.travel)
        assert f"{what}_{'mm' if what == 'clearance' else 'deg'}" in rows[0]


def test_report_folder_picture_and_clipboard(driver: Driver, tmp_path: Path) -> None:
    write = driver.window.actions_.exports.write
    assert write("folder", tmp_path / "all")
    assert {"motion.csv", "clearance.csv", "report.pdf", "camber.svg"} <= {
        p.name for p in (tmp_path / "all").iterdir()
    }
    assert write("picture", tmp_path / "corner.png")
    assert QImage(str(tmp_path / "corner.png")).size() == driver.stage.size()
    driver.window.actions_.exports.copy()
    assert QGuiApplication.clipboard().image().width() == driver.stage.width()
    assert not write("clearance", tmp_path / "no" / "such" / "folder.png")
    assert driver.window.notice.isVisible()
    driver.window.notice.put_away()


def test_only_what_was_checked_is_written(
    driver: Driver, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """How the corner moves is known before its clearances: no report may be made of that."""
    document = driver.document
    monkeypatch.setattr(document, "study", live.movable(document.project))
    monkeypatch.setattr(document, "checked", False)
    for what in ("report", "clearance", "folder"):
        assert not driver.window.actions_.exports.write(what, tmp_path / "out.pdf")
        assert not (tmp_path / "out.pdf").exists()
    assert "until the corner has been checked" in driver.window.notice.words
    driver.window.notice.put_away()


KILLED = """
import sys
from PySide6.QtWidgets import QApplication
from app import examples
from app.window.start import dress
from app.window.window import Window
from kinematics.project.arms import add_arm
app = QApplication(["clearstroke"])
dress(app)
window = Window()
window.open(examples.examples()["rear-in-trouble"], example=True)
document = window.document
document.edit(document.slide_mount(document.project, -12.0, -16.0), "slide")
window.describe.deeds.make("add an arm", add_arm)
assert document.waiting is not None
print("ready", flush=True)
app.exec()
"""
LOOK = """
from PySide6.QtWidgets import QApplication
from app.document import recovery
from app.window import start
app = QApplication(["clearstroke"])
start.dress(app)
left = recovery.found()
print(left.project.points["top bearing"], set(left.unfinished.bodies) - set(left.project.bodies))
assert recovery.found() is None
recovery.drop()
"""


def test_work_survives_kill_9(driver: Driver, tmp_path: Path) -> None:
    home = {**os.environ, "XDG_DATA_HOME": str(tmp_path), "XDG_CONFIG_HOME": str(tmp_path)}
    child = subprocess.Popen(
        [sys.executable, "-c", KILLED], cwd=ROOT, env=home, stdout=subprocess.PIPE, text=True
    )
    assert child.stdout is not None
    assert child.stdout.readline().strip() == "ready"
    kept = tmp_path / "Clearstroke" / "Clearstroke" / "unsaved"
    end = time.monotonic() + 60
    while not list(kept.glob(f"*{recovery.SUFFIX}")):
        assert time.monotonic() < end
        time.sleep(0.05)
    time.sleep(0.2)
    child.send_signal(signal.SIGKILL)
    child.wait()
    child.stdout.close()
    found = subprocess.run(
        [sys.executable, "-c", LOOK], cwd=ROOT, env=home, capture_output=True, text=True
    )
    assert found.stdout.strip() == "(76.0, 502.0, 640.0) {'new arm'}", found.stderr
    assert not list(kept.iterdir())


def test_every_example_opens_and_moves(driver: Driver) -> None:
    for name in examples.examples():
        driver.open(name)
        document = driver.document
        low, high = document.limits
        assert low < -20
        assert high > 20
        document.set_travel(high)
        assert document.now is not None
        driver.app.processEvents()


def test_dialogs_are_let_go_once_answered(
    driver: Driver, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    trimesh.creation.box(extents=(60, 60, 90)).export(tmp_path / "tank.stl")
    mesh = read_scan(tmp_path / "tank.stl", "mm")
    window, kinds = driver.window, (QMessageBox, QPrintDialog, ScanCard)
    monkeypatch.setattr(QMessageBox, "exec", lambda _: QMessageBox.StandardButton.Cancel)
    monkeypatch.setattr(QPrintDialog, "exec", lambda _: QPrintDialog.DialogCode.Rejected)
    monkeypatch.setattr(ScanCard, "exec", lambda _: ScanCard.DialogCode.Rejected)
    cancel = type(window.actions_).ask_to_save(window.actions_)
    assert cancel == QMessageBox.StandardButton.Cancel
    assert not ask_and_print(Page(200, 300, "a page", "", lambda _: None), window)
    assert ScanCard("tank", mesh, ["chassis"], window).ask() is None
    assert any(window.findChildren(kind) for kind in kinds)
    forget()
    assert not any(window.findChildren(kind) for kind in kinds)
