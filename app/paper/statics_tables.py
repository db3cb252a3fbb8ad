"""The tables of statics: ``statics.csv`` over the travel, ``forces.csv`` for the load cases."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TextIO

import numpy as np
from numpy.typing import NDArray

from app.paper.tables import UNITS, numbers, word, write_table
from kinematics.statics.figures import FIGURES
from kinematics.statics.loading import Settled
from kinematics.statics.statics import Statics
from kinematics.studies.study import Study

FORCES = (
    "case", "travel_mm", "rests_on", "member", "at", "on", "against", "force_n", "x_n", "y_n",
    "z_n", "pull_n", "at_x_mm", "at_y_mm", "at_z_mm",
)  # fmt: skip
Array = NDArray[np.float64]


def statics_csv(study: Study, out: TextIO) -> None:
    """One row a position: springs and stops, then angles of bearings, shafts and hoses."""
    known = study.statics
    columns = {
        "travel_mm": study.travel.repeat(len(study.rack)),
        "rack_mm": np.tile(study.rack, len(study.travel)),
    }
    if known is not None:
        columns |= {name: values.ravel() for name, values in _columns(known)}
    cells = [numbers(values) for values in columns.values()]
    write_table(out, [word(name) for name in columns], zip(*cells, strict=True))


def _columns(known: Statics) -> Iterator[tuple[str, Array]]:
    for key, values in known.figures.items():
        suffix, factor = UNITS.get(FIGURES[key].quantity, ("", 1.0))
        yield key + suffix, values * factor
    for use in known.bearings:
        yield f"{use.point}: angle_deg", np.degrees(use.angle)
        if np.isfinite(use.limit):
            yield f"{use.point}: angle_left_deg", np.degrees(use.left)
        if use.twist is not None:
            yield f"{use.point}: twist_deg", np.degrees(use.twist)
    for name, shaft in known.shafts.items():
        yield f"{name}: inner_deg", np.degrees(shaft.inner)
        yield f"{name}: outer_deg", np.degrees(shaft.outer)
        yield f"{name}: plunge_mm", shaft.plunge
    for name, slack in known.hoses.items():
        yield f"{name}: slack_mm", slack


def forces_csv(study: Study, out: TextIO) -> None:
    """One row for every joint in every load case, where springs and stops carry the case.

    A force acts on the body under ``on``, its opposite on ``against``. ``pull_n`` is a link's,
    and the coilover's; pushing is negative. Spring and stops come first: their pushes add up to
    the coilover's.
    """
    loading = study.statics.loading if study.statics else None
    rows = [row for settled in loading.settled for row in _rows(settled)] if loading else []
    write_table(out, FORCES, rows)


def _rows(settled: Settled) -> Iterator[list[str]]:
    for name, push in settled.pushes.items():
        coilover = settled.forces.of("coilover")
        direction = coilover.at[0] - coilover.against_at[0]
        force = push * direction / np.linalg.norm(direction)
        figures = numbers(np.array([abs(push), *force, -push]))
        travel = numbers(np.array([settled.travel]))
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
        figures = numbers(np.array([np.linalg.norm(force), *force, pull, *at]))
        names = (joint.member, joint.place, joint.on, joint.against)
        travel = numbers(np.array([settled.travel]))
        yield [word(settled.case), *travel, word(settled.rests_on), *map(word, names), *figures]
