"""How far what is held goes, typed with real keys: along its way, by axis, taken or given up."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest

from app.document import live
from app.hand.amounts import moved_words, read_move
from app.hand.grips import handles
from kinematics.errors import EntryError
from kinematics.measures import measure
from kinematics.motion import corner, move
from kinematics.project.grips import middle_of
from kinematics.project.unfold import unfold
from tests.app.conftest import Driver

RIGHT_UP = np.array([1.0, 0.0, 1.0]) / np.sqrt(2.0)


@pytest.mark.parametrize(
    ("text", "units", "along", "wanted"),
    [
        ("12", "mm", (1, 0, 0), (12, 0, 0)),
        ("1/2 in", "mm", (0, 0, 1), (0, 0, 12.7)),
        ("-3", "mm", (0, 1, 0), (0, -3, 0)),
        ("1/2", "in", (1, 0, 0), (12.7, 0, 0)),
        ("x 12", "mm", None, (12, 0, 0)),
        ("X12,5 z -3", "mm", (0, 1, 0), (12.5, 0, -3)),
        ("y 10 + 2", "mm", None, (0, 12, 0)),
        ("z=4; x=1 in", "mm", None, (25.4, 0, 4)),
    ],
)
def test_amounts_are_read(text: str, units: str, along: tuple | None, wanted: tuple) -> None:
    way = None if along is None else np.array(along, float)
    assert np.allclose(read_move(text, units, way), wanted)


@pytest.mark.parametrize(
    ("text", "along", "said"),
    [
        ("12", None, "which way"),
        ("12 x 3", RIGHT_UP, "without its axis"),
        ("x much", None, "much"),
        ("", RIGHT_UP, "Nothing"),
        ("x", None, "Nothing"),
        ("90000", RIGHT_UP, "farther than a car"),
        ("z -30000", None, "farther than a car"),
    ],
)
def test_what_cant_be_read_is_said(text: str, along: np.ndarray | None, said: str) -> None:
    with pytest.raises(EntryError, match=said):
        read_move(text, "mm", along)


def test_a_move_is_told_in_the_cars_own_words_on_either_side() -> None:
    move = np.array([3.0, -12.0, 0.01])
    assert moved_words(move, 1.0, "mm") == "12.0 mm inboard, 3.0 forward"
    assert moved_words(move, -1.0, "mm") == "12.0 mm outboard, 3.0 forward"
    assert moved_words(np.array([0.0, 0.0, -12.7]), 1.0, "in") == "0.500 in down"
    assert moved_words(np.zeros(3), 1.0, "mm") == "as it was"


# --- with hands and keys ----------------------------------------------------------------------


def type_in(driver: Driver, text: str) -> None:
    QTest.keyClicks(driver.window, text)
    driver.app.processEvents()


@pytest.fixture
def undone(driver: Driver) -> Iterator[Driver]:
    yield driver
    while driver.document.stack.canUndo():
        driver.document.stack.undo()
    driver.window.enter("Move")


def test_the_mount_in_the_hand_goes_exactly_as_far_as_typed_the_way_it_was_pulled(
    undone: Driver,
) -> None:
    document, hands = undone.document, undone.window.hands
    top = live.top_mount(document.project)
    start = undone.spot(top)
    undone.press(start)
    undone.move(start + QPointF(-14, 4))
    undone.move(start + QPointF(-20, 6))
    way = live.top_mount(document.project) - top
    way /= np.linalg.norm(way)
    assert ("or type", "12, 1/2 in, x −3") in undone.stage.rows or hands._typed
    type_in(undone, "12")
    rows = dict(undone.stage.rows)
    assert rows["by"].startswith("12")
    assert {"moved", "clearance", "camber change", "toe change", "damper left"} <= set(rows)
    assert hands.ghost in undone.stage.extras
    assert np.allclose(live.top_mount(document.project) - top, 12.0 * way, atol=1e-6)
    undone.move(start + QPointF(-50, 6))  # the pointer says nothing while an amount is typed
    assert np.allclose(live.top_mount(document.project) - top, 12.0 * way, atol=1e-6)
    QTest.keyClick(undone.window, Qt.Key.Key_Return)
    undone.drop(start)
    assert np.allclose(live.top_mount(document.project) - top, 12.0 * way, atol=1e-6)
    assert document.stack.count() == 1
    assert document.stack.undoText() == "move the top mount"
    assert not undone.stage.rows
    assert hands.ghost not in undone.stage.extras


def test_escape_gives_up_what_is_typed_and_letters_keep_their_meaning(undone: Driver) -> None:
    document, before = undone.document, undone.document.project
    start = undone.spot(live.top_mount(before))
    undone.press(start)
    undone.move(start + QPointF(-14, 4))
    type_in(undone, "x 1/2 in")
    assert document.project != before
    QTest.keyClick(undone.window, Qt.Key.Key_Escape)
    undone.drop(start)
    assert document.project == before
    assert document.stack.count() == 0
    camera = undone.stage.camera
    type_in(undone, "3")  # nothing is held: square from the side again
    assert undone.stage.camera != camera
    undone.window.view("3d")


def test_a_click_or_a_key_chooses_the_mount_and_what_cant_be_read_is_waited_for(
    undone: Driver,
) -> None:
    document = undone.document
    top = live.top_mount(document.project)
    QTest.mouseClick(undone.stage, Qt.MouseButton.LeftButton, pos=undone.spot(top).toPoint())
    undone.app.processEvents()
    assert dict(undone.stage.rows)["top mount"].startswith("type how far")
    assert document.drag_start is None
    type_in(undone, "12")
    QTest.keyClick(undone.window, Qt.Key.Key_Return)  # which way?
    assert "which way" in undone.window.notice.sentence
    assert np.allclose(live.top_mount(document.project), top)
    for _ in range(2):
        QTest.keyClick(undone.window, Qt.Key.Key_Backspace)
    type_in(undone, "y -3 x 2")
    QTest.keyClick(undone.window, Qt.Key.Key_Return)
    assert np.allclose(live.top_mount(document.project) - top, (2, -3, 0))
    assert document.stack.count() == 1
    undone.key(Qt.Key.Key_G)
    assert undone.stage.rows
    undone.key_escape()
    assert not undone.stage.rows
    undone.key(Qt.Key.Key_G)
    type_in(undone, "z 1")
    undone.press(undone.spot(np.array([0.0, 0.0, 0.0])))  # elsewhere: given up
    undone.drop(undone.spot(np.array([0.0, 0.0, 0.0])))
    assert np.allclose(live.top_mount(document.project) - top, (2, -3, 0))


def test_an_axis_letter_keeps_the_hand_to_it(undone: Driver) -> None:
    document = undone.document
    top = live.top_mount(document.project)
    start = undone.spot(top)
    undone.press(start)
    undone.move(start + QPointF(-14, 4))
    type_in(undone, "y")
    assert dict(undone.stage.rows)["by"].startswith("y")
    undone.move(start + QPointF(-30, 10))
    move = live.top_mount(document.project) - top
    assert np.flatnonzero(move).tolist() == [1]
    undone.drop(start + QPointF(-30, 10))  # a letter alone is no amount to wait for
    assert undone.window.hands.typing is None
    assert np.allclose(live.top_mount(document.project) - top, move)
    assert document.stack.count() == 1


def test_along_one_way_an_amount_needs_no_axis(undone: Driver) -> None:
    document, hands = undone.document, undone.window.hands
    top = live.top_mount(document.project)
    hands.way = "in-out"
    try:
        undone.key(Qt.Key.Key_G)
        type_in(undone, "5")
        QTest.keyClick(undone.window, Qt.Key.Key_Return)
    finally:
        hands.way = "plate"
    assert np.allclose(live.top_mount(document.project) - top, (0, -5, 0))  # inward, on the left


def test_the_wheel_in_the_hand_goes_to_the_travel_typed_or_as_far_as_it_can(
    undone: Driver,
) -> None:
    document = undone.document
    start = undone.on_tyre()
    undone.press(start)
    undone.move(start + QPointF(0, -20))
    type_in(undone, "33,5")
    assert document.travel == 33.5
    assert dict(undone.stage.rows)["travel to"].startswith("33,5")
    QTest.keyClick(undone.window, Qt.Key.Key_Return)
    undone.drop(start)
    assert document.travel == 33.5
    undone.press(undone.on_tyre())
    type_in(undone, "300")
    assert document.travel == document.limits[1]
    QTest.keyClick(undone.window, Qt.Key.Key_Return)
    assert "no farther" in undone.window.notice.sentence
    undone.key_escape()
    undone.drop(start)
    assert document.travel == 33.5


def test_a_point_and_a_bracket_in_the_hand_take_amounts_too(undone: Driver) -> None:
    document = undone.document
    undone.window.enter("Describe")
    undone.app.processEvents()
    before = document.project
    name = "upper link inner"
    spot = undone.spot(np.array(before.points[name]))
    undone.press(spot)
    type_in(undone, "z -12 x 1/2 in")
    rows = dict(undone.stage.rows)
    assert rows["moved"] == "12.7 mm forward, 12.0 down"
    # Beside the hand stands what it does to camber and toe in full bump: as the new corner has it.
    study = document.study
    i = int(np.argmin(np.abs(study.travel - document.limits[1])))
    at = float(study.travel[i])
    now, was = (
        measure(whole, move(corner(whole), np.array([at]), np.zeros(1)))
        for whole in (unfold(document.project), unfold(before))
    )
    for key, least in (("camber", 0.2), ("toe", 0.05)):
        words, told = next((k, v) for k, v in rows.items() if k.startswith(f"{key} change at"))
        change = np.degrees(now[key][0, 0] - was[key][0, 0])
        assert float(told.rstrip("°").replace("−", "-")) == pytest.approx(change, abs=0.006), key
        assert abs(change) > least, key
        assert f"{at:.1f}" in words
    QTest.keyClick(undone.window, Qt.Key.Key_Return)
    undone.drop(spot)
    moved = np.subtract(document.project.points[name], before.points[name])
    assert np.allclose(moved, (12.7, 0, -12))
    part = "radius arm bracket"
    middle = middle_of(before, part)
    spot = dict(handles(document.project, undone.stage))[part]
    undone.press(spot)
    undone.move(spot + QPointF(4, 0))
    type_in(undone, "y 3")
    QTest.keyClick(undone.window, Qt.Key.Key_Return)
    undone.drop(spot)
    assert np.allclose(middle_of(document.project, part) - middle, (0, 3, 0))
    assert document.stack.count() == 2


def test_an_amount_not_taken_is_given_up_by_another_room_and_another_project(
    undone: Driver,
) -> None:
    document, window, hands = undone.document, undone.window, undone.window.hands
    before = document.project
    undone.key(Qt.Key.Key_G)
    type_in(undone, "x 12")
    window.enter("Springs")
    assert document.project == before
    assert hands.typing is None
    assert not undone.stage.held
    window.enter("Move")
    undone.key(Qt.Key.Key_G)
    type_in(undone, "x 12")
    document.start(before, None, True)
    assert document.project is before
    assert document.drag_start is None
    assert hands.typing is None
    undone.settle()


def test_undo_puts_back_what_is_held_before_it_takes_a_step(undone: Driver) -> None:
    document, window = undone.document, undone.window
    assert document.edit(document.slide_mount(document.project, 2.0, 0.0), "slide")
    slid = document.project
    undone.key(Qt.Key.Key_G)
    type_in(undone, "x 12")
    assert document.project != slid
    window.do("undo")
    assert document.project == slid
    assert document.drag_start is None
    assert document.stack.index() == 1
    window.do("undo")
    assert document.stack.index() == 0
