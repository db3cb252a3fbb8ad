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
CLOSEST = 2.5
"""Places are never looked at farther apart than this, mm."""

_ABOUT = """\
Slide the top mount over a square about where it is, at every place take the corner through its
whole travel there, and say where nothing touches and where all rules are kept."""
_MORE = """\
--csv FILE writes a row a place: how far forward and inboard it is, the lowest clearance with the
pair, the travel and the rack it is met at, the same less its rule, the ends of travel there, and
how camber and toe change where the mount holds the wheel. --dxf FILE writes the outlines of where
nothing touches and where all rules are kept, seen from above, front up, origin at the mount.

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
    command.add_argument(
        "--tower", choices=("along", "stays"), help="the tower goes along, or stays (its own)"
    )
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
    from kinematics.project.files import read
    from kinematics.studies.places import thinned
    from kinematics.studies.study import racks, set_up
    from kinematics.studies.top_map import top_map

    path = find_project(args.file)
    setting = set_up(read(path), path.parent)
    reach, step = (read_length(text, "mm") for text in (args.reach, args.step))
    if not (step > 0.0 and 1 <= reach / step <= (MOST - 1) / 2):
        raise EntryError("--step must go into --reach at least once and at most 100 times.")
    count = math.floor(reach / step + 1e-9)
    # The map is worked out on a fine grid, of which the places asked for are shown.
    fine = max(1, math.ceil(step / CLOSEST - 1e-9))
    if 2 * count * fine + 1 > 2 * MOST:
        raise EntryError("--reach is too far for a map: keep it within 500 mm.")
    places = step / fine * np.arange(-count * fine, count * fine + 1)
    if not 1 <= args.steer <= 21:
        raise EntryError("--steer should be from 1 to 21 rack positions.")
    plan = top_map(
        setting,
        places,
        places,
        height=read_length(args.height, "mm"),
        with_tower=None if args.tower is None else args.tower == "along",
        rack=racks(setting, args.steer) if args.steer > 1 else 0.0,
    )
    plan = thinned(plan, fine)
    print(setting.project.title)
    print(gist(setting, plan))
    _draw(setting, plan, args)
    if args.csv is not None:
        write(setting, plan, Path(args.csv))
        print(f"Every place is in {args.csv}")
    return 0 if np.nanmax(plan.margin, initial=-np.inf) >= 0.0 else 1


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
        write_map_dxf(plan, Path(args.dxf), f"{page.title}. Lengths in mm. {page.about}")
        print(f"The outlines are in {args.dxf}")


def gist(setting: Setting, plan: TopMap) -> str:
    """How many places are good, the best, and the middle of the safe area."""
    from kinematics.studies.places import middle_of

    if np.isnan(plan.margin).all():
        return "The damper can't stand at set-up height with the mount at any of these places."
    clear, kept = (int(np.sum(f >= 0.0)) for f in (plan.clearance, plan.margin))
    lines = [f"Of {plan.margin.size} places {clear} touch nothing and {kept} keep all rules."]
    lines.append(f"Most room: {_place(setting, plan, *plan.best)}")
    if (middle := middle_of(plan.margin >= 0.0)) is not None:
        lines.append(f"Middle of the safe area: {_place(setting, plan, *middle)}")
    return "\n".join(lines)


def _place(setting: Setting, plan: TopMap, row: int, column: int) -> str:
    """Where a place of the map is and what is tightest there."""
    from kinematics.studies.places import lean_of

    a, b = setting.names[plan.margin_pair[row, column]]
    inward = -plan.across[column] if setting.project.side == "left" else plan.across[column]
    left = f"{plan.margin[row, column]:.1f} mm over the rule".replace("-", "−")
    camber, toe = (np.degrees(x[row, column]) for x in lean_of(setting, plan))
    lean = ""
    if abs(camber) > 0.005 or abs(toe) > 0.005:
        lean = f" Camber {camber:+.2f}°, toe {toe:+.2f}°.".replace("-", "−")
    return (
        f"{abs(inward):g} mm {'inboard' if inward >= 0 else 'outboard'} and "
        f"{abs(plan.along[row]):g} mm {'forward' if plan.along[row] >= 0 else 'rearward'} of where "
        f"it is: {left}, {a} to {b}.{lean}"
    )


def write(setting: Setting, plan: TopMap, path: Path) -> None:
    """Every place of the map as CSV, lengths in mm."""
    out = -1.0 if setting.project.side == "left" else 1.0
    head = [
        "forward_mm", "inboard_mm", "clearance_mm", "part_a", "part_b", "at_travel_mm",
        "at_rack_mm", "over_rule_mm", "rule_part_a", "rule_part_b", "rule_at_travel_mm",
        "rule_at_rack_mm", "droop_mm", "bump_mm", "camber_change_deg", "toe_change_deg",
    ]  # fmt: skip
    from kinematics.studies.places import lean_of

    lean = [np.degrees(x) for x in lean_of(setting, plan)]
    try:
        with path.open("w", newline="", encoding="utf-8") as file:
            rows = csv.writer(file)
            rows.writerow(head)
            for i, x in enumerate(plan.along.tolist()):
                for j, y in enumerate(plan.across.tolist()):
                    turned = [_number(float(angle[i, j])) for angle in lean]
                    figures = _figures(setting, plan, i, j)
                    rows.writerow([f"{x:.3f}", f"{out * y + 0.0:.3f}", *figures, *turned])
    except OSError as error:
        raise EntryError(f'"{path}" can\'t be written: {error.strerror or error}.') from None


def _figures(setting: Setting, plan: TopMap, i: int, j: int) -> list[str]:
    found = []
    for value, pair, travel, rack in (
        (plan.clearance, plan.clearance_pair, plan.clearance_travel, plan.clearance_rack),
        (plan.margin, plan.margin_pair, plan.margin_travel, plan.margin_rack),
    ):
        names = setting.names[int(pair[i, j])] if pair[i, j] >= 0 else ("", "")
        met = (_number(float(at[i, j])) for at in (travel, rack))
        found += [_number(float(value[i, j])), *names, *met]
    return [*found, _number(float(plan.droop[i, j])), _number(float(plan.bump[i, j]))]


def _number(value: float) -> str:
    return "" if math.isnan(value) else f"{value:.4f}"
