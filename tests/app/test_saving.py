"""Nothing entered is lost: what waits, what stands red, and a file that something else changed."""

from __future__ import annotations

import errno
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import trimesh
from msgspec.structs import replace
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox

from app import examples
from app.cli import main
from app.describe.room import Describe
from app.document import recovery
from app.document.recovery import Left
from app.paper.media import Page, write
from app.window import asking
from app.window.importing import Laid
from kinematics.errors import ClearstrokeError
from kinematics.project import files
from kinematics.project.model import Bearing, Project, Scan
from kinematics.project.unfold import unfold
from tests.app.conftest import Driver

FIVE = unfold(files.read(examples.examples()["rear-five-links"]))
ROOT = Path(__file__).parents[2]
Answer = QMessageBox.StandardButton


@pytest.fixture
def room(describing: Callable[..., Describe]) -> Describe:
    """Five links taken apart, with one that waits to take another's place."""
    made = describing(FIVE)
    made.go("Links")
    made.deeds.copy("links", "upper link")
    assert made.draft.waits
    return made


@pytest.fixture
def aside(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[Path]:
    """A folder of its own for unsaved work."""
    recovery.drop()
    monkeypatch.setattr(recovery, "folder", lambda: tmp_path / "unsaved")
    yield tmp_path / "unsaved"
    recovery.drop()


def test_what_waits_is_saved_and_goes_on_tomorrow(room: Describe, tmp_path: Path) -> None:
    document, path = room.document, tmp_path / "a.corner.json"
    begun = room.project
    assert document.dirty
    assert document.save(path)
    assert not document.dirty
    assert files.read(path) == FIVE
    document.start(FIVE)
    assert not room.held.isVisible()
    assert document.open(path)
    assert not document.dirty
    assert document.project == FIVE
    assert room.project == begun
    assert room.held.title.text() == "One link too many."
    room.deeds.remove(("links",), "upper link")
    assert not room.draft.waits
    assert "upper link 2" in document.project.links
    document.stack.undo()
    assert room.project == begun
    assert document.save(path)
    room.draft.give_up()
    assert document.dirty
    assert document.save(path)
    assert files.read_all(path) == files.Contents(FIVE)
    document.stack.undo()
    assert room.project == begun


def test_what_has_nothing_to_do_with_what_waits_does_not_wait(room: Describe) -> None:
    document, count = room.document, room.document.stack.count()
    room.go("Car")
    field = room.fields["title",]
    field.setText("my corner")
    field.take()
    assert document.project.title == room.project.title == "my corner"
    assert document.stack.count() == count + 1
    assert room.draft.waits
    document.stack.undo()
    assert document.project.title == room.project.title == FIVE.title


def test_what_speaks_of_what_waits_waits_with_it(room: Describe) -> None:
    document, point = room.document, room.project.links["upper link 2"].outer.point

    def borne(project: Project) -> Project:
        return replace(project, bearings={**project.bearings, point: Bearing(limit_deg=15.0)})

    assert room.deeds.change("a bearing", borne)
    assert point in room.project.bearings
    assert document.project == FIVE
    room.deeds.remove(("links",), "upper link")
    assert point in document.project.bearings


def test_a_file_that_can_stand_after_all_is_taken_with_the_next_change(
    room: Describe, tmp_path: Path
) -> None:
    path = tmp_path / "a.corner.json"
    files.write(FIVE, path, replace(FIVE, source="by hand"))
    assert room.document.open(path)
    assert "fits together" in room.held.title.text()
    room.deeds.change("title", lambda p: replace(p, title="other"))
    assert not room.draft.waits
    assert room.document.project == replace(FIVE, source="by hand", title="other")


def test_what_is_left_is_offered_once_and_with_all_it_had(aside: Path, tmp_path: Path) -> None:
    begun = replace(FIVE, points={**FIVE.points, "new": (1.0, 2.0, 3.0)})
    red = {("wheel", "tyre", "size"): ("195/50", "no such size")}
    left = Left(FIVE, begun, tmp_path / "a.corner.json", "abc", red)
    assert recovery.keep(left) == ""
    assert recovery.found() is None  # its own
    crashed = recovery._RUN.file
    os.rename(crashed, crashed.with_name(f"{os.getpid()}-0000{recovery.SUFFIX}"))
    assert recovery.found(tmp_path / "other.corner.json") is None
    assert recovery.found(tmp_path / "a.corner.json") == left
    assert recovery.found() is None
    assert [p.name for p in aside.glob("*.json")] == [crashed.name]


def test_what_another_run_has_open_is_let_be(aside: Path) -> None:
    aside.mkdir()
    lock = recovery._lock("77-aa")
    assert lock.tryLock(0)
    path = aside / f"77-aa{recovery.SUFFIX}"
    path.write_bytes(recovery._dumps(Left(FIVE)))
    assert recovery.found() is None
    lock.unlock()
    found = recovery.found()
    assert found is not None
    assert found.project == FIVE


@pytest.mark.parametrize("text", ["", "{", "[]", '{"project": {}}', '{"path": 3, "project": 1}'])
def test_what_can_t_be_read_is_left_where_it_is(aside: Path, text: str) -> None:
    aside.mkdir()
    spoiled = aside / f"77-aa{recovery.SUFFIX}"
    spoiled.write_text(text)
    assert recovery.found() is None
    assert spoiled.read_text() == text


def test_where_nothing_can_be_kept_aside_it_is_said_once(
    room: Describe, aside: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    heard: list[str] = []
    room.document.said.connect(heard.append)
    monkeypatch.setattr(os, "fsync", full)
    for _ in range(2):
        room.document._keep_aside()
    assert heard == ["Unsaved work can't be kept aside against a crash: the disk is full."]
    assert not list(aside.glob("*.json"))
    monkeypatch.undo()


def test_a_disk_that_is_full_leaves_the_file_as_it_was(
    room: Describe, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    document, path = room.document, tmp_path / "a.corner.json"
    assert document.save(path)
    before = path.read_bytes()
    room.draft.give_up()
    heard: list[str] = []
    document.said.connect(heard.append)

    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full)
        assert not document.save(path)
    assert heard == [f"{path} can't be saved: the disk is full."]
    assert document.dirty
    assert path.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == [path.name]
    path.unlink()
    assert document.save(path)
    assert heard[1:] == [f'"{path.name}" was no longer there; it is written anew.']


def test_a_file_changed_by_another_is_asked_about(
    driver: Driver, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two windows, or two programs, on one file: the later never takes the other's work away."""
    document, actions = driver.document, driver.window.actions_
    path, other = tmp_path / "a.corner.json", tmp_path / "b.corner.json"
    assert document.save(path)
    asked: list[str] = []

    def answering(answer: Answer) -> None:
        monkeypatch.setattr(actions, "ask_over", lambda p, why: asked.append(why) or answer)

    answering(Answer.Cancel)
    assert actions.save()  # nobody was at it
    theirs = replace(document.project, title="theirs")
    files.write(theirs, path)
    assert not actions.save()
    assert files.read(path) == theirs
    answering(asking.SAVE_AS)
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(other), ""))
    assert actions.save()
    assert document.path == other
    assert files.read(path) == theirs
    files.write(theirs, other)
    answering(Answer.Save)
    assert actions.save()
    assert files.read(other) == document.project
    assert files.read(other.with_name(other.name + files.BACKUP)) == theirs
    assert asked == ["was changed since it was opened here."] * 3
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "a"), ""))
    answering(Answer.Cancel)
    assert not actions.save_as()  # the ending was added after the dialog had asked
    assert asked[-1] == "is there already."
    assert json.loads(path.read_text(encoding="utf-8"))["title"] == "theirs"


def test_what_is_half_typed_is_saved(driver: Driver, tmp_path: Path) -> None:
    window, path = driver.window, tmp_path / "a.corner.json"
    assert driver.document.save(path)
    window.enter("Describe")
    window.describe.go("Car")
    field = window.describe.fields["source",]
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, "tape")
    assert window.actions_.save()
    assert files.read(path).source == "tape"
    window.enter("Move")


def test_scans_come_along_into_another_folder(driver: Driver, tmp_path: Path) -> None:
    document, actions, there = driver.document, driver.window.actions_, tmp_path / "there"
    (tmp_path / "scans").mkdir()
    there.mkdir()
    mesh = tmp_path / "scans" / "arch.stl"
    trimesh.creation.box(extents=(30, 30, 30)).apply_translation((0, 560, 800)).export(mesh)
    parts = {**document.project.parts, "arch": Scan("chassis", "scans/arch.stl", "mm")}
    files.write(replace(document.project, parts=parts), tmp_path / "a.corner.json")
    assert document.open(tmp_path / "a.corner.json")
    assert actions._saved(there / "a.corner.json")
    assert (there / "scans" / "arch.stl").read_bytes() == mesh.read_bytes()
    assert {p.name for p in there.iterdir()} == {"scans", "a.corner.json"}
    other = tmp_path / "other"
    (other / "scans").mkdir(parents=True)
    (other / "scans" / "arch.stl").write_text("of another car")
    assert not actions._saved(other / "a.corner.json")
    assert 'Another "arch.stl" lies in that folder' in driver.window.notice.words
    assert document.path == there / "a.corner.json"
    assert (other / "scans" / "arch.stl").read_text() == "of another car"
    driver.window.notice.put_away()


def test_a_command_says_that_more_is_being_described(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "a.corner.json"
    files.write(FIVE, path, replace(FIVE, title="begun"))
    main(["check", str(path), "--travel=0:1:2"])
    told = capsys.readouterr()
    assert "a.corner.json: what is being described doesn't fit together yet" in told.err
    assert FIVE.title in told.out


ASIDE = """
import sys
from pathlib import Path
from msgspec.structs import replace
from app.document import recovery
from app.document.recovery import Left
from kinematics.project import files
from kinematics.project.model import Bearing, Project, Scan
recovery.folder = lambda: Path(sys.argv[1])
project = files.read(sys.argv[2])
print("ready", flush=True)
for count in range(10**9):
    made = replace(project, title=f"aside {count} " + "x" * (count % 7000))
    assert recovery.keep(Left(made, replace(made, notes="begun"))) == ""
"""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs kill -9")
def test_killed_while_keeping_aside_what_is_kept_is_whole(aside: Path) -> None:
    example = str(examples.examples()["rear-five-links"])
    aside.mkdir()
    for pause in (0.02, 0.07):
        child = subprocess.Popen(
            [sys.executable, "-c", ASIDE, str(aside), example], stdout=subprocess.PIPE, cwd=ROOT
        )
        assert child.stdout is not None
        child.stdout.readline()
        while not list(aside.glob(f"{child.pid}*.json")):
            time.sleep(0.005)
        time.sleep(pause)
        child.kill()
        child.wait()
        child.stdout.close()
        left = recovery.found()
        assert left is not None
        assert left.project.title.startswith("aside")
        assert left.unfinished == replace(left.project, notes="begun")
        recovery.drop()


def test_a_copy_that_breaks_off_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    source, project = tmp_path / "ball.stl", tmp_path / "car" / "a.corner.json"
    source.write_text("solid")
    project.parent.mkdir()

    def full(source: Path, target: Path) -> None:
        target.write_text("so")
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(shutil, "copyfile", full)
    with pytest.raises(OSError, match="space"):
        Laid.beside(source, project)
    assert not list(project.parent.iterdir())


@pytest.mark.parametrize("name", ["p.png", "p.svg", "p.pdf"])
def test_what_is_exported_to_a_full_disk_leaves_the_old_file(
    windows: QApplication, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    path = tmp_path / name
    path.write_text("old")

    def full(part: Path, data: bytes) -> int:
        assert len(data) > 100
        part.write_text("half")
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(ClearstrokeError, match="can't be written: the disk is full"):
        write(Page(200, 100, "a page", "", lambda _: None), path)
    assert [p.name for p in tmp_path.iterdir()] == [name]
    assert path.read_text() == "old"
