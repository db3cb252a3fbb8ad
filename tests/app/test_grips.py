"""Brackets, panel edges and folds pulled in the view, with real events; undone in one step."""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np
import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest

from app.hand.grips import handles
from app.hand.snapping import neighbours, snapped_in_plane, snapped_move, staying
from kinematics.project.furnish import add_part
from kinematics.project.grips import corners_of, edges_of, middle_of, normal_of
from tests.app.conftest import Driver


@pytest.fixture
def form(driver: Driver) -> Iterator[Driver]:
    driver.window.enter("Describe")
    driver.app.processEvents()
    driver.window.view("3d")
    driver.settle()
    yield driver
    while driver.document.stack.canUndo():
        driver.document.stack.undo()
    driver.window.enter("Move")


def along(form: Driver, start: QPointF, point: np.ndarray, move: np.ndarray) -> None:
    """Pull from a place on the stage as far as a point moved so goes there."""
    form.press(start)
    by = form.spot(point + move) - form.spot(point)
    for k in range(1, 5):
        form.move(start + by * (k / 4))


def test_a_bracket_goes_with_the_link_end_bolted_to_it(form: Driver) -> None:
    before = form.document.project
    spot = dict(handles(before, form.stage))["radius arm bracket"]
    form.hover(spot)
    assert form.window.hands.points.grip.name == "radius arm bracket"
    # Square from the front: the hand moves it across and up, and nothing forward.
    form.window.view("front")
    form.app.processEvents()
    middle = middle_of(before, "radius arm bracket")
    along(form, form.spot(middle), middle, np.array([0.0, -20.0, 12.0]))
    told = dict(form.stage.rows)
    form.drop(form.spot(middle))
    assert re.fullmatch(r"(19|2[01])\.\d mm inboard, 1[123]\.\d up", told["radius arm bracket"])
    assert told["goes along"] == "radius arm ball"
    now = form.document.project
    shift = middle_of(now, "radius arm bracket") - middle
    assert np.allclose(shift, (0.0, -20.0, 12.0), atol=1.6)
    end = np.subtract(now.points["radius arm ball"], before.points["radius arm ball"])
    assert np.allclose(end, shift)
    assert form.document.stack.undoText() == "move the radius arm bracket"
    form.document.stack.undo()
    assert form.document.project == before


def test_with_ctrl_the_link_end_stays(form: Driver) -> None:
    before = form.document.project
    form.window.view("front")
    form.app.processEvents()
    middle = middle_of(before, "radius arm bracket")
    spot = form.spot(middle)
    form.drag(spot, (6, -8), mods=Qt.KeyboardModifier.ControlModifier)
    now = form.document.project
    assert not np.allclose(middle_of(now, "radius arm bracket"), middle)
    assert now.points == before.points


def test_escape_puts_a_bracket_back(form: Driver) -> None:
    before = form.document.project
    spot = dict(handles(before, form.stage))["radius arm bracket"]
    form.press(spot)
    form.move(spot + QPointF(20, 10))
    assert form.document.project != before
    form.key_escape()
    form.drop(spot)
    assert form.document.project == before
    assert not form.stage.rows


@pytest.mark.parametrize(
    ("entry", "move"), [("outer_down_to", (0.0, 0.0, -15.0)), ("lip", (0.0, 9.0, 0.0))]
)
def test_a_panels_foot_and_its_fold_are_pulled(
    form: Driver, entry: str, move: tuple[float, float, float]
) -> None:
    before = form.document.project
    edge = next(e for e in edges_of(before, "tower") if e.entry[-1] == entry)
    place = None
    inward = np.array([0.0, 0.0, 1.0]) if entry == "outer_down_to" else np.array([0.0, -1.0, 0.0])
    form.window.actions_.select("tyre")
    form.window.actions_.hide()
    for view in ("front", "3d", "side", "top"):
        form.window.view(view)
        form.app.processEvents()
        for share in np.linspace(0.1, 0.9, 17):  # a place of it that is to be seen
            point = edge.ends[0] + share * (edge.ends[1] - edge.ends[0]) + 1.5 * inward
            spot = QPointF(form.spot(point).toPoint())
            grip = form.window.hands._grip(form.stage, spot, form.stage.pick(spot))
            far = form.spot(point + np.array(move)) - spot
            if grip is not None and grip.name == edge.name and far.manhattanLength() > 4:
                place = point
                break
        if place is not None:
            break
    assert place is not None
    spot = form.spot(place)
    along(form, QPointF(spot.toPoint()), place, np.array(move))
    form.drop(form.spot(place + np.array(move)))
    form.window.actions_.show_all()
    by = getattr(form.document.project.tower, entry) - getattr(before.tower, entry)
    assert by == pytest.approx(sum(move), abs=1.7)
    assert form.document.stack.index() == 1
    form.document.stack.undo()
    assert form.document.project == before


def test_a_click_takes_the_hand_to_where_it_is_typed(form: Driver) -> None:
    project, describe = form.document.project, form.window.describe
    name = "upper link inner"
    spot = form.spot(np.array(project.points[name]))
    QTest.mouseClick(form.stage, Qt.MouseButton.LeftButton, pos=spot.toPoint())
    assert form.window.focusWidget() is describe.fields["points", name, 0]
    spot = dict(handles(project, form.stage))["radius arm bracket"]
    QTest.mouseClick(form.stage, Qt.MouseButton.LeftButton, pos=spot.toPoint())
    form.app.processEvents()
    entry = ("parts", "radius arm bracket", "least", 0)
    assert form.window.focusWidget() is describe.fields[entry]
    assert form.document.project is project


def test_a_move_snaps_where_an_end_comes_level_with_a_neighbour() -> None:
    at = np.array([[0.0, 0.0, 0.0], [10.0, 5.0, 5.0]])
    others = [np.array([21.0]), np.array([]), np.array([-3.0])]
    assert np.allclose(snapped_move(np.array([10.2, 3.33, 0.0]), at, others), (11.0, 3.3, 0.0))


def reached(form: Driver, name: str, point: np.ndarray) -> QPointF:
    """A place on the stage that takes hold of what is called so, near a point of it."""
    for dx in range(-8, 9, 2):
        for dy in range(-8, 9, 2):
            at = QPointF((form.spot(point) + QPointF(dx, dy)).toPoint())
            grip = form.window.hands._grip(form.stage, at, form.stage.pick(at))
            if grip is not None and grip.name == name:
                return at
    raise AssertionError(f"{name} can't be taken hold of")


def test_a_corner_of_a_plate_is_pulled_in_its_plane_snaps_and_is_typed(form: Driver) -> None:
    project, name = add_part(form.document.project, "plate")
    form.document.edit(project, "a plate", strict=True)
    form.window.describe.present(("parts",), name)
    for part in ("tyre", "wheel"):
        form.window.actions_.select(part)
        form.window.actions_.hide()
    form.window.view("3d")
    form.app.processEvents()
    corner = corners_of(project, name)[1]
    words = f"corner 2 of the {name}"
    spot = reached(form, words, corner.at)
    form.hover(spot)
    assert form.window.hands.points.grip.name == words
    # Nearly as far back as its neighbour: it comes level with it, and says so.
    along(form, spot, corner.at, np.array([-20.0, 0.0, -24.6]))
    rows = dict(form.stage.rows)
    assert {"clearance", "damper left"} <= set(rows)
    assert [k for k in rows if k.startswith(("camber change at +", "toe change at +"))]
    assert form.window.hands.ghost in form.stage.extras
    moved = np.subtract(form.document.project.parts[name].outline, project.parts[name].outline)
    assert np.abs(moved @ normal_of(project.parts[name])).max() < 1e-9
    assert not moved[[0, 2, 3]].any()
    assert np.linalg.norm(moved[1] - (-20.0, 0.0, -24.6)) < 4.0
    QTest.keyClicks(form.window, "x 12.5")
    QTest.keyClick(form.window, Qt.Key.Key_Return)
    form.drop(spot)
    x, y, z = project.parts[name].outline[1]
    assert form.document.project.parts[name].outline[1] == (x + 12.5, y, z)
    assert form.window.describe.fields["parts", name, "outline", 1, 0].text() == f"{x + 12.5:.1f}"
    assert form.document.stack.undoText() == f"move the {words}"
    form.document.stack.undo()
    assert form.document.project == project
    spot = reached(form, words, corner.at)
    QTest.mouseClick(form.stage, Qt.MouseButton.LeftButton, pos=spot.toPoint())
    form.app.processEvents()
    field = form.window.describe.fields["parts", name, "outline", 1, 0]
    assert form.window.focusWidget() is field
    form.window.actions_.show_all()


def test_a_corner_of_the_tower_is_pulled(form: Driver) -> None:
    before = form.document.project
    form.window.view("top")
    form.app.processEvents()
    corner = next(c for c in corners_of(before, "tower") if "front inner" in c.name)
    spot = reached(form, corner.name, corner.at)
    along(form, spot, corner.at, np.array([18.0, 0.0, 0.0]))
    form.drop(form.spot(corner.at))
    now = form.document.project.tower
    assert now.front - before.tower.front == pytest.approx(18.0, abs=2.0)
    assert now.inner == pytest.approx(before.tower.inner, abs=0.6)
    assert now.rear == before.tower.rear
    form.document.stack.undo()
    assert form.document.project == before


def test_what_lit_up_goes_out_when_undo_moves_it(form: Driver) -> None:
    spot = dict(handles(form.document.project, form.stage))["radius arm bracket"]
    form.drag(spot, (12, -8))
    assert form.window.hands.points.grip is not None  # the hand is still on it
    form.document.stack.undo()
    assert form.window.hands.points.grip is None


def test_a_corner_in_a_slanting_plane_comes_level_without_leaving_it() -> None:
    normal = np.array([0.0, 0.6, 0.8])
    at = np.array([10.0, 20.0, 30.0])
    level = snapped_in_plane(
        np.array([4.2, 7.7, -5.9]), at, (np.array([15.0]), np.array([28.5]), np.array([])), normal
    )
    assert level @ normal == pytest.approx(0.0, abs=1e-12)
    assert level[0] == pytest.approx(5.0)
    assert level[1] == pytest.approx(8.5)
    free = snapped_in_plane(np.array([4.24, 8.0, -6.0]), at, (np.array([]),) * 3, normal)
    assert np.allclose(free, (4.2, 8.0, -6.0))


def test_neighbours_are_all_but_what_goes_along(form: Driver) -> None:
    project, name = add_part(form.document.project, "plate")
    corner = corners_of(project, name)[1]
    found = staying(project, corner.pull(project, np.array([0.01, 0.0, 0.01])))
    x = project.parts[name].outline[1][0]
    names = [n for n, v in zip(found.names[0], found.values[0], strict=True) if v == x]
    assert f"corner 3 of the {name}" in names
    assert f"corner 2 of the {name}" not in names
    assert found.level(np.array(project.points["hub inner"]), 2)
    assert found.level(np.array([1e4, 1e4, 1e4]), 0) == ""
    assert "hub inner" not in neighbours(project, "hub inner").names[0]
    foot = next(e for e in edges_of(project, "tower") if e.entry[-1] == "outer_down_to")
    kept = staying(project, foot.pull(project, 0.01))
    words = "foot of the tower's {} panel"
    assert words.format("front") in kept.names[2]
    assert words.format("outer") not in kept.names[2]
