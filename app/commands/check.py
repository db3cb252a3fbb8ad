"""``clearstroke check FILE``: the main job without a window."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from app.commands.grammar import about_project
from app.examples import find_project
from kinematics.errors import EntryError
from kinematics.units import read_length

if TYPE_CHECKING:
    from kinematics.studies.fix import Remedy
    from kinematics.studies.study import Study

MOST = 2001
MOST_POSITIONS = 50_000
COUNT = {"travel": 161, "steer": 5}

_ABOUT = """\
Move the corner through its travel and steering, find what touches and what comes too near,
and say so, worst first. Without --travel it goes from full droop to full bump."""
_MORE = """\
ranges: A:B:N is N positions from A to B, both included; A alone is one position. Lengths are
mm unless they carry a unit (-2in:2in:9). Bump and rack travel to the left are positive.

--out DIR writes motion.csv, clearance.csv, statics.csv, forces.csv, findings.json, report.pdf,
statics.pdf and the plots of camber, toe, clearance and motion ratio as PNG, SVG and PDF. A table
begins with lines that start with # and say title, project, date, version and units. With
--fixes it looks for fixes too, which takes some seconds: they follow in report.pdf, ranked in words
and all of them in a table, and stand in findings.json.

exit codes: 0 all rules kept; 1 something touches, a rule or limit is broken, or a travel
that was asked for can't be reached; 2 bad input."""


def add(commands: Any) -> None:
    """Add the command to the grammar."""
    command = about_project(
        commands, "check", "check a project for contact, through travel and steering", _ABOUT, _MORE
    )
    command.add_argument("--out", metavar="DIR", help="write tables, plots and a report into DIR")
    command.add_argument(
        "--fixes", action="store_true", help="with --out or --json: look for fixes and tell them"
    )
    command.add_argument("--json", action="store_true", help="print the findings as JSON")
    command.add_argument("--travel", metavar="A:B:N", help="wheel travel to check")
    command.add_argument("--steer", metavar="A:B:N", help="rack travel to check")
    command.add_argument(
        "--units", choices=("mm", "in"), help="mm, N and kg, or in, lbf and lb (project's own)"
    )
    command.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Check, print, write what was asked for; 1 if anything is wrong, else 0."""
    if args.fixes and args.out is None and not args.json:
        raise EntryError("--fixes puts fixes into the report or --json: give --out DIR with it.")
    travel = positions(args.travel, "travel")
    rack = positions(args.steer, "steer")
    if (travel is None or travel.size) and (1 if rack is None else rack.size) * (
        COUNT["travel"] if travel is None else travel.size
    ) > MOST_POSITIONS:
        raise EntryError(f"That is more than {MOST_POSITIONS:,} positions; ask for fewer.")
    from app.commands.given import read

    path = find_project(args.file)
    project = read(path)
    # Loaded only now: --help, a mistyped word and a bad file are answered at once.
    from app.paper.record import record
    from app.paper.screen import screen
    from kinematics.studies.study import study

    checked = study(project, travel=travel, rack=rack, folder=path.parent)
    units = args.units or checked.project.units
    found = _fixes(checked) if args.fixes else None
    if args.out is not None:
        from app.paper.folder import write_folder

        write_folder(checked, Path(args.out), units, found)
    if args.json:
        whole = record(checked, units)
        if found is not None:
            from app.paper.fixes_record import fix_list

            whole["fixes"] = fix_list(found, units)
        print(json.dumps(whole, indent=2, ensure_ascii=False))
    else:
        print(screen(checked, units))
        if args.out is not None:
            print(f"\nWritten to {args.out}")
    return verdict(checked)


def _fixes(checked: Study) -> tuple[Remedy, ...]:
    """What would put it right, telling how far it is; nothing where nothing is wrong."""
    if not verdict(checked):
        return ()
    from app.commands.cures import tell
    from kinematics.studies.fixes import fixes

    return fixes(checked.project, tell, folder=checked.setting.folder)


def verdict(checked: Study) -> int:
    """0 if all rules are kept, 1 if anything is wrong."""
    return int(any(f.is_problem for f in checked.findings))


def positions(words: str | None, which: str) -> NDArray[np.float64] | None:
    """The positions a range means, mm; None if it wasn't given.

    Raises EntryError with one sentence for anything that isn't ``A``, ``A:B`` or ``A:B:N``.
    """
    if words is None:
        return None
    option = f"--{which} {words}"
    parts = words.split(":")
    if len(parts) > 3:
        raise EntryError(f'"{option}" has too many colons. Try --{which} -60:60:25.')
    ends = [_length(part, option) for part in parts[:2]]
    if len(parts) == 1:
        return np.array(ends)
    count = _count(parts[2], option) if len(parts) == 3 else COUNT[which]
    if count == 1 and ends[0] != ends[1]:
        raise EntryError(f'"{option}" asks for 1 position between two ends. Ask for 2 or more.')
    return np.linspace(ends[0], ends[1], count) if ends[0] != ends[1] else np.array(ends[:1])


def _length(words: str, option: str) -> float:
    try:
        return read_length(words)
    except EntryError as error:
        raise EntryError(f'In "{option}": {error}') from None


def _count(words: str, option: str) -> int:
    count = int(words) if words.strip().isascii() and words.strip().isdigit() else 0
    if not 1 <= count <= MOST:
        raise EntryError(
            f'In "{option}": the number of positions should be a whole number from 1 to {MOST}.'
        )
    return count
