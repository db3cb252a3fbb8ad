"""What is known of a project: its studies, the present position, where its mount can go.

Asked of a worker, and dropped when the project has moved on meanwhile.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QObject, QTimer, Signal

from app.document import live
from app.document.jobs import Asked, Jobs, Progress, gently
from app.document.mapping import Question, work_out
from app.document.places import Ground
from app.document.plane import Spot3, Wanted
from app.document.tree import in_words
from kinematics.errors import ClearstrokeError, ProjectError
from kinematics.project.model import Project
from kinematics.shapes.skins import Placement
from kinematics.studies.study import Study

Array = NDArray[np.float64]
SLACK = 1e-6  # mm
STOPPED = "The check was stopped. Esc begins it again."
MAP_STEPS = 41  # places a side of the map of the mount


class Results(QObject):
    """A project, and all that is worked out about it."""

    opened = Signal()
    changed = Signal()  # the project, its name or whether it is saved
    studied = Signal()  # a new study: curves, bands, findings
    posed = Signal()  # the poses of a new position, before its clearances are known
    moved = Signal()  # travel, steer or poses, all known
    reseated = Signal()  # the corner went to the other side of the car
    mapped = Signal()  # where the mount can go was worked out, or is no longer known
    mapping = Signal(float)  # share done of that map; negative when none is worked out
    drawn = Signal(object, object, float)  # from the worker: a map as far as it is, of a question
    compared = Signal()  # the state kept as before
    said = Signal(str)  # one sentence to the builder
    working = Signal(float)  # share done of a study; negative when none runs

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.project: Project | None = None
        self.path: Path | None = None
        self.study: Study | None = None
        self.checked = False  # whether the study on show holds clearances
        self.rough = False  # whether it is one that only follows a hand
        self.ended = ""  # the sentence in which the check of this project ended, if it did so
        self.now: Study | None = None
        self.pose: live.Pose | None = None  # the position shown; ``now`` once it is checked
        self.standing: Mapping[str, Placement] = {}  # poses at set-up height, before any study
        self.travel = 0.0
        self.rack = 0.0
        self.wanted_travel = 0.0  # where it was put: an edit may push it, the next one lets it back
        self.ground: Ground | None = None
        self.wanted = Wanted()  # the plane in which the mount's places are looked at
        self._asked: tuple[int, Question] | None = None  # the revision that is mapped, and how
        self.mount_start: Array | None = None  # where the top mount stood when opened
        self.revision = 0
        self.drag_start: Project | None = None
        self.jobs = Jobs(self)
        self.jobs.done.connect(self._done)
        self.jobs.failed.connect(self._failed)
        self.jobs.progressed.connect(lambda kind, share: self.working.emit(share))
        self.jobs.idle.connect(lambda: self.working.emit(-1.0))
        self.jobs.idle.connect(lambda: self.mapping.emit(-1.0))
        self.drawn.connect(self._drawn)
        self._later = QTimer(self, interval=90, singleShot=True)
        self._later.timeout.connect(self._ask)
        self._rest = QTimer(self, interval=30, singleShot=True)  # between coarse studies
        self._rest.timeout.connect(self._ask_coarse_if_wanted)

    @property
    def folder(self) -> Path | None:
        """Where the project's scans lie: beside its file."""
        return None if self.path is None else self.path.parent

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
        self.wanted_travel = min(max(travel, low), high)
        self._move(self.wanted_travel, self.rack)

    def set_rack(self, rack: float) -> None:
        """Steer; past the rack's end it stops there."""
        low, high = self.rack_limits
        self._move(self.travel, min(max(rack, low), high))

    def _move(self, travel: float, rack: float) -> None:
        project, study = self.project, self.study
        if (travel, rack) == (self.travel, self.rack) or project is None or study is None:
            return
        self.travel, self.rack = travel, rack
        try:
            pose = live.posed(project, self.pose, study, travel, rack, self.folder)
            self._check(pose, study)
        except ClearstrokeError as error:
            self.said.emit(str(error))
        self.moved.emit()

    def _check(self, pose: live.Pose, found: Study, known: Study | None = None) -> None:
        """Let the screen begin on a position while it is measured, unless it is known."""
        self.pose = pose
        self.posed.emit()
        self.now = known or live.check(pose, found)

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
        self.stop_map()  # what is to be mapped is not known yet
        project, folder = self.project, self.folder

        known = live.in_other_units(self.study, project, folder) if self.checked else None

        def job(progress: Progress, cancelled: Asked) -> Study:
            return known or live.full(project, progress, cancelled, folder)

        self.jobs.ask("study", self.revision, job)

    @property
    def known(self) -> Study | None:
        """The whole check of the project as it is; None while there is none."""
        study = self.study
        if study is None or study.project is not self.project or not self.checked or self.rough:
            return None
        return study

    def stop(self) -> None:
        """Stop what runs. A check that was stopped says so, and can be begun again."""
        checking = self.jobs.busy in ("first", "study")
        self.jobs.cancel()
        if checking and self.known is None:
            self._end(STOPPED)

    def again(self) -> bool:
        """Begin a check again that was stopped; whether there was one."""
        if self.ended != STOPPED:
            return False
        self.ended = ""
        self.studied.emit()
        self._ask()
        return True

    def _ask_coarse(self) -> None:
        """Curves that follow the sliding mount, a few travel samples fine."""
        if self.project is None or self.study is None or self.pose is None:
            return
        if self.jobs.busy == "coarse" or self._rest.isActive():
            self._coarse_wanted = True
            return
        self._coarse_wanted = False
        setting, before, rack = self.pose.setting, self.study, self.rack

        def job(progress: Progress, cancelled: Asked) -> Study:
            return live.coarse(setting, before, rack, gently(cancelled))

        self.stop_map()
        self.jobs.cancel("study")
        self.jobs.ask("coarse", self.revision, job)

    _coarse_wanted = False

    def _ask_coarse_if_wanted(self) -> None:
        # Once the hand has let go, a late coarse study would drive out the full one.
        if self._coarse_wanted and self.drag_start is not None:
            self._ask_coarse()

    def _done(self, kind: str, tag: object, result: Any) -> None:
        asked = self._asked
        if kind == "map" and asked is not None and asked is tag and asked[0] == self.revision:
            self.ground = result
            self.mapped.emit()
            self.mapping.emit(-1.0)
        if kind not in ("first", "study", "coarse"):
            return
        if kind != "coarse" and tag != self.revision:
            return
        if kind == "coarse":
            if self.drag_start is None:
                return
            self.study, self.rough = result, True
            self.studied.emit()
            self._rest.start()
            return
        self.study, self.checked, self.rough = result, kind == "study", False
        if self.checked:
            self.ended = ""
        low, high = self.rack_limits  # an edit may have brought its ends nearer
        self.rack = min(max(self.rack, low), high)
        low, high = self.limits
        self.travel = min(max(self.wanted_travel, low), high)
        try:
            self._check(live.pose(result, self.travel, self.rack), result)
        except ClearstrokeError as error:
            self.said.emit(str(error))
        self.studied.emit()
        self.moved.emit()
        if self.checked:
            self._ask_map()

    def look_at(self, wanted: Wanted) -> None:
        """Map the mount's places in another plane."""
        if wanted != self.wanted:
            self.wanted = wanted
            self._ask_map()

    def _ask_map(self) -> None:
        """Every place of the mount about where it first stood, after a study."""
        study, place = self.study, self.offset3()
        if study is None or place is None or not self.checked:
            return
        asked = self.revision, Question(study, place, self.wanted, MAP_STEPS)
        self._asked = asked

        def job(progress: Progress, cancelled: Asked) -> Ground:
            def show(ground: Ground, share: float) -> None:
                if not cancelled():
                    self.drawn.emit(asked, ground, share)

            return work_out(asked[1], show, cancelled)

        self.mapping.emit(0.0)
        self.jobs.ask("map", asked, job)

    def stop_map(self) -> None:
        """Leave the map as far as it is."""
        self.jobs.cancel("map")
        self._asked = None
        self.mapping.emit(-1.0)

    def _drawn(self, asked: tuple[int, Question], ground: Ground, share: float) -> None:
        """The map has got finer, or only a share further."""
        if asked is not self._asked or asked[0] != self.revision:
            return
        if ground is not self.ground:
            self.ground = ground
            self.mapped.emit()
        self.mapping.emit(share)

    def offset(self) -> tuple[float, float] | None:
        """Forward and inward, mm, of the mount from where it first stood."""
        place = self.offset3()
        return None if place is None else place[:2]

    def offset3(self) -> Spot3 | None:
        """Forward, inward and up, mm, of the mount from where it first stood."""
        top = live.top_mount(self.project)
        if top is None or self.mount_start is None or self.project is None:
            return None
        move = top - self.mount_start
        out = 1.0 if self.project.side == "left" else -1.0
        return float(move[0]), float(-move[1] * out), float(move[2])

    def _reseat(self, was: Project | None) -> None:
        """Where the mount first stood, now that the project is another than ``was``."""
        if live.top_mount(was) is None:  # a coilover came: it first stands where it does now
            self.mount_start = live.top_mount(self.project)
        if was is not None and self.project is not None and was.side != self.project.side:
            if self.mount_start is not None:
                self.mount_start = self.mount_start * (1.0, -1.0, 1.0)
            self.ground = None
            self.reseated.emit()

    def _failed(self, kind: str, tag: object, sentence: str) -> None:
        if kind == "map":
            self.ground = None
            self.mapped.emit()
            self.mapping.emit(-1.0)
            self.said.emit(sentence)
        elif tag == self.revision and kind == "study":
            self._end(sentence)
        elif tag == self.revision and kind != "first":
            self.said.emit(sentence)

    def _end(self, sentence: str) -> None:
        """The check has come to no result: what is known is how the corner moves, at most."""
        words = in_words(ProjectError(sentence))
        self.ended = f"{words[:1].upper()}{words[1:]}"
        self.said.emit(self.ended)
        if self.study is None or self.study.project is self.project:
            self.studied.emit()
        else:
            self._ask_first()
