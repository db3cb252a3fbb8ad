"""What the hand does on the stage: pull the wheel, steer it, slide the mount, turn the view."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from PySide6.QtCore import QObject, QPointF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QWheelEvent

from app.document import live
from app.document.document import Document
from app.hand.amounts import BEGINS
from app.hand.carry import HINT, Carry, Typing
from app.hand.drags import Drag, Pull, PullOrSteer, SlideView, Steer, SteerRing, TurnView
from app.hand.face_drags import PullGrip
from app.hand.ghost import Ghost
from app.hand.grips import Grip, grip_at, same
from app.hand.needle import Needle
from app.hand.point_drags import SlideBegun, SlidePoint
from app.hand.points import Points
from app.hand.sliding import SlideMount
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
    retold = Signal()  # something else is to be told of what is held, though nothing moved

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.drag: Drag | None = None
        self.measuring = False
        self.way = "plate"  # how the mount slides; see drags.WAYS
        self.needle: Needle | None = None
        self.points = Points()
        self.told: list[tuple[str, str]] = []  # of what is held, ahead of the live figures
        self.typing: Typing | None = None  # the amount being typed for what is held or chosen
        self.waiting: Stage | None = None  # where the mount was chosen: an amount may be typed
        self.ghost = Ghost()
        self._typed = False  # the hint at typing has done its work
        self._start = QPointF()
        self._moved = False
        self._hit: Hit | None = None
        self._hover: str = ""
        self._stage: Stage | None = None
        document.opened.connect(self._forget)
        self._rows: list[tuple[str, str]] = []  # last told by what is held
        document.claimed.connect(self.let_go)
        document.opened.connect(self._end)

    # --- the stage's events ---------------------------------------------------------------

    def press(self, stage: Stage, event: QMouseEvent) -> None:
        """Take hold of what is under the pointer."""
        at, mods = event.position(), event.modifiers()
        self.escape()  # an amount that was not taken
        self._start, self._moved = at, False
        if event.button() in (Qt.MouseButton.RightButton, Qt.MouseButton.MiddleButton):
            self.drag = SlideView(stage, at)
            return
        if event.button() != Qt.MouseButton.LeftButton:
            return
        self._hit = stage.pick(at)
        self.drag = self._grasp(stage, at, mods)
        self._hold(stage)
        stage.setCursor(self.drag.cursor)

    def _hold(self, stage: Stage) -> None:
        """The stage a hand is at, with where it took hold written over it."""
        stage.held, stage.card.off = True, [self.ghost]
        stage.extras = [self.ghost, *(e for e in stage.extras if e is not self.ghost)]
        self._stage = stage

    def _grasp(self, stage: Stage, at: QPointF, mods: Qt.KeyboardModifier) -> Drag:
        document = self.document
        if self.measuring:
            return TurnView(stage, at)
        if self.points in stage.extras and (name := self.points.at(stage, at)):
            begun = name in self.points.begun
            return (SlideBegun if begun else SlidePoint)(stage, document, name, at, self)
        if (grip := self._grip(stage, at, self._hit)) is not None:
            return PullGrip(stage, document, grip, self._hit, at, self)
        if self._near_needle(stage, at):
            return SteerRing(stage, document, self.needle, at, self)
        if near_mount(stage, document, at) or (self._hit and self._hit.piece.dyed):
            return SlideMount(stage, document, at, self)
        hit = self._hit
        if hit is not None and hit.piece.moving and document.study is not None:
            wants = bool(mods & Qt.KeyboardModifier.ControlModifier) or at_edge(hit)
            if not (document.steered and wants and hit.piece.kind in ROUND):
                return Pull(stage, document, hit, at, self)
            if mods & Qt.KeyboardModifier.ControlModifier:
                return Steer(stage, document, hit, at, self)
            return PullOrSteer(
                stage,
                at,
                lambda: Pull(stage, document, hit, at, self),
                lambda: Steer(stage, document, hit, at, self),
            )
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
        if self._moved and not self._amount:
            self.drag.move(at, event.modifiers())

    @property
    def _amount(self) -> bool:
        """Whether what is held goes by what is typed, not with the pointer."""
        return self.typing is not None and self.typing.axis is None

    def release(self, stage: Stage, event: QMouseEvent) -> None:
        """Let go; a press that did not move is a click. An amount half typed is waited for."""
        drag = self.drag
        if drag is None or self._amount:
            return
        self.drag = self.typing = None
        stage.held = False
        if self._moved:
            drag.drop()
        else:
            drag.cancel()
        self._let_go(event.position())
        if not self._moved and event.button() == Qt.MouseButton.LeftButton:
            self.picked.emit(self._hit)
            if isinstance(drag, PullGrip | SlidePoint):
                self.chosen.emit(drag.entry)
            elif isinstance(drag, SlideMount):
                self.choose_mount(stage)
        stage.setCursor(Qt.CursorShape.ArrowCursor)
        self._hover_over(stage, event.position())

    def escape(self) -> bool:
        """Put back what is held or being typed; whether anything was."""
        held = self.typing.held if self.typing is not None else self.drag
        if held is None and self.waiting is None:
            return False
        if held is not None:
            held.cancel()
        self._end()
        return True

    def _forget(self) -> None:
        """Another project is open: what was held or pointed at is of the one before."""
        self._hit, self._hover = None, ""
        if self.drag is not None or self.typing is not None or self.waiting is not None:
            self.document.drag_start = None
            self._end()

    def or_put_back(self, step: Callable[[], object]) -> None:
        """A step of undo or redo; while something is held that is put back instead."""
        if self.drag is not None or self.typing is not None:
            self.escape()
        else:
            step()

    def let_go(self) -> None:
        """Something else is asked for: what is held stays where it is, a step of its own."""
        held = self.typing.held if self.typing is not None else self.drag
        if held is not None:
            held.drop()
        self._end()

    def _end(self) -> None:
        """Nothing is held or chosen any more."""
        if self._stage is not None:
            self._stage.held = False
        self.drag = self.typing = None
        self._let_go(QPointF())

    def _let_go(self, at: QPointF) -> None:
        self.told, self._rows, self.waiting = [], [], None
        self.points.grip = None
        self.ghost.drop()
        if self._stage is not None:
            self._stage.extras = [e for e in self._stage.extras if e is not self.ghost]
        self.held.emit("", at)

    def tell(self, kind: str, rows: list[tuple[str, str]], at: QPointF) -> None:
        """What is held, what to tell of it and where the pointer is."""
        self._rows = rows
        first = [self.typing.row] if self.typing is not None else []
        hint = [] if self._typed or not rows else [HINT]
        self.told = [*first, *rows, *hint]
        self.held.emit(kind, at)

    # --- amounts typed ----------------------------------------------------------------------

    def choose_mount(self, stage: Stage) -> None:
        """The mount is chosen without being held: the keys that follow say how far it goes."""
        top = live.top_mount(self.document.project)
        if top is None or self.measuring:
            return
        self._stage, self.waiting = stage, stage
        self.told = [("top mount", "type how far: 12, 1/2 in, x −3")]
        self.held.emit("mount", QPointF(*(float(v) for v in stage.spots(top))))
        self.retold.emit()

    def key(self, event: QKeyEvent) -> bool:
        """Whether a key belongs to an amount for what is held or chosen."""
        text = event.text()
        if self.typing is None:
            held = self._amountable() if text and text in BEGINS else None
            if held is None:
                return False
            self._typed, self.typing = True, Typing(held)
        if Qt.Key(event.key()) == Qt.Key.Key_Escape:
            return False  # puts all of it back
        said = self.typing.take(event)
        if said == "done":
            self.typing.held.drop()
            self._end()
        elif said:
            self.document.said.emit(said)
        self._retell()
        return True

    def _amountable(self) -> Carry | Pull | PullOrSteer | None:
        """What an amount typed now would move."""
        if isinstance(self.drag, Carry | Pull | PullOrSteer):
            return self.drag
        if self.waiting is None:
            return None
        stage, top = self.waiting, live.top_mount(self.document.project)
        at = QPointF() if top is None else QPointF(*(float(v) for v in stage.spots(top)))
        made = SlideMount(stage, self.document, at, self)
        self.waiting, self._start, self._rows = None, at, made.rows()
        self._hold(stage)
        return made

    def _retell(self) -> None:
        """What is typed, on the card, even if it moved nothing."""
        if self.typing is not None:
            held = self.typing.held
            self.tell(held.kind, self._rows, held.last if isinstance(held, Carry) else self._start)
        self.retold.emit()

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
        if near_mount(stage, self.document, at):
            return None
        document = self.document
        return grip_at(project, stage, at, hit, (document.travel, document.rack) == (0.0, 0.0))

    def _near_needle(self, stage: Stage, at: QPointF) -> bool:
        spot = self.needle.spot(stage) if self.needle and self.needle in stage.extras else None
        return spot is not None and (spot - at).manhattanLength() < 26 * stage.theme.scale

    # --- hovering -------------------------------------------------------------------------

    def _hover_over(self, stage: Stage, at: QPointF) -> None:
        if self.points in stage.extras:
            name = self.points.at(stage, at)
            grip = None if name else self._grip(stage, at, stage.pick(at))
            if name != self.points.hovered or not same(grip, self.points.grip):
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
            self._show_hover(stage, hit.piece, "edge" if steer else "pull")
        else:
            self._show_hover(stage, hit.piece, "part")

    def _show_hover(self, stage: Stage, piece: Piece | None, what: str) -> None:
        shape = {
            "mount": Qt.CursorShape.OpenHandCursor,
            "pull": Qt.CursorShape.SizeVerCursor,
            "steer": Qt.CursorShape.SizeHorCursor,
            "edge": Qt.CursorShape.SizeAllCursor,
            "ring": Qt.CursorShape.PointingHandCursor,
        }.get(what, Qt.CursorShape.ArrowCursor)
        stage.setCursor(Qt.CursorShape.CrossCursor if self.measuring else shape)
        name = f"{what}:{piece.part if piece else ''}"
        if name == self._hover:
            return
        self._hover = name
        # A hand on the tyre or the rim is on the wheel: both light up.
        part = piece.part if piece is not None and what in ("pull", "edge") else None
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
