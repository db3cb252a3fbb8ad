"""The tables of statics: ``statics.csv`` over the travel, ``forces.csv`` for the load cases."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TextIO

import numpy as np
from numpy.typing import NDArray

from app.paper.tables import numbers, word, write_table
from kinematics.statics.figures import FIGURES
from kinematics.statics.loading import Settled
from kinematics.statics.statics import Statics
from kinematics.studies.study import Study
from kinematics.units import Quantity, Units, unit_of

Array = NDArray[np.float64]


def statics_csv(study: Study, out: TextIO, units: Units = "mm") -> None:
    """One row a position: springs and stops, then angles of bearings, shafts and hoses."""
    known = study.statics
    columns: list[tuple[str, Quantity, Array]] = [
        ("travel", "length", study.travel.repeat(len(study.rack))),
        ("rack", "length", np.tile(study.rack, len(study.travel))),
    ]
    if known is not None:
        columns += _columns(known)
    sized = [(name, unit_of(quantity, units), values) for name, quantity, values in columns]
    cells = [numbers(unit.of(values.ravel())) for _, unit, values in sized]
    heads = [word(name + unit.column) for name, unit, _ in sized]
    write_table(out, heads, zip(*cells, strict=True))


def _columns(known: Statics) -> Iterator[tuple[str, Quantity, Array]]:
    for key, values in known.figures.items():
        yield key, FIGURES[key].quantity, values
    for use in known.bearings:
        yield f"{use.point}: angle", "angle", use.angle
        if np.isfinite(use.limit):
            yield f"{use.point}: angle_left", "angle", use.left
        if use.twist is not None:
            yield f"{use.point}: twist", "angle", use.twist
    for name, shaft in known.shafts.items():
        yield f"{name}: inner", "angle", shaft.inner
        yield f"{name}: outer", "angle", shaft.outer
        yield f"{name}: plunge", "length", shaft.plunge
    for name, slack in known.hoses.items():
        yield f"{name}: slack", "length", slack


def forces_csv(study: Study, out: TextIO, units: Units = "mm") -> None:
    """One row for every joint in every load case, where springs and stops carry the case.

    A force acts on the body under ``on``, its opposite on ``against``. ``pull`` is a link's,
    and the coilover's; pushing is negative. Spring and stops come first: their pushes add up to
    the coilover's.
    """
    loading = study.statics.loading if study.statics else None
    length, force = (unit_of(what, units).column for what in ("length", "force"))
    heads = (
        "case", f"travel{length}", "rests_on", "member", "at", "on", "against",
        *(f"{name}{force}" for name in ("force", "x", "y", "z", "pull")),
        *(f"at_{axis}{length}" for axis in "xyz"),
    )  # fmt: skip
    rows = [row for settled in loading.settled for row in _rows(settled, units)] if loading else []
    write_table(out, heads, rows)


def _rows(settled: Settled, units: Units) -> Iterator[list[str]]:
    length, newtons = unit_of("length", units), unit_of("force", units)
    travel = numbers(length.of(np.array([settled.travel])))
    for name, push in settled.pushes.items():
        coilover = settled.forces.of("coilover")
        direction = coilover.at[0] - coilover.against_at[0]
        force = push * direction / np.linalg.norm(direction)
        figures = numbers(newtons.of(np.array([abs(push), *force, -push])))
        place = f"{name} seat" if name == "spring" else name
        names = (name, place, coilover.on, coilover.against)
        yield [
            word(settled.case), *travel, word(settled.rests_on), *map(word, names), *figures,
            "", "", "",
        ]  # fmt: skip
    for joint in settled.forces.joints:
        force, at = joint.force[0, 0], joint.at[0]
        pull = np.nan
        if joint.axial is not None:
            pull = float(joint.axial[0, 0]) * (-1.0 if joint.member == "coilover" else 1.0)
        figures = numbers(newtons.of(np.array([np.linalg.norm(force), *force, pull])))
        figures += numbers(length.of(at))
        names = (joint.member, joint.place, joint.on, joint.against)
        yield [word(settled.case), *travel, word(settled.rests_on), *map(word, names), *figures]
