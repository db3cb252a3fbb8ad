"""Opening, saving and leaving a project: nothing entered is lost without asking."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
from PySide6.QtCore import QObject
from PySide6.QtWidgets import QFileDialog, QLineEdit

from app.entry import Field
from app.window import asking
from app.window.along import bring_along
from kinematics.errors import ClearstrokeError
from kinematics.project import files
from kinematics.project.files import SUFFIX

if TYPE_CHECKING:
    from app.window.window import Window

FILTER = f"Clearstroke projects (*{SUFFIX});;All files (*)"


class Filing(QObject):
    """Carries out what is asked of a window's project as a file."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window = window

    def open(self) -> None:
        """Ask for a project and open it."""
        if not self.may_leave():
            return
        name, _ = QFileDialog.getOpenFileName(self.window, "Open a project", self._folder(), FILTER)
        if name:
            self.open_path(Path(name), asked=True)

    def open_path(self, path: Path, example: bool = False, asked: bool = False) -> None:
        """Open a project, after asking about unsaved changes."""
        if asked or self.may_leave():
            self.window.open(path, example)

    def begin_from(self, path: Path) -> None:
        """A new project with sensible sizes, at once movable."""
        if not self.may_leave():
            return
        self.window.document.start(
            msgspec.structs.replace(
                files.read(path),
                title="New corner",
                notes="",
                source="begun from an example",
                survey=None,  # its readings are of another car
            )
        )
        self.window.enter("Describe")

    def save(self) -> bool:
        """Save where it came from, or ask where; ask too if the file was changed meanwhile."""
        self.take_typed()
        document = self.window.document
        if document.path is None:
            return self.save_as()
        if not document.another_wrote:
            return self._saved(document.path)
        return self._saved_over(document.path, "was changed since it was opened here.")

    def save_as(self) -> bool:
        """Ask where, and save there."""
        self.take_typed()
        document = self.window.document
        if document.project is None:
            return False
        start = str(Path(self._folder()) / f"{_file_name(document.project.title)}{SUFFIX}")
        name, _ = QFileDialog.getSaveFileName(self.window, "Save the project", start, FILTER)
        if not name:
            return False
        path = Path(name)
        if path.name.endswith(".json"):
            return self._saved(path)  # the dialog has asked already
        path = path.with_name(path.name + SUFFIX)
        return self._saved_over(path, "is there already.") if path.exists() else self._saved(path)

    def _saved_over(self, path: Path, why: str) -> bool:
        answer = self.ask_over(path, why)
        if answer == asking.SAVE_AS:
            return self.save_as()
        return answer == asking.Answer.Save and self._saved(path)

    def _saved(self, path: Path) -> bool:
        document = self.window.document
        try:
            if not bring_along(self.window, path):
                return False
        except ClearstrokeError as error:
            document.said.emit(str(error))
            return False
        done = document.save(path)
        if done and document.reds:
            self.window.notice.say(f"Saved. {asking.red_words(document)}")
        return done

    def take_typed(self) -> None:
        """What is half typed counts: it is taken, or stands red, as when the hand leaves it."""
        held = self.window.focusWidget()
        if isinstance(held, Field):
            held.take()
        elif isinstance(held, QLineEdit):
            held.clearFocus()
            held.setFocus()

    def _folder(self) -> str:
        path = self.window.document.path
        return str(path.parent if path is not None else Path.home())

    def may_leave(self) -> bool:
        """Whether the project may be left: saved, or its changes given up by choice."""
        self.take_typed()
        if not self.window.document.loses:
            return True
        answer = self.ask_to_save()
        if answer == asking.Answer.Save:
            return self.save()
        return answer == asking.Answer.Discard

    def ask_to_save(self) -> asking.Answer:
        """Ask what should become of unsaved changes."""
        return asking.ask_to_save(self.window)

    def ask_over(self, path: Path, why: str) -> asking.Answer:
        """Ask whether a file that holds something else may be written over."""
        return asking.ask_over(self.window, path, why)


def _file_name(title: str) -> str:
    kept = "".join(c if c.isalnum() else "-" for c in title.lower())
    return "-".join(word for word in kept.split("-") if word) or "corner"
