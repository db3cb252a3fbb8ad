"""What a hand has hold of, from press to release: the wheel, the needle, the view."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QObject, QPointF, Qt, QTimer, Signal

from app.document import ways
from app.document.document import Document
from app.hand.holder import Holder
from app.hand.needle import Needle
from app.look import numbers
from app.stage.camera import Camera
from app.stage.pick import Hit
from app.stage.view import Stage
from kinematics.errors import EntryError
from kinematics.units import read_length

Array = NDArray[np.float64]
OVERSHOOT = 6.0  # mm the level follows a hand that pulls past a limit, a quarter of its way


class Drag(Protocol):
    """One hold, from press to release."""

    cursor: Qt.CursorShape

    def move(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None: ...
    def drop(self) -> None: ...
    def cancel(self) -> None: ...


@dataclass
class Track:
    """A held point's way over the screen: values (n,) and the places (n, 2) it passes."""

    values: Array
    spots: Array

    def at(self, x: float, y: float) -> tuple[float, float]:
        """The value whose place is level with the pointer, and how many more it is pulled past.

        Level across the way's longer direction: a wheel pulled up stands as high as the hand,
        whatever the hand does sideways.
        """
        chord = self.spots[-1] - self.spots[0]
        axis = int(np.argmax(np.abs(chord)))
        sign = 1.0 if chord[axis] >= 0 else -1.0
        along = np.maximum.accumulate(sign * self.spots[:, axis])
        s = sign * (x, y)[axis]
        per = (self.values[-1] - self.values[0]) / max(float(np.ptp(along)), 1e-9)
        if s < along[0]:
            return float(self.values[0]), float((s - along[0]) * per)
        if s > along[-1]:
            return float(self.values[-1]), float((s - along[-1]) * per)
        return float(np.interp(s, along, self.values)), 0.0


class Pull:
    """The wheel pulled through travel: the point held stays under the pointer."""

    cursor = Qt.CursorShape.SizeVerCursor
    kind = "pull"
    asks = "travel to"

    def __init__(
        self, stage: Stage, document: Document, hit: Hit, at: QPointF, hands: Holder
    ) -> None:
        self.document, self.hands, self.stage = document, hands, stage
        self.start = self._now()
        values, points = self._way(hit)
        spots = stage.spots(points)
        good = np.isfinite(spots).all(axis=1)
        values, spots = values[good], spots[good]
        size = np.hypot(*(spots[-1] - spots[0])) if len(spots) > 1 else 0.0
        if len(spots) < 2 or size * stage.mm_per_px < 0.3 * abs(values[-1] - values[0]):
            values, spots = self._plain(at)
        # Start exactly where the hand is: the grid may stand a little off it.
        here, _ = Track(values, spots).at(at.x(), at.y())
        self.track = Track(values, spots)
        self.offset = self.start - here

    def _now(self) -> float:
        return self.document.travel

    def _way(self, hit: Hit) -> tuple[Array, Array]:
        return ways.way_by_travel(self.document.study, hit, self.document.rack)

    def _limits(self) -> tuple[float, float]:
        return self.document.limits

    def _plain(self, at: QPointF) -> tuple[Array, Array]:
        """Seen along its way a point doesn't move on the screen: then up is up."""
        low, high = self._limits()
        values = np.array([low, high])
        rise = -(values - self.start) / self.stage.mm_per_px
        return values, np.stack([np.full(2, at.x()), at.y() + rise], axis=1)

    def _set(self, value: float) -> None:
        self.document.set_travel(value)

    def move(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Travel to where the held point is under the pointer."""
        value, beyond = self.track.at(at.x(), at.y())
        value += self.offset
        low, high = self._limits()
        beyond += value - min(max(value, low), high)
        self.hands.tell(self.kind, [], at)
        self._set(min(max(value, low), high))
        self._beyond(beyond)

    def _beyond(self, beyond: float) -> None:
        self.hands.past.emit(soft(beyond))

    def way(self) -> Array | None:
        """Travel has but one way."""
        return None

    def amount(self, text: str, along: Array | None) -> None:
        """To the travel typed, from set-up height; as far as it goes. Raises EntryError."""
        project = self.document.project
        if project is None:
            return
        value = read_length(text, project.units)
        low, high = self._limits()
        self._set(min(max(value, low), high))
        if not low - 0.05 <= value <= high + 0.05:
            ends = " to ".join(numbers.travel(end, project.units) for end in (low, high))
            raise EntryError(f"It goes from {ends} {project.units}, no farther.")

    def drop(self) -> None:
        """Spring back from past the limit."""
        self.hands.past.emit(0.0)

    def cancel(self) -> None:
        """Back to where the hand took hold."""
        self._set(self.start)
        self.hands.past.emit(0.0)


class Steer(Pull):
    """The wheel held at its front or rear quarter and turned."""

    cursor = Qt.CursorShape.SizeHorCursor
    kind = "steer"
    asks = "rack to"

    def _now(self) -> float:
        return self.document.rack

    def _way(self, hit: Hit) -> tuple[Array, Array]:
        return ways.way_by_rack(self.document.study, hit, self.document.travel)

    def _limits(self) -> tuple[float, float]:
        return self.document.rack_limits

    def _plain(self, at: QPointF) -> tuple[Array, Array]:
        low, high = self._limits()
        values = np.array([low, high])
        shift = (values - self.start) / self.stage.mm_per_px
        return values, np.stack([at.x() + shift, np.full(2, at.y())], axis=1)

    def _set(self, value: float) -> None:
        self.document.set_rack(value)

    def _beyond(self, beyond: float) -> None:
        pass


class PullOrSteer:
    """The wheel held at its front or rear edge: pulled up or down it travels, sideways it steers.

    ``makers`` take hold for either where the hand first was; which, its first movement says.
    """

    cursor = Qt.CursorShape.SizeAllCursor
    kind, asks = Pull.kind, Pull.asks

    def __init__(
        self,
        stage: Stage,
        at: QPointF,
        pull: Callable[[], Pull],
        steer: Callable[[], Steer],
    ) -> None:
        self.stage, self.at, self.makers = stage, at, (pull, steer)
        self.taken: Pull | None = None

    def _take(self, steers: bool) -> Pull:
        if self.taken is None:
            self.taken = self.makers[1 if steers else 0]()
            self.kind, self.asks = self.taken.kind, self.taken.asks
            self.stage.setCursor(self.taken.cursor)
        return self.taken

    def move(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """As the first movement says."""
        d = at - self.at
        self._take(abs(d.x()) > abs(d.y())).move(at, modifiers)

    def drop(self) -> None:
        """Let go."""
        if self.taken is not None:
            self.taken.drop()

    def cancel(self) -> None:
        """Back to where the hand took hold."""
        if self.taken is not None:
            self.taken.cancel()

    def way(self) -> Array | None:
        """Travel and steer have but one way."""
        return None

    def amount(self, text: str, along: Array | None) -> None:
        """To the travel typed, or the rack once it steers."""
        self._take(False).amount(text, along)


class SteerRing(Steer):
    """The needle pulled round the ring."""

    def __init__(
        self,
        stage: Stage,
        document: Document,
        needle: Needle | None,
        at: QPointF,
        hands: Holder,
    ) -> None:
        self.document, self.hands, self.stage = document, hands, stage
        self.start = document.rack
        found = ways.steer_by_rack(document.study, document.travel)
        assert needle is not None
        assert found is not None
        racks, angles = found
        fine = np.linspace(racks[0], racks[-1], 41)
        angles = np.interp(fine, racks, angles)
        points = np.array([needle.point(stage, float(a)) for a in angles])
        self.track = Track(fine, stage.spots(points))
        self.offset = self.start - self.track.at(at.x(), at.y())[0]


def soft(beyond: float) -> float:
    """How far the level follows past a limit: a quarter of the way, 6 mm at most."""
    return float(np.sign(beyond) * min(OVERSHOOT, abs(beyond) / 4))


class TurnView:
    """Turn and tilt; on the ring turn only."""

    cursor = Qt.CursorShape.ClosedHandCursor

    def __init__(self, stage: Stage, at: QPointF, level: bool = False) -> None:
        self.stage, self.at, self.level = stage, at, level
        self.camera: Camera = stage.camera

    def move(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Half the stage's width turns by 90 degrees."""
        d = at - self.at
        per = np.pi / max(1, self.stage.width())
        tilt = 0.0 if self.level else d.y() * per
        self.stage.look(self.camera.turned(-d.x() * per, tilt))

    def drop(self) -> None:
        """The view stays."""

    def cancel(self) -> None:
        """The view as it was."""
        self.stage.look(self.camera)


class SlideView(TurnView):
    """Slide the view in its own plane."""

    cursor = Qt.CursorShape.SizeAllCursor

    def move(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """What is under the pointer stays under it."""
        d = at - self.at
        per = self.stage.mm_per_px
        self.stage.look(self.camera.slid(-d.x() * per, d.y() * per))


class SpringBack(QObject):
    """Lets the level ease back to the limit after the hand let go."""

    moved = Signal(float)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.past = 0.0
        self.timer = QTimer(self, interval=15)
        self.timer.timeout.connect(self._step)

    def set(self, past: float) -> None:
        """Follow the hand at once; ease back over 120 ms when it lets go."""
        if past != 0.0:
            self.timer.stop()
            self.past = past
            self.moved.emit(past)
        elif self.past != 0.0:
            self.timer.start()

    def _step(self) -> None:
        self.past *= 0.62
        if abs(self.past) < 0.15:
            self.past = 0.0
            self.timer.stop()
        self.moved.emit(self.past)
