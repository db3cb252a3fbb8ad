"""Which fixes are tried: any switched off, and dimensions of the builder's own added."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QGridLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.look.theme import Theme
from app.look.type import font
from kinematics.errors import ClearstrokeError, EntryError
from kinematics.project.model import Project
from kinematics.project.unfold import unfold
from kinematics.studies.cures import Choice, Own
from kinematics.studies.cures_own import cures_of_own
from kinematics.units import read_length


class FixesChoice(QWidget):
    """Ticks for every kind of fix, and a line to add one's own. ``chosen`` when it changes."""

    chosen = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.theme = theme
        self.without: set[str] = set()
        self.own: tuple[Own, ...] = ()
        self.project: Project | None = None
        self.ticks: dict[str, QCheckBox] = {}
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.message = QLabel("")
        self.message.setWordWrap(True)
        self.message.setAccessibleName("What is wrong with your own fix")
        self.what, self.least, self.most = QComboBox(), QLineEdit("-20"), QLineEdit("20")
        self.add = QPushButton("Add")
        self._lay_out()

    @property
    def choice(self) -> Choice:
        """What is to be tried."""
        return Choice(frozenset(self.without), None, self.own)

    def _lay_out(self) -> None:
        self.grid = QGridLayout()
        self.column.addLayout(self.grid)
        self.heading = QLabel("Try a dimension of your own, changed from … to … mm")
        self.heading.setWordWrap(True)
        self.column.addWidget(self.heading)
        row = QGridLayout()
        self.what.setEditable(True)
        self.what.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.what.setAccessibleName("Dimension")
        self.what.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self.what.setMinimumContentsLength(12)
        for field, name in ((self.least, "from, mm"), (self.most, "to, mm")):
            field.setAccessibleName(name)
            field.setAlignment(Qt.AlignmentFlag.AlignRight)
            field.setMaximumWidth(64)
        self.add.clicked.connect(self._add)
        row.addWidget(self.what, 0, 0, 1, 4)
        for k, widget in enumerate((self.least, self.most, self.add)):
            row.addWidget(widget, 1, k)
        row.setColumnStretch(3, 1)
        self.column.addLayout(row)
        self.column.addWidget(self.message)

    def offer(self, project: Project, names: Sequence[str]) -> None:
        """The kinds of fix there are for a project, and its dimensions."""
        self.project = project
        if list(self.ticks) == list(names):
            return
        while (item := self.grid.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        self.ticks = {}
        for k, name in enumerate(names):
            tick = QCheckBox(name)
            tick.setFont(font(13 * self.theme.scale, 500, False))
            tick.setChecked(name not in self.without)
            tick.toggled.connect(lambda on, which=name: self._tick(which, on))
            self.ticks[name] = tick
            self.grid.addWidget(tick, k // 2, k % 2)
        self.heading.setFont(font(13 * self.theme.scale, 500, False))
        words = self.what.currentText()
        self.what.clear()
        self.what.addItems(dimensions(project))
        self.what.setCurrentText(words)

    def _tick(self, name: str, on: bool) -> None:
        (self.without.discard if on else self.without.add)(name)
        self.chosen.emit()

    def _add(self) -> None:
        if self.project is None:
            return
        try:
            mine = Own(
                self.what.currentText().strip(),
                read_length(self.least.text(), "mm"),
                read_length(self.most.text(), "mm"),
            )
            cures_of_own(self.project, mine.path, mine.least, mine.most)
        except (ClearstrokeError, EntryError) as error:
            self.message.setText(str(error))
            return
        self.message.setText("")
        self.own = (*self.own, mine)
        self.chosen.emit()


def dimensions(project: Project) -> list[str]:
    """The dimensions a builder is likely to change, by the names that are read back."""
    links = [f"length of {name}" for name in unfold(project).links]
    tower = []
    if project.tower is not None:
        fields = ("outer", "inner", "front", "rear", "top", "lip")
        tower = [f"tower.{field}" for field in fields]
    points = [f"points.{name}.{axis}" for name in project.points for axis in "xyz"]
    return [*tower, *links, *points]
