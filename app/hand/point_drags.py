"""The hold on a point, while the corner is described."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgspec
import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, Qt

from app.hand.amounts import moved_words
from app.hand.carry import Carry
from app.hand.ghost import ring
from app.hand.holder import Holder
from app.hand.snapping import neighbours, snapped_move
from app.look import numbers
from app.stage.view import Stage
from kinematics.project.model import Project

if TYPE_CHECKING:
    from app.document.document import Document

Array = NDArray[np.float64]


class SlidePoint(Carry):
    """One point pulled in the plane of the picture; Shift keeps to one axis of the car.

    Its coordinates snap to those of other points and faces near by; with Alt they don't.
    """

    kind = "point"

    def __init__(
        self, stage: Stage, document: Document, name: str, at: QPointF, hands: Holder
    ) -> None:
        super().__init__(stage, document, name, at, hands)
        self.project = self.described()
        self.entry = ("points", name, 0)
        self.start = np.asarray(self.project.points[name], float)
        self.beside = neighbours(self.project, name)
        hands.ghost.take(ring(self.start, 7.0 * stage.mm_per_px, stage.camera.axes[:2]), self.start)

    def described(self) -> Project:
        """The project the point is of."""
        return self.project

    def kept_to(self, modifiers: Qt.KeyboardModifier) -> Array:
        """Level with its neighbours, but for Alt."""
        move = super().kept_to(modifiers)
        if modifiers & Qt.KeyboardModifier.AltModifier:
            return move
        return snapped_move(move, self.start[None], self.beside.values)

    def apply(self, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        """The project with the point there."""
        points = {**self.project.points, self.name: self._xyz()}
        self.hands.ghost.end = self.start + self.shown
        self.take(msgspec.structs.replace(self.project, points=points))

    def take(self, made: Project) -> None:
        """Show the project with the point moved."""
        self.document.drag(made)

    def _xyz(self) -> tuple[float, float, float]:
        x, y, z = (float(v) for v in np.round(self.start + self.shown, 4))
        return x, y, z

    def rows(self) -> list[tuple[str, str]]:
        """Its coordinates, how far it was moved, what it is level with."""
        unit = self.project.units
        told = ", ".join(numbers.length(v, unit) for v in self._xyz())
        rows = [(self.name, f"{told} {unit}"), ("moved", moved_words(self.shown, self.out, unit))]
        axes = np.flatnonzero(np.abs(self.shown) > 0.05)
        words = [self.beside.level(self.start + self.shown, int(k)) for k in axes]
        level = ", ".join(dict.fromkeys(word for word in words if word))
        return [*rows, ("level with", level)] if level else rows


class SlideBegun(SlidePoint):
    """A point of what can't stand yet pulled likewise: only what waits is changed."""

    def described(self) -> Project:
        """The corner with what waits."""
        self.before = self.document.waiting
        return self.document.described or self.project

    def take(self, made: Project) -> None:
        """What waits, with the point moved."""
        self.document.begin_on(made)

    def drop(self) -> None:
        """One undo step."""
        after, self.document.waiting = self.document.waiting, self.before
        super().drop()
        if after is not self.before:
            self.document.wait(after, f"move {self.name}")

    def cancel(self) -> None:
        """Back to where it was."""
        self.document.waiting = self.before
        super().cancel()
