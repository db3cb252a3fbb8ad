"""Springs, stops and joints against travel, as strips of a chart."""

from __future__ import annotations

import numpy as np

from app.document.statics_grids import statics_grids
from app.paper.chart import Strip
from app.paper.curves import unit_words
from app.paper.labels import Curve
from kinematics.findings.words import Units
from kinematics.motion.bearings import BearingUse
from kinematics.statics.figures import FIGURES
from kinematics.statics.statics import Statics
from kinematics.studies.study import Study
from kinematics.units import chart_unit, unit_of

JOINTS_DRAWN = 4
#: Short names for the narrow columns of a sheet.
TITLES = {"wheel_force": "Wheel force", "wheel_rate": "Wheel rate", "stroke_left": "Stroke left"}


def statics_strips(study: Study, units: Units) -> list[Strip]:
    """Wheel force and rate, damper stroke, joints: those that are known, straight ahead."""
    known = study.statics
    if known is None:
        return []
    keys = [key for key in TITLES if key in known.figures]
    strips = [statics_strip(study, known, key, units) for key in keys]
    joints = joint_strip(study, known, units)
    return strips if joints is None else [*strips, joints]


def statics_strip(study: Study, known: Statics, key: str, units: Units) -> Strip:
    """One figure of statics straight ahead."""
    about = FIGURES[key]
    unit, along = chart_unit(about.quantity, units), unit_of("travel", units)
    values = unit.of(known.figures[key][:, _middle(study)])
    if key == "wheel_rate":  # a bump stop near solid would hide all the rest
        values = np.where(values > 4.0 * np.nanmedian(values), np.nan, values)
    title = TITLES.get(key, about.label)
    curves = (Curve(along.of(study.travel), values),)
    return Strip(title, unit_words(unit.name), curves, zero=key != "wheel_rate")


def joint_strip(study: Study, known: Statics, units: Units) -> Strip | None:
    """How much of their limits the joints use that use most; else the largest angles."""
    along = unit_of("travel", units)
    middle = _middle(study)
    limited = [use for use in known.bearings if np.isfinite(use.limit)]
    chosen = sorted(limited or known.bearings, key=_most, reverse=True)[:JOINTS_DRAWN]
    chosen = [use for use in chosen if _most(use) > 0.0]
    if not chosen:
        return None
    curves = tuple(
        Curve(along.of(study.travel), _used(use)[:, middle], use.point, i == 0)
        for i, use in enumerate(chosen)
    )
    if limited:
        most = max(1.1, *(float(np.nanmax(c.value)) / 100.0 for c in curves))
        return Strip(
            "Joints", "% of limit", curves, ((100.0, "limit"),), limits=(0.0, 100.0 * most)
        )
    return Strip("Joints", "degrees", curves)


def grid_strip(study: Study, key: str, units: Units) -> tuple[Strip, str] | None:
    """Any figure of joints, shafts, hoses or forces, straight ahead, and what it means."""
    if key == "joints":
        together = None if study.statics is None else joint_strip(study, study.statics, units)
        return None if together is None else (together, "Share of its limit that each uses.")
    grid = next((g for g in statics_grids(study, units) if g.key == key), None)
    if grid is None:
        return None
    travel = unit_of("travel", units).of(study.travel)
    middle = _middle(study)
    curves = [Curve(travel, grid.values[:, middle], grid.label)]
    curves += [Curve(travel, values[:, middle], label, False) for label, values in grid.also]
    return Strip(grid.title, unit_words(grid.unit), tuple(curves), grid.guides), grid.help


def _used(use: BearingUse) -> np.ndarray:
    if np.isfinite(use.limit):
        return np.asarray(100.0 * use.angle / use.limit)
    return np.degrees(use.angle)


def _most(use: BearingUse) -> float:
    used = _used(use)
    return float(np.nanmax(used)) if np.isfinite(used).any() else 0.0


def _middle(study: Study) -> int:
    return int(np.argmin(np.abs(study.rack)))
