"""The part of the description that adds, copies and takes away: links, joints and parts."""

from __future__ import annotations

from typing import TYPE_CHECKING, get_args

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QMenu,
    QPushButton,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.document import tree
from app.document.tree import Entry, Path
from kinematics.errors import ClearstrokeError
from kinematics.project.furnish import Group, add_part, copy_entry, remove_entry
from kinematics.project.model import Box, Joint, Link, PartSpec, Plate
from kinematics.project.unfold import unfold

if TYPE_CHECKING:
    from app.describe.room import Describe

NEW = {
    "tube": "Round tube",
    "plate": "Flat plate",
    "box": "Box section or block",
    "cylinder": "Cylinder",
    "shaft": "Drive shaft",
    "link": "Link with a ball at either end",
}
RECORDS: dict[str, type] = {
    kind.__struct_config__.tag: kind for kind in (*get_args(PartSpec), *get_args(Joint))
}
WHAT = {"parts": "part", "links": "link", "joints": "joint"}


def build_buttons(form: Describe, column: QVBoxLayout) -> None:
    """Add something, or take the arrangement apart so that all of it can be changed."""
    project = form.document.project
    row = QHBoxLayout()
    add = QPushButton("Add…")
    add.setToolTip("A part or link, by the wheel's inner side, to be put where it belongs")
    menu = QMenu(add)
    for kind, words in NEW.items():
        menu.addAction(words).triggered.connect(lambda _=False, k=kind: add_one(form, k))
    add.setMenu(menu)
    row.addWidget(add)
    if project is not None and project.arrangement is not None:
        apart = QPushButton("Take apart")
        apart.setToolTip("The arrangement as separate links, joints and tubes: each can be changed")
        apart.clicked.connect(lambda: take_apart(form))
        row.addWidget(apart)
    row.addStretch(1)
    column.addLayout(row)


def build(form: Describe, column: QVBoxLayout) -> None:
    """Every link, joint and part with its shop numbers, a copy button and a removing one."""
    project = form.document.project
    assert project is not None
    for group, heading in (("links", "Links"), ("joints", "Joints"), ("parts", "Parts")):
        entries = getattr(project, group)
        if not entries:
            continue
        form._heading(column, heading)
        for name, record in entries.items():
            _row(form, column, group, name)  # type: ignore[arg-type]
            kind = Link if group == "links" else type(record)
            found = tree.entries(kind, (group, name))
            found += corners(record, (group, name))
            form._grid(column, found)


def corners(record: object, path: Path) -> list[Entry]:
    """The coordinates that a box or a plate is given by."""
    if isinstance(record, Box):
        return [
            Entry((*path, end, k), "length", f"its corner with the {end} x, y and z")
            for end in ("least", "most")
            for k in range(3)
        ]
    if isinstance(record, Plate):
        return [
            Entry((*path, "outline", i, k), "length", "a corner of its middle surface")
            for i in range(len(record.outline))
            for k in range(3)
        ]
    return []


def _row(form: Describe, column: QVBoxLayout, group: Group, name: str) -> None:
    s = form.theme.scale
    row = QHBoxLayout()
    title = form._label(name)
    row.addWidget(title, 1)
    for words, tip, call in (
        ("Copy", f"Another {WHAT[group]} like this one, a little above it", copy_one),
        ("Remove", f"Take this {WHAT[group]} away, and the points only it uses", remove_one),
    ):
        button = QToolButton()
        button.setText(words)
        button.setToolTip(tip)
        button.setAccessibleName(f"{words} {name}")
        button.clicked.connect(lambda _=False, c=call: c(form, group, name))
        row.addWidget(button)
    row.setContentsMargins(0, round(8 * s), 0, 0)
    column.addLayout(row)


def add_one(form: Describe, kind: str) -> None:
    """Something new, selected and named in the message."""
    project = form.document.project
    if project is None:
        return
    made, name = add_part(project, kind)
    if _edit(form, made, f"add a {kind}"):
        form.added.emit(name)


def copy_one(form: Describe, group: Group, name: str) -> None:
    """A copy beside the first."""
    project = form.document.project
    if project is None:
        return
    try:
        made, new = copy_entry(project, group, name)
    except ClearstrokeError as error:
        form.tell(str(error))
        return
    if _edit(form, made, f"copy {name}"):
        form.added.emit(new)


def remove_one(form: Describe, group: Group, name: str) -> None:
    """Take it away, if the corner can stand without it."""
    project = form.document.project
    if project is None:
        return
    try:
        made = remove_entry(project, group, name)
    except ClearstrokeError as error:
        form.tell(str(error))
        return
    _edit(form, made, f"remove {name}")


def take_apart(form: Describe) -> None:
    """The arrangement as separate links, joints and tubes."""
    project = form.document.project
    if project is not None:
        _edit(form, unfold(project), "take the arrangement apart")


def _edit(form: Describe, project: object, what: str) -> bool:
    """One undo step; what can't stand is said above the form."""
    try:
        done = form.document.edit(project, what, strict=True)  # type: ignore[arg-type]
    except ClearstrokeError as error:
        form.tell(str(error).split("\n")[0])
        return False
    form.tell("")
    return done


def grid(form: Describe, column: QVBoxLayout, entries: list[Entry]) -> None:
    """Labels, fields and units of some entries; three coordinates stand side by side."""
    if not entries:
        return
    layout = QGridLayout()
    layout.setHorizontalSpacing(round(6 * form.theme.scale))
    layout.setVerticalSpacing(round(4 * form.theme.scale))
    project = form.document.project
    units = project.units if project is not None else "mm"
    row = 0
    for entry in entries:
        axis = entry.path[-1]
        if isinstance(axis, int):
            if axis == 0:
                row += 1
                words = str(entry.path[-2]) if isinstance(entry.path[-2], str) else "corner"
                layout.addWidget(_named(form, words, entry), row, 0)
            layout.addWidget(form._narrow(entry), row, axis + 1)
            continue
        row += 1
        layout.addWidget(_named(form, entry.label, entry), row, 0)
        layout.addWidget(form._editor(entry), row, 1, 1, 2, Qt.AlignmentFlag.AlignRight)
        unit = units if entry.kind == "length" else entry.unit
        layout.addWidget(form._quiet(unit), row, 3)
    layout.setColumnStretch(0, 1)
    column.addLayout(layout)


def _named(form: Describe, words: str, entry: Entry) -> QWidget:
    label = form._label(words)
    label.setToolTip(entry.help)
    return label
