"""The room of springs, joints and forces, driven with real events."""

import math
from collections.abc import Iterator

import msgspec
import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from app.statics.panel import Rows, RowView
from app.statics.rows import Row
from kinematics.statics.cases import USUAL_CASES
from kinematics.statics.loading import top_force

from .census import forget
from .conftest import Driver, wait


@pytest.fixture
def room(driver: Driver) -> Iterator[Driver]:
    """The window in the room of springs; back to moving afterwards."""
    QTest.mouseClick(driver.window.bar.rooms["Springs"], Qt.MouseButton.LeftButton)
    page(driver, "Ride")
    yield driver
    while driver.document.stack.canUndo():
        driver.document.stack.undo()
    driver.document.stack.setClean()
    driver.window.enter("Move")


def page(room: Driver, word: str) -> None:
    QTest.mouseClick(room.window.statics.buttons[word], Qt.MouseButton.LeftButton)
    room.app.processEvents()


def view(rows: Rows, begins: str) -> RowView:
    return next(v for v in rows.views if not v.isHidden() and v.row.label.startswith(begins))


def row(rows: Rows, begins: str) -> Row:
    return view(rows, begins).row


def click(room: Driver, widget: QWidget) -> None:
    QTest.mouseClick(widget, Qt.MouseButton.LeftButton, pos=QPoint(40, 8))
    room.app.processEvents()


def type_in(room: Driver, field: QWidget, words: str) -> None:
    field.setFocus()
    QTest.keyClick(field, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClicks(field, words)
    QTest.keyClick(field, Qt.Key.Key_Return)
    room.app.processEvents()


def test_the_story_stands_there_and_leads_to_where_it_happens(room: Driver) -> None:
    ride = room.window.statics.pages["Ride"]
    assert row(ride.story, "The car rides at −0.4")
    assert "eye centre to eye centre" in " ".join(
        label.text() for label in ride.findChildren(type(room.window.statics.message))
    )
    click(room, view(ride.story, "The bump stop meets"))
    assert room.document.travel == pytest.approx(79.9, abs=0.1)
    room.app.processEvents()
    assert row(ride.present, "Bump stop").note.startswith(("pushes", "it is solid"))


def test_readouts_follow_the_wheel(room: Driver) -> None:
    ride = room.window.statics.pages["Ride"]
    for _ in range(3):
        room.key(Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    room.app.processEvents()
    assert room.document.travel == pytest.approx(30.0)
    length = float(room.document.now.measures.figures["damper"][0, 0])
    shown = float(row(ride.present, "Damper").value.removesuffix(" mm"))
    assert shown == pytest.approx(length, abs=0.1)
    assert ride.present.title == "Here, at +30.0 mm"
    # 50 N/mm, 350 mm free, 170 mm taken by seat and hat
    pushed = 50.0 * (350.0 - (length - 170.0))
    told = row(ride.present, "Spring between").note
    assert told.startswith("squashed")
    assert f"pushes {round(pushed, -1):.0f} N" in told


def test_a_joint_row_goes_to_where_it_uses_most(room: Driver) -> None:
    page(room, "Joints")
    joints = room.window.statics.pages["Joints"].joints
    foot = row(joints, "Coilover foot")
    assert foot.share == pytest.approx(3.6 / 5.0, abs=0.02)
    click(room, view(joints, "Coilover foot"))
    assert room.document.travel == pytest.approx(foot.target[0], abs=0.01)
    room.app.processEvents()
    assert row(joints, "Coilover foot").now == pytest.approx(foot.share, abs=0.02)
    assert row(room.window.statics.pages["Joints"].shafts, "Drive shaft plunge").value


def test_forces_are_drawn_on_the_tower_for_the_case_chosen(room: Driver) -> None:
    window, statics = room.window, room.window.statics
    without = room.pixels()
    page(room, "Forces")
    assert statics.arrows in window.stage.extras
    assert room.pixels() != without
    chooser = statics.cases.chooser
    chooser.setFocus()
    while chooser.currentText() != "bump and braking":
        QTest.keyClick(chooser, Qt.Key.Key_Down)
    chooser.activated.emit(chooser.currentIndex())
    room.app.processEvents()
    assert statics.cases.case == USUAL_CASES["bump and braking"]
    found = statics.now.found()
    top = top_force(found.forces, "top bearing")[0, 0]
    shown = row(statics.pages["Forces"].forces, "Top mount").value
    assert shown == f"{np.linalg.norm(top) / 1000:.1f} kN"
    # the top mount's arrow starts at the bearing and points the way the force does
    push, start, end, told = statics.arrows._arrows(window.stage, statics.now.pushes()[0])[-1]
    assert push.top
    assert told == shown
    bearing, beyond = window.stage.spots(np.stack([push.at[0], push.at[0] + top * 0.01]))
    assert (start.x(), start.y()) == pytest.approx(tuple(bearing), abs=1.0)
    drawn = math.atan2(end.y() - start.y(), end.x() - start.x())
    asked = math.atan2(*(beyond - bearing)[::-1])
    assert drawn == pytest.approx(asked, abs=0.05)
    page(room, "Ride")
    assert statics.arrows not in window.stage.extras


def test_a_case_settles_where_a_click_goes(room: Driver) -> None:
    page(room, "Forces")
    statics = room.window.statics
    statics.cases.choose("3 g bump")
    forces = statics.pages["Forces"]
    assert row(forces.rest, "It settles at +76.3")
    click(room, view(forces.rest, "It settles"))
    room.app.processEvents()
    assert room.document.travel == pytest.approx(76.3, abs=0.1)
    # there the coilover pushes as spring and stop do
    pushes = [row(forces.rest, name).value for name in ("Spring seat", "Bump stop")]
    assert pushes == ["6510 N push", "3860 N push"]
    assert row(forces.forces, "Coilover").value == "10.4 kN push"


def test_a_load_case_is_changed_named_added_and_removed_by_undoable_steps(room: Driver) -> None:
    page(room, "Forces")
    cases, document = room.window.statics.cases, room.document
    cases.choose("3 g bump")
    before = row(room.window.statics.pages["Forces"].forces, "Top mount").value
    type_in(room, cases.fields["up"], "4")
    assert document.project.loads.cases["3 g bump"].up == 4.0
    assert len(document.project.loads.cases) == len(USUAL_CASES) - 1  # standing is not typed
    room.app.processEvents()
    assert row(room.window.statics.pages["Forces"].forces, "Top mount").value != before
    type_in(room, cases.rename, "pothole")
    assert cases.name == "pothole"
    assert document.project.loads.cases["pothole"].up == 4.0
    click(room, cases.add)
    assert cases.name == "case 1"
    assert document.project.loads.cases["case 1"].up == 4.0
    click(room, cases.drop)
    assert "case 1" not in document.project.loads.cases
    for _ in range(4):
        document.stack.undo()
    assert document.project.loads.cases is None
    assert cases.chooser.findText("pothole") == -1


def test_what_can_not_stand_is_said_and_changes_nothing(room: Driver) -> None:
    page(room, "Forces")
    statics = room.window.statics
    statics.cases.choose("1 g braking")
    project = room.document.project
    type_in(room, statics.cases.fields["back"], "much")
    assert statics.message.isVisible()
    assert room.document.project is project
    QTest.keyClick(statics.cases.fields["back"], Qt.Key.Key_Escape)
    corner = statics.pages["Forces"].corner
    type_in(room, corner.fields["unsprung_kg"], "400")
    assert "unsprung" in statics.message.text()
    assert room.document.project is project
    QTest.keyClick(corner.fields["unsprung_kg"], Qt.Key.Key_Escape)
    assert not statics.message.isVisible()


def test_scrolling_over_a_choice_changes_nothing(room: Driver) -> None:
    page(room, "Forces")
    chooser = room.window.statics.cases.chooser
    name, steps = chooser.currentText(), room.document.stack.count()
    at = QPointF(chooser.rect().center())
    turn = QWheelEvent(
        at, chooser.mapToGlobal(at), QPoint(0, 0), QPoint(0, -120), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(chooser, turn)
    room.app.processEvents()
    assert chooser.currentText() == name
    assert room.document.stack.count() == steps


def test_standing_still_can_not_be_changed(room: Driver) -> None:
    page(room, "Forces")
    cases = room.window.statics.cases
    cases.choose("standing")
    assert not cases.fields["up"].isEnabled()
    assert not cases.drop.isEnabled()


def test_where_brake_torque_goes_is_asked(room: Driver) -> None:
    page(room, "Forces")
    statics = room.window.statics
    statics.cases.choose("1 g braking")
    forces = statics.pages["Forces"].forces
    outboard = row(forces, "Radius arm ball").value
    torque = statics.pages["Forces"].corner.torques["brake"]
    torque.setCurrentText("inboard")
    torque.activated.emit(torque.currentIndex())
    room.app.processEvents()
    assert room.document.project.loads.brake == "inboard"
    assert row(forces, "Radius arm ball").value != outboard
    room.document.stack.undo()
    assert room.document.project.loads.brake == "outboard"


def down_and_up(room: Driver, what: str) -> None:
    """Undo what was just done and do it again: the project is as it was each time."""
    document = room.document
    after = document.project
    assert document.stack.undoText() == what
    document.stack.undo()
    assert document.project != after
    assert document.stack.redoText() == what
    document.stack.redo()
    assert document.project == after


def test_a_seat_is_wound_and_a_spring_fitted(room: Driver) -> None:
    ride, document = room.window.statics.pages["Ride"], room.document
    type_in(room, ride.wanted, "8")
    assert row(ride.choice, "To ride at +8.0 on this spring: wind its seat down")
    seat = document.project.coilover.spring.seat_from_foot
    click(room, view(ride.choice, "To ride at"))
    assert document.project.coilover.spring.seat_from_foot < seat - 5.0
    down_and_up(room, "wind the spring seat")
    room.settle()
    assert not [v for v in ride.choice.views if v.row.act.startswith("wind")]
    document.stack.undo()
    room.settle()
    assert row(ride.choice, "To ride at +8.0 on this spring: wind its seat down")
    suits = next(v for v in ride.choice.views if v.row.act.startswith("fit"))
    rate = float(suits.row.label.split()[0])
    click(room, suits)
    assert document.project.coilover.spring.rate_n_per_mm == rate
    down_and_up(room, "fit another spring")
    room.settle()
    assert row(ride.story, "The car rides at +8.0")
    document.stack.undo()
    assert document.project.coilover.spring.rate_n_per_mm == 50.0


def test_the_top_mount_moves_to_share_the_stroke(room: Driver) -> None:
    ride, document = room.window.statics.pages["Ride"], room.document
    type_in(room, ride.shared, "55")
    QTest.mouseClick(ride.finder, Qt.MouseButton.LeftButton)
    wait(room.app, lambda: ride.place is not None and not ride.sharing.isHidden())
    assert row(ride.sharing, "Top mount up the coilover's line by 6.5 mm")
    top = document.project.points["top bearing"]
    click(room, view(ride.sharing, "Top mount"))
    moved = document.project.points["top bearing"]
    assert np.linalg.norm(np.subtract(moved, top)) == pytest.approx(6.54, abs=0.01)
    scene = room.stage.scene
    there = scene.pieces["top mount"].points()
    down_and_up(room, "share the stroke anew")
    assert np.allclose(scene.pieces["top mount"].points(), there, atol=1e-6)
    document.stack.undo()
    assert document.project.points["top bearing"] == top
    assert not np.allclose(scene.pieces["top mount"].points(), there, atol=0.01)
    type_in(room, ride.shared, "140")
    assert "between 0 and 100" in room.window.statics.message.text()
    QTest.keyClick(ride.shared, Qt.Key.Key_Escape)


def test_readouts_stay_while_the_mount_slides(room: Driver) -> None:
    """What was known over the travel stays, what stands here follows the hand."""
    page(room, "Joints")
    document, joints = room.document, room.window.statics.pages["Joints"].joints
    before = [r.label for r in joints.rows()]
    angle = row(joints, "Top bearing").value
    start = document.project
    document.begin()
    for k in range(1, 4):
        document.drag(document.slide_mount(start, 0.0, -6.0 * k))
        for _ in range(5):
            room.app.processEvents()
        assert sorted(r.label for r in joints.rows()) == sorted(before)
    assert row(joints, "Top bearing").value != angle
    document.revert()
    document.finish("slide")
    room.app.processEvents()


def test_a_corner_without_weights_asks_for_them(room: Driver) -> None:
    statics, document = room.window.statics, room.document
    document.edit(msgspec.structs.replace(document.project, loads=None), "forget the weights")
    page(room, "Forces")
    assert statics.pages["Forces"].forces.rows() == []
    assert statics.now.pushes() == ((), "")
    type_in(room, statics.pages["Forces"].corner.fields["corner_kg"], "300")
    assert document.project.loads.corner_kg == 300.0
    room.app.processEvents()
    assert row(statics.pages["Forces"].forces, "Top mount").value
    document.stack.undo()
    assert document.project.loads is None
    room.settle()
    page(room, "Ride")
    assert "scales" in statics.pages["Ride"].choice.rows()[0].label


def test_rows_that_are_no_longer_told_are_let_go(driver: Driver) -> None:
    rows = Rows(driver.window.theme)
    for count in (5, 2, 3):
        rows.show_rows([Row(f"row {k}") for k in range(count)])
        forget()
        assert len(rows.findChildren(RowView)) == len(rows.rows()) == count
    rows.hide()
    rows.deleteLater()
    forget()
