"""An edit and the state before it: what is told of both, what is half typed, how far undo goes."""

from __future__ import annotations

import gc
import re
import weakref

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.document import live
from app.document.document import STEPS, Change
from tests.app.conftest import Driver


def test_before_and_after(driver: Driver) -> None:
    document = driver.document
    driver.key(Qt.Key.Key_K)
    assert document.before is not None
    assert driver.stage.scene.ghosts
    top = live.top_mount(document.project)
    assert document.edit(document.slide_mount(document.project, -12.0, -16.0), "slide")
    driver.settle()
    document.set_travel(document.limits[1])
    driver.app.processEvents()
    assert np.allclose(live.top_mount(document.project) - top, (-12, -16, 0))
    assert any("was" in " ".join(t.lines) for t in driver.stage.tags)
    assert driver.window.strips.before is not None
    ghosts = driver.stage.scene.ghosts
    with_ghosts, driver.stage.scene.ghosts = driver.stage.snapshot(), {}
    driver.stage.scene.shape += 1
    driver.stage.redraw()
    driver.app.processEvents()
    assert driver.stage.snapshot() != with_ghosts
    driver.stage.scene.ghosts = ghosts
    # Every finding says how it was, and the one put right is told of.
    head = driver.window.headline
    told = [head.first, *head.others]
    said = [s for s in told if not s.isHidden() and s.saying.text.startswith("Tyre passes")]
    assert re.fullmatch(r"Was 5.0 mm overlap, now [0-9.]+ mm clear.", said[0].saying.was)
    # The nearest to its rule is told once, first what it is and then what it was; the rest is what
    # is left.
    found = document.study
    said_first = head.first.saying.detail
    assert re.match(r"Nearest to its rule: .* Was .* overlap, now .* clear.", said_first)
    texts = " ".join(s.saying.text for s in head.others if not s.isHidden()).lower()
    assert not all(part in texts for part in found.findings[0].parts)
    assert head.rest.saying.text == f"{len(found.names) - 2} more pairs are clear"
    document.set_travel(0.0)
    QTest.mouseClick(said[0], Qt.MouseButton.LeftButton)
    assert document.travel > 50  # where they met before
    driver.key(Qt.Key.Key_K)
    assert not driver.stage.scene.ghosts


def test_what_was_found_before_an_edit_steps_back_until_it_is_checked(driver: Driver) -> None:
    document, head = driver.document, driver.window.headline
    assert not head.first.stale
    assert document.edit(document.slide_mount(document.project, -12.0, -16.0), "slide")
    assert head.first.stale
    assert head.rest.stale
    strong = head.first.grab().toImage()
    driver.settle()
    assert not head.first.stale
    assert head.first.grab().toImage() != strong
    document.stack.undo()
    assert head.first.stale
    driver.settle()
    assert not head.first.stale


def type_half(driver: Driver, text: str) -> None:
    """The mount chosen by a click, and an amount typed that is not taken yet."""
    at = driver.spot(live.top_mount(driver.document.project))
    driver.press(at)
    driver.drop(at)
    QTest.keyClicks(driver.stage, text)


def test_what_is_half_typed_is_a_step_of_its_own_once_something_else_is_asked(
    driver: Driver,
) -> None:
    document, start = driver.document, driver.document.project
    type_half(driver, "x 4")
    moved = document.project
    assert moved != start
    driver.window.do("mirror")
    assert document.drag_start is None
    assert document.project.side != start.side
    assert document.stack.count() == 2
    document.stack.undo()
    assert document.project == moved
    driver.key_escape()  # gives up nothing any more
    assert document.project == moved
    document.stack.undo()
    assert document.project == start


def test_what_is_half_typed_does_not_reach_into_another_project(driver: Driver) -> None:
    type_half(driver, "x 4")
    driver.open("front-strut")  # checked too: nothing is held
    opened = driver.document.project
    driver.key_escape()
    assert driver.document.project is opened
    assert driver.document.drag_start is None
    assert not driver.document.dirty


def test_steps_of_undo_are_let_go_beyond_their_limit(driver: Driver) -> None:
    document, project = driver.document, driver.document.project
    document.stack.blockSignals(True)
    oldest = Change(document, project, project, "the oldest", (None, None))
    seen = weakref.ref(oldest)
    document.stack.push(oldest)
    del oldest
    for k in range(STEPS):
        document.stack.push(Change(document, project, project, str(k), (None, None)))
    document.stack.blockSignals(False)
    gc.collect()
    assert document.stack.count() == STEPS
    assert document.stack.text(0) == "0"
    assert seen() is None
    document.stack.clear()
