"""What is asked before anything a builder entered could be lost."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QMessageBox

from app.document import tree
from app.document.document import Document
from app.look.sheets import message_sheet
from kinematics.project.files import BACKUP

if TYPE_CHECKING:
    from app.window.window import Window

Answer = QMessageBox.StandardButton
SAVE_AS = Answer.SaveAll
"""Stands for saving under another name."""


def _ask(window: Window, text: str, more: str, words: dict[Answer, str], usual: Answer) -> Answer:
    """Ask in a box with these buttons; one without words has the toolkit's."""
    box = QMessageBox(window)
    box.setText(text)
    box.setInformativeText(more)
    for answer, said in words.items():
        button = box.addButton(answer)
        if said:
            button.setText(said)
        button.setIcon(QIcon())  # the toolkit's own are of another hand
    box.setDefaultButton(usual)
    box.setStyleSheet(message_sheet(window.theme.palette, window.theme.scale))
    given = Answer(box.exec())
    box.deleteLater()
    return given


def red_words(document: Document) -> str:
    """What is typed and can't be taken, in a sentence; empty where nothing stands red."""
    said = [f"{entry_words(path)} “{text}”" for path, (text, _) in document.reds.items()]
    return f"What stands red can't be saved: {', '.join(said)}." if said else ""


def entry_words(path: tree.Path) -> str:
    """An entry named by what it is in and what it is: 'tyre marking', 'top bearing z'."""
    if path[-1] == "":
        return f"name of {path[-2]}" if isinstance(path[-2], str) else f"name of {path[-3]}"
    if isinstance(path[-1], int) or len(path) == 1:
        return tree.label_of(path)
    held = tree.label_of(path[:-1])
    return f"{held} {tree.label_of(path)}"


def ask_to_save(window: Window) -> Answer:
    """What should become of unsaved changes: Save, Discard or Cancel."""
    red = red_words(window.document)
    if not window.document.dirty:
        words = {Answer.Discard: "Leave it", Answer.Cancel: "Go back"}
        return _ask(window, "Something typed can't be taken yet.", red, words, Answer.Cancel)
    words = {Answer.Save: "", Answer.Discard: "Don't save", Answer.Cancel: ""}
    more = " ".join(filter(None, ("Save them first?", red)))
    return _ask(window, "There are changes that aren't saved.", more, words, Answer.Save)


def ask_over(window: Window, path: Path, why: str) -> Answer:
    """Whether a file that holds something else may be written over: Save, SAVE_AS or Cancel."""
    words = {Answer.Save: "Save over it", SAVE_AS: "Save as…", Answer.Cancel: ""}
    more = f"Saving over it keeps what is there now beside it, as {path.name}{BACKUP}."
    return _ask(window, f"“{path.name}” {why}", more, words, SAVE_AS)
