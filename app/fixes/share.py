"""A thin line as long as the share that is done."""

from __future__ import annotations

from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from app.look.theme import Theme
from app.told import told


@told
class ShareLine(QWidget):
    """Hidden while nothing is worked out."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.theme, self.share = theme, -1.0
        self.setAccessibleName("Done so far")
        self.setFixedHeight(3)
        self.hide()

    def show_share(self, share: float) -> None:
        """0 to 1; negative when nothing is worked out."""
        self.share = share
        self.setVisible(share >= 0.0)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        p = self.theme.palette
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(p.hair))
        painter.fillRect(0, 0, round(self.width() * max(self.share, 0.0)), self.height(),
                         QColor(p.ink2))  # fmt: skip
        painter.end()
