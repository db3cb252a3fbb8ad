"""An error in what the toolkit calls is told; the window goes on."""

from __future__ import annotations

import sys

import pytest

from tests.app.conftest import Driver


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
    driver: Driver, monkeypatch: pytest.MonkeyPatch, room: str, widget: str, work: str
) -> None:
    heard: list[BaseException] = []

    def fail() -> None:
        raise RuntimeError(room)

    driver.window.enter("Move")
    monkeypatch.setattr(sys, "excepthook", lambda kind, error, trace: heard.append(error))
    monkeypatch.setattr(getattr(driver.window, widget), work, fail)
    monkeypatch.setattr(driver.window.fixes, "project", None)  # what was found is of no use
    monkeypatch.setattr(driver.window.describe, "_built", None)
    driver.window.enter(room)
    assert {str(error) for error in heard} == {room}
    assert driver.window.bar.rooms[room].isChecked()
    assert getattr(driver.window, widget).isVisible()
    driver.window.enter("Move")


def test_a_window_that_fails_to_fit(driver: Driver, monkeypatch: pytest.MonkeyPatch) -> None:
    heard: list[type[BaseException]] = []
    monkeypatch.setattr(sys, "excepthook", lambda kind, error, trace: heard.append(kind))
    with monkeypatch.context() as broken:
        broken.setattr(driver.window, "_fit_strips", lambda: [][1])
        driver.window.resize(1300, 800)
    driver.window.resize(1280, 800)
    assert heard == [IndexError]
