"""The tape's ends hold on to parts: through a change of their sizes, not beyond their going."""

from __future__ import annotations

import gc
import weakref
from collections.abc import Iterator

import msgspec
import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.hand.tape import Tape
from tests.app.conftest import Driver


@pytest.fixture
def tape(driver: Driver) -> Iterator[Tape]:
    """Held from the tyre to the tower; put away again."""
    driver.key(Qt.Key.Key_D)
    spots = driver.on_tyre(), driver.spot(driver.stage.scene.pieces["tower"].points().mean(axis=0))
    for spot in spots:
        QTest.mouseClick(driver.stage, Qt.MouseButton.LeftButton, pos=spot.toPoint())
        driver.app.processEvents()
    tape = driver.window.actions_.tape
    assert [end.part for end in tape.ends] == ["tyre", "tower"]
    yield tape
    driver.key(Qt.Key.Key_D)


def test_an_end_goes_along_with_a_part_that_is_changed(driver: Driver, tape: Tape) -> None:
    document = driver.document
    project = document.project
    before = np.array(tape.points())
    document.edit(document.slide_mount(project, 0.0, -7.0), "slide the mount")
    moved = np.array(tape.points()) - before
    assert moved[0] == pytest.approx(np.zeros(3), abs=1e-3)  # the tyre stays
    assert moved[1] == pytest.approx([0.0, -7.0, 0.0], abs=1e-3)  # the tower goes with the mount
    document.stack.undo()
    assert np.array(tape.points()) == pytest.approx(before, abs=1e-3)


def test_an_end_comes_off_a_part_that_goes(driver: Driver, tape: Tape) -> None:
    document = driver.document
    document.edit(msgspec.structs.replace(document.project, tower=None), "take the tower off")
    assert [end.part for end in tape.ends] == ["tyre"]
    assert tape.lines() == ["second point…"]


def test_it_holds_on_to_nothing_of_another_project(driver: Driver, tape: Tape) -> None:
    assert tape.between() is not None  # in a position, which is remembered
    was = weakref.ref(driver.document.pose)
    driver.open("front-wishbones")
    assert not tape.ends
    driver.settle()
    gc.collect()
    assert was() is None
