"""``clearstroke search FILE``: the best worst case over dimensions of one's choice."""

from __future__ import annotations

import argparse
import json
import sys
from typing import TYPE_CHECKING, Any

from app.commands.cures import own
from app.commands.grammar import about_project
from app.examples import find_project
from kinematics.errors import EntryError
from kinematics.units import read_number, show_length, unit_of

if TYPE_CHECKING:
    from kinematics.studies.best import Best
    from kinematics.units import Units

_ABOUT = """\
Move the dimensions named with --over within their bounds until the pair that is tightest over the
whole travel has most room over its rule."""
_MORE = """\
--over takes any number of the project and how far it may be changed, such as
"tower.outer:-20:0", "points.coilover foot.y:-15:15" (y outboard) or "length of upper link:-3:3".

exit codes: 0 all rules are kept at the best; 1 they are not; 2 bad input."""


def add(commands: Any) -> None:
    """Add the command to the grammar."""
    command = about_project(
        commands, "search", "the best worst case over dimensions of your choice", _ABOUT, _MORE
    )
    command.add_argument(
        "--over", metavar="WHAT:A:B", action="append", required=True, help="a dimension, in mm"
    )
    command.add_argument(
        "--camber", metavar="DEGREES", default="0.5", help="most change of set-up camber (0.5)"
    )
    command.add_argument(
        "--toe", metavar="DEGREES", default="0.15", help="most change of set-up toe (0.15)"
    )
    command.add_argument("--json", action="store_true", help="print it as JSON, in mm")
    command.add_argument("--units", choices=("mm", "in"), help="lengths (project's own)")
    command.add_argument("--to", metavar="FILE", help="write the project at its best")
    command.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Search, print what it came to, write what was asked for."""
    import math

    from app.commands.given import read
    from kinematics.project.files import write
    from kinematics.studies.best import best_of

    path = find_project(args.file)
    lean = [math.radians(read_number(words)) for words in (args.camber, args.toe)]
    if min(lean) < 0.0:
        raise EntryError("--camber and --toe are how far they may change: 0 or more.")
    found = best_of(
        read(path),
        [own(words, "--over") for words in args.over],
        progress=None if args.json else _tell,
        folder=path.parent,
        camber=lean[0],
        toe=lean[1],
    )
    if args.to is not None:
        try:
            write(found.project, args.to)
        except OSError as error:
            raise EntryError(f'"{args.to}" can\'t be written: {error.strerror or error}.') from None
    if args.json:
        print(json.dumps(_record(found), indent=2, ensure_ascii=False))
    else:
        _print(found, args.units or found.project.units)
    return 0 if found.after >= 0.0 else 1


def _record(found: Best) -> dict[str, object]:
    """What it came to as plain data, mm."""
    return {
        "amounts_mm": found.amounts,
        "over_rule_before_mm": found.before,
        "over_rule_mm": found.after,
        "tightest": found.tightest,
    }


def _print(found: Best, units: Units) -> None:
    """What it came to in words."""
    print(found.project.title)
    for name, mm in found.amounts.items():
        sign = "+" if mm >= 0.0 else ""
        print(f"{name}: {sign}{show_length(mm, units, unit_of('length', units).fine)}")
    a, b = found.tightest
    before, now = (show_length(room, units) for room in (found.before, found.after))
    print(f"Least room over the rule: {before} before, {now} now, {a} to {b}.")


def _tell(share: float) -> None:
    if sys.stderr.isatty():
        end = "\n" if share >= 1.0 else ""
        print(f"\rsearching: {share:4.0%}", end=end, file=sys.stderr, flush=True)
