"""Springs, stops, joints, shafts, hoses and forces as curves for the strips."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from app.document.board import Curve, Line
from app.document.statics_grids import JOINTS, Grid, statics_grids
from kinematics.motion.bearings import BearingUse
from kinematics.statics.statics import Statics
from kinematics.studies.study import Study

Array = NDArray[np.float64]
NEAREST = 3  # joints drawn together


def statics_curves(study: Study, j: int) -> dict[str, Curve]:
    """Every curve of statics at one rack column, by key; those of springs alone while a mount
    slides, when the rest is not worked out."""
    grids = statics_grids(study)
    found = [_curve(grid, j) for grid in grids if grid.group != JOINTS]
    if study.statics is not None and (together := _joints(study.statics, j)) is not None:
        found.append(together)
    found += [_curve(grid, j) for grid in grids if grid.group == JOINTS]
    return {curve.key: curve for curve in found}


def _curve(grid: Grid, j: int) -> Curve:
    lines = [Line(grid.values[:, j], grid.label)]
    lines += [Line(values[:, j], label, False) for label, values in grid.also]
    return Curve(
        grid.key, grid.title, grid.unit, grid.decimals, tuple(lines), grid.help,
        signed=grid.signed, guides=grid.guides, group=grid.group,
    )  # fmt: skip


def _joints(known: Statics, j: int) -> Curve | None:
    """Those nearest their limits together, as shares of them."""
    limited = [use for use in known.bearings if use.limit > 0.0]
    limited = sorted(limited, key=_share, reverse=True)[:NEAREST]
    if not limited:
        return None
    lines = tuple(
        Line(100.0 * use.angle[:, j] / use.limit, use.point, i == 0)
        for i, use in enumerate(limited)
    )
    most = max(105.0, *(float(np.nanmax(line.values, initial=0.0)) for line in lines))
    return Curve(
        "joints", "Joints", "%", 0, lines,
        "Share of its limit that each of the joints nearest their limits uses.",
        guides=((100.0, "limit"),), span=(0.0, 1.1 * most), group=JOINTS,
    )  # fmt: skip


def _share(use: BearingUse) -> float:
    known = np.isfinite(use.angle)
    return float(np.max(use.angle, initial=0.0, where=known)) / use.limit
