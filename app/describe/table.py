"""The table of points: name and coordinates, walked with the arrow keys as a table is."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import msgspec
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGridLayout, QLabel

from app.describe import editors
from app.document.tree import Entry
from app.entry import Field, wide
from app.look.type import font
from app.told import told
from kinematics.project.fitted import add_point
from kinematics.project.rename import uses_of

if TYPE_CHECKING:
    from app.describe.form import Form
    from app.describe.room import Describe

CELL = 70  # px at scale 1
HELP = (
    "Arrows go to the cells beside it, Enter to the one below. Ctrl with up or down steps the "
    "figure, with Shift by ten, with Alt by a tenth."
)
WAYS = {
    Qt.Key.Key_Up: (-1, 0),
    Qt.Key.Key_Down: (1, 0),
    Qt.Key.Key_Left: (0, -1),
    Qt.Key.Key_Right: (0, 1),
}


@told
class Cell(Field):
    """A coordinate or a name in the table."""

    place = (0, 0)  # row, column
    table: Table

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, mods = Qt.Key(event.key()), event.modifiers()
        control = bool(mods & Qt.KeyboardModifier.ControlModifier)
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.take()
            if not self.error:
                back = bool(mods & Qt.KeyboardModifier.ShiftModifier)
                self.table.go(self.place, (-1 if back else 1, 0))
        elif key in WAYS and not control and self._leaves(key):
            self.take()
            if not self.error:
                self.table.go(self.place, WAYS[key])
        elif key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.nudge(1 if key == Qt.Key.Key_Up else -1, mods)
        else:
            super().keyPressEvent(event)

    def _leaves(self, key: Qt.Key) -> bool:
        """Whether an arrow leaves the cell: up and down always, sideways when nothing is edited."""
        if key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            return True
        whole = self.selectedText() == self.text()
        edge = 0 if key == Qt.Key.Key_Left else len(self.text())
        return whole or (self.cursorPosition() == edge and not self.hasSelectedText())


class Table:
    """The cells by row and column."""

    def __init__(self) -> None:
        self.cells: dict[tuple[int, int], Cell] = {}

    def add(self, cell: Cell, place: tuple[int, int]) -> Cell:
        """A cell at its place."""
        cell.place, cell.table = place, self
        self.cells[place] = cell
        return cell

    def go(self, place: tuple[int, int], by: tuple[int, int]) -> None:
        """To the cell beside; at the edges of the table nowhere."""
        cell = self.cells.get((place[0] + by[0], place[1] + by[1]))
        if cell is not None:
            cell.setFocus(Qt.FocusReason.TabFocusReason)
            cell.table.look(cell)

    def look(self, cell: Cell) -> None:
        """Scroll it into view."""
        at = cell.parent()
        while at is not None and not hasattr(at, "ensureWidgetVisible"):
            at = at.parent()
        if at is not None:
            at.ensureWidgetVisible(cell, 0, 50)


def build(room: Describe, form: Form) -> None:
    """Headings, a row for each point, and what can be done with them."""
    project = form.project
    form.heading(
        "Points",
        form.button("Add a point", "One more point, to be put where it belongs", lambda: add(room)),
    )
    s, units = room.theme.scale, project.units
    grid = QGridLayout()
    grid.setHorizontalSpacing(round(5 * s))
    grid.setVerticalSpacing(round(3 * s))
    for k, word in enumerate((f"x forward {units}", f"y left {units}", f"z up {units}")):
        label = QLabel(word)
        label.setFont(font(13 * s, 500))
        label.setStyleSheet(f"color: {room.theme.palette.ink2};")
        grid.addWidget(label, 0, k + 1, Qt.AlignmentFlag.AlignRight)
    table = Table()
    for i, name in enumerate(project.points):
        entry = Entry(("points", name, ""), "text", f"{name}: what it is called")
        cell = _cell(room, table, entry, (i, 0))
        cell.put = partial(room.deeds.rename, ("points", name))
        cell.setAccessibleName(f"name of {name}")
        cell.framed = False
        cell.dress()
        grid.addWidget(cell, i + 1, 0)
        for k in range(3):
            entry = Entry(("points", name, k), "length", HELP)
            cell = _cell(room, table, entry, (i, k + 1))
            cell.bare = True
            cell.setAccessibleName(f"{name}, {'xyz'[k]}")
            grid.addWidget(wide(cell, CELL, room.theme), i + 1, k + 1)
        away = form.quiet(
            "×", f"Remove {name}", "Take this point away", partial(remove, room, name)
        )
        away.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        grid.addWidget(away, i + 1, 4)
    grid.setColumnStretch(0, 1)
    form.add(grid)


def _cell(room: Describe, table: Table, entry: Entry, place: tuple[int, int]) -> Cell:
    made = table.add(editors.field(room, entry, Cell), place)  # type: ignore[arg-type]
    return made


def add(room: Describe) -> None:
    """One more point, with the hand on its name."""
    name = room.deeds.make("add a point", add_point)
    if name is not None:
        room.reveal(("points", name, ""))


def remove(room: Describe, name: str) -> None:
    """Take a point away that nothing uses."""
    project = room.project
    if project is None:
        return
    users = uses_of(project, name)
    if users:
        room.tell(f'"{name}" is used by {", ".join(users[:3])}: change that first.')
        return
    points = {n: xyz for n, xyz in project.points.items() if n != name}
    room.deeds.change(f"remove {name}", lambda p: msgspec.structs.replace(p, points=points))
