"""Load cases: which one is looked at, and its figures.

Every change is one step of undo.
"""

from __future__ import annotations

from typing import Any

import msgspec
from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.document import red, tree
from app.document.document import Document
from app.document.red import CASES
from app.document.steps import red_along
from app.document.tree import Entry
from app.entry import Chooser, Field, recall, wide
from app.look.theme import Theme
from app.look.type import font
from kinematics.errors import ClearstrokeError
from kinematics.project.loads import LoadCase, Loads
from kinematics.project.model import Project
from kinematics.statics.cases import STANDING, cases_of, editable_cases

HARDEST = "3 g bump"  # shown first where nothing was chosen yet
PARTS = (
    ("up", "Up", "1 is the car standing still"),
    ("back", "Rearward", "braking; negative is driving forward"),
    ("inboard", "Inboard", "this wheel outside in a corner"),
)


class Cases(QWidget):
    """The load case chosen, and fields for it. ``picked`` when another is chosen or it changes."""

    picked = Signal()
    wrong = Signal(str)

    def __init__(self, theme: Theme, document: Document) -> None:
        super().__init__()
        self.theme, self.document = theme, document
        self.name = HARDEST
        self._recalled = ""  # the case whose figures the fields stand for
        self.chooser = Chooser(theme)
        self.chooser.setAccessibleName("Load case")
        self.chooser.activated.connect(lambda _: self.choose(self.chooser.currentText()))
        called = Entry(("case name",), "text", "what this load case is called")
        self.rename = self._told(Field(theme, called, "mm", self._rename), "")
        self.fields = {part: self._field(part, help_) for part, _, help_ in PARTS}
        self.add = QPushButton("New case")
        self.add.setToolTip("Another load case, beginning as this one is")
        self.add.clicked.connect(self.add_case)
        self.drop = QPushButton("Remove")
        self.drop.setToolTip("Take this load case away")
        self.drop.clicked.connect(self.drop_case)
        self._lay_out()
        document.opened.connect(self._recall)
        theme.changed.connect(self._dress)
        self._dress()

    # --- what is chosen -------------------------------------------------------------------

    @property
    def loads(self) -> Loads | None:
        """The project's weights and cases."""
        project = self.document.project
        return None if project is None else project.loads

    @property
    def case(self) -> LoadCase | None:
        """The load case chosen; None without weights."""
        loads = self.loads
        return None if loads is None else cases_of(loads).get(self.name)

    def choose(self, name: str) -> None:
        """Look at another load case."""
        self.name = name
        self.renew()
        self.picked.emit()

    def renew(self) -> None:
        """Show what the project holds."""
        loads = self.loads
        names = [] if loads is None else list(cases_of(loads))
        if names and self.name not in names:
            self.name = HARDEST if HARDEST in names else names[-1]
        if [self.chooser.itemText(i) for i in range(self.chooser.count())] != names:
            self.chooser.clear()
            self.chooser.addItems(names)
        self.chooser.setCurrentText(self.name)
        if self.name != self._recalled:
            self._recall()
        case, fixed = self.case, self.name == STANDING
        for part, field in self.fields.items():
            field.show_value(None if case is None else getattr(case, part))
            field.setEnabled(case is not None and not fixed)
        self.rename.show_value(self.name if case is not None else "")
        self.rename.setEnabled(case is not None and not fixed)
        self.drop.setEnabled(case is not None and not fixed)
        self.add.setEnabled(loads is not None)

    def _recall(self) -> None:
        """What stands red in one case does not in another, nor in another project."""
        self._recalled = self.name
        for part, field in (("", self.rename), *self.fields.items()):
            recall(field, self.document, (*CASES, self.name, part))

    # --- changes ----------------------------------------------------------------------------

    def add_case(self) -> None:
        """A copy of the case shown, under a name of its own."""
        loads, case = self.loads, self.case
        if loads is None or case is None:
            return
        names = cases_of(loads)
        k = next(k for k in range(1, len(names) + 2) if f"case {k}" not in names)
        self.name = f"case {k}"
        self._put({**editable_cases(loads), self.name: case}, "add a load case")

    def drop_case(self) -> None:
        """Without the case shown."""
        loads = self.loads
        if loads is None or self.name == STANDING:
            return
        cases = editable_cases(loads)
        cases.pop(self.name, None)
        self._put(cases, f"remove “{self.name}”")

    def _rename(self, name: str) -> None:
        loads = self.loads
        if loads is None or name == self.name:
            return
        if not name or name in cases_of(loads):
            raise ClearstrokeError("Give the load case a name of its own.")
        old, cases = self.name, editable_cases(loads)
        renamed = {(name if key == old else key): case for key, case in cases.items()}
        self.name = self._recalled = name
        along = red.by_name((*CASES, old), (*CASES, name))
        try:
            with red_along(self.document, along):
                self._put(renamed, f"call a load case “{name}”")
        except ClearstrokeError:
            self.name = self._recalled = old
            raise

    def _change(self, part: str, value: Any) -> None:
        loads, case = self.loads, self.case
        if loads is None or case is None:
            return
        changed = msgspec.structs.replace(case, **{part: value})
        self._put({**editable_cases(loads), self.name: changed}, f"change “{self.name}”")

    def _put(self, cases: dict[str, LoadCase], what: str) -> None:
        """The project with these load cases, checked as a file would be."""
        project = self.document.project
        if project is not None:
            self.edit(tree.put(project, ("loads", "cases"), msgspec.to_builtins(cases)), what)

    def edit(self, project: Project, what: str) -> None:
        """Change the project as one step of undo. Raises ClearstrokeError if it can't stand."""
        self.document.edit(project, what, strict=True)
        self.renew()
        self.picked.emit()

    # --- how it is laid out ---------------------------------------------------------------

    def _field(self, part: str, help_: str) -> Field:
        entry = Entry(("load case", part), "number", help_)
        return self._told(Field(self.theme, entry, "mm", lambda v: self._change(part, v)), part)

    def _told(self, field: Field, part: str) -> Field:
        def mark(error: str) -> None:
            self.document.mark((*CASES, self._recalled, part), field.text(), error)

        field.wrong.connect(self.wrong.emit)
        field.wrong.connect(mark)
        return field

    def _lay_out(self) -> None:
        self.column = QVBoxLayout(self)
        self.labels = [QLabel("Called"), *(QLabel(words) for _, words, _ in PARTS)]
        first, second, third = QHBoxLayout(), QHBoxLayout(), QHBoxLayout()
        first.addWidget(self.chooser, 1)
        second.addWidget(self.labels[0])
        second.addWidget(self.rename, 1)
        second.addWidget(self.add)
        second.addWidget(self.drop)
        for label, field in zip(self.labels[1:], self.fields.values(), strict=True):
            label.setToolTip(field.toolTip())
            third.addWidget(label)
            third.addWidget(field)
        third.addStretch(1)
        for row in (first, second, third):
            self.column.addLayout(row)

    def _dress(self) -> None:
        s = self.theme.scale
        self.column.setContentsMargins(0, 0, 0, round(8 * s))
        for label in self.labels:
            label.setFont(font(15 * s, 500))
        for box in (self.add, self.drop):
            box.setFont(font(15 * s, 500))
        for field in self.fields.values():
            wide(field, 56, self.theme)
