"""The room to describe the corner in: its points and its few shop numbers, live in the view."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.describe import mount as describe_mount
from app.describe import parts as describe_parts
from app.document import tree
from app.document.document import Document
from app.document.tree import Entry, Path
from app.entry import Field, wide
from app.look.theme import Theme
from app.look.type import font
from app.told import told
from kinematics.errors import ClearstrokeError
from kinematics.project.equipment import BumpStop, Coilover, Rim, Spring, Tyre, Wheel
from kinematics.project.mirror import mirror
from kinematics.project.structure import Tower

RECORDS: tuple[tuple[str, Path, type], ...] = (
    ("Tyre", ("wheel", "tyre"), Tyre),
    ("Rim", ("wheel", "rim"), Rim),
    ("Wheel", ("wheel",), Wheel),
    ("Coilover", ("coilover",), Coilover),
    ("Spring", ("coilover", "spring"), Spring),
    ("Bump stop", ("coilover", "bump_stop"), BumpStop),
    ("Tower", ("tower",), Tower),
)


class Describe(QWidget):
    """Points and shop numbers. ``focused`` names the point a field of which has the focus."""

    focused = Signal(str)
    slides = Signal(str)  # the way the hand is to slide the top mount
    added = Signal(str)  # the name of a part that has just been added

    def __init__(self, theme: Theme, document: Document) -> None:
        super().__init__()
        self.theme, self.document = theme, document
        self.fields: dict[Path, Field] = {}
        self.others: dict[Path, QCheckBox | QComboBox] = {}
        self._built: object = None
        self.way = "plate"  # how the hand slides the top mount
        self.message = QLabel("")
        self.message.setWordWrap(True)
        self.message.setAccessibleName("What is wrong with an entry")
        self.area = QScrollArea()
        self.area.setWidgetResizable(True)
        self.area.setFrameShape(QScrollArea.Shape.NoFrame)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.message)
        column.addWidget(self.area, 1)
        document.changed.connect(self.renew)
        document.opened.connect(self.rebuild)
        theme.changed.connect(self._dress)
        self._dress()

    def rebuild(self) -> None:
        """Lay out anew what this project has."""
        project = self.document.project
        self._built = None
        if project is None or not self.isVisible():
            return
        self._built = self._shape()
        self.fields.clear()
        self.others.clear()
        page = QWidget()
        column = QVBoxLayout(page)
        s = self.theme.scale
        column.setContentsMargins(round(20 * s), round(8 * s), round(20 * s), round(24 * s))
        column.setSpacing(round(6 * s))
        self._buttons(column)
        describe_mount.build(self, column)
        self._points(column)
        for title, path, record in RECORDS:
            if tree.get(project, path) is not None:
                self._record(column, title, tree.entries(record, path))
        describe_parts.build(self, column)
        self._rules(column)
        column.addStretch(1)
        self.area.setWidget(page)
        self.renew()

    @told
    def showEvent(self, event: object) -> None:
        if self._built != self._shape():
            self.rebuild()

    def _shape(self) -> object:
        """What a project must keep for the same fields to fit it."""
        project = self.document.project
        if project is None:
            return None
        given = tuple(tree.get(project, path) is not None for _, path, _ in RECORDS)
        outlines = {n: len(getattr(p, "outline", ())) for n, p in project.parts.items()}
        pieces = tuple(project.links), tuple(project.joints), tuple(outlines.items())
        arranged = project.arrangement is not None
        return (
            tuple(project.points),
            given,
            len(project.rules or ()),
            project.units,
            pieces,
            arranged,
        )

    def renew(self) -> None:
        """Show the project's values in the fields."""
        project = self.document.project
        if project is None or not self.isVisible():
            return
        if self._built != self._shape():
            self.rebuild()
            return
        for path, field in self.fields.items():
            field.show_value(tree.get(project, path))
        for path, other in self.others.items():
            value = tree.get(project, path)
            other.blockSignals(True)
            if isinstance(other, QCheckBox):
                other.setChecked(bool(value))
            else:
                other.setCurrentText(str(value))
            other.blockSignals(False)

    # --- parts of the page ----------------------------------------------------------------

    def _heading(self, column: QVBoxLayout, text: str) -> None:
        label = QLabel(text)
        label.setFont(font(18 * self.theme.scale, 600))
        label.setContentsMargins(0, round(12 * self.theme.scale), 0, 0)
        column.addWidget(label)

    def _buttons(self, column: QVBoxLayout) -> None:
        row = QHBoxLayout()
        other = QPushButton("Other side of the car")
        other.setToolTip("The same corner mirrored to the other side (M)")
        other.clicked.connect(self.mirror)
        row.addWidget(other)
        row.addStretch(1)
        column.addLayout(row)
        describe_parts.build_buttons(self, column)

    def mirror(self) -> None:
        """The same corner on the other side of the car."""
        project = self.document.project
        if project is not None:
            self.document.edit(mirror(project), "mirror to the other side")

    def _points(self, column: QVBoxLayout) -> None:
        project = self.document.project
        assert project is not None
        self._heading(column, "Points")
        grid = QGridLayout()
        grid.setHorizontalSpacing(round(6 * self.theme.scale))
        grid.setVerticalSpacing(round(4 * self.theme.scale))
        for k, word in enumerate(("x forward", "y left", "z up")):
            grid.addWidget(self._quiet(word), 0, k + 1, Qt.AlignmentFlag.AlignRight)
        for i, name in enumerate(project.points):
            grid.addWidget(self._label(name), i + 1, 0)
            for k in range(3):
                entry = Entry(("points", name, k), "length", f"{name}: {'xyz'[k]}")
                grid.addWidget(wide(self._field(entry), 84, self.theme), i + 1, k + 1)
        grid.setColumnStretch(0, 1)
        column.addLayout(grid)

    def _record(self, column: QVBoxLayout, title: str, entries: list[Entry]) -> None:
        self._heading(column, title)
        self._grid(column, entries)

    def _grid(self, column: QVBoxLayout, entries: list[Entry]) -> None:
        describe_parts.grid(self, column, entries)

    def _rules(self, column: QVBoxLayout) -> None:
        project = self.document.project
        if project is None or not project.rules:
            return
        self._heading(column, "Keep at least")
        grid = QGridLayout()
        for i, rule in enumerate(project.rules):
            grid.addWidget(self._label(f"{rule.between[0]} to {rule.between[1]}"), i, 0)
            entry = Entry(("rules", i, "at_least"), "length", rule.why)
            grid.addWidget(wide(self._field(entry), 84, self.theme), i, 1)
            grid.addWidget(self._quiet(project.units), i, 2)
        grid.setColumnStretch(0, 1)
        column.addLayout(grid)

    def _editor(self, entry: Entry) -> QWidget:
        """A field, a tick or a choice, as the entry asks for."""
        if entry.kind == "flag":
            tick = QCheckBox()
            tick.setAccessibleName(entry.label)
            tick.toggled.connect(lambda on: self._try(entry, on))
            self.others[entry.path] = tick
            return tick
        if entry.kind == "choice":
            choice = QComboBox()
            choice.setAccessibleName(entry.label)
            choice.addItems(list(entry.choices))
            choice.currentTextChanged.connect(lambda text: self._try(entry, text))
            self.others[entry.path] = choice
            return wide(choice, 150, self.theme)
        return wide(self._field(entry), 150, self.theme)

    def _narrow(self, entry: Entry) -> QWidget:
        return wide(self._field(entry), 84, self.theme)

    def _field(self, entry: Entry) -> Field:
        units = self.document.project.units if self.document.project is not None else "mm"
        field = Field(self.theme, entry, units, lambda value: self._put(entry, value))
        field.wrong.connect(lambda error: self._say(entry, error))
        self.fields[entry.path] = field
        return field

    def _label(self, text: str) -> QLabel:
        label = QLabel(text)
        label.setFont(font(15 * self.theme.scale, 500))
        return label

    def _quiet(self, text: str) -> QLabel:
        label = QLabel(text)
        label.setFont(font(13 * self.theme.scale, 500))
        label.setEnabled(False)
        return label

    def set_way(self, way: str) -> None:
        """The hand slides the top mount that way from here on."""
        self.way = way
        self.slides.emit(way)

    # --- what is entered ------------------------------------------------------------------

    def _put(self, entry: Entry, value: Any) -> None:
        """Change the project; the last good one stays alive while this raises."""
        project = self.document.project
        if project is not None:
            made = tree.put(project, entry.path, value)
            self.document.edit(made, f"change {entry.label}", strict=True)

    def _try(self, entry: Entry, value: Any) -> None:
        try:
            self._put(entry, value)
        except ClearstrokeError as error:
            self._say(entry, str(error).split("\n")[0])
            self.renew()

    def _say(self, entry: Entry, error: str) -> None:
        self.tell(error)
        self.focused.emit(str(entry.path[1]) if entry.path[0] == "points" else "")

    def tell(self, error: str) -> None:
        """Say above the form what is wrong; nothing if it is right again."""
        self.message.setText(f"{error[:1].upper()}{error[1:].rstrip('.')}." if error else "")
        self.message.setVisible(bool(error))

    def _dress(self) -> None:
        s, p = self.theme.scale, self.theme.palette
        self.message.setFont(font(15 * s, 500, False))
        self.message.setStyleSheet(
            f"background: {p.touch_wash}; color: {p.ink}; padding: 10px 20px; "
            f"border-left: 5px solid {p.touch_fill};"
        )
        self.message.setVisible(bool(self.message.text()))
        self.setStyleSheet(
            f"Describe, QScrollArea, QScrollArea > QWidget > QWidget {{ background: {p.sheet}; }}"
            f"QScrollBar:vertical {{ background: {p.sheet}; width: 10px; margin: 0; }}"
            f"QScrollBar::handle:vertical {{ background: {p.hair}; border-radius: 4px;"
            " min-height: 30px; margin: 1px; }"
            "QScrollBar::add-line:vertical, QScrollBar::sub-line:vertical { height: 0; }"
            "QScrollBar::add-page:vertical, QScrollBar::sub-page:vertical { background: none; }"
            f"QPushButton {{ background: {p.sheet}; color: {p.dye}; border: 1.5px solid {p.dye};"
            " border-radius: 8px; padding: 5px 12px; }"
            f"QPushButton:hover, QPushButton:focus {{ background: {p.wash}; }}"
        )
        self._built = None
        if self.isVisible():
            self.rebuild()
