"""Two fixes together, and a search over dimensions: asked for, worked out, and shown as cards."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from app.document.jobs import Asked, Jobs, Progress
from app.fixes.card import FixCard, Told
from app.fixes.pair import NONE, PairPanel, likeliest, splits
from app.fixes.search import SearchPanel
from app.fixes.share import ShareLine
from app.fixes.words import told_of, told_of_best
from app.look.theme import Theme
from kinematics.project.model import Project

if TYPE_CHECKING:
    from kinematics.studies.best import Best
    from kinematics.studies.cures import Own
    from kinematics.studies.fix import Remedy

PAIR, SEARCH = "pair", "search"
BEST = "the best found"


class FixTools(QWidget):
    """Both panels, at most one of them open, and what came of them.

    resting : makes of a question whether to stop one that waits for the hand. ``looked``,
    ``applied`` and ``dropped`` as of a card, with its name.
    """

    opened = Signal()
    looked = Signal(str, object)
    applied = Signal(str, object, str)
    dropped = Signal()
    said = Signal(str)

    def __init__(self, theme: Theme, resting: Callable[[Asked], Asked]) -> None:
        super().__init__()
        self.theme, self.resting = theme, resting
        self.project: Project | None = None
        self.folder: Path | None = None
        self.own: tuple[Own, ...] = ()
        self.cards: dict[str, FixCard] = {}
        self.pair, self.search = PairPanel(theme), SearchPanel(theme)
        self.line = ShareLine(theme)
        self.share = -1.0
        self.jobs = Jobs(self)
        self.buttons = (QPushButton("Two together"), QPushButton("Search"))
        self.list = QVBoxLayout()  # of cards, for the room to place
        self.list.setSpacing(0)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        for panel, button in zip((self.pair, self.search), self.buttons, strict=True):
            column.addWidget(panel)
            panel.hide()
            button.setCheckable(True)
            button.toggled.connect(lambda on, p=panel, b=button: self._open(p, b, on))
        column.addWidget(self.line)
        self.pair.stopped.connect(self.halt)
        self.search.stopped.connect(self.halt)
        self.pair.asked.connect(self._pair)
        self.search.asked.connect(self._search)
        self.jobs.progressed.connect(lambda kind, share: self._show_share(kind, share))
        self.jobs.done.connect(self._done)
        self.jobs.failed.connect(self._failed)
        self.hide()

    # --- open and closed ------------------------------------------------------------------

    def _open(self, panel: QWidget, button: QPushButton, on: bool) -> None:
        panel.setVisible(on)
        if on:
            for other in self.buttons:
                if other is not button:
                    other.setChecked(False)
            self.opened.emit()
        self.setVisible(any(each.isChecked() for each in self.buttons))

    def close_panels(self) -> None:
        """Neither is open; what runs goes on."""
        for button in self.buttons:
            button.setChecked(False)

    def begin(self, project: Project, folder: Path | None, own: tuple[Own, ...]) -> None:
        """Another project, or other fixes of one's own: what was found is of no use any more."""
        self._drop_found()
        self.project, self.folder, self.own = project, folder, own
        self.search.offer(project)
        self.pair.chosen = False

    def forget(self) -> None:
        """Another project is open: nothing is worked out of the one before, or kept of it."""
        self._drop_found()
        self.project, self.search.over = None, ()

    def _drop_found(self) -> None:
        """What runs, the cards, and what was said of those two or of the search."""
        self.halt()
        self._clear()
        for panel in (self.pair, self.search):
            panel.say("")

    def offer(self, remedies: Sequence[Remedy]) -> None:
        """The single fixes that can be put together, the best first."""
        self.pair.offer([remedy.name for remedy in remedies], likeliest(remedies))

    # --- working it out -------------------------------------------------------------------

    def _pair(self, first: str, second: str) -> None:
        project, folder, own = self.project, self.folder, self.own
        if project is None:
            return

        def job(progress: Progress, cancelled: Asked) -> tuple[Remedy, ...]:
            from kinematics.studies.bench import Bench
            from kinematics.studies.cures import Choice, cures_for
            from kinematics.studies.fix_pace import Pace
            from kinematics.studies.fix_pairs import trade_off
            from kinematics.studies.fix_shop import Shop

            asked, pace = self.resting(cancelled), Pace(progress)
            bench = Bench(project, folder, asked)
            only = Choice(only=frozenset((first, second)), own=own)
            cures = {cure.name: cure for cure in cures_for(bench, only)}
            shop = Shop(bench, asked, pace)
            front = trade_off(shop, cures[first], cures[second])
            return splits(front, first, second, project.units)

        self._begin(PAIR, job)

    def _search(self, over: tuple[Own, ...], camber: float, toe: float) -> None:
        project, folder = self.project, self.folder
        if project is None:
            return

        def job(progress: Progress, cancelled: Asked) -> Best:
            from kinematics.studies.best import best_of

            asked = self.resting(cancelled)
            return best_of(project, over, progress, asked, folder, camber, toe)

        self._begin(SEARCH, job)

    def _begin(self, kind: str, job: Callable[[Progress, Asked], object]) -> None:
        self.dropped.emit()
        self._clear()
        self.jobs.cancel()
        self._show_share(kind, 0.0)
        self.jobs.ask(kind, self.project, job)

    def halt(self) -> None:
        """Stop what is worked out."""
        self.jobs.cancel()
        self._show_share("", -1.0)

    def _show_share(self, kind: str, share: float) -> None:
        if kind and share > 0.0 > self.share:
            return  # it was stopped meanwhile
        self.share = share
        self.line.show_share(share)
        self.pair.show_share(share if kind == PAIR else -1.0, self.line.left)
        self.search.show_share(share if kind == SEARCH else -1.0, self.line.left)

    def _failed(self, kind: str, project: object, sentence: str) -> None:
        self._show_share("", -1.0)
        if project is self.project:
            (self.pair if kind == PAIR else self.search).say(sentence)

    def _done(self, kind: str, project: object, found: object) -> None:
        if project is not self.project or self.project is None:
            return
        self._show_share("", -1.0)
        if kind == SEARCH:
            best: Best = found  # type: ignore[assignment]
            told = told_of_best(best, self.project)
            self._add(BEST, told, best.project)
            return
        remedies: tuple[Remedy, ...] = found  # type: ignore[assignment]
        self.pair.say("" if remedies else NONE)
        for remedy in remedies:
            assert remedy.fix is not None
            self._add(remedy.name, told_of(remedy, self.project.units), remedy.fix.project)

    # --- what came of it ------------------------------------------------------------------

    def _add(self, name: str, told: Told, project: Project) -> None:
        card = self.cards[name] = FixCard(self.theme, told)
        card.looked.connect(lambda: self.looked.emit(name, project))
        card.applied.connect(lambda: self.applied.emit(name, project, told.title))
        card.dropped.connect(self.dropped.emit)
        self.list.addWidget(card)

    def _clear(self) -> None:
        for card in self.cards.values():
            self.list.removeWidget(card)
            card.hide()
            card.deleteLater()
        self.cards = {}

    def dress(self) -> None:
        """Type of the theme."""
        self.pair.dress()
        self.search.dress()
