"""A word that leads somewhere, underlined while one is there: rooms in the bar, pages in a room."""

from __future__ import annotations

from typing import ClassVar

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton

from app.look.theme import Theme
from app.look.type import font, metrics
from app.told import told


@told
class Word(QAbstractButton):
    """One such word. Its sizes are those at scale 1."""

    SIZE: ClassVar[float] = 16  # of the letters
    HIGH: ClassVar[float] = 46
    SPARE: ClassVar[float] = 12  # room on either side
    LIFT: ClassVar[float] = 0  # of the line under it, above its lower edge

    def __init__(self, theme: Theme, word: str, tip: str) -> None:
        super().__init__()
        self.theme = theme
        self.setText(word)
        self.setToolTip(tip)
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def sizeHint(self) -> QSize:
        s = self.theme.scale
        return QSize(round(self._wide() + 2 * self.SPARE * s), round(self.HIGH * s))

    def _wide(self) -> float:
        return metrics(self.SIZE * self.theme.scale, 600).horizontalAdvance(self.text())

    def paintEvent(self, event: QPaintEvent) -> None:
        s, p = self.theme.scale, self.theme.palette
        painter = QPainter(self)
        on, held = self.isChecked(), self.hasFocus()
        colour = QColor(p.dye if held else p.ink if on else p.dye if self.underMouse() else p.ink2)
        painter.setFont(font(self.SIZE * s, 600 if on else 500))
        painter.setPen(colour)
        painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, self.text())
        if on:
            wide = self._wide() + self.SPARE * s
            y = self.height() - 3.0 - self.LIFT * s
            painter.fillRect(QRectF((self.width() - wide) / 2, y, wide, 3.0), colour)
        if held:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(QPen(QColor(p.dye), 1.6))
            side = self.SPARE / 4 * s
            frame = QRectF(self.rect()).adjusted(side, 7 * s, -side, -7 * s)
            painter.drawRoundedRect(frame, 8 * s, 8 * s)
        painter.end()
