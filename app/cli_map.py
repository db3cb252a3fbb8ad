"""``clearstroke map FILE``: everywhere the top mount could go, and what stops it elsewhere."""

from __future__ import annotations

import argparse
import csv
import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from app.examples import find_project
from kinematics.errors import EntryError
from kinematics.units import read_length

if TYPE_CHECKING:
    from kinematics.studies.study import Setting
    from kinematics.studies.top_map import TopMap

MOST = 201
"""Places a side."""

_ABOUT = """\
Slide the top mount over a square about where it is, at every place take the corner through its
whole travel there, and say where nothing touches and where all rules are kept."""
_MORE = """\
--csv FILE writes a row a place: how far forward and inboard it is, the lowest clearance with the
pair and the travel it is met at, the same less its rule, and the ends of travel there.

exit codes: 0 a place that keeps all rules was found; 1 none was; 2 bad input."""


def add(commands: Any) -> None:
    """Add the command to the grammar."""
    command = commands.add_parser(
        "map",
        help="everywhere the top mount could go",
        description=_ABOUT,
        epilog=_MORE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    command.add_argument("file", metavar="FILE", help="NAME.corner.json, or an example's name")
    command.add_argument("--reach", metavar="LENGTH", default="40", help="each way (40)")
    command.add_argument("--step", metavar="LENGTH", default="2", help="between places (2)")
    command.add_argument("--height", metavar="LENGTH", default="0", help="raised by this much (0)")
    command.add_argument("--csv", metavar="FILE", help="write every place into FILE")
    command.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Work out the map, print its gist and write what was asked for."""
    from kinematics.project.files import read
    from kinematics.studies.study import set_up
    from kinematics.studies.top_map import top_map

    path = find_project(args.file)
    setting = set_up(read(path), path.parent)
    reach, step = (read_length(text, "mm") for text in (args.reach, args.step))
    if not (step > 0.0 and 1 <= reach / step <= (MOST - 1) / 2):
        raise EntryError("--step must go into --reach at least once and at most 100 times.")
    count = math.floor(reach / step + 1e-9)
    places = step * np.arange(-count, count + 1)
    plan = top_map(setting, places, places, height=read_length(args.height, "mm"))
    print(setting.project.title)
    print(gist(setting, plan))
    if args.csv is not None:
        write(setting, plan, Path(args.csv))
        print(f"Every place is in {args.csv}")
    return 0 if np.nanmax(plan.margin, initial=-np.inf) >= 0.0 else 1


def gist(setting: Setting, plan: TopMap) -> str:
    """How many places are good, and the best."""
    if np.isnan(plan.margin).all():
        return "The damper can't stand at set-up height with the mount at any of these places."
    clear, kept = (int(np.sum(f >= 0.0)) for f in (plan.clearance, plan.margin))
    row, column = plan.best
    a, b = setting.names[plan.margin_pair[row, column]]
    inward = -plan.across[column] if setting.project.side == "left" else plan.across[column]
    return (
        f"Of {plan.margin.size} places {clear} touch nothing and {kept} keep all rules.\n"
        f"Most room: {abs(inward):g} mm {'inboard' if inward >= 0 else 'outboard'} and "
        f"{abs(plan.along[row]):g} mm {'forward' if plan.along[row] >= 0 else 'rearward'} of where "
        f"it is: {plan.margin[row, column]:.1f} mm over the rule, {a} to {b}."
    )


def write(setting: Setting, plan: TopMap, path: Path) -> None:
    """Every place of the map as CSV, lengths in mm."""
    out = -1.0 if setting.project.side == "left" else 1.0
    head = [
        "forward_mm", "inboard_mm", "clearance_mm", "part_a", "part_b", "at_travel_mm",
        "over_rule_mm", "rule_part_a", "rule_part_b", "rule_at_travel_mm", "droop_mm", "bump_mm",
    ]  # fmt: skip
    try:
        with path.open("w", newline="", encoding="utf-8") as file:
            rows = csv.writer(file)
            rows.writerow(head)
            for i, x in enumerate(plan.along.tolist()):
                for j, y in enumerate(plan.across.tolist()):
                    rows.writerow([f"{x:.3f}", f"{out * y:.3f}", *_figures(setting, plan, i, j)])
    except OSError as error:
        raise EntryError(f'"{path}" can\'t be written: {error.strerror or error}.') from None


def _figures(setting: Setting, plan: TopMap, i: int, j: int) -> list[str]:
    found = []
    for value, pair, travel in (
        (plan.clearance, plan.clearance_pair, plan.clearance_travel),
        (plan.margin, plan.margin_pair, plan.margin_travel),
    ):
        names = setting.names[int(pair[i, j])] if pair[i, j] >= 0 else ("", "")
        found += [_number(float(value[i, j])), *names, _number(float(travel[i, j]))]
    return [*found, _number(float(plan.droop[i, j])), _number(float(plan.bump[i, j]))]


def _number(value: float) -> str:
    return "" if math.isnan(value) else f"{value:.4f}"
