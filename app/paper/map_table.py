"""The map of the top mount's places as a table: ``map --csv``, empty where undefined."""

from __future__ import annotations

import csv
import math
from pathlib import Path
from typing import TextIO

import numpy as np

from app.paper.about import about_project
from app.paper.media import write_text
from app.paper.tables import write_about
from kinematics.studies.place_limits import SpringState, Stands
from kinematics.studies.study import Setting
from kinematics.studies.top_map import TopMap
from kinematics.units import Unit, Units, unit_of

TITLE = "Top mount places"
HEAD = (
    "forward{}", "inboard{}", "up{}", "clearance{}", "part_a", "part_b", "at_travel{}",
    "at_rack{}", "over_rule{}", "rule_part_a", "rule_part_b", "rule_at_travel{}",
    "rule_at_rack{}", "droop{}", "bump{}", "stands", "joint", "joint_left_deg",
    "joint_at_travel{}", "joint_at_rack{}", "spring", "spring_squash_droop{}",
    "spring_left_bump{}", "damper{}", "damper_left{}", "bump_stop_meets{}",
    "camber_change_deg", "toe_change_deg", "in_slots", "good",
)  # fmt: skip


def write_map_csv(setting: Setting, plan: TopMap, path: Path, units: Units) -> None:
    """Write a row for every place of a map, under lines that begin with # and say of what it is.

    Raises PaperError if it can't be written.
    """
    unit, project = unit_of("length", units), setting.project

    def fill(out: TextIO) -> None:
        write_about(out, f"{TITLE}: {project.title}", about_project(project, units))
        rows = csv.writer(out, lineterminator="\n")
        rows.writerow(name.format(unit.column) for name in HEAD)
        rows.writerows(_row(setting, plan, i, j, unit) for i, j in np.ndindex(plan.margin.shape))

    write_text(path, fill)


def _row(setting: Setting, plan: TopMap, i: int, j: int, unit: Unit) -> list[str]:
    out = -1.0 if setting.project.side == "left" else 1.0
    x, y, z = plan.place(i, j)
    reach = "" if plan.slots is None else _yes(bool(plan.in_slots[i, j]))
    return [
        *(f"{unit.of(v) + 0.0:.{unit.decimals + 2}f}" for v in (x, out * y, z)),
        *_figures(setting, plan, i, j, unit), *_limits(plan, i, j, unit), reach,
        _yes(bool(plan.good[i, j])),
    ]  # fmt: skip


def _figures(setting: Setting, plan: TopMap, i: int, j: int, unit: Unit) -> list[str]:
    found = []
    for value, pair, travel, rack in (
        (plan.clearance, plan.clearance_pair, plan.clearance_travel, plan.clearance_rack),
        (plan.margin, plan.margin_pair, plan.margin_travel, plan.margin_rack),
    ):
        names = setting.names[int(pair[i, j])] if pair[i, j] >= 0 else ("", "")
        met = (_length(at[i, j], unit) for at in (travel, rack))
        found += [_length(value[i, j], unit), *names, *met]
    return [*found, *(_length(end[i, j], unit) for end in (plan.droop, plan.bump))]


def _limits(plan: TopMap, i: int, j: int, unit: Unit) -> list[str]:
    """Joints, spring, damper and lean of one place."""
    limits = plan.limits
    number = int(limits.joint[i, j])
    swivel = limits.joints[number] if number >= 0 else None
    joint = "" if swivel is None else f"{swivel.point} ({swivel.kind})"
    stands = Stands(int(limits.stands[i, j])).name.lower().replace("_", " ")
    state = SpringState(int(limits.spring[i, j])).name.lower().replace("_", " ")
    lengths = (limits.spring_squash, limits.spring_left, limits.damper, limits.damper_left,
               limits.meets)  # fmt: skip
    return [
        stands, joint, _degrees(limits.joint_left[i, j]),
        *(_length(at[i, j], unit) for at in (limits.joint_travel, limits.joint_rack)), state,
        *(_length(values[i, j], unit) for values in lengths),
        *(_degrees(angle[i, j]) for angle in (limits.camber, limits.toe)),
    ]  # fmt: skip


def _yes(true: bool) -> str:
    return "yes" if true else "no"


def _length(mm: float, unit: Unit) -> str:
    return "" if math.isnan(mm) else f"{unit.of(mm):.{unit.decimals + 3}f}"


def _degrees(angle: float) -> str:
    return "" if math.isnan(angle) else f"{math.degrees(angle):.4f}"
