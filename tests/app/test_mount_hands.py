"""The top mount in the hand: slid in the view and on its pad, by real events."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest

from app.document import live
from app.look.palette import State
from kinematics.project.edit import move_top
from kinematics.project.furnish import add_part, move_face
from tests.app.conftest import Driver, wait


def test_the_mount_slides_in_the_stage_and_undo_brings_it_back(driver: Driver) -> None:
    document = driver.document
    start_project = document.project
    top = live.top_mount(document.project)
    tower = driver.stage.scene.pieces["tower"].pose.copy()
    start = driver.spot(top)
    driver.drag(start, (-30, 6))
    moved = live.top_mount(document.project)
    assert np.linalg.norm(moved - top) > 10
    assert moved[2] == top[2]  # it slides on the plate
    assert (
        abs(
            np.linalg.norm(
                driver.spot(moved).toTuple() - np.array((start + QPointF(-30, 6)).toTuple())
            )
        )
        < 3
    )
    assert document.stack.index() == 1
    assert not np.allclose(driver.stage.scene.pieces["tower"].pose, tower)
    driver.settle()
    assert document.study.project is document.project
    document.stack.undo()
    assert document.project == start_project
    assert np.allclose(driver.stage.scene.pieces["tower"].pose, tower, atol=1e-3)
    document.stack.redo()
    assert np.allclose(live.top_mount(document.project), moved)


def test_a_mount_brought_back_is_no_step(driver: Driver) -> None:
    start = driver.spot(live.top_mount(driver.document.project))
    driver.press(start)
    driver.move(start + QPointF(-20, 0))
    driver.key(Qt.Key.Key_Escape)
    driver.drop(start)
    assert driver.document.stack.index() == 0


def test_shift_keeps_the_mount_to_one_axis(driver: Driver) -> None:
    top = live.top_mount(driver.document.project)
    driver.drag(driver.spot(top), (-30, 8), mods=Qt.KeyboardModifier.ShiftModifier)
    move = live.top_mount(driver.document.project) - top
    assert np.count_nonzero(move) == 1


def test_the_pad_slides_the_mount(driver: Driver) -> None:
    pad, document = driver.window.pad, driver.document
    top = live.top_mount(document.project)
    assert pad.isVisible()
    pad.setFocus()
    QTest.keyClick(pad, Qt.Key.Key_Right)  # towards the middle of the car, on a left corner
    driver.app.processEvents()
    move = live.top_mount(document.project) - top
    assert np.allclose(move, (0, -1, 0))
    QTest.keyClick(pad, Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    move = live.top_mount(document.project) - top
    assert np.allclose(move, (10, -1, 0))
    assert document.stack.index() == 2


def test_while_the_mount_slides_the_headline_tells_what_touches_then(driver: Driver) -> None:
    first = driver.window.headline.first
    start = driver.spot(live.top_mount(driver.document.project))
    driver.press(start)
    driver.move(start + QPointF(8, 0))
    driver.move(start + QPointF(12, 0))
    study = driver.document.study
    wait(driver.app, lambda: driver.document.study is not study)
    assert first.saying.state is State.TOUCH
    assert "tower lip" in first.saying.text
    driver.key_escape()
    driver.drop(start)


def test_what_goes_with_a_sliding_mount_stands_again_once_it_is_let_go(driver: Driver) -> None:
    pieces = driver.stage.scene.pieces
    standing = {name for name, piece in pieces.items() if not piece.moving}
    top = driver.spot(live.top_mount(driver.document.project))
    driver.press(top)
    for k in range(1, 4):
        driver.move(top + QPointF(-6 * k, 3))
    assert {"tower", "top mount"} <= {name for name in standing if pieces[name].moving}
    assert not pieces["chassis rail"].moving
    driver.key_escape()
    driver.drop(top)
    assert {name for name, piece in pieces.items() if not piece.moving} == standing


def test_only_a_mount_that_slid_is_measured_near_it_alone(driver: Driver) -> None:
    start = driver.document.project
    slid = move_top(start, 3.0, -4.0, 0.0)
    assert live.slid_by(start, slid) == pytest.approx(5.0)
    wider, _ = add_part(start, "box")
    assert live.slid_by(start, wider) is None
    assert live.slid_by(start, move_face(start, "chassis rail", 1, 1, 40.0)) is None


def test_a_curve_still_wanted_as_the_hand_lets_go_does_not_drive_out_the_study(
    driver: Driver,
) -> None:
    document = driver.document
    document.begin()
    document.drag(document.slide_mount(document.project, -5.0, 0.0))
    document._coarse_wanted = True
    document._rest.start()
    document.finish("move the top mount")
    driver.settle()
    assert document.study.project is document.project
