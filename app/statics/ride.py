"""The page of springs and stops: here, over the travel, and what else would suit."""

from __future__ import annotations

import math
from typing import Any

from PySide6.QtWidgets import QPushButton

from app.document.jobs import Asked, Progress
from app.document.tree import Entry
from app.entry import Field, wide
from app.look.theme import Theme
from app.look.type import font
from app.statics.here import HereNow
from app.statics.page import Page
from app.statics.rows import SPRING_STORY, Row, choice_rows, here_rows, story_rows
from app.statics.words import verdict, winding
from kinematics.errors import ClearstrokeError
from kinematics.findings.words import position, room
from kinematics.statics.ride import seat_shift
from kinematics.statics.share import TopPlace, moved_top, top_for_share
from kinematics.statics.statics import Statics
from kinematics.statics.suiting import fitted, seating, wound

DATUM = "Damper lengths are eye centre to eye centre, spring and bump stop off."
WORTH = 0.05  # mm of seat worth winding


class RidePage(Page):
    """Where it rides, what stops it, and which spring, seat and top mount would suit."""

    def __init__(self, theme: Theme, now: HereNow) -> None:
        super().__init__(theme, now)
        self.ride_at, self.share = 0.0, 55.0
        self.place: TopPlace | None = None
        self.present, self.story = self.rows("Here"), self.rows("Over the travel")
        self.choice, self.sharing = self.rows(), self.rows()
        self.wanted = self._field("ride at", "length", "bump is a lower car", self._want)
        self.shared = self._field("bump share", "number", "per cent of the travel", self._wish)
        self.finder = QPushButton("Find")
        self.finder.setToolTip("Where the top mount must sit for this share")
        self.finder.clicked.connect(self.find_place)
        self.document.jobs.done.connect(self._done)
        self.document.jobs.failed.connect(self._failed)
        self.document.jobs.idle.connect(lambda: self.finder.setEnabled(True))  # also if stopped
        self.document.opened.connect(self._opened)
        self.document.changed.connect(self._changed)
        self.stack(
            self.present, self.story,
            self.head("Another spring"), self.line("To ride at", self.wanted), self.choice,
            self.head("Sharing the stroke"),
            self.line("Per cent of the travel in bump", self.shared, self.finder), self.sharing,
            self.words(DATUM),
        )  # fmt: skip

    def _field(self, name: str, kind: Any, help_: str, put: Any) -> Field:
        field = Field(self.theme, Entry((name,), kind, help_), "mm", put)
        field.wrong.connect(self.wrong.emit)
        return field

    def renew(self) -> None:
        """The story over the travel, and what would suit."""
        study = self.document.study
        facts = () if study is None else study.facts
        self.story.show_rows(story_rows(facts, SPRING_STORY, self.units))
        for field, value in ((self.wanted, self.ride_at), (self.shared, self.share)):
            field.units = self.units if field is self.wanted else "mm"
            field.show_value(value)
        self._show_choice()
        self._show_place()
        self.renew_here()

    def renew_here(self) -> None:
        """Damper, spring, stops and wheel force at the present position."""
        where, found = position(self.document.travel, self.units), self.now.found()
        self.present.call("At set-up height" if where == "0" else f"Here, at {where} {self.units}")
        self.present.show_rows([] if found is None else here_rows(found, self.units))

    def _show_choice(self) -> None:
        """How to wind the seat for the height wanted, and springs that suit there."""
        known, rows = self.now.known(), []
        if known is not None:
            try:
                stand = seating(known, self.ride_at)
                rows = [Row(verdict(stand, self.units)), *choice_rows(stand, self.units)]
            except ClearstrokeError as error:
                rows = [Row(str(error))]
            rows = self._winding(known) + rows
        self.choice.show_rows(rows)

    def _winding(self, known: Statics) -> list[Row]:
        loads, coilover = known.project.loads, known.project.coilover
        if loads is None or coilover is None or coilover.spring is None:
            return []
        sprung = loads.corner_kg - loads.unsprung_kg
        shift = seat_shift(known.elements, known.course, sprung, self.ride_at)
        act = f"wind {shift!r}" if math.isfinite(shift) and abs(shift) > WORTH else ""
        words = winding(known, self.ride_at, self.units)
        return [Row(words, "wind it" if act else "", act=act)]

    def _show_place(self) -> None:
        rows: list[Row] = []
        if (place := self.place) is not None:
            way = "up" if place.along >= 0 else "down"
            x, y, z = (position(v, self.units).lstrip("+") for v in place.xyz)
            ends = f"{position(place.bump, self.units)} and {position(place.droop, self.units)}"
            rows = [
                Row(
                    f"Top mount {way} the coilover's line by {room(abs(place.along), self.units)}",
                    "move it",
                    f"To x {x}, y {y}, z {z}. The travel then ends at {ends}.",
                    act=f"move {place.along!r}",
                )
            ]
        self.sharing.show_rows(rows)

    # --- what is asked ----------------------------------------------------------------------

    def do(self, row: Row) -> None:
        """Go somewhere, fit a spring, wind the seat or move the mount, as one step of undo."""
        project = self.document.project
        if not row.act or project is None:
            super().do(row)
            return
        word, *figures = row.act.split()
        first, *rest = (float(figure) for figure in figures)
        if word == "fit":
            self.document.edit(fitted(project, first, rest[0]), "fit another spring")
        elif word == "wind":
            self.document.edit(wound(project, first), "wind the spring seat")
        else:
            self.document.edit(moved_top(project, first), "share the stroke anew")

    def find_place(self) -> None:
        """Where the top mount must sit for the share of bump wanted: worked out aside."""
        project, share = self.document.project, self.share
        if project is None:
            return
        self.finder.setEnabled(False)

        def job(progress: Progress, cancelled: Asked) -> TopPlace:
            return top_for_share(project, share / 100.0)

        self.document.jobs.ask("share", self.document.revision, job)

    def _done(self, kind: str, tag: object, result: object) -> None:
        if kind == "share":
            self.finder.setEnabled(True)
            if tag == self.document.revision and isinstance(result, TopPlace):
                self.place = result
                self._show_place()

    def _failed(self, kind: str, tag: object, sentence: str) -> None:
        if kind == "share":
            self.finder.setEnabled(True)
            if tag == self.document.revision:
                self.wrong.emit(sentence)

    def _want(self, travel: Any) -> None:
        known = self.now.known()
        if known is not None:
            seating(known, float(travel))
        self.ride_at = float(travel)
        self.wanted.show_value(self.ride_at)
        self._show_choice()

    def _wish(self, share: Any) -> None:
        if not 0.0 < share < 100.0:
            raise ClearstrokeError("The share of bump should be between 0 and 100, such as 55.")
        self.share = float(share)
        self.shared.show_value(self.share)
        self.find_place()

    def _changed(self) -> None:
        self.place = None
        self._show_place()

    def _opened(self) -> None:
        self.ride_at, self.place = 0.0, None
        for field in (self.wanted, self.shared):
            field.settle()
        self.finder.setEnabled(True)

    def dress(self) -> None:
        """Type and colours of the theme."""
        super().dress()
        self.finder.setFont(font(15 * self.theme.scale, 500))
        for field in (self.wanted, self.shared):
            wide(field, 90, self.theme)
