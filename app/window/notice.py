"""What the program has to say: one sentence at the foot of the stage, and work in progress."""

from __future__ import annotations

import math
import time

from PySide6.QtCore import QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from app.look.theme import Theme
from app.look.type import font, metrics
from app.told import told

LONG = 0.3  # s of work before progress is shown
STAYS = 9000  # ms a sentence stays
TICK = 1000  # ms between two looks at the clock while work goes on


@told
class Notice(QWidget):
    """A card with a sentence; a click puts it away."""

    stopped = Signal()

    def __init__(self, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self.theme = theme
        self.sentence = ""
        self.share = -1.0
        self.above: QWidget | None = None  # what it keeps above, while that is seen
        self._since = 0.0
        self._away = QTimer(self, interval=STAYS, singleShot=True)
        self._away.timeout.connect(self.put_away)
        self._soon = QTimer(self, interval=round(LONG * 1000), singleShot=True)
        self._soon.timeout.connect(self.fit)
        self._tick = QTimer(self, interval=TICK)  # what is left grows too, while nothing gets done
        self._tick.timeout.connect(self.fit)
        self.setAccessibleName("Message")
        self.hide()

    def say(self, sentence: str) -> None:
        """Show a sentence for a while."""
        self.sentence = sentence.split("\n")[0]
        self.setAccessibleDescription(self.sentence)
        self._away.start()
        self.fit()

    def put_away(self) -> None:
        """No sentence any more."""
        self.sentence = ""
        self.fit()

    def work(self, share: float) -> None:
        """Work goes on: the share done, or negative when it has ended."""
        if share >= 0 and self.share < 0:
            self._since = time.monotonic()
            self._soon.start()
            self._tick.start()
        self.share = share
        if share < 0:
            self._soon.stop()
            self._tick.stop()
        if share < 0 or time.monotonic() - self._since > LONG:
            self.fit()

    @property
    def words(self) -> str:
        """What is written now."""
        if self.sentence:
            return self.sentence
        if self.share >= 0 and time.monotonic() - self._since > LONG:
            spent = time.monotonic() - self._since
            left = spent / max(self.share, 0.02) * (1 - self.share)
            return f"Not checked yet: {max(1, math.ceil(left))} s left. Esc stops it."
        return ""

    def fit(self) -> None:
        """Take the place there is for the words, or none."""
        words = self.words
        self.setVisible(bool(words))
        parent = self.parentWidget()
        if not words or parent is None:
            return
        s = self.theme.scale
        room = parent.width() - 300 * s
        wide = metrics(15 * s, 500, False).horizontalAdvance(words) + 44 * s
        rows = max(1, math.ceil((wide - 44 * s) / max(100.0, room - 44 * s)))
        wide = min(wide, room)
        high = (22 * rows + 18) * s
        foot = parent.height() - 20 * s
        if self.above is not None and self.above.isVisible():
            foot = self.above.y() - 8 * s
        self.setGeometry(
            round((parent.width() - wide) / 2 + 100 * s), round(foot - high),
            round(wide), round(high),
        )  # fmt: skip
        self.raise_()
        self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.put_away()

    def paintEvent(self, event: QPaintEvent) -> None:
        s, p = self.theme.scale, self.theme.palette
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        painter.setPen(QPen(QColor(p.ink3), 1.6))
        painter.setBrush(QColor(p.sheet))
        painter.drawRoundedRect(box, 8 * s, 8 * s)
        painter.setFont(font(15 * s, 500, False))
        painter.setPen(QColor(p.ink))
        flags = int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft) | int(
            Qt.TextFlag.TextWordWrap
        )
        painter.drawText(box.adjusted(16 * s, 4 * s, -14 * s, -6 * s), flags, self.words)
        if not self.sentence and self.share >= 0:
            line = QRectF(
                box.x() + 8 * s, box.bottom() - 5 * s, (box.width() - 16 * s) * self.share, 2 * s
            )
            painter.fillRect(line, QColor(p.ink2))
        painter.end()
