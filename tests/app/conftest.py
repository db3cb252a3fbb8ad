"""A window on the example in trouble, driven with real events."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMessageBox

from app import examples
from app.describe.room import Describe
from app.document import live, results
from app.document.document import Document
from app.document.jobs import Asked, Progress
from app.look.theme import Theme
from app.stage import view
from app.window.start import dress
from app.window.window import Window
from kinematics.project import files
from kinematics.project.model import Project
from kinematics.studies.study import Study, set_up, study, travels

if TYPE_CHECKING:
    from app.document.live import Array
    from kinematics.studies.top_map import TopMap

PATIENCE = 120.0  # s, on a machine that does other things too


def wait(app: QApplication, until: Callable[[], object], limit: float = PATIENCE) -> None:
    """Let events run until something holds."""
    end = time.monotonic() + limit
    while not until():
        app.processEvents()
        time.sleep(0.004)
        assert time.monotonic() < end, "waited too long"


class Driver:
    """Hands and eyes on a window."""

    def __init__(self, app: QApplication, window: Window) -> None:
        self.app, self.window = app, window
        self.document = window.document
        self.stage = window.stage

    def settle(self) -> None:
        """Until the study on show is that of the project as it is, and none is to come.

        Of a corner that can't be checked it is how it moves, and the document says why.
        """
        document = self.document
        wait(
            self.app,
            lambda: (
                (document.checked or document.ended)
                and self._is_shown()
                and not document._later.isActive()
                and document.jobs.busy in ("", "map")
            ),
        )
        self.app.processEvents()

    def _is_shown(self) -> bool:
        """Whether the study is of the project as it is; one that can't move has none."""
        document = self.document
        if document.study is None:
            return bool(document.ended)
        return document.study.project is document.project

    def open(self, name: str) -> None:
        self.window.open(examples.examples()[name], example=True)
        self.settle()

    def spot(self, point: object) -> QPointF:
        """Where a point of the car stands on the stage."""
        x, y = self.stage.spots(point)  # type: ignore[arg-type]
        return QPointF(float(x), float(y))

    def press(
        self, at: QPointF, mods: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier
    ) -> None:
        self._held = mods
        self.hover(at)
        QTest.mousePress(self.stage, Qt.MouseButton.LeftButton, mods, at.toPoint())

    def hover(self, at: QPointF) -> None:
        """Move with no button held.

        Told to the stage itself: QTest's own moves the display's pointer, which the display may
        tell of only after what comes next.
        """
        self._tell_move(at, Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier)

    def move(self, at: QPointF) -> None:
        """Move with the button held."""
        self._tell_move(at, Qt.MouseButton.LeftButton, self._held)

    def _tell_move(self, at: QPointF, held: Qt.MouseButton, mods: Qt.KeyboardModifier) -> None:
        event = QMouseEvent(
            QEvent.Type.MouseMove, at, QPointF(self.stage.mapToGlobal(at.toPoint())),
            Qt.MouseButton.NoButton, held, mods,
        )  # fmt: skip
        QApplication.sendEvent(self.stage, event)
        self.app.processEvents()

    def drop(self, at: QPointF) -> None:
        QTest.mouseRelease(self.stage, Qt.MouseButton.LeftButton, self._held, at.toPoint())
        self.app.processEvents()

    def drag(
        self,
        start: QPointF,
        by: tuple[float, float],
        steps: int = 6,
        mods: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier,
    ) -> None:
        """Press, move in steps, let go."""
        self.press(start, mods)
        for k in range(1, steps + 1):
            self.move(start + QPointF(by[0] * k / steps, by[1] * k / steps))
        self.drop(start + QPointF(*by))

    def key(self, key: Qt.Key, mods: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        QTest.keyClick(self.window, key, mods)
        self.app.processEvents()

    def key_escape(self) -> None:
        """Put back what is held."""
        self.key(Qt.Key.Key_Escape)

    def pixels(self) -> bytes:
        """The stage as it is painted."""
        image = self.stage.grab().toImage()  # held: its bits go with it
        return bytes(image.constBits())

    def on_tyre(self) -> QPointF:
        """A place on the tyre's tread that is to be seen, near the height of its centre."""
        stage = self.stage
        centre = next(p for p in stage.scene.pieces.values() if p.kind == "tyre").pose[:, 3]
        middle = self.spot(centre)
        for right in range(0, 400, 4):
            at = middle + QPointF(right, 0)
            hit = stage.pick(at)
            if hit is not None and hit.piece.kind == "tyre":
                beyond = stage.pick(at + QPointF(24, 0))
                if beyond is not None and beyond.piece.kind == "tyre":
                    return QPointF(QPoint(round(at.x() + 12), round(at.y())))
        raise AssertionError("no tyre to be seen")


class AsShipped:
    """The examples, and what a window works out of them as they are: once for all tests.

    The studies are coarse: what is tested here are the hands, and the machine is slow. What a
    hand has changed is studied afresh, as it is in use.
    """

    def __init__(self) -> None:
        self.projects: dict[Path, Project] = {}
        self.found: dict[tuple[object, ...], Any] = {}
        self.really_read = files.read_all
        self.really_movable, self.really_mapped = live.movable, live.mapped

    def read(self, path: Path) -> Project:
        """A project; an example is the very same one each time."""
        return self.read_all(path).project

    def read_all(self, path: Path) -> files.Contents:
        """All a file holds; of an example the very same project each time."""
        if path not in examples.examples().values():
            return self.really_read(path)
        if path not in self.projects:
            self.projects[path] = self.really_read(path).project
        return files.Contents(self.projects[path])

    def once(self, project: Project, key: tuple[object, ...], work: Callable[[], Any]) -> Any:
        """What was found of a project as shipped; anything else is worked out."""
        if not any(project is shipped for shipped in self.projects.values()):
            return work()
        key = (id(project), *key)
        if key not in self.found:
            self.found[key] = work()
        return self.found[key]

    def movable(self, project: Project, folder: Path | None = None) -> Study:
        return self.once(project, ("movable",), lambda: self.really_movable(project, folder))

    def study(
        self, project: Project, progress: Progress, cancelled: Asked, folder: Path | None = None
    ) -> Study:
        def work() -> Study:
            wanted = travels(set_up(project, folder), 31)
            return study(
                project, travel=wanted, progress=progress, cancelled=cancelled, folder=folder
            )

        return self.once(project, ("study",), work)

    def mapped(
        self,
        found: Study,
        fore: Array,
        inward: Array,
        progress: Progress,
        cancelled: Asked,
        rack: Array | None = None,
    ) -> TopMap:
        def work() -> TopMap:
            return self.really_mapped(found, fore, inward, progress, cancelled, rack)

        of = (found.travel, fore, inward, np.zeros(1) if rack is None else rack)
        return self.once(found.project, ("map", *(axis.tobytes() for axis in of)), work)


AS_SHIPPED = AsShipped()


@pytest.fixture(scope="module")
def shared(app: QApplication) -> Iterator[Driver]:
    """One window for a module's tests; its picture at rest is made of two, not of eight."""
    patch = pytest.MonkeyPatch()
    patch.setattr(view, "SHIFTS", view.SHIFTS[:2])
    patch.setattr(files, "read", AS_SHIPPED.read)
    patch.setattr(files, "read_all", AS_SHIPPED.read_all)
    patch.setattr(live, "movable", AS_SHIPPED.movable)
    patch.setattr(live, "full", AS_SHIPPED.study)
    patch.setattr(live, "mapped", AS_SHIPPED.mapped)
    patch.setattr(results, "MAP_STEPS", 5)
    dress(app)
    window = Window()
    window.actions_.ask_to_save = lambda: QMessageBox.StandardButton.Discard  # type: ignore[method-assign]
    window.actions_.ask_over = lambda *_: QMessageBox.StandardButton.Save  # type: ignore[method-assign]
    window.theme.choose("light")
    window.resize(1280, 800)
    window.show()
    QTest.qWaitForWindowExposed(window)
    yield Driver(app, window)
    window.document.stack.setClean()
    window.close()
    window.deleteLater()
    app.processEvents()
    patch.undo()


@pytest.fixture
def driver(windows: QApplication, shared: Driver) -> Driver:
    """The window, on the example in trouble, at set-up height, undisturbed."""
    document = shared.document
    shipped = AS_SHIPPED.read(examples.examples()["rear-in-trouble"])
    while document.path is None and document.stack.canUndo():
        document.stack.undo()
    if document.path is None and document.project is shipped:
        document.stack.clear()
    else:
        document.stack.setClean()
        shared.open("rear-in-trouble")
    if document.before is not None:
        document.keep()
    shared.window.actions_.show_all()
    shared.window.actions_.select("")
    shared.window.view("3d")
    document.set_travel(0.0)
    shared.settle()
    return shared


@pytest.fixture
def describing(
    windows: QApplication, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Callable[[Project], Describe]]:
    """Makes the room to describe a corner in, alone, with nothing worked out of the corner."""
    monkeypatch.setattr(Document, "_ask", lambda _: None)
    monkeypatch.setattr(Document, "_ask_first", lambda _: None)
    dress(windows)
    made: list[Describe] = []

    def make(project: Project) -> Describe:
        room = Describe(Theme(), Document())
        made.append(room)
        room.resize(430, 800)
        room.show()
        room.document.start(project)
        return room

    yield make
    for room in made:
        room.document.close()
        room.close()
        room.deleteLater()
    windows.processEvents()
