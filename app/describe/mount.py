"""The part of the description that moves the top mount by typed amounts and says how it slides."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout

from app.describe import wind
from app.describe.form import NARROW, Form
from app.document import tree
from app.document.tree import Entry
from app.entry import Chooser, Field, stay_red, wide
from app.hand.sliding import WAYS
from app.look.type import font
from kinematics.errors import ClearstrokeError
from kinematics.project import files

AMOUNTS = (
    ("forward", "towards the front of the car; negative goes rearward"),
    ("inboard", "towards the middle of the car; negative goes outboard"),
    ("up", "negative goes down"),
)


def build(form: Form) -> None:
    """Three amounts and a button; below them the way a hand slides it, and its slots."""
    project, room, s = form.project, form.room, form.theme.scale
    if project.coilover is None:
        return
    form.heading("Move the top mount")
    row = QHBoxLayout()
    row.setSpacing(round(6 * s))
    amounts, fields = room.amounts, dict[str, Field]()
    for name, tip in AMOUNTS:
        entry = Entry(("move", name), "length", f"Move by this much {tip}.")

        def put(value: float, key: str = name) -> None:
            amounts[key] = value
            fields[key].show_value(value)

        field = Field(form.theme, entry, project.units, put)
        field.setAccessibleName(f"top mount {name}")
        field.show_value(amounts.get(name, 0.0))
        field.wrong.connect(room.tell)
        stay_red(field, room.document)
        fields[name] = field
        label = QLabel(name)
        label.setFont(font(13 * s, 500))
        label.setStyleSheet(f"color: {form.theme.palette.ink2};")
        cell = QVBoxLayout()
        cell.setSpacing(0)
        cell.addWidget(label)
        cell.addWidget(wide(field, NARROW + 6, form.theme))
        row.addLayout(cell)
    tip = "Move the top mount, and its tower if that goes along, by these amounts"
    button = form.button("Move", tip, lambda: _move(form, fields))
    last = QVBoxLayout()
    last.addStretch(1)
    last.addWidget(button)
    row.addLayout(last)
    row.addStretch(1)
    form.add(row)
    ways = Chooser(form.theme)
    ways.setAccessibleName("How the hand slides the top mount")
    ways.setToolTip("Which way the top mount goes when it is pulled in the view")
    for key, words in WAYS.items():
        ways.addItem(words, key)
    ways.setCurrentIndex(max(0, ways.findData(room.way)))
    ways.activated.connect(lambda _: room.set_way(str(ways.currentData())))
    form.add(ways)
    wind.slots(form)


def _move(form: Form, fields: dict[str, Field]) -> None:
    """One undo step; then the amounts are nought again."""
    room = form.room
    for field in fields.values():
        field.take()
    project = room.document.project
    if project is None or any(field.error for field in fields.values()):
        return
    out = 1.0 if project.side == "left" else -1.0
    forward, inward, up = (room.amounts.get(name, 0.0) for name, _ in AMOUNTS)
    try:
        moved = room.document.slide_mount(project, forward, -inward * out, up)
        files.dumps(moved)  # refuses what could not be saved, in a sentence
        room.document.edit(moved, "move the top mount", strict=True)
    except ClearstrokeError as error:
        room.tell(tree.in_words(error))
        return
    room.amounts.clear()
    for field in fields.values():
        field.show_value(0.0)
