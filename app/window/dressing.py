"""Keeps the scene what the document says: skins, where they stand, ghosts of before, the floor."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress

import numpy as np

from app.document import live
from app.document.document import Document
from app.stage.floor import Floor
from app.stage.scene import Piece, Scene
from app.stage.view import Stage
from kinematics.errors import ClearstrokeError
from kinematics.project.model import Project
from kinematics.shapes.skins import Placement, Skin

MOUNT_KINDS = {"mount"}
RING = 1.75  # the floor's ring, in reaches of the tyre
SLID_KINDS = {"mount", "tower"}


class Dresser:
    """Dresses and poses the one scene that all stages show."""

    def __init__(self, document: Document, scene: Scene, stages: list[Stage]) -> None:
        self.document, self.scene, self.stages = document, scene, stages
        self._skins_of: Project | None = None
        self._lifted: list[Piece] = []  # what stands, but slides along with the mount just now

    def clear(self) -> None:
        """Leave nothing of the project that was open before."""
        self.scene.pieces.clear()
        self.scene.ghosts.clear()
        self.scene.marks = ()
        self._skins_of = None
        self._lifted = []

    def place(self) -> None:
        """Set up the whole corner where it is now, and the floor under it."""
        self.dress()
        self.pose()
        self._place_floor()

    def dress(self) -> None:
        """Skins anew when the project changed; only those that differ are uploaded."""
        document = self.document
        slides = self._slides()
        self._lift(slides and document.project is not document.drag_start)
        if document.project is None or document.project is self._skins_of:
            return
        if slides:
            return  # the meshes of where the hand took hold are slid; see _placed
        was, self._skins_of = self._skins_of, document.project
        shape = self.scene.shape
        skins: tuple[Skin, ...] = ()  # of a scan that is gone was told as it was opened
        with suppress(ClearstrokeError):
            skins = live.dressed(document.project, document.folder)
        self.scene.dress(skins, live.still(self._placed()))
        self.scene.ground_z = document.project.ground_z
        for piece in self.scene.pieces.values():
            piece.dyed = piece.kind in MOUNT_KINDS or "top mount" in piece.part
        if was is not None:
            self._move_floor(was, document.project)
        # While a hand holds something the stages follow, and draw only what moves.
        if self.scene.shape != shape and not any(stage.held for stage in self.stages):
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

    def pose(self) -> None:
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
        reach = _reach(tyre)
        x, y = float(tyre.pose[0, 3]), float(tyre.pose[1, 3]) - out * 0.45 * reach
        for stage in self.stages:
            stage.floor = Floor((x, y, project.ground_z), RING * reach, out)

    def _move_floor(self, was: Project, now: Project) -> None:
        """Ground, tyre or wheel centre may be others: the ring goes along."""
        tyre = next((p for p in self.scene.pieces.values() if p.kind == "tyre"), None)
        ends = [project.points.get(project.wheel.centre) for project in (was, now)]
        if tyre is None or ends[0] is None or ends[1] is None or was.side != now.side:
            return
        move = np.subtract(ends[1], ends[0])
        for stage in self.stages:
            x, y, _ = stage.floor.centre
            grown = _reach(tyre) - stage.floor.radius / RING
            x, y = x + float(move[0]), y + float(move[1]) - stage.floor.out * 0.45 * grown
            stage.floor = Floor((x, y, now.ground_z), RING * _reach(tyre), stage.floor.out)


def _reach(tyre: Piece) -> float:
    """The tyre's own half diameter, mm, out to its shoulders."""
    return float(np.linalg.norm(tyre.mesh.position, axis=1).max())
