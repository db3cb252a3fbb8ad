"""How far what is worked out is: a thin line as long as the share done, and the time left."""

from __future__ import annotations

import math
import time

from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from app.look.theme import Theme
from app.told import told

TELLING = 0.08
"""The share that must be done before the time left is told."""


@told
class ShareLine(QWidget):
    """Hidden while nothing is worked out."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.theme, self.share, self.since = theme, -1.0, 0.0
        self.setAccessibleName("Done so far")
        self.setFixedHeight(3)
        self.hide()

    def show_share(self, share: float) -> None:
        """0 to 1; negative when nothing is worked out."""
        if share >= 0.0 and (self.share < 0.0 or share < self.share):
            self.since = time.monotonic()
        self.share = share
        self.setVisible(share >= 0.0)
        self.update()

    @property
    def left(self) -> str:
        """', about 9 s left' once that can be told, from the time spent so far."""
        spent = time.monotonic() - self.since
        if not (self.share >= TELLING and spent >= 1.0):
            return ""
        return f", about {max(1, math.ceil(spent / self.share * (1.0 - self.share)))} s left"

    def paintEvent(self, event: QPaintEvent) -> None:
        p = self.theme.palette
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(p.hair))
        painter.fillRect(0, 0, round(self.width() * max(self.share, 0.0)), self.height(),
                         QColor(p.ink2))  # fmt: skip
        painter.end()
