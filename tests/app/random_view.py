"""A random hand in the view and at what stands around it."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QEvent, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget

from app.document import live
from app.hand.grips import handles
from tests.app.random_hand import LEFT, NONE, RIGHT, Hand, send, wheel

KEYS = (
    Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_PageUp,
    Qt.Key.Key_PageDown, Qt.Key.Key_Home, Qt.Key.Key_J, Qt.Key.Key_K, Qt.Key.Key_1, Qt.Key.Key_2,
    Qt.Key.Key_3, Qt.Key.Key_4, Qt.Key.Key_O, Qt.Key.Key_A, Qt.Key.Key_C, Qt.Key.Key_D,
    Qt.Key.Key_L, Qt.Key.Key_T, Qt.Key.Key_M, Qt.Key.Key_H, Qt.Key.Key_P, Qt.Key.Key_Space,
    Qt.Key.Key_Tab, Qt.Key.Key_Return, Qt.Key.Key_F1, Qt.Key.Key_F2, Qt.Key.Key_Escape,
    Qt.Key.Key_Escape,
)  # fmt: skip
CTRL = Qt.KeyboardModifier.ControlModifier
MODS = (NONE, NONE, Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.AltModifier, CTRL)
AMOUNTS = ("12", "-8.5", "1/2 in", "x -3", "z 4", "abc", "1/0", "900", "y 2 z 2", "")


class ViewHand(Hand):
    """Keys and mouse on the view, ruler, strips, pad, bar and menus."""

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
        """A point, a bracket or a scan pulled while the corner is described, or clicked."""
        self.enter("Describe")
        project = self.driver.document.project
        if project is None:
            return ""
        wholes = dict(handles(project, self.window.stage))
        name = self.one([*project.points, *wholes])
        if name is None:
            return ""
        by, mods = self.by(), self.dice.choice(MODS)
        far = self.dice.choice((0.0, 1.0))
        at = wholes.get(name) or self.driver.spot(np.array(project.points[name]))
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

    def resize(self) -> str:
        self.window.resize(self.dice.randrange(900, 1400), self.dice.randrange(560, 900))
        return str(self.window.size().toTuple())
