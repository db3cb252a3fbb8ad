"""The room of springs, joints and forces: where it rides, what stops it, where the load goes."""

from __future__ import annotations

from PySide6.QtCore import QSize, QTimer, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app.document.document import Document
from app.look.scroll import EDGE
from app.look.sheets import room_sheet
from app.look.theme import Theme
from app.look.type import font
from app.look.word import Word
from app.stage.view import Stage
from app.statics.arrows import ForceArrows
from app.statics.cases import Cases
from app.statics.here import HereNow
from app.statics.members import ForcesPage, JointsPage
from app.statics.page import Page
from app.statics.ride import RidePage
from app.told import told

PAGES = (
    ("Ride", "Where it rides, what stops it, which spring suits"),
    ("Joints", "Angles used, shafts and hoses"),
    ("Forces", "Load cases and the force in every member"),
)
WIDTH = 430  # px at scale 1
EMPTY = "Nothing is known of springs, joints or loads of this corner."


@told
class StaticsRoom(QWidget):
    """Three pages of readouts beside the stage. ``went`` asks for a travel and a rack; ``turned``
    tells that another page or load case is shown."""

    went = Signal(float, float)
    turned = Signal()

    def __init__(self, theme: Theme, document: Document) -> None:
        super().__init__()
        self.theme, self.document = theme, document
        self.cases = Cases(theme, document)
        self.now = HereNow(document, lambda: (self.cases.name, self.cases.case))
        self.arrows = ForceArrows(self.now.pushes, lambda: self.now.units)
        self.pages: dict[str, Page] = {
            "Ride": RidePage(theme, self.now),
            "Joints": JointsPage(theme, self.now),
            "Forces": (forces := ForcesPage(theme, self.now, self.cases)),
        }
        forces.picked.connect(self.turned.emit)
        self.buttons = {word: Word(theme, word, tip) for word, tip in PAGES}
        self.message, self.empty = QLabel(""), QLabel(EMPTY)
        self._soon = QTimer(self, interval=0, singleShot=True)
        self._soon.timeout.connect(self.renew_here)
        self._lay_out()
        document.moved.connect(self._soon.start)
        document.studied.connect(self.renew)
        document.changed.connect(self.renew)
        document.opened.connect(lambda: self.say(""))
        theme.changed.connect(self._dress)
        self.enter("Ride")
        self._dress()

    @property
    def page(self) -> str:
        """The page shown."""
        return next(word for word, button in self.buttons.items() if button.isChecked())

    def enter(self, word: str) -> None:
        """Show one of the pages."""
        for name, button in self.buttons.items():
            button.setChecked(name == word)
            self.pages[name].setVisible(name == word)
        self.renew()
        self.turned.emit()

    def dress_stage(self, stages: list[Stage]) -> None:
        """Arrows over the stages while forces are looked at."""
        wanted = self.isVisible() and self.page == "Forces"
        for stage in stages:
            if wanted and self.arrows not in stage.extras:
                stage.extras.append(self.arrows)
            elif not wanted and self.arrows in stage.extras:
                stage.extras.remove(self.arrows)
            stage.redraw()

    def renew(self) -> None:
        """All of the page shown; while a hand holds the mount only what stands here."""
        if not self.isVisible():
            return
        if self.document.drag_start is not None:
            self._soon.start()
            return
        known, ended = self.now.known(), self.document.ended
        bare = known is not None and not (known.elements or known.bearings)
        self.empty.setText(ended or EMPTY)
        self.empty.setVisible(bool(ended) or bare)
        self.pages[self.page].renew()

    def renew_here(self) -> None:
        """What stands at the present position."""
        if self.isVisible():
            self.pages[self.page].renew_here()

    def say(self, sentence: str) -> None:
        """What is wrong with what was typed; empty when it is right again."""
        self.message.setText(sentence)
        self.message.setVisible(bool(sentence))

    def showEvent(self, event: object) -> None:
        self.renew()

    def sizeHint(self) -> QSize:
        return QSize(round(WIDTH * self.theme.scale), 400)

    def _lay_out(self) -> None:
        bar = self.bar = QHBoxLayout()
        for word, button in self.buttons.items():
            button.clicked.connect(lambda _=False, w=word: self.enter(w))
            bar.addWidget(button)
        bar.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(bar)
        for label in (self.message, self.empty):
            label.setWordWrap(True)
            label.hide()
            column.addWidget(label)
        self.message.setAccessibleName("What is wrong with an entry")
        for page in self.pages.values():
            page.went.connect(self.went.emit)
            page.wrong.connect(self.say)
            column.addWidget(page, 1)

    def _dress(self) -> None:
        s, p = self.theme.scale, self.theme.palette
        edge = round((EDGE - Word.SPARE) * s)  # the words stand where other rooms' headings do
        self.bar.setContentsMargins(edge, round(5 * s), edge, 0)
        for label in (self.message, self.empty):
            label.setFont(font(15 * s, 500, False))
        self.empty.setContentsMargins(round(EDGE * s), round(12 * s), round(EDGE * s), 0)
        self.message.setStyleSheet(
            f"background: {p.touch_wash}; color: {p.ink}; padding: 10px 20px; "
            f"border-left: 5px solid {p.touch_fill};"
        )
        self.setStyleSheet(room_sheet(p, "StaticsRoom", "Page"))
