"""What is known of every place of the top mount, and what to say of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from app.look import numbers
from kinematics.findings.phrases import Units, position, room, steered

if TYPE_CHECKING:
    from kinematics.studies.top_map import TopMap

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Ground:
    """The places of the mount about where it first stood, and what is worst at each, mm.

    fore (n,), inward (m,): offsets. touch (n, m): the smallest clearance; worst (n, m): the
    smallest with its rule taken off, of the pair, at the travel and at the rack position of those
    numbers. NaN where the corner can't stand. names: of every pair. whole: lock to lock.
    """

    fore: Array
    inward: Array
    touch: Array
    worst: Array
    pair: NDArray[np.int64]
    travel: Array
    rack: Array
    names: tuple[tuple[str, str], ...]
    whole: bool
    plan: TopMap | None = None  # the map itself, about where the mount stands now


def ground_of(
    plan: TopMap, steps: Array, names: tuple[tuple[str, str], ...], whole: bool
) -> Ground:
    """What a map found, over offsets from where the mount first stood."""
    return Ground(
        steps, steps, plan.clearance, plan.margin, plan.margin_pair, plan.margin_travel,
        plan.margin_rack, names, whole, plan,
    )  # fmt: skip


def told_at(ground: Ground, place: tuple[float, float], units: Units) -> str:
    """What is tightest at the place looked at nearest to this one; empty off the map."""
    fore, inward = ground.fore, ground.inward
    if not (fore[0] <= place[0] <= fore[-1] and inward[0] <= place[1] <= inward[-1]):
        return ""
    i, j = int(np.argmin(np.abs(fore - place[0]))), int(np.argmin(np.abs(inward - place[1])))
    where = way(float(fore[i]), float(inward[j]), units) or "where it was"
    if ground.pair[i, j] < 0 or not np.isfinite(ground.worst[i, j]):
        return f"{where[:1].upper()}{where[1:]}: it can't stand there."
    a, b = ground.names[int(ground.pair[i, j])]
    left = float(ground.worst[i, j])
    state = f"{room(left, units)} {'over' if left >= 0 else 'short of'} the rule"
    travel = position(float(ground.travel[i, j]), units)
    at = f"at {travel}" if travel != "0" else "at set-up height"
    at += steered(float(ground.rack[i, j]), units)
    return f"{where[:1].upper()}{where[1:]}: {a} to {b}, {state}, {at}."


def middle_place(ground: Ground) -> tuple[float, float] | None:
    """The middle of the largest area that keeps every rule, if there is one."""
    from kinematics.studies.places import middle_of  # slow to import

    found = middle_of(np.nan_to_num(ground.worst, nan=-1.0) >= 0.0)
    return None if found is None else (float(ground.fore[found[0]]), float(ground.inward[found[1]]))


def best_of(ground: Ground) -> tuple[float, float] | None:
    """The place farthest from any trouble, if any is good."""
    worst = np.where(np.isfinite(ground.worst), ground.worst, -np.inf)
    i, j = np.unravel_index(int(np.argmax(worst)), worst.shape)
    if not worst[i, j] >= 0:
        return None
    return float(ground.fore[i]), float(ground.inward[j])


def nearest_good(ground: Ground, place: tuple[float, float]) -> tuple[float, float] | None:
    """The good place with the shortest way from here."""
    good = np.where(np.isfinite(ground.worst), ground.worst, -1.0) >= 0
    if not good.any():
        return None
    far = np.hypot(ground.fore[:, None] - place[0], ground.inward[None, :] - place[1])
    i, j = np.unravel_index(int(np.argmin(np.where(good, far, np.inf))), far.shape)
    return float(ground.fore[i]), float(ground.inward[j])


def value_at(ground: Ground, values: Array, place: tuple[float, float]) -> float:
    """A figure at a place, straight between the four looked at about it; NaN outside."""
    fore, inward = ground.fore, ground.inward
    if not (fore[0] <= place[0] <= fore[-1] and inward[0] <= place[1] <= inward[-1]):
        return float("nan")
    i = min(int(np.searchsorted(fore, place[0], side="right")) - 1, len(fore) - 2)
    j = min(int(np.searchsorted(inward, place[1], side="right")) - 1, len(inward) - 2)
    a = (place[0] - fore[i]) / (fore[i + 1] - fore[i])
    b = (place[1] - inward[j]) / (inward[j + 1] - inward[j])
    weights = np.array([[(1 - a) * (1 - b), (1 - a) * b], [a * (1 - b), a * b]])
    return float((weights * values[i : i + 2, j : j + 2]).sum())


def advice(ground: Ground, place: tuple[float, float], units: str) -> str:
    """'Slide it 16 mm in, 12 back: every rule kept.' or what else is true; empty if unknown."""
    here = value_at(ground, ground.worst, place)
    if np.isnan(here):
        return ""
    if here >= 0:
        return "Every rule is kept here."
    good = nearest_good(ground, place)
    if good is None:
        return "No place on this plate keeps every rule."
    return f"All clear at {way(good[0] - place[0], good[1] - place[1], units)}."


def way(fore: float, inward: float, units: str) -> str:
    """'16.0 mm in, 12.0 back' of a move; what is nothing is left out."""
    unit = "in." if units == "in" else "mm"
    words = []
    if abs(inward) > 0.04:
        words.append(f"{numbers.length(abs(inward), units)} {unit} {'in' if inward > 0 else 'out'}")
    if abs(fore) > 0.04:
        mm = numbers.length(abs(fore), units)
        end = "forward" if fore > 0 else "back"
        words.append(f"{mm} {end}" if words else f"{mm} {unit} {end}")
    return ", ".join(words)
