"""Readings as a table: written for a measuring sheet, and read back with what was filled in.

Columns: number, what, to, tool, value, unit, date, note. The number says which reading a row is;
``what`` is there to be read by people and is checked, so that a sheet of another project or of
other readings is refused rather than taken for this one's.
"""

from __future__ import annotations

import csv
import datetime
import io
from collections.abc import Sequence
from pathlib import Path
from typing import TextIO, cast, get_args

from msgspec.structs import replace

from kinematics.errors import EntryError
from kinematics.project.model import Project
from kinematics.project.survey import AngleReading, Reading
from kinematics.survey.adjust import SurveyError
from kinematics.survey.entry import (
    read_to,
    read_tool,
    read_value,
    show_to,
    show_tool,
    show_value,
)
from kinematics.survey.words import reading_words
from kinematics.units import Units

COLUMNS = ("number", "what", "to", "tool", "value", "unit", "date", "note")


def write_csv(project: Project, out: TextIO) -> None:
    """Write the project's readings, with empty values where none is taken yet."""
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for number, reading in enumerate(_readings(project), start=1):
        writer.writerow(row(reading, number, project.units))


def row(reading: Reading, number: int, units: Units) -> list[str]:
    """One reading as a row of the table."""
    unit = "deg" if isinstance(reading, AngleReading) else units
    return [
        str(number), reading_words(reading), show_to(reading, units), show_tool(reading, units),
        show_value(reading, units), unit, reading.date, reading.note,
    ]  # fmt: skip


def text_of(path: Path) -> str:
    """The text of a table's file. Raises ``SurveyError`` where it can't be read as UTF-8 text."""
    try:
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise SurveyError(
            f"{path.name} is not UTF-8 text (byte {error.start + 1}); save the table as CSV UTF-8."
        ) from None
    except OSError as error:
        raise SurveyError(f"{path} can't be read: {error.strerror}.") from None


def read_csv(project: Project, text: str) -> Project:
    """The project with the values, tools, dates and notes of a filled-in table.

    Lines above the heads that begin with # say what it is of. A row left empty keeps what the
    project has. Raises ``SurveyError``, a sentence for every entry that can't be read, with its
    row and column.
    """
    readings = list(_readings(project))
    problems: list[str] = []
    lines = text.lstrip("\ufeff").splitlines(keepends=True)
    above = next((k for k, line in enumerate(lines) if not _remark(line)), 0)
    text = "".join(lines[above:])
    table = list(csv.DictReader(io.StringIO(text), dialect=_dialect(text)))
    if not table or not {"number", "value"} <= set(table[0]):
        raise SurveyError("This is no measuring sheet: it has no columns number and value.")
    for at, entry in enumerate(table, start=above + 2):
        try:
            number = _number(entry, readings)
            readings[number] = _filled(readings[number], entry, project.units)
        except (EntryError, SurveyError) as error:
            problems.append(f"row {at}: {error}")
    if problems:
        raise SurveyError("\n".join(problems[:20]))
    assert project.survey is not None
    return replace(project, survey=replace(project.survey, readings=tuple(readings)))


def _remark(line: str) -> bool:
    """Whether a line begins with #, in quotes if a spreadsheet put it there."""
    return line.lstrip('"').startswith("#")


def _dialect(text: str) -> type[csv.Dialect]:
    """A spreadsheet whose language has a decimal comma parts its columns with semicolons."""
    first = text.splitlines()[0] if text else ""

    class Dialect(csv.excel):
        delimiter = ";" if first.count(";") > first.count(",") else ","

    return Dialect


def _readings(project: Project) -> Sequence[Reading]:
    if project.survey is None:
        raise SurveyError("This project has no readings; they go under survey.")
    return project.survey.readings


def _number(entry: dict[str, str], readings: Sequence[Reading]) -> int:
    words = (entry.get("number") or "").strip()
    number = int(words) if words.isascii() and words.isdigit() else 0
    if not 1 <= number <= len(readings):
        raise SurveyError(f'number: "{words}" is none of the readings, 1 to {len(readings)}.')
    what = (entry.get("what") or "").strip()
    expected = reading_words(readings[number - 1])
    if what and what != expected:
        raise SurveyError(
            f'what: reading {number} is "{expected}" in this project, not "{what}"; is this the '
            "sheet of another one?"
        )
    return number - 1


def _filled(reading: Reading, entry: dict[str, str], units: Units) -> Reading:
    words = {key: (entry.get(key) or "").strip() for key in COLUMNS}
    typed = units if isinstance(reading, AngleReading) else words["unit"] or units
    if typed not in get_args(Units):
        raise SurveyError(f'unit: "{typed}" is not known; use mm or in.')
    unit = cast(Units, typed)
    changes: dict[str, object] = {}
    try:
        column = "value"
        # What was left as it was written stays as exact as it is.
        if words["value"] and words["value"] != show_value(reading, unit):
            changes |= read_value(words["value"], reading, unit)
        column = "tool"
        if words["tool"] and words["tool"] != show_tool(reading, unit):
            changes |= read_tool(words["tool"], reading, unit)
        column = "to"
        if not isinstance(reading, AngleReading) and words["to"] not in (
            "",
            show_to(reading, unit),
        ):
            changes["to"] = read_to(words["to"], unit)
    except EntryError as error:
        raise SurveyError(f"{column}: {error}") from None
    if words["date"]:
        changes["date"] = _day(words["date"])
    if words["note"]:
        changes["note"] = words["note"]
    return replace(reading, **changes) if changes else reading


def _day(text: str) -> str:
    try:
        return datetime.date.fromisoformat(text).isoformat()
    except ValueError:
        raise SurveyError(f'date: "{text}" is not a day; write it as 2026-03-28.') from None
