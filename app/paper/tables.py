"""The tables: ``motion.csv`` and ``clearance.csv``, plain numbers, empty where undefined."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TextIO

import numpy as np
from numpy.typing import NDArray

from kinematics.measures import FIGURES
from kinematics.studies.study import Study

MOTION = (
    "camber", "toe", "steer", "caster", "kpi", "scrub", "wheel_x", "wheel_y", "wheel_z",
    "contact_x", "contact_y", "contact_z", "damper", "motion_ratio",
)  # fmt: skip
CLEARANCE = (
    "travel_mm", "rack_mm", "part_a", "part_b", "clearance_mm", "bound_mm", "give_mm",
    "give_bound_mm",
    "a_x_mm", "a_y_mm", "a_z_mm", "b_x_mm", "b_y_mm", "b_z_mm",
)  # fmt: skip
UNITS = {
    "angle": ("_deg", 180 / np.pi),
    "length": ("_mm", 1.0),
    "angle_per_length": ("_deg_per_mm", 180 / np.pi),
    "force": ("_n", 1.0),
    "force_per_length": ("_n_per_mm", 1.0),
}


def motion_csv(study: Study, out: TextIO) -> None:
    """One row a position: travel, rack, whether it was reached, then every figure."""
    names = [*MOTION, *(k for k in study.measures.figures if k not in MOTION)]
    columns = [study.travel.repeat(len(study.rack)), np.tile(study.rack, len(study.travel))]
    reached = study.reached.ravel()
    heads, cells = ["travel_mm", "rack_mm", "reached"], [*map(numbers, columns)]
    cells.append(["yes" if r else "no" for r in reached])
    for name in names:
        suffix, factor = UNITS.get(FIGURES[name].quantity, ("", 1.0))
        values = study.measures.figures.get(name)
        flat = np.full(reached.shape, np.nan) if values is None else values.ravel() * factor
        heads.append(name + suffix)
        cells.append(numbers(np.where(reached, flat, np.nan)))
    write_table(out, heads, zip(*cells, strict=True))


def clearance_csv(study: Study, out: TextIO) -> None:
    """One row for every position and pair, travel slowest, in the order of the pairs.

    First as if nothing gave, then once parts give; empty where the project has nothing that does.
    """
    found = study.clearances
    out.write(",".join(CLEARANCE) + "\n")
    names = [f"{word(a)},{word(b)}" for a, b in study.names]
    give, give_bound = _with_give(study)
    for i, travel in enumerate(study.travel):
        for j, rack in enumerate(study.rack):
            where = ",".join(numbers(np.array([travel, rack])))
            at = (slice(None), i, j)
            figures = [found.low[at], found.bound[at], give[at], give_bound[at]]
            cells = numbers(
                np.column_stack([*figures, found.point_a[at], found.point_b[at]]).ravel()
            )
            for p, pair in enumerate(names):
                out.write(f"{where},{pair},{','.join(cells[10 * p : 10 * p + 10])}\n")


def _with_give(study: Study) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Clearances once parts give and their calculation errors, (pairs, nz, ns); NaN for none.

    Give may have been looked at on a finer grid than the study's.
    """
    found, given = study.clearances, study.given
    if given is None:
        return np.full(found.low.shape, np.nan), np.full(found.low.shape, np.nan)
    rows = np.searchsorted(given.travel, study.travel - 1e-9)
    low, bound = np.empty(found.low.shape), np.empty(found.low.shape)
    for pair in range(len(found.low)):
        fine = pair in given.pairs
        mine, error = given.figure(pair, found)
        low[pair], bound[pair] = (mine[rows], error[rows]) if fine else (mine, error)
    return low, bound


def numbers(values: NDArray[np.float64]) -> list[str]:
    """Six decimals, empty for what is not a finite number; no minus before a nought."""
    rounded = np.round(values, 6) + 0.0
    return [f"{v:.6f}" if -np.inf < v < np.inf else "" for v in rounded.tolist()]


def word(text: str) -> str:
    """A name as one field: quoted when it holds what a table is made of."""
    return '"' + text.replace('"', '""') + '"' if set(text) & set(',"\n\r') else text


def write_table(out: TextIO, heads: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """Heads and rows, one a line."""
    out.write(",".join(heads) + "\n")
    out.writelines(",".join(row) + "\n" for row in rows)
