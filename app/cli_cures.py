"""``clearstroke cures FILE``: what each fix would take, and what it undoes."""

from __future__ import annotations

import argparse
import json
import sys
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from app.examples import find_project

if TYPE_CHECKING:
    from kinematics.studies.fixes import Fix, Remedy

_ABOUT = """\
Try every fix this corner has something to be fixed on, and say what each takes, what it settles
and what it undoes: whole cures first, then those that undo least work."""


def add(commands: Any) -> None:
    """Add the command to the grammar."""
    command = commands.add_parser(
        "cures",
        help="what each fix would take, and what it undoes",
        description=_ABOUT,
        epilog="exit codes: 0 nothing is wrong; 1 something is; 2 bad input.",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    command.add_argument("file", metavar="FILE", help="NAME.corner.json, or an example's name")
    command.add_argument("--json", action="store_true", help="print the fixes as JSON")
    command.add_argument("--units", choices=("mm", "in"), help="lengths (project's own)")
    command.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Look for fixes and print them; 1 if there is anything to fix, else 0."""
    from kinematics.project.files import read
    from kinematics.studies.fix_words import WORK, say
    from kinematics.studies.fixes import fixes

    path = find_project(args.file)
    project = read(path)
    units = args.units or project.units
    found = fixes(project, progress=None if args.json else _tell, folder=path.parent)
    if args.json:
        print(json.dumps([_record(r, say(r, units)) for r in found], indent=2, ensure_ascii=False))
        return 1 if found else 0
    print(project.title)
    if not found:
        print("Nothing touches and every rule is kept: there is nothing to fix.")
        return 0
    for remedy in found:
        fix = remedy.rules or remedy.touching
        print()
        print(say(remedy, units))
        if fix is not None:
            print(f"    {WORK[fix.work][:1].upper()}{WORK[fix.work][1:]}. {fix.caution}".rstrip())
    return 1


def _tell(share: float) -> None:
    if sys.stderr.isatty():
        end = "\n" if share >= 1.0 else ""
        print(f"\rtrying fixes: {share:4.0%}", end=end, file=sys.stderr, flush=True)


def _record(remedy: Remedy, words: str) -> dict[str, Any]:
    return {
        "fix": remedy.name,
        "words": words,
        "stops_touching": _figures(remedy.touching),
        "keeps_rules": _figures(remedy.rules),
    }


def _figures(fix: Fix | None) -> dict[str, Any] | None:
    if fix is None:
        return None
    return {
        "amount_mm": fix.amount,
        "exact_mm": fix.exact,
        "work": fix.work.name.lower(),
        "settles": fix.settles,
        "leaves": fix.leaves,
        "breaks": fix.breaks,
        "effects": asdict(fix.effects),
        "caution": fix.caution,
    }
