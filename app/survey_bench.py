"""The readings of the open project: what they come to, and how they are changed, undoably."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec
from PySide6.QtCore import QObject, Signal

from app.document import Document
from kinematics.errors import ClearstrokeError, ProjectError
from kinematics.project import files
from kinematics.project.model import Project
from kinematics.project.survey import AngleReading, Reading, Survey
from kinematics.project.survey_checks import reading_problems
from kinematics.survey import Surveyed, survey
from kinematics.survey.entry import read_to, read_tool, read_value
from kinematics.survey.helps import suggest
from kinematics.survey.tools import is_taken


class Bench(QObject):
    """Between the document and the sheet: one fit of its readings, renewed when they change."""

    renewed = Signal()

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.found: Surveyed | None = None
        self.error = ""
        self.awake = False
        self._seen: object = None
        self._without: dict[int, Surveyed | str] = {}
        document.changed.connect(self.renew)

    @property
    def project(self) -> Project | None:
        """The project that is open."""
        return self.document.project

    @property
    def units(self) -> str:
        """Its unit of length."""
        return self.project.units if self.project is not None else "mm"

    @property
    def readings(self) -> tuple[Reading, ...]:
        """Its readings; none without a survey."""
        project = self.project
        return () if project is None or project.survey is None else project.survey.readings

    def wake(self, awake: bool) -> None:
        """Work only while the sheet is seen."""
        self.awake = awake
        if awake:
            self.renew()

    def renew(self) -> None:
        """Fit anew if what the fit rests on has changed."""
        project = self.project
        if not self.awake or project is None:
            return
        rests_on = (project.survey, project.points, project.wheel, project.links, project.side)
        if rests_on == self._seen:
            return
        self._seen = rests_on
        self._without.clear()
        self.found, self.error = None, ""
        if any(is_taken(r) and not r.left_out for r in self.readings):
            try:
                self.found = survey(project)
            except ClearstrokeError as error:
                self.error = str(error)
        self.renewed.emit()

    # --- from rows of the table to readings in use -----------------------------------------

    def used(self, row: int) -> int | None:
        """The number among the readings in use of a row of the table; None if it isn't."""
        if self.found is None or not 0 <= row < len(self.readings):
            return None
        reading = self.readings[row]
        if reading.left_out or not is_taken(reading):
            return None
        before = self.readings[:row]
        return sum(is_taken(r) and not r.left_out for r in before)

    def row_of(self, number: int) -> int:
        """The row of the table of a reading in use."""
        rows = [i for i, r in enumerate(self.readings) if is_taken(r) and not r.left_out]
        return rows[number]

    def suspects(self) -> tuple[int, ...]:
        """The rows of the suspects, likeliest first."""
        if self.found is None:
            return ()
        return tuple(self.row_of(s.reading) for s in self.found.judged.suspects)

    def without(self, row: int) -> Surveyed | str | None:
        """The fit without a row's reading, or with it where it is left out; a sentence if none."""
        if not 0 <= row < len(self.readings) or not is_taken(self.readings[row]):
            return None
        if row not in self._without:
            try:
                self._without[row] = self._turned(row)
            except ClearstrokeError as error:
                self._without[row] = str(error)
        return self._without[row]

    def _turned(self, row: int) -> Surveyed:
        number = self.used(row)
        if number is not None and self.found is not None:
            return self.found.without(number)
        assert self.project is not None
        back = msgspec.structs.replace(self.readings[row], left_out=False)
        readings = [back if i == row else r for i, r in enumerate(self.readings)]
        return survey(self.project, readings)

    # --- changes ---------------------------------------------------------------------------

    def type_in(self, row: int, column: str, text: str) -> None:
        """Take what is typed into a cell. Raises ClearstrokeError in one sentence."""
        reading = self.readings[row]
        changes: dict[str, Any]
        if column == "value":
            changes = read_value(text, reading, self.units)
        elif column == "tool":
            changes = read_tool(text, reading, self.units)
        elif column == "to":
            if isinstance(reading, AngleReading):
                raise ProjectError("An angle is measured to nothing but the line itself.")
            changes = {"to": read_to(text, self.units)}
        else:
            changes = {column: text.strip()}
        self.change(row, f"change a reading's {column}", **changes)

    def change(self, row: int, what: str, **changes: Any) -> None:
        """One reading changed, as one undo step. Raises ClearstrokeError if it can't stand."""
        made = msgspec.structs.replace(self.readings[row], **changes)
        project = self.project
        assert project is not None
        assert project.survey is not None
        for problem in reading_problems(made, project, project.survey):
            raise ProjectError(_plain(problem))
        self._put([made if i == row else r for i, r in enumerate(self.readings)], what)

    def leave_out(self, row: int) -> None:
        """Leave a reading out, or take it back in."""
        out = not self.readings[row].left_out
        self.change(row, "leave a reading out" if out else "take a reading back", left_out=out)

    def add(self, reading: Reading) -> None:
        """One more reading. Raises ClearstrokeError if it can't stand."""
        project = self.project
        assert project is not None
        kept = project.survey or Survey()
        for problem in reading_problems(reading, project, kept):
            raise ProjectError(_plain(problem))
        self._put([*self.readings, reading], "add a reading")

    def remove(self, row: int) -> None:
        """Take a reading away."""
        self._put([r for i, r in enumerate(self.readings) if i != row], "remove a reading")

    def begin(self) -> None:
        """Readings to begin with, none of them taken yet."""
        if self.project is not None:
            self._put([*self.readings, *suggest(self.project)], "suggest readings")

    def take_points(self) -> bool:
        """Have the project's points where the readings put them."""
        if self.found is None:
            return False
        return self.document.edit(self.found.project, "take the points as measured")

    def take(self, project: Project, what: str) -> bool:
        """Another project in its place, undoably."""
        return self.document.edit(project, what)

    def _put(self, readings: list[Reading], what: str) -> None:
        project = self.project
        assert project is not None
        kept = project.survey or Survey()
        made = msgspec.structs.replace(
            project, survey=msgspec.structs.replace(kept, readings=tuple(readings))
        )
        files.dumps(made)  # refuses what could not be saved, in a sentence
        self.document.edit(made, what, strict=True)


def _plain(problem: str) -> str:
    """A problem without the entry's path: it stands at the field."""
    _, _, said = problem.partition(": ")
    return said[:1].upper() + said[1:] if said else problem


Put = Callable[[Reading], None]
