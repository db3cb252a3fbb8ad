"""Describing the corner: fields, points pulled in the view, the other side, undo of each."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from app import examples
from app.describe.pages import PAGES
from app.document import tree
from app.entry import Field
from kinematics.errors import ProjectError
from kinematics.project import files
from kinematics.project.equipment import Tyre
from tests.app.conftest import Driver

CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def form(driver: Driver) -> Iterator[Driver]:
    driver.window.enter("Describe")
    driver.app.processEvents()
    yield driver
    driver.window.enter("Move")


def field_of(driver: Driver, path: tree.Path) -> Field:
    """The field of an entry, with the hand in it."""
    driver.window.describe.reveal(path)
    driver.app.processEvents()
    return driver.window.describe.fields[path]


def type_in(driver: Driver, path: tree.Path, text: str) -> None:
    field = field_of(driver, path)
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)
    driver.app.processEvents()


@pytest.mark.parametrize(
    ("text", "mm"),
    [("120", 120.0), ("80 + 25.4", 105.4), ("3 1/4 in", 82.55), ("80,5", 80.5), ("-20.25", -20.25)],
)
def test_a_point_typed_in_moves_it(form: Driver, text: str, mm: float) -> None:
    before = form.document.project
    type_in(form, ("points", "upper link inner", 0), text)
    assert form.document.project.points["upper link inner"][0] == pytest.approx(mm)
    assert form.window.describe.fields["points", "upper link inner", 0].error == ""
    form.document.stack.undo()
    assert form.document.project == before


def test_what_cant_stand_is_named_at_the_field_and_the_corner_lives_on(form: Driver) -> None:
    before, revision = form.document.project, form.document.revision
    field = field_of(form, ("wheel", "tyre", "size"))
    type_in(form, ("wheel", "tyre", "size"), "banana")
    assert "banana" in field.error
    assert form.window.describe.message.isVisible()
    assert field.text() == "banana"
    assert (form.document.project, form.document.revision) == (before, revision)
    form.document.set_travel(20.0)
    assert form.document.travel == 20.0
    type_in(form, ("wheel", "tyre", "size"), "205/50R15")
    assert field.error == ""
    assert not form.window.describe.message.isVisible()
    assert form.document.project.wheel.tyre.size == "205/50R15"


def test_arrow_keys_step_a_field(form: Driver) -> None:
    field = field_of(form, ("coilover", "open"))
    value = form.document.project.coilover.open
    QTest.keyClick(field, Qt.Key.Key_Up)
    assert form.document.project.coilover.open == value + 1
    QTest.keyClick(field, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert form.document.project.coilover.open == value - 9


def test_a_point_pulled_in_the_view(form: Driver) -> None:
    form.window.describe.go("Points")
    before = form.document.project
    xyz = np.array(before.points["lower link inner"], float)
    start = form.spot(xyz)
    form.drag(start, (0, -25))
    moved = np.array(form.document.project.points["lower link inner"])
    assert np.linalg.norm(moved - xyz) > 10
    assert form.window.describe.fields["points", "lower link inner", 2].text() != "227.0"
    assert form.document.stack.index() == 1
    form.document.stack.undo()
    assert form.document.project == before


def test_the_other_side_of_the_car_and_back(form: Driver) -> None:
    before = form.document.project
    form.window.describe.mirror()
    assert form.document.project.side == "right"
    assert form.document.project.points["top bearing"][1] == -before.points["top bearing"][1]
    assert form.stage.floor.out == -1.0
    form.document.stack.undo()
    assert form.document.project == before


def test_every_field_of_every_page_reads_back_what_it_shows(form: Driver) -> None:
    project, room = form.document.project, form.window.describe
    seen = 0
    for page in PAGES:
        room.go(page.word)
        for _ in range(2 + len(room.folds)):
            for path, field in room.fields.items():
                field.take()
                assert field.error == "", path
            seen += len(room.fields)
            closed = next((p for p, f in room.folds.items() if not f.isChecked()), None)
            if closed is not None:
                room.folds[closed].click()
    assert seen > 150
    assert form.document.project is project
    assert form.document.stack.index() == 0


def test_a_tree_says_what_is_wrong() -> None:
    assert {e.path[-1] for e in tree.entries(Tyre, ("wheel", "tyre"))} >= {"size", "growth"}
    project = files.read(examples.examples()["rear-put-right"])
    for path, value, said in (
        (("wheel", "tyre", "free_radius"), -5.0, "This should be more than 0."),
        (("wheel", "tyre", "growth"), -5.0, "This should be 0 or more."),
        (("wheel", "camber_deg"), 95.0, "This should be 90 or less."),
        (("wheel", "tyre", "size"), "205/50R99", 'marking: "205/50R99" has a rim diameter of 99'),
    ):
        with pytest.raises(ProjectError) as caught:
            tree.put(project, path, value)
        assert said in tree.in_words(caught.value, path)


def test_an_entry_that_can_t_be_is_refused(driver: Driver) -> None:
    with pytest.raises(ProjectError):
        tree.put(driver.document.project, ("coilover", "open"), -3.0)


def test_what_is_wrong_is_said_without_moving_a_row(form: Driver) -> None:
    path: tree.Path = ("points", "upper link inner", 0)
    room, field = form.window.describe, field_of(form, path)

    def places() -> list[QPoint]:
        return [f.mapTo(form.window, QPoint(0, 0)) for f in room.fields.values()]

    before = places()
    type_in(form, path, "banana")
    assert room.message.isVisible()
    assert not room.meaning.isVisible()
    assert places() == before
    QTest.keyClick(field, Qt.Key.Key_Escape)
    form.app.processEvents()
    assert room.meaning.isVisible()
    assert places() == before


def test_undo_from_within_a_field_takes_typing_back_first_then_the_entry(form: Driver) -> None:
    stack, before = form.document.stack, form.document.project
    form.window.activateWindow()
    assert QTest.qWaitForWindowActive(form.window)
    field = field_of(form, ("points", "upper link inner", 0))
    field.selectAll()
    QTest.keyClicks(field, "25")
    QTest.keyClick(field, Qt.Key.Key_Z, CONTROL)
    assert not field.isModified()
    type_in(form, ("points", "upper link inner", 0), "25")
    assert stack.canUndo()
    below = form.window.focusWidget()
    assert isinstance(below, Field)
    QTest.keyClick(below, Qt.Key.Key_Z, CONTROL)
    assert form.document.project == before
    QTest.keyClick(below, Qt.Key.Key_Z, CONTROL | Qt.KeyboardModifier.ShiftModifier)
    assert form.document.project.points["upper link inner"][0] == 25.0
    stack.undo()


def test_inches_typed_as_millimetres_are_asked_about_until_taken_back(form: Driver) -> None:
    room, place = form.window.describe, ("points", "upper link inner", 1)
    was = form.document.project.points["upper link inner"][1]
    type_in(form, place, f"{was / 25.4:.2f}")
    field_of(form, ("points", "upper link inner", 2))
    assert "in meant?" in room.meaning.text()
    form.document.stack.undo()
    assert "meant" not in room.meaning.text()
