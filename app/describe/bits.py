"""Small pieces the description is laid out with: page words, folds, quiet buttons, sliders."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QSlider

from app.look.theme import Theme
from app.look.type import font, metrics
from app.look.word import Word
from app.told import told

FINE = 10  # steps of a slider to a mm


class PageWord(Word):
    """A word above the form: one of its pages."""

    SIZE, HIGH, SPARE, LIFT = 15, 42, 4, 5


@told
class Fold(QAbstractButton):
    """The name of something and what it is; a press opens or closes it."""

    def __init__(self, theme: Theme, name: str, about: str, is_open: bool) -> None:
        super().__init__()
        self.theme, self.about = theme, about
        self.setText(name)
        self.setCheckable(True)
        self.setChecked(is_open)
        self.setAccessibleName(name)
        self.setAccessibleDescription(f"{about}, {'open' if is_open else 'closed'}")
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        s = self.theme.scale
        return QSize(round(200 * s), round(32 * s))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        s, p = self.theme.scale, self.theme.palette
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        lit = self.underMouse() or self.hasFocus()
        if lit or self.isChecked():
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(p.wash if lit else p.ground))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(-2, 1, 0, -1), 6 * s, 6 * s)
        pen = QPen(QColor(p.dye), 1.8 * s)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        painter.setPen(pen)
        x, y = 11 * s, self.height() / 2
        tips = ((-4, -2), (0, 2), (4, -2)) if self.isChecked() else ((-2, -4), (2, 0), (-2, 4))
        painter.drawPolyline([QPointF(x + a * s, y + b * s) for a, b in tips])
        painter.setFont(font(13 * s, 500))
        painter.setPen(QColor(p.ink2))
        right = QRectF(self.rect()).adjusted(0, 0, -8 * s, 0)
        flags = Qt.AlignmentFlag.AlignVCenter
        painter.drawText(right, flags | Qt.AlignmentFlag.AlignRight, self.about)
        taken = metrics(13 * s, 500).horizontalAdvance(self.about) + 12 * s
        painter.setFont(font(15 * s, 600 if self.isChecked() else 500))
        painter.setPen(QColor(p.ink))
        left = right.adjusted(24 * s, 0, -taken, 0)
        words = painter.fontMetrics().elidedText(
            self.text(), Qt.TextElideMode.ElideRight, int(left.width())
        )
        painter.drawText(left, flags | Qt.AlignmentFlag.AlignLeft, words)
        painter.end()


@told
class Slider(QSlider):
    """A range in mm with a handle of the hand's colour; ``slid`` tells where it is, live.

    Scrolling passes over it. ``began`` and ``ended`` tell of a hand that holds it.
    """

    began = Signal()
    slid = Signal(float)
    ended = Signal()
    held = Signal()

    def __init__(self, theme: Theme, least: float, most: float) -> None:
        super().__init__(Qt.Orientation.Horizontal)
        self.theme = theme
        self.setRange(round(least * FINE), round(most * FINE))
        self.setSingleStep(FINE // 2)
        self.setPageStep(FINE * 2)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setFixedHeight(round(28 * theme.scale))
        self.sliderPressed.connect(self.began.emit)
        self.valueChanged.connect(lambda value: self.slid.emit(value / FINE))
        self.sliderReleased.connect(self.ended.emit)

    def stand(self, least: float, most: float, value: float) -> None:
        """Its range and where it stands, mm; nothing is told."""
        if not self.isSliderDown():
            self.blockSignals(True)
            self.setRange(round(least * FINE), round(most * FINE))
            self.setValue(round(value * FINE))
            self.blockSignals(False)

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()

    def _spot(self, value: float) -> float:
        s, span = self.theme.scale, max(1, self.maximum() - self.minimum())
        return 9 * s + (value - self.minimum()) / span * (self.width() - 18 * s)

    def mousePressEvent(self, event: object) -> None:
        at = event.position().x()  # type: ignore[attr-defined]
        self.setFocus()
        self.setSliderDown(True)
        self._go(at)

    def mouseMoveEvent(self, event: object) -> None:
        if self.isSliderDown():
            self._go(event.position().x())  # type: ignore[attr-defined]

    def mouseReleaseEvent(self, event: object) -> None:
        self.setSliderDown(False)

    def _go(self, x: float) -> None:
        s = self.theme.scale
        share = (x - 9 * s) / max(1.0, self.width() - 18 * s)
        self.setValue(round(self.minimum() + share * (self.maximum() - self.minimum())))

    def paintEvent(self, event: QPaintEvent) -> None:
        s, p = self.theme.scale, self.theme.palette
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        y = self.height() / 2
        painter.setPen(QPen(QColor(p.hair), 3 * s))
        painter.drawLine(QPointF(9 * s, y), QPointF(self.width() - 9 * s, y))
        if self.minimum() <= 0 <= self.maximum():
            painter.setPen(QPen(QColor(p.ink2), 1.6 * s))
            x = self._spot(0.0)
            painter.drawLine(QPointF(x, y - 6 * s), QPointF(x, y + 6 * s))
            painter.setPen(QPen(QColor(p.dye), 3 * s))
            painter.drawLine(QPointF(x, y), QPointF(self._spot(self.value()), y))
        painter.setPen(QPen(QColor(p.ink if self.hasFocus() else p.sheet), 2 * s))
        painter.setBrush(QColor(p.dye))
        painter.drawEllipse(QPointF(self._spot(self.value()), y), 7.5 * s, 7.5 * s)
        painter.end()
