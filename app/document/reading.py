"""A study read for the screen: bands, curves, marks and sentences, in the builder's units."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection
from itertools import pairwise
from typing import TYPE_CHECKING, Any, TypeVar, cast
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from app.document import live, steers
from app.document.board import Band, Board, Curve, Line, Stop
from app.document.halts import halts
from app.document.statics_curves import statics_curves
from app.look import numbers
from app.look.palette import State
from app.stage.scene import Mark
from kinematics.findings.words import room
from kinematics.measures import FIGURES, Figure
from kinematics.motion.limits import STOP_SOLID
from kinematics.units import Units, chart_unit, show_plain, unit_of

if TYPE_CHECKING:
    from kinematics.studies.study import Study

Array = NDArray[np.float64]
T = TypeVar("T")
SHOWN_PAIRS = 3
TOLD = ("rides", "bump stops", "droop stops")  # facts told in the headline after the findings
ONE_MARK = 2.0  # mm: marks nearer than this share one name
SHORT = {"set-up height": "set-up", "full droop": "droop end"}
NEAREST = " Curves and bands are of {}, the nearest steer checked; figure and ring are of this one."
CLEARANCE_SPAN = (-14.0, 46.0)  # mm: what is farther than this is far
_MADE: WeakKeyDictionary[Study, dict[object, Any]] = WeakKeyDictionary()


def pair_rules(study: Study) -> Array:
    """The clearance asked for of each pair, mm; 0 where no rule speaks of it. (np,)"""
    if not study.clearances.pairs:
        return np.empty(0)
    return np.nan_to_num(study.rule, nan=0.0)


# --- ruler and strips ---------------------------------------------------------------------


def board(study: Study, rack: float, shown: Collection[str] | None = None) -> Board:
    """What stands at each height at this steer.

    Clearances, which must never be read too high, are those of the nearest steer worked out, and
    ``note`` says which where that is another. All else is led through the steers on either side.
    Where ``shown`` says which curves are looked at, as while a hand moves something, only those
    are made, with springs and forces left out if none of them is.
    """
    j = live.column(study, rack)
    low, high = live.limits(study, rack)
    units = study.project.units
    travel = np.asarray(study.travel, float)
    at = steers.place(np.asarray(study.rack, float), rack)
    touch, near = _once(study, ("margins", j), lambda: margins(study, j))
    note = _other_steer(study, j, rack)
    gap = _once(study, ("clearance", j, note), lambda: clearance_curve(study, j, note))
    curves = {"clearance": gap}
    for key, figure in FIGURES.items():
        values = study.measures.figures.get(key) if shown is None or key in shown else None
        if values is not None and np.isfinite(values[:, j]).any():
            here = steers.smooth(np.asarray(values, float), travel, at)
            curves[key] = figure_curve(key, figure, here, units)
    if shown is None or not curves.keys() >= set(shown):
        found = _statics(study, at.left)
        if at.left != at.right:
            found = steers.between(found, _statics(study, at.right), at.share)
        curves |= found
    in_droop, in_bump = halts(study, j, low, high)
    return Board(
        travel=travel,
        low=low,
        high=high,
        low_reason=_cause(in_droop),
        high_reason=_cause(in_bump),
        bands=bands(travel, touch, near, low, high),
        stops=stops(study, low, high),
        curves=curves,
        units=units,
        note=note,
    )


def _once(study: Study, what: object, make: Callable[[], T]) -> T:
    """What a study says that stays as it is while a hand steers: made once, asked at every move."""
    known = _MADE.setdefault(study, {})
    if what not in known:
        known[what] = make()
    return cast("T", known[what])


def _statics(study: Study, j: int) -> dict[str, Curve]:
    """The curves of statics at a column."""
    return _once(study, ("statics", j), lambda: statics_curves(study, j))


def _other_steer(study: Study, j: int, rack: float) -> str:
    """'rack +20' where the column shown is of another steer than this; else empty."""
    at, units = float(study.rack[j]), study.project.units
    if abs(at - rack) < live.SAME_RACK:
        return ""
    return f"rack {numbers.travel(at, units)}"


def _cause(reason: str) -> str:
    """'bump stop is solid' of 'The bump stop is solid': the ruler is narrow."""
    if reason == STOP_SOLID:
        return "bump stop solid"
    short = reason.rstrip(".").removeprefix("The ").removeprefix("the ")
    return short.replace(" fully ", " ")


def margins(study: Study, j: int) -> tuple[Array, Array]:
    """Least clearance, and least clearance over its rule, at each travel; dips between count."""
    found, rule = study.clearances, pair_rules(study)
    if not len(found.pairs):
        gap = np.full(len(study.travel), np.nan)
        return gap, gap
    low = found.low[:, :, j].copy()
    between = found.between_low[:, :, j]
    if between.size:
        # A dip between two samples that the samples don't show belongs to both of them.
        deep = between < np.minimum(low[:, 1:], low[:, :-1]) - 0.3
        dip = np.where(deep, between, np.inf)
        low[:, 1:] = np.minimum(low[:, 1:], dip)
        low[:, :-1] = np.minimum(low[:, :-1], dip)
    return _least(low), _least(low - rule[:, None])


def _least(values: Array) -> Array:
    known = np.isfinite(values).any(axis=0)
    least = np.min(np.where(np.isfinite(values), values, np.inf), axis=0)
    return np.where(known, least, np.nan)


def bands(travel: Array, touch: Array, near: Array, low: float, high: float) -> tuple[Band, ...]:
    """Runs of one state, their ends where the margins pass zero."""
    edges = {low, high}
    for margin in (touch, near):
        sign = margin >= 0
        for i in np.flatnonzero(sign[1:] != sign[:-1]):
            a, b = margin[i], margin[i + 1]
            if np.isfinite(a) and np.isfinite(b) and a != b:
                at = travel[i] + (travel[i + 1] - travel[i]) * a / (a - b)
                edges.add(float(min(max(at, low), high)))
    heights = sorted(edges)
    found: list[Band] = []
    for start, end in pairwise(heights):
        if end - start < 1e-6:
            continue
        middle = (start + end) / 2
        state = state_of(
            float(np.interp(middle, travel, touch)), float(np.interp(middle, travel, near))
        )
        if found and found[-1].state is state:
            found[-1] = Band(found[-1].low, end, state)
        else:
            found.append(Band(start, end, state))
    return tuple(found)


def state_of(touch: float, near: float) -> State:
    """The state from the least clearance and the least clearance over its rule."""
    if math.isnan(touch):
        return State.UNKNOWN
    return State.TOUCH if touch < 0 else State.NEAR if near < 0 else State.CLEAR


def heights(study: Study) -> list[tuple[float, str]]:
    """The named travels, mm, with where the car rides, if that is known."""
    named = list(study.places)
    rides = next((f.travel for f in study.facts if f.kind == "rides"), None)
    if rides is not None:
        if abs(rides) < ONE_MARK:  # it rides where it was set up: one mark, one name
            named = [(at, name) for at, name in named if name != "set-up height"]
        named.append((rides, "ride height"))
    return named


def stops(study: Study, low: float, high: float) -> tuple[Stop, ...]:
    """The heights worth naming, between the limits; the upper limit speaks for itself."""
    return tuple(
        Stop(travel, SHORT.get(name, name))
        for travel, name in heights(study)
        if low - 1e-6 <= travel <= high - 1e-6
    )


def clearance_curve(study: Study, j: int, note: str = "") -> Curve:
    """The least clearance of all, over the thin lines of the pairs that come nearest.

    ``note`` names the steer they are of where the corner stands at another.
    """
    units = study.project.units
    unit = chart_unit("length", units)
    per = unit.size
    found, rule = study.clearances, pair_rules(study)
    names = study.names if found.pairs else ()
    touch, _near = margins(study, j)
    lines = [Line(touch / per, "", True)]
    rules: list[tuple[float, str]] = []
    if len(names):
        over = _least((found.low[:, :, j] - rule[:, None]).T)
        nearest = [
            p
            for p in np.argsort(np.where(np.isfinite(over), over, np.inf))[:SHOWN_PAIRS]
            if np.isfinite(over[p]) and np.nanmin(found.low[p, :, j]) < CLEARANCE_SPAN[1]
        ]
        for p, label in zip(nearest, short_names([names[p] for p in nearest]), strict=True):
            lines.append(Line(found.low[p, :, j] / per, label, False))
            value = float(rule[p] / per)
            if rule[p] > 0 and all(value != known for known, _ in rules):
                rules.append((value, f"rule {show_plain(float(rule[p]), units, bare=True)}"))
    return Curve(
        "clearance", "Clearance", unit.name, unit.decimals, tuple(lines),
        "The smallest distance between any two parts checked; negative is overlap, "
        "the least that must go. Dashed: your rules." + (NEAREST.format(note) if note else ""),
        guides=tuple(sorted(rules[:2])),
        span=(CLEARANCE_SPAN[0] / per, CLEARANCE_SPAN[1] / per), note=note,
    )  # fmt: skip


def short_pair(names: tuple[str, str]) -> str:
    """'tower lip' of tyre and tower lip: what the eye looks for on a narrow strip."""
    first, second = names
    return second if first in ("tyre", "wheel") else first


def short_names(pairs: list[tuple[str, str]]) -> list[str]:
    """The short name of each; of two alike the other part comes first, where the eye begins."""
    short = [short_pair(names) for names in pairs]
    return [
        word if short.count(word) == 1 else f"{_other(names, word)}, {word}"
        for names, word in zip(pairs, short, strict=True)
    ]


def _other(names: tuple[str, str], word: str) -> str:
    return names[0] if names[1] == word else names[1]


def figure_curve(key: str, figure: Figure, values: Array, units: Units) -> Curve:
    """One figure of the registry, in screen units."""
    unit = chart_unit(figure.quantity, units)
    line = Line(np.asarray(unit.of(values)))
    return Curve(key, figure.label, unit.name, unit.decimals, (line,), figure.help)


# --- the present position -----------------------------------------------------------------


def between_steers(study: Study, now: Study) -> dict[str, float]:
    """Figures at the present position, in screen units, where the study has no such steer.

    The clearances' curves are then those of the nearest steer, which may be degrees away. Empty
    where they are of this one.
    """
    j = live.column(study, float(now.rack[0]))
    if abs(float(study.rack[j] - now.rack[0])) < live.SAME_RACK:
        return {}
    units = study.project.units
    found = {
        key: float(figure_curve(key, FIGURES[key], values[:, 0], units).lines[0].values[0])
        for key, values in now.measures.figures.items()
        if key in FIGURES
    }
    return found | {"clearance": unit_of("length", units).of(worst_now(now)[0])}


def marks(now: Study, closest_too: bool = False) -> tuple[Mark, ...]:
    """Pairs that touch or are too near at this position, worst first; else the closest."""
    found, rule = now.clearances, pair_rules(now)
    if not found.pairs:
        return ()
    names = now.names
    low = found.low[:, 0, 0]
    over = np.where(np.isfinite(low), low - rule, np.inf)
    order = sorted(range(len(low)), key=lambda p: (low[p] >= 0, over[p]))
    made: list[Mark] = []
    for p in order:
        if not np.isfinite(low[p]):
            continue
        state = state_of(float(low[p]), float(low[p] - rule[p]))
        if state is State.CLEAR and (made or not closest_too):
            break
        a, b = found.point_a[p, 0, 0], found.point_b[p, 0, 0]
        if np.isfinite(a).all() and np.isfinite(b).all():
            made.append(Mark(names[p], state, float(low[p]), a, b))
    return tuple(made)


def worst_now(now: Study) -> tuple[float, State]:
    """The least clearance at this position and the worst state."""
    found, rule = now.clearances, pair_rules(now)
    low = found.low[:, 0, 0]
    known = np.isfinite(low)
    if not known.any():
        return math.nan, State.UNKNOWN
    touch = float(low[known].min())
    return touch, state_of(touch, float((low - rule)[known].min()))


def amount_words(mm: float, units: Units) -> str:
    """'8.8 mm overlap' or '0.6 mm clear', never promising more room than there is."""
    if not math.isfinite(mm):
        return "not known here"
    return f"{room(mm, units)} {'overlap' if mm < 0 else 'clear'}"


def clearance_of(study: Study, names: tuple[str, str]) -> float | None:
    """The worst clearance of a pair over a study, by the names of its parts."""
    for p, pair in enumerate(study.names):
        if set(pair) == set(names):
            return float(study.clearances.worst[p])
    return None


# --- whether all is well -------------------------------------------------------------------


def all_kept(study: Study | None, project: object) -> bool:
    """Whether a study of this very project found nothing wrong."""
    if study is None or study.project is not project or not study.findings:
        return False
    return not any(f.is_problem for f in study.findings)


def one_steer(study: Study) -> bool:
    """Whether only the present steer of a corner that steers was looked at: under a hand."""
    return len(study.rack) == 1 and study.setting.unfolded.rack is not None


# --- figures beside the hand --------------------------------------------------------------


def at_setup(study: Study | None) -> dict[str, float]:
    """Every figure at set-up height with the rack in the middle."""
    if study is None:
        return {}
    i = int(np.argmin(np.abs(np.asarray(study.travel))))
    j = live.column(study, 0.0)
    return {key: float(values[i, j]) for key, values in study.measures.figures.items()}


def damper_left(now: Study) -> float | None:
    """What is left of the damper before its nearer end, bump stop or strap counted, mm."""
    coilover = now.project.coilover
    damper = now.measures.figures.get("damper")
    if coilover is None or damper is None:
        return None
    stop = coilover.bump_stop
    shortest = coilover.closed + (stop.solid + stop.packer if stop is not None else 0.0)
    longest = min(coilover.open, coilover.droop_strap or coilover.open)
    length = float(damper[0, 0])
    return min(length - shortest, longest - length)
