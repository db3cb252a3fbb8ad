"""A corner whose check ends in a sentence: every room says it, and the rest goes on."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from msgspec.structs import replace
from PySide6.QtCore import Qt

from app.document import results
from app.document.statics_grids import statics_grids
from kinematics.project import files
from kinematics.project.model import Project
from kinematics.studies.study import study
from tests.app.conftest import Driver, wait

WHY = "Coilover spring: pressed flat it is"


def flat(project: Project) -> Project:
    """A spring that pressed flat would be longer than it is free: no spring is that."""
    coilover = project.coilover
    assert coilover is not None
    assert coilover.spring is not None
    short = replace(coilover.spring, free=60.0, solid=None)
    return replace(project, coilover=replace(coilover, spring=short))


@pytest.fixture
def stuck(driver: Driver) -> Driver:
    """The window on such a corner, once the map of the one before is known."""
    wait(driver.app, lambda: driver.document.ground is not None)
    assert driver.document.edit(flat(driver.document.project), "another spring")
    driver.settle()
    return driver


def test_each_room_says_why_and_what_to_do(stuck: Driver, tmp_path: Path) -> None:
    window, document = stuck.window, stuck.document
    assert not document.checked
    assert document.ended.startswith(WHY)
    assert "check wire, coils and free length" in document.ended
    headline = window.headline.first.saying
    assert headline.text == "This corner can't be checked."
    assert headline.detail == document.ended
    assert window.notice.words == document.ended
    said: dict[str, Callable[[], str]] = {
        "Mount": lambda: window.mount.progress.text(),
        "Fixes": lambda: window.fixes.state.text(),
        "Springs": lambda: window.statics.empty.text(),
    }
    for room, words in said.items():
        window.enter(room)
        assert document.ended in words(), room
    assert not window.statics.empty.isHidden()
    for what in ("report", "clearance", "folder", "statics", "fixes", "map"):
        window.notice.put_away()
        assert not window.actions_.exports.write(what, tmp_path / "out.pdf")
        assert document.ended in window.notice.words
    assert not list(tmp_path.iterdir())
    window.enter("Move")
    stuck.key(Qt.Key.Key_K)
    assert document.ended in window.notice.words
    assert document.before is None
    window.notice.put_away()


def test_it_moves_is_plotted_and_saved_all_the_same(stuck: Driver, tmp_path: Path) -> None:
    document = stuck.document
    assert document.study.project is document.project
    assert statics_grids(document.study) == []  # no figure of a spring that can't be
    document.set_travel(20.0)
    assert document.travel == 20.0
    stuck.key(Qt.Key.Key_P)
    sheet = stuck.window.actions_.sheet
    assert sheet is not None
    keys = [sheet.figures.itemData(k) for k in range(sheet.figures.count())]
    assert "camber" in keys
    for key in keys:
        sheet.choose(key)
        assert sheet.canvas.what is not None
    sheet.close()
    assert document.save(tmp_path / "a.corner.json")
    assert files.read(tmp_path / "a.corner.json") == document.project


def test_put_right_it_is_checked_again(stuck: Driver) -> None:
    document = stuck.document
    document.stack.undo()
    stuck.settle()
    assert document.checked
    assert document.ended == ""
    document.stack.redo()
    stuck.settle()
    assert not document.checked
    assert document.ended.startswith(WHY)


def test_the_command_line_and_a_script_say_it_too(driver: Driver) -> None:
    with pytest.raises(results.ProjectError, match="pressed flat"):
        study(flat(driver.document.project))


def test_a_file_that_does_not_move_is_said_too(driver: Driver, tmp_path: Path) -> None:
    project = driver.document.project
    path = tmp_path / "loose.corner.json"
    files.write(replace(project, bodies=(*project.bodies, "loose")), path)
    assert driver.window.open(path)
    driver.settle()
    assert not driver.document.checked
    assert driver.document.ended
    assert driver.window.headline.first.saying.text == "This corner can't be checked."
