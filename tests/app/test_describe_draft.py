"""Links, joints and arms changed one at a time: what can't stand yet waits, each step undone."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication

from app import examples
from app.describe.bits import Slider
from app.describe.pages import NEW_JOINTS
from app.describe.room import Describe
from app.document import tree
from kinematics.motion import mobility
from kinematics.project import files
from kinematics.project.edit import move_top
from kinematics.project.model import Project
from kinematics.project.unfold import unfold
from tests.app.conftest import Driver

FIVE = unfold(files.read(examples.examples()["rear-five-links"]))


@pytest.fixture
def room(describing: Callable[[Project], Describe]) -> Describe:
    """Five links taken apart, on the page they are on."""
    made = describing(FIVE)
    made.go("Links")
    return made


def press(room: Describe, name: str) -> None:
    """The button of that name, with a click."""
    button = next(
        b for b in room.findChildren(QAbstractButton) if name in (b.accessibleName(), b.text())
    )
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    QApplication.processEvents()


def test_a_link_is_changed_for_its_copy_while_the_last_corner_stays_alive(room: Describe) -> None:
    document, before = room.document, room.document.project
    room.unfold(("links",), "upper link", True)
    press(room, "Copy upper link")
    assert room.held.isVisible()
    assert room.held.title.text() == "One link too many."
    assert "upper link 2" in room.held.detail.text()
    assert document.project is before  # alive: the view shows it
    assert ("links", "upper link 2") in room.folds
    assert document.stack.undoText() == "copy upper link"
    room.unfold(("links",), "upper link", True)
    press(room, "Remove upper link")
    assert not room.held.isVisible()
    assert "nothing fights" in room.meaning.text()
    swapped = document.project
    assert "upper link" not in swapped.links
    assert "upper link 2" in swapped.links
    assert mobility(swapped).free == 1
    assert not mobility(swapped).fights
    assert document.stack.count() == 2
    document.stack.setClean()
    assert not document.dirty
    document.stack.undo()
    assert document.project == before
    assert room.held.title.text() == "One link too many."
    document.stack.undo()
    assert not room.held.isVisible()
    assert room.project == before
    document.stack.redo()
    document.stack.redo()
    assert document.project == swapped
    assert not room.held.isVisible()


def test_what_lacks_is_said_and_given_up(room: Describe) -> None:
    document, before = room.document, room.document.project
    room.unfold(("links",), "toe link", True)
    press(room, "Remove toe link")
    assert room.held.title.text() == "One link missing."
    assert "steer" in room.held.detail.text()
    assert ("links", "toe link") not in room.folds
    press(room, "Give up")
    assert not room.held.isVisible()
    assert room.project is document.project is before
    assert ("links", "toe link") in room.folds
    document.stack.undo()  # the giving up is a step too
    assert room.held.title.text() == "One link missing."


def test_an_arm_comes_with_its_joints_and_is_drawn_while_it_waits(room: Describe) -> None:
    shown: list[dict[str, np.ndarray]] = []
    room.drafted.connect(shown.append)
    press(room, "Add an arm")
    assert room.held.title.text() == "Two links too many."
    assert set(shown[-1]) == {"new arm front", "new arm rear"}
    assert all(line.shape == (2, 3) for line in shown[-1].values())
    assert {("joints", "new arm bushes"), ("joints", "new arm ball")} <= set(room.folds)
    for name in ("upper link", "upper rod"):
        room.deeds.remove(("links",), name)
    assert not room.held.isVisible(), room.held.detail.text()
    assert "new arm" in room.document.project.bodies
    assert shown[-1] == {}
    press(room, "Copy new arm")
    assert "new arm 2" in room.project.bodies
    room.deeds.remove_body("new arm")
    assert room.document.project.bodies == ("upright", "new arm 2")


@pytest.mark.parametrize("kind", NEW_JOINTS)
def test_each_kind_of_joint_is_added_unfolded_and_undone(room: Describe, kind: str) -> None:
    before = room.document.project
    menu = next(b for b in room.findChildren(QAbstractButton) if b.text() == "Add…").menu()
    action = next(a for a in menu.actions() if a.text() == NEW_JOINTS[kind])
    action.trigger()
    assert room.message.text() == ""
    name = next(n for n in room.project.joints if n not in before.joints)
    assert room.folds["joints", name].isChecked()
    assert room.held.isVisible()
    room.document.stack.undo()
    assert room.project == before


def test_what_waits_goes_along_with_what_else_is_done(room: Describe) -> None:
    document = room.document
    room.deeds.copy("links", "upper link")
    document.edit(move_top(document.project, 4.0, 0.0, 0.0), "slide the top mount")
    assert "upper link 2" in room.project.links
    top = document.project.coilover.top.point
    assert room.project.points[top] == document.project.points[top]
    room.mirror()
    assert room.project.side == "right"
    assert room.held.title.text() == "One link too many."
    point = room.project.links["upper link 2"].inner.point
    field_of = ("points", point, 1)
    room.reveal(field_of)
    field = room.fields[field_of]
    field.selectAll()
    QTest.keyClicks(field, "-250")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert room.project.points[point][1] == -250.0
    assert document.project.points.get(point) is None
    for _ in range(4):
        document.stack.undo()
    assert not room.draft.waits


def test_only_how_it_is_held_may_wait(room: Describe) -> None:
    before = room.document.project
    room.deeds.change("shorten", lambda p: tree.put(p, ("coilover", "open"), 12.0))
    assert room.message.text()
    assert not room.held.isVisible()
    assert room.document.project is room.project is before
    assert room.document.stack.count() == 0


@pytest.mark.parametrize("waits", [True, False])
def test_a_slider_pulled_beside_what_waits_makes_one_step(room: Describe, waits: bool) -> None:
    document, deeds = room.document, room.deeds
    deeds.change("thread", lambda p: tree.put(p, ("links", "upper link", "adjust_range"), (-9, 9)))
    deeds.copy("links", "upper link")
    name = "upper link 2" if waits else "lower link"
    if not waits:
        deeds.change("thread", lambda p: tree.put(p, ("links", name, "adjust_range"), (-9, 9)))
    room.unfold(("links",), name, True)
    slider = room.area.findChild(Slider)
    field = room.fields["links", name, "adjust"]
    stood, held, steps = document.project, document.described, document.stack.count()
    assert slider is not None
    at = slider.rect().center()
    QTest.mousePress(slider, Qt.MouseButton.LeftButton, pos=at)
    seen = []
    for by in (10, 20, 30):
        QTest.mouseMove(slider, at + QPoint(by, 0))
        seen.append(field.text())
        assert (document.project == stood) == waits  # else it is live in the view
    assert len(set(seen)) == 3  # it is live in its field
    assert document.stack.count() == steps
    QTest.mouseRelease(slider, Qt.MouseButton.LeftButton, pos=at + QPoint(30, 0))
    assert document.stack.count() == steps + 1
    assert document.stack.undoText() == f"wind {name}"
    wound, made = document.described.links[name].adjust, document.described
    assert wound > 1.0
    document.stack.undo()
    assert (document.project, document.described) == (stood, held)
    assert slider.value() == 0
    document.stack.redo()
    assert document.described == made
    there = at + QPoint(30, 0)
    QTest.mousePress(slider, Qt.MouseButton.LeftButton, pos=there)
    QTest.mouseMove(slider, at)
    QTest.mouseMove(slider, there)
    QTest.mouseRelease(slider, Qt.MouseButton.LeftButton, pos=there)
    assert document.stack.count() == steps + 1
    assert document.described == made
    QTest.keyClick(slider, Qt.Key.Key_Right)
    assert document.described.links[name].adjust == pytest.approx(wound + 0.5)
    assert document.stack.count() == steps + 2
    QTest.mousePress(slider, Qt.MouseButton.LeftButton, pos=at)
    document.edit(move_top(document.project, 4.0, 0.0, 0.0), "slide the top mount")
    assert document.described.links[name].adjust < 0.5  # it let go: a step of its own
    QTest.mouseRelease(slider, Qt.MouseButton.LeftButton, pos=at)
    assert document.stack.count() == steps + 4


def test_a_point_that_waits_is_pulled_in_the_view(driver: Driver) -> None:
    window, document = driver.window, driver.document
    document.start(FIVE)
    driver.settle()
    window.enter("Describe")
    window.describe.deeds.copy("links", "upper link")
    for _ in range(3):  # the view is fitted to the room that is left
        driver.app.processEvents()
    before, waiting = document.project, document.waiting
    name = next(iter(window.hands.points.begun))
    start = document.described.points[name]
    at = driver.spot(start)
    assert window.hands.points.at(driver.stage, at) == name
    driver.press(at)
    driver.move(at + QPointF(20, -30))
    assert document.described.points[name] != start
    driver.key_escape()
    assert document.waiting is waiting
    assert document.stack.count() == 1
    driver.drag(at, (20, -30))
    assert np.linalg.norm(np.subtract(document.described.points[name], start)) > 5.0
    assert document.project is before
    assert document.stack.undoText() == f"move {name}"
    document.stack.undo()
    assert document.described.points[name] == start
    assert document.stack.count() == 2
    document.stack.setClean()
    window.enter("Move")
