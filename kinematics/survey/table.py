"""Readings as a table: written for a measuring sheet, and read back with what was filled in.

Columns: number, what, to, tool, value, unit, date, note. The number says which reading a row is;
``what`` is there to be read by people and is checked, so that a sheet of another project or of
other readings is refused rather than taken for this one's.
"""

from __future__ import annotations

import csv
import datetime
import io
import math
from collections.abc import Sequence
from typing import TextIO

from msgspec.structs import replace

from kinematics.errors import EntryError
from kinematics.project.model import Project
from kinematics.project.survey import AngleReading, Reading
from kinematics.survey.adjust import SurveyError
from kinematics.survey.tools import ANGLE_TOOLS, LENGTH_TOOLS, value_of
from kinematics.survey.words import reading_words, to_words
from kinematics.units import MM_PER_INCH, read_degrees, read_length

COLUMNS = ("number", "what", "to", "tool", "value", "unit", "date", "note")


def write_csv(project: Project, out: TextIO) -> None:
    """Write the project's readings, with empty values where none is taken yet."""
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for number, reading in enumerate(_readings(project), start=1):
        writer.writerow(row(reading, number, project.units))


def row(reading: Reading, number: int, units: str) -> list[str]:
    """One reading as a row of the table."""
    value = value_of(reading)
    angle = isinstance(reading, AngleReading)
    if value is None:
        text = ""
    elif angle:
        text = f"{value:.10g}"
    else:
        text = f"{value / (MM_PER_INCH if units == 'in' else 1.0):.10g}"
    unit = "deg" if angle else units
    return [
        str(number), reading_words(reading), to_words(reading), reading.tool, text, unit,
        reading.date, reading.note,
    ]  # fmt: skip


def read_csv(project: Project, text: str) -> Project:
    """The project with the values, tools, dates and notes of a filled-in table.

    A row left empty keeps what the project has. Raises ``SurveyError``, a sentence for every
    entry that can't be read, with its row and column.
    """
    readings = list(_readings(project))
    problems: list[str] = []
    table = list(csv.DictReader(io.StringIO(text.lstrip("\ufeff")), dialect=_dialect(text)))
    if not table or not {"number", "value"} <= set(table[0]):
        raise SurveyError("This is no measuring sheet: it has no columns number and value.")
    for at, entry in enumerate(table, start=2):
        try:
            number = _number(entry, readings)
            readings[number] = _filled(readings[number], entry, project.units)
        except (EntryError, SurveyError) as error:
            problems.append(f"row {at}: {error}")
    if problems:
        raise SurveyError("\n".join(problems[:20]))
    assert project.survey is not None
    return replace(project, survey=replace(project.survey, readings=tuple(readings)))


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


def _filled(reading: Reading, entry: dict[str, str], units: str) -> Reading:
    value = (entry.get("value") or "").strip()
    changes: dict[str, object] = {}
    unit = (entry.get("unit") or "").strip() or units
    if value and isinstance(reading, AngleReading):
        changes["degrees"] = _degrees(value)
    elif value:
        changes["value"] = _length(value, unit)
    tool = (entry.get("tool") or "").strip()
    if tool and tool != reading.tool:
        known = ANGLE_TOOLS if isinstance(reading, AngleReading) else LENGTH_TOOLS
        if tool not in known:
            raise SurveyError(f'tool: "{tool}" is not known; use {", ".join(known)}.')
        changes["tool"] = tool
    date = (entry.get("date") or "").strip()
    if date:
        changes["date"] = _day(date)
    note = (entry.get("note") or "").strip()
    if note:
        changes["note"] = note
    return replace(reading, **changes) if changes else reading


def _length(text: str, unit: str) -> float:
    if unit not in ("mm", "in"):
        raise SurveyError(f'unit: "{unit}" is not known; use mm or in.')
    try:
        return read_length(text, unit)
    except EntryError as error:
        raise SurveyError(f"value: {error}") from None


def _degrees(text: str) -> float:
    try:
        degrees = read_degrees(text)
    except EntryError as error:
        raise SurveyError(f"value: {error}") from None
    if not math.isfinite(degrees) or abs(degrees) > 90:
        raise SurveyError(f'value: "{text}" is no angle against level or plumb.')
    return degrees


def _day(text: str) -> str:
    try:
        return datetime.date.fromisoformat(text).isoformat()
    except ValueError:
        raise SurveyError(f'date: "{text}" is not a day; write it as 2026-03-28.') from None
