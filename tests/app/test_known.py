"""What leaves the program or is kept as before is of the project as it is, checked as a whole."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.document import live
from kinematics.project.edit import move_top
from tests.app.conftest import Driver, wait


@pytest.fixture
def edited(driver: Driver) -> Iterator[Driver]:
    """An edit has been made, and is not checked yet."""
    document = driver.document
    driver.settle()
    document.edit(move_top(document.project, dx=-12.0, dy=-16.0, dz=0.0), "move the top mount")
    yield driver
    driver.settle()
    document.before = None
    document.stack.undo()
    driver.settle()


def test_nothing_is_written_of_a_state_that_is_gone(edited: Driver, tmp_path: Path) -> None:
    document, exports = edited.document, edited.window.actions_.exports
    assert document.checked  # what is on show is of before the edit
    assert not exports.write("report", tmp_path / "report.pdf")
    assert list(tmp_path.iterdir()) == []
    edited.settle()
    assert exports.write("report", tmp_path / "report.pdf")


def test_no_state_that_is_gone_is_kept_as_before(edited: Driver) -> None:
    document, window = edited.document, edited.window
    window.actions_.before()
    assert document.before is None
    assert "once it has been checked" in window.notice.sentence
    edited.settle()
    window.actions_.before()
    assert document.before is document.study
    window.actions_.before()
    assert document.before is None


def test_a_rough_check_that_follows_a_hand_counts_for_no_check(edited: Driver) -> None:
    edited.settle()
    document = edited.document
    whole = document.known
    assert whole is not None
    rough = live.coarse(whole.setting, whole, 0.0, lambda: False)
    document.drag_start = document.project
    document._done("coarse", document.revision, rough)
    document.drag_start = None
    assert document.known is None
    document._ask()
    wait(edited.app, lambda: document.known is not None)


def test_ones_own_before_outlives_a_look_at_a_fix(edited: Driver) -> None:
    edited.settle()
    document = edited.document
    document.keep()
    own = document.before
    assert own is not None
    assert document.preview(move_top(document.project, dx=1.0, dy=0.0, dz=0.0))
    document.drop_preview()
    assert document.before is own
    document.keep()
    assert document.preview(move_top(document.project, dx=1.0, dy=0.0, dz=0.0))
    assert document.before is not None
    document.drop_preview()
    assert document.before is None


def test_a_before_kept_while_a_fix_is_looked_at_is_ones_own(edited: Driver) -> None:
    edited.settle()
    document = edited.document
    assert document.preview(move_top(document.project, dx=1.0, dy=0.0, dz=0.0))
    edited.settle()
    document.keep()  # lets go of what the look kept
    document.keep()
    own = document.before
    assert own is not None
    document.drop_preview()
    assert document.before is own


def test_the_other_side_is_not_told_against_the_wheel_before(edited: Driver) -> None:
    edited.settle()
    document, window = edited.document, edited.window
    document.keep()
    assert document.before is not None
    window.do("mirror")
    assert document.before is None
    assert not window.scene.ghosts
    assert "other wheel" in window.notice.words
    document.stack.undo()
