"""The room to describe the corner in: its points and its few shop numbers, live in the view."""

from __future__ import annotations

import contextlib
import html
from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QPoint, Qt, QTimer, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.describe import choices, pages
from app.describe.bits import Fold, PageWord
from app.describe.deeds import Deeds
from app.describe.draft import Draft
from app.describe.held import Held
from app.describe.sketch import SketchPanel
from app.document import tree
from app.document.document import Document
from app.document.tree import Path
from app.entry import Chooser, Field, Tick
from app.look.halo import unbroken
from app.look.scroll import EDGE, Scroll, right_edge
from app.look.theme import Theme
from app.look.type import font
from app.told import told
from kinematics.errors import ClearstrokeError
from kinematics.project.mirror import mirror
from kinematics.project.model import Project

WIDEST = 480  # px at scale 1: beyond it a field stands too far from its label
HOW = (
    "Type 82.5, 82,5, 3 1/4 in, 80 + 25.4 or 450 lb/in. Enter takes it, Esc gives it up, "
    "arrows step it. Ctrl with Page Up or Down turns the page."
)


@told
class Describe(QWidget):
    """Points and shop numbers, a page at a time.

    ``focused`` names the point a field of which has the focus.
    """

    focused = Signal(str)
    slides = Signal(str)  # the way the hand is to slide the top mount
    added = Signal(str)  # the name of a part that has just been added
    drafted = Signal(object)  # the middle lines (n, 3) of links and tubes that wait, by name
    begun = Signal(object)  # where the points that wait are, by name

    def __init__(self, theme: Theme, document: Document) -> None:
        super().__init__()
        self.theme, self.document = theme, document
        self.draft = Draft(document)
        self.deeds = Deeds(self)
        self.fields: dict[Path, Field] = {}
        self.others: dict[Path, Tick | Chooser] = {}
        self.folds: dict[Path, Fold] = {}
        self.opened: dict[Path, str] = {}  # which entry of a table is unfolded
        self.watches: list[Callable[[Project], None]] = []  # what else follows the project
        self.page = pages.PAGES[0].word
        self.way = "plate"  # how the hand slides the top mount
        self.amounts: dict[str, float] = {}  # typed to move it by, not moved yet
        self._built: object = None
        self._at: Path = ()  # the entry that has, or last had, the focus
        self._asked: tuple[Project | None, str] = (None, "")  # of what was just typed
        self._scrolled: dict[str, int] = {}
        self.words = {page.word: PageWord(theme, page.word, page.tip) for page in pages.PAGES}
        self.message = QLabel("")
        self.message.setWordWrap(True)
        self.message.setAccessibleName("What is wrong with an entry")
        self.meaning = QLabel(unbroken(HOW))
        self.meaning.setWordWrap(True)
        self.meaning.setTextFormat(Qt.TextFormat.RichText)
        self.meaning.setAccessibleName("What the entry means")
        self.foot = QStackedWidget()  # one in the other's place: no row moves under the hand
        for label in (self.meaning, self.message):
            self.foot.addWidget(label)
        self.held = Held(theme, self.draft.give_up)
        self.sketch = SketchPanel(theme)
        self.sketch.picked.connect(self.reveal)
        self.area = Scroll()
        self.area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._lay_out()
        document.changed.connect(self.renew)
        document.opened.connect(self._opened)
        theme.changed.connect(self._dress)
        for keys, step in (("Ctrl+PgDown", 1), ("Ctrl+PgUp", -1)):
            turn = QShortcut(QKeySequence(keys), self)
            turn.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            turn.activated.connect(partial(self.turn, step))
        self._dress()

    @property
    def project(self) -> Project | None:
        """What is described here: the project, with the changes that wait."""
        return self.draft.project

    def _lay_out(self) -> None:
        bar = self.bar = QHBoxLayout()
        bar.setSpacing(0)
        for word, button in self.words.items():
            button.clicked.connect(lambda _=False, w=word: self.go(w))
            if bar.count():
                bar.addStretch(1)
            bar.addWidget(button)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(bar)
        column.addWidget(self.held)
        column.addWidget(self.sketch)
        column.addWidget(self.area, 1)
        column.addWidget(self.foot)

    # --- which page, and what is built of it ------------------------------------------------

    def go(self, word: str) -> None:
        """Turn to a page."""
        if word != self.page:
            self._scrolled[self.page] = self.area.verticalScrollBar().value()
            self.page, self._at = word, ()
            self.focused.emit("")
            self.tell("")
            self.meaning.setText(unbroken(HOW))
            self.rebuild(self._scrolled.get(word, 0))
        self.words[self.page].setChecked(True)

    def turn(self, step: int) -> None:
        """To the next page or the one before, round and round, with the hand in its first field."""
        words = list(self.words)
        self.go(words[(words.index(self.page) + step) % len(words)])
        first = next(
            iter((*self.fields.values(), *self.others.values(), *self.folds.values())), None
        )
        if first is not None:
            first.setFocus(Qt.FocusReason.TabFocusReason)

    def reveal(self, path: Path) -> None:
        """Turn to the page an entry is on, unfold what it is in, and put the hand in its field."""
        page = pages.page_of(path) or self.page
        wanted = dict(self.opened)
        for k in range(1, len(path)):
            held = None if self.project is None else tree.get(self.project, path[:k])
            if isinstance(held, dict) and path[0] != "points":
                wanted[path[:k]] = str(path[k])
        if (page, wanted) != (self.page, self.opened) or self._built is None:
            self.page, self.opened = page, wanted
            self.rebuild()
        editor = self.fields.get(path) or self.others.get(path) or self.folds.get(path)
        if editor is not None:
            editor.setFocus(Qt.FocusReason.OtherFocusReason)
            self._soon(lambda: self._look_at(path, 60))
            self.hold(path, editor.toolTip())

    def show_part(self, name: str) -> None:
        """Turn to what was picked in the view, and unfold it if it is one of many."""
        project = self.project
        if project is None or not self.isVisible() or not name:
            return
        for table in ("parts", "links"):
            if name in getattr(project, table):
                self.page, self.opened[table,] = pages.page_of((table,)) or self.page, name
                self.rebuild()
                self._soon(partial(self._look_at, (table, name), 330))
                return
        word = pages.page_for_part(name)
        if word is not None:
            self.go(word)

    def show_point(self, name: str) -> None:
        """The row of a point that is held in the view stands out, where the table is shown."""
        if name and self.page == "Points" and self.isVisible():
            for path, field in self.fields.items():
                framed = path[-1] != "" or path[1] == name
                if field.framed != framed:
                    field.framed = framed
                    field.dress()
            self._look_at(("points", name, ""), 60)

    def _opened(self) -> None:
        held = self.window().focusWidget()
        for field in self.fields.values():
            field.blockSignals(True)  # what stands in it was of another project
        if held is not None and self.isAncestorOf(held):
            self.window().setFocus()  # its field goes away: else the bar would have the next key
        self.opened.clear()
        self.amounts.clear()
        self._at = ()
        self.focused.emit("")
        self.tell("")
        self.rebuild()

    def rebuild(self, scrolled: int | None = None) -> None:
        """Lay out anew what this page has of the project; the focus stays where it was."""
        at = self.focusWidget()
        if isinstance(at, Field) and at.isModified():
            at.take()  # the field goes, not what is half typed
        project = self.project
        self._built = None
        for word, button in self.words.items():
            button.setChecked(word == self.page)
        if project is None or not self.isVisible():
            return
        held = self._at if self._holds_focus() else ()
        place = self.area.verticalScrollBar().value() if scrolled is None else scrolled
        self._built = self._shape()
        for held_by in (self.fields, self.others, self.folds, self.watches):
            held_by.clear()
        focus = self.window().focusWidget()
        if not isinstance(focus, Field) and focus is not None and self.area.isAncestorOf(focus):
            self.window().setFocus()  # it goes away: else the bar would have the next key
        old = self.area.takeWidget()
        if old is not None:
            old.setParent(None)
            old.deleteLater()
        sheet, s = QWidget(), self.theme.scale
        sheet.setMaximumWidth(round(WIDEST * s))
        column = QVBoxLayout(sheet)
        column.setContentsMargins(round(EDGE * s), round(6 * s), right_edge(s), round(24 * s))
        column.setSpacing(round(5 * s))
        page = next(page for page in pages.PAGES if page.word == self.page)
        page.build(self, column)
        column.addStretch(1)
        self.area.setWidget(sheet)
        self.sketch.show_for(self._at or page.first, project)
        self.renew()
        self._soon(lambda: self.area.verticalScrollBar().setValue(place))
        if held and (editor := self.fields.get(held) or self.others.get(held)) is not None:
            editor.setFocus(Qt.FocusReason.OtherFocusReason)

    def _soon(self, call: Callable[[], None]) -> None:
        """Once what was laid out has its size."""
        QTimer.singleShot(0, self, call)

    def _look_at(self, path: Path, margin: int) -> None:
        """Scroll to a field or a fold, if it is still there."""
        widget = self.fields.get(path) or self.others.get(path) or self.folds.get(path)
        sheet = self.area.widget()
        if widget is None or sheet is None:
            return
        bar, s = self.area.verticalScrollBar(), self.theme.scale
        y = widget.mapTo(sheet, QPoint(0, 0)).y()
        below = y + widget.height() + round(margin * s) - self.area.viewport().height()
        bar.setValue(round(min(max(bar.value(), below), y - 20 * s)))

    def _holds_focus(self) -> bool:
        at = self.focusWidget()
        return at is not None and at.hasFocus() and self.area.isAncestorOf(at)

    def showEvent(self, event: object) -> None:
        if self._built is None or self._built != self._shape():
            self.rebuild()

    def _shape(self) -> object:
        """What a project must keep for the same fields to fit it."""
        project = self.project
        if project is None:
            return None
        page = next(page for page in pages.PAGES if page.word == self.page)
        held = tuple(tree.shape(tree.get(project, path)) for path in page.paths)
        return self.page, tuple(project.points), project.units, held, dict(self.opened)

    def renew(self) -> None:
        """Show the project's values in the fields."""
        project = self.project
        if self._asked[1] and self._asked[0] is not project:
            self._asked = (None, "")
            self.meaning.setText(unbroken(HOW))
        self.held.show_for(self.draft)
        self.drafted.emit(self.draft.lines())
        self.begun.emit(self.draft.points())
        if project is None or not self.isVisible():
            return
        if self._built != self._shape():
            self.rebuild()
            return
        for path, field in self.fields.items():
            field.show_value(pages.value_of(project, path))
        for path, other in self.others.items():
            value = tree.get(project, path)
            if isinstance(other, Chooser):
                entry = other.property("entry")
                other.offer(
                    choices.names(project, choices.known(project, entry)), choices.shown(value)
                )
            else:
                other.blockSignals(True)
                other.setChecked(bool(value))
                other.blockSignals(False)
        for watch in self.watches:
            watch(project)
        self.sketch.renew(project)

    # --- what is in hand ----------------------------------------------------------------------

    def hold(self, path: Path, help_: str) -> None:
        """The focus came to an entry: its meaning, its sketch and its point stand out."""
        project = self.project
        self._at = path
        words = tree.label_of(path) if path[-1] != "" else str(path[-2])
        said = f"<b>{html.escape(words)}</b>  {html.escape(help_)}"
        if self._asked[1]:
            said = f"<b>{html.escape(self._asked[1])}</b>"
        self.meaning.setText(unbroken(said))
        if project is not None:
            self.focused.emit(choices.points_in(path, project))
            self.sketch.show_for(path, project)

    def set_way(self, way: str) -> None:
        """The hand slides the top mount that way from here on."""
        self.way = way
        self.slides.emit(way)

    # --- what is changed ----------------------------------------------------------------------

    def mirror(self) -> None:
        """The same corner on the other side of the car."""
        self.draft.turn(mirror, "mirror to the other side")

    def present(self, table: Path, name: str) -> None:
        """Show what has just come."""
        self.opened[table] = name
        self.page = pages.page_of(table) or self.page
        self.rebuild()
        self._soon(lambda: self._look_at((*table, name), 330))
        self.added.emit(name)

    def waiting(self, path: Path) -> dict[Path, Field]:
        """The other fields that hold something that can't stand yet, but can be read."""
        found = {}
        for place, field in self.fields.items():
            if field.error and place != path and place[-1] != "":
                with contextlib.suppress(ClearstrokeError):
                    field.read(field.text())
                    found[place] = field
        return found

    def unfold(self, table: Path, name: str, on: bool) -> None:
        """Open or close an entry of a table; what is open is selected in the view."""
        if on:
            self.opened[table] = name
        else:
            self.opened.pop(table, None)
        self.rebuild()
        fold = self.folds.get((*table, name))
        if fold is not None:
            fold.setFocus(Qt.FocusReason.OtherFocusReason)
        if on and table in (("parts",), ("links",)):
            self.added.emit(name)

    def ask(self, words: str) -> None:
        """A question about what was just typed stands at the foot until the project changes."""
        self._asked = (self.project, words)

    def say(self, words: str) -> None:
        """Something worth knowing, where else an entry's meaning stands; or how one types."""
        self.meaning.setText(unbroken(html.escape(words or HOW)))
        self.foot.setCurrentWidget(self.meaning)

    def tell(self, error: str) -> None:
        """Say below the form what is wrong; what the entry means if it is right again."""
        said = f"{error[:1].upper()}{error[1:].rstrip('.')}." if error else ""
        self.message.setText(unbroken(said))
        self.foot.setCurrentWidget(self.message if error else self.meaning)

    # --- its look -------------------------------------------------------------------------------

    def _dress(self) -> None:
        s, p = self.theme.scale, self.theme.palette
        edge = round((EDGE - PageWord.SPARE) * s)  # the words stand where other rooms' headings do
        self.bar.setContentsMargins(edge, round(7 * s), edge, 0)
        side = round(EDGE * s)
        self.message.setFont(font(13 * s, 500, False))
        self.message.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.message.setStyleSheet(
            f"background: {p.touch_wash}; color: {p.ink}; padding: 6px {side}px 4px {side - 5}px; "
            f"border-left: 5px solid {p.touch_fill};"
        )
        self.meaning.setFont(font(13 * s, 500, False))
        for label in (self.meaning, self.message):
            label.setIndent(0)  # else what has a border of its own stands a little in
        self.foot.setMinimumHeight(round(66 * s))
        self.meaning.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.meaning.setStyleSheet(
            f"color: {p.ink2}; border-top: 1px solid {p.hair}; padding: 6px {side}px 4px {side}px;"
        )
        self.setStyleSheet(pages.style(p))
        self._built = None
        if self.isVisible():
            self.rebuild()
