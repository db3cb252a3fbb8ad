"""The sketch at the head of a page: what the numbers mean, drawn from the numbers themselves."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.document.tree import Path
from app.look.theme import Theme
from kinematics.project.model import Project


class SketchPanel(QWidget):
    picked = Signal(tuple)

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.hide()

    def show_for(self, path: Path, project: Project) -> None: ...

    def renew(self, project: Project) -> None: ...
