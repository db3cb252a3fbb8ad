"""Fields to type in: amounts with arithmetic and units, numbers, words; wrong ones say why."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QKeyEvent,
    QKeySequence,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QWheelEvent,
)
from PySide6.QtWidgets import QCheckBox, QComboBox, QLineEdit, QWidget

from app.document.tree import Entry, Path, in_words
from app.look.theme import Theme
from app.look.type import font
from app.told import told
from kinematics.errors import ClearstrokeError, EntryError
from kinematics.units import (
    Units,
    read_degrees,
    read_number,
    read_quantity,
    show_number,
    show_typed,
    unit_of,
)

if TYPE_CHECKING:
    from app.document.document import Document

SIZE = 15
HIGH = 29
STEPPED = ("length", "number", "degrees", "count")


@told
class Field(QLineEdit):
    """One entry. ``put`` takes the new value and raises ClearstrokeError if it can't stand."""

    wrong = Signal(str)  # the sentence, or empty when it is right again
    entered = Signal()
    held = Signal()  # the focus came here

    def __init__(
        self, theme: Theme, entry: Entry, units: Units, put: Callable[[Any], object]
    ) -> None:
        super().__init__()
        self.theme, self.entry, self.units, self.put = theme, entry, units, put
        self.value: Any = None
        self.error = ""
        self._clicked_in = self._taking = False
        self.bare = False  # shows its figure without the unit: a heading says it
        self.framed = True  # else only while the hand is in it
        self.setAccessibleName(" ".join(str(step) for step in entry.path))
        self.setToolTip(entry.help)
        if entry.optional:
            self.setPlaceholderText("not given")
        self.setAlignment(
            Qt.AlignmentFlag.AlignLeft if self._worded else Qt.AlignmentFlag.AlignRight
        )
        self.editingFinished.connect(self.take)
        theme.changed.connect(self.dress)
        self.dress()

    @property
    def _worded(self) -> bool:
        return self.entry.kind not in STEPPED

    def dress(self) -> None:
        """Colours and type of the theme; red while what is typed can't stand."""
        s, p = self.theme.scale, self.theme.palette
        self.setFont(font(SIZE * s, 500))
        frame = p.hair if self.framed else "transparent"
        edge, ground = (p.touch, p.touch_wash) if self.error else (frame, p.sheet)
        inset = 6 if self.framed else 1
        self.setStyleSheet(
            f"QLineEdit {{ background: {ground}; color: {p.ink}; border: 1.5px solid {edge};"
            f" border-radius: 6px; padding: 2px {inset}px; selection-background-color: {p.dye};"
            f" selection-color: {p.on_dye}; }}"
            f"QLineEdit:hover {{ border-color: {p.touch if self.error else p.ink3}; }}"
            f"QLineEdit:focus {{ border-color: {p.touch if self.error else p.dye}; }}"
            f"QLineEdit:disabled {{ color: {p.ink3}; border-color: transparent; }}"
        )
        self.setFixedHeight(round(HIGH * s))

    def show_value(self, value: Any) -> None:
        """Show what the project holds, unless something wrong is being put right here."""
        self.value = value
        if not self.error and not (self.hasFocus() and self.isModified()):
            text = self.written(value)
            if text != self.text():
                self.setText(text)
                if self._worded:
                    self.setCursorPosition(0)  # long words are shown from their beginning

    def written(self, value: Any) -> str:
        """The value as it is read back unchanged."""
        if value is None:
            return ""
        kind = self.entry.kind
        if quantity := self.entry.quantity:
            return show_typed(float(value), quantity, self.units, self.bare)
        if kind == "degrees":
            return f"{_trimmed(float(value), 3)}°"
        if kind in ("number", "count"):
            return _trimmed(float(value), 4)
        return str(value)

    def read(self, text: str) -> Any:
        """The value typed; raises ClearstrokeError in one sentence."""
        text = text.strip()
        kind = self.entry.kind
        if not text and self.entry.optional:
            return None
        if quantity := self.entry.quantity:
            return read_quantity(text, quantity, self.units)
        if kind == "degrees":
            return read_degrees(text)
        if kind == "number":
            return read_number(text)
        if kind == "count":
            number = read_number(text)
            if number != round(number):
                raise EntryError(f'"{text}" is not a whole number.')
            return round(number)
        return text

    def take(self) -> None:
        """What is typed becomes the project's; if it can't, it stays, red, with the reason."""
        if self._taking:
            return  # asked for once more by what it brought about
        self._taking = True
        try:
            self._take()
        finally:
            self._taking = False

    def _take(self) -> None:
        text = self.text()
        if text == self.written(self.value):
            self._say("")
            return
        try:
            self.put(self.read(text))
        except ClearstrokeError as error:
            self._say(in_words(error, self.entry.path))
            return
        self._say("")
        self.setModified(False)
        self.setText(self.written(self.value))
        self.entered.emit()

    def show_wrong(self, text: str, error: str) -> None:
        """Show again what was typed and can't stand."""
        self.setText(text)
        self._say(error)

    def settle(self) -> None:
        """What was wrong here stands now: show what the project holds."""
        self._say("")
        self.setModified(False)
        self.setText(self.written(self.value))

    def _say(self, error: str) -> None:
        if error != self.error:
            self.error = error
            self.dress()
            self.setToolTip(error or self.entry.help)
            self.setAccessibleDescription(error or self.entry.help)
        self.wrong.emit(error)

    def event(self, event: QEvent) -> bool:
        """With nothing typed here, undo and redo are the window's: it takes the last entry back."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            steps = (QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo)
            if not self.isModified() and any(event.matches(step) for step in steps):
                event.ignore()
                return False
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = Qt.Key(event.key())
        if key == Qt.Key.Key_Escape:
            self.give_up()
        elif key in (Qt.Key.Key_Up, Qt.Key.Key_Down) and not self._worded:
            self.nudge(1 if key == Qt.Key.Key_Up else -1, event.modifiers())
        else:
            super().keyPressEvent(event)
            if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not self.error:
                self.selectAll()

    def give_up(self) -> None:
        """Back to what the project holds; from there the keys go back to the window."""
        if not self.error and not self.isModified():
            self.clearFocus()
            return
        self._say("")
        self.setText(self.written(self.value))
        self.setModified(False)
        self.selectAll()

    def nudge(self, way: int, mods: Qt.KeyboardModifier) -> None:
        """Step by one of the unit shown, a sixteenth of an inch; Shift by ten, Alt by a tenth."""
        if not isinstance(self.value, int | float):
            return
        step = 10.0 if mods & Qt.KeyboardModifier.ShiftModifier else 1.0
        if mods & Qt.KeyboardModifier.AltModifier and self.entry.kind != "count":
            step = 0.1
        if quantity := self.entry.quantity:
            step *= unit_of(quantity, self.units).size
        if self.entry.kind == "length" and self.units == "in":
            step /= 16
        self.setText(self.written(round(self.value + way * step, 9)))
        self.take()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.selectAll()
        self._clicked_in = event.reason() == Qt.FocusReason.MouseFocusReason
        self.wrong.emit(self.error)
        self.held.emit()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """The click that brings the hand in takes all of it, so that typing replaces it."""
        super().mouseReleaseEvent(event)
        if self._clicked_in and not self.hasSelectedText():
            self.selectAll()
        self._clicked_in = False


@told
class Chooser(QComboBox):
    """A choice in our own look. Scrolling passes over it: the page moves, nothing is changed."""

    held = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.theme = theme
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        theme.changed.connect(self.dress)
        self.dress()

    def dress(self) -> None:
        """Type of the theme."""
        self.setFont(font(SIZE * self.theme.scale, 500, False))
        self.setFixedHeight(round(HIGH * self.theme.scale))

    def offer(self, words: tuple[str, ...] | list[str], now: str) -> None:
        """These words, one of them chosen; nothing is told."""
        self.blockSignals(True)
        if [self.itemText(i) for i in range(self.count())] != list(words):
            self.clear()
            self.addItems(list(words))
        self.setCurrentIndex(self.findText(now))
        self.blockSignals(False)

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.held.emit()

    def paintEvent(self, event: QPaintEvent) -> None:
        s, p = self.theme.scale, self.theme.palette
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        lit = self.hasFocus() or (self.underMouse() and self.isEnabled())
        painter.setPen(QPen(QColor(p.dye if self.hasFocus() else p.hair), 1.5))
        painter.setBrush(QColor(p.sheet))
        box = QRectF(self.rect()).adjusted(0.75, 0.75, -0.75, -0.75)
        painter.drawRoundedRect(box, 6, 6)
        painter.setFont(self.font())
        painter.setPen(QColor(p.ink if self.isEnabled() else p.ink3))
        room = box.adjusted(8 * s, 0, -22 * s, 0)
        words = painter.fontMetrics().elidedText(
            self.currentText(), Qt.TextElideMode.ElideRight, int(room.width())
        )
        flags = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft
        painter.drawText(room, flags, words)
        pen = QPen(QColor(p.dye if lit else p.ink2), 1.7 * s)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        painter.setPen(pen)
        x, y = box.right() - 13 * s, box.center().y()
        tips = ((-4, -2), (0, 2), (4, -2))
        painter.drawPolyline([QPointF(x + a * s, y + b * s) for a, b in tips])
        painter.end()


@told
class Tick(QCheckBox):
    """Yes or no, with a mark of our own."""

    held = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.theme = theme
        self.setFixedSize(round(26 * theme.scale), round(26 * theme.scale))

    def hitButton(self, pos: object) -> bool:
        return True

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.held.emit()

    def paintEvent(self, event: QPaintEvent) -> None:
        s, p = self.theme.scale, self.theme.palette
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(4 * s, 4 * s, 18 * s, 18 * s)
        lit = self.hasFocus() or self.underMouse()
        painter.setPen(QPen(QColor(p.dye if lit else p.ink3), (2.4 if lit else 1.5) * s))
        painter.setBrush(QColor(p.sheet))
        painter.drawRoundedRect(box, 4 * s, 4 * s)
        if self.isChecked():
            pen = QPen(QColor(p.dye), 2.4 * s)
            pen.setCapStyle(Qt.PenCapStyle.RoundCap)
            pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
            painter.setPen(pen)
            tips = ((-4.5, 0.5), (-1.2, 4), (4.8, -4))
            at = box.center()
            painter.drawPolyline([at + QPointF(a * s, b * s) for a, b in tips])
        painter.end()


def stay_red(field: Field, document: Document) -> None:
    """What can't be taken stays with the document, and is shown again where it stands red."""
    recall(field, document, field.entry.path)
    field.wrong.connect(lambda error: document.mark(field.entry.path, field.text(), error))


def recall(field: Field, document: Document, path: Path) -> None:
    """Have a field stand for another entry, or for that of another project."""
    if path in document.red:
        field.show_wrong(*document.red[path])
    elif field.error:
        field.settle()


def wide(field: QWidget, pixels: float, theme: Theme) -> QWidget:
    """A field of fixed width."""
    field.setFixedWidth(round(pixels * theme.scale))
    return field


def _trimmed(value: float, decimals: int) -> str:
    text = show_number(value, decimals)
    return text.rstrip("0").rstrip(".") if "." in text else text
