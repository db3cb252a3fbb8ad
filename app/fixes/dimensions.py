"""A dimension of the corner to be named, and how far it may be changed."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox, QGridLayout, QLabel, QLineEdit, QPushButton, QWidget

from app.look.pick import Pick
from app.look.theme import Theme
from app.look.type import font
from app.told import told
from kinematics.errors import ClearstrokeError
from kinematics.project.model import Project
from kinematics.project.unfold import unfold
from kinematics.studies.cures import Own
from kinematics.studies.cures_own import cures_of_own
from kinematics.units import MINUS, read_length

WAYS = {"x": "forward", "y": "outboard", "z": "up"}
TOWER = {
    "outer": "tower's outer face",
    "inner": "tower's inner face",
    "front": "tower's front",
    "rear": "tower's rear",
    "top": "tower's top",
    "lip": "tower's lip",
}


def dimensions(project: Project) -> dict[str, str]:
    """The dimensions a builder is likely to change: how they are called, and their paths."""
    tower = {} if project.tower is None else {f"tower.{key}": TOWER[key] for key in TOWER}
    links = {f"length of {name}": f"length of {name}" for name in unfold(project).links}
    points = {
        f"points.{name}.{axis}": f"{name}, {way}"
        for name in project.points
        for axis, way in WAYS.items()
    }
    return {words: path for path, words in {**tower, **links, **points}.items()}


def called(project: Project) -> dict[str, str]:
    """How a project's dimensions are called, by their paths."""
    return {path: words for words, path in dimensions(project).items()}


def had(project: Project | None, named: Iterable[Own]) -> tuple[Own, ...]:
    """Those of the dimensions named that a project has got: a point may have another name by now,
    or be gone."""
    return tuple(own for own in named if project is not None and _has(project, own))


def _has(project: Project, own: Own) -> bool:
    try:
        cures_of_own(project, own.path, own.least, own.most)
    except ClearstrokeError:
        return False
    return True


@told
class DimensionLine(QWidget):
    """A dimension chosen or typed as a path, from and to, and a button. ``given`` when pressed."""

    given = Signal()

    def __init__(self, theme: Theme, button: str) -> None:
        super().__init__()
        self.theme, self.paths = theme, dict[str, str]()
        self.what, self.least, self.most = (
            Pick(theme, "choose a dimension, or type its path"),
            QLineEdit(f"{MINUS}20"),
            QLineEdit("20"),
        )
        self.add, self.upto = QPushButton(button), QLabel("to")
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        self.what.setAccessibleName("Dimension")
        self.what.setToolTip("Choose one, or type the path of any number in the project file")
        self.what.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self.what.setMinimumContentsLength(12)
        for field, name in ((self.least, "from"), (self.most, "to")):
            field.setAccessibleName(f"changed {name}")
            field.setAlignment(Qt.AlignmentFlag.AlignRight)
            field.setMaximumWidth(72)
        self.add.clicked.connect(self.given.emit)
        grid.addWidget(self.what, 0, 0, 1, 5)
        for k, widget in enumerate((self.least, self.upto, self.most, self.add)):
            grid.addWidget(widget, 1, k)
        grid.setColumnStretch(4, 1)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.given.emit()
            return
        super().keyPressEvent(event)

    def offer(self, project: Project) -> None:
        """The dimensions of a project; what is typed stays."""
        self.units = project.units
        self.upto.setText(f"to, {project.units}")
        paths = dimensions(project)
        if paths != self.paths:
            self.paths = paths
            words = self.what.currentText()
            self.what.clear()
            self.what.addItems(list(paths))
            self.what.setCurrentText(words)

    def take(self, project: Project) -> Own:
        """What is given. Raises ClearstrokeError for what the project hasn't got, or no room."""
        words = self.what.currentText().strip()
        path = self.paths.get(words, words)
        ends = [read_length(field.text(), project.units) for field in (self.least, self.most)]
        own = Own(path, *ends)
        cures_of_own(project, own.path, own.least, own.most)
        return own

    def dress(self) -> None:
        """Type of the theme."""
        s = self.theme.scale
        for widget in (self.what, self.least, self.most, self.add, self.upto):
            widget.setFont(font(14 * s, 500, False))
