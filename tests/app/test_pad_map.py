"""The painted pad: what is tightest is named under the pointer; a strut is mapped and slid too."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication

from app.document import results
from app.mount.places import Ground, told_at
from tests.app.conftest import Driver, wait


@pytest.fixture
def fine(monkeypatch: pytest.MonkeyPatch, driver: Driver) -> None:
    """The map as fine as a builder has it."""
    monkeypatch.setattr(results, "MAP_STEPS", 33)
    driver.document._ask_map()
    # A coarse one asked for before may still come.
    wait(driver.app, lambda: len(mapped(driver).worst) == 33)


def mapped(driver: Driver) -> Ground:
    """The map, once it won't get finer."""
    document = driver.document
    wait(driver.app, lambda: document.ground is not None and document.ground.done)
    assert document.ground is not None
    return document.ground


def hover(driver: Driver, fore: float, inward: float) -> str:
    pad = driver.window.pad
    at = pad.frame.spot(fore, inward)
    event = QMouseEvent(
        QEvent.Type.MouseMove, at, QPointF(pad.mapToGlobal(at.toPoint())),
        Qt.MouseButton.NoButton, Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier,
    )  # fmt: skip
    QApplication.sendEvent(pad, event)
    return pad.under


@pytest.mark.usefixtures("fine")
def test_what_is_tightest_is_named_under_the_pointer(driver: Driver) -> None:
    document = driver.document
    assert hover(driver, 0.0, 0.0) == (
        "Where it was: tyre to tower lip, 15.0 mm short of the rule, at +79.9."
    )
    words = hover(driver, -20.6, 19.6)
    assert words == told_at(document.ground, (-20.0, 20.0), "mm")
    assert words.startswith("20.0 mm in, 20.0 back: spring to radius arm, ")
    picture = bytes(driver.window.pad.grab().toImage().constBits())
    assert hover(driver, -500.0, 0.0) == ""
    assert bytes(driver.window.pad.grab().toImage().constBits()) != picture


@pytest.mark.usefixtures("fine")
def test_the_map_is_exported_as_it_is_painted(driver: Driver, tmp_path) -> None:
    document, exports = driver.document, driver.window.actions_.exports
    for kind, start in (("png", b"\x89PNG"), ("dxf", b"999"), ("csv", b"forward_mm")):
        path = tmp_path / f"map.{kind}"
        assert exports.write("map", path)
        assert path.read_bytes().startswith(start)
    rows = (tmp_path / "map.csv").read_text().splitlines()
    here = next(row.split(",") for row in rows if row.startswith("-20.000,20.000,"))
    i, j = 8, 24  # of the steps of 2.5 mm
    assert abs(float(here[7]) - document.ground.worst[i, j]) < 1e-3


def test_a_strut_is_mapped_lock_to_lock_and_its_wheel_follows(driver: Driver) -> None:
    document = driver.document
    driver.open("front-strut")
    assert mapped(driver).whole
    assert np.isfinite(document.ground.worst).all()
    assert (document.ground.rack != 0.0).any()
    moved = document.slide_mount(document.project, 0.0, -8.0)
    assert document.edit(moved, "slide the top mount")
    assert document.project.wheel.camber_deg < -1.2
    document.stack.undo()
    driver.settle()
