"""A choice that can also be typed: a field in our own look with the arrow of the other choices."""

from __future__ import annotations

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QComboBox

from app.look.theme import Theme
from app.told import told


@told
class Pick(QComboBox):
    """An editable choice; nothing typed is added to it. Its sheet is :func:`sheets.pick_sheet`."""

    def __init__(self, theme: Theme, hint: str = "") -> None:
        super().__init__()
        self.theme = theme
        self.setEditable(True)
        self.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        if (line := self.lineEdit()) is not None:
            line.setPlaceholderText(hint)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        s, p = self.theme.scale, self.theme.palette
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        pen = QPen(QColor(p.dye if self.underMouse() or self.hasFocus() else p.ink2), 1.7 * s)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        painter.setPen(pen)
        x, y = self.width() - 13 * s, self.height() / 2
        tips = ((-4, -2), (0, 2), (4, -2))
        painter.drawPolyline([QPointF(x + a * s, y + b * s) for a, b in tips])
        painter.end()
