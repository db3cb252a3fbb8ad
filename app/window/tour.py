"""A short tour on the example: each step waits for the hand to do it, then the next is told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QPushButton, QWidget

from app import examples
from app.look.sheets import room_sheet
from app.look.theme import Theme
from app.look.type import font, metrics
from app.told import told

if TYPE_CHECKING:
    from app.window.window import Window

EXAMPLE = "rear-in-trouble"
WIDE = 430.0


@dataclass(frozen=True)
class Step:
    """What to do, why, and how to know that it was done."""

    do: str
    why: str
    done: Callable[[Window], bool]


def _pulled(window: Window) -> bool:
    return window.document.travel > 45.0


def _worst(window: Window) -> bool:
    study = window.document.study
    if study is None or not study.findings:
        return False
    return window.show_it.current == 0 and window.document.checked


def _slid(window: Window) -> bool:
    place = window.document.offset()
    return place is not None and float(np.hypot(*place)) > 8.0 and window.hands.drag is None


def _kept(window: Window) -> bool:
    return window.document.before is not None


def _undone(window: Window) -> bool:
    place = window.document.offset()
    return place is not None and float(np.hypot(*place)) < 0.05


def _never(window: Window) -> bool:
    return False


STEPS = (
    Step(
        "Take hold of the tyre and pull it up.",
        "The ruler beside it is hatched where parts come near and has teeth where they touch. "
        "The wheel stops where the bump stop is solid.",
        _pulled,
    ),
    Step(
        "Click the large sentence, or press J.",
        "It takes the wheel to where it is worst. J goes on to the next problem.",
        _worst,
    ),
    Step(
        "Press K to keep this state as before.",
        "From here on thin lines and dashed curves show how it was, and every sentence says it.",
        _kept,
    ),
    Step(
        "Slide the violet plate, or the cross on the pad, to where the pad is plain green.",
        "There every rule is kept all the way through travel; the diamond is its middle. Hatched "
        "is nearer than you asked for, striped is where something touches.",
        _slid,
    ),
    Step(
        "Ctrl+Z takes it back. Try it.",
        "Every change is one step back, and nothing is saved until you say so.",
        _undone,
    ),
    Step(
        "That is all of it. Now your own corner.",
        "The project's name opens the menu: begin from an arrangement like yours and put your "
        "measurements over it. F1 lists hands and keys. Stands under the car before the spring "
        "is let go.",
        _never,
    ),
)


@told
class Tour(QWidget):
    """The card that says what to do next."""

    def __init__(self, theme: Theme, window: Window) -> None:
        super().__init__(window.stage)
        self.theme, self.window_ = theme, window
        self.at = -1
        self.next = QPushButton("Skip", self)
        self.leave = QPushButton("End", self)
        self.next.clicked.connect(self.forward)
        self.leave.clicked.connect(self.end)
        self.hide()
        window.notice.above = self
        document = window.document
        for signal in (document.moved, document.studied, document.compared, document.changed):
            signal.connect(self.look)
        theme.changed.connect(self.place)
        window.stage.resized.connect(self.place)

    @property
    def step(self) -> Step | None:
        """The step being asked for."""
        return STEPS[self.at] if 0 <= self.at < len(STEPS) else None

    def start(self) -> None:
        """Begin on the example, after asking about unsaved changes."""
        if not self.window_.actions_.may_leave():
            return
        self.window_.open(examples.examples()[EXAMPLE], example=True)
        self.window_.enter("Move")
        self.at = 0
        self.place()

    def forward(self) -> None:
        """To the next step; after the last one it is put away."""
        self.at += 1
        if self.step is None:
            self.end()
        else:
            self.place()

    def end(self) -> None:
        """Put it away."""
        self.at = -1
        self.hide()
        self.window_.notice.fit()

    def look(self) -> None:
        """Go on if the step has been done."""
        if self.step is not None and self.step.done(self.window_):
            self.forward()

    def place(self) -> None:
        """Over the stage's foot, right of the pad, as large as its words."""
        step, stage = self.step, self.window_.stage
        if step is None:
            return
        s = self.theme.scale
        wide = min(WIDE * s, stage.width() - 290 * s)
        words = self._words(wide)
        high = words[1].bottom() + 54 * s
        self.setGeometry(
            round(stage.width() - wide - 20 * s), round(stage.height() - high - 20 * s),
            round(wide), round(high),
        )  # fmt: skip
        self.setStyleSheet(room_sheet(self.theme.palette, "Tour"))
        last = self.at == len(STEPS) - 1
        self.next.setVisible(not last)
        for k, button in enumerate((self.leave, self.next)):
            button.setFont(font(15 * s, 600, False))
            button.resize(round(84 * s), round(30 * s))
            button.move(round(wide - (98 + 92 * k) * s), round(high - 42 * s))
        self.setAccessibleName(step.do)
        self.setAccessibleDescription(step.why)
        self.show()
        self.raise_()
        self.update()
        self.window_.notice.fit()

    def _words(self, wide: float) -> tuple[QRectF, QRectF]:
        step, s = self.step, self.theme.scale
        assert step is not None
        room = QRectF(18 * s, 14 * s, wide - 36 * s, 900)
        wrap = int(Qt.TextFlag.TextWordWrap)
        do = metrics(19 * s, 600).boundingRect(room, wrap, step.do)
        below = room.translated(0, do.height() + 6 * s)
        return do, metrics(15 * s, 400, False).boundingRect(below, wrap, step.why)

    def paintEvent(self, event: QPaintEvent) -> None:
        step = self.step
        if step is None:
            return
        s, p = self.theme.scale, self.theme.palette
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        painter.setPen(QPen(QColor(p.dye), 1.8))
        painter.setBrush(QColor(p.sheet))
        painter.drawRoundedRect(box, 10 * s, 10 * s)
        do, why = self._words(self.width())
        wrap = Qt.TextFlag.TextWordWrap
        painter.setFont(font(19 * s, 600))
        painter.setPen(QColor(p.ink))
        painter.drawText(do.adjusted(0, 0, 8, 4), wrap, step.do)
        painter.setFont(font(15 * s, 400, False))
        painter.setPen(QColor(p.ink2))
        painter.drawText(why.adjusted(0, 0, 8, 4), wrap, step.why)
        y = self.height() - 27 * s
        for k in range(len(STEPS)):
            painter.setPen(QPen(QColor(p.ink3), 1.2))
            painter.setBrush(QColor(p.ink3 if k <= self.at else p.sheet))
            painter.drawEllipse(QPointF(24 * s + 14 * s * k, y), 4 * s, 4 * s)
        painter.end()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.end()
        else:
            event.ignore()
