"""Shows the document: has the scene posed, writes the tags, fills ruler, strips and headline."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from PySide6.QtCore import QCoreApplication, QEvent, QObject, QPointF, QTimer, Signal

from app.document import live, reading
from app.document.board import EMPTY, Board
from app.document.document import Document
from app.document.results import STOPPED
from app.document.sayings import Saying
from app.document.sayings import sayings as sayings_of
from app.hand.drags import SpringBack
from app.hand.hands import StageHands
from app.hand.needle import Needle
from app.look.palette import State
from app.plots.ruler import Ruler
from app.plots.strips import Strips
from app.stage.overlay import Tag
from app.stage.scene import Mark, Scene
from app.stage.view import Stage
from app.window import beside
from app.window.dressing import Dresser
from app.window.edges import Edges
from app.window.headline import Headline
from kinematics.studies.study import Study
from kinematics.units import Units

TAGS = 3
TURN = 15  # ms from ruler to strips to sentences while a hand holds the mount
NOT_YET = Saying("Not checked yet.", "The wheel can be pulled already.", State.UNKNOWN)


class Presenter(QObject):
    """Listens to the document and brings everything on the screen up to date."""

    said = Signal()  # what was found, in the headline

    def __init__(
        self,
        document: Document,
        scene: Scene,
        stages: list[Stage],
        ruler: Ruler,
        strips: Strips,
        headline: Headline,
        hands: StageHands,
    ) -> None:
        super().__init__(document)
        self.document, self.scene, self.stages = document, scene, stages
        self.ruler, self.strips, self.headline = ruler, strips, headline
        self.hands = hands
        self.dresser = Dresser(document, scene, stages)
        self.past = 0.0
        self.needle = Needle()
        self.edges = Edges()
        for stage in stages:
            stage.extras.append(self.edges)
        self.hold = ""  # what the hand holds
        self.pulled = False  # the word by the arrow has done its work
        self.current = -1  # the finding last jumped to
        self._rack_shown = math.nan  # the steer that ruler and strips stand for
        self._in_part = False  # they hold no more than is on show, while a hand moves something
        self._turns: list[Callable[[], None]] = []  # what is still to be shown of a study
        self._next = QTimer(self, interval=TURN, singleShot=True)
        self._next.timeout.connect(self._take_turn)
        self._spring = SpringBack(self)
        self._spring.moved.connect(self._show_past)
        hands.past.connect(self._spring.set)
        hands.held.connect(self._show_hand)
        hands.retold.connect(self._retell)
        document.opened.connect(self._opened)
        document.studied.connect(self._studied)
        document.posed.connect(self._posed)
        document.moved.connect(self._moved)
        document.compared.connect(self._compared)
        document.reseated.connect(self.dresser.place)

    # --- from the document ----------------------------------------------------------------

    def _opened(self) -> None:
        self.current = -1
        self.dresser.clear()
        self._follow_project()
        self.dresser.place()
        for stage in self.stages:  # nothing is known of this one's wheel yet
            stage.arrow, stage.rows = self._arrow(), []
            self._turn_needle(stage)

    def _follow_project(self) -> None:
        """What is written over the stages is of the project as it is."""
        project = self.hands.points.project = self.document.project
        if project is not None:
            self.edges.units, self.edges.ground = project.units, project.ground_z

    def _studied(self) -> None:
        study = self.document.study
        if study is None:
            self.ruler.show_board(EMPTY)
            self.strips.show_board(EMPTY)
        elif self.document.drag_start is not None:
            # All of it in one frame would make the hand stutter.
            board, before = self._boards(study)
            self.ruler.show_board(board)
            self._turns = [lambda: self.strips.show_board(board, before), self._say]
            self._next.start()
            self._show_age()
            return
        else:
            self._show_boards(study)
        self._turns = []
        self._say()
        if study is not None:
            self._show_age()

    def _take_turn(self) -> None:
        """The next of what is to be shown of a study."""
        if self._turns:
            self._turns.pop(0)()
            self._next.start()

    def _say(self) -> None:
        """What the study on show found, in sentences."""
        study, ended = self.document.study, self.document.ended
        title = "Not checked." if ended == STOPPED else "This corner can't be checked."
        failed = Saying(title, ended, State.UNKNOWN)
        sayings, rest = [failed if ended else NOT_YET], ""
        if study is None and not ended:
            sayings = []
        elif study is not None and self.document.checked:
            sayings, rest = sayings_of(study, self.document.before)
        self.headline.show_sayings(sayings[:5], rest, self.current)
        self.said.emit()

    def _show_age(self) -> None:
        """What is said of a project that has moved on stands back until this one is checked."""
        document = self.document
        study = document.study
        known = study is None or (study.project is document.project and not document.rough)
        self.headline.show_stale(not known and document.drag_start is None)

    def _show_boards(self, study: Study) -> None:
        """Ruler and strips for the steer there is."""
        board, before = self._boards(study)
        self.ruler.show_board(board)
        self.strips.show_board(board, before)

    def _boards(self, study: Study) -> tuple[Board, Board | None]:
        """What ruler and strips show of a study, and of the state kept as before."""
        self._in_part = bool(self.hold) or self.document.drag_start is not None
        shown = [curve.key for curve in self.strips.shown()] if self._in_part else None
        board = reading.board(study, self.document.rack, shown)
        kept = self.document.before
        before = None if kept is None else reading.board(kept, self.document.rack)
        self._rack_shown = self.document.rack
        return board, before

    def _posed(self) -> None:
        """The parts go where they are now; the stages begin to draw while this is measured."""
        self._follow_project()
        self.dresser.dress()
        self.dresser.pose()
        for stage in self.stages:
            stage.begin()

    def _moved(self) -> None:
        document = self.document
        if document.now is None:
            return
        self._tag()
        for stage in self.stages:
            stage.ring()
        if document.study is not None and document.rack != self._rack_shown:
            self._show_boards(document.study)
        self._show_age()
        self._show_level()
        if self.hold and document.drag_start is None:
            # What has changed beside the stage is painted while the driver still draws. Not where
            # the pad over the stage follows too: the stage would be painted twice.
            QCoreApplication.sendPostedEvents(self.ruler.window(), QEvent.Type.UpdateRequest)
        for stage in self.stages:
            stage.arrow = self._arrow()
            stage.arrow_word = "" if self.pulled else "pull"
            told = self.hold and stage is self.in_hand
            stage.rows = self._beside() if told else []
            self._turn_needle(stage)
            stage.follow()

    def _compared(self) -> None:
        if self.document.before is None:
            self.scene.drop_ghosts()
        else:
            self.scene.keep_ghosts()
            self.dresser.pose()
        self._studied()
        self._tag()
        for stage in self.stages:
            stage.redraw()

    # --- over the wheel -------------------------------------------------------------------

    def _arrow(self) -> np.ndarray | None:
        """Beside the wheel, outboard."""
        project = self.document.project
        tyre = next((p for p in self.scene.pieces.values() if p.kind == "tyre"), None)
        if project is None or tyre is None or not tyre.shown or self.document.study is None:
            return None
        out = 1.0 if project.side == "left" else -1.0
        reach = tyre.mesh.position.max()
        return np.asarray(tyre.pose[:, 3] + np.array([0.0, out * float(reach) * 0.98, 0.0]))

    def _turn_needle(self, stage: Stage) -> None:
        """The needle stands on the ring of a steered corner only."""
        document = self.document
        steer = document.now.measures.figures.get("steer") if document.now is not None else None
        if document.steered and steer is not None:
            self.needle.angle = float(steer[0, 0])
            if self.needle not in stage.extras:
                stage.extras.append(self.needle)
        elif self.needle in stage.extras:
            stage.extras.remove(self.needle)

    # --- words ----------------------------------------------------------------------------

    def _tag(self) -> None:
        """Marks lit at their points, the worst of them with a card."""
        document = self.document
        if document.project is None:
            return
        compared = document.before is not None
        marks = () if document.now is None else reading.marks(document.now, closest_too=compared)
        self.scene.marks = tuple(m for m in marks if m.state is not State.CLEAR)
        for stage in self.stages:
            stage.tags = [
                tag
                for mark in marks[:TAGS]
                if (tag := self._card(stage, mark, document.project.units)) is not None
            ]

    def _card(self, stage: Stage, mark: Mark, units: Units) -> Tag | None:
        spot = stage.spots((mark.point_a + mark.point_b) / 2)
        if not np.isfinite(spot).all():
            return None
        lines = [f"{mark.parts[0]}, {mark.parts[1]}"]
        if self.document.before is not None and (was := self._was(mark)) is not None:
            lines.append(f"was {reading.amount_words(was, units)}")
        title = reading.amount_words(mark.amount, units)
        return Tag(mark.state, title, tuple(lines), QPointF(*spot))

    def _was(self, mark: Mark) -> float | None:
        """The pair's clearance at this travel in the state kept as before."""
        before = self.document.before
        if before is None:
            return None
        for p, names in enumerate(before.names):
            if set(names) == set(mark.parts):
                j = live.column(before, self.document.rack)
                low = before.clearances.low[p, :, j]
                return float(np.interp(self.document.travel, before.travel, low))
        return None

    def retag(self) -> None:
        """The camera moved: the cards' spots with it."""
        self._tag()

    def _show_level(self) -> None:
        document = self.document
        if document.now is None:
            return
        _, state = reading.worst_now(document.now)
        self.ruler.set_level(document.travel, self.past)
        self.strips.set_level(document.travel, state, self.past)
        study = document.study
        here = reading.between_steers(study, document.now) if study is not None else {}
        self.strips.set_here(here)

    def _show_past(self, past: float) -> None:
        self.past = past
        self._show_level()

    def _show_hand(self, what: str, at: QPointF) -> None:
        """What the hand holds and where it is; the figures beside it come with the next move."""
        self.hold = what
        self.pulled |= what == "pull"
        self.in_hand.card.at = at
        if not what:
            for stage in self.stages:
                stage.rows = []
                stage.follow()
            if self._in_part and self.document.study is not None:
                self._show_boards(self.document.study)

    def _retell(self) -> None:
        """Something else is told of what is held, which has not moved."""
        stage = self.in_hand
        stage.rows = self._beside() if self.hold else []
        stage.follow()

    def _beside(self) -> beside.Rows:
        return beside.rows(self.document, self.hands.told, self.hold, self.ruler.board)

    @property
    def in_hand(self) -> Stage:
        """The stage a hand holds something in, or something is chosen in."""
        waits = self.hands.waiting
        return next((s for s in self.stages if s.held or s is waits), self.stages[0])
