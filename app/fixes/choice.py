"""Which fixes are tried: any switched off, and dimensions of the builder's own added."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QGridLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.entry import Tick
from app.fixes.dimensions import DimensionLine, called, had
from app.look.theme import Theme
from app.look.type import font, metrics
from app.told import told
from kinematics.errors import ClearstrokeError
from kinematics.project.model import Project
from kinematics.studies.cures import Choice, Own, cures_of, ranges
from kinematics.units import MINUS, show_length


@told
class NamedTick(Tick):
    """A tick with its word beside it."""

    def __init__(self, theme: Theme, word: str) -> None:
        super().__init__(theme)
        self.setText(word)
        self.setAccessibleName(word)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        wide = metrics(14 * theme.scale, 500).horizontalAdvance(word)
        self.setFixedWidth(round(wide + 32 * theme.scale))

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        s = self.theme.scale
        painter = QPainter(self)
        painter.setFont(font(14 * s, 500))
        painter.setPen(QColor(self.theme.palette.ink))
        at = self.rect().adjusted(round(28 * s), 0, 0, 0)
        painter.drawText(
            at, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, self.text()
        )
        painter.end()


def _how_far(project: Project) -> dict[str, str]:
    """The fixes of every family and how far each may go, a line for each."""
    cures = cures_of(project)
    reach, lines = ranges(cures), dict[str, list[str]]()
    for cure in cures:
        if cure.name in reach:
            lines.setdefault(cure.family, []).append(f"{cure.name}: {reach[cure.name]}")
    return {family: "\n".join(each) for family, each in lines.items()}


class FixesChoice(QWidget):
    """Ticks for every kind of fix, and a line to add one's own. ``chosen`` when it changes."""

    chosen = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.theme = theme
        self.without: set[str] = set()
        self.own: tuple[Own, ...] = ()
        self.project: Project | None = None
        self.ticks: dict[str, NamedTick] = {}
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.message = QLabel("")
        self.message.setWordWrap(True)
        self.message.setAccessibleName("What is wrong with your own fix")
        self.line = DimensionLine(theme, "Add")
        self._lay_out()

    @property
    def choice(self) -> Choice:
        """What is to be tried."""
        without = self.without & self.ticks.keys()  # what can't be tried need not be left out
        return Choice(frozenset(without), None, had(self.project, self.own))

    def _lay_out(self) -> None:
        self.grid = QGridLayout()
        self.grid.setVerticalSpacing(0)
        self.column.addLayout(self.grid)
        self.heading = QLabel("Try a dimension of your own, changed from")
        self.heading.setWordWrap(True)
        self.column.addWidget(self.heading)
        self.line.given.connect(self._add)
        self.column.addWidget(self.line)
        self.mine = QVBoxLayout()
        self.column.addLayout(self.mine)
        self.column.addWidget(self.message)
        self.message.hide()

    def offer(self, project: Project, names: Sequence[str]) -> None:
        """The kinds of fix there are for a project, and its dimensions."""
        self.project = project
        self.line.offer(project)
        self.line.dress()
        self._list_own()
        far = _how_far(project)
        shown = {name: (not each.isChecked(), each.toolTip()) for name, each in self.ticks.items()}
        if shown == {name: (name in self.without, far.get(name, "")) for name in names}:
            return
        while (item := self.grid.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        self.ticks = {}
        for k, name in enumerate(names):
            tick = NamedTick(self.theme, name)
            tick.setChecked(name not in self.without)
            tick.setToolTip(far.get(name, ""))
            tick.toggled.connect(lambda on, which=name: self._tick(which, on))
            self.ticks[name] = tick
            self.grid.addWidget(tick, k // 2, k % 2, Qt.AlignmentFlag.AlignLeft)
        self.heading.setFont(font(13 * self.theme.scale, 500, False))

    def _tick(self, name: str, on: bool) -> None:
        (self.without.discard if on else self.without.add)(name)
        self.chosen.emit()

    def _add(self) -> None:
        if self.project is None:
            return
        try:
            mine = self.line.take(self.project)
        except ClearstrokeError as error:
            self._say(str(error))
            return
        self._say("")
        self.own = (*self.own, mine)
        self.chosen.emit()

    def _say(self, error: str) -> None:
        """What is wrong with one's own fix; nothing where it is right."""
        self.message.setText(error)
        self.message.setVisible(bool(error))

    def _list_own(self) -> None:
        """One's own fixes, each with a button that takes it back."""
        while (item := self.mine.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        assert self.project is not None
        names, units = called(self.project), self.project.units
        for own in had(self.project, self.own):
            least, most = (show_length(mm, units, 1) for mm in (own.least, own.most))
            words = f"{names.get(own.path, own.path)}: {least} to {most}"
            button = QPushButton(f"{words.replace('-', MINUS)}   take back")
            button.setFont(font(13 * self.theme.scale, 500, False))
            button.clicked.connect(lambda _=False, which=own: self._take_back(which))
            self.mine.addWidget(button, 0, Qt.AlignmentFlag.AlignLeft)

    def _take_back(self, own: Own) -> None:
        self.own = tuple(each for each in self.own if each != own)
        self.chosen.emit()
