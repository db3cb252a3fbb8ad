"""The hold on a bracket, or a corner, edge or face of a panel, while the corner is described."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING

import msgspec
import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, Qt

from app.hand.amounts import moved_words
from app.hand.carry import Carry
from app.hand.grips import Grip
from app.hand.holder import Holder
from app.hand.sliding import nearest_on_line
from app.hand.snapping import Neighbours, neighbours, snapped_in_plane, snapped_move, staying
from app.look import numbers
from app.stage.pick import Hit
from app.stage.view import Stage
from kinematics.errors import ClearstrokeError, EntryError
from kinematics.project.model import Project

if TYPE_CHECKING:
    from app.document.document import Document

Array = NDArray[np.float64]
EDGE_ON = 0.15  # sine of the angle under which a plane is seen too flat to point into it
PROBE = np.array([0.011, 0.007, 0.005])  # mm
LONG = 26  # letters of a name from which on it stands on a line of its own
PLAIN = Qt.KeyboardModifier.NoModifier


class PullGrip(Carry):
    """An edge or face pulled its own way, a corner in its plane, a bracket in the picture's.

    One step of undo; it snaps to its neighbours. Shift keeps a bracket or corner to one axis; Alt
    slows to a tenth and does not snap; with Ctrl a bracket leaves what is bolted to it where it is.
    """

    kind = "grip"

    def __init__(
        self,
        stage: Stage,
        document: Document,
        grip: Grip,
        hit: Hit | None,
        at: QPointF,
        hands: Holder,
    ) -> None:
        super().__init__(stage, document, f"the {grip.name}", at, hands)
        self.grip, self.entry = grip, grip.entry
        self.point = grip.line[0] if hit is None else hit.point
        if grip.spot is not None:
            self.point = grip.spot
        self.beside = self._staying()
        hands.ghost.take(grip.line, grip.line.mean(axis=0) if grip.spot is None else self.point)

    def _staying(self) -> Neighbours:
        """The neighbours that don't go along, which a very small pull tells."""
        grip, little = self.grip, PROBE
        if grip.along is not None:
            little = float(np.linalg.norm(PROBE)) * grip.along
        elif grip.normal is not None:
            little = PROBE - (PROBE @ grip.normal) * grip.normal
        for move in (little, -little):
            with suppress(ClearstrokeError):
                return staying(self.project, grip.moved(self.project, move))
        return neighbours(self.project)

    def step(self, at: QPointF) -> Array:
        """What the hand moved since it was last seen, mm."""
        along, normal, stage = self.grip.along, self.grip.normal, self.stage
        if along is not None:
            here, there = (
                nearest_on_line(self.point, along, *stage.sight(p)) for p in (at, self.last)
            )
            return np.asarray((here - there) * along)
        free = super().step(at)
        if normal is None:
            return free
        sights = [stage.sight(p) for p in (at, self.last)]
        if min(abs(float(way @ normal)) for _, way in sights) < EDGE_ON:
            return np.asarray(free - (free @ normal) * normal)
        met = [start + way * float(((self.point - start) @ normal) / (way @ normal))
               for start, way in sights]  # fmt: skip
        return np.asarray(met[0] - met[1])

    def kept_to(self, modifiers: Qt.KeyboardModifier) -> Array:
        """To its own way, its plane, one axis with Shift; level with neighbours but for Alt."""
        move, along, normal = self.by, self.grip.along, self.grip.normal
        slow = bool(modifiers & Qt.KeyboardModifier.AltModifier)
        if along is None and self.axis is not None:
            move = self._along_one_axis(move, self.axis)
        elif along is None and modifiers & Qt.KeyboardModifier.ShiftModifier:
            move = self._along_one_axis(move)
        if along is not None and np.count_nonzero(np.abs(along) > 1e-9) > 1:
            return np.asarray(round(float(move @ along), 1) * along)  # slanting: nothing to snap to
        if slow:
            return np.round(move, 1) if normal is None else move
        if normal is not None:
            return snapped_in_plane(move, self.grip.at[0], self.beside.values, normal)
        return snapped_move(move, self.grip.at, self.beside.values)

    def _along_one_axis(self, move: Array, axis: int | None = None) -> Array:
        """What of a move goes along an axis, or what of that lies in the plane: the most it can."""
        ways = np.eye(3) if axis is None else np.eye(3)[[axis]]
        if self.grip.normal is not None:
            ways = ways - np.outer(ways @ self.grip.normal, self.grip.normal)
            long = np.linalg.norm(ways, axis=1)
            ways = ways[long > 0.2] / long[long > 0.2, None]
        if not len(ways):
            return np.zeros(3)
        best = ways[int(np.argmax(np.abs(ways @ move)))]
        return np.asarray((move @ best) * best)

    def apply(self, modifiers: Qt.KeyboardModifier = PLAIN) -> None:
        """The part as it would be there; what can't be is said."""
        try:
            self.document.drag(self._moved(self.shown, modifiers))
        except ClearstrokeError as error:
            self.document.said.emit(str(error))
        now = self.document.project or self.project
        self.hands.points.grip = replace(self.grip, line=self.grip.now(now))
        self.hands.ghost.end = self.hands.ghost.start + self.shown

    def _moved(self, move: Array, modifiers: Qt.KeyboardModifier) -> Project:
        made = self.grip.moved(self.project, move)
        if self.grip.takes and modifiers & Qt.KeyboardModifier.ControlModifier:
            made = msgspec.structs.replace(made, points=self.project.points)
        return made

    def own_way(self) -> Array | None:
        """An edge's or face's."""
        return self.grip.along

    def allowed(self, move: Array) -> None:
        """Along its way or in its plane only."""
        along, normal = self.grip.along, self.grip.normal
        if along is not None and np.linalg.norm(move - (move @ along) * along) > 1e-6:
            raise EntryError(f"The {self.grip.name} only goes square to itself: type the amount.")
        if normal is not None and abs(float(move @ normal)) > 1e-6:
            raise EntryError(f"The {self.grip.name} stays in its plane.")

    def rows(self) -> list[tuple[str, str]]:
        """What it is, how far it was moved, what it is level with and what goes along."""
        grip, units = self.grip, self.project.units
        moved = moved_words(self.shown, self.out, units)
        if grip.along is not None:
            moved = f"{numbers.length(float(self.shown @ grip.along), units, sign=True)} {units}"
        rows = [(grip.name, moved)]
        if len(grip.name) > LONG:
            rows = [(grip.name, ""), ("moved", moved)]
        if grip.spot is not None:
            at = ", ".join(numbers.length(float(v), units) for v in grip.spot + self.shown)
            rows.append(("stands at", f"{at} {units}"))
        if words := self._level():
            rows.append(("level with", words))
        return [*rows, ("goes along", ", ".join(grip.takes))] if grip.takes else rows

    def _level(self) -> str:
        found = [
            self.beside.level(place + self.shown, int(k))
            for k in np.flatnonzero(np.abs(self.shown) > 0.05)
            for place in self.grip.at
        ]
        return ", ".join(dict.fromkeys(word for word in found if word))

    def drop(self) -> None:
        """One undo step."""
        self.document.finish(f"move {self.name}")
