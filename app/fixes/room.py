"""The room of fixes: ranked as they are found, shown at a click, applied by one more."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.document.document import Document
from app.document.jobs import Asked, Jobs, Progress
from app.fixes.card import FixCard
from app.fixes.choice import FixesChoice
from app.fixes.share import ShareLine
from app.fixes.tools import FixTools
from app.fixes.words import below, in_paragraphs, told_of
from app.look.halo import unbroken
from app.look.scroll import EDGE, Scroll, right_edge
from app.look.sheets import pick_sheet, room_sheet
from app.look.theme import Theme
from app.look.type import font
from app.told import told
from kinematics.project.model import Project
from kinematics.studies.cures import MOVED, PLATED, Choice, families
from kinematics.studies.fix import Remedy
from kinematics.studies.fixes import fixes

STILL = 0.25
"""s for which the hand must be at rest before fixes are tried on."""
MAPPED = {MOVED, PLATED}
"""Fixes that the map gives: no single amount of theirs can be put with another's."""
MOST = 14
"""Fixes listed; the rest do little or nothing, or cost too much elsewhere, and are told below."""


@told
class FixesRoom(QWidget):
    """The list beside the stage. ``found`` hands a remedy over from the worker."""

    found = Signal(object, object)

    def __init__(self, theme: Theme, document: Document) -> None:
        super().__init__()
        self.theme, self.document = theme, document
        self.remedies: list[Remedy] = []
        self.project: Project | None = None  # what the remedies are for
        self._run = object()  # what is looked for now
        self.cards: dict[str, FixCard] = {}
        self.looked = ""  # the fix the stage shows
        self.share = -1.0
        self._moved_at = 0.0
        self.jobs = Jobs(self)
        self.heading, self.state = QLabel("Fixes"), QLabel("")
        self.stop, self.which = QPushButton("Stop"), QPushButton("What is tried")
        self.choice = FixesChoice(theme)
        self.tools = FixTools(theme, self._resting)
        self.others = QLabel("")
        self._lay_out()
        self._connect()
        self._dress()

    def _lay_out(self) -> None:
        self.page = QWidget()
        self.column = QVBoxLayout(self.page)
        self.column.setSpacing(0)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.list = QVBoxLayout()
        self.list.setSpacing(0)
        self.area = Scroll()
        buttons = QHBoxLayout()
        buttons.addWidget(self.which)
        for button in self.tools.buttons:
            buttons.addWidget(button)
        buttons.addStretch(1)
        self.buttons = buttons
        for label in (self.state, self.others):
            label.setWordWrap(True)
        self.others.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.head = QVBoxLayout()
        self.head.addWidget(self.heading)
        told = QHBoxLayout()
        told.addWidget(self.state, 1)
        told.addWidget(self.stop)
        self.head.addLayout(told)
        self.bar = ShareLine(self.theme)
        self.head.addWidget(self.bar)
        self.head.addLayout(buttons)
        self.head.addWidget(self.choice)
        self.head.addWidget(self.tools)
        self.choice.hide()
        self.stop.hide()
        self.foot = QVBoxLayout()
        self.foot.addWidget(self.others)
        self.column.addLayout(self.head)
        self.column.addLayout(self.tools.list)
        self.column.addLayout(self.list)
        self.column.addLayout(self.foot)
        self.column.addStretch(1)
        self.area.setWidget(self.page)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(self.area)

    def _connect(self) -> None:
        document = self.document
        self.stop.clicked.connect(self.halt)
        self.which.setCheckable(True)
        self.which.toggled.connect(self._choose)
        self.tools.opened.connect(lambda: self.which.setChecked(False))
        self.tools.looked.connect(self._look_at)
        self.tools.applied.connect(self._take)
        self.tools.dropped.connect(self.leave)
        self.tools.said.connect(document.said.emit)
        self.choice.chosen.connect(self.begin)
        self.found.connect(self._found)
        self.jobs.progressed.connect(self._progressed)
        self.jobs.done.connect(self._done)
        self.jobs.failed.connect(self._failed)
        document.studied.connect(self._studied)
        document.changed.connect(self._changed)
        document.opened.connect(self._opened)
        document.moved.connect(self._touch)
        self.theme.changed.connect(self._dress)

    # --- looking for them ---------------------------------------------------------------------

    def begin(self) -> None:
        """Look for fixes of the project as it is."""
        project = self.document.previewed or self.document.project
        if project is None:
            return
        self.leave()
        self.project, self.remedies, self.share = project, [], 0.0
        if self.document.ended:  # what can't be checked can't be put right
            self.halt()
            return
        self.choice.offer(project, families(project))
        choice, folder, run = self.choice.choice, self.document.folder, object()
        self._run = run  # else what was still found of another choice would be listed too

        def job(progress: Progress, cancelled: Asked) -> None:
            self._look(project, choice, folder, progress, cancelled, run)

        self.tools.begin(project, folder, choice.own)
        self.jobs.ask("fixes", run, job)
        self._show()

    def _look(
        self,
        project: Project,
        choice: Choice,
        folder: Path | None,
        progress: Progress,
        cancelled: Asked,
        run: object,
    ) -> None:
        """In the worker: all fixes, each told as soon as it is known."""

        fixes(
            project, progress, self._resting(cancelled), folder, choice,
            lambda r: self.found.emit(run, r),
        )  # fmt: skip

    def _resting(self, cancelled: Asked) -> Asked:
        """Asked at every try, in a worker: waits while the wheel is pulled: the hand is first."""

        def asked() -> bool:
            while time.monotonic() - self._moved_at < STILL and not cancelled():
                time.sleep(0.02)
            return cancelled()

        return asked

    def _choose(self, on: bool) -> None:
        self.choice.setVisible(on)
        if on:
            self.tools.close_panels()

    def halt(self) -> None:
        """Stop looking; what was found stays."""
        self.jobs.cancel("fixes")
        self.share = -1.0
        self._show()

    def close_jobs(self) -> None:
        """Stop the workers."""
        self.jobs.close()
        self.tools.jobs.close()

    def _found(self, run: object, remedy: Remedy) -> None:
        if run is self._run:
            self.remedies = sorted([*self.remedies, remedy], key=lambda r: r.rank)
            self._show()

    def _progressed(self, kind: str, share: float) -> None:
        if self.share >= 0.0:
            self.share = share
            self._say_state()

    def _done(self, kind: str, run: object, nothing: object) -> None:
        if run is self._run:
            self.share = -1.0
            self._show()

    def _failed(self, kind: str, run: object, sentence: str) -> None:
        if run is not self._run:
            return
        self.share = -1.0
        self.document.said.emit(sentence)
        self._show()

    # --- what the document does ---------------------------------------------------------------

    def _touch(self) -> None:
        self._moved_at = time.monotonic()

    def _opened(self) -> None:
        self.jobs.cancel("fixes")
        self.project, self.remedies, self.looked, self.share = None, [], "", -1.0
        self._run = object()
        self.tools.forget()
        self.choice.own, self.choice.without = (), set()
        self._show()

    def _studied(self) -> None:
        if self.isVisible() and self._stale and self.document.drag_start is None:
            self.begin()
        else:
            self._say_state()  # what was found may have waited for the check

    @property
    def _stale(self) -> bool:
        """Whether what is listed is not of the project as it is."""
        return (self.document.previewed or self.document.project) is not self.project

    def _changed(self) -> None:
        if self.document.previewed is None and self.looked:
            self.looked = ""
            self._show()
        else:
            self._say_state()  # an undo may lead back to the project that is listed

    def showEvent(self, event: object) -> None:
        if self._stale and self.document.study is not None:
            self.begin()

    # --- looking at one and taking it ---------------------------------------------------------

    def look(self, name: str) -> None:
        """Show a fix on the corner beside what it is now."""
        remedy = next((r for r in self.remedies if r.name == name), None)
        if remedy is not None and remedy.fix is not None:
            self._look_at(name, remedy.fix.project)

    def _look_at(self, name: str, project: Project) -> None:
        if not self._stale and self.document.preview(project):
            self.looked = name
            for key, card in self._all_cards():
                card.show_looked(key == name)
            self._say_state()

    def apply(self, name: str) -> None:
        """Make a fix the project, as one step of undo."""
        remedy = next((r for r in self.remedies if r.name == name), None)
        if remedy is not None and remedy.fix is not None:
            self._take(name, remedy.fix.project, remedy.fix.words)

    def _take(self, name: str, project: Project, words: str) -> None:
        if self.looked != name:
            self._look_at(name, project)
        if self.looked == name:
            self.looked = ""
            self.document.accept(words[:1].lower() + words[1:])
            self.begin()

    def _all_cards(self) -> Iterator[tuple[str, FixCard]]:
        yield from self.cards.items()
        yield from self.tools.cards.items()

    def leave(self) -> None:
        """Take back what is only looked at."""
        if self.looked:
            self.looked = ""
            self.document.drop_preview()
            for _, card in self._all_cards():
                card.show_looked(False)
            self._say_state()

    def escape(self) -> bool:
        """Take back what is looked at, else stop what runs here; whether there was any of it."""
        if self.looked:
            self.leave()
        elif self.tools.share >= 0.0:
            self.tools.halt()
        elif self.share >= 0.0:
            self.halt()
        else:
            return False
        return True

    # --- showing ------------------------------------------------------------------------------

    def _show(self) -> None:
        good = [r for r in self.remedies if r.fix is not None]
        shown = {r.name: r for r in good[:MOST]}
        for name in [n for n in self.cards if n not in shown]:
            card = self.cards.pop(name)
            self.list.removeWidget(card)
            if card.hasFocus() or card.isAncestorOf(self.focusWidget() or self):
                self.setFocus()  # else the next key would press what stands first in the window
            card.hide()
            card.deleteLater()
        for k, (name, remedy) in enumerate(shown.items()):
            if name not in self.cards:
                self.cards[name] = self._card(remedy)
            if self.list.indexOf(self.cards[name]) != k:
                self.list.removeWidget(self.cards[name])
                self.list.insertWidget(k, self.cards[name])
            self.cards[name].show_looked(name == self.looked)
        self.tools.offer([r for r in good if r.count == 1 and r.name not in MAPPED])
        self._say_others(good[MOST:])
        self._say_state()

    def _card(self, remedy: Remedy) -> FixCard:
        units = self.project.units if self.project is not None else "mm"
        card = FixCard(self.theme, told_of(remedy, units))
        card.looked.connect(lambda: self.look(remedy.name))
        card.applied.connect(lambda: self.apply(remedy.name))
        card.dropped.connect(self.leave)
        return card

    def _say_others(self, less: list[Remedy]) -> None:
        units = self.project.units if self.project is not None else "mm"
        cant = [r for r in self.remedies if r.fix is None]
        self.others.setText(unbroken(in_paragraphs(below(less, cant, units))))
        self.others.setVisible(bool(self.others.text()))

    def _say_state(self) -> None:
        self.bar.show_share(self.share)
        self.state.setText(unbroken(self._state()))
        self.stop.setVisible(self.share >= 0.0)

    def _state(self) -> str:
        """Where the search stands, in one sentence."""
        study = self.document.study
        if study is None or self.document.project is None:
            return "Nothing is checked yet."
        if self.share >= 0.0:
            done = f"Trying fixes, {self.share:.0%} done{self.bar.left}."
            return f"{done} The best so far come first."
        if self._stale:
            return "The corner has changed; fixes are tried again once it is checked."
        if not self.remedies and not self.document.checked:
            ended = self.document.ended
            return f"No fix can be tried. {ended}" if ended else "Nothing is checked yet."
        if not self.remedies:
            return "Nothing touches and every rule is kept: there is nothing to fix."
        whole = sum(r.fix is not None and r.fix.cures_all for r in self.remedies)
        if len(self.remedies) == 1:
            return f"The one fix tried {'puts' if whole else 'does not put'} everything right."
        if whole:
            told = f"{whole} of {len(self.remedies)} fixes put everything right on their own."
            return told if self.looked else f"{told} Click one to see it on the corner."
        return f"None of {len(self.remedies)} fixes puts everything right on its own."

    def _dress(self) -> None:
        s, p = self.theme.scale, self.theme.palette
        edge, right = round(EDGE * s), right_edge(s)
        self.head.setContentsMargins(edge, round(12 * s), right, round(10 * s))
        self.head.setSpacing(round(8 * s))
        self.foot.setContentsMargins(edge, round(14 * s), right, round(24 * s))
        self.heading.setFont(font(22 * s, 600))
        self.state.setFont(font(15 * s, 500, False))
        self.others.setFont(font(13 * s, 400, False))
        self.others.setStyleSheet(f"color: {p.ink2};")
        self.tools.dress()
        self.buttons.setSpacing(round(6 * s))
        self.choice.message.setStyleSheet(f"color: {p.touch};")
        for button in (self.stop, self.which, *self.tools.buttons):
            button.setFont(font(14 * s, 500, False))
        self.setStyleSheet(
            room_sheet(p, "FixesRoom") + f"QPushButton:checked {{ background: {p.wash}; }}"
            f"{pick_sheet(p)}"
        )
        for _, card in self._all_cards():
            card.dress()
