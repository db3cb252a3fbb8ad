"""The sheet of hands and keys, with the cautions that go with the job."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from app.document.document import Document
from app.look.theme import Theme
from app.look.type import font, metrics
from app.told import told
from app.window.keys import sheet, units_of

HANDS = (
    ("The wheel", "pull it up or down; its front or rear edge pulled sideways steers it"),
    ("The violet plate", "slide it: Shift keeps one way, Alt is slow; click it and type how far"),
    ("The ruler", "drag the tag, click a mark, scroll for the steps of Up and Down"),
    ("A heading", "click it to choose another figure"),
    ("Empty space", "drag to turn, right-drag to slide, scroll to come nearer"),
    ("The chalk ring", "drag to turn only; double-click a word to square up"),
    ("A part", "click to select it; O shows only that one, H hides it"),
)
DESCRIBING = (
    ("A dot", "a point: pull it, or click it and type"),
    ("A square", "a scan, or a box or plate with what is bolted to it: not that with Ctrl"),
    ("Edge or face", "of a box, plate, tower, gusset or arch: pull it its own way"),
    ("Corner", "of a plate or the tower: pull it in its plane; of a box any way"),
    (
        "Any of them",
        "stops level with neighbours, but for Alt; type 12 or x −3 while you hold it, or x alone "
        "to keep to that axis",
    ),
)
CAUTIONS = (
    "Support the car on stands before you compress the spring or let the wheel hang.",
    "Clearances are of rigid parts: tyre, bushes and sheet all give. Leave room for it.",
    "Nothing here sizes a weld, a tower or a bolt: that, and approval, is for a qualified "
    "engineer and your local rules.",
)
WIDE, HIGH = 1120, 708  # px at scale 1


@told
class Help(QWidget):
    """A sheet over the window; Esc or a click puts it away."""

    def __init__(self, theme: Theme, parent: QWidget, document: Document) -> None:
        super().__init__(parent)
        self.theme, self.document = theme, document
        self.setAccessibleName("What the hands and keys do")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.hide()

    def toggle(self) -> None:
        """Show it, or put it away."""
        if self.isVisible():
            self.hide()
            return
        rows = (*HANDS, *DESCRIBING, *sheet(units_of(self.document)))
        said = [*(f"{name}: {text}" for name, text in rows), *CAUTIONS]
        self.setAccessibleDescription(". ".join(text.rstrip(".") for text in said))
        parent = self.parentWidget()
        if parent is not None:
            self.setGeometry(parent.rect())
        self.raise_()
        self.show()
        self.setFocus()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Escape, Qt.Key.Key_F1, Qt.Key.Key_Return):
            self.hide()
        else:
            event.ignore()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.hide()

    def paintEvent(self, event: QPaintEvent) -> None:
        s, p = self.theme.scale, self.theme.palette
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        veil = QColor(p.stage[1])
        veil.setAlpha(190)
        painter.fillRect(self.rect(), veil)
        wide, high = WIDE * s, HIGH * s
        small = min(1.0, (self.width() - 40) / wide, (self.height() - 40) / high)
        painter.translate(self.width() / 2, self.height() / 2)
        painter.scale(small, small)  # in a small window all of it, smaller
        box = QRectF(-wide / 2, -high / 2, wide, high)
        painter.setPen(QPen(QColor(p.ink3), 1.6))
        painter.setBrush(QColor(p.sheet))
        painter.drawRoundedRect(box, 18 * s, 18 * s)
        half = box.width() / 2
        left = QRectF(box.x() + 28 * s, box.y() + 22 * s, half - 48 * s, box.height())
        right = left.translated(half, 0)
        y = self._part(painter, left, "Hands", HANDS, 120 * s)
        below = left.adjusted(0, y + 14 * s - left.y(), 0, 0)
        y = self._part(painter, below, "Hands while describing", DESCRIBING, 120 * s)
        self._cautions(painter, left, y + 14 * s)
        self._part(painter, right, "Keys", sheet(units_of(self.document)), 160 * s)
        painter.end()

    def _title(self, painter: QPainter, x: float, y: float, text: str) -> float:
        s, p = self.theme.scale, self.theme.palette
        painter.setPen(QColor(p.ink))
        painter.setFont(font(22 * s, 600))
        painter.drawText(QRectF(x, y, 400 * s, 30 * s), Qt.AlignmentFlag.AlignVCenter, text)
        return y + 36 * s

    def _part(
        self,
        painter: QPainter,
        box: QRectF,
        title: str,
        rows: tuple[tuple[str, str], ...],
        indent: float,
    ) -> float:
        s, p = self.theme.scale, self.theme.palette
        y = self._title(painter, box.x(), box.y(), title)
        for name, text in rows:
            painter.setPen(QColor(p.ink))
            painter.setFont(font(15 * s, 600))
            painter.drawText(QRectF(box.x(), y, indent, 22 * s), 0, name)
            y += self._words(painter, text, box.x() + indent, y, box.width() - indent) + 5 * s
        return y

    def _cautions(self, painter: QPainter, box: QRectF, y: float) -> None:
        y = self._title(painter, box.x(), y, "Mind")
        for text in CAUTIONS:
            y += self._words(painter, text, box.x(), y, box.width()) + 7 * self.theme.scale

    def _words(self, painter: QPainter, text: str, x: float, y: float, wide: float) -> float:
        """Wrapped words; the height they took."""
        s, p = self.theme.scale, self.theme.palette
        painter.setPen(QColor(p.ink2))
        painter.setFont(font(15 * s, 400, False))
        wrap = Qt.TextFlag.TextWordWrap
        room = metrics(15 * s, 400, False).boundingRect(QRectF(x, y, wide, 900), wrap, text)
        painter.drawText(QRectF(x, y, wide, room.height() + 4), wrap, text)
        return room.height()
