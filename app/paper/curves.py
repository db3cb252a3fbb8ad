"""From a study to what a chart draws: the ruler and the strips, in the units asked for."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from app.document.board import Band
from app.document.reading import bands as of_state
from app.document.reading import heights, margins
from app.look.palette import State
from app.paper.chart import Strip
from app.paper.labels import Curve
from app.paper.ruler import Ruler
from kinematics.findings.find import second_does_it
from kinematics.findings.words import Units, position
from kinematics.measures import FIGURES
from kinematics.studies.study import Study
from kinematics.units import chart_unit, show_plain, unit_of

Array = NDArray[np.float64]
PAIRS_DRAWN = 5
WIDEST = 60.0  # mm of clearance worth drawing
STRAIGHT = ("toe", "toe_rim", "steer")


def ruler(study: Study, units: Units, level: float | None = None) -> Ruler:
    """The travel axis of a study, with the level line at ``level`` mm if given."""
    per = unit_of("travel", units).size
    z = study.travel
    label = "" if level is None else position(level, units)
    marks = tuple((at / per, word) for at, word in heights(study) if z[0] <= at <= z[-1])
    return Ruler(
        low=float(z[0]) / per,
        high=float(z[-1]) / per,
        unit=units,
        bands=tuple(Band(b.low / per, b.high / per, b.state) for b in bands(study)),
        marks=marks,
        level=None if level is None else level / per,
        level_label=label,
    )


def bands(study: Study) -> list[Band]:
    """Where anything is nearer than its rule, and where anything touches, mm of travel."""
    columns = [margins(study, j) for j in range(len(study.rack))]
    touch, near = (np.fmin.reduce(each) for each in zip(*columns, strict=True))
    reached = study.travel[np.isfinite(touch)]
    if not len(reached):
        return []
    found = of_state(study.travel, touch, near, float(reached[0]), float(reached[-1]))
    return [band for band in found if band.state in (State.NEAR, State.TOUCH)]


def clearance_strip(study: Study, units: Units) -> Strip:
    """The clearance of the pairs that matter: those in trouble, then the nearest others."""
    per = unit_of("length", units).size
    low = study.clearances.low
    rule = np.nan_to_num(study.rule, nan=0.0)
    least = np.array([np.nanmin(v) if np.isfinite(v).any() else np.inf for v in low])
    order = np.argsort(least - rule, kind="stable")
    drawn = [int(p) for p in order if np.isfinite(least[p])][:PAIRS_DRAWN]
    bad = {p for p in drawn if least[p] < max(rule[p], 0.0)} or set(drawn[:1])
    curves = []
    for p in drawn:
        over = np.where(np.isnan(low[p]).all(axis=1), np.nan, _rowmin(low[p]))
        names, kinds = study.names[p], study.setting.kinds[p]
        name = ", ".join(names[::-1] if second_does_it(kinds) else names)
        curves.append(Curve(study.travel / per, over / per, name, p in bad))
    ends = [float(np.nanmin(c.value)) for c in curves if np.isfinite(c.value).any()]
    most = min(WIDEST / per, max((float(np.nanmax(c.value)) for c in curves), default=1.0) * 1.05)
    levels = sorted({float(rule[p]) for p in bad if rule[p] > 0})
    marks = tuple((v / per, f"rule {show_plain(v, units, bare=True)}") for v in levels)
    most = max([most, 1.0 / per, *(1.6 * at for at, _ in marks)])
    limits = (min([*ends, 0.0]) - 0.08 * most, most) if ends else (-1.0, 1.0)
    return Strip("Clearance", units, tuple(curves), marks, True, limits, share=1.8)


def _rowmin(values: Array) -> Array:
    return np.nan_to_num(values, nan=np.inf).min(axis=1)


def figure_strip(study: Study, key: str, units: Units) -> Strip:
    """Any measured figure: straight ahead as the main curve, the locks and between thin.

    What steering turns by whole degrees is shown straight ahead alone, lest bump steer vanish.
    """
    about = FIGURES[key]
    unit = chart_unit(about.quantity, units)
    values = unit.of(study.measures.figures[key])
    per = unit_of("length", units).size
    middle = int(np.argmin(np.abs(study.rack)))
    shown = [middle] if key in STRAIGHT else range(len(study.rack))
    curves = []
    for j in shown:
        label = ""
        if len(study.rack) > 1 and j in (0, middle, len(study.rack) - 1):
            rack = position(float(study.rack[j]), units)
            label = "straight ahead" if j == middle else f"rack {rack}"
        curves.append(Curve(study.travel / per, values[:, j], label, j == middle))
    main = values[:, middle][np.isfinite(values[:, middle])]
    zero = about.quantity == "angle" and main.size > 0 and bool(np.abs(main).min() < 3)
    least = {"angle": 0.5, "length": 10.0 / per, "ratio": 0.1}.get(about.quantity, 0.0)
    return Strip(about.label, unit_words(unit.name), tuple(curves), zero=zero, least=least)


def unit_words(name: str) -> str:
    """A unit as a sheet heads its columns with it: degrees in full."""
    return name.replace("°/", "degrees per ").replace("°", "degrees")
