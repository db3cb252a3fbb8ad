"""A search over dimensions of the builder's choice for the best worst case."""

from __future__ import annotations

import math

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from app.fixes.dimensions import DimensionLine, called, had
from app.look.sheets import main_button
from app.look.theme import Theme
from app.look.type import font
from kinematics.errors import ClearstrokeError, EntryError
from kinematics.project.model import Project
from kinematics.studies.cures import Own
from kinematics.units import MINUS, read_degrees, show_length

HEADING = (
    "Name dimensions and how far each may go. They are changed together until the tightest pair "
    "has most room over its rule."
)
HELD = "Set-up camber may change by", "toe by"


class SearchPanel(QWidget):
    """Dimensions listed, what may change of the alignment, start and stop."""

    asked = Signal(object, float, float)  # the dimensions; camber and toe that may change, rad
    stopped = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.theme = theme
        self.over: tuple[Own, ...] = ()
        self.project: Project | None = None
        self.line = DimensionLine(theme, "Add")
        self.heading, self.said = QLabel(HEADING), QLabel("")
        self.held = tuple(QLabel(words) for words in HELD)
        self.camber, self.toe = QLineEdit("0.5\u00b0"), QLineEdit("0.15\u00b0")
        self.start, self.stop = QPushButton("Search"), QPushButton("Stop")
        self.rows = QVBoxLayout()
        self._lay_out()
        self.show_share(-1.0)

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.heading)
        column.addWidget(self.line)
        column.addLayout(self.rows)
        held = QHBoxLayout()
        fields = (self.camber, "camber"), (self.toe, "toe")
        for label, (field, name) in zip(self.held, fields, strict=True):
            held.addWidget(label)
            field.setAccessibleName(f"most change of {name}")
            field.setAlignment(Qt.AlignmentFlag.AlignRight)
            field.setMaximumWidth(64)
            held.addWidget(field)
        held.addStretch(1)
        column.addLayout(held)
        row = QHBoxLayout()
        row.addWidget(self.start)
        row.addWidget(self.stop)
        row.addStretch(1)
        column.addLayout(row)
        column.addWidget(self.said)
        for label in (self.heading, self.said):
            label.setWordWrap(True)
        self.line.given.connect(self._add)
        self.start.clicked.connect(self._start)
        self.stop.clicked.connect(self.stopped.emit)

    def offer(self, project: Project) -> None:
        """The dimensions of a project; those named that it hasn't got are left out."""
        self.project = project
        self.line.offer(project)
        self._list()

    def _add(self) -> None:
        if self.project is None:
            return
        try:
            own = self.line.take(self.project)
        except ClearstrokeError as error:
            self.say(str(error))
            return
        self.say("")
        self.over = (*(each for each in self.over if each.path != own.path), own)
        self._list()

    def _list(self) -> None:
        while (item := self.rows.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        if self.project is None:
            return
        names, units = called(self.project), self.project.units
        over = had(self.project, self.over)
        for own in over:
            least, most = (show_length(mm, units, 1) for mm in (own.least, own.most))
            words = f"{names.get(own.path, own.path)}: {least} to {most}".replace("-", MINUS)
            button = QPushButton(f"{words}   take back")
            button.setFont(font(13 * self.theme.scale, 500, False))
            button.clicked.connect(lambda _=False, which=own: self._take_back(which))
            self.rows.addWidget(button, 0, Qt.AlignmentFlag.AlignLeft)
        self.start.setEnabled(bool(over))

    def _take_back(self, own: Own) -> None:
        self.over = tuple(each for each in self.over if each != own)
        self._list()

    def _start(self) -> None:
        try:
            camber, toe = (
                math.radians(read_degrees(field.text())) for field in (self.camber, self.toe)
            )
            if min(camber, toe) < 0.0:
                raise EntryError("How far camber and toe may change is 0 or more.")
        except ClearstrokeError as error:
            self.say(str(error))
            return
        self.asked.emit(had(self.project, self.over), camber, toe)

    def say(self, words: str) -> None:
        """One sentence below the buttons."""
        p = self.theme.palette
        self.said.setStyleSheet(f"color: {p.ink2 if words.startswith('Looking') else p.touch};")
        self.said.setText(words)
        self.said.setVisible(bool(words))

    def show_share(self, share: float, left: str = "") -> None:
        """How far the search is, and the time left in words; negative when none runs."""
        self.start.setVisible(share < 0.0)
        self.stop.setVisible(share >= 0.0)
        if share >= 0.0:
            self.say(f"Looking for the best, {share:.0%} of the steps at most{left}.")
        elif not self.said.text() or self.said.text().startswith("Looking"):
            self.say("")

    def dress(self) -> None:
        """Type of the theme."""
        s, p = self.theme.scale, self.theme.palette
        self.line.dress()
        for label in (self.heading, *self.held):
            label.setFont(font(13 * s, 500, False))
            label.setStyleSheet(f"color: {p.ink2};")
        self.said.setFont(font(13 * s, 500, False))
        self.start.setStyleSheet(main_button(p))
        for widget in (self.camber, self.toe, self.start, self.stop):
            widget.setFont(font(14 * s, 500, False))
