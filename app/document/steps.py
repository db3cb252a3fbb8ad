"""Steps of undo: of the project, and of what waits beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtGui import QUndoCommand

from app.document.waiting import Waiting
from kinematics.project.model import Project

if TYPE_CHECKING:
    from app.document.document import Document

Waits = tuple[Waiting | None, Waiting | None]


class Change(QUndoCommand):
    """One step of undo: the project and what waits before and after.

    The first redo finds the project changed already.
    """

    def __init__(
        self, document: Document, before: Project, after: Project, what: str, waits: Waits
    ) -> None:
        super().__init__(what)
        self.document, self.before, self.after = document, before, after
        self.waits = waits
        self.first = True

    def redo(self) -> None:
        """Do it again."""
        self.document.waiting = self.waits[1]
        if not self.first:
            self.document.previewed = None
            self.document._apply(self.after)
        self.first = False

    def undo(self) -> None:
        """Take it back."""
        self.document.waiting = self.waits[0]
        self.document.previewed = None
        self.document._apply(self.before)


class Wait(QUndoCommand):
    """One step of undo that changes only what waits."""

    def __init__(self, document: Document, after: Waiting | None, what: str) -> None:
        super().__init__(what)
        self.document, self.before, self.after = document, document.waiting, after

    def redo(self) -> None:
        """Let it wait."""
        self.document.waiting = self.after

    def undo(self) -> None:
        """As it was."""
        self.document.waiting = self.before
