"""The part of the description that moves the top mount by typed amounts and says how it slides."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QGridLayout, QPushButton, QVBoxLayout

from app.document.tree import Entry
from app.entry import Field, wide
from app.hand.drags import WAYS
from kinematics.errors import ClearstrokeError

if TYPE_CHECKING:
    from app.describe.room import Describe

AMOUNTS = (
    ("forward", "towards the front of the car; negative goes back"),
    ("in", "towards the middle of the car; negative goes out"),
    ("up", "negative goes down"),
)


def build(form: Describe, column: QVBoxLayout) -> None:
    """Three amounts and a button; below them the way a hand slides it."""
    project = form.document.project
    if project is None or project.coilover is None:
        return
    form._heading(column, "Move the top mount")
    grid = QGridLayout()
    amounts: dict[str, float] = dict.fromkeys((name for name, _ in AMOUNTS), 0.0)
    fields: list[Field] = []
    for k, (name, tip) in enumerate(AMOUNTS):
        entry = Entry(("move", name), "length", f"Move by this much {tip}.")

        def put(value: float, key: str = name) -> None:
            amounts[key] = value

        field = Field(form.theme, entry, project.units, put)
        field.setAccessibleName(f"top mount {name}")
        field.show_value(0.0)
        field.wrong.connect(form.tell)
        fields.append(field)
        grid.addWidget(form._quiet(f"{name} {project.units}"), 0, k, Qt.AlignmentFlag.AlignRight)
        grid.addWidget(wide(field, 84, form.theme), 1, k)
    button = QPushButton("Move")
    button.setToolTip("Move the top mount, and its tower if that goes along, by these amounts")
    button.clicked.connect(lambda: _move(form, amounts, fields))
    grid.addWidget(button, 1, 3)
    grid.setColumnStretch(4, 1)
    column.addLayout(grid)
    ways = QComboBox()
    ways.setAccessibleName("How the hand slides the top mount")
    ways.setToolTip("Which way the top mount goes when it is pulled in the view")
    for key, words in WAYS.items():
        ways.addItem(words, key)
    ways.setCurrentIndex(max(0, ways.findData(form.way)))
    ways.activated.connect(lambda _: form.set_way(str(ways.currentData())))
    column.addWidget(ways)


def _move(form: Describe, amounts: dict[str, float], fields: list[Field]) -> None:
    """One undo step; then the amounts are nought again."""
    for field in fields:
        field.take()
    project = form.document.project
    if project is None or any(field.error for field in fields):
        return
    out = 1.0 if project.side == "left" else -1.0
    forward, inward, up = (amounts[name] for name, _ in AMOUNTS)
    try:
        moved = form.document.slide_mount(project, forward, -inward * out, up)
        form.document.edit(moved, "move the top mount", strict=True)
    except ClearstrokeError as error:
        form.tell(str(error))
        return
    for field, (name, _) in zip(fields, AMOUNTS, strict=True):
        amounts[name] = 0.0
        field.show_value(0.0)
