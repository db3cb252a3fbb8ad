"""Corners of boxes, feet, gussets and arches pulled in the view with real events."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import msgspec
import numpy as np
import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest

from app.document.document import Document
from app.hand.grips import Grip
from kinematics.project.fitted import add_fitting
from kinematics.project.furnish import add_part
from kinematics.project.grips import corners_of, edges_of
from kinematics.project.model import Gusset, Project
from tests.app.conftest import Driver

GUSSET = Gusset(on="front", at=560.0, height=60.0, depth=55.0)


@pytest.fixture
def form(driver: Driver, monkeypatch: pytest.MonkeyPatch) -> Iterator[Driver]:
    """The corner described, with nothing of the wheel in the way and nothing studied afresh."""
    monkeypatch.setattr(Document, "_ask", lambda _: None)
    monkeypatch.setattr(Document, "_ask_coarse", lambda _: None)
    driver.window.enter("Describe")
    for part in ("tyre", "wheel"):
        driver.window.actions_.select(part)
        driver.window.actions_.hide()
    driver.app.processEvents()
    yield driver
    while driver.document.stack.canUndo():
        driver.document.stack.undo()
    driver.window.actions_.show_all()
    driver.window.enter("Move")


def reached(form: Driver, name: str, point: np.ndarray) -> QPointF:
    """A place on the stage that takes hold of what is called so, near a point of it."""
    for dx, dy in product((0, -3, 3, -6, 6), repeat=2):
        at = QPointF((form.spot(point) + QPointF(dx, dy)).toPoint())
        if (grip := held(form, at)) is not None and grip.name == name:
            return at
    raise AssertionError(f"{name} can't be taken hold of")


def held(form: Driver, at: QPointF) -> Grip | None:
    """What a press there would take, if not a point."""
    if form.window.hands.points.at(form.stage, at):
        return None
    return form.window.hands._grip(form.stage, at, form.stage.pick(at))


def typed_taken_back_and_clicked(
    form: Driver, name: str, spot: QPointF, amount: str, moved: Project
) -> None:
    """Typed it goes exactly so far; Esc and undo bring it back; a click goes to its field."""
    document, before = form.document, form.document.project
    form.press(spot)
    form.move(spot + QPointF(6, -18))
    assert document.project != before
    assert form.window.hands.ghost in form.stage.extras
    assert {"clearance", "damper left"} <= set(dict(form.stage.rows))
    form.key_escape()
    form.drop(spot)
    assert document.project == before
    assert not form.stage.rows
    form.press(spot)
    form.move(spot + QPointF(6, -18))
    QTest.keyClicks(form.window, amount)
    QTest.keyClick(form.window, Qt.Key.Key_Return)
    form.drop(spot)
    assert document.project.parts == moved.parts
    assert document.project == moved
    assert document.stack.undoText() == f"move the {name}"
    document.stack.undo()
    assert document.project == before
    grip = held(form, spot)
    QTest.mouseClick(form.stage, Qt.MouseButton.LeftButton, pos=spot.toPoint())
    form.app.processEvents()
    assert form.window.focusWidget() is form.window.describe.fields[grip.entry]


def test_a_corner_of_a_box_is_pulled_any_way(form: Driver) -> None:
    project, name = add_part(form.document.project, "box")
    form.document.edit(project, "a box", strict=True)
    corner = next(c for c in corners_of(project, name) if c.name.startswith("upper rear outer"))
    spot = reached(form, corner.name, corner.at)
    form.hover(spot)
    assert form.window.hands.points.grip.name == corner.name
    moved = corner.pull(project, np.array([-12.5, 0.0, 0.0]))
    typed_taken_back_and_clicked(form, corner.name, spot, "x -12.5", moved)
    # The hand moves it in the plane of the picture.
    axes, size = form.stage.camera.axes, form.stage.mm_per_px
    form.drag(spot, (-14, -11), steps=2)
    now = form.document.project.parts[name]
    ends = [getattr(part, end) for part in (now, project.parts[name]) for end in ("least", "most")]
    grown = np.abs(np.subtract(ends[:2], ends[2:])).sum(0)
    assert np.allclose(grown, np.abs((-14 * axes[0] + 11 * axes[1]) * size), atol=1.7)


@pytest.mark.parametrize(
    ("name", "amount", "move"),
    [
        ("inner corner of the front panel's foot", "z -7.5", (0.0, 0.0, -7.5)),
        ("front corner of the outer panel's fold", "y 6", (0.0, 6.0, 0.0)),
    ],
)
def test_a_corner_of_a_panels_foot_is_pulled_in_its_panel(
    form: Driver, name: str, amount: str, move: tuple[float, float, float]
) -> None:
    project = form.document.project
    corner = next(c for c in corners_of(project, "tower") if c.name == name)
    spot = reached(form, name, corner.at)
    moved = corner.pull(project, np.array(move))
    typed_taken_back_and_clicked(form, name, spot, amount, moved)


def test_a_gusset_is_pulled_by_its_ends_and_shifted_along_its_panel(form: Driver) -> None:
    project = form.document.project
    tower = msgspec.structs.replace(project.tower, gussets=(GUSSET,))
    project = msgspec.structs.replace(project, tower=tower)
    form.document.edit(project, "a gusset", strict=True)
    edges = [e for e in edges_of(project, "tower") if "gusset" in e.name]
    assert len(edges) == 3
    for each in edges:
        spot = reached(form, each.name, each.ends.mean(axis=0))
        typed_taken_back_and_clicked(form, each.name, spot, "4", each.pull(project, 4.0))
    spot = reached(form, "gusset on the tower's front panel", edges[0].line.mean(0))
    grip = held(form, spot)
    moved = grip.moved(project, 9.0 * grip.along)
    assert moved.tower.gussets[0].at == GUSSET.at + 9.0
    assert msgspec.structs.replace(moved.tower, gussets=(GUSSET,)) == project.tower
    typed_taken_back_and_clicked(form, grip.name, spot, "9", moved)


def test_an_arch_is_pulled_by_its_edges_and_its_round(form: Driver) -> None:
    project, name = add_fitting(form.document.project, "arch")
    form.document.edit(project, "an arch", strict=True)
    arch = project.parts[name]
    edges = edges_of(project, name)
    form.window.view("3d")
    form.app.processEvents()
    done = set()
    for each in edges:
        at = each.ends.mean(axis=0)
        for word, across in ((each.name, 1.0), (f"round of the {name}", 20.0)):
            way = np.sign((arch.inner + arch.outer) / 2 - at[1])
            spot = QPointF(form.spot(at + np.array([0.0, across * way, 0.0])).toPoint())
            grip = held(form, spot)
            if word in done or grip is None or grip.name != word:
                continue
            if (form.spot(at + 30.0 * grip.along) - form.spot(at)).manhattanLength() < 6:
                continue  # it goes towards the eye here
            done.add(word)
            moved = grip.moved(project, 5.0 * grip.along)
            assert moved != project
            typed_taken_back_and_clicked(form, grip.name, spot, "5", moved)
    assert {f"{word} of the {name}" for word in ("outer edge", "round")} <= done
    assert len(done) >= 4
