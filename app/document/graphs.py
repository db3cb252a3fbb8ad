"""Any figure of a study against travel, against steer or over both, in the user's units."""

from __future__ import annotations

import csv
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from app.document import live
from app.document.board import Choice
from app.document.halts import halts
from app.document.reading import figure_curve, heights, pair_rules
from app.document.statics_grids import statics_grids
from app.look import numbers
from kinematics.errors import ClearstrokeError
from kinematics.measures import FIGURES, measure
from kinematics.motion import move
from kinematics.studies.study import Study
from kinematics.units import read_number, show_plain, unit_of

Array = NDArray[np.float64]
Axis = Literal["travel", "steer"]
STRAIGHT = ("toe", "toe_rim", "steer")
FINE = 41  # rack positions of a curve against steer
THIN = 4  # other travels drawn thin against steer


@dataclass(frozen=True, eq=False)
class Series:
    """One curve: figures against the axis; ``kind`` main, thin, before or reference."""

    axis: Array
    figure: Array
    label: str
    kind: Literal["main", "thin", "before", "reference"] = "main"


@dataclass(frozen=True, eq=False)
class Graph:
    """All that one plot shows. ``limits``: where the motion ends on the axis, and why."""

    choice: Choice
    axis: Axis
    axis_title: str
    series: tuple[Series, ...]
    marks: tuple[tuple[float, str], ...] = ()
    limits: tuple[tuple[float, str], ...] = ()


@dataclass(frozen=True, eq=False)
class Map:
    """A figure over travel (rows, low to high) and rack, both in screen units."""

    choice: Choice
    travel: Array
    rack: Array
    values: Array
    axis_titles: tuple[str, str]
    """Of the rack and of travel."""


def per(study: Study) -> float:
    """mm in the user's unit of length."""
    return unit_of("length", study.project.units).size


def choices(study: Study) -> dict[str, Choice]:
    """Every figure that has values, by key: the least clearance, alignment, statics, each pair."""
    found: dict[str, Choice] = {}
    gaps = {c.key: c for c in _clearances(study)} if study.clearances.pairs else {}
    if gaps:
        found["clearance"] = gaps.pop("clearance")
    for key, figure in FIGURES.items():
        grid = study.measures.figures.get(key)
        if grid is None or not np.isfinite(grid).any():
            continue
        curve = figure_curve(key, figure, np.asarray(grid, float), study.project.units)
        shape = (len(study.travel), len(study.rack))
        shown = np.broadcast_to(curve.lines[0].values, shape)
        found[key] = Choice(key, curve.title, curve.unit, curve.decimals, shown, curve.help)
    for g in statics_grids(study):
        found[g.key] = replace(g, title=f"{g.title}, {g.label}") if g.label else g
    return found | gaps


def _clearances(study: Study) -> list[Choice]:
    """The least of all pairs, then each pair, nearest first."""
    units = study.project.units
    unit, rule, size = unit_of("length", units), pair_rules(study), per(study)
    low = study.clearances.low / size
    least = np.where(np.isfinite(low), low, np.inf).min(axis=0)
    least = np.where(np.isfinite(least), least, np.nan)
    words = "The smallest distance between any two parts checked; negative is overlap."
    found = [Choice("clearance", "Clearance, least of all", unit.name, unit.decimals, least, words)]
    for p in np.argsort(study.clearances.worst):
        if not np.isfinite(study.clearances.worst[p]):
            continue
        a, b = study.names[p]
        asked = float(rule[p])
        guides = (
            ((asked / size, f"rule {show_plain(asked, units, bare=True)}"),) if asked > 0 else ()
        )
        words = f"Distance between {a} and {b}; negative is overlap."
        title = f"Clearance: {a}, {b}"
        found.append(
            Choice(f"pair {a}/{b}", title, unit.name, unit.decimals, low[p], words, guides)
        )
    return found


def graph(
    study: Study,
    key: str,
    axis: Axis,
    travel: float,
    rack: float,
    before: Study | None = None,
    reference: Series | None = None,
) -> Graph:
    """A figure against travel at this rack, or against rack at this travel, mm."""
    choice = choices(study)[key]
    series = [*_series(study, choice, axis, travel, rack)]
    if before is not None and (old := choices(before).get(key)) is not None:
        main = next(s for s in _series(before, old, axis, travel, rack) if s.kind == "main")
        series.insert(0, replace(main, label="before", kind="before"))
    if reference is not None:
        series.append(reference)
    unit = study.project.units
    if axis == "steer":
        if key not in FIGURES:
            note = f"Worked out at {len(study.rack)} rack positions, straight lines between them."
            choice = replace(choice, help=f"{choice.help} {note}")
        return Graph(choice, axis, f"rack travel, {unit}", tuple(series))
    size = per(study)
    low, high = live.limits(study, rack)
    marks = tuple((at / size, name) for at, name in heights(study) if low < at < high)
    causes = halts(study, live.column(study, rack), low, high)
    limits = tuple((at / size, cause) for at, cause in zip((low, high), causes, strict=True))
    return Graph(choice, axis, f"travel, {unit}", tuple(series), marks, limits)


def _series(study: Study, choice: Choice, axis: Axis, travel: float, rack: float) -> list[Series]:
    size, unit = per(study), study.project.units
    i, j = int(np.argmin(np.abs(study.travel - travel))), live.column(study, rack)
    z, r = study.travel / size, study.rack / size
    if axis == "travel":
        # What steering turns by whole degrees is shown alone, lest bump steer vanish beside it.
        others = [k for k in range(len(r)) if k != j and choice.key not in STRAIGHT]
        racks = [f"rack {numbers.travel(float(at), unit)}" for at in study.rack]
        thin = [Series(z, choice.values[:, k], racks[k], "thin") for k in others]
        label = f"{racks[j]} {unit}" if len(r) > 1 else ""
        return [*thin, Series(z, choice.values[:, j], label)]
    rows = np.unique(np.linspace(0, len(z) - 1, THIN + 1).round().astype(int))
    heights = np.array([*(z[k] for k in rows if k != i), travel / size])
    if choice.key in FIGURES:
        r, values = _finely(study, choice.key, heights * size)
    else:
        columns = [np.interp(heights, z, column) for column in choice.values.T]
        values = np.stack(columns, axis=1)
    kinds = ["thin"] * (len(heights) - 1) + ["main"]
    words = [f"travel {numbers.travel(h * size, unit)}" for h in heights]
    words[-1] += f" {unit}"
    found = zip(values, words, kinds, strict=True)
    return [Series(r, row, text, kind) for row, text, kind in found]  # type: ignore[arg-type]


def _finely(study: Study, key: str, heights: Array) -> tuple[Array, Array]:
    """A figure at more rack positions than a study has: racks (m,), values (heights, m), screen.

    Alignment is worked out in no time; clearances are not, and keep to the study's positions.
    """
    racks = np.union1d(np.linspace(study.rack[0], study.rack[-1], FINE), study.rack)
    order = np.unique(heights)
    motion = move(study.linkage, order, racks)
    grid = measure(study.setting.unfolded, motion).figures[key]
    curve = figure_curve(key, FIGURES[key], np.asarray(grid, float), study.project.units)
    values = np.broadcast_to(curve.lines[0].values, (len(order), len(racks)))
    return racks / per(study), values[np.searchsorted(order, heights)]


def travel_steer_map(study: Study, key: str) -> Map:
    """A figure over the whole of travel and steer. Raises ClearstrokeError if nothing steers."""
    if len(study.rack) < 2:
        raise ClearstrokeError("This corner doesn't steer, so there is no map over steer.")
    choice = choices(study)[key]
    unit = study.project.units
    titles = f"rack travel, {unit}", f"travel, {unit}"
    return Map(choice, study.travel / per(study), study.rack / per(study), choice.values, titles)


def read_reference(path: Path) -> Series:
    """A curve from a CSV file: travel (or rack) and the figure, in the units on the plot.

    Lines that begin with words or # are headings. Raises ClearstrokeError naming the line.
    """
    points: list[tuple[float, float]] = []
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError):
        raise ClearstrokeError(f'"{path.name}" can\'t be read as text.') from None
    separator = ";" if text.count(";") > text.count(",") else ","
    for number, row in enumerate(csv.reader(text.splitlines(), delimiter=separator), start=1):
        cells = [cell.strip() for cell in row if cell.strip()]
        if not cells or cells[0].startswith("#") or (not points and not _numeric(cells[0])):
            continue
        if len(cells) < 2:
            raise ClearstrokeError(f"{path.name}, line {number}: two numbers are wanted.")
        try:
            points.append((float(read_number(cells[0])), float(read_number(cells[1]))))
        except ClearstrokeError as error:
            raise ClearstrokeError(f"{path.name}, line {number}: {error}") from None
    if len(points) < 2:
        raise ClearstrokeError(f'"{path.name}" holds fewer than two points of a curve.')
    axis, figure = np.array(sorted(points)).T
    return Series(axis, figure, path.stem, "reference")


def _numeric(cell: str) -> bool:
    try:
        read_number(cell)
    except ClearstrokeError:
        return False
    return True


def table(what: Graph | Map) -> list[list[str]]:
    """The plot as rows of a table, headings first."""
    choice = what.choice
    name = f"{choice.title} {choice.unit}".strip()
    if isinstance(what, Map):
        head = ["travel \\ rack", *(f"{r:.6g}" for r in what.rack)]
        rows = zip(what.travel, what.values, strict=True)
        return [head, *([f"{z:.6g}", *(_cell(v) for v in row)] for z, row in rows)]
    out = [[what.axis_title, name, "curve"]]
    for series in what.series:
        label = series.label or "now"
        pairs = zip(series.axis, series.figure, strict=True)
        out += [[f"{x:.6g}", _cell(v), label] for x, v in pairs]
    return out


def _cell(value: float) -> str:
    return f"{value:.6g}" if np.isfinite(value) else ""
