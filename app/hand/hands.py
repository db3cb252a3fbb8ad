"""What the hand does on the stage: pull the wheel, steer it, slide the mount, turn the view."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QObject, QPointF, Qt, Signal
from PySide6.QtGui import QMouseEvent, QWheelEvent

from app.describe.face_drags import Grip, PullGrip, grip_at
from app.describe.points import Points, SlidePoint
from app.document import live
from app.document.document import Document
from app.hand.drags import Drag, Pull, SlideMount, SlideView, Steer, SteerRing, TurnView
from app.hand.needle import Needle
from app.stage.pick import Hit
from app.stage.scene import Piece
from app.stage.view import Stage

NEAR_MOUNT = 15.0  # px about the mount's cross that take hold of it
ROUND = {"tyre", "wheel"}


class StageHands(QObject):
    """Decides what a press takes hold of, and keeps hold of it."""

    past = Signal(float)  # mm the hand pulls beyond a limit, shown on the ruler
    held = Signal(str, object)  # what is held, where the pointer is; empty when nothing
    hovered = Signal(str)
    picked = Signal(object)  # a Hit or None, on a click without a drag
    turned = Signal(str)  # double click on a floor word, or 'all'
    chosen = Signal(tuple)  # a click while describing: the entry that what is there is typed in

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.drag: Drag | None = None
        self.measuring = False
        self.way = "plate"  # how the mount slides; see drags.WAYS
        self.needle: Needle | None = None
        self.points = Points()
        self.told: list[tuple[str, str]] = []  # of what is held, ahead of the live figures
        self._start = QPointF()
        self._moved = False
        self._hit: Hit | None = None
        self._hover: str = ""

    # --- the stage's events ---------------------------------------------------------------

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
        if (grip := self._grip(stage, at, self._hit)) is not None:
            return PullGrip(stage, document, grip, self._hit, at, self)
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
                if isinstance(drag, PullGrip | SlidePoint):
                    self.chosen.emit(drag.entry)
        self._let_go(event.position())
        stage.setCursor(Qt.CursorShape.ArrowCursor)
        self._hover_over(stage, event.position())

    def escape(self) -> bool:
        """Put back what is held; whether anything was."""
        if self.drag is None:
            return False
        self.drag.cancel()
        self.drag = None
        self._let_go(QPointF())
        return True

    def _let_go(self, at: QPointF) -> None:
        self.told = []
        self.held.emit("", at)

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
        self.points.hovered, self.points.grip = "", None
        self._show_hover(stage, None, "")

    def _grip(self, stage: Stage, at: QPointF, hit: Hit | None) -> Grip | None:
        """A bracket, edge or face under the pointer, while the corner is described."""
        project = self.document.project
        if project is None or self.points not in stage.extras:
            return None
        return None if near_mount(stage, self.document, at) else grip_at(project, stage, at, hit)

    def _near_needle(self, stage: Stage, at: QPointF) -> bool:
        spot = self.needle.spot(stage) if self.needle and self.needle in stage.extras else None
        return spot is not None and (spot - at).manhattanLength() < 26 * stage.theme.scale

    # --- hovering -------------------------------------------------------------------------

    def _hover_over(self, stage: Stage, at: QPointF) -> None:
        if self.points in stage.extras:
            name = self.points.at(stage, at)
            grip = None if name else self._grip(stage, at, stage.pick(at))
            before = self.points.hovered, self.points.grip and self.points.grip.name
            if (name, grip and grip.name) != before:
                stage.update()
            self.points.hovered, self.points.grip = name, grip
            if name or grip is not None:
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


# --- what takes hold ----------------------------------------------------------------------


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
