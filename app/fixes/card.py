"""One fix in the list: what to do, what it settles and undoes; a click shows it."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.look.halo import unbroken
from app.look.palette import State
from app.look.scroll import EDGE, right_edge
from app.look.sheets import main_button
from app.look.signs import draw_sign
from app.look.theme import Theme
from app.look.type import font
from app.told import told

INDENT = 20  # px at scale 1: room for the sign, behind the edge


@dataclass(frozen=True)
class Told:
    """What a card says: the instruction, what comes of it, its two amounts, what else it does, the
    work it is; what to mind is told once it is looked at."""

    title: str
    outcome: str
    amounts: str
    rest: str
    work: str
    care: str
    state: State


@told
class FixCard(QFrame):
    """A fix that can be looked at and applied. Enter or a click looks; the button applies."""

    looked = Signal()
    applied = Signal()
    dropped = Signal()

    def __init__(self, theme: Theme, told: Told) -> None:
        super().__init__()
        self.theme, self.told = theme, told
        self.shown = False  # whether it is what the stage shows
        self.title, self.outcome = QLabel(unbroken(told.title)), QLabel(unbroken(told.outcome))
        self.amounts, self.rest = QLabel(unbroken(told.amounts)), QLabel(unbroken(told.rest))
        self.work, self.care = QLabel(told.work), QLabel(told.care)
        self.take = QPushButton("Apply it")
        self.back = QPushButton("Not this")
        self.setAccessibleName(told.title)
        said = (told.outcome, told.amounts, told.rest, told.work, told.care)
        self.setAccessibleDescription(" ".join(part for part in said if part))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setToolTip("Click to see it on the corner, beside what it is now")
        self.take.clicked.connect(self.applied.emit)
        self.back.clicked.connect(self.dropped.emit)
        self._lay_out()
        self.dress()

    def _lay_out(self) -> None:
        column = self.column = QVBoxLayout(self)
        for label in self._labels:
            label.setWordWrap(True)
            label.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
            label.setVisible(bool(label.text()))
            column.addWidget(label)
        row = self.row = QHBoxLayout()
        row.addWidget(self.take)
        row.addWidget(self.back)
        row.addStretch(1)
        self.buttons = QWidget()
        self.buttons.setLayout(row)
        column.addWidget(self.buttons)
        self.buttons.hide()
        self.care.hide()

    @property
    def _labels(self) -> tuple[QLabel, ...]:
        return self.title, self.outcome, self.amounts, self.rest, self.work, self.care

    def dress(self) -> None:
        """Colours and type of the theme."""
        s, p = self.theme.scale, self.theme.palette
        left = round((EDGE + INDENT) * s)
        self.column.setContentsMargins(left, round(10 * s), right_edge(s), round(12 * s))
        self.column.setSpacing(round(3 * s))
        self.row.setContentsMargins(0, round(6 * s), 0, 0)
        self.row.setSpacing(round(8 * s))
        self.title.setFont(font(16 * s, 600, True))
        self.outcome.setFont(font(15 * s, 500, False))
        self.amounts.setFont(font(13 * s, 500, False))
        self.amounts.setStyleSheet(f"color: {p.ink}; background: transparent;")
        for label in (self.rest, self.work, self.care):
            label.setFont(font(13 * s, 400, False))
            label.setStyleSheet(f"color: {p.ink2}; background: transparent;")
        self.title.setStyleSheet(f"color: {p.ink}; background: transparent;")
        self.outcome.setStyleSheet(f"color: {p.ink}; background: transparent;")
        self.buttons.setStyleSheet("background: transparent;")
        for button in (self.take, self.back):
            button.setFont(font(15 * s, 600, False))
        self.take.setStyleSheet(main_button(p))
        self.back.setStyleSheet(
            f"QPushButton {{ background: {p.sheet}; color: {p.dye}; border: 1.5px solid {p.dye};"
            " border-radius: 8px; padding: 4px 14px; }"
            f"QPushButton:focus {{ border-color: {p.ink}; }}"
        )
        self.update()

    def show_looked(self, on: bool) -> None:
        """Whether the stage shows this fix now."""
        self.shown = on
        self.buttons.setVisible(on)
        self.care.setVisible(on and bool(self.told.care))
        self.updateGeometry()
        self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self.setFocus(Qt.FocusReason.MouseFocusReason)
            self.looked.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self.looked.emit()
            return
        super().keyPressEvent(event)

    def focusInEvent(self, event: object) -> None:
        self.update()

    def focusOutEvent(self, event: object) -> None:
        self.update()

    def enterEvent(self, event: object) -> None:
        self.update()

    def leaveEvent(self, event: object) -> None:
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(round(400 * self.theme.scale), super().sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        s, p = self.theme.scale, self.theme.palette
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self.shown:
            painter.fillRect(self.rect(), QColor(p.wash))
            painter.fillRect(0, 0, round(4 * s), self.height(), QColor(p.dye))
        left = round((EDGE + INDENT) * s)
        wide = self.width() - left - right_edge(s)
        painter.fillRect(left, self.height() - 1, wide, 1, QColor(p.hair))
        y = 10 * s + self.title.fontMetrics().height() / 2
        draw_sign(painter, p, self.told.state, QPointF((EDGE + 7.5) * s, y), 7.5 * s)
        if self.hasFocus() or self.underMouse():
            painter.setPen(QPen(QColor(p.dye), 1.6))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(self.rect().adjusted(2, 2, -3, -3), 6 * s, 6 * s)
        painter.end()
