"""The document: project, results, travel and undo. Widgets show it and ask it; nothing else.

Only undo commands change the project. Travel, steer, camera and selection are not undoable.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QUndoStack

from app.document import live, recents, recovery, tree
from app.document.fetching import Fetch, Ready, scans_of
from app.document.recovery import Left
from app.document.red import Along, Reds, standing
from app.document.results import Results
from app.document.steps import Change, Wait
from app.document.waiting import Described, Waiting
from kinematics.errors import ClearstrokeError
from kinematics.project import files
from kinematics.project.model import Project
from kinematics.studies.study import Study

STEPS = 1000
"""Steps of undo that are kept; each holds two projects, some 35 kB where a figure was typed."""

KEPT: Any = object()
"""What waits goes on to wait."""


class Document(Results):
    """One open project and all that is known about it."""

    claimed = Signal()  # something else is asked for while a hand holds or types: it lets go

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.example = False
        self.recovered = False
        self.seen = ""  # the state of the file when it was read or written here
        self.red: Reds = {}  # what is typed and can't be taken, also where its entry has gone
        self.along: Along | None = None  # how that goes with the next step
        self._not_kept = ""  # why unsaved work can't be kept aside, once said
        self.waiting: Waiting | None = None  # what is being described but can't stand yet
        self._described = Described()
        self.before: Study | None = None
        self.previewed: Project | None = None  # the project itself while a fix is shown on it
        self._for_look = False  # whether what is kept as before is so only for the fix looked at
        self.fetch: Fetch = lambda *_: Ready()
        self.stack = QUndoStack(self)
        self.stack.setUndoLimit(STEPS)
        self.stack.cleanChanged.connect(self._stacked)
        self.stack.indexChanged.connect(self._stacked)
        self._aside = QTimer(self, interval=1500, singleShot=True)
        self._aside.timeout.connect(self._keep_aside)
        self.changed.connect(self.keep_aside_soon)
        self.studied.connect(self._show_before_alike)

    def _stacked(self) -> None:
        self.changed.emit()

    # --- files ----------------------------------------------------------------------------

    def open(self, path: Path, example: bool = False) -> bool:
        """Open a project file; on failure the document stays as it is and says why."""
        try:
            seen = files.seen(path)  # before: what comes between is another's
            project, unfinished = files.read_all(path)
        except ClearstrokeError as error:
            self.said.emit(str(error))
            return False
        with suppress(ClearstrokeError):  # of what is wrong with a scan it is told below
            if self.fetch(project, path.parent, None, None) is None:
                return False
        if example:
            self.start(project, None, example, unfinished)
            return True
        self.start(project, path, unfinished=unfinished)
        self.seen = seen
        recents.remember(path)
        return True

    def start(
        self,
        project: Project,
        path: Path | None = None,
        example: bool = False,
        unfinished: Project | None = None,
        left: Left | None = None,
    ) -> None:
        """Begin with a project: no undo, nothing kept.

        ``unfinished`` can't stand yet; ``left`` says that it was never saved, and what stood red.
        """
        self._let_go()
        self.jobs.cancel()
        self.path, self.example, self.recovered = path, example, left is not None
        self.seen, self._not_kept = "" if left is None else left.seen, ""
        self.red = {} if left is None else dict(left.red)
        if left is None:
            recovery.drop()
        self.stack.clear()
        self.before = self.previewed = None
        self.study = self.now = self.pose = None
        self.checked, self.ended = False, ""
        self.travel = self.rack = self.wanted_travel = 0.0
        self.project = project
        self.waiting = None if unfinished is None else Waiting(project, unfinished)
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

    def recover(self, left: Left) -> None:
        """Go on with what was not saved when the program last ended."""
        self.start(left.project, left.path, unfinished=left.unfinished, left=left)

    def save(self, path: Path) -> bool:
        """Write the project; says why if it can't."""
        self._let_go()
        self.accept("apply a fix")
        if self.project is None:
            return False
        gone = path == self.path and self.seen and not path.exists()
        try:
            files.write(self.project, path, self.described)
        except (ClearstrokeError, OSError) as error:
            self.said.emit(str(error))
            return False
        self.path, self.example, self.recovered = path, False, False
        self.seen = files.seen(path)
        self.stack.setClean()
        self._keep_aside()
        if gone:
            self.said.emit(f'"{path.name}" was no longer there; it is written anew.')
        recents.remember(path)
        self.changed.emit()
        return True

    def versions(self) -> Iterator[Project]:
        """The project as it is, and as each step of undo and redo makes it."""
        assert self.project is not None
        yield self.project
        steps = [self.stack.command(k) for k in range(self.stack.count())]
        while steps:
            step = steps.pop()
            steps += [step.child(k) for k in range(step.childCount())]
            if isinstance(step, Change):
                yield from (step.before, step.after)

    @property
    def another_wrote(self) -> bool:
        """Whether the file is not as it was read or written here, and still there."""
        return self.path is not None and files.seen(self.path) not in ("", self.seen)

    @property
    def dirty(self) -> bool:
        """Whether the file lacks a change."""
        return self.recovered or not self.stack.isClean()

    @property
    def loses(self) -> bool:
        """Whether closing now would lose something: a change, or what is typed and stands red."""
        return self.dirty or bool(self.reds)

    @property
    def reds(self) -> Reds:
        """What is typed and can't be taken, by its entry."""
        return standing(self.red, self.described)

    def mark(self, path: tree.Path, text: str, error: str) -> None:
        """Keep what is typed in an entry and can't be taken; without an error it is right again."""
        if error:
            self.red[path] = text, error
        elif self.red.pop(path, None) is None:
            return
        self.keep_aside_soon()

    @property
    def described(self) -> Project | None:
        """The project with what waits: the corner as it is being described."""
        return self._described.of(self)

    # --- changing the project -------------------------------------------------------------

    def wait(self, waiting: Waiting | None, what: str) -> None:
        """Change only what waits, as one undo step."""
        self.stack.push(Wait(self, waiting, what))

    def begin_on(self, made: Project) -> None:
        """Show what waits as a hand has it; no step of undo yet."""
        if self.project is not None:
            self.waiting = Waiting(self.project, made)
            self.changed.emit()

    def edit(
        self, project: Project, what: str, strict: bool = False, waiting: Waiting | None = KEPT
    ) -> bool:
        """Change the project as one undo step, and in the same step what waits, if given.

        One that can't stand is refused in a sentence: said, or raised if ``strict``.
        """
        self._let_go()
        self.accept("apply a fix")
        before, waits = self.project, self.waiting
        if before is None or project == before:
            return False
        try:
            ready: Ready | None = Ready()
            if scans_of(project) != scans_of(before):
                ready = self.fetch(project, self.folder, self.pose, self.study)
            if ready is None:
                return False
            self.waiting = waits if waiting is KEPT else waiting
            self._take(project, ready.now)
        except ClearstrokeError as error:
            self.waiting = waits
            if strict:
                raise
            self.said.emit(str(error))
            return False
        self.stack.push(Change(self, before, project, what, (waits, self.waiting)))
        return True

    def begin(self) -> None:
        """A hand takes hold: what follows until :meth:`finish` is one step."""
        self._let_go()
        self.accept("apply a fix")
        self.drag_start = self.project

    def drag(self, project: Project) -> bool:
        """Show a project while the hand holds it; not once it was made to let go."""
        return self.drag_start is not None and project != self.project and self._apply(project)

    def finish(self, what: str) -> None:
        """The hand lets go: one undo step, none if it came back to where it started."""
        start, self.drag_start = self.drag_start, None
        if start is not None and self.project is not None and start != self.project:
            self._push(start, self.project, what)
        self._ask()

    def _push(self, before: Project, after: Project, what: str) -> None:
        self.stack.push(Change(self, before, after, what, (self.waiting, self.waiting)))

    def _let_go(self) -> None:
        """What is still held, as by an amount half typed, stays where it is: a step of its own."""
        if self.drag_start is not None:
            self.claimed.emit()
            self.finish("let go")

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

    def _take(self, project: Project, now: Study | None = None) -> None:
        """Take a project, work out the present position at once, ask for the rest.

        ``now``: it is known at a position already.
        """
        was = self.project
        self._stand(project, now)
        self.revision += 1
        self.ended = ""
        self._reseat(was)
        self.changed.emit()
        self.moved.emit()
        if self.drag_start is not None:
            self._ask_coarse()
        else:
            self._later.start()

    def _stand(self, project: Project, now: Study | None) -> None:
        """Show a project in the present position, or raise and leave things as they were."""
        if self.study is None:
            self.standing = live.stand(project, self.folder)
            self.project = project
            self.posed.emit()
            return
        kept = self.project, self.pose
        here = self.travel, self.rack
        if now is not None and (now.travel[0], now.rack[0]) == here:
            pose = live.Pose(now.setting, now.motion)
        else:
            now, pose = None, live.fresh_pose(project, self.study, *here, self.folder)
        self.project = project
        try:
            self._check(pose, self.study, now)
        except ClearstrokeError:
            self.project, self.pose = kept
            self.posed.emit()
            raise

    # --- a fix looked at, not yet applied -------------------------------------------------

    def preview(self, project: Project) -> bool:
        """Show a changed project beside the present one, without a step of undo."""
        self._let_go()
        start = self.previewed or self.project
        if start is None:
            return False
        if self.previewed is None:
            if mine := self.before is None:
                self.keep()
            self._for_look = mine
        self.previewed = start
        taken = self._apply(project)
        if not taken and self.project is start:  # nothing is looked at after all
            self.drop_preview()
        return taken

    def accept(self, what: str) -> None:
        """What is previewed becomes the project, as one step of undo."""
        start, self.previewed = self.previewed, None
        if start is not None and self.project is not None and start != self.project:
            self._push(start, self.project, what)

    def drop_preview(self) -> None:
        """Back to the project as it is."""
        start, self.previewed = self.previewed, None
        if start is not None:
            self._apply(start)
            if self._for_look and self.before is not None:
                self.keep()

    # --- before and after -----------------------------------------------------------------

    def keep(self) -> None:
        """Keep the present state as before; a second time lets it go."""
        self.before, self._for_look = self.known if self.before is None else None, False
        self.compared.emit()

    def _show_before_alike(self) -> None:
        """In the units of now: the two are drawn on one axis."""
        if self.before is not None and self.study is not None:
            self.before = live.in_units(self.before, self.study.project.units)

    def keep_aside_soon(self) -> None:
        """A little later, so that one writing serves many changes; never put off by the next."""
        if not self._aside.isActive():
            self._aside.start()

    def _keep_aside(self) -> None:
        if not self.loses or self.project is None:
            recovery.drop()
            return
        if self.drag_start is not None:
            self.keep_aside_soon()
            return
        project, described = self.project, self.described
        if self.previewed is not None:  # a fix that is only looked at is not in it yet
            project = described = self.previewed
            with suppress(ClearstrokeError):
                described = project if self.waiting is None else self.waiting.of(project)
        left = Left(project, described, self.path, self.seen, self.red)
        trouble = recovery.keep(left)
        if trouble and trouble != self._not_kept:
            self.said.emit(trouble)
        self._not_kept = trouble

    def close(self) -> None:
        """Stop the worker."""
        for timer in (self._later, self._rest, self._aside):
            timer.stop()
        self.jobs.close()
