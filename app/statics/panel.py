"""Rows of a panel: what, how much, what it means; those that lead somewhere can be clicked."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFontMetricsF,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
)
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QVBoxLayout, QWidget

from app.look.halo import unbroken
from app.look.signs import draw_sign
from app.look.theme import Theme
from app.look.type import font, metrics
from app.statics.rows import Row
from app.told import told

INDENT = 20.0  # px at scale 1: room for the sign of a row that has one
BAR = 4.0


@told
class RowView(QAbstractButton):
    """One row, as high as its words need."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.theme = theme
        self.row = Row("")
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def show_row(self, row: Row) -> None:
        """Show another row; nothing is drawn anew if it says the same."""
        if row == self.row:
            return
        self.row = row
        self.setAccessibleName(f"{row.label} {row.value}".strip())
        self.setAccessibleDescription(row.note)
        leads = self.leads
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus if leads else Qt.FocusPolicy.NoFocus)
        hand = Qt.CursorShape.PointingHandCursor if leads else Qt.CursorShape.ArrowCursor
        self.setCursor(hand)
        self.fit()
        self.update()

    @property
    def leads(self) -> bool:
        """Whether a click does something."""
        return self.row.target is not None or bool(self.row.act)

    @property
    def _left(self) -> float:
        """Where the words begin, px: behind the sign, if there is one."""
        return 0.0 if self.row.state is None else INDENT * self.theme.scale

    def _boxes(self) -> tuple[QRectF, QRectF, QRectF]:
        """Where label, value and note stand."""
        s, row = self.theme.scale, self.row
        wide = max(60.0, float(self.width()))
        left = self._left
        taken = metrics(15 * s, 600).horizontalAdvance(row.value) + 12 * s if row.value else 0.0
        wrap = int(Qt.TextFlag.TextWordWrap)
        label = QFontMetricsF(font(15 * s, 500)).boundingRect(
            QRectF(left, 3 * s, wide - left - taken, 1000), wrap, unbroken(row.label)
        )
        value = QRectF(wide - taken, 3 * s, taken, label.height())
        note = QRectF(left, label.bottom(), 0, 0)
        if row.note:
            below = QRectF(left, label.bottom(), wide - left, 1000)
            note = QFontMetricsF(font(13 * s, 400)).boundingRect(below, wrap, unbroken(row.note))
        return label, value, note

    def fit(self) -> None:
        """Take the height the words need at the present width."""
        s = self.theme.scale
        label, _, note = self._boxes()
        bar = (BAR + 5) * s if self.row.share is not None else 0.0
        high = round(max(label.bottom(), note.bottom()) + bar + 5 * s)
        if high != self.height():
            self.setFixedHeight(high)

    def sizeHint(self) -> QSize:
        return QSize(200, self.height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.fit()

    def enterEvent(self, event: object) -> None:
        self.update()

    def leaveEvent(self, event: object) -> None:
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        s, p, row = self.theme.scale, self.theme.palette, self.row
        label, value, note = self._boxes()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        lit = self.leads and (self.underMouse() or self.hasFocus())
        wrap = Qt.TextFlag.TextWordWrap
        painter.setFont(font(15 * s, 500))
        painter.setPen(QColor(p.dye if lit else p.ink))
        painter.drawText(label.adjusted(0, 0, 6, 2), wrap, unbroken(row.label))
        painter.setFont(font(15 * s, 600))
        painter.setPen(QColor(p.dye if lit or row.act else p.ink))
        right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop
        painter.drawText(value, int(right), row.value)
        painter.setFont(font(13 * s, 400))
        painter.setPen(QColor(p.ink2))
        painter.drawText(note.adjusted(0, 0, 6, 2), wrap, unbroken(row.note))
        if row.state is not None:
            draw_sign(painter, p, row.state, QPointF(6.5 * s, label.top() + 9.5 * s), 6.5 * s)
        if row.share is not None:
            self._draw_bar(painter, row, note.bottom() + 4 * s)
        painter.end()

    def _draw_bar(self, painter: QPainter, row: Row, y: float) -> None:
        """How much of the limit is used: the most as a bar, the present as a tick."""
        s, p = self.theme.scale, self.theme.palette
        left, wide = self._left, self.width() - self._left
        share = min(row.share or 0.0, 1.0)
        colour = p.state(row.state) if row.state is not None else p.ink3
        painter.fillRect(QRectF(left, y, wide, BAR * s), QColor(p.ground))
        painter.fillRect(QRectF(left, y, wide * share, BAR * s), QColor(colour))
        if row.now is not None:
            x = left + wide * min(row.now, 1.0)
            painter.setPen(QPen(QColor(p.sheet), 4 * s))
            painter.drawLine(QPointF(x, y - s), QPointF(x, y + (BAR + 1) * s))
            painter.setPen(QPen(QColor(p.ink), 2 * s))
            painter.drawLine(QPointF(x, y - 2 * s), QPointF(x, y + (BAR + 2) * s))


@told
class Rows(QWidget):
    """Rows below each other under a heading; ``chosen`` tells which one was clicked."""

    chosen = Signal(object)

    def __init__(self, theme: Theme, title: str = "") -> None:
        super().__init__()
        self.theme, self.title = theme, title
        self.views: list[RowView] = []
        self.setAccessibleName(title)
        self.column = QVBoxLayout(self)
        self.column.setSpacing(0)
        theme.changed.connect(self.renew)
        self.renew()

    def show_rows(self, rows: Sequence[Row]) -> None:
        """Show other rows; nothing is shown at all where there are none."""
        while len(self.views) < len(rows):
            view = RowView(self.theme)
            view.clicked.connect(lambda _=False, v=view: self._choose(v))
            self.column.addWidget(view)
            self.views.append(view)
        for view in self.views[len(rows) :]:
            self.column.removeWidget(view)
            view.hide()
            view.deleteLater()
        del self.views[len(rows) :]
        for view, row in zip(self.views, rows, strict=True):
            view.show_row(row)
            view.show()
        self.setVisible(bool(rows))

    def _choose(self, view: RowView) -> None:
        if view.leads:
            self.chosen.emit(view.row)

    def call(self, title: str) -> None:
        """Change the heading."""
        if title != self.title:
            self.title = title
            self.setAccessibleName(title)
            self.renew()

    def rows(self) -> list[Row]:
        """What is shown."""
        return [view.row for view in self.views if not view.isHidden()]

    def renew(self) -> None:
        """Take up a change of theme or scale."""
        s = self.theme.scale
        head = round(30 * s) if self.title else 0
        self.column.setContentsMargins(0, head, 0, round(8 * s))
        for view in self.views:
            view.fit()
            view.update()
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self.title:
            return
        s, p = self.theme.scale, self.theme.palette
        painter = QPainter(self)
        painter.setFont(font(18 * s, 600))
        painter.setPen(QColor(p.ink))
        painter.drawText(QPointF(0, 20 * s), self.title)
        painter.end()
