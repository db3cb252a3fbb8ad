"""The document: project, results, travel and undo. Widgets show it and ask it; nothing else.

Only undo commands change the project. Travel, steer, camera and selection are not undoable.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QUndoCommand, QUndoStack

from app import live, recents, recovery
from app.ground import Ground, ground_of
from app.jobs import Asked, Jobs, Progress
from kinematics.errors import ClearstrokeError
from kinematics.project import files
from kinematics.project.model import Project
from kinematics.shapes.skins import Placement
from kinematics.studies.study import Study

Array = NDArray[np.float64]
SLACK = 1e-6  # mm
MAP_REACH, MAP_STEPS = 40.0, 33  # mm each way from where the mount first stood, places a side


class Document(QObject):
    """One open project and all that is known about it."""

    opened = Signal()
    changed = Signal()  # the project, its name or whether it is saved
    studied = Signal()  # a new study: curves, bands, findings
    posed = Signal()  # the poses of a new position, before its clearances are known
    moved = Signal()  # travel, steer or poses, all known
    reseated = Signal()  # the corner went to the other side of the car
    mapped = Signal()  # where the mount can go was worked out, or is no longer known
    compared = Signal()  # the state kept as before
    said = Signal(str)  # one sentence to the builder
    working = Signal(float)  # share done of a study; negative when none runs

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.project: Project | None = None
        self.path: Path | None = None
        self.example = False
        self.recovered = False
        self.study: Study | None = None
        self.checked = False  # whether the study on show holds clearances
        self.now: Study | None = None
        self.pose: live.Pose | None = None  # the position shown; ``now`` once it is checked
        self.standing: Mapping[str, Placement] = {}  # poses at set-up height, before any study
        self.travel = 0.0
        self.rack = 0.0
        self.before: Study | None = None
        self.ground: Ground | None = None
        self.mount_start: Array | None = None  # where the top mount stood when opened
        self.revision = 0
        self.drag_start: Project | None = None
        self.previewed: Project | None = None  # the project itself while a fix is shown on it
        self.stack = QUndoStack(self)
        self.stack.cleanChanged.connect(lambda _clean: self.changed.emit())
        self.stack.indexChanged.connect(lambda _index: self.changed.emit())
        self._aside = QTimer(self, interval=1500, singleShot=True)
        self._aside.timeout.connect(self._keep_aside)
        self.changed.connect(self._aside.start)
        self.jobs = Jobs(self)
        self.jobs.done.connect(self._done)
        self.jobs.failed.connect(self._failed)
        self.jobs.progressed.connect(lambda kind, share: self.working.emit(share))
        self.jobs.idle.connect(lambda: self.working.emit(-1.0))
        self._later = QTimer(self, interval=90, singleShot=True)
        self._later.timeout.connect(self._ask)
        self._rest = QTimer(self, interval=60, singleShot=True)  # between coarse studies
        self._rest.timeout.connect(self._ask_coarse_if_wanted)

    # --- files ----------------------------------------------------------------------------

    def open(self, path: Path, example: bool = False) -> bool:
        """Open a project file; on failure the document stays as it is and says why."""
        try:
            project = files.read(path)
        except ClearstrokeError as error:
            self.said.emit(str(error))
            return False
        self.start(project, None if example else path, example)
        if not example:
            recents.remember(path)
        return True

    @property
    def folder(self) -> Path | None:
        """Where the project's scans lie: beside its file."""
        return None if self.path is None else self.path.parent

    def start(
        self,
        project: Project,
        path: Path | None = None,
        example: bool = False,
        recovered: bool = False,
    ) -> None:
        """Begin with a project: no undo, nothing kept. ``recovered``: it was never saved."""
        self.jobs.cancel()
        self.path, self.example, self.recovered = path, example, recovered
        if not recovered:
            recovery.drop()
        self.stack.clear()
        self.before = self.previewed = None
        self.study = self.now = self.pose = None
        self.checked = False
        self.travel = self.rack = 0.0
        self.project = project
        self.ground, self.mount_start = None, live.top_mount(project)
        self.revision += 1
        try:
            self.standing = live.stand(project, self.folder)
        except ClearstrokeError as error:
            self.standing = {}
            self.said.emit(str(error))
        self.opened.emit()
        self.changed.emit()
        self.compared.emit()
        self._ask_first()
        self._ask()

    def save(self, path: Path) -> bool:
        """Write the project; says why if it can't."""
        self.accept("apply a fix")
        if self.project is None:
            return False
        try:
            files.write(self.project, path)
        except (ClearstrokeError, OSError) as error:
            self.said.emit(str(error))
            return False
        self.path, self.example, self.recovered = path, False, False
        self.stack.setClean()
        recovery.drop()
        recents.remember(path)
        self.changed.emit()
        return True

    @property
    def dirty(self) -> bool:
        """Whether closing now would lose a change."""
        return self.recovered or not self.stack.isClean()

    # --- travel and steer -----------------------------------------------------------------

    @property
    def limits(self) -> tuple[float, float]:
        """Least and greatest travel that is real, at the present steer."""
        if self.study is None:
            return 0.0, 0.0
        return live.limits(self.study, self.rack)

    @property
    def rack_limits(self) -> tuple[float, float]:
        """Least and greatest rack travel; equal when nothing steers."""
        if self.study is None:
            return 0.0, 0.0
        return float(self.study.rack[0]), float(self.study.rack[-1])

    @property
    def steered(self) -> bool:
        """Whether the wheel steers."""
        low, high = self.rack_limits
        return high - low > SLACK

    def set_travel(self, travel: float) -> None:
        """Move the wheel; past a limit it stops there."""
        low, high = self.limits
        self._move(min(max(travel, low), high), self.rack)

    def set_rack(self, rack: float) -> None:
        """Steer; past the rack's end it stops there."""
        low, high = self.rack_limits
        self._move(self.travel, min(max(rack, low), high))

    def _move(self, travel: float, rack: float) -> None:
        if (travel, rack) == (self.travel, self.rack) or self.study is None:
            return
        self.travel, self.rack = travel, rack
        try:
            self._check(live.pose(self.study, travel, rack), self.study)
        except ClearstrokeError as error:
            self.said.emit(str(error))
        self.moved.emit()

    def _check(self, pose: live.Pose, found: Study) -> None:
        """Let the screen begin on a position while it is measured."""
        self.pose = pose
        self.posed.emit()
        self.now = live.check(pose, found)

    # --- changing the project -------------------------------------------------------------

    def edit(self, project: Project, what: str, strict: bool = False) -> bool:
        """Change the project as one undo step.

        One that can't stand is refused in a sentence: said, or raised if ``strict``.
        """
        self.accept("apply a fix")
        before = self.project
        if before is None or project == before:
            return False
        try:
            self._take(project)
        except ClearstrokeError as error:
            if strict:
                raise
            self.said.emit(str(error))
            return False
        self.stack.push(Change(self, before, project, what))
        return True

    def begin(self) -> None:
        """A hand takes hold: what follows until :meth:`finish` is one step."""
        self.accept("apply a fix")
        self.drag_start = self.project

    def drag(self, project: Project) -> bool:
        """Show a project while the hand holds it."""
        return project != self.project and self._apply(project)

    def finish(self, what: str) -> None:
        """The hand lets go: one undo step, none if it came back to where it started."""
        start, self.drag_start = self.drag_start, None
        if start is not None and self.project is not None and start != self.project:
            self.stack.push(Change(self, start, self.project, what))
        self._ask()

    def revert(self) -> None:
        """Escape: back to where the hand took hold."""
        start, self.drag_start = self.drag_start, None
        if start is not None:
            self._apply(start)

    def slide_mount(self, start: Project, dx: float, dy: float, dz: float = 0.0) -> Project:
        """The project ``start`` with its top mount moved, mm in car coordinates.

        A strut's wheel follows. Where it can't be put together there, it stays and says why.
        """
        from kinematics.studies.cures_coilover import moved_mount  # slow to import

        try:
            return moved_mount(start, dx, dy, dz, None)
        except ClearstrokeError as error:
            self.said.emit(str(error))
            return start

    def _apply(self, project: Project) -> bool:
        """Take a project if it can stand, else say why not."""
        try:
            self._take(project)
        except ClearstrokeError as error:
            self.said.emit(str(error))
            return False
        return True

    def _take(self, project: Project) -> None:
        """Take a project, work out the present position at once, ask for the rest."""
        turned = self.project is not None and self.project.side != project.side
        self._stand(project)
        self.revision += 1
        if turned:
            self.mount_start, self.ground = live.top_mount(project), None
            self.reseated.emit()
        self.changed.emit()
        self.moved.emit()
        if self.drag_start is not None:
            self._ask_coarse()
        else:
            self._later.start()

    def _stand(self, project: Project) -> None:
        """Show a project in the present position, or raise and leave things as they were."""
        if self.study is None:
            self.standing = live.stand(project, self.folder)
            self.project = project
            self.posed.emit()
            return
        kept = self.project, self.pose
        pose = live.fresh_pose(project, self.study, self.travel, self.rack, self.folder)
        self.project = project
        try:
            self._check(pose, self.study)
        except ClearstrokeError:
            self.project, self.pose = kept
            self.posed.emit()
            raise

    # --- a fix looked at, not yet applied -------------------------------------------------

    def preview(self, project: Project) -> bool:
        """Show a changed project beside the present one, without a step of undo."""
        start = self.previewed or self.project
        if start is None:
            return False
        if self.before is None and self.previewed is None:
            self.keep()
        self.previewed = start
        return self._apply(project)

    def accept(self, what: str) -> None:
        """What is previewed becomes the project, as one step of undo."""
        start, self.previewed = self.previewed, None
        if start is not None and self.project is not None and start != self.project:
            self.stack.push(Change(self, start, self.project, what))

    def drop_preview(self) -> None:
        """Back to the project as it is."""
        start, self.previewed = self.previewed, None
        if start is not None:
            self._apply(start)
            if self.before is not None:
                self.keep()

    # --- before and after -----------------------------------------------------------------

    def keep(self) -> None:
        """Keep the present state as before; a second time lets it go."""
        self.before = self.study if self.before is None and self.checked else None
        self.compared.emit()

    # --- studies --------------------------------------------------------------------------

    def _ask_first(self) -> None:
        """How it moves, so that a hand can pull the wheel while the rest is checked."""
        if (project := self.project) is not None:
            folder = self.folder
            self.jobs.ask(
                "first", self.revision, lambda _progress, _cancelled: live.movable(project, folder)
            )

    def _ask(self) -> None:
        if self.project is None or self.drag_start is not None:
            return
        project, folder = self.project, self.folder

        def job(progress: Progress, cancelled: Asked) -> Study:
            return live.full(project, progress, cancelled, folder)

        self.jobs.ask("study", self.revision, job)

    def _ask_coarse(self) -> None:
        """Curves that follow the sliding mount, a few travel samples fine."""
        if self.project is None or self.study is None:
            return
        if self.jobs.busy == "coarse" or self._rest.isActive():
            self._coarse_wanted = True
            return
        self._coarse_wanted = False
        project, before, rack = self.project, self.study, self.rack

        def job(progress: Progress, cancelled: Asked) -> Study:
            return live.coarse(project, before, rack, cancelled)

        self.jobs.cancel("study")
        self.jobs.ask("coarse", self.revision, job)

    _coarse_wanted = False

    def _ask_coarse_if_wanted(self) -> None:
        # Once the hand has let go, a late coarse study would drive out the full one.
        if self._coarse_wanted and self.drag_start is not None:
            self._ask_coarse()

    def _done(self, kind: str, tag: object, result: Any) -> None:
        if kind == "map" and tag == self.revision:
            self.ground = result
            self.mapped.emit()
            if self.steered and not result.whole:
                self._ask_map(whole=True)
        if kind not in ("first", "study", "coarse"):
            return
        if kind != "coarse" and tag != self.revision:
            return
        if kind == "coarse":
            if self.drag_start is None:
                return
            self.study = result
            self.studied.emit()
            self._rest.start()
            return
        self.study, self.checked = result, kind == "study"
        low, high = self.limits
        self.travel = min(max(self.travel, low), high)
        try:
            self._check(live.pose(result, self.travel, self.rack), result)
        except ClearstrokeError as error:
            self.said.emit(str(error))
        self.studied.emit()
        self.moved.emit()
        if self.checked:
            self._ask_map()

    def _ask_map(self, whole: bool = False) -> None:
        """Every place of the mount about where it first stood, after a study.

        Straight ahead first; ``whole`` : a steered corner lock to lock.
        """
        study, place = self.study, self.offset()
        if study is None or place is None:
            return
        steps = np.linspace(-MAP_REACH, MAP_REACH, MAP_STEPS)

        def job(progress: Progress, cancelled: Asked) -> Ground:
            fore, inward = steps - place[0], steps - place[1]
            rack = np.asarray(study.rack) if whole else np.zeros(1)
            found = live.mapped(study, fore, inward, _quiet, cancelled, rack)
            return ground_of(found, steps, study.names, whole)

        self.jobs.ask("map", self.revision, job)

    def offset(self) -> tuple[float, float] | None:
        """Forward and inward, mm, of the mount from where it first stood."""
        top = live.top_mount(self.project)
        if top is None or self.mount_start is None or self.project is None:
            return None
        move = top - self.mount_start
        out = 1.0 if self.project.side == "left" else -1.0
        return float(move[0]), float(-move[1] * out)

    def _failed(self, kind: str, tag: object, sentence: str) -> None:
        if kind == "map":
            self.ground = None  # a strut's mount moves the wheel: there is no map of it yet
            self.mapped.emit()
        elif tag == self.revision and kind != "first":
            self.said.emit(sentence)

    def _keep_aside(self) -> None:
        if self.project is not None and self.dirty and self.drag_start is None:
            recovery.keep(self.project)

    def close(self) -> None:
        """Stop the worker."""
        for timer in (self._later, self._rest, self._aside):
            timer.stop()
        self.jobs.close()


def _quiet(share: float) -> None:
    """The map is a gift, not something waited for: no progress is shown."""


class Change(QUndoCommand):
    """One step of undo: the project before and after. The first redo finds it done already."""

    def __init__(self, document: Document, before: Project, after: Project, what: str) -> None:
        super().__init__(what)
        self.document, self.before, self.after = document, before, after
        self.first = True

    def redo(self) -> None:
        """Do it again."""
        if not self.first:
            self.document.previewed = None
            self.document._apply(self.after)
        self.first = False

    def undo(self) -> None:
        """Take it back."""
        self.document.previewed = None
        self.document._apply(self.before)
