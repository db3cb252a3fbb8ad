"""``clearstroke map FILE``: everywhere the top mount could go, and what stops it elsewhere."""

from __future__ import annotations

import argparse
import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from app.commands.grammar import about_project
from app.commands.lines import lines
from app.examples import find_project
from kinematics.errors import EntryError
from kinematics.units import read_length

if TYPE_CHECKING:
    from kinematics.findings.phrases import Units
    from kinematics.studies.study import Setting
    from kinematics.studies.top_map import TopMap

MOST = 201
"""Places a side."""
CLOSEST = 2.5
"""Places are never looked at farther apart than this, mm."""

_ABOUT = """\
Slide the top mount over a square about where it is, at every place take the corner through its
whole travel there, and say where nothing touches, where all rules are kept, and what else decides:
joints and their angles, the spring from loose to coil-bound, the damper and its stops, and camber
and toe where the mount holds the wheel."""
_MORE = """\
--csv FILE writes a row a place: how far forward, inboard and up it is, the lowest clearance with
the pair, the travel and the rack it is met at, the same less its rule, the ends of travel there,
the joint that uses most of its angle, the spring at either end, the damper, how camber and toe
change, whether the plate's slots reach it, and whether everything is in order there. --dxf FILE
writes the outlines of where nothing touches and where all rules are kept, seen from above, front
up, origin at the mount. --slots looks at the places that the plate's slots reach, the tower
staying. An upright --plane goes through the mount, or --aside of it; its heights are about that of
the mount, --height higher. It is drawn as seen from the side, from outside the car, or from behind.

exit codes: 0 a place where everything is in order was found; 1 none was; 2 bad input."""


def add(commands: Any) -> None:
    """Add the command to the grammar."""
    command = about_project(commands, "map", "everywhere the top mount could go", _ABOUT, _MORE)
    command.add_argument("--reach", metavar="LENGTH", default="40", help="each way (40)")
    command.add_argument("--step", metavar="LENGTH", default="2", help="between places (2)")
    command.add_argument("--height", metavar="LENGTH", default="0", help="raised by this much (0)")
    command.add_argument(
        "--tower", choices=("along", "stays"), help="the tower goes along, or stays (its own)"
    )
    command.add_argument(
        "--plane", choices=("top", "along", "across"), default="top",
        help="seen from above, or upright along or across the car (top)",
    )  # fmt: skip
    command.add_argument(
        "--aside", metavar="LENGTH", default="0",
        help="an upright plane so far inboard, or forward if it lies across (0)",
    )  # fmt: skip
    command.add_argument("--slots", action="store_true", help="only where the plate's slots reach")
    command.add_argument(
        "--steer", type=int, metavar="N", default=1, help="rack positions, lock to lock (1)"
    )
    command.add_argument("--csv", metavar="FILE", help="write every place into FILE")
    command.add_argument("--dxf", metavar="FILE", help="write the outlines into FILE")
    command.add_argument("--out", metavar="FILE", help="a picture: .pdf, .png or .svg")
    command.add_argument("--units", choices=("mm", "in"), help="lengths (project's own)")
    command.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Work out the map, print its gist and write what was asked for."""
    from app.commands.given import read
    from kinematics.studies.study import set_up

    path = find_project(args.file)
    setting = set_up(read(path), path.parent)
    if args.plane != "top" and args.slots:
        raise EntryError("--slots is for the plane seen from above: leave out --plane.")
    aside = read_length(args.aside, "mm")
    if args.plane == "top" and aside:
        raise EntryError("--aside is for an upright --plane; seen from above, give --height.")
    if not 1 <= args.steer <= 21:
        raise EntryError("--steer should be from 1 to 21 rack positions.")
    plan = _within_slots(setting, args) if args.slots else _square(setting, args)
    print(setting.project.title)
    for line in gist(setting, plan, args.units or setting.project.units).split("\n"):
        print(lines(line, then="  "))
    _draw(setting, plan, args)
    if args.csv is not None:
        from app.paper.map_table import write_map_csv

        units: Units = args.units or setting.project.units
        write_map_csv(setting, plan, Path(args.csv), units)
        print(f"Every place is in {args.csv}")
    return 0 if plan.good.any() else 1


def _square(setting: Setting, args: argparse.Namespace) -> TopMap:
    """The map over the square asked for."""
    from kinematics.studies.places import thinned
    from kinematics.studies.study import racks
    from kinematics.studies.top_map import top_map

    reach, step = (read_length(text, "mm") for text in (args.reach, args.step))
    if not (step > 0.0 and 1 <= reach / step <= (MOST - 1) / 2):
        raise EntryError("--step must go into --reach at least once and at most 100 times.")
    count = math.floor(reach / step + 1e-9)
    # The map is worked out on a fine grid, of which the places asked for are shown.
    fine = max(1, math.ceil(step / CLOSEST - 1e-9))
    if 2 * count * fine + 1 > 2 * MOST:
        raise EntryError("--reach is too far for a map: keep it within 500 mm.")
    places = step / fine * np.arange(-count * fine, count * fine + 1)
    tower = None if args.tower is None else args.tower == "along"
    rack = racks(setting, args.steer) if args.steer > 1 else 0.0
    height = read_length(args.height, "mm")
    if args.plane == "top":
        return thinned(top_map(setting, places, places, height, tower, rack), fine)
    from kinematics.studies.upright import upright_map

    aside = read_length(args.aside, "mm")
    if args.plane == "along":  # inboard of the mount, as y
        aside *= -1.0 if setting.project.side == "left" else 1.0
    heights = places[::fine] + height
    plan = upright_map(setting, args.plane, places, heights, aside, tower, rack)
    return thinned(plan, (1, fine))


def _within_slots(setting: Setting, args: argparse.Namespace) -> TopMap:
    """The map over what the plate's slots reach. Raises EntryError without slots."""
    from kinematics.studies.study import racks
    from kinematics.studies.top_map import slot_map

    if args.tower == "along":
        raise EntryError("--slots is for a tower that stays: leave out --tower along.")
    plan = slot_map(setting, racks(setting, args.steer) if args.steer > 1 else 0.0)
    if plan is None:
        raise EntryError("This project has no top mount plate with slots to slide in.")
    return plan


def _draw(setting: Setting, plan: TopMap, args: argparse.Namespace) -> None:
    """The picture and the outlines that were asked for."""
    if args.out is None and args.dxf is None:
        return
    from app.paper.map_dxf import write_map_dxf
    from app.paper.map_page import map_page
    from app.paper.media import write as write_page

    page = map_page(setting, plan, args.units or setting.project.units)
    if args.out is not None:
        write_page(page, Path(args.out))
        print(f"The picture is {args.out}")
    if args.dxf is not None:
        about = f"{page.title}. Lengths in mm. {page.about}"
        write_map_dxf(setting.project, plan, Path(args.dxf), about)
        print(f"The outlines are in {args.dxf}")


def gist(setting: Setting, plan: TopMap, units: Units = "mm") -> str:
    """How many places are good, the best, the middle of the safe area, and what the slots reach."""
    from kinematics.studies.place_words import say_place, say_standing
    from kinematics.studies.places import middle_of

    if np.isnan(plan.margin).all():
        here = len(plan.along) // 2, len(plan.across) // 2
        return f"At none of these places does the corner stand. {say_standing(plan.limits, *here)}"
    clear, kept = (int(np.sum(f >= 0.0)) for f in (plan.clearance, plan.margin))
    lines = [f"Of {plan.margin.size} places {clear} touch nothing and {kept} keep all rules."]
    if kept and (good := int(plan.good.sum())) < kept:
        lines.append(f"At {good} of these joints, spring and damper are within their limits too.")
    lines.append(f"Most room: {say_place(setting, plan, *plan.best, units)}")
    if (middle := middle_of(plan.good)) is not None:
        lines.append(f"Middle of the safe area: {say_place(setting, plan, *middle, units)}")
    if plan.slots is not None and not plan.with_tower and plan.plane == "top":
        lines.append(_slots(setting, plan, units))
    return "\n".join(lines)


def _slots(setting: Setting, plan: TopMap, units: Units) -> str:
    """How many of the places that the plate's slots reach are good, and the best of them."""
    from kinematics.studies.place_words import say_place

    inside, best = plan.in_slots, plan.best_in_slots
    if best is None:
        return "None of these places lies within the plate's slots."
    good = int(np.sum(plan.good & inside))
    words = f"Of {int(inside.sum())} places that the plate's slots reach {good} keep all rules."
    return f"{words} The best of them: {say_place(setting, plan, *best, units)}"
