"""Something of the project in the hand: carried by the pointer, or by so much as is typed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QKeyEvent

from app.hand.amounts import AXES, moved_words, read_move
from app.hand.holder import Holder
from app.stage.view import Stage
from kinematics.errors import ClearstrokeError

if TYPE_CHECKING:
    from app.document.document import Document

Array = NDArray[np.float64]
HINT = ("or type", "12, 1/2 in, x −3")


class Carry:
    """One hold of what is carried: a step of undo. A subclass says how it follows, and what it is.

    ``by`` is what the hand moved (3,), mm; ``shown`` what of that is kept to axes and neighbours.
    """

    cursor = Qt.CursorShape.ClosedHandCursor
    kind = ""  # what the card beside the hand is told
    asks = "by"
    entry: tuple[str | int, ...] = ()  # where it is typed as coordinates

    def __init__(
        self, stage: Stage, document: Document, name: str, at: QPointF, hands: Holder
    ) -> None:
        assert document.project is not None
        self.stage, self.document, self.name, self.hands = stage, document, name, hands
        self.project = document.project
        self.out = 1.0 if self.project.side == "left" else -1.0
        self.by, self.shown = np.zeros(3), np.zeros(3)
        self.axis: int | None = None  # the one of the car's that its letter keeps it to
        self.last = QPointF(at)
        document.begin()

    # --- what a subclass says -------------------------------------------------------------

    def step(self, at: QPointF) -> Array:
        """What the hand moved since ``last``, mm: in the plane of the picture."""
        d = at - self.last
        axes = self.stage.camera.axes
        return np.asarray((d.x() * axes[0] - d.y() * axes[1]) * self.stage.mm_per_px)

    def kept_to(self, modifiers: Qt.KeyboardModifier) -> Array:
        """What is shown of the move: one axis with Shift, or with that axis's letter."""
        keep = self.axis
        if keep is None and modifiers & Qt.KeyboardModifier.ShiftModifier:
            keep = int(np.argmax(np.abs(self.by)))
        return self.by if keep is None else np.where(np.arange(3) == keep, self.by, 0.0)

    def apply(self, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        """The project with ``shown`` done to it, for the screen."""
        raise NotImplementedError

    def own_way(self) -> Array | None:
        """The one way (3,) it can go; None where it may go several."""
        return None

    def allowed(self, move: Array) -> None:
        """Raise EntryError if it can't go that way."""

    def rows(self) -> list[tuple[str, str]]:
        """What it is and how far it has been moved."""
        return [(self.name, moved_words(self.shown, self.out, self.project.units))]

    # --- by hand --------------------------------------------------------------------------

    def move(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Follow the pointer; Alt slows to a tenth."""
        slow = bool(modifiers & Qt.KeyboardModifier.AltModifier)
        self.by = self.by + self.step(at) * (0.1 if slow else 1.0)
        self.last = QPointF(at)
        self.shown = self.kept_to(modifiers)
        self.show(modifiers)

    def show(self, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        """Tell how far, and show it."""
        self.hands.tell(self.kind, self.rows(), self.last)
        self.apply(modifiers)

    def drop(self) -> None:
        """One undo step."""
        self.document.finish(f"move {self.name}")

    def cancel(self) -> None:
        """Back to where it was."""
        self.document.revert()

    # --- by an amount ---------------------------------------------------------------------

    def way(self) -> Array | None:
        """Which way a bare amount goes: its own, or the one the hand took. (3,)"""
        own, far = self.own_way(), float(np.linalg.norm(self.shown))
        if own is not None:
            return own
        return self.shown / far if far > 0.05 else None

    def amount(self, text: str, along: Array | None) -> None:
        """Moved by exactly what is typed. Raises EntryError as `read_move`."""
        move = read_move(text, self.project.units, along)
        self.allowed(move)
        self.shown = move
        self.show()


class Amountable(Protocol):
    """What can be moved by a typed amount."""

    kind: str
    asks: str

    def way(self) -> Array | None: ...
    def amount(self, text: str, along: Array | None) -> None: ...
    def drop(self) -> None: ...
    def cancel(self) -> None: ...


class Typing:
    """An amount being typed for what is held: shown as far as it can be read, taken by Enter."""

    def __init__(self, held: Amountable) -> None:
        self.held, self.text = held, ""
        self.along = held.way()

    @property
    def axis(self) -> int | None:
        """The axis the hand is kept to while only its letter is typed."""
        letter = self.text.strip().lower()
        return AXES.index(letter) if len(letter) == 1 and letter in AXES else None

    @property
    def row(self) -> tuple[str, str]:
        """What is typed, for the card beside the hand."""
        return self.held.asks, f"{self.text}▏"

    def take(self, event: QKeyEvent) -> str:
        """One more key: '' to go on, else the sentence that says why it can't be taken, or 'done'.

        What can be read is shown at once.
        """
        key = Qt.Key(event.key())
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            return "done" if self.axis is not None else self._tried() or "done"
        if key == Qt.Key.Key_Backspace:
            self.text = self.text[:-1]
        elif event.text().isprintable():
            self.text += event.text()
        if isinstance(self.held, Carry):
            self.held.axis = self.axis
        if self.axis is None:
            self._tried()
        return ""

    def _tried(self) -> str:
        """Show what is typed; why not, if it can't be read."""
        try:
            self.held.amount(self.text, self.along)
        except ClearstrokeError as error:
            return str(error)
        return ""
