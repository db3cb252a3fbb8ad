"""A random hand: everything a builder can do in a window, by real events where there are some."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable

import msgspec
from PySide6.QtCore import QCoreApplication, QEvent, QMimeData, Qt, QUrl
from PySide6.QtGui import QDropEvent

from app import examples
from app.window.actions import STARTS, Actions
from tests.app.conftest import Driver
from tests.app.random_answers import Answers
from tests.app.random_hand import LEFT, NONE, close_menus
from tests.app.random_rooms import RoomHand
from tests.app.random_view import ViewHand

EXPORTS = (
    ("report", "pdf"), ("report", "svg"), ("picture", "png"), ("map", "pdf"), ("map", "dxf"),
    ("map", "csv"), ("fixes", "png"), ("statics", "pdf"), ("camber", "png"), ("camber", "csv"),
)  # fmt: skip


class Hands(ViewHand, RoomHand):
    """One random hand at a window, and what it did last."""

    def __init__(self, driver: Driver, answers: Answers, seed: int) -> None:
        super().__init__(driver, answers, seed)
        self.did: deque[str] = deque(maxlen=8)
        self.start = driver.document.project  # what undo must come back to
        self.count = 0
        self.often: tuple[Callable[[], str], ...] = (
            self.key, self.drag, self.pull, self.slide_mount, self.undo, self.undo, self.room,
            self.describe, self.describe, self.type, self.button, self.click,
        )  # fmt: skip
        self.others: tuple[Callable[[], str], ...] = (
            self.key, self.right_drag, self.scroll, self.double, self.travel, self.furnish,
            self.board, self.menu, self.choose, self.plot, self.resize, self.interrupt,
            self.amount, self.point, self.measure, self.measure, self.springs, self.fixes,
            self.fixes, self.fixes, self.mount, self.mount, self.tape, self.beside, self.name,
            self.save, self.units, self.fresh, self.drop, self.export,
        )  # fmt: skip

    def leave_out(self, ways: frozenset[str]) -> None:
        """These are not gone."""
        self.often = tuple(way for way in self.often if way.__name__ not in ways)
        self.others = tuple(way for way in self.others if way.__name__ not in ways)

    def opened(self) -> None:
        """Another project: undo goes back no further."""
        self.start = self.driver.document.project

    def act(self) -> None:
        """One thing a hand might do."""
        if not self.window.stage.isVisible() and self.dice.random() < 0.5:
            self.window.enter("Move")
        way = self.dice.choice(self.often if self.dice.random() < 0.45 else self.others)
        self.did.append(way.__name__)
        self.did[-1] += f" {way()}"
        self.count += 1
        self.driver.app.processEvents()
        close_menus()
        # Without a loop of its own the application never gets to what is to be deleted later.
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)

    # --- the project as a whole -------------------------------------------------------------

    def name(self) -> str:
        """Select a part by name, and show only it, hide it or all again."""
        part = self.one({p.part: None for p in self.window.scene.pieces.values()})
        if part is not None:
            self.window.actions_.select(part)
            self.window.do(self.dice.choice(("only", "hide", "all", "through")))
        return str(part)

    def save(self) -> str:
        what = self.dice.choice(("save", "save as"))
        self.window.do(what)
        return what

    def units(self) -> str:
        """The other unit, or the other side of the car."""
        document = self.driver.document
        if self.dice.random() < 0.4:
            self.window.do("mirror")
            return "mirror"
        units = "in" if document.project.units == "mm" else "mm"
        document.edit(msgspec.structs.replace(document.project, units=units), "change units")
        return units

    def fresh(self) -> str:
        """A new corner of any arrangement, or an example; mostly not."""
        if self.dice.random() < 0.6:
            return "not"
        actions: Actions = self.window.actions_
        if self.dice.random() < 0.6:
            words, name = self.dice.choice(STARTS)
            actions.begin_from({**examples.examples(), **examples.starts()}[name])
            return words
        name = self.dice.choice(list(examples.examples()))
        actions.open_path(examples.examples()[name], example=True)
        return name

    def drop(self) -> str:
        """A file dropped: a mesh, a project, or neither."""
        path = self.answers.mesh
        if self.dice.random() < 0.3:
            path = self.one(sorted(self.answers.folder.iterdir())) or path
        data = QMimeData()
        data.setUrls([QUrl.fromLocalFile(str(path))])
        at = self.spot(self.window)
        event = QDropEvent(at, Qt.DropAction.CopyAction, data, LEFT, NONE)
        self.window.dropEvent(event)
        return path.name

    def export(self) -> str:
        """Something written, and there."""
        what, kind = self.dice.choice(EXPORTS)
        path = self.answers.folder / f"export.{kind}"
        path.unlink(missing_ok=True)
        if self.window.actions_.exports.write(what, path) and what not in ("map", "fixes"):
            assert path.stat().st_size > 100, (what, kind)
        return f"{what} {kind}"
