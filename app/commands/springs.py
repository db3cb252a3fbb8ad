"""``clearstroke springs FILE``: where it rides, what stops it, what spring and top would suit."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

import msgspec

from app.commands.grammar import about_project
from app.examples import find_project
from kinematics.errors import ClearstrokeError, EntryError
from kinematics.units import read_length, read_quantity

if TYPE_CHECKING:
    from kinematics.findings.words import Units
    from kinematics.project.model import Project
    from kinematics.statics.share import TopPlace
    from kinematics.statics.statics import Statics
    from kinematics.statics.suiting import Seating

_ABOUT = """\
Say where the corner rides, which stop acts first and what is left, which springs would suit, how
much of their angle the joints use, and the forces. Damper lengths are eye centre to eye centre,
with spring and bump stop off."""
_MORE = """\
lengths are mm and rates N/mm unless they carry a unit (1/2in, 450lb/in).

examples:
  clearstroke springs rear-in-trouble
  clearstroke springs rear-in-trouble --ride-at 10     springs and seat for riding 10 mm lower
  clearstroke springs rear-in-trouble --bump-share 55  where the top mount must sit for that
  clearstroke springs rear-in-trouble --forces         the force in every link and at the top

exit codes: 0 no limit of spring, stop, joint, shaft or hose is passed; 1 one is; 2 bad input."""


def add(commands: Any) -> None:
    """Add the command to the grammar."""
    command = about_project(
        commands,
        "springs",
        "where it rides, what stops it, which spring suits, joints and forces",
        _ABOUT,
        _MORE,
    )
    command.add_argument(
        "--ride-at",
        metavar="LENGTH",
        help="wheel travel it should ride at: bump is a lower car (where it rides now)",
    )
    command.add_argument(
        "--rates", metavar="RATES", help="rates to look at, such as 40,45,50 or 250lb/in"
    )
    command.add_argument(
        "--bump-share", metavar="PERCENT", help="share of the travel that should be bump"
    )
    command.add_argument("--open", metavar="LENGTH", help="another damper: pulled right out")
    command.add_argument("--closed", metavar="LENGTH", help="another damper: pushed right in")
    command.add_argument("--joints", action="store_true", help="add a table of every joint")
    command.add_argument("--forces", action="store_true", help="add a table of every force")
    command.add_argument("--json", action="store_true", help="print it all as JSON")
    command.add_argument(
        "--units",
        choices=("mm", "in"),
        help="mm, N and kg, or in, lbf and lb, in print (project's own)",
    )
    command.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Work it out and print it; 1 if a limit is passed, else 0."""
    from app.commands.given import read

    path = find_project(args.file)
    project = _with_damper(read(path), _length(args.open), _length(args.closed))
    from app.statics.words import bearings, forces, told
    from kinematics.statics.facts import facts

    units: Units = args.units or project.units
    known, height = whole(project), _length(args.ride_at)
    said = facts(known)
    place = None if args.bump_share is None else top_place(project, args.bump_share)
    if args.json:
        print(json.dumps(_record(known, said, height, args, place), indent=2, ensure_ascii=False))
        return int(any(fact.problem for fact in said))
    print(project.title)
    print("Damper lengths are eye centre to eye centre, spring and bump stop off.")
    for line in (
        *([""] if said else []),
        *(line for fact in said for line in told(fact, units)),
        *choice_lines(known, height, args.rates, units),
        *place_lines(place, units),
    ):
        print(line)
    if args.joints:
        print("", *bearings(known, units), sep="\n")
    if args.forces:
        print("", *forces(known, units), sep="\n")
    return int(any(fact.problem for fact in said))


def whole(project: Project) -> Statics:
    """Statics over the corner's whole travel and steering."""
    from kinematics.motion import move
    from kinematics.statics.statics import statics
    from kinematics.studies.study import racks, set_up, travels

    setting = set_up(project)
    return statics(move(setting.linkage, travels(setting), racks(setting)))


def top_place(project: Project, percent: str) -> TopPlace:
    """Where the top must sit for a share of bump given in per cent."""
    from kinematics.statics.share import top_for_share

    return top_for_share(project, _number(percent.rstrip(" %"), "--bump-share") / 100.0)


def choice_lines(
    known: Statics, height: float | None, rates: str | None, units: Units
) -> Iterator[str]:
    """Springs that suit, and how to wind the seat of the one it has."""
    from app.statics.words import spring_table, winding

    try:
        stand = _stand(known, height)
    except ClearstrokeError as error:
        if height is not None or rates is not None:
            raise
        yield ""
        yield str(error)
        return
    asked = _rates(rates)
    yield ""
    if height is not None:
        yield winding(known, height, units)
    yield from spring_table(stand, asked, units)


def place_lines(place: TopPlace | None, units: Units) -> Iterator[str]:
    """Where the top mount must sit."""
    from app.statics.words import top_words

    if place is not None:
        yield ""
        yield from top_words(place, units)


def _stand(known: Statics, height: float | None) -> Seating:
    from kinematics.statics.suiting import seating

    return seating(known, height)


def _record(
    known: Statics,
    said: Sequence[Any],
    height: float | None,
    args: argparse.Namespace,
    place: TopPlace | None,
) -> dict[str, Any]:
    from app.paper.record import fact
    from app.statics.words import record

    rates = _rates(args.rates)
    units = args.units or known.project.units
    made = {"project": known.project.title, "facts": [fact(each, units) for each in said]}
    return made | record(known, height, rates, place)


def _with_damper(project: Project, open_: float | None, closed: float | None) -> Project:
    """The project with another damper in it."""
    if open_ is None and closed is None:
        return project
    if project.coilover is None:
        raise EntryError("--open and --closed are about a coilover; this corner has none.")
    given = {"open": open_, "closed": closed}
    changes = {name: value for name, value in given.items() if value is not None}
    coilover = msgspec.structs.replace(project.coilover, **changes)
    if not coilover.closed < coilover.open:
        raise EntryError("A damper is longer pulled right out than pushed in: --open, --closed.")
    return msgspec.structs.replace(project, coilover=coilover, travel=None)


def _length(words: str | None) -> float | None:
    return None if words is None else read_length(words, "mm")


def _rates(words: str | None) -> list[float] | None:
    """Rates asked for, N/mm."""
    if words is None:
        return None
    rates = [read_quantity(each, "force_per_length", "mm") for each in words.split(",")]
    if not all(rate > 0.0 for rate in rates):
        raise EntryError(f'--rates should be above 0; "{words.strip()}" is not.')
    return rates


def _number(words: str, option: str) -> float:
    try:
        value = float(words)
    except ValueError:
        value = -1.0
    if not 0.0 < value < 1e6:
        raise EntryError(f'{option} should be a number above 0; "{words.strip()}" is not.')
    return value
