"""Random hands: nothing is lost, nothing grows, nothing raises; undo brings all of it back."""

from __future__ import annotations

import gc
import random
import sys
from collections import deque
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QCoreApplication, QEvent, QObject, QPoint, QPointF, QRect, Qt
from PySide6.QtGui import QAction, QMouseEvent, QWheelEvent
from PySide6.QtPrintSupport import QPrintDialog
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QComboBox,
    QFileDialog,
    QInputDialog,
    QMenu,
    QWidget,
)

from app.document import live, results
from app.document.jobs import Asked, Progress
from app.entry import Field
from kinematics.project.furnish import KINDS, add_part, copy_entry, remove_entry
from kinematics.project.model import Project
from kinematics.studies.study import Study, set_up, study, travels
from tests.app.conftest import Driver

SPARE = 12  # objects more than at the start that may be there: a message, a timer on its way
PAGE = 4096
KEYS = (
    Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_PageUp,
    Qt.Key.Key_PageDown, Qt.Key.Key_Home, Qt.Key.Key_J, Qt.Key.Key_K, Qt.Key.Key_1, Qt.Key.Key_2,
    Qt.Key.Key_3, Qt.Key.Key_4, Qt.Key.Key_O, Qt.Key.Key_A, Qt.Key.Key_C, Qt.Key.Key_D,
    Qt.Key.Key_L, Qt.Key.Key_T, Qt.Key.Key_M, Qt.Key.Key_H, Qt.Key.Key_P, Qt.Key.Key_Space,
    Qt.Key.Key_Tab, Qt.Key.Key_Return, Qt.Key.Key_F1, Qt.Key.Key_F2, Qt.Key.Key_Escape,
    Qt.Key.Key_Escape,
)  # fmt: skip
MODS = (
    Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.NoModifier,
    Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.AltModifier,
    Qt.KeyboardModifier.ControlModifier,
)  # fmt: skip
NONSENSE = (
    "", "0", "-0", "1e9", "-1e9", "nan", "inf", "3 1/", "3 1/4 in", "1/0", "9**9**9", "--5", "12,5",
    "12.5.5", "abc", "\u221a2", "1" * 400, "80+25.4", "(((", "0x10", "5 mm 5", "-", "245/40R17",
    "\U0001f4cf", "250", "12", "600",
)  # fmt: skip
LEFT, RIGHT = Qt.MouseButton.LeftButton, Qt.MouseButton.RightButton
NEVER = ("Close",)  # of menus: what would end it


class Hands:
    """One random hand at a window, and what it did last."""

    def __init__(self, driver: Driver, seed: int) -> None:
        self.driver, self.window = driver, driver.window
        self.dice = random.Random(seed)
        self.did: deque[str] = deque(maxlen=8)
        self.start = driver.document.project  # what undo must come back to
        self.count = 0
        self.ways: tuple[Callable[[], str], ...] = (
            self.key, self.key, self.key, self.drag, self.drag, self.right_drag, self.scroll,
            self.double, self.slide_mount, self.slide_mount, self.travel, self.undo, self.undo,
            self.room, self.room, self.furnish, self.board, self.type, self.type, self.menu,
            self.button, self.button, self.choose, self.plot, self.resize, self.interrupt,
        )  # fmt: skip
        driver.document.opened.connect(self.opened)

    def opened(self) -> None:
        """Another project: undo goes back no further."""
        self.start = self.driver.document.project

    def act(self) -> None:
        """One thing a hand might do."""
        if not self.window.stage.isVisible() and self.dice.random() < 0.5:
            self.window.enter("Move")
        way = self.dice.choice(self.ways)
        self.did.append(way.__name__)
        self.did[-1] += f" {way()}"
        self.count += 1
        self.driver.app.processEvents()
        close_menus()

    # --- what it might do -----------------------------------------------------------------

    def spot(self, widget: QWidget) -> QPointF:
        """Somewhere on a widget."""
        wide, high = max(1, widget.width()), max(1, widget.height())
        return QPointF(self.dice.randrange(wide), self.dice.randrange(high))

    def by(self) -> QPointF:
        """So far."""
        return QPointF(self.dice.uniform(-70, 70), self.dice.uniform(-70, 70))

    def key(self) -> str:
        key, mods = self.dice.choice(KEYS), self.dice.choice(MODS[:4])
        self.driver.key(key, mods)
        return f"{key.name} {mods.name}"

    def drag(self) -> str:
        start, by, mods = self.spot(self.window.stage), self.by(), self.dice.choice(MODS)
        self.driver.drag(start, (by.x(), by.y()), steps=2, mods=mods)
        return f"{start.toTuple()} {by.toTuple()} {mods.name}"

    def right_drag(self) -> str:
        stage, start = self.window.stage, self.spot(self.window.stage)
        QTest.mousePress(stage, RIGHT, pos=start.toPoint())
        send(stage, QEvent.Type.MouseMove, start + self.by(), RIGHT)
        QTest.mouseRelease(stage, RIGHT, pos=self.spot(stage).toPoint())
        return ""

    def scroll(self) -> str:
        visible = [
            w for w in (self.window.stage, self.window.ruler, self.window.strips, self.window.pad)
            if w.isVisible()
        ]  # fmt: skip
        if visible:
            widget = self.dice.choice(visible)
            wheel(widget, self.spot(widget), self.dice.choice((-240, -120, 120, 240)))
        return ""

    def double(self) -> str:
        at = self.spot(self.window.stage)
        QTest.mouseDClick(self.window.stage, LEFT, pos=at.toPoint())
        return str(at.toTuple())

    def slide_mount(self) -> str:
        top, by = live.top_mount(self.driver.document.project), self.by()
        if top is not None:
            self.driver.drag(self.driver.spot(top), (by.x(), by.y()), steps=2)
        return str(by.toTuple())

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

    def board(self) -> str:
        """A click or a pull on ruler, strips or pad."""
        boards = [
            w for w in (self.window.ruler, self.window.strips, self.window.pad) if w.isVisible()
        ]
        if boards:
            board = self.dice.choice(boards)
            at = self.spot(board)
            QTest.mousePress(board, LEFT, pos=at.toPoint())
            if self.dice.random() < 0.6:
                send(board, QEvent.Type.MouseMove, at + self.by(), LEFT)
            QTest.mouseRelease(board, LEFT, pos=self.spot(board).toPoint())
            return type(board).__name__
        return ""

    def type(self) -> str:
        """Nonsense, or something that could be meant, into a field."""
        fields = [f for f in self.window.findChildren(Field) if f.isVisible()]
        if not fields:
            return ""
        field, text = self.dice.choice(fields), self.dice.choice(NONSENSE)
        field.setFocus()
        field.selectAll()
        QTest.keyClicks(field, text[:40]) if text.isascii() else field.setText(text)
        QTest.keyClick(field, self.dice.choice((Qt.Key.Key_Return, Qt.Key.Key_Tab)))
        return f"{field.accessibleName()}: {text[:40]}"

    def menu(self) -> str:
        """A menu opened, and mostly something chosen from it."""
        self.window.do(self.dice.choice(("menu", "pairs", "views", "paper")))
        self.driver.app.processEvents()
        menu = QApplication.activePopupWidget()
        if not isinstance(menu, QMenu):
            return ""
        actions = [a for a in leaves(menu) if a.isEnabled() and a.text() not in NEVER]
        if actions and self.dice.random() < 0.8:
            chosen = self.dice.choice(actions)
            text = chosen.text()
            chosen.trigger()
            return text
        return "nothing"

    def button(self) -> str:
        buttons = [
            b for b in self.window.findChildren(QAbstractButton) if b.isVisible() and b.isEnabled()
        ]
        if not buttons:
            return ""
        button = self.dice.choice(buttons)
        text = button.text() or button.accessibleName()
        menu = getattr(button, "menu", lambda: None)()
        if menu is not None:  # it would wait for a choice
            self.dice.choice(leaves(menu)).trigger()
        else:
            QTest.mouseClick(button, LEFT)
        return text

    def choose(self) -> str:
        combos = [c for c in self.window.findChildren(QComboBox) if c.isVisible() and c.count()]
        if not combos:
            return ""
        combo = self.dice.choice(combos)
        combo.setCurrentIndex(self.dice.randrange(combo.count()))
        combo.activated.emit(combo.currentIndex())
        return f"{combo.accessibleName()}: {combo.currentText()}"

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
        sheet.copy()
        return str(key)

    def resize(self) -> str:
        self.window.resize(self.dice.randrange(900, 1500), self.dice.randrange(560, 1000))
        return str(self.window.size().toTuple())

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


# --- hands' helpers -----------------------------------------------------------------------


def send(widget: QWidget, kind: QEvent.Type, at: QPointF, button: Qt.MouseButton) -> None:
    """A mouse event with the button held."""
    glob = QPointF(widget.mapToGlobal(at.toPoint()))
    none, mods = Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier
    QApplication.sendEvent(widget, QMouseEvent(kind, at, glob, none, button, mods))


def wheel(widget: QWidget, at: QPointF, by: int) -> None:
    """The mouse wheel turned."""
    event = QWheelEvent(
        at, QPointF(widget.mapToGlobal(at.toPoint())), QPoint(), QPoint(0, by),
        Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase,
        False,
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


def in_memory() -> float:
    """MB this process holds."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * PAGE / 2**20


def count_children(window: QWidget) -> int:
    """The window's objects, once every room has shown the project as it is now."""
    for room in (*window.bar.rooms, "Move"):  # type: ignore[attr-defined]
        window.enter(room)  # type: ignore[attr-defined]
        QCoreApplication.processEvents()
    # Without a loop of its own the application never gets to what is to be deleted later.
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    gc.collect()
    return len(window.findChildren(QObject))


# --- the sprees ---------------------------------------------------------------------------


def coarsely(
    project: Project, progress: Progress, cancelled: Asked, folder: Path | None = None
) -> Study:
    """A study of a few positions."""
    wanted = travels(set_up(project, folder), 9)
    return study(project, travel=wanted, progress=progress, cancelled=cancelled, folder=folder)


@pytest.fixture
def quiet(driver: Driver, monkeypatch: pytest.MonkeyPatch) -> Iterator[Driver]:
    """Dialogs that wait for a builder are given up at once; the window is left as it was."""
    for name in ("getOpenFileName", "getSaveFileName"):
        monkeypatch.setattr(QFileDialog, name, lambda *_a, **_k: ("", ""))
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_a, **_k: "")
    monkeypatch.setattr(QInputDialog, "getText", lambda *_a, **_k: ("", False))
    monkeypatch.setattr(QPrintDialog, "exec", lambda _self: QPrintDialog.DialogCode.Rejected)
    # What is tried here are hands: what they ask for is worked out as coarsely as can be.
    monkeypatch.setattr(live, "full", coarsely)
    monkeypatch.setattr(results, "MAP_STEPS", 3)
    yield driver
    restore(driver)
    driver.window.theme.choose("light")
    driver.window.setGeometry(QRect(0, 0, 1280, 800))
    driver.document.stack.setClean()
    driver.open("rear-in-trouble")


def restore(driver: Driver) -> None:
    """Nothing held, played, measured, compared or open beside."""
    window = driver.window
    close_menus()
    window.hands.escape()
    if window.help.isVisible():
        window.help.toggle()
    window.tour.end()
    if window.hands.measuring:
        window.do("distance")
    if window._play.isActive():
        window.play()
    if window.views.split:
        window.views.beside()
    if window.actions_.sheet is not None:
        window.actions_.sheet.close()
    if driver.document.before is not None:
        driver.document.keep()
    window.enter("Move")
    driver.app.processEvents()


def spree(driver: Driver, count: int, seed: int) -> None:
    """So many actions; then everything undone."""
    hands, document = Hands(driver, seed), driver.document
    told, sys.excepthook = sys.excepthook, lambda *error: heard.append(error)
    heard: list[tuple] = []
    try:
        for _ in range(count):
            hands.act()
            if heard:
                raise AssertionError(f"after {hands.count}: {list(hands.did)}") from heard[0][1]
            pieces = driver.stage.scene.pieces.values()
            assert all(np.isfinite(p.pose).all() for p in pieces), list(hands.did)
            assert np.isfinite(document.travel), list(hands.did)
            assert np.isfinite(document.rack), list(hands.did)
        restore(driver)
        came_back(driver, hands)
        assert not heard, heard
    finally:
        sys.excepthook = told
        document.opened.disconnect(hands.opened)


def came_back(driver: Driver, hands: Hands) -> None:
    """Everything undone, the project is what it was and all of it is on the stage."""
    document = driver.document
    while document.stack.canUndo():
        document.stack.undo()
    document.drop_preview()
    assert document.project == hands.start, list(hands.did)
    driver.settle()
    low, high = document.limits
    assert low - 1e-6 <= document.travel <= high + 1e-6
    assert isinstance(document.project, Project)
    drawn = {s.name for s in live.dressed(document.project, document.folder)}
    assert set(driver.stage.scene.pieces) == drawn


@pytest.mark.campaign
@pytest.mark.parametrize("seed", range(20, 24))
def test_two_thousand_random_actions_without_growth(quiet: Driver, seed: int) -> None:
    spree(quiet, 200, seed)  # caches fill, rooms are made
    quiet.open("rear-in-trouble")
    objects, before = count_children(quiet.window), in_memory()
    for k in range(4):
        spree(quiet, 450, 1000 * seed + k)
    quiet.document.stack.setClean()
    quiet.open("rear-in-trouble")
    more, grown = count_children(quiet.window) - objects, in_memory() - before
    print(f"seed {seed}: 2,000 actions, {more} objects and {grown:.1f} MB more")
    assert more <= SPARE
    assert grown < 60
