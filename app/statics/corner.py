"""The weight on this wheel, and where the torque of brake and drive goes."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QWidget

from app.document import tree
from app.document.tree import Entry
from app.entry import Chooser, Field, recall, stay_red, wide
from app.look.theme import Theme
from app.look.type import font
from app.statics.cases import Cases

WEIGHTS = (
    ("corner_kg", "Weight on this wheel", "as the scales read it, loaded"),
    ("unsprung_kg", "Of that unsprung", "wheel, hub, brake, half of links and shaft"),
)
TORQUES = (
    ("brake", "Brake torque goes", "outboard: the caliper sits on the upright"),
    ("drive", "Drive torque goes", "inboard: a shaft takes it to the chassis"),
)


class Corner(QWidget):
    """Fields of the project's loads; every change is one step of undo."""

    def __init__(self, theme: Theme, cases: Cases) -> None:
        super().__init__()
        self.theme, self.cases, self.document = theme, cases, cases.document
        self.fields = {part: self._weight(part, help_) for part, _, help_ in WEIGHTS}
        self.torques = {part: self._torque(part, words) for part, words, _ in TORQUES}
        self.words: list[QLabel] = []
        self.quiet: list[QLabel] = []
        self.grid = QGridLayout(self)
        every: dict[str, QWidget] = {**self.fields, **self.torques}
        for row, (part, words, help_) in enumerate((*WEIGHTS, *TORQUES)):
            self.words.append(QLabel(words))
            self.quiet.append(QLabel(help_))
            self.quiet[-1].setWordWrap(True)
            self.grid.addWidget(self.words[-1], 2 * row, 0)
            self.grid.addWidget(every[part], 2 * row, 1, Qt.AlignmentFlag.AlignRight)
            self.grid.addWidget(self.quiet[-1], 2 * row + 1, 0, 1, 2)
        self.grid.setColumnStretch(0, 1)
        theme.changed.connect(self._dress)
        self._dress()

    def renew(self) -> None:
        """Show what the project holds; without a weight only that can be typed."""
        loads = self.cases.loads
        for part, field in self.fields.items():
            field.units = "mm" if self.document.project is None else self.document.project.units
            field.show_value(None if loads is None else getattr(loads, part))
        self.fields["unsprung_kg"].setEnabled(loads is not None)
        for part, torque in self.torques.items():
            torque.setEnabled(loads is not None)
            if loads is not None:
                torque.setCurrentText(getattr(loads, part))

    def _weigh(self, part: str, value: Any) -> None:
        if (project := self.document.project) is not None:
            self.cases.edit(tree.put(project, ("loads", part), value), "change the weight")

    def _lead(self, part: str, where: str) -> None:
        project, loads = self.document.project, self.cases.loads
        if project is not None and loads is not None and getattr(loads, part) != where:
            self.cases.edit(tree.put(project, ("loads", part), where), f"{part} torque {where}")

    def _weight(self, part: str, help_: str) -> Field:
        entry = Entry(("loads", part), "number", help_)
        field = Field(self.theme, entry, "mm", lambda value: self._weigh(part, value))
        field.wrong.connect(self.cases.wrong.emit)
        stay_red(field, self.document)
        self.document.opened.connect(lambda: recall(field, self.document, entry.path))
        return field

    def _torque(self, part: str, words: str) -> Chooser:
        torque = Chooser(self.theme)
        torque.setAccessibleName(words)
        torque.addItems(["outboard", "inboard"])
        torque.activated.connect(lambda _: self._lead(part, torque.currentText()))
        return torque

    def _dress(self) -> None:
        s, p = self.theme.scale, self.theme.palette
        self.grid.setContentsMargins(0, 0, 0, 0)
        self.grid.setVerticalSpacing(0)
        for label in self.words:
            label.setFont(font(15 * s, 500))
        for label in self.quiet:
            label.setFont(font(13 * s, 400))
            label.setStyleSheet(f"color: {p.ink2};")
            label.setContentsMargins(0, 0, 0, round(8 * s))
        for field in self.fields.values():
            wide(field, 90, self.theme)
        for torque in self.torques.values():
            wide(torque, 120, self.theme)
