"""What the entries of a page are changed with: fields, ticks and choices, tied to the room."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

from app.describe import choices
from app.describe.toe import ToeField
from app.document.tree import Entry, Path
from app.entry import Chooser, Field, Tick, stay_red

if TYPE_CHECKING:
    from app.describe.room import Describe


def editor(room: Describe, entry: Entry) -> QWidget:
    """A field, a tick or a choice, as the entry asks for."""
    project = room.project
    assert project is not None
    entry = choices.known(project, entry)
    if entry.kind == "flag":
        tick = Tick(room.theme)
        tick.setAccessibleName(entry.label)
        tick.setToolTip(entry.help)
        tick.toggled.connect(lambda on: room.deeds.choose(entry, on))
        tick.held.connect(lambda: room.hold(entry.path, entry.help))
        room.others[entry.path] = tick
        return tick
    if entry.kind in ("choice", "point", "body", "name"):
        return _chooser(room, entry)
    return field(room, entry)


def _chooser(room: Describe, entry: Entry) -> Chooser:
    chooser = Chooser(room.theme)
    chooser.setProperty("entry", entry)
    chooser.setAccessibleName(" ".join(map(str, entry.path)))
    chooser.setToolTip(entry.help)

    def take() -> None:
        words = chooser.currentText()
        room.deeds.choose(entry, None if entry.optional and words == choices.NONE else words)

    chooser.activated.connect(lambda _: take())
    chooser.held.connect(lambda: room.hold(entry.path, entry.help))
    room.others[entry.path] = chooser
    return chooser


def field(room: Describe, entry: Entry, kind: type[Field] = Field) -> Field:
    """A field of the page; its errors are said below the form."""
    project = room.project
    assert project is not None
    if entry.path == ("wheel", "toe_deg"):
        kind = ToeField
    made = kind(room.theme, entry, project.units, lambda value: room.deeds.put(entry, value))
    made.wrong.connect(room.tell)
    stay_red(made, room.document)
    made.held.connect(lambda: room.hold(entry.path, entry.help))
    room.fields[entry.path] = made
    if isinstance(made, ToeField):
        room.watches.append(made.follow)
    return made


def name_field(room: Describe, path: Path) -> Field:
    """What an entry of a table is called, to be changed."""
    entry = Entry((*path, ""), "text", "its name, wherever it is spoken of")
    made = field(room, entry)
    made.put = lambda name: room.deeds.rename(path, str(name))
    made.setAccessibleName(f"name of {path[-1]}")
    return made


def key_chooser(room: Describe, path: Path, keys: tuple[str, ...]) -> Chooser:
    """What an entry of a table is of, where that is its name."""
    chooser = Chooser(room.theme)
    chooser.setAccessibleName(f"what {path[-1]} is of")
    chooser.offer(keys, str(path[-1]))
    chooser.activated.connect(lambda _: room.deeds.move_to(path, chooser.currentText()))
    return chooser
