"""``clearstroke cures FILE``: what each fix would take, and what it undoes."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.commands.grammar import about_project
from app.commands.lines import lines
from app.examples import find_project
from kinematics.errors import EntryError
from kinematics.units import read_length, unit_of

if TYPE_CHECKING:
    from kinematics.findings.phrases import Units
    from kinematics.studies.bench import Bench
    from kinematics.studies.cures import Choice, Cure, Own
    from kinematics.studies.fix import Fix, Remedy
    from kinematics.studies.fix_pairs import Split

INDENT = "    "
_ABOUT = """\
Try every fix this corner has something to be fixed on, and say what each takes, what it settles
and what it undoes: those that put everything right first, then those that undo least work. Every
amount is found on certified clearances over the whole travel and rounded up to what a shop can do.
"""
_MORE = """\
--own adds a fix of your own: any number of the project and how far it may be changed, such as
"tower.outer:-20:0", "points.top bearing.z:-10:10" (y outboard) or "length of upper link:-5:5".

--out FILE.pdf writes the ranked fixes in words and a table of all of them. The same sheets follow
the report of clearstroke check FILE --out DIR --fixes, and stand in its findings.json as --json
prints them.

exit codes: 0 nothing is wrong; 1 something is; 2 bad input."""


def add(commands: Any) -> None:
    """Add the command to the grammar."""
    command = about_project(
        commands, "cures", "what each fix would take, and what it undoes", _ABOUT, _MORE
    )
    command.add_argument("--json", action="store_true", help="print the fixes as JSON")
    command.add_argument("--units", choices=("mm", "in"), help="lengths (project's own)")
    command.add_argument("--without", metavar="FIX", action="append", default=[], help="leave out")
    command.add_argument("--only", metavar="FIX", action="append", help="try no others")
    command.add_argument("--own", metavar="WHAT:A:B", action="append", default=[], help="try this")
    command.add_argument(
        "--list", action="store_true", help="name the fixes and how far they may go, and end"
    )
    command.add_argument(
        "--pair", metavar="FIX", nargs=2, help="how much of the second with so much of the first"
    )
    command.add_argument("--out", metavar="FILE", help="a sheet of them: .pdf, .png or .svg")
    command.add_argument("--apply", metavar="FIX", help="write the project with the fix applied")
    command.add_argument("--to", metavar="FILE", help="where --apply writes")
    command.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Look for fixes and print them; 1 if there is anything to fix, else 0."""
    from app.commands.given import read
    from kinematics.studies.bench import Bench
    from kinematics.studies.cures import cures_for
    from kinematics.studies.fixes import fixes

    if (args.apply is None) != (args.to is None):
        raise EntryError("--apply says which fix and --to where the project goes: give both.")
    path = find_project(args.file)
    project = read(path)
    units = args.units or project.units
    if args.list:
        _list(cures_for(Bench(project, path.parent)))
        return 0
    if args.pair is not None:
        return _pair(Bench(project, path.parent), args)
    found = fixes(
        project,
        progress=None if args.json else tell,
        folder=path.parent,
        choice=_choice(args),
    )
    if args.apply is not None:
        _apply(found, args.apply, args.to)
    if args.out is not None:
        from app.paper.fixes_page import fixes_page
        from app.paper.media import write

        write(fixes_page(project, found, units), Path(args.out))
    if args.json:
        from app.paper.fixes_record import fixes_record

        print(json.dumps(fixes_record(project, found, units), indent=2, ensure_ascii=False))
        return 1 if found else 0
    print(project.title)
    _print(found, units)
    return 1 if found else 0


def _print(found: Sequence[Remedy], units: Units) -> None:
    """Every fix in words, then those that can't."""
    from kinematics.studies.fix_words import say, say_cannot

    if not found:
        print("Nothing touches and every rule is kept: there is nothing to fix.")
    for remedy in found:
        if remedy.fix is not None:
            print(f"\n{lines(say(remedy, units), then=INDENT)}")
            if words := _work(remedy.fix, units):
                print(lines(words, INDENT, INDENT))
    for words in say_cannot([remedy for remedy in found if remedy.fix is None], units):
        print(f"\n{lines(words, then=INDENT)}")


def _list(cures: Sequence[Cure]) -> None:
    """Every fix by its name, how far it may go, and why it can't where that is plain."""
    from kinematics.studies.cures import MOVED, PLATED, ranges
    from kinematics.studies.fix_places import REACH

    reach = ranges(cures)
    for cure in cures:
        print(f"{cure.name}: {reach[cure.name]}" if cure.name in reach else cure.name)
    for name in (PLATED, MOVED):
        print(f"{name}: up to {REACH} mm each way")


def _pair(bench: Bench, args: argparse.Namespace) -> int:
    """Print the least of one fix that keeps all rules with so much of another; 1 if none does."""
    from kinematics.studies.cures import Choice, cures_for
    from kinematics.studies.fix_pace import Pace
    from kinematics.studies.fix_pairs import trade_off
    from kinematics.studies.fix_shop import Shop

    first, second = args.pair
    choice = Choice(only=frozenset(args.pair), own=tuple(own(words) for words in args.own))
    cures = {cure.name: cure for cure in cures_for(bench, choice)}
    for name in args.pair:
        if name not in cures:
            raise EntryError(f'"{name}" is no single fix of this corner: see --list.')
    if not bench.troubles:
        print("Nothing touches and every rule is kept: there is nothing to fix.")
        return 0
    shop = Shop(bench, pace=Pace(None if args.json else tell))
    front = trade_off(shop, cures[first], cures[second])
    shop.pace.end()
    rows = [{"first_mm": s.first, "second_mm": None if s.fix is None else s.second,
             "keeps_all_rules": s.fix is not None and s.fix.cures_all} for s in front]  # fmt: skip
    if args.json:
        print(json.dumps({"first": first, "second": second, "splits": rows}, indent=2))
    else:
        unit = unit_of("length", args.units or bench.project.units)
        print(f"{first}, {unit.name}   the least of {second} with it, {unit.name}")
        for row in rows:
            enough = "none is enough"
            if row["second_mm"] is not None:
                enough = f"{unit.of(row['second_mm']):.4g}"
            print(f"{unit.of(row['first_mm']):8.4g}   {enough}")
        _say_front(front, args.units or bench.project.units)
    return 0 if any(row["keeps_all_rules"] for row in rows) else 1


def _say_front(front: Sequence[Split], units: Units) -> None:
    """What comes of two fixes by the amounts that are enough, each outcome once."""
    from kinematics.studies.fix import Remedy
    from kinematics.studies.fix_words import outcome

    fixes = [split.fix for split in front if split.fix is not None]
    told = dict.fromkeys(outcome(Remedy("", fix, None, None), units) for fix in fixes)
    for words in told:
        print(f"{words[:1].upper()}{words[1:]}.")
    if not told:
        print("Even both together put nothing right that is wrong now.")


def _choice(args: argparse.Namespace) -> Choice:
    from kinematics.studies.cures import Choice

    only = args.only
    if args.apply is not None and only is None:
        only = [args.apply]
    mine = tuple(own(words) for words in args.own)
    return Choice(frozenset(args.without), None if only is None else frozenset(only), mine)


def own(words: str, option: str = "--own") -> Own:
    """``tower.outer:-20:0`` as a dimension and how far it may be changed, mm.

    Raises EntryError for anything else that was given to the option.
    """
    from kinematics.studies.cures import Own

    path, _, span = words.partition(":")
    least, _, most = span.partition(":")
    if not (path and least and most):
        raise EntryError(
            f'"{option} {words}" should be a number of the project and two changes of it, '
            'such as "tower.outer:-20:0".'
        )
    return Own(path.strip(), read_length(least, "mm"), read_length(most, "mm"))


def _apply(found: tuple[Remedy, ...], name: str, to: str) -> None:
    """Write the project with the fix of that name applied. Raises EntryError."""
    from kinematics.project.files import write

    fix = next((r.fix for r in found if r.name == name), None)
    if fix is None:
        raise EntryError(f'"{name}" has nothing to apply: see clearstroke cures without --apply.')
    try:
        write(fix.project, to)
    except OSError as error:
        raise EntryError(f'"{to}" can\'t be written: {error.strerror or error}.') from None


def _work(fix: Fix, units: Units) -> str:
    from kinematics.studies.fix_words import say_nearest, say_work

    said = (say_nearest(fix, units), say_work(fix), fix.caution)
    return " ".join(words for words in said if words)


def tell(share: float) -> None:
    """Say how far the fixes are, on a terminal."""
    if sys.stderr.isatty():
        end = "\n" if share >= 1.0 else ""
        print(f"\rtrying fixes: {share:4.0%}", end=end, file=sys.stderr, flush=True)
