"""A random hand: everything a builder can do in a window, by real events where there are some."""

from __future__ import annotations

import random
from collections import deque
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TypeVar

import msgspec
import numpy as np
from PySide6.QtCore import QCoreApplication, QEvent, QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QAction, QDropEvent, QMouseEvent, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QComboBox,
    QDialog,
    QLineEdit,
    QMenu,
    QMessageBox,
    QTableView,
    QWidget,
)

from app import examples
from app.document import live
from app.entry import Field
from app.survey.table import FIELDS
from app.window.actions import STARTS, Actions
from app.window.importing import ScanCard
from kinematics.project.furnish import KINDS, add_part, copy_entry, remove_entry
from tests.app.conftest import Driver

Some = TypeVar("Some")
KEYS = (
    Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_PageUp,
    Qt.Key.Key_PageDown, Qt.Key.Key_Home, Qt.Key.Key_J, Qt.Key.Key_K, Qt.Key.Key_1, Qt.Key.Key_2,
    Qt.Key.Key_3, Qt.Key.Key_4, Qt.Key.Key_O, Qt.Key.Key_A, Qt.Key.Key_C, Qt.Key.Key_D,
    Qt.Key.Key_L, Qt.Key.Key_T, Qt.Key.Key_M, Qt.Key.Key_H, Qt.Key.Key_P, Qt.Key.Key_Space,
    Qt.Key.Key_Tab, Qt.Key.Key_Return, Qt.Key.Key_F1, Qt.Key.Key_F2, Qt.Key.Key_Escape,
    Qt.Key.Key_Escape,
)  # fmt: skip
NONE = Qt.KeyboardModifier.NoModifier
CTRL = Qt.KeyboardModifier.ControlModifier
MODS = (NONE, NONE, Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.AltModifier, CTRL)
NONSENSE = (
    "", "0", "-0", "1e9", "-1e9", "nan", "inf", "3 1/", "3 1/4 in", "1/0", "9**9**9", "--5", "12,5",
    "12.5.5", "abc", "\u221a2", "1" * 400, "80+25.4", "(((", "0x10", "5 mm 5", "-", "245/40R17",
    "\U0001f4cf", "250", "12", "600",
)  # fmt: skip
AMOUNTS = ("12", "-8.5", "1/2 in", "x -3", "z 4", "abc", "1/0", "900", "y 2 z 2", "")
LEFT, RIGHT = Qt.MouseButton.LeftButton, Qt.MouseButton.RightButton
NEVER = ("Close",)  # of menus: what would end it
EXPORTS = (
    ("report", "pdf"), ("report", "svg"), ("picture", "png"), ("map", "pdf"), ("map", "dxf"),
    ("map", "csv"), ("fixes", "png"), ("statics", "pdf"), ("camber", "png"), ("camber", "csv"),
)  # fmt: skip


class Answers:
    """What a builder answers where the program asks: a file in a folder, some words, or nothing."""

    def __init__(self, folder: Path, mesh: Path) -> None:
        self.folder, self.mesh = folder, mesh
        self.dice = random.Random(0)

    def save(self, parent: object, title: str, start: str, kinds: str) -> tuple[str, str]:
        """Where to write."""
        if self.dice.random() < 0.4:
            return "", ""
        kind = self.dice.choice(kinds.split(";;"))
        if ".corner.json" in kind or "*)" in kind.replace("*.", ""):
            return str(self.folder / f"car {self.dice.randrange(3)}.corner.json"), kind
        return str(self.folder / f"out.{kind.split('*.')[1][:3]}"), kind

    def open(self, parent: object, title: str, start: str, kinds: str) -> tuple[str, str]:
        """What to read: something that was written before, or something else."""
        found = sorted(p for p in self.folder.iterdir() if p.is_file())
        if not found or self.dice.random() < 0.5:
            return "", ""
        return str(self.dice.choice(found)), kinds.split(";;")[0]

    def words(self, parent: object, title: str, what: str) -> tuple[str, bool]:
        """A line typed."""
        return self.dice.choice(NONSENSE)[:40], self.dice.random() < 0.7

    def scan(self, card: ScanCard) -> QDialog.DialogCode:
        """Unit and carrier of a mesh, on the card that asks for them."""
        if self.dice.random() < 0.2:
            return QDialog.DialogCode.Rejected
        card.unit.setCurrentText(self.dice.choice(("mm", "in")))
        return QDialog.DialogCode.Accepted

    def leave(self) -> QMessageBox.StandardButton:
        """Whether unsaved changes are saved, given up or stayed with."""
        buttons = QMessageBox.StandardButton
        return self.dice.choice((buttons.Save, buttons.Discard, buttons.Discard, buttons.Cancel))


class Hands:
    """One random hand at a window, and what it did last."""

    def __init__(self, driver: Driver, answers: Answers, seed: int) -> None:
        self.driver, self.window, self.answers = driver, driver.window, answers
        self.dice = answers.dice = random.Random(seed)
        self.did: deque[str] = deque(maxlen=8)
        self.start = driver.document.project  # what undo must come back to
        self.count = 0
        self.often: tuple[Callable[[], str], ...] = (
            self.key, self.drag, self.pull, self.slide_mount, self.undo, self.undo, self.room,
            self.describe, self.describe, self.type, self.button, self.click,
        )  # fmt: skip
        self.others: tuple[Callable[[], str], ...] = (
            self.key, self.right_drag, self.scroll, self.double, self.travel, self.furnish,
            self.board, self.menu, self.choose, self.plot, self.resize, self.interrupt,
            self.amount, self.point, self.measure, self.measure, self.springs, self.fixes,
            self.fixes, self.fixes, self.mount, self.mount, self.tape, self.beside, self.name,
            self.save, self.units, self.fresh, self.drop, self.export,
        )  # fmt: skip

    def leave_out(self, ways: frozenset[str]) -> None:
        """These are not gone."""
        self.often = tuple(way for way in self.often if way.__name__ not in ways)
        self.others = tuple(way for way in self.others if way.__name__ not in ways)

    def opened(self) -> None:
        """Another project: undo goes back no further."""
        self.start = self.driver.document.project

    def act(self) -> None:
        """One thing a hand might do."""
        if not self.window.stage.isVisible() and self.dice.random() < 0.5:
            self.window.enter("Move")
        way = self.dice.choice(self.often if self.dice.random() < 0.45 else self.others)
        self.did.append(way.__name__)
        self.did[-1] += f" {way()}"
        self.count += 1
        self.driver.app.processEvents()
        close_menus()
        # Without a loop of its own the application never gets to what is to be deleted later.
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)

    # --- what helps -------------------------------------------------------------------------

    def spot(self, widget: QWidget) -> QPointF:
        """Somewhere on a widget."""
        wide, high = max(1, widget.width()), max(1, widget.height())
        return QPointF(self.dice.randrange(wide), self.dice.randrange(high))

    def by(self) -> QPointF:
        """So far."""
        return QPointF(self.dice.uniform(-70, 70), self.dice.uniform(-70, 70))

    def one(self, of: Iterable[Some]) -> Some | None:
        """One of them, if there is any."""
        known = list(of)
        return self.dice.choice(known) if known else None

    def enter(self, room: str) -> None:
        """Into a room, mostly by a click on its word."""
        QTest.mouseClick(self.window.bar.rooms[room], LEFT)
        self.driver.app.processEvents()

    # --- the mouse on the view --------------------------------------------------------------

    def key(self) -> str:
        key, mods = self.dice.choice(KEYS), self.dice.choice(MODS[:4])
        self.driver.key(key, mods)
        return f"{key.name} {mods.name}"

    def drag(self) -> str:
        start, by, mods = self.spot(self.window.stage), self.by(), self.dice.choice(MODS)
        self.driver.drag(start, (by.x(), by.y()), steps=2, mods=mods)
        return f"{start.toTuple()} {by.toTuple()} {mods.name}"

    def pull(self) -> str:
        """The tyre pulled, or by its edge or with Ctrl steered."""
        tyres = (p for p in self.window.scene.pieces.values() if p.kind == "tyre")
        if (tyre := next(tyres, None)) is None or not self.window.stage.isVisible():
            return ""
        across, up = self.dice.uniform(-0.9, 0.9), self.dice.uniform(-0.4, 0.4)
        reach = float(np.abs(tyre.mesh.position).max())
        at = self.driver.spot(tyre.pose[:, 3] + np.array([across * reach, 0.0, up * reach]))
        by, mods = self.by(), self.dice.choice((NONE, NONE, CTRL))
        self.driver.drag(at, (by.x(), 2 * by.y()), steps=2, mods=mods)
        return f"{by.toTuple()} {mods.name}"

    def slide_mount(self) -> str:
        top, by = live.top_mount(self.driver.document.project), self.by()
        if top is not None:
            self.driver.drag(self.driver.spot(top), (by.x(), by.y()), steps=2)
        return str(by.toTuple())

    def amount(self) -> str:
        """The mount or the wheel taken hold of, and an amount typed."""
        top, text = live.top_mount(self.driver.document.project), self.dice.choice(AMOUNTS)
        if top is None or not self.window.stage.isVisible():
            return ""
        at, by = self.driver.spot(top), self.by()
        self.driver.press(at)
        if self.dice.random() < 0.5:
            self.driver.drop(at)
        else:
            self.driver.move(at + by)
        QTest.keyClicks(self.window.stage, text)
        QTest.keyClick(self.window.stage, self.dice.choice((Qt.Key.Key_Return, Qt.Key.Key_Escape)))
        self.driver.drop(at + by)
        return text

    def point(self) -> str:
        """A point pulled while the corner is described, or clicked."""
        self.enter("Describe")
        project = self.driver.document.project
        name = self.one(() if project is None else project.points)
        if project is None or name is None:
            return ""
        by, mods = self.by(), self.dice.choice(MODS)
        far = self.dice.choice((0.0, 1.0))
        at = self.driver.spot(np.array(project.points[name]))
        self.driver.drag(at, (far * by.x(), far * by.y()), steps=2, mods=mods)
        return f"{name} {far * by}"

    def right_drag(self) -> str:
        stage, start = self.window.stage, self.spot(self.window.stage)
        QTest.mousePress(stage, RIGHT, pos=start.toPoint())
        send(stage, QEvent.Type.MouseMove, start + self.by(), RIGHT)
        QTest.mouseRelease(stage, RIGHT, pos=self.spot(stage).toPoint())
        return ""

    def scroll(self) -> str:
        boards = (self.window.stage, self.window.ruler, self.window.strips, self.window.pad)
        if (widget := self.one(w for w in boards if w.isVisible())) is not None:
            wheel(widget, self.spot(widget), self.dice.choice((-240, -120, 120, 240)))
        return ""

    def double(self) -> str:
        at = self.spot(self.window.stage)
        QTest.mouseDClick(self.window.stage, LEFT, pos=at.toPoint())
        return str(at.toTuple())

    def tape(self) -> str:
        """Two places measured between, the tape then mostly put away."""
        self.window.do("distance")
        for _ in range(2):
            at = self.spot(self.window.stage)
            self.driver.drag(at, (0.0, 0.0), steps=1)
        if self.dice.random() < 0.7:
            self.window.do("distance")
        return ""

    def beside(self) -> str:
        """A square view beside the 3D one, pulled at; or put away."""
        views = self.window.views
        if not views.split or self.dice.random() < 0.3:
            views.beside()
            self.driver.app.processEvents()
        side = views.side
        if side is None or not side.isVisible():
            return "away"
        name = self.dice.choice(("3d", "front", "side", "top"))
        views.go(name)
        start = self.spot(side)
        QTest.mousePress(side, LEFT, pos=start.toPoint())
        send(side, QEvent.Type.MouseMove, start + self.by(), LEFT)
        QTest.mouseRelease(side, LEFT, pos=self.spot(side).toPoint())
        wheel(side, self.spot(side), self.dice.choice((-120, 120)))
        return name

    def interrupt(self) -> str:
        """A hold broken off: by Escape, another button, another room or undo."""
        start, stage = self.spot(self.window.stage), self.window.stage
        if not stage.isVisible():
            return ""
        self.driver.press(start)
        self.driver.move(start + self.by())
        way = self.dice.choice(("escape", "right", "room", "undo", "again", "mirror"))
        if way == "escape":
            self.driver.key_escape()
        elif way == "right":
            QTest.mousePress(stage, RIGHT, pos=start.toPoint())
            send(stage, QEvent.Type.MouseMove, start + self.by(), RIGHT)
            QTest.mouseRelease(stage, RIGHT, pos=start.toPoint())
        elif way == "room":
            self.room()
        elif way == "undo":
            self.window.do("undo")
        elif way == "mirror":
            self.driver.key(Qt.Key.Key_M)
        else:
            self.driver.press(start)
        if stage.isVisible():
            self.driver.move(start + self.by())
        self.driver.drop(start)
        return way

    # --- what stands around the view --------------------------------------------------------

    def travel(self) -> str:
        self.driver.document.set_travel(self.dice.uniform(-120, 120))
        self.driver.document.set_rack(self.dice.uniform(-80, 80))
        return ""

    def undo(self) -> str:
        what = self.dice.choice(("undo", "undo", "redo"))
        self.window.do(what)
        return what

    def room(self) -> str:
        room = self.dice.choice(list(self.window.bar.rooms))
        self.window.enter(room)
        return room

    def board(self) -> str:
        """A click or a pull on ruler, strips, pad or a sentence."""
        window = self.window
        sentences = window.headline.findChildren(QWidget)
        boards = (window.ruler, window.strips, window.pad, window.notice, *sentences)
        if (board := self.one(w for w in boards if w.isVisible())) is None:
            return ""
        at = self.spot(board)
        QTest.mousePress(board, LEFT, pos=at.toPoint())
        if self.dice.random() < 0.6:
            send(board, QEvent.Type.MouseMove, at + self.by(), LEFT)
        QTest.mouseRelease(board, LEFT, pos=self.spot(board).toPoint())
        return type(board).__name__

    def click(self) -> str:
        """An icon of the bar."""
        name = self.dice.choice(("before", "only", "cut", "lamp", "undo", "help", "distance"))
        QTest.mouseClick(self.window.bar.icons[name], LEFT)
        return name

    def menu(self) -> str:
        """A menu opened, and mostly something chosen from it."""
        self.window.do(self.dice.choice(("menu", "pairs", "views", "paper")))
        return self.chosen()

    def chosen(self) -> str:
        """Something of the menu that is open, or nothing."""
        self.driver.app.processEvents()
        menu = QApplication.activePopupWidget()
        if not isinstance(menu, QMenu):
            return ""
        actions = [a for a in leaves(menu) if a.isEnabled() and a.text() not in NEVER]
        # Everything into a folder, at each turn, would be all that is done.
        rare = [a for a in actions if "folder" not in a.text() or self.dice.random() < 0.05]
        if rare and self.dice.random() < 0.8:
            chosen = self.dice.choice(rare)
            text = chosen.text()
            chosen.trigger()
            return text
        return "nothing"

    def resize(self) -> str:
        self.window.resize(self.dice.randrange(900, 1400), self.dice.randrange(560, 900))
        return str(self.window.size().toTuple())

    # --- fields, buttons and choices, in all of the window or in one room -------------------

    def type(self, within: QWidget | None = None) -> str:
        """Nonsense, or something that could be meant, into a field."""
        fields = (within or self.window).findChildren(Field)
        field, text = self.one(f for f in fields if f.isVisible()), self.dice.choice(NONSENSE)
        if field is None:
            return ""
        field.setFocus()
        field.selectAll()
        QTest.keyClicks(field, text[:40]) if text.isascii() else field.setText(text)
        keys = (Qt.Key.Key_Return, Qt.Key.Key_Tab, Qt.Key.Key_Escape, Qt.Key.Key_Up)
        QTest.keyClick(field, self.dice.choice(keys))
        return f"{field.accessibleName()}: {text[:40]}"

    def button(self, within: QWidget | None = None) -> str:
        buttons = (within or self.window).findChildren(QAbstractButton)
        button = self.one(b for b in buttons if b.isVisible() and b.isEnabled())
        if button is None:
            return ""
        text = button.text() or button.accessibleName()
        menu = getattr(button, "menu", lambda: None)()
        if menu is not None:  # it would wait for a choice
            self.dice.choice(leaves(menu)).trigger()
        else:
            QTest.mouseClick(button, LEFT)
            self.chosen()
        return text

    def choose(self, within: QWidget | None = None) -> str:
        combos = (within or self.window).findChildren(QComboBox)
        combo = self.one(c for c in combos if c.isVisible() and c.count())
        if combo is None:
            return ""
        combo.setCurrentIndex(self.dice.randrange(combo.count()))
        combo.activated.emit(combo.currentIndex())
        return f"{combo.accessibleName()}: {combo.currentText()}"

    def any_of(self, room: QWidget) -> str:
        """A field, a button or a choice of a room."""
        return self.dice.choice((self.type, self.button, self.choose))(room)

    # --- the rooms --------------------------------------------------------------------------

    def describe(self) -> str:
        """Something on one of the pages that describe the corner."""
        self.enter("Describe")
        room = self.window.describe
        if self.dice.random() < 0.5:
            QTest.mouseClick(self.dice.choice(list(room.words.values())), LEFT)
        page = room.area.widget()
        return f"{room.page}: {self.any_of(page) if page is not None else ''}"

    def furnish(self) -> str:
        """Something added, copied or taken away; what can't be is refused."""
        document, dice = self.driver.document, self.dice
        project = document.project
        names = list(project.parts)
        way = dice.choice(("add", "copy", "remove"))
        if way == "add" and len(names) < 12:
            kind = dice.choice([k for k in KINDS if k != "link"])
            document.edit(add_part(project, kind)[0], "add")
            return f"add {kind}"
        if way == "copy" and names and len(names) < 12:
            document.edit(copy_entry(project, "parts", dice.choice(names))[0], "copy")
        elif names:
            document.edit(remove_entry(project, "parts", dice.choice(names)), "remove")
        return way

    def measure(self) -> str:
        """A reading added, changed in its cell, chosen on the sketch; or a button."""
        self.enter("Measure")
        sheet, way = self.window.measuring, self.dice.choice(("add", "cell", "sketch", "button"))
        if way == "add":
            self.choose(sheet.add)
            QTest.mouseClick(sheet.add.button, LEFT)
        elif way == "cell":
            way += f" {self.cell(sheet.table)}"
        elif way == "sketch":
            QTest.mouseClick(sheet.canvas, LEFT, pos=self.spot(sheet.canvas).toPoint())
        else:
            way = self.button(sheet)
        return way

    def cell(self, table: QTableView) -> str:
        """Typed into a cell; or the sign of its row clicked."""
        rows = table.model().rowCount()
        if not rows:
            return ""
        at = table.model().index(self.dice.randrange(rows), self.dice.choice((0, *FIELDS)))
        table.scrollTo(at)
        QTest.mouseClick(table.viewport(), LEFT, pos=table.visualRect(at).center())
        table.setCurrentIndex(at)
        QTest.keyClick(table, self.dice.choice((Qt.Key.Key_Return, Qt.Key.Key_Delete)))
        text = self.dice.choice(NONSENSE)[:40]
        if (editor := self.one(table.viewport().findChildren(QLineEdit))) is not None:
            editor.setText(text)
            keys = (Qt.Key.Key_Return, Qt.Key.Key_Tab, Qt.Key.Key_Escape)
            QTest.keyClick(editor, self.dice.choice(keys))
        return text

    def springs(self) -> str:
        """Springs, joints and forces: a page, then anything on it."""
        self.enter("Springs")
        room = self.window.statics
        QTest.mouseClick(self.dice.choice(list(room.buttons.values())), LEFT)
        return f"{room.page}: {self.any_of(room)}"

    def fixes(self) -> str:
        """A fix looked at, taken or not; which are tried; two together; a search."""
        self.enter("Fixes")
        room, way = self.window.fixes, self.dice.choice(("card", "card", "any", "search", "two"))
        if way == "card":
            for _ in range(5):  # they come from a worker
                QTest.qWait(10)
            if (card := self.one(c for _, c in room._all_cards())) is None:
                return "no card"
            QTest.mouseClick(card, LEFT, pos=QPoint(20, 8))
            button = self.dice.choice((None, card.take, card.back))
            if button is not None and button.isVisible():
                QTest.mouseClick(button, LEFT)
            return f"{card.told.title} {'' if button is None else button.text()}"
        if way == "any":
            return self.any_of(room)
        panel = room.tools.search if way == "search" else room.tools.pair
        opener = room.tools.buttons[way == "search"]
        if not panel.isVisible():
            QTest.mouseClick(opener, LEFT)
        if way == "search":
            line = panel.line
            line.what.setCurrentText(self.one(line.paths) or "")
            line.least.setText(self.dice.choice(("-10", "-20", "abc")))
            QTest.mouseClick(line.add, LEFT)
        for button in (panel.start, panel.stop):
            if button.isVisible() and button.isEnabled() and self.dice.random() < 0.6:
                QTest.mouseClick(button, LEFT)
        return way

    def mount(self) -> str:
        """The room of the mount's places: planes, level, places pointed out, the large pad."""
        self.enter("Mount")
        room = self.window.mount
        if self.dice.random() < 0.6 or not room.pad.isVisible():
            return self.any_of(room)
        at, pad = self.spot(room.pad), room.pad
        QTest.mousePress(pad, LEFT, pos=at.toPoint())
        send(pad, QEvent.Type.MouseMove, at + self.by(), LEFT)
        if self.dice.random() < 0.2:
            self.driver.key_escape()
        QTest.mouseRelease(pad, LEFT, pos=self.spot(pad).toPoint())
        QTest.keyClick(pad, self.dice.choice(KEYS[:4]), self.dice.choice(MODS[:4]))
        return "pad"

    def plot(self) -> str:
        """Another figure on the plot sheet, pulled at; or the sheet put away."""
        self.window.do("plot")
        self.driver.app.processEvents()
        sheet = self.window.actions_.sheet
        if self.dice.random() < 0.3 or not sheet.figures.count():
            sheet.close()
            return "closed"
        key = sheet.figures.itemData(self.dice.randrange(sheet.figures.count()))
        sheet.choose(key, self.dice.choice(("travel", "steer", "map")))
        self.driver.app.processEvents()
        QTest.mouseClick(sheet.canvas, LEFT, pos=self.spot(sheet.canvas).toPoint())
        QTest.mouseClick(self.dice.choice(list(sheet.buttons.values())), LEFT)
        return str(key)

    # --- the project as a whole -------------------------------------------------------------

    def name(self) -> str:
        """Select a part by name, and show only it, hide it or all again."""
        part = self.one({p.part: None for p in self.window.scene.pieces.values()})
        if part is not None:
            self.window.actions_.select(part)
            self.window.do(self.dice.choice(("only", "hide", "all", "through")))
        return str(part)

    def save(self) -> str:
        what = self.dice.choice(("save", "save as"))
        self.window.do(what)
        return what

    def units(self) -> str:
        """The other unit, or the other side of the car."""
        document = self.driver.document
        if self.dice.random() < 0.4:
            self.window.do("mirror")
            return "mirror"
        units = "in" if document.project.units == "mm" else "mm"
        document.edit(msgspec.structs.replace(document.project, units=units), "change units")
        return units

    def fresh(self) -> str:
        """A new corner of any arrangement, or an example; mostly not."""
        if self.dice.random() < 0.6:
            return "not"
        actions: Actions = self.window.actions_
        if self.dice.random() < 0.6:
            words, name = self.dice.choice(STARTS)
            actions.begin_from({**examples.examples(), **examples.starts()}[name])
            return words
        name = self.dice.choice(list(examples.examples()))
        actions.open_path(examples.examples()[name], example=True)
        return name

    def drop(self) -> str:
        """A file dropped: a mesh, a project, or neither."""
        path = self.answers.mesh
        if self.dice.random() < 0.3:
            path = self.one(sorted(self.answers.folder.iterdir())) or path
        data = QMimeData()
        data.setUrls([QUrl.fromLocalFile(str(path))])
        at = self.spot(self.window)
        event = QDropEvent(at, Qt.DropAction.CopyAction, data, LEFT, NONE)
        self.window.dropEvent(event)
        return path.name

    def export(self) -> str:
        """Something written, and there."""
        what, kind = self.dice.choice(EXPORTS)
        path = self.answers.folder / f"export.{kind}"
        path.unlink(missing_ok=True)
        if self.window.actions_.exports.write(what, path) and what not in ("map", "fixes"):
            assert path.stat().st_size > 100, (what, kind)
        return f"{what} {kind}"


# --- what the hands have in common ------------------------------------------------------------


def send(widget: QWidget, kind: QEvent.Type, at: QPointF, button: Qt.MouseButton) -> None:
    """A mouse event with the button held."""
    glob = QPointF(widget.mapToGlobal(at.toPoint()))
    none = Qt.MouseButton.NoButton
    QApplication.sendEvent(widget, QMouseEvent(kind, at, glob, none, button, NONE))


def wheel(widget: QWidget, at: QPointF, by: int) -> None:
    """The mouse wheel turned."""
    event = QWheelEvent(
        at, QPointF(widget.mapToGlobal(at.toPoint())), QPoint(), QPoint(0, by),
        Qt.MouseButton.NoButton, NONE, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(widget, event)


def leaves(menu: QMenu) -> list[QAction]:
    """What can be chosen from a menu and those in it."""
    menus = [menu, *menu.findChildren(QMenu)]
    inner = {m.menuAction() for m in menus}
    return [a for m in menus for a in m.actions() if not a.isSeparator() and a not in inner]


def close_menus() -> None:
    """No menu is left open."""
    for _ in range(4):
        popup = QApplication.activePopupWidget()
        if popup is None:
            return
        popup.close()
        QCoreApplication.processEvents()
