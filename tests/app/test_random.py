"""Random hands: nothing is lost, nothing grows, nothing raises; undo brings all of it back."""

from __future__ import annotations

import logging
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QUndoCommand
from PySide6.QtPrintSupport import QPrintDialog
from PySide6.QtWidgets import QApplication, QFileDialog, QInputDialog, QWidget

from app import examples
from app.document import live, results
from app.document.jobs import Asked, Job, Jobs, Progress
from app.document.steps import Change
from app.fixes import room as fixes_room
from app.window.actions import STARTS
from app.window.importing import ScanCard
from kinematics.errors import ClearstrokeError
from kinematics.project.model import Project
from kinematics.studies.cures import Choice, cures_of
from kinematics.studies.fix import Remedy
from kinematics.studies.fixes import fixes
from kinematics.studies.study import Study, set_up, study, travels
from tests.app.census import Census, census, least, put_back, rest, told
from tests.app.conftest import AS_SHIPPED, Driver
from tests.app.random_answers import Answers
from tests.app.random_hands import EXPORTS, Hands

TRIED = 3  # fixes of each corner
EVERY = 100  # actions after which all of it is undone
SLOW = frozenset({"resize", "fixes", "export", "drop", "plot", "fresh", "save", "beside", "menu",
                  "measure", "springs", "mount"})  # fmt: skip
GROWN = 12.0  # MB in use that 900 actions may leave behind: pictures, the driver's own, caches
BLOCKS = 30_000  # of Python's own small pieces that 900 actions may leave: about 2 MB. A rest
# and its counting leave some 1,300 by themselves.
RESIDENT = 40.0  # MB that 900 actions may add to what is resident: see the test


class Complaints(logging.Handler):
    """What went wrong where nobody is told: in a worker, or where the toolkit only prints it."""

    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self.heard: list[str] = []
        self.first: BaseException | None = None

    def emit(self, record: logging.LogRecord) -> None:
        self.hear(record.getMessage(), record.exc_info[1] if record.exc_info else None)

    def hook(self, kind: type[BaseException], error: BaseException, trace: object) -> None:
        """In the place of the interpreter's own."""
        self.hear(f"{kind.__name__}: {error}", error)

    def hear(self, what: str, error: BaseException | None) -> None:
        self.heard.append(what)
        self.first = self.first or error


def coarsely(
    project: Project, progress: Progress, cancelled: Asked, folder: Path | None = None
) -> Study:
    """A study of a few positions."""
    wanted = travels(set_up(project, folder), 7)
    return study(project, travel=wanted, progress=progress, cancelled=cancelled, folder=folder)


def a_few(
    project: Project,
    progress: Progress,
    cancelled: Asked,
    folder: Path | None,
    choice: Choice,
    told: object,
) -> tuple[Remedy, ...]:
    """Some of the fixes, so that cards come while there is a hand to click them."""
    names = [cure.name for cure in cures_of(project) if choice.allows(cure.name, cure.family)]
    only = frozenset(names[:: max(1, len(names) // TRIED)][:TRIED])
    return fixes(project, progress, cancelled, folder, replace(choice, only=only), told)


@pytest.fixture
def answers(tmp_path: Path) -> Answers:
    """A folder to write to, with a few files that are of no use; a mesh beside it."""
    folder = tmp_path / "written"
    folder.mkdir()
    (folder / "broken.corner.json").write_text('{"title": ')
    (folder / "curve.csv").write_text("travel,camber\n-20,-1.5\n0,-1\n20,-0.6\n")
    (folder / "notes.txt").write_text("nothing to be read")
    mesh = tmp_path / "tank.stl"
    box = trimesh.creation.box(extents=(60, 60, 90))
    box.apply_translation((0, 100, 500))
    box.export(mesh)
    return Answers(folder, mesh)


@pytest.fixture
def coarse(shared: Driver, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is tried here are hands: what they ask for is worked out as coarsely as can be, and
    each time anew."""
    monkeypatch.setattr(live, "full", coarsely)
    monkeypatch.setattr(live, "movable", AS_SHIPPED.really_movable)
    monkeypatch.setattr(live, "mapped", AS_SHIPPED.really_mapped)
    monkeypatch.setattr(live, "COARSE", 9)
    monkeypatch.setattr(results, "MAP_STEPS", 3)
    monkeypatch.setattr(fixes_room, "fixes", a_few)


@pytest.fixture
def quiet(
    coarse: None, driver: Driver, answers: Answers, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Driver]:
    """Dialogs that wait for a builder are answered at once; the window is left as it was."""
    monkeypatch.setattr(QFileDialog, "getOpenFileName", answers.open)
    monkeypatch.setattr(QFileDialog, "getSaveFileName", answers.save)
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_a: str(answers.folder))
    monkeypatch.setattr(QInputDialog, "getText", answers.words)
    monkeypatch.setattr(QPrintDialog, "exec", lambda _self: QPrintDialog.DialogCode.Rejected)
    monkeypatch.setattr(ScanCard, "exec", lambda card: answers.scan(card))
    monkeypatch.setattr(driver.window.actions_, "ask_to_save", answers.leave)
    yield driver
    put_back(driver)
    driver.window.theme.choose("light")
    driver.window.setGeometry(QRect(0, 0, 1280, 800))
    driver.document.stack.setClean()


def spree(
    driver: Driver,
    answers: Answers,
    count: int,
    seed: int,
    after: Callable[[Hands], object] = lambda _: None,
    settle: Callable[[], object] | None = None,
    without: frozenset[str] = frozenset(),
) -> None:
    """So many actions; now and then, and at the end, everything undone.

    after : done after each; settle : has everything checked, else what the driver does; without :
    ways that are not gone.
    """
    hands, document, complaints = Hands(driver, answers, seed), driver.document, Complaints()
    hook, sys.excepthook = sys.excepthook, complaints.hook
    logging.getLogger().addHandler(complaints)
    hands.leave_out(without)
    document.opened.connect(hands.opened)
    try:
        for k in range(1, count + 1):
            hands.act()
            after(hands)
            if complaints.heard:
                said = f"seed {seed}, after {k}: {complaints.heard[0]} after {list(hands.did)}"
                raise AssertionError(said) from complaints.first
            assert not (wrong := what_is_wrong(driver, hands)), (
                f"seed {seed}, after {k}: {wrong} after {list(hands.did)}"
            )
            if k % EVERY == 0 or k == count:
                put_back(driver)
                came_back(driver, hands, settle or driver.settle)
        assert not complaints.heard, (complaints.heard, list(hands.did))
    finally:
        sys.excepthook = hook
        logging.getLogger().removeHandler(complaints)
        document.opened.disconnect(hands.opened)


class ByHand:
    """A worker that works when it is told to, in the screen's thread: the same each time."""

    def __init__(self, jobs: Jobs, monkeypatch: pytest.MonkeyPatch) -> None:
        self.jobs, self.waiting = jobs, dict[str, tuple[object, Job]]()
        monkeypatch.setattr(jobs, "ask", self.ask)
        monkeypatch.setattr(jobs, "cancel", self.cancel)

    def ask(self, kind: str, tag: object, job: Job, ahead: bool = False) -> None:
        self.waiting[kind] = tag, job

    def cancel(self, kind: str | None = None) -> None:
        for each in [kind] if kind else list(self.waiting):
            self.waiting.pop(each, None)

    def work(self, kinds: tuple[str, ...]) -> None:
        """What waits of these kinds; the rest is let go."""
        for kind, (tag, job) in [(k, self.waiting.pop(k)) for k in kinds if k in self.waiting]:
            try:
                self.jobs.done.emit(kind, tag, job(lambda _: None, lambda: False))
            except ClearstrokeError as error:
                self.jobs.failed.emit(kind, tag, str(error))
        self.waiting.clear()


def test_a_short_spree_loses_nothing(
    quiet: Driver, answers: Answers, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same hands each time: nothing waits for a thread or a clock."""
    document, window = quiet.document, quiet.window
    window.resize(1000, 640)

    def check() -> None:
        document._later.stop()
        document._ask()
        worker.work(("first", "study"))

    def after(hands: Hands) -> None:
        if window._play.isActive():
            window.play()

    with monkeypatch.context() as patch:
        worker = ByHand(document.jobs, patch)
        for jobs in (window.fixes.jobs, window.fixes.tools.jobs):
            ByHand(jobs, patch)
        spree(quiet, answers, 24, 7, after, check, SLOW)


def what_is_wrong(driver: Driver, hands: Hands) -> str:
    """What must never be, in words; empty where all is well."""
    document, window = driver.document, driver.window
    if not np.isfinite((document.travel, document.rack)).all():
        return "no travel"
    pieces = window.scene.pieces.values()
    if not pieces or not all(np.isfinite(p.pose).all() for p in pieces):
        return "no view"
    if (dialog := QApplication.activeModalWidget()) is not None:
        return f"a dialog is open: {dialog}"
    allowed = {window, window.actions_.sheet}
    left = [w for w in QApplication.topLevelWidgets() if w.isVisible() and is_window(w)]
    if strange := [w for w in left if w not in allowed]:
        return f"open beside: {strange}"
    if not window.isVisible():
        return "the window is gone"
    return "" if at_step(driver, hands) else "the project is not that of its step of undo"


def is_window(widget: QWidget) -> bool:
    """Whether it is more than a tip or a list that has not gone yet."""
    return widget.windowType() in (Qt.WindowType.Window, Qt.WindowType.Dialog)


def at_step(driver: Driver, hands: Hands) -> bool:
    """Whether the project is what the last step of undo made of it, and the next began from."""
    document, stack = driver.document, driver.document.stack
    shown = document.previewed or document.drag_start or document.project
    steps = [stack.command(k) for k in range(stack.count())]
    done, undone = changes(steps[: stack.index()]), changes(steps[stack.index() :])
    was = done[-1].after if done else hands.start
    return shown == was and (not undone or shown == undone[0].before)


def changes(steps: list[QUndoCommand]) -> list[Change]:
    """Those steps, and steps within steps, that change the project."""
    found: list[Change] = []
    for step in steps:
        inner = [step.child(k) for k in range(step.childCount())]
        found += [step] if isinstance(step, Change) else changes(inner)
    return found


def came_back(driver: Driver, hands: Hands, settle: Callable[[], object]) -> None:
    """All undone, done again and undone, the project is what it was and all of it on the stage."""
    document = driver.document
    document.drop_preview()
    last = document.project
    stack, at = document.stack, document.stack.index()
    stack.setIndex(0)
    assert document.project == hands.start, list(hands.did)
    stack.setIndex(at)
    assert document.project == last, list(hands.did)
    stack.setIndex(0)
    settle()
    low, high = document.limits
    assert low - 1e-6 <= document.travel <= high + 1e-6
    drawn = {s.name for s in live.dressed(document.project, document.folder)}
    assert set(driver.stage.scene.pieces) == drawn


def warm_up(driver: Driver, answers: Answers) -> None:
    """Everything that is made when it is first asked for is asked for once."""
    window, actions = driver.window, driver.window.actions_
    for path in (*examples.examples().values(), *examples.starts().values()):
        window.open(path, example=True)
        driver.settle()
    assert {name for _, name in STARTS} <= {*examples.examples(), *examples.starts()}
    for room in window.bar.rooms:
        window.enter(room)
        driver.app.processEvents()
    for word in window.describe.words:
        window.describe.go(word)
    for page in window.statics.pages:
        window.statics.enter(page)
    window.views.beside()
    actions.plot()
    driver.app.processEvents()
    for what in ("help", "tour", "distance", "through"):
        window.do(what)
    for what, kind in EXPORTS:
        actions.exports.write(what, answers.folder / f"export.{kind}")
    actions.exports.print_report()
    rest(driver)


@pytest.mark.campaign
@pytest.mark.parametrize("seed", range(20, 24))
def test_two_thousand_random_actions_without_growth(
    quiet: Driver, answers: Answers, seed: int
) -> None:
    """What is there at every rest of the last 900 actions is no more than in the 900 before.

    What was lost is there at every rest that follows; what a driver or a cache has taken for the
    time being is not: the driver's own of one and the same view was seen to go down by 10 MB and
    up by 7 from rest to rest. So the least of three rests is told against the least of the three
    before.

    What is in use is what was asked of the C library and not given back, and Python's own blocks.
    What is resident says less: it was measured to fall by 16 MB and to rise by 15 between two
    rests while what was in use changed by 6, for the heap has holes (90 to 130 MB of them) and the
    toolkit's libraries come in page by page (11 MB). So its limit is wide, and the most of three
    rests is told against the most of the three before.
    """
    began, spent = time.monotonic(), time.process_time()
    warm_up(quiet, answers)
    spree(quiet, answers, 200, seed)  # caches fill
    counted = [census(quiet)]
    for part in range(6):
        spree(quiet, answers, 300, 1000 * seed + part)
        counted.append(census(quiet))
        print(f"seed {seed}, 300 actions: {more(counted[-2], counted[-1])}", flush=True)
    before, now = least(counted[1:4]), least(counted[4:7])
    print(f"seed {seed}, the second 900: {more(before, now)}", flush=True)
    took = (time.monotonic() - began) / 60, (time.process_time() - spent) / 60
    print(f"seed {seed}: {took[0]:.1f} min, {took[1]:.1f} of the processors'", flush=True)
    toolkit, ours = now.more_than(before)
    assert not toolkit, told(toolkit)
    assert sum(ours.values()) < 200, told(ours)
    assert now.in_use - before.in_use < GROWN
    assert now.blocks - before.blocks < BLOCKS
    assert now.memory - before.memory < RESIDENT


def more(before: Census, now: Census) -> str:
    """What came, in words."""
    toolkit, ours = now.more_than(before)
    held = (
        f"{before.in_use:.1f} to {now.in_use:.1f} MB in use, "
        f"{before.blocks} to {now.blocks} blocks, "
        f"{before.memory:.0f} to {now.memory:.0f} MB resident"
    )
    return f"{told(toolkit)}; {told(ours)}; {held}"
