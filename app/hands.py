"""What the hand does on the stage: pull the wheel, steer it, slide the mount, turn the view."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QObject, QPointF, Qt, QTimer, Signal
from PySide6.QtGui import QMouseEvent, QWheelEvent

from app import live
from app.document import Document
from app.needle import Needle
from app.points import Points, SlidePoint
from app.stage.camera import Camera
from app.stage.pick import Hit
from app.stage.scene import Piece
from app.stage.view import Stage

Array = NDArray[np.float64]
OVERSHOOT = 6.0  # mm the level follows a hand that pulls past a limit, a quarter of its way
NEAR_MOUNT = 15.0  # px about the mount's cross that take hold of it
ROUND = {"tyre", "wheel"}


class Drag(Protocol):
    """One hold, from press to release."""

    cursor: Qt.CursorShape

    def move(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None: ...
    def drop(self) -> None: ...
    def cancel(self) -> None: ...


class StageHands(QObject):
    """Decides what a press takes hold of, and keeps hold of it."""

    past = Signal(float)  # mm the hand pulls beyond a limit, shown on the ruler
    held = Signal(str, object)  # what is held, where the pointer is; empty when nothing
    hovered = Signal(str)
    picked = Signal(object)  # a Hit or None, on a click without a drag
    turned = Signal(str)  # double click on a floor word, or 'all'

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.drag: Drag | None = None
        self.measuring = False
        self.needle: Needle | None = None
        self.points = Points()
        self._start = QPointF()
        self._moved = False
        self._hit: Hit | None = None
        self._hover: str = ""

    # --- the stage's events -----------------------------------------------------------------------

    def press(self, stage: Stage, event: QMouseEvent) -> None:
        """Take hold of what is under the pointer."""
        at, mods = event.position(), event.modifiers()
        self._start, self._moved = at, False
        if event.button() in (Qt.MouseButton.RightButton, Qt.MouseButton.MiddleButton):
            self.drag = SlideView(stage, at)
            return
        if event.button() != Qt.MouseButton.LeftButton:
            return
        self._hit = stage.pick(at)
        self.drag = self._grasp(stage, at, mods)
        stage.held = True
        stage.setCursor(self.drag.cursor)

    def _grasp(self, stage: Stage, at: QPointF, mods: Qt.KeyboardModifier) -> Drag:
        document = self.document
        if self.measuring:
            return TurnView(stage, at)
        if self.points in stage.extras and (name := self.points.at(stage, at)):
            return SlidePoint(stage, document, name, at, self)
        if self._near_needle(stage, at):
            return SteerRing(stage, document, self.needle, at, self)
        if near_mount(stage, document, at) or (self._hit and self._hit.piece.dyed):
            return SlideMount(stage, document, at, self)
        hit = self._hit
        if hit is not None and hit.piece.moving and document.study is not None:
            wants = bool(mods & Qt.KeyboardModifier.ControlModifier) or at_edge(hit)
            if document.steered and wants and hit.piece.kind in ROUND:
                return Steer(stage, document, hit, at, self)
            return Pull(stage, document, hit, at, self)
        if hit is None and on_ring(stage, at):
            return TurnView(stage, at, level=True)
        return TurnView(stage, at)

    def move(self, stage: Stage, event: QMouseEvent) -> None:
        """Follow the pointer, or say what it is over."""
        at = event.position()
        if self.drag is None:
            self._hover_over(stage, at)
            return
        if (at - self._start).manhattanLength() > 3:
            self._moved = True
        if self._moved:
            self.drag.move(at, event.modifiers())

    def release(self, stage: Stage, event: QMouseEvent) -> None:
        """Let go; a press that did not move is a click."""
        drag, self.drag = self.drag, None
        stage.held = False
        if drag is None:
            return
        if self._moved:
            drag.drop()
        else:
            drag.cancel()
            if event.button() == Qt.MouseButton.LeftButton:
                self.picked.emit(self._hit)
        self.held.emit("", event.position())
        stage.setCursor(Qt.CursorShape.ArrowCursor)
        self._hover_over(stage, event.position())

    def escape(self) -> bool:
        """Put back what is held; whether anything was."""
        if self.drag is None:
            return False
        self.drag.cancel()
        self.drag = None
        self.held.emit("", QPointF())
        return True

    def double(self, stage: Stage, event: QMouseEvent) -> None:
        """Square up to a floor word, or show everything."""
        if self.drag is not None:
            self.release(stage, event)
        if stage.pick(event.position()) is not None:
            return
        for word in ("FRONT", "OUTSIDE", "REAR", "MIDDLE OF CAR"):
            spot = stage.spots(stage.floor.word_at(word))
            if np.hypot(*(spot - (event.position().x(), event.position().y()))) < 60:
                self.turned.emit(word)
                return
        self.turned.emit("all")

    def scroll(self, stage: Stage, event: QWheelEvent) -> None:
        """Come nearer to what is under the pointer."""
        start, way = stage.sight(event.position())
        back = stage.camera.axes[2]
        depth = (np.asarray(stage.camera.target) - start) @ back / (way @ back)
        hit = stage.pick(event.position())
        toward = hit.point if hit is not None else start + depth * way
        stage.look(stage.camera.nearer(0.88 ** (event.angleDelta().y() / 120), toward))

    def leave(self, stage: Stage) -> None:
        """The pointer left."""
        self._show_hover(stage, None, "")

    def _near_needle(self, stage: Stage, at: QPointF) -> bool:
        spot = self.needle.spot(stage) if self.needle and self.needle in stage.extras else None
        return spot is not None and (spot - at).manhattanLength() < 26 * stage.theme.scale

    # --- hovering -----------------------------------------------------------------------------------

    def _hover_over(self, stage: Stage, at: QPointF) -> None:
        if self.points in stage.extras:
            name = self.points.at(stage, at)
            if name != self.points.hovered:
                self.points.hovered = name
                stage.update()
            if name:
                self._show_hover(stage, None, "mount")
                return
        if self._near_needle(stage, at):
            self._show_hover(stage, None, "steer")
            return
        if near_mount(stage, self.document, at):
            self._show_hover(stage, None, "mount")
            return
        hit = stage.pick(at)
        if hit is None:
            self._show_hover(stage, None, "ring" if on_ring(stage, at) else "")
        elif hit.piece.dyed:
            self._show_hover(stage, hit.piece, "mount")
        elif hit.piece.moving:
            steer = self.document.steered and hit.piece.kind in ROUND and at_edge(hit)
            self._show_hover(stage, hit.piece, "steer" if steer else "pull")
        else:
            self._show_hover(stage, hit.piece, "part")

    def _show_hover(self, stage: Stage, piece: Piece | None, what: str) -> None:
        shape = {
            "mount": Qt.CursorShape.OpenHandCursor,
            "pull": Qt.CursorShape.SizeVerCursor,
            "steer": Qt.CursorShape.SizeHorCursor,
            "ring": Qt.CursorShape.PointingHandCursor,
        }.get(what, Qt.CursorShape.ArrowCursor)
        stage.setCursor(Qt.CursorShape.CrossCursor if self.measuring else shape)
        name = f"{what}:{piece.part if piece else ''}"
        if name == self._hover:
            return
        self._hover = name
        # A hand on the tyre or the rim is on the wheel: both light up.
        part = piece.part if piece is not None and what in ("pull", "steer") else None
        changed = False
        for other in stage.scene.pieces.values():
            lit = part is not None and (
                other.part == part or (part in ROUND and other.kind in ROUND)
            )
            changed |= other.hovered != lit
            other.hovered = lit
        self.hovered.emit(piece.part if piece is not None else what)
        if changed:
            stage.scene.look += 1
            stage.redraw()


# --- what takes hold ------------------------------------------------------------------------------


def at_edge(hit: Hit) -> bool:
    """Whether a hand is on the front or rear quarter of the wheel: that steers."""
    centre = hit.piece.pose[:, 3]
    off = hit.point - centre
    reach = float(np.linalg.norm(hit.piece.mesh.position, axis=1).max())
    return bool(abs(off[0]) > 0.62 * reach)


def on_ring(stage: Stage, at: QPointF) -> bool:
    """Whether the pointer is on the chalk ring."""
    spot = stage.on_floor(at)
    if spot is None or stage.camera.flat:
        return False
    reach = np.hypot(*(spot - np.asarray(stage.floor.centre))[:2])
    return bool(abs(reach / stage.floor.radius - 1.06) < 0.11)


def near_mount(stage: Stage, document: Document, at: QPointF) -> bool:
    """Whether the pointer is on the mount's cross."""
    top = live.top_mount(document.project)
    if top is None:
        return False
    x, y = stage.spots(top)
    return bool(np.hypot(x - at.x(), y - at.y()) < NEAR_MOUNT * stage.theme.scale)


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
    word = "pull"

    def __init__(
        self, stage: Stage, document: Document, hit: Hit, at: QPointF, hands: StageHands
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
        return live.way_by_travel(self.document.study, hit, self.document.rack)

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
        self.hands.held.emit(self.word, at)
        self._set(min(max(value, low), high))
        self._beyond(beyond)

    def _beyond(self, beyond: float) -> None:
        self.hands.past.emit(soft(beyond))

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
    word = "steer"

    def _now(self) -> float:
        return self.document.rack

    def _way(self, hit: Hit) -> tuple[Array, Array]:
        return live.way_by_rack(self.document.study, hit, self.document.travel)

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


class SteerRing(Steer):
    """The needle pulled round the ring."""

    def __init__(
        self,
        stage: Stage,
        document: Document,
        needle: Needle | None,
        at: QPointF,
        hands: StageHands,
    ) -> None:
        self.document, self.hands, self.stage = document, hands, stage
        self.start = document.rack
        found = live.steer_by_rack(document.study, document.travel)
        assert needle is not None and found is not None
        racks, angles = found
        fine = np.linspace(racks[0], racks[-1], 41)
        angles = np.interp(fine, racks, angles)
        points = np.array([needle.point(stage, float(a)) for a in angles])
        self.track = Track(fine, stage.spots(points))
        self.offset = self.start - self.track.at(at.x(), at.y())[0]


def soft(beyond: float) -> float:
    """How far the level follows past a limit: a quarter of the way, 6 mm at most."""
    return float(np.sign(beyond) * min(OVERSHOOT, abs(beyond) / 4))


class SlideMount:
    """The top mount slid over its plate, at the height it stands."""

    cursor = Qt.CursorShape.ClosedHandCursor

    def __init__(
        self, stage: Stage, document: Document, at: QPointF, hands: StageHands
    ) -> None:
        self.stage, self.document, self.hands = stage, document, hands
        self.project = document.project
        top = live.top_mount(document.project)
        self.top = np.zeros(3) if top is None else top
        self.grip = self._on_plate(at)
        self.last = QPointF(at)
        self.offset = np.zeros(3)
        document.begin()

    def _on_plate(self, at: QPointF) -> Array:
        """Where the pointer meets the level plane of the plate."""
        start, way = self.stage.sight(at)
        normal = np.array([0.0, 0.0, 1.0])
        if abs(way[2]) < 0.08:  # seen from the side: in the plane of the picture
            normal = self.stage.camera.axes[2]
        depth = ((self.top - start) @ normal) / (way @ normal)
        return np.asarray(start + depth * way)

    def move(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Move by what the hand moved; Shift keeps to one axis, Alt slows to a tenth."""
        step = self._on_plate(at) - self._on_plate(self.last)
        self.last = QPointF(at)
        if modifiers & Qt.KeyboardModifier.AltModifier:
            step = step * 0.1
        self.offset = self.offset + step
        move = self.offset.copy()
        if modifiers & Qt.KeyboardModifier.ShiftModifier:
            keep = int(np.argmax(np.abs(move)))
            move = np.where(np.arange(3) == keep, move, 0.0)
        move = np.round(move, 1)
        self.hands.held.emit("mount", at)
        if self.project is not None:
            document = self.document
            document.drag(document.slide_mount(self.project, *(float(v) for v in move)))

    def drop(self) -> None:
        """One undo step."""
        self.document.finish("move the top mount")

    def cancel(self) -> None:
        """Back to where it was."""
        self.document.revert()


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
