"""Every line of the sheet of keys, with the keys themselves on a real window."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QWidget

from app.document import live
from app.window.help import CAUTIONS
from app.window.keys import SHEET
from kinematics.project import files
from tests.app.conftest import Driver

KEY, MOD = Qt.Key, Qt.KeyboardModifier

# Which test has the keys of each line; a line of the sheet that is in none of them fails.
ELSEWHERE = {
    "Left, Right": "test_hands", "Home": "test_hands", "Space": "test_looking",
    "K": "test_edits", "1, 2, 3, 4": "test_looking", "L": "test_looking",
    "O": "test_hands", "C": "test_hands", "M": "test_describe_parts", "D": "test_looking",
    "Digits": "test_amounts", "G": "test_amounts", "P": "test_plot_sheet",
    "Ctrl+E": "test_exports",
}  # fmt: skip
HERE = {"Page Up, Page Down", "J", "Tab", "Esc", "Ctrl+Z, Ctrl+Shift+Z", "Ctrl+O, Ctrl+S", "T",
        "F1, F2"}  # fmt: skip


@pytest.fixture
def active(driver: Driver) -> Iterator[Driver]:
    """With the window the one that keys go to: else shortcuts are nobody's."""
    driver.window.activateWindow()
    assert QTest.qWaitForWindowActive(driver.window)
    driver.window.stage.setFocus()
    yield driver
    driver.window.notice.put_away()


def test_the_sheet_has_no_line_that_is_not_tried() -> None:
    assert {keys for keys, _ in SHEET} == HERE | set(ELSEWHERE)


def test_page_keys_go_through_the_marks_and_j_through_the_problems(active: Driver) -> None:
    document, window = active.document, active.window
    stops = window.ruler.stops()
    document.set_travel(document.limits[0])
    for stop in stops[1:]:
        active.key(KEY.Key_PageUp)
        assert document.travel == pytest.approx(stop, abs=0.06)
    for stop in stops[-2::-1]:
        active.key(KEY.Key_PageDown)
        assert document.travel == pytest.approx(stop, abs=0.06)
    active.key(KEY.Key_PageDown)
    assert document.travel == document.limits[0]
    seen = []
    for mods in (MOD.NoModifier, MOD.NoModifier, MOD.ShiftModifier):
        active.key(KEY.Key_J, mods)
        seen.append(window.show_it.current)
    assert seen[0] == seen[2] != seen[1]


def test_tab_walks_through_the_boards_and_arrows_move_the_mount(active: Driver) -> None:
    window, document = active.window, active.document
    reached: list[QWidget] = []
    for _ in range(60):
        held = window.focusWidget()
        if held in reached:
            break
        reached.append(held)
        QTest.keyClick(held, KEY.Key_Tab)
        active.app.processEvents()
    assert {window.stage, window.ruler, window.strips, window.pad} <= set(reached)
    assert all(w.accessibleName() or getattr(w, "text", str)() for w in reached), [
        w for w in reached if not w.accessibleName()
    ]
    window.pad.setFocus()
    top = live.top_mount(document.project)
    QTest.keyClick(window.pad, KEY.Key_Down)
    assert np.allclose(live.top_mount(document.project) - top, (-1, 0, 0))
    # Beside the mount itself, one goes on to travel as ever.
    window.ruler.setFocus()
    QTest.keyClick(window.ruler, KEY.Key_Up)
    assert document.travel == 1.0
    window.stage.setFocus()


def test_ctrl_z_takes_back_and_does_again(active: Driver) -> None:
    document = active.document
    before = document.project
    assert document.edit(document.slide_mount(before, -4.0, 0.0), "slide")
    slid = document.project
    active.key(KEY.Key_Z, MOD.ControlModifier)
    assert document.project == before
    active.key(KEY.Key_Z, MOD.ControlModifier | MOD.ShiftModifier)
    assert document.project == slid


def test_ctrl_s_saves_and_ctrl_o_opens(
    active: Driver, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    document, path = active.document, tmp_path / "kept.corner.json"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(path), ""))
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
    assert document.edit(document.slide_mount(document.project, -4.0, 0.0), "slide")
    active.key(KEY.Key_S, MOD.ControlModifier)
    assert files.read(path) == document.project
    assert not document.dirty
    assert document.edit(document.slide_mount(document.project, -3.0, 0.0), "slide")
    active.key(KEY.Key_S, MOD.ControlModifier)  # it knows where now
    assert files.read(path) == document.project
    saved = document.project
    assert document.edit(document.slide_mount(document.project, 9.0, 0.0), "slide")
    document.stack.undo()
    active.key(KEY.Key_O, MOD.ControlModifier)
    assert document.path == path
    assert document.project == saved
    assert not document.stack.count()


def test_t_is_light_or_dark(active: Driver) -> None:
    theme, light = active.window.theme, active.pixels()
    ground = theme.palette.sheet
    active.key(KEY.Key_T)
    assert theme.palette.sheet != ground
    assert active.pixels() != light
    active.key(KEY.Key_T)
    assert theme.palette.sheet == ground


def test_f1_shows_the_sheet_with_its_cautions_and_esc_puts_it_away(active: Driver) -> None:
    window = active.window
    without = window.grab().toImage()
    active.key(KEY.Key_F1)
    assert window.help.isVisible()
    told = window.help.accessibleDescription()
    for keys, text in SHEET:
        assert f"{keys}: {text}" in told
    for caution in CAUTIONS:
        assert caution.rstrip(".") in told
    assert "stands" in told
    assert "qualified engineer and your local rules" in told
    assert window.grab().toImage() != without
    QTest.keyClick(window.help, KEY.Key_Escape)
    assert not window.help.isVisible()
    active.key(KEY.Key_F2)
    assert window.tour.isVisible()
    active.settle()
    active.key(KEY.Key_Escape)
    assert not window.tour.isVisible()


def test_scrolling_over_ruler_and_strips_goes_by_a_keys_step(active: Driver) -> None:
    window, document = active.window, active.document
    for board in (window.ruler, window.strips):
        document.set_travel(0.0)
        for notches in (1, 1, -3):
            roll(board, notches)
        assert document.travel == pytest.approx(-1.0)


def test_letters_go_to_a_field_that_is_typed_in(active: Driver) -> None:
    """No key of the sheet works behind a builder's back while he writes a name."""
    window = active.window
    window.enter("Describe")
    window.describe.go("Points")
    active.app.processEvents()
    name = window.describe.fields["points", "upper link inner", ""]
    name.setFocus()
    name.selectAll()
    side, theme = active.document.project.side, window.theme.palette
    QTest.keyClicks(name, "mtjkh 1")
    assert name.text() == "mtjkh 1"
    assert active.document.project.side == side
    assert window.theme.palette is theme
    QTest.keyClick(name, KEY.Key_Escape)
    window.enter("Move")


def roll(widget: QWidget, notches: int) -> None:
    at = QPointF(widget.rect().center())
    event = QWheelEvent(
        at, QPointF(widget.mapToGlobal(at.toPoint())), QPoint(), QPoint(0, 120 * notches),
        Qt.MouseButton.NoButton, MOD.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(widget, event)
