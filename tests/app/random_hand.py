"""What all random hands have in common: dice, places, events, menus."""

from __future__ import annotations

import random
from collections.abc import Iterable
from typing import TypeVar

from PySide6.QtCore import QCoreApplication, QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QAction, QMouseEvent, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMenu, QWidget

from tests.app.conftest import Driver
from tests.app.random_answers import Answers

Some = TypeVar("Some")
NONE = Qt.KeyboardModifier.NoModifier
LEFT, RIGHT = Qt.MouseButton.LeftButton, Qt.MouseButton.RightButton
NEVER = ("Close",)  # of menus: what would end it


class Hand:
    """A hand at a window: what its ways of acting have in common."""

    def __init__(self, driver: Driver, answers: Answers, seed: int) -> None:
        self.driver, self.window, self.answers = driver, driver.window, answers
        self.dice = answers.dice = random.Random(seed)

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
