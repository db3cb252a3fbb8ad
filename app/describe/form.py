"""Lays out what a record holds: labels and fields, rows of coordinates, tables that unfold."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

import msgspec
from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLayout,
    QPushButton,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.describe import choices, editors, wind
from app.describe.bits import Fold
from app.document import tree
from app.document.tree import Entry, Group, Path
from app.entry import Field, wide
from app.look.halo import unbroken
from app.look.type import font
from kinematics.project.basics import End

if TYPE_CHECKING:
    from app.describe.room import Describe

EDITOR = 168  # px at scale 1
NARROW = 78
PAIRED = 92  # one of two side by side, with its unit
TITLES = {
    "parts": "part", "links": "link", "joints": "joint", "adjusters": "adjuster",
    "bearings": "bearing", "stops": "stop", "straps": "strap", "hoses": "hose",
    "extra_positions": "position", "rules": "rule", "give": "bush", "gussets": "gusset",
    "weights": "weight", "outline": "corner", "curve": "pair", "bodies": "body",
    "points": "point", "through": "point", "moves": "part",
}  # fmt: skip
COORDINATES = 3


class Form:
    """One column of a page being laid out."""

    def __init__(self, room: Describe, column: QVBoxLayout, inset: float = 0.0) -> None:
        self.room, self.column, self.theme = room, column, room.theme
        self.inset = inset
        project = room.project
        assert project is not None
        self.project = project
        self.grid: QGridLayout | None = None
        self.row = 0

    # --- pieces -----------------------------------------------------------------------------

    def heading(self, text: str, *buttons: QWidget) -> None:
        """A heading with buttons to its right."""
        s = self.theme.scale
        row = QHBoxLayout()
        row.setContentsMargins(0, round((14 if self.column.count() else 2) * s), 0, 0)
        label = QLabel(text)
        label.setFont(font(18 * s, 600))
        row.addWidget(label, 1)
        for button in buttons:
            row.addWidget(button)
        self.add(row)

    def small_heading(self, text: str, *buttons: QWidget) -> None:
        """A heading within a record."""
        s = self.theme.scale
        row = QHBoxLayout()
        row.setContentsMargins(0, round(8 * s), 0, 0)
        label = QLabel(text)
        label.setFont(font(15 * s, 600))
        row.addWidget(label, 1)
        for button in buttons:
            row.addWidget(button)
        self.add(row)

    def add(self, what: QWidget | QLayout) -> None:
        """Below what there is; the next fields begin a grid of their own."""
        self.grid = None
        if isinstance(what, QLayout):
            self.column.addLayout(what)
        else:
            self.column.addWidget(what)

    def sentence(self, text: str) -> None:
        """A quiet sentence."""
        label = QLabel(unbroken(text))
        label.setWordWrap(True)
        label.setFont(font(14 * self.theme.scale, 400))
        label.setStyleSheet(f"color: {self.theme.palette.ink2};")
        self.add(label)

    def button(self, words: str, tip: str, call: Callable[[], object]) -> QPushButton:
        """A framed button."""
        made = QPushButton(words)
        made.setToolTip(tip)
        made.setFont(font(15 * self.theme.scale, 500, False))
        made.clicked.connect(lambda: call())
        return made

    def quiet(self, words: str, name: str, tip: str, call: Callable[[], object]) -> QToolButton:
        """A button of words alone, for what stands beside a thing."""
        made = QToolButton()
        made.setText(words)
        made.setAccessibleName(name)
        made.setToolTip(tip)
        made.setFont(font((17 if words == "×" else 14) * self.theme.scale, 500, False))
        made.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        made.clicked.connect(lambda: call())
        return made

    def line(self, words: str, help_: str, *editors: QWidget) -> None:
        """A label and what is changed beside it."""
        if self.grid is None:
            self.grid, self.row = QGridLayout(), 0
            self.grid.setHorizontalSpacing(round(6 * self.theme.scale))
            self.grid.setVerticalSpacing(round(4 * self.theme.scale))
            self.grid.setColumnStretch(0, 1)
            self.column.addLayout(self.grid)
        label = QLabel(words)
        label.setFont(font(15 * self.theme.scale, 500))
        label.setToolTip(help_)
        self.grid.addWidget(label, self.row, 0)
        right = QHBoxLayout()
        right.setSpacing(round(6 * self.theme.scale))
        for editor in editors:
            right.addWidget(editor)
        self.grid.addLayout(right, self.row, 1, Qt.AlignmentFlag.AlignRight)
        self.row += 1

    # --- records ------------------------------------------------------------------------------

    def record(self, path: Path, skip: Sequence[str] = ()) -> None:
        """Everything a record holds: single entries first, then what it holds of others."""
        record: Any = type(tree.get(self.project, path))
        held = [m for m in tree.members(record, path) if m.path[-1] not in skip]
        for each in held:
            if isinstance(each, Entry):
                self.entry(each)
            elif _is_short(each):
                self.group(each)
        for each in held:
            if isinstance(each, Group) and not _is_short(each):
                self.group(each)

    def entry(self, entry: Entry, words: str = "") -> None:
        """One entry on a line of its own."""
        editor = editors.editor(self.room, entry)
        if entry.kind != "flag":
            wide(editor, EDITOR, self.theme)
        self.line(words or entry.label, entry.help, editor)
        wind.beneath(self, entry)

    def group(self, group: Group) -> None:
        """A record, table, list or row within a record."""
        value = tree.get(self.project, group.path)
        if group.kinds == (End,) and value is not None:
            self.end(group)
        elif value is None and group.optional:
            self.absent(group)
        elif group.form == "record":
            self.small_heading(_title(group), *self.remover(group))
            self.record(group.path)
        elif group.form == "row":
            self.cells(group, value)
        elif group.keys:
            for key in group.keys:
                entry = tree.member(_item(group), (*group.path, key))
                assert isinstance(entry, Entry)
                self.entry(_may_be_left_out(entry), f"{group.label} {key}")
        elif group.form == "list":
            self.listing(group, value)
        else:
            self.table(group)

    def end(self, group: Group) -> None:
        """A point and the body that carries it, side by side."""
        point, body = tree.members(End, group.path)
        assert isinstance(point, Entry)
        assert isinstance(body, Entry)
        beside = [
            wide(editors.editor(self.room, each), w, self.theme)
            for each, w in ((point, 152), (body, 112))
        ]
        self.line(group.label, group.help or "a point, and the body that carries it", *beside)

    def absent(self, group: Group) -> None:
        """Something that isn't given, with the button that adds it."""
        words = _title(group)
        add = self.quiet(
            "Add", f"Add {words}", group.help or f"Give the {words}",
            lambda: self.room.deeds.add_at(group.path),
        )  # fmt: skip
        self.line(words, group.help, add)

    def remover(self, group: Group) -> list[QWidget]:
        """The button that takes away what may be left out."""
        if not group.optional:
            return []
        words = f"Remove {_title(group)}"
        return [self.quiet("Remove", words, words, lambda: self.room.deeds.drop_at(group.path))]

    def cells(self, group: Group, value: Sequence[Any]) -> None:
        """Values side by side: coordinates, a direction, a pair of names."""
        found = [tree.member(kind, (*group.path, k)) for k, kind in enumerate(group.items)]
        if any(isinstance(each, Group) for each in found):  # ends of a strap or a hose
            for each in found:
                if isinstance(each, Group):
                    self.group(each)
            return
        leaves = [choices.known(self.project, each) for each in found if isinstance(each, Entry)]
        worded = leaves[0].kind not in ("length", "number", "degrees")
        room = 130 if worded else NARROW
        beside = [wide(self.cell(each, len(leaves)), room, self.theme) for each in leaves]
        if group.optional:
            away = self.quiet(
                "×", f"Leave out {group.label}", "Leave this out",
                lambda: self.room.deeds.drop_at(group.path),
            )  # fmt: skip
            beside.append(away)
        self.line(f"{group.label}{self.columns(leaves)}", group.help, *beside)

    def cell(self, entry: Entry, of: int) -> QWidget:
        """One of a row: a coordinate is shown without the unit, which stands before the row."""
        made = editors.editor(self.room, entry)
        if of == COORDINATES and entry.kind == "length" and isinstance(made, Field):
            made.bare = True
        return made

    def columns(self, row: Sequence[Any]) -> str:
        """What the columns of a row of coordinates are, and their unit; or of turns."""
        kinds: list[str] = [each.kind for each in row if isinstance(each, Entry)]
        words = {"length": f"  x, y, z {self.project.units}", "degrees": "  about x, y, z"}
        return next((w for kind, w in words.items() if kinds.count(kind) == COORDINATES), "")

    # --- lists and tables ---------------------------------------------------------------------

    def listing(self, group: Group, value: Sequence[Any]) -> None:
        """Each of a list below the other, and a button for one more."""
        what = TITLES.get(str(group.path[-1]), group.label)
        more = self.quiet(
            f"Add {what}",
            f"Add {what}",
            f"One more {what}",
            lambda: self.room.deeds.add_at(group.path),
        )
        item = tree.member(_item(group), (*group.path, 0))
        row = item.items if isinstance(item, Group) and item.form == "row" else ()
        cells = [tree.member(kind, (*group.path, 0, k)) for k, kind in enumerate(row)]
        heading = f"{group.label}{self.columns(cells)}"
        self.small_heading(heading, more, *self.remover(group))
        for k in range(len(value)):
            path = (*group.path, k)
            away = self.quiet(
                "×", f"Remove {what} {k + 1}", f"Remove this {what}",
                partial(self.room.deeds.drop_at, path),
            )  # fmt: skip
            self.item(group, path, f"{what} {k + 1}", away)

    def item(self, group: Group, path: Path, words: str, away: QWidget) -> None:
        """One of a list."""
        each = tree.member(_item(group), path)
        if isinstance(each, Entry):
            each = choices.known(self.project, each)
            self.line(
                words, group.help, wide(editors.editor(self.room, each), EDITOR, self.theme), away
            )
        elif isinstance(each, Group) and each.form == "row":
            cells = [tree.member(kind, (*path, k)) for k, kind in enumerate(each.items)]
            beside = [
                wide(
                    self.cell(cell, len(cells)),
                    NARROW - 6 if len(cells) > 2 else PAIRED,
                    self.theme,
                )
                for cell in cells
                if isinstance(cell, Entry)
            ]
            self.line(words, group.help, *beside, away)
        else:
            self.small_heading(words, away)
            self.record(path)

    def table(self, group: Group, about: Callable[[Any], str] | None = None) -> None:
        """Each of a table as a fold; the one that is open shows what it holds."""
        there = tree.get(self.project, group.path) or {}
        assert isinstance(there, Mapping)
        for name, value in there.items():
            path = (*group.path, name)
            opened = self.room.opened.get(group.path) == name
            fold = Fold(self.theme, name, about(value) if about else _about(value), opened)
            fold.clicked.connect(lambda on, p=group.path, n=name: self.room.unfold(p, n, on))
            self.room.folds[path] = fold
            self.add(fold)
            if opened:
                self.opened(group, path, value)

    def opened(self, group: Group, path: Path, value: Any) -> None:
        """What an open fold shows: its name, what it holds, and what can be done with it."""
        s = self.theme.scale
        inner = QVBoxLayout()
        inner.setContentsMargins(round(12 * s), round(2 * s), 0, round(10 * s))
        inner.setSpacing(round(4 * s))
        self.add(inner)
        form = Form(self.room, inner)
        table, name = str(group.path[-1]), str(path[-1])
        what = TITLES.get(table, table)
        buttons = QHBoxLayout()
        buttons.addStretch(1)
        if table in ("parts", "links", "joints") and len(group.path) == 1:
            copy = form.quiet(
                "Copy", f"Copy {name}", f"Another {what} like this one, a little above it",
                lambda: self.room.deeds.copy(table, name),
            )  # fmt: skip
            buttons.addWidget(copy)
        away = form.quiet(
            "Remove", f"Remove {name}", f"Take this {what} away",
            lambda: self.room.deeds.remove(group.path, name),
        )  # fmt: skip
        buttons.addWidget(away)
        if table in choices.BY_PLACE and len(group.path) == 1:
            keys = choices.keys(self.project, table, name)
            form.line(
                "of", "", wide(editors.key_chooser(self.room, path, keys), EDITOR + 40, self.theme)
            )
        else:
            called = editors.name_field(self.room, path)
            form.line("called", "its name", wide(called, EDITOR + 40, self.theme))
        if isinstance(value, msgspec.Struct):
            form.record(path)
        else:
            each = tree.member(_item(group), path)
            if isinstance(each, Entry):
                form.entry(each, choices.VALUES.get(table, ""))
            elif isinstance(each, Group):
                form.pair(each)
        form.add(buttons)

    def pair_line(self, pair: Sequence[Entry], much: Entry, away: QWidget) -> None:
        """Two names, how much lies between them, and a button that takes the line away."""
        names = [
            wide(editors.editor(self.room, choices.known(self.project, each)), 118, self.theme)
            for each in pair
        ]
        field = wide(editors.editor(self.room, much), NARROW + 4, self.theme)
        row = QHBoxLayout()
        row.setSpacing(round(5 * self.theme.scale))
        for each in (*names, field, away):
            row.addWidget(each)
        row.addStretch(1)
        self.add(row)

    def quiet_words(self, entry: Entry, ask: str) -> None:
        """A text over the whole width, framed only while the hand is in it."""
        field = editors.field(self.room, entry)
        field.framed = False
        field.setPlaceholderText(ask)
        field.dress()
        self.add(field)

    def pair(self, group: Group) -> None:
        """A link of an arrangement: its point on the chassis and the one on the upright."""
        for k, (kind, words) in enumerate(
            zip(group.items, ("on the chassis", "on the upright"), strict=False)
        ):
            each = tree.member(kind, (*group.path, k))
            if isinstance(each, Entry):
                self.entry(each, words)


def _is_short(group: Group) -> bool:
    return group.kinds == (End,) or group.form == "row"


def _title(group: Group) -> str:
    return {"inner": "inner spring", "helper": "helper spring"}.get(
        str(group.path[-1]), group.label
    )


def _item(group: Group) -> Any:
    assert group.item is not None
    return group.item


def _may_be_left_out(entry: Entry) -> Entry:
    return Entry(entry.path, entry.kind, entry.help, True, entry.choices)


def _about(value: Any) -> str:
    """What a record is, for the fold: its kind in words."""
    return choices.KINDS.get(type(value), "")
