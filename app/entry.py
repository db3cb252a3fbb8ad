"""Fields to type in: lengths with arithmetic and fractions, numbers, words; wrong ones say why."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QLineEdit, QWidget

from app.document.tree import Entry
from app.look.theme import Theme
from app.look.type import font
from kinematics.errors import ClearstrokeError
from kinematics.units import MM_PER_INCH, read_length, read_number, show_length, show_number

SIZE = 15


class Field(QLineEdit):
    """One entry. ``put`` takes the new value and raises ClearstrokeError if it can't stand."""

    wrong = Signal(str)  # the sentence, or empty when it is right again
    entered = Signal()

    def __init__(
        self, theme: Theme, entry: Entry, units: str, put: Callable[[Any], object]
    ) -> None:
        super().__init__()
        self.theme, self.entry, self.units, self.put = theme, entry, units, put
        self.value: Any = None
        self.error = ""
        self.setAccessibleName(" ".join(str(step) for step in entry.path))
        self.setToolTip(entry.help)
        if entry.optional:
            self.setPlaceholderText("not given")
        self.setAlignment(
            Qt.AlignmentFlag.AlignLeft
            if entry.kind in ("text", "choice")
            else Qt.AlignmentFlag.AlignRight
        )
        self.editingFinished.connect(self.take)
        theme.changed.connect(self.dress)
        self.dress()

    def dress(self) -> None:
        """Colours and type of the theme; red while what is typed can't stand."""
        s, p = self.theme.scale, self.theme.palette
        text = self.entry.kind in ("text", "choice")
        self.setFont(font(SIZE * s, 500, condensed=not text))
        edge = p.touch if self.error else p.hair
        self.setStyleSheet(
            f"QLineEdit {{ background: {p.sheet}; color: {p.ink}; border: 1.5px solid {edge};"
            f" border-radius: 6px; padding: 2px 6px; selection-background-color: {p.dye};"
            f" selection-color: {p.on_dye}; }}"
            f"QLineEdit:focus {{ border-color: {p.touch if self.error else p.dye}; }}"
        )
        self.setFixedHeight(round(29 * s))

    def show_value(self, value: Any) -> None:
        """Show what the project holds, unless something wrong is being put right here."""
        self.value = value
        if not self.error and not (self.hasFocus() and self.isModified()):
            self.setText(self.written(value))

    def written(self, value: Any) -> str:
        """The value as it is read back unchanged."""
        if value is None:
            return ""
        if self.entry.kind == "length":
            return show_length(float(value), self.units)  # type: ignore[arg-type]
        if self.entry.kind == "number":
            return show_number(float(value), 4).rstrip("0").rstrip(".")
        return str(value)

    def read(self, text: str) -> Any:
        """The value typed; raises ClearstrokeError in one sentence."""
        text = text.strip()
        if not text and self.entry.optional:
            return None
        if self.entry.kind == "length":
            return read_length(text, self.units)
        if self.entry.kind == "number":
            return read_number(text)
        return text

    def take(self) -> None:
        """What is typed becomes the project's; if it can't, it stays, red, with the reason."""
        text = self.text()
        if text == self.written(self.value):
            self._say("")
            return
        try:
            self.put(self.read(text))
        except ClearstrokeError as error:
            self._say(str(error).split("\n")[0])
            return
        self._say("")
        self.setModified(False)
        self.entered.emit()

    def _say(self, error: str) -> None:
        if error != self.error:
            self.error = error
            self.dress()
            self.setToolTip(error or self.entry.help)
        self.wrong.emit(error)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = Qt.Key(event.key())
        if key == Qt.Key.Key_Escape:
            self._say("")
            self.setText(self.written(self.value))
            self.setModified(False)
            return
        if key in (Qt.Key.Key_Up, Qt.Key.Key_Down) and self.entry.kind in ("length", "number"):
            self._nudge(1 if key == Qt.Key.Key_Up else -1, event.modifiers())
            return
        super().keyPressEvent(event)

    def _nudge(self, way: int, mods: Qt.KeyboardModifier) -> None:
        """Arrow keys step by one, with Shift by ten, with Alt by a tenth."""
        if not isinstance(self.value, int | float):
            return
        step = 10.0 if mods & Qt.KeyboardModifier.ShiftModifier else 1.0
        step = 0.1 if mods & Qt.KeyboardModifier.AltModifier else step
        if self.entry.kind == "length" and self.units == "in":
            step *= MM_PER_INCH / 16
        self.setText(self.written(round(self.value + way * step, 6)))
        self.take()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.selectAll()
        self.wrong.emit(self.error)


def wide(field: QWidget, pixels: float, theme: Theme) -> QWidget:
    """A field of fixed width."""
    field.setFixedWidth(round(pixels * theme.scale))
    return field
