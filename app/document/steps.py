"""Steps of undo: of the project, and of what waits beside it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from PySide6.QtGui import QUndoCommand

from app.document.red import Along
from app.document.waiting import Waiting
from kinematics.project.model import Project

if TYPE_CHECKING:
    from app.document.document import Document

Waits = tuple[Waiting | None, Waiting | None]


class Step(QUndoCommand):
    """One step of undo. What stands red goes along with it, as it went when it was made."""

    def __init__(self, document: Document, what: str) -> None:
        super().__init__(what)
        self.document, self.first = document, True
        self.along, document.along = document.along, None

    def redo(self) -> None:
        """Do it again; the first time it has been done already."""
        if self.first:
            self.first = False
            return
        if self.along is not None:
            self.document.red = self.along.there(self.document.red)
        self.go(True)

    def undo(self) -> None:
        """Take it back."""
        if self.along is not None:
            self.document.red = self.along.back(self.document.red)
        self.go(False)

    def go(self, there: bool) -> None:
        """Have the document as it was after the step, or before it."""
        raise NotImplementedError


@contextmanager
def red_along(document: Document, along: Along) -> Iterator[None]:
    """What is changed in here takes what stands red along; it stays where nothing is changed."""
    reds, document.along = document.red, along
    document.red = along.there(reds)
    try:
        yield
    finally:
        if document.along is not None:  # no step was made
            document.along, document.red = None, reds


class Change(Step):
    """One step of undo: the project and what waits before and after."""

    def __init__(
        self, document: Document, before: Project, after: Project, what: str, waits: Waits
    ) -> None:
        super().__init__(document, what)
        self.before, self.after, self.waits = before, after, waits
        document.waiting = waits[1]

    def go(self, there: bool) -> None:
        """The project and what waits as they were then."""
        self.document.waiting = self.waits[there]
        self.document.previewed = None
        self.document._apply(self.after if there else self.before)


class Wait(Step):
    """One step of undo that changes only what waits."""

    def __init__(self, document: Document, after: Waiting | None, what: str) -> None:
        super().__init__(document, what)
        self.before, self.after = document.waiting, after
        document.waiting = after

    def go(self, there: bool) -> None:
        """What waited then."""
        self.document.waiting = self.after if there else self.before
