"""The tables: ``motion.csv`` and ``clearance.csv``, plain numbers, empty where undefined.

The name of every column ends in its unit. In a file they stand under lines that begin with # and
say title, project, date and units (:func:`write_about`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TextIO

import numpy as np
from numpy.typing import NDArray

from kinematics.measures import FIGURES
from kinematics.studies.study import Study
from kinematics.units import Units, unit_of

MOTION = (
    "camber", "toe", "steer", "caster", "kpi", "scrub", "wheel_x", "wheel_y", "wheel_z",
    "contact_x", "contact_y", "contact_z", "damper", "motion_ratio",
)  # fmt: skip
WHERE, PARTS = ("travel", "rack"), ("part_a", "part_b")
GAPS = (
    "clearance", "bound", "give", "give_bound", "a_x", "a_y", "a_z", "b_x", "b_y", "b_z",
)  # fmt: skip


def motion_csv(study: Study, out: TextIO, units: Units = "mm") -> None:
    """One row a position: travel, rack, whether it was reached, then every figure."""
    names = [*MOTION, *(k for k in study.measures.figures if k not in MOTION)]
    length = unit_of("length", units)
    columns = [study.travel.repeat(len(study.rack)), np.tile(study.rack, len(study.travel))]
    reached = study.reached.ravel()
    heads = [*(name + length.column for name in WHERE), "reached"]
    cells = [numbers(length.of(column)) for column in columns]
    cells.append(["yes" if r else "no" for r in reached])
    for name in names:
        unit = unit_of(FIGURES[name].quantity, units)
        values = study.measures.figures.get(name)
        flat = np.full(reached.shape, np.nan) if values is None else unit.of(values.ravel())
        heads.append(name + unit.column)
        cells.append(numbers(np.where(reached, flat, np.nan)))
    write_table(out, heads, zip(*cells, strict=True))


def clearance_csv(study: Study, out: TextIO, units: Units = "mm") -> None:
    """One row for every position and pair, travel slowest, in the order of the pairs.

    First as if nothing gave, then once parts give; empty where the project has nothing that does.
    """
    found, unit = study.clearances, unit_of("length", units)
    sized = [[name + unit.column for name in names] for names in (WHERE, GAPS)]
    out.write(",".join([*sized[0], *PARTS, *sized[1]]) + "\n")
    names = [f"{word(a)},{word(b)}" for a, b in study.names]
    give, give_bound = _with_give(study)
    for i, travel in enumerate(study.travel):
        for j, rack in enumerate(study.rack):
            where = ",".join(numbers(unit.of(np.array([travel, rack]))))
            at = (slice(None), i, j)
            figures = [found.low[at], found.bound[at], give[at], give_bound[at]]
            points = found.point_a[at], found.point_b[at]
            cells = numbers(unit.of(np.column_stack([*figures, *points]).ravel()))
            for p, pair in enumerate(names):
                out.write(
                    f"{where},{pair},{','.join(cells[len(GAPS) * p : len(GAPS) * (p + 1)])}\n"
                )


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


def write_about(out: TextIO, *lines: str) -> None:
    """Lines above a table that begin with # and say of what it is: remarks to what reads it."""
    out.writelines(f"# {' '.join(line.split())}\n" for line in lines)


def write_table(out: TextIO, heads: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """Heads and rows, one a line."""
    out.write(",".join(heads) + "\n")
    out.writelines(",".join(row) + "\n" for row in rows)
