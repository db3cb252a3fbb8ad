"""The readings of the open project: what they come to, and how they are changed, undoably."""

from __future__ import annotations

import datetime
from typing import Any

import msgspec
from PySide6.QtCore import QObject, Signal

from app.document.document import Document
from app.document.tree import Path
from kinematics.errors import ClearstrokeError, ProjectError
from kinematics.project import files
from kinematics.project.model import Project
from kinematics.project.survey import AngleReading, Reading, Survey
from kinematics.project.survey_checks import reading_problems
from kinematics.studies.measured import measured
from kinematics.survey import Surveyed, survey
from kinematics.survey.built import as_built
from kinematics.survey.entry import read_to, read_tool, read_value
from kinematics.survey.helps import suggest
from kinematics.survey.tools import is_taken
from kinematics.units import Units


class Bench(QObject):
    """Between the document and the sheet: one fit of its readings, renewed when they change."""

    renewed = Signal()

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.found: Surveyed | None = None
        self.error = ""
        self.awake = False
        self.after = False  # the readings taken after tacking are on the bench, not the first
        self._seen: object = None
        self._without: dict[int, Surveyed | str] = {}
        document.changed.connect(self.renew)

    @property
    def project(self) -> Project | None:
        """The project that is open."""
        return self.document.project

    @property
    def units(self) -> Units:
        """Its unit of length."""
        return self.project.units if self.project is not None else "mm"

    @property
    def listed(self) -> Path:
        """Where the readings on the bench stand in the project."""
        return ("survey", "as_built" if self.after else "readings")

    @property
    def readings(self) -> tuple[Reading, ...]:
        """Its readings; none without a survey."""
        project = self.project
        if project is None or project.survey is None:
            return ()
        return project.survey.as_built if self.after else project.survey.readings

    def turn_to(self, after: bool) -> None:
        """The first readings, or those taken after tacking."""
        self.after = after
        self._seen = None
        self.renew()

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
                self.found = self._fitted(project)
            except ClearstrokeError as error:
                self.error = str(error)
        self.renewed.emit()

    def _fitted(self, project: Project) -> Surveyed:
        if not self.after:
            return survey(project)
        return as_built(project, measured(project)).found

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
        return self._fitted(self._holding(readings))

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
        if column == "value" and not reading.date and text.strip():
            changes["date"] = datetime.date.today().isoformat()
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

    def again(self, row: int) -> None:
        """Measure once more: the old reading stays, dated, and a new one stands below it."""
        old = self.readings[row]
        fields: dict[str, Any] = {"left_out": False, "date": "", "note": ""}
        fields["degrees" if isinstance(old, AngleReading) else "value"] = None
        fresh = msgspec.structs.replace(old, **fields)
        kept = msgspec.structs.replace(old, left_out=True)
        before, later = self.readings[:row], self.readings[row + 1 :]
        self._put([*before, kept, fresh, *later], "measure a reading again")

    def settle(self, point: str, there: bool) -> None:
        """Say which of two places a point has: where it is, or the other."""
        project, found = self.project, self.found
        assert project is not None
        assert project.survey is not None
        assert found is not None
        twin = next(t for t in found.twins if t.point == point)
        x, y, z = (float(v) for v in (twin.there if there else twin.here))
        settled = (*(n for n in project.survey.settled if n != point), point)
        made = msgspec.structs.replace(
            project,
            points={**project.points, point: (x, y, z)},
            survey=msgspec.structs.replace(project.survey, settled=settled),
        )
        self.document.edit(made, f"say where {point} is", strict=True)

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
        made = self.found.project
        if self.after and self.project is not None:
            made = as_built(self.project, measured(self.project)).project
        return self.document.edit(made, "take the points as measured")

    def take(self, project: Project, what: str) -> bool:
        """Another project in its place, undoably."""
        return self.document.edit(project, what)

    def _put(self, readings: list[Reading], what: str) -> None:
        made = self._holding(readings)
        files.dumps(made)  # refuses what could not be saved, in a sentence
        self.document.edit(made, what, strict=True)

    def _holding(self, readings: list[Reading]) -> Project:
        """The project with these readings in place of those on the bench."""
        project = self.project
        assert project is not None
        group = "as_built" if self.after else "readings"
        kept = msgspec.structs.replace(project.survey or Survey(), **{group: tuple(readings)})
        return msgspec.structs.replace(project, survey=kept)


def _plain(problem: str) -> str:
    """A problem without the entry's path: it stands at the field."""
    _, _, said = problem.partition(": ")
    return said[:1].upper() + said[1:] if said else problem
