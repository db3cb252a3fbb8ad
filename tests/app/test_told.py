"""An error in what the toolkit calls is told; the window goes on."""

from __future__ import annotations

import importlib
import pkgutil
import sys

import pytest
import shiboken6
from PySide6.QtCore import QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

import app
from app.told import overrides, told
from tests.app.conftest import Driver


@pytest.fixture
def heard(monkeypatch: pytest.MonkeyPatch) -> list[BaseException]:
    """The errors told from here on."""
    errors: list[BaseException] = []
    monkeypatch.setattr(sys, "excepthook", lambda kind, error, trace: errors.append(error))
    return errors


@pytest.mark.parametrize(
    ("room", "widget", "work"),
    [
        ("Springs", "statics", "renew"),
        ("Fixes", "fixes", "begin"),
        ("Describe", "describe", "rebuild"),
        ("Measure", "measuring", "renew"),
    ],
)
def test_a_room_that_fails_to_show(
    driver: Driver,
    heard: list[BaseException],
    monkeypatch: pytest.MonkeyPatch,
    room: str,
    widget: str,
    work: str,
) -> None:
    def fail() -> None:
        raise RuntimeError(room)

    driver.window.enter("Move")
    monkeypatch.setattr(getattr(driver.window, widget), work, fail)
    monkeypatch.setattr(driver.window.fixes, "project", None)  # what was found is of no use
    monkeypatch.setattr(driver.window.describe, "_built", None)
    driver.window.enter(room)
    assert {str(error) for error in heard} == {room}
    assert driver.window.bar.rooms[room].isChecked()
    assert getattr(driver.window, widget).isVisible()
    driver.window.enter("Move")


def test_a_window_that_fails_to_fit(
    driver: Driver, heard: list[BaseException], monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as broken:
        broken.setattr(driver.window, "_fit_strips", lambda: [][1])
        driver.window.resize(1300, 800)
    driver.window.resize(1280, 800)
    assert [type(error) for error in heard] == [IndexError]


@told
class Broken(QWidget):
    """Fails with an open painter, and doesn't know its size."""

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.drawPoint([][1])

    def sizeHint(self) -> QSize:
        return {}["size"]


def test_a_widget_that_fails_to_paint_lets_go_of_its_painter(
    driver: Driver, heard: list[BaseException]
) -> None:
    broken = Broken(driver.window)
    broken.resize(20, 20)
    assert broken.grab().width() == 20
    assert broken.grab().width() == 20  # the painter of before is not in the way
    assert [type(error) for error in heard] == [IndexError, IndexError]
    assert broken.sizeHint() == QSize(-1, -1)
    assert type(heard[2]) is KeyError
    broken.deleteLater()


def test_all_that_the_toolkit_calls_is_told() -> None:
    kinds: set[type] = set()
    for module in pkgutil.walk_packages(app.__path__, "app."):
        if not module.name.endswith("__main__"):
            kinds |= {
                c for c in vars(importlib.import_module(module.name)).values()
                if isinstance(c, type) and c.__module__.startswith("app.")
            }  # fmt: skip
    ours = [c for c in kinds if issubclass(c, shiboken6.Object)]
    assert len(ours) > 30
    bare = [
        f"{kind.__module__}.{kind.__name__}.{name}"
        for kind in ours
        for name, method in overrides(kind).items()
        if not hasattr(method, "__wrapped__") and name not in ("redo", "undo")
    ]
    # A step of undo must not be taken for done where it was not.
    assert not bare, "set @told over the class"
