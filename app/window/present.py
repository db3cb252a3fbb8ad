"""Shows the document: poses the scene, writes the tags, fills ruler, strips, headline and pad."""

from __future__ import annotations

import math
from collections.abc import Mapping
from contextlib import suppress

import numpy as np
from PySide6.QtCore import QCoreApplication, QEvent, QObject, QPointF

from app.document import live, reading
from app.document.document import Document
from app.document.sayings import sayings as sayings_of
from app.hand.drags import SpringBack
from app.hand.hands import StageHands
from app.hand.needle import Needle
from app.look.palette import State
from app.plots.board import EMPTY
from app.plots.ruler import Ruler
from app.plots.strips import Strips
from app.stage.camera import Camera
from app.stage.floor import Floor
from app.stage.overlay import Tag
from app.stage.scene import Mark, Piece, Scene
from app.stage.view import Stage
from app.window import beside
from app.window.edges import Edges
from app.window.framing import framed, outline, squared
from app.window.headline import Headline, Saying
from kinematics.errors import ClearstrokeError
from kinematics.shapes.skins import Placement, Skin
from kinematics.studies.study import Study
from kinematics.units import Units

TAGS = 3
NOT_YET = Saying("Not checked yet.", "The wheel can be pulled already.", State.UNKNOWN)
MOUNT_KINDS = {"mount"}
SLID_KINDS = {"mount", "tower"}


class Presenter(QObject):
    """Listens to the document and brings everything on the screen up to date."""

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
        self.past = 0.0
        self.last_home = Camera()  # the view found last to show everything
        self.needle = Needle()
        self.edges = Edges()
        for stage in stages:
            stage.extras.append(self.edges)
        self.hold = ""  # what the hand holds
        self.pulled = False  # the word by the arrow has done its work
        self.current = -1  # the finding last jumped to
        self._rack_shown = math.nan  # the steer that ruler and strips stand for
        self._in_part = False  # they hold no more than is on show, while a hand moves something
        self._skins_of: object = None
        self._lifted: list[Piece] = []  # what stands, but slides along with the mount just now
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
        document.reseated.connect(self._reseat)

    # --- from the document ----------------------------------------------------------------

    def _opened(self) -> None:
        self.scene.pieces.clear()
        self.scene.ghosts.clear()
        self.scene.marks = ()
        self._skins_of = None
        self._lifted = []
        self.current = -1
        self._dress()
        self._pose()
        self._place_floor()
        project = self.document.project
        if project is not None:
            self.edges.units, self.edges.ground = project.units, project.ground_z
        for stage in self.stages:
            stage.look(self.home(stage))

    def _reseat(self) -> None:
        """The corner is on the other side of the car: floor and eye go along."""
        self._dress()
        self._pose()
        self._place_floor()
        for stage in self.stages:
            stage.look(self.home(stage))

    def _studied(self) -> None:
        study = self.document.study
        if study is None:
            self.ruler.show_board(EMPTY)
            self.strips.show_board(EMPTY)
            return
        self._show_boards(study)
        sayings, rest = [NOT_YET], ""
        if self.document.checked:
            sayings, rest = sayings_of(study, self.document.before)
        self.headline.show_sayings(sayings[:5], rest, self.current)
        self._show_age()

    def _show_age(self) -> None:
        """What is said of a project that has moved on stands back until this one is checked."""
        document = self.document
        known = document.study is None or document.study.project is document.project
        self.headline.show_stale(not known and document.drag_start is None)

    def _show_boards(self, study: Study) -> None:
        """Ruler and strips for the steer there is."""
        self._in_part = bool(self.hold) or self.document.drag_start is not None
        shown = [curve.key for curve in self.strips.shown()] if self._in_part else None
        board = reading.board(study, self.document.rack, shown)
        kept = self.document.before
        before = None if kept is None else reading.board(kept, self.document.rack)
        self._rack_shown = self.document.rack
        self.ruler.show_board(board)
        self.strips.show_board(board, before)

    def _posed(self) -> None:
        """The parts go where they are now; the stages begin to draw while this is measured."""
        self.hands.points.project = self.document.project
        self._dress()
        self._pose()
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
        if self.hold:
            # What has changed beside the stage is painted while the driver still draws.
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
            self._pose()
        self._studied()
        self._tag()
        for stage in self.stages:
            stage.redraw()

    # --- the scene ------------------------------------------------------------------------

    def _dress(self) -> None:
        """Skins anew when the project changed; only those that differ are uploaded."""
        document = self.document
        slides = self._slides()
        self._lift(slides and document.project is not document.drag_start)
        if document.project is None or document.project is self._skins_of:
            return
        if slides:
            return  # the meshes of where the hand took hold are slid; see _placed
        self._skins_of = document.project
        shape = self.scene.shape
        skins: tuple[Skin, ...] = ()  # of a scan that is gone was told as it was opened
        with suppress(ClearstrokeError):
            skins = live.dressed(document.project, document.folder)
        self.scene.dress(skins, live.still(self._placed()))
        self.scene.ground_z = document.project.ground_z
        for piece in self.scene.pieces.values():
            piece.dyed = piece.kind in MOUNT_KINDS or "top mount" in piece.part
        if self.scene.shape != shape:
            for stage in self.stages:
                stage.redraw()

    def _lift(self, slides: bool) -> None:
        """While a mount slides, what goes with it is drawn with what moves, not as standing."""
        if slides == bool(self._lifted):
            return
        if slides:
            pieces = self.scene.pieces.values()
            self._lifted = [p for p in pieces if p.kind in SLID_KINDS and not p.moving]
        for piece in self._lifted:
            piece.moving = slides
        self.scene.shape += bool(self._lifted)
        if not slides:
            self._lifted = []

    def _slides(self) -> bool:
        """Whether a hand slides the mount and nothing else has changed since it took hold."""
        start, project = self.document.drag_start, self.document.project
        if start is None or project is None:
            return False
        return start is project or live.slid_by(start, project) is not None

    def _placed(self) -> Mapping[str, Placement]:
        pose, start = self.document.pose, self.document.drag_start
        if pose is None:
            return self.document.standing
        if start is not None and self._slides():
            return live.slid(pose, start)
        return live.placements(pose)

    def _pose(self) -> None:
        document = self.document
        self.scene.pose(live.poses_of(self._placed()))
        if document.before is not None and self.scene.ghosts:
            low, high = live.limits(document.before, document.rack)
            travel = min(max(document.travel, low), high)  # before may not have come as far
            stood = live.stood(document.before, travel, document.rack)
            self.scene.pose_ghosts(live.poses_of(stood))

    def _place_floor(self) -> None:
        """The ring around the wheel and what stands beside it."""
        project = self.document.project
        tyre = next((p for p in self.scene.pieces.values() if p.kind == "tyre"), None)
        if project is None or tyre is None:
            return
        out = 1.0 if project.side == "left" else -1.0
        reach = float(np.linalg.norm(tyre.mesh.position, axis=1).max())
        x, y = float(tyre.pose[0, 3]), float(tyre.pose[1, 3]) - out * 0.45 * reach
        for stage in self.stages:
            stage.floor = Floor((x, y, project.ground_z), 1.75 * reach, out)

    def stands(self) -> np.ndarray:
        """The box of what the view should show: all but the chassis. (2, 3)"""
        pieces = [p for p in self.scene.pieces.values() if p.kind not in ("chassis", "scan")]
        if not pieces:
            return self.scene.bounds()
        points = [p.points() for p in pieces]
        return np.array(
            [np.min([p.min(0) for p in points], 0), np.max([p.max(0) for p in points], 0)]
        )

    def home(self, stage: Stage) -> Camera:
        """The view that shows the corner and most of its ring, from the front and above."""
        _, high = self.stands()
        floor = stage.floor
        out = floor.out
        aspect = stage.width() / max(1, stage.height())
        tall = float(high[2] - floor.centre[2])
        height = max(tall * 1.9, floor.radius * 2.55 / max(0.5, aspect))
        middle = (floor.centre[0], floor.centre[1], floor.centre[2] + 0.44 * tall)
        camera = Camera(
            target=middle,
            azimuth=float(np.radians(-17) * out),
            elevation=float(np.radians(22)),
            height=height,
        )
        low, high_travel = self.document.limits
        rise = [z - self.document.travel for z in (low, high_travel) if z]
        points = outline(self.scene.pieces.values(), rise)
        self.last_home = framed(camera, points, (stage.width(), stage.height()), stage.keep_clear)
        return self.last_home

    def square(self, stage: Stage, name: str) -> Camera:
        """The square view by name that shows the corner as large as it goes."""
        camera = self.home(stage).squared(name, stage.floor.out)
        pieces = [p for p in self.scene.pieces.values() if p.kind not in ("chassis", "scan")]
        points = outline(pieces, [z - self.document.travel for z in self.document.limits if z])
        return squared(camera, points, (stage.width(), stage.height()), stage.keep_clear)

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
        if document.now is None or document.project is None:
            return
        marks = reading.marks(document.now, closest_too=document.before is not None)
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
        self.in_hand.row_at = at
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
