"""A check stopped with Esc says so, and Esc begins it again."""

from __future__ import annotations

from app.document.results import STOPPED
from kinematics.project.edit import move_top
from tests.app.conftest import Driver, wait


def test_esc_stops_a_check_says_so_and_begins_it_again(driver: Driver) -> None:
    document, headline = driver.document, driver.window.headline
    document.edit(move_top(document.project, dx=1.0, dy=0.0, dz=0.0), "move the top mount")
    wait(driver.app, lambda: document.jobs.busy in ("first", "study"))
    driver.key_escape()
    assert document.ended == STOPPED
    wait(driver.app, lambda: not document.checked and document.jobs.busy == "")
    assert headline.first.saying.text == "Not checked."
    assert headline.first.saying.detail == STOPPED
    driver.key_escape()
    assert document.ended == ""
    driver.settle()
    assert headline.first.saying.text not in ("Not checked.", "Not checked yet.")
    document.stack.undo()
    driver.settle()
