"""A scan turned and moved: typed in its fields, pulled by the square at its middle, put back."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import msgspec
import numpy as np
import pytest
import trimesh
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel

from app.hand.grips import handles
from app.stage import mesh
from app.window import importing
from app.window.importing import ScanCard
from kinematics.shapes import scan
from tests.app.conftest import Driver

PATH = ("parts", "tank")
AWAY = np.array([0.0, -23.0, 31.0])
MIDDLE = np.array([-150.0, 250.0, 700.0])  # clear of the corner


@pytest.fixture
def tank(driver: Driver, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Driver]:
    """The corner with a box brought in, its page open, seen from the front."""
    made = trimesh.creation.box(extents=(60, 80, 100))
    made.apply_translation(MIDDLE)
    (tmp_path / "away").mkdir()
    made.export(tmp_path / "away" / "tank.stl")
    assert driver.document.save(tmp_path / "car.corner.json")
    monkeypatch.setattr(ScanCard, "ask", lambda self: ("mm", "chassis"))
    assert importing.bring_in(driver.window, tmp_path / "away" / "tank.stl")
    driver.window.enter("Describe")
    driver.app.processEvents()
    driver.window.view("front")
    driver.window.describe.show_part("tank")
    driver.settle()
    yield driver
    while driver.document.stack.canUndo():
        driver.document.stack.undo()
    driver.window.enter("Move")


def standing(driver: Driver) -> np.ndarray:
    """Where the middle of what is drawn stands."""
    return driver.stage.scene.pieces["tank"].points().mean(axis=0)


def typed(driver: Driver, path: tuple[str | int, ...], text: str) -> None:
    field = driver.window.describe.fields[path]
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)
    driver.settle()


def pull(driver: Driver, spot: QPointF, move: np.ndarray) -> QPointF:
    """Press at a spot and go as far as the tank's middle moved so goes on the stage."""
    driver.press(spot)
    by = driver.spot(MIDDLE + move) - driver.spot(MIDDLE)
    for k in range(1, 5):
        driver.move(spot + by * (k / 4))
    return spot + by


def test_turn_and_move_are_typed_in_degrees_and_either_unit(tank: Driver) -> None:
    document = tank.document
    typed(tank, (*PATH, "move", 2), "1 in")
    assert document.project.parts["tank"].move == pytest.approx((0.0, 0.0, 25.4))
    assert np.allclose(standing(tank), MIDDLE + np.array([0.0, 0.0, 25.4]), atol=1e-2)
    typed(tank, (*PATH, "turn_deg", 2), "-90")
    turned = np.array([MIDDLE[1], -MIDDLE[0], MIDDLE[2] + 25.4])  # left goes to the front
    assert document.project.parts["tank"].turn_deg == (0.0, 0.0, -90.0)
    assert np.allclose(standing(tank), turned, atol=1e-2)
    assert np.allclose(np.ptp(tank.stage.scene.pieces["tank"].points(), axis=0), (80, 60, 100))
    document.stack.undo()
    document.stack.undo()
    assert np.allclose(standing(tank), MIDDLE, atol=1e-2)
    typed(tank, (*PATH, "turn_deg", 0), "400")  # more than a turn: red, in a sentence
    field = tank.window.describe.fields[*PATH, "turn_deg", 0]
    assert "360 or less" in field.error
    assert document.project.parts["tank"].turn_deg == (0.0, 0.0, 0.0)
    typed(tank, (*PATH, "turn_deg", 0), "0")


def test_rows_say_what_their_columns_are_and_fields_their_sign(tank: Driver) -> None:
    words = [label.text() for label in tank.window.describe.findChildren(QLabel)]
    assert "turn  about x, y, z" in words
    assert "move  x, y, z mm" in words
    fields = tank.window.describe.fields
    tips = [fields[*PATH, "turn_deg", k].toolTip() for k in range(3)]
    assert [tip.split(";")[1] for tip in tips] == [
        " positive lifts its left side", " positive lowers its front",
        " positive swings its front to the left",
    ]  # fmt: skip


def test_the_square_at_its_middle_moves_it_in_one_step(
    tank: Driver, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is read, sorted or thinned again; what is drawn goes along with the hand."""
    document = tank.document
    for module, name in ((scan, "read_scan"), (mesh, "thinned")):
        monkeypatch.setattr(module, name, None)
    tree = scan.scan_of(document.project.parts["tank"], document.folder).surface.tree
    steps = document.stack.count()
    spot = dict(handles(document.project, tank.stage))["tank"]
    assert (spot - tank.spot(MIDDLE)).manhattanLength() < 0.5
    tank.hover(spot)
    assert tank.window.hands.points.grip.name == "tank"
    end = pull(tank, spot, AWAY)
    assert np.allclose(standing(tank), MIDDLE + AWAY, atol=1.6)
    assert document.stack.count() == steps
    tank.drop(end)
    tank.settle()
    assert document.stack.undoText() == "move the tank"
    assert document.stack.count() == steps + 1
    move = document.project.parts["tank"].move
    assert np.allclose(move, AWAY, atol=1.6)
    assert scan.scan_of(document.project.parts["tank"], document.folder).surface.tree is tree
    document.stack.undo()
    assert np.allclose(standing(tank), MIDDLE, atol=1e-2)


def test_escape_puts_it_back_and_an_amount_moves_it(tank: Driver) -> None:
    document, before = tank.document, tank.document.project
    spot = dict(handles(before, tank.stage))["tank"]
    pull(tank, spot, AWAY)
    tank.key(Qt.Key.Key_Escape)
    assert document.project == before
    assert np.allclose(standing(tank), MIDDLE, atol=1e-2)
    pull(tank, spot, AWAY)
    for letter in "z 12":
        QTest.keyClicks(tank.window, letter)
    tank.key(Qt.Key.Key_Return)
    assert document.project.parts["tank"].move == (0.0, 0.0, 12.0)


def test_it_comes_level_with_its_neighbours(tank: Driver) -> None:
    """The box about it snaps: its top to the height of a point that is near."""
    document = tank.document
    points = {**document.project.points, "stranger": (0.0, 0.0, 770.0)}
    assert document.edit(msgspec.structs.replace(document.project, points=points), "add a point")
    spot = dict(handles(document.project, tank.stage))["tank"]
    tank.drop(pull(tank, spot, np.array([0.0, 0.0, 20.0])))
    assert document.project.parts["tank"].move[2] == pytest.approx(20.0, abs=1e-4)


def test_what_is_turned_away_by_its_body_has_no_square(tank: Driver) -> None:
    """It would go another way than the hand."""
    document = tank.document
    carried = msgspec.structs.replace(document.project.parts["tank"], body="upright")
    parts = {**document.project.parts, "tank": carried}
    assert document.edit(msgspec.structs.replace(document.project, parts=parts), "carry it")
    tank.settle()
    assert "tank" in dict(handles(document.project, tank.stage))
    document.set_travel(40.0)
    tank.settle()
    assert "tank" not in dict(handles(document.project, tank.stage))
    document.set_travel(0.0)
