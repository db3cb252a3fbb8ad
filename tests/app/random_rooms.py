"""A random hand at fields, buttons and lists, room by room."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QComboBox, QLineEdit, QTableView, QWidget

from app.entry import Field
from app.survey.table import FIELDS
from kinematics.project.furnish import KINDS, add_part, copy_entry, remove_entry
from tests.app.random_answers import NONSENSE
from tests.app.random_hand import LEFT, Hand, leaves, send
from tests.app.random_view import KEYS, MODS


class RoomHand(Hand):
    """What can be typed, clicked and chosen in the rooms beside the view."""

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
