"""``clearstroke survey FILE``: readings adjusted into points, and which of them may lie."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.commands.grammar import about_project
from app.examples import find_project
from kinematics.errors import ProjectError

if TYPE_CHECKING:
    from kinematics.project.model import Project
    from kinematics.survey import Surveyed

_ABOUT = """\
Work the corner out from its readings (tape, string, level, plumb-bob): where every point is and
how surely, whether the readings agree, which of them may lie and by how much, and which further
reading would help most. The corner is then moved from where it was measured to set-up height."""
_MORE = """\
A suspect is a reading that would explain the misfit; there are often rivals, since two readings
can check each other alike. Measure again before you change anything.

--sheet FILE.pdf prints a measuring sheet with boxes, and --csv FILE.csv the same as a table;
--read FILE.csv takes a filled-in table back. --write OUT saves the project with its points as
measured, never over FILE.

exit codes: 0 every point is fixed and the readings agree; 1 they don't, a point is not fixed, or
a tacked point has moved; 2 bad input."""


def add(commands: Any) -> None:
    """Add the command to the grammar."""
    command = about_project(
        commands,
        "survey",
        "work the points out from readings, and find the one that lies",
        _ABOUT,
        _MORE,
    )
    command.add_argument("--read", metavar="CSV", help="take a filled-in measuring sheet first")
    command.add_argument("--write", metavar="OUT", help="save the project with points as measured")
    command.add_argument("--sheet", metavar="PDF", help="write a measuring sheet to print")
    command.add_argument("--csv", metavar="CSV", help="write the measuring sheet as a table")
    command.add_argument(
        "--plan", action="store_true", help="before measuring: which readings suffice"
    )
    command.add_argument(
        "--against", metavar="FILE", help="compare with the other side, or an older survey"
    )
    command.add_argument("--json", action="store_true", help="print the result as JSON")
    command.add_argument("--units", choices=("mm", "in"), help="lengths (project's own)")
    command.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Adjust and print; 1 if the readings disagree or leave a point open, else 0."""
    from app.commands.given import read

    path = find_project(args.file)
    project = read(path)
    units = args.units or project.units
    if args.read is not None:
        project = _take_back(project, Path(args.read))
    _sheets(args, project, units)
    if args.plan:
        return _plan(project, units)
    if _only_sheets(args, project):
        return 0
    from app.survey.text import record, screen
    from kinematics.survey import survey

    found = survey(project)
    other = _other(args.against) if args.against is not None else None
    if args.json:
        print(json.dumps(record(found, other), indent=2, ensure_ascii=False))
    else:
        print(screen(found, units, other))
    if args.write is not None:
        _write(found, path, Path(args.write))
    return verdict(found)


def verdict(found: Surveyed) -> int:
    """0 if the readings agree and fix every point they speak of, and nothing tacked has moved."""
    from app.survey.text import built_of

    built = built_of(found)
    moved = built is not None and any(m.sure for m in built.moved)
    return int(not found.judged.agree or bool(found.loose) or bool(found.twins) or moved)


def _only_sheets(args: argparse.Namespace, project: Project) -> bool:
    """A sheet was asked for and nothing is measured yet: there is nothing to adjust."""
    from kinematics.survey.tools import is_taken

    readings = project.survey.readings if project.survey is not None else ()
    return bool(args.sheet or args.csv) and not any(is_taken(r) for r in readings)


def _take_back(project: Project, table: Path) -> Project:
    from kinematics.survey import SurveyError
    from kinematics.survey.table import read_csv, text_of

    try:
        text = text_of(table)
    except SurveyError as error:
        raise ProjectError(str(error)) from None
    try:
        return read_csv(project, text)
    except SurveyError as error:
        raise ProjectError(*(f"{table.name}, {line}" for line in str(error).split("\n"))) from None


def _sheets(args: argparse.Namespace, project: Project, units: Any) -> None:
    if args.csv is not None:
        from app.paper.media import write_text
        from app.paper.survey_table import write_under_about

        write_text(Path(args.csv), lambda out: write_under_about(project, out))
        print(f"Written: {args.csv}")
    if args.sheet is not None:
        from app.paper.survey_sheet import write_sheet

        write_sheet(project, Path(args.sheet), units)
        print(f"Written: {args.sheet}")


def _plan(project: Project, units: Any) -> int:
    import msgspec

    from app.survey.text import plan_screen
    from kinematics.project.survey import Survey
    from kinematics.survey.helps import plan, suggest
    from kinematics.survey.network import network

    if project.survey is None or not project.survey.readings:
        project = msgspec.structs.replace(project, survey=Survey(readings=suggest(project)))
    planned = plan(network(project, planned=True))
    print(plan_screen(planned, units))
    return 0 if planned.suffices else 1


def _other(given: str) -> Surveyed:
    from app.commands.given import read
    from kinematics.survey import survey

    return survey(read(find_project(given)))


def _write(found: Surveyed, path: Path, out: Path) -> None:
    from kinematics.project import files

    if out.exists() and out.resolve() == path.resolve():
        raise ProjectError(f"{out} is the project itself; write to another name.")
    files.write(found.project, out)
    print(f"Written: {out}")
