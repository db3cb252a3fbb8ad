"""The hold on the top mount."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, Qt

from app.document import live
from app.hand.amounts import moved_words
from app.hand.carry import Carry
from app.hand.ghost import ring
from app.hand.holder import Holder
from app.stage.view import Stage

if TYPE_CHECKING:
    from app.document.document import Document

Array = NDArray[np.float64]
WAYS = {
    "plate": "The hand slides it on its plate",
    "fore-aft": "The hand slides it forward and rearward",
    "in-out": "The hand slides it inboard and outboard",
    "up-down": "The hand slides it up and down",
    "damper": "The hand slides it along the damper",
    "free": "The hand moves it in the plane of the view",
}
MOUNT = 45.0  # mm, about half a top mount's plate


class SlideMount(Carry):
    """The top mount slid over its plate, along one axis or freely, as ``hands.way`` says."""

    kind = "mount"

    def __init__(self, stage: Stage, document: Document, at: QPointF, hands: Holder) -> None:
        super().__init__(stage, document, "the top mount", at, hands)
        top = live.top_mount(document.project)
        self.top = np.zeros(3) if top is None else top
        self.held_to = self._way()
        across = np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])
        hands.ghost.take(ring(self.top, MOUNT, across), self.top)

    def _way(self) -> Array | None:
        """The unit vector it is held to; None on the plate or free."""
        axes = {"fore-aft": (1, 0, 0), "in-out": (0, 1, 0), "up-down": (0, 0, 1)}
        if self.hands.way in axes:
            return np.array(axes[self.hands.way], float)
        pose = self.document.pose
        if self.hands.way != "damper" or pose is None or pose.project.coilover is None:
            return None
        foot = pose.motion.point(pose.project.coilover.foot)[0, 0]
        along = self.top - np.asarray(foot)
        far = float(np.linalg.norm(along))
        # Where the corner can't be put together the foot is nowhere: no way is told from that.
        return np.asarray(along / far) if np.isfinite(far) and far > 0.0 else None

    def _on_plate(self, at: QPointF) -> Array:
        """Where the pointer meets what the mount is held to: a line, its plate or the picture."""
        start, way = self.stage.sight(at)
        if self.held_to is not None:
            return self.top + self.held_to * nearest_on_line(self.top, self.held_to, start, way)
        normal = np.array([0.0, 0.0, 1.0])
        if abs(way[2]) < 0.08 or self.hands.way == "free":  # in the plane of the picture
            normal = self.stage.camera.axes[2]
        depth = ((self.top - start) @ normal) / (way @ normal)
        return np.asarray(start + depth * way)

    def step(self, at: QPointF) -> Array:
        """What the hand moved over the plate or along its way."""
        return self._on_plate(at) - self._on_plate(self.last)

    def kept_to(self, modifiers: Qt.KeyboardModifier) -> Array:
        """One axis with Shift; in tenths, but along the damper."""
        move = super().kept_to(modifiers)
        return move if self.hands.way == "damper" else np.round(move, 1)

    def own_way(self) -> Array | None:
        """The one it is held to: inward is positive across the car, as in its fields."""
        return self.held_to if self.hands.way != "in-out" else np.array([0.0, -self.out, 0.0])

    def rows(self) -> list[tuple[str, str]]:
        """How far it was moved by this hold."""
        return [("moved", moved_words(self.shown, self.out, self.project.units))]

    def apply(self, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        """The project with the mount there, if it goes together there."""
        document = self.document
        made = document.slide_mount(self.project, *(float(v) for v in self.shown))
        self.hands.ghost.end = self.top + self.shown
        document.drag(made)


def nearest_on_line(start: Array, along: Array, eye: Array, sight: Array) -> float:
    """How far along a line (unit vector) it comes nearest to a line of sight, mm."""
    off, b = start - eye, float(along @ sight)
    square = 1 - b * b
    if square < 1e-4:  # the line points at the eye: nothing can be told
        return 0.0
    return float((b * (off @ sight) - off @ along) / square)
