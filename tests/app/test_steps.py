"""Every kind of step is undone and done again, one by one, and each time all is as it was then."""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app import examples
from app.describe import wind
from app.describe.bits import Slider
from app.describe.room import Describe
from app.document import live, tree
from app.document.document import Document
from kinematics.clearance import Cancelled
from kinematics.project import files
from kinematics.project.edit import move_top
from kinematics.project.furnish import add_part
from kinematics.project.model import Project
from kinematics.project.survey import HeightReading
from kinematics.project.unfold import unfold
from tests.app.conftest import Driver

# What makes steps, and who tries them: in this file or where their hands are.
MAKERS = {
    "describe/draft.py", "describe/mount.py", "hand/carry.py", "hand/face_drags.py",
    "hand/point_drags.py", "mount/mounting.py", "statics/cases.py",
    "statics/ride.py", "survey/bench.py", "survey/more.py", "fixes/room.py",
    "window/importing.py",
}  # fmt: skip


def test_no_step_is_made_where_none_is_tried() -> None:
    root, found = Path(live.__file__).parents[1], set()
    for path in root.rglob("*.py"):
        if path.parent.name == "document" or path.name == "screenshot.py":
            continue
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(call, ast.Call) and isinstance(call.func, ast.Attribute)):
                continue
            if call.func.attr in {"edit", "finish", "accept", "wait"} and "document" in ast.unparse(
                call.func.value
            ):
                found.add(path.relative_to(root).as_posix())
    assert found == MAKERS


class Steps:
    """What there was after each step, kept as it is made."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.states = [self.now()]
        self.begun = document.stack.index()

    def now(self) -> tuple[Project | None, Project | None]:
        return self.document.project, self.document.described

    def did(self, what: str) -> None:
        """One step more, so called."""
        assert self.document.stack.undoText().startswith(what), self.document.stack.undoText()
        self.states.append(self.now())
        assert self.states[-1] != self.states[-2], what
        assert self.document.stack.index() == self.begun + len(self.states) - 1, what

    def walk(self) -> None:
        """All the way down and up again, twice."""
        stack = self.document.stack
        for _ in range(2):
            for state in self.states[-2::-1]:
                what = stack.undoText()
                stack.undo()
                assert self.now() == state, what
            assert stack.index() == self.begun
            for state in self.states[1:]:
                what = stack.redoText()
                stack.redo()
                assert self.now() == state, what
        assert not stack.canRedo()


def test_what_is_described(describing: Callable[[Project], Describe]) -> None:
    room = describing(files.read(examples.examples()["rear-in-trouble"]))
    document, deeds = room.document, room.deeds
    steps = Steps(document)
    room.go("Points")
    type_in(room, ("points", "upper link inner", 0), "3 1/4 in")
    steps.did("change")
    deeds.add_at(("adjusters",))
    steps.did("add")
    name = next(iter(document.project.adjusters))
    slider = Slider(room.theme, 0.0, 2.0)
    wind.slide(room, slider, lambda p, v: tree.put(p, ("adjusters", name, "set"), v), "wind")
    slider.slid.emit(0.5)  # as a key does
    steps.did("wind")
    slider.setSliderDown(True)
    for value in (0.6, 0.8, 1.0):  # as a hand does: one step
        slider.slid.emit(value)
    slider.setSliderDown(False)
    steps.did("wind")
    deeds.drop_at(("adjusters", name))
    steps.did("remove")
    made = deeds.make("add a part", lambda p: add_part(p, "box"))
    steps.did("add a part")
    deeds.copy("parts", made)
    steps.did(f"copy {made}")
    deeds.rename(("parts", made), "shelf")
    steps.did(f"call {made} shelf")
    deeds.remove(("parts",), "shelf")
    steps.did("remove shelf")
    room.mirror()
    steps.did("mirror")
    document.edit(move_top(document.project, -4.0, 2.0, 0.0), "move the top mount")
    steps.did("move the top mount")
    deeds.change("take the arrangement apart", unfold)
    steps.did("take the arrangement apart")
    steps.walk()
    slider.deleteLater()


def test_what_waits_for_what_it_lacks(describing: Callable[[Project], Describe]) -> None:
    room = describing(unfold(files.read(examples.examples()["rear-five-links"])))
    document, deeds = room.document, room.deeds
    steps = Steps(document)
    deeds.copy("links", "upper link")
    steps.did("copy upper link")
    type_in(room, ("points", new_point(room), 1), "-250")
    steps.did("change")
    document.edit(move_top(document.project, 4.0, 0.0, 0.0), "slide the top mount")
    steps.did("slide the top mount")
    room.mirror()
    steps.did("mirror")
    room.draft.give_up()
    steps.did("give up")
    deeds.remove(("links",), "toe link")
    steps.did("remove toe link")
    assert room.draft.waits
    steps.walk()
    assert room.draft.waits


@pytest.fixture
def unchecked(driver: Driver, monkeypatch: pytest.MonkeyPatch) -> Iterator[Driver]:
    """The window, with nothing worked out of what is changed but where it stands."""

    def never(*_: object) -> None:
        raise Cancelled

    monkeypatch.setattr(live, "full", never)
    yield driver
    driver.document.stack.setClean()
    driver.window.enter("Move")


def test_what_hands_and_the_other_rooms_do(unchecked: Driver) -> None:
    window, document = unchecked.window, unchecked.document
    stood = mounted(unchecked)
    steps = Steps(document)
    window.pad.setFocus()
    QTest.keyClick(window.pad, Qt.Key.Key_Right)
    steps.did("move the top mount")
    window.mounting.tower_along(False)
    steps.did("have the tower stay")
    window.enter("Describe")
    unchecked.app.processEvents()
    at = unchecked.spot(np.array(document.project.points["lower link inner"]))
    unchecked.drag(at, (0, -12))
    steps.did("move lower link inner")
    window.enter("Springs")
    cases = window.statics.cases
    cases.choose("3 g bump")
    cases.add_case()
    steps.did("add a load case")
    cases.drop_case()
    steps.did("remove")
    bench = window.measuring.bench
    bench.leave_out(2)
    steps.did("leave a reading out")
    bench.add(HeightReading(point="hub inner"))
    steps.did("add a reading")
    bench.again(len(bench.readings) - 1)
    steps.did("measure a reading again")
    window.measuring.more.setup("290")
    steps.did("say the set-up height")
    assert document.preview(move_top(document.project, 0.0, -6.0, 0.0))
    document.accept("move the mount inboard")
    steps.did("move the mount inboard")
    steps.walk()
    document.stack.setIndex(steps.begun)
    unchecked.app.processEvents()
    assert np.allclose(mounted(unchecked), stood, atol=1e-3)
    document.stack.setIndex(steps.begun + 1)
    unchecked.app.processEvents()
    assert not np.allclose(mounted(unchecked), stood, atol=0.1)


def mounted(driver: Driver) -> np.ndarray:
    """Where the top mount is drawn."""
    return driver.stage.scene.pieces["top mount"].points()


def type_in(room: Describe, path: tree.Path, text: str) -> None:
    room.reveal(path)
    field = room.fields[path]
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)


def new_point(room: Describe) -> str:
    return next(name for name in room.project.points if name not in room.document.project.points)
