"""The places worth going to, each with its mark and its sentence; a click moves the mount there."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy

from app.look.theme import Theme
from app.look.type import font, metrics
from app.mount import chart
from app.told import told

HIGH = 37  # px at scale 1


@told
class SpotButton(QAbstractButton):
    """A place of the map: its mark, what it is, and where."""

    def __init__(self, theme: Theme, kind: str, title: str) -> None:
        super().__init__()
        self.theme, self.kind, self.title = theme, kind, title
        self.about = ""
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setToolTip("Move the top mount there")

    def say(self, about: str) -> None:
        """Where it is and what it has to spare."""
        self.about = about
        self.setAccessibleName(f"Go to {self.title.lower()}: {about}")
        self.setVisible(bool(about))
        self.update()

    def sizeHint(self) -> QSize:
        s = self.theme.scale
        return QSize(round(300 * s), round(HIGH * s))

    def paintEvent(self, event: QPaintEvent) -> None:
        s, p = self.theme.scale, self.theme.palette
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        lit = self.underMouse() or self.hasFocus()
        if lit:
            painter.setPen(QPen(QColor(p.dye), 1.6))
            painter.setBrush(QColor(p.wash))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 8 * s, 8 * s)
        chart.mark(painter, p, s, self.kind, QPointF(17 * s, self.height() / 2))
        x, left = 36 * s, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        half = self.height() / 2
        painter.setFont(font(15 * s, 600))
        painter.setPen(QColor(p.dye))
        painter.drawText(QRectF(x, 2 * s, self.width() - x, half), left, self.title)
        painter.setFont(font(13 * s, 500))
        painter.setPen(QColor(p.ink2))
        room = self.width() - x - 8 * s
        words = metrics(13 * s, 500).elidedText(self.about, Qt.TextElideMode.ElideRight, room)
        painter.drawText(QRectF(x, half - 1 * s, room, half), left, words)
        painter.end()
