"""Parts and links added, copied and removed; the mount moved by typed amounts and along ways."""

from __future__ import annotations

from collections.abc import Iterator
from types import SimpleNamespace

import numpy as np
import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QComboBox, QPushButton, QToolButton

from app.describe.pages import NEW
from app.document import live
from app.entry import Field
from app.hand.sliding import SlideMount, nearest_on_line
from app.hand.snapping import snapped
from tests.app.conftest import Driver


@pytest.fixture
def form(driver: Driver) -> Iterator[Driver]:
    driver.window.enter("Describe")
    driver.app.processEvents()
    yield driver
    driver.window.describe.set_way("plate")
    driver.window.enter("Move")


def press(form: Driver, name: str) -> None:
    """The button so named."""
    buttons = form.window.describe.findChildren(QToolButton)
    button = next(b for b in buttons if b.accessibleName() == name)
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    form.app.processEvents()


@pytest.mark.parametrize("kind", list(NEW))
def test_a_part_added_is_there_selected_and_undone(form: Driver, kind: str) -> None:
    before = form.document.project
    form.window.describe.go("Parts")
    button = next(b for b in form.window.describe.findChildren(QPushButton) if b.text() == "Add…")
    action = next(a for a in button.menu().actions() if a.text() == NEW[kind])
    action.trigger()
    form.app.processEvents()
    words = {"beam": "box section", "box": "block"}.get(kind, kind.replace("_", " "))
    name = f"new {words}"
    assert name in form.document.project.parts
    assert any(p.part == name and p.selected for p in form.stage.scene.pieces.values())
    form.settle()
    assert any(name in pair for pair in form.document.study.names) or kind == "shaft"
    form.document.stack.undo()
    assert form.document.project == before
    assert not any(p.part == name for p in form.stage.scene.pieces.values())


def test_a_part_is_copied_its_copy_changed_and_removed(form: Driver) -> None:
    before = form.document.project
    form.window.describe.reveal(("parts", "chassis rail", "thickness"))
    press(form, "Copy chassis rail")
    assert "chassis rail 2" in form.document.project.parts
    field = form.window.describe.fields["parts", "chassis rail 2", "least", 2]
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, "500")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert form.document.project.parts["chassis rail 2"].least[2] == 500
    press(form, "Remove chassis rail 2")
    assert form.document.project == before
    assert form.document.stack.index() == 3
    for _ in range(3):
        form.document.stack.undo()
    assert form.document.project == before


def test_a_link_the_wheel_hangs_on_cant_be_removed_and_says_why(form: Driver) -> None:
    form.window.describe.go("Links")
    apart = next(
        b for b in form.window.describe.findChildren(QPushButton) if b.text() == "Take apart"
    )
    QTest.mouseClick(apart, Qt.MouseButton.LeftButton)
    form.app.processEvents()
    assert form.document.project.arrangement is None
    before = form.document.project
    form.window.describe.reveal(("links", "upper link", "diameter"))
    press(form, "Remove upper link")
    assert form.document.project is before
    assert form.window.describe.message.isVisible()
    assert form.window.describe.message.text()
    form.document.stack.undo()


def test_the_mount_moves_by_typed_amounts(form: Driver) -> None:
    form.window.describe.go("Tower")
    top = live.top_mount(form.document.project)
    for name, text in (("forward", "-12"), ("inboard", "5/8 in"), ("up", "3")):
        field = next(
            f for f in form.window.describe.findChildren(Field)
            if f.accessibleName() == f"top mount {name}"
        )  # fmt: skip
        field.setFocus()
        field.selectAll()
        QTest.keyClicks(field, text)
    button = next(b for b in form.window.describe.findChildren(QPushButton) if b.text() == "Move")
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    moved = live.top_mount(form.document.project) - top
    assert np.allclose(moved, (-12, -15.875, 3))
    assert form.document.stack.index() == 1
    form.document.stack.undo()
    assert np.allclose(live.top_mount(form.document.project), top)


def test_the_mount_does_not_move_out_of_the_world(form: Driver) -> None:
    form.window.describe.go("Tower")
    project = form.document.project
    named = {f.accessibleName(): f for f in form.window.describe.findChildren(Field)}
    field = named["top mount up"]
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, "900000")
    button = next(b for b in form.window.describe.findChildren(QPushButton) if b.text() == "Move")
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    assert form.document.project is project
    assert form.window.describe.message.text()


@pytest.mark.parametrize(
    ("way", "axis"), [("fore-aft", (1, 0, 0)), ("in-out", (0, 1, 0)), ("up-down", (0, 0, 1))]
)
def test_the_hand_keeps_to_the_way_chosen(form: Driver, way: str, axis: tuple) -> None:
    form.window.describe.go("Tower")
    ways = next(
        b for b in form.window.describe.findChildren(QComboBox)
        if b.accessibleName().startswith("How the hand")
    )  # fmt: skip
    ways.setCurrentIndex(ways.findData(way))
    ways.activated.emit(ways.currentIndex())
    form.window.enter("Move")
    form.app.processEvents()  # the view is fitted anew once the room stands
    top = live.top_mount(form.document.project)
    start = form.spot(top)
    end = form.spot(top + 10.0 * np.array(axis, float))
    form.drag(start, (end.x() - start.x(), end.y() - start.y()))
    moved = live.top_mount(form.document.project) - top
    assert np.allclose(moved, 10.0 * np.array(axis), atol=1.5)
    assert np.count_nonzero(np.abs(moved) > 1e-9) == 1


def test_there_is_no_way_along_a_damper_whose_foot_is_nowhere() -> None:
    """As where the corner can't be put together at this travel: the mount must not go to NaN."""
    motion = SimpleNamespace(point=lambda _: np.full((1, 1, 3), np.nan))
    project = SimpleNamespace(coilover=SimpleNamespace(foot="foot"))
    pose = SimpleNamespace(motion=motion, project=project)
    hold = SimpleNamespace(
        hands=SimpleNamespace(way="damper"), document=SimpleNamespace(pose=pose), top=np.zeros(3)
    )
    assert SlideMount._way(hold) is None
    motion.point = lambda _: np.array([[[0.0, 0.0, -400.0]]])
    assert np.allclose(SlideMount._way(hold), (0, 0, 1))


def test_along_the_damper_it_stays_on_the_damper(form: Driver) -> None:
    form.window.describe.set_way("damper")
    form.window.enter("Move")
    form.app.processEvents()
    project = form.document.project
    top = live.top_mount(project)
    foot = form.document.pose.motion.point(project.coilover.foot)[0, 0]
    along = (top - foot) / np.linalg.norm(top - foot)
    form.drag(form.spot(top), (0, -25))
    moved = live.top_mount(form.document.project) - top
    assert np.linalg.norm(moved) > 5
    assert np.allclose(np.cross(moved / np.linalg.norm(moved), along), 0, atol=1e-6)


def test_nearest_on_line() -> None:
    along, eye = np.array([1.0, 0, 0]), np.array([7.0, 0, 10])
    assert nearest_on_line(np.zeros(3), along, eye, np.array([0, 0, -1.0])) == 7.0
    assert nearest_on_line(np.zeros(3), along, eye, along) == 0.0


def test_m_is_the_other_side_and_back(driver: Driver) -> None:
    before = driver.document.project
    driver.key(Qt.Key.Key_M)
    assert driver.document.project.side == "right"
    assert driver.document.project.title == before.title.replace("left", "right") != before.title
    assert "rear right" in driver.window.bar.title.title
    driver.document.stack.undo()
    assert driver.document.project.title == before.title
    driver.document.stack.redo()
    driver.key(Qt.Key.Key_M)
    assert driver.document.project == before


def test_a_face_pulled_in_the_view_follows_the_hand_and_undoes(form: Driver) -> None:
    form.window.view("3d")
    form.settle()
    document, before = form.document, form.document.project
    rail = before.parts["chassis rail"]
    spot, hit = None, None
    for share in np.linspace(0.05, 0.95, 40):  # a place of its upper face that is to be seen
        at = np.array([rail.least[0] + share * (rail.most[0] - rail.least[0]),
                       (rail.least[1] + rail.most[1]) / 2, rail.most[2]])  # fmt: skip
        spot = form.spot(at)
        hit = form.stage.pick(spot)
        near = form.window.hands.points.at(form.stage, spot)
        if (
            hit is not None
            and hit.piece.part == "chassis rail"
            and hit.normal[2] > 0.9
            and not near
        ):
            break
    assert hit is not None
    assert hit.piece.part == "chassis rail"
    form.press(spot)
    goal = form.spot(hit.point + np.array([0.0, 0.0, 20.0]))
    for k in range(1, 5):
        form.move(spot + (goal - spot) * (k / 4))
    top = form.stage.scene.pieces["chassis rail"].points()[:, 2].max()
    assert top == pytest.approx(rail.most[2] + 20, abs=1.6)
    form.drop(goal)
    moved = document.project.parts["chassis rail"]
    assert moved.most[2] == pytest.approx(rail.most[2] + 20, abs=1.6)
    assert moved.least == rail.least
    assert document.stack.index() == 1
    document.stack.undo()
    assert document.project == before


def test_coordinates_snap_to_their_neighbours() -> None:
    others = np.array([10.0, 12.0, 50.0])
    assert snapped(11.2, others) == 12.0
    assert snapped(30.04, others) == 30.0
    assert snapped(48.6, others) == 50.0


def test_the_keys_go_on_to_the_window_when_a_button_pressed_goes_away(form: Driver) -> None:
    form.window.activateWindow()
    form.window.describe.go("Links")
    form.app.processEvents()
    named = form.window.describe.findChildren(QPushButton)
    button = next(b for b in named if b.text() == "Add a link")
    button.setFocus()
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    form.app.processEvents()
    form.app.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    focus = form.window.focusWidget()
    assert focus is None or not form.window.bar.isAncestorOf(focus)
    form.document.stack.undo()
