"""What is known of every place of the top mount, and what to say of it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from app.document.plane import Plane
from app.look import numbers
from kinematics.findings.phrases import Units, room

if TYPE_CHECKING:
    from kinematics.studies.study import Setting
    from kinematics.studies.top_map import TopMap

Array = NDArray[np.float64]
Flat = tuple[float, float]
NEVER = -1e3
"""For what is not known: below every level that a line is drawn at."""


class Rules(IntEnum):
    """What rules at a place."""

    GOOD = 0
    NEAR = 1
    TOUCH = 2
    JOINT = 3
    SPRING = 4
    DAMPER = 5
    NOWHERE = 6


@dataclass(frozen=True, eq=False)
class Slots:
    """What the plate's slots reach, the tower staying: mm forward and inward from the start.

    fore (n,), inward (m,) : places looked at, rising. room (n, m) : as `TopMap.room`, far below 0
    where unknown. best : the place with most room.
    """

    fore: Array
    inward: Array
    room: Array
    best: Flat | None
    plan: TopMap

    @property
    def rows(self) -> Flat:
        """The least and the most forward."""
        return float(self.fore[0]), float(self.fore[-1])

    @property
    def columns(self) -> Flat:
        """The least and the most inward."""
        return float(self.inward[0]), float(self.inward[-1])

    @property
    def share(self) -> float:
        """How much of them is in order, 0 to 1."""
        return float(np.mean(self.room >= 0.0))


@dataclass(frozen=True, eq=False)
class Ground:
    """The places of the mount in a plane, about where it first stood.

    rows (n,), columns (m,): offsets from there, mm, up the picture and across it; level : of the
    plane, the third way. plan : what was found, its rows and columns these. whole : lock to lock.
    done : it won't get finer.
    """

    plane: Plane
    rows: Array
    columns: Array
    level: float
    plan: TopMap
    setting: Setting
    whole: bool = False
    done: bool = False
    slots: Slots | None = None

    @property
    def touch(self) -> Array:
        """The smallest clearance at every place, mm; NaN where the corner can't stand."""
        return self.plan.clearance

    @property
    def worst(self) -> Array:
        """The smallest clearance less its rule at every place, mm."""
        return self.plan.margin

    @property
    def rack(self) -> Array:
        """The rack position at which ``worst`` is met, mm."""
        return self.plan.margin_rack

    @cached_property
    def good(self) -> NDArray[np.bool_]:
        """Where everything is in order."""
        return np.asarray(self.plan.good)

    @cached_property
    def middle(self) -> Flat | None:
        """The middle of the largest area where everything is in order, if there is one."""
        from kinematics.studies.places import middle_of  # slow to import

        found = middle_of(self.good)
        return None if found is None else self.at(*found)

    @cached_property
    def best(self) -> Flat | None:
        """The place with most room, if any is good."""
        return self.at(*self.plan.best) if self.good.any() else None

    def at(self, row: int, column: int) -> Flat:
        """The place of a row and column."""
        return float(self.rows[row]), float(self.columns[column])

    def nearest(self, place: Flat) -> tuple[int, int] | None:
        """Row and column of the place looked at nearest to this one; None off the map."""
        rows, columns = self.rows, self.columns
        if not (rows[0] <= place[0] <= rows[-1] and columns[0] <= place[1] <= columns[-1]):
            return None
        i, j = np.argmin(np.abs(rows - place[0])), np.argmin(np.abs(columns - place[1]))
        return int(i), int(j)

    @cached_property
    def past(self) -> dict[Rules, Array]:
        """By what joints, springs and dampers are past their limits at every place: above 0."""
        limits = self.plan.limits
        stands = np.isfinite(self.touch)
        found = {
            Rules.JOINT: -np.degrees(limits.joint_left),
            Rules.SPRING: -limits.spring_spare,
            Rules.DAMPER: np.where(limits.short, -limits.damper_left, -1.0),
        }
        known = {
            rule: np.where(stands & np.isfinite(past), past, NEVER) for rule, past in found.items()
        }
        known[Rules.NOWHERE] = np.where(stands, -1.0, 1.0)
        return {rule: past for rule, past in known.items() if (past > 1e-6).any()}

    @cached_property
    def rules(self) -> frozenset[Rules]:
        """What is to be seen on the map."""
        met = set(self.past)
        if self.good.any():
            met.add(Rules.GOOD)
        if (self.touch < 0.0).any():
            met.add(Rules.TOUCH)
        if ((self.touch >= 0.0) & (self.worst < 0.0)).any():
            met.add(Rules.NEAR)
        return frozenset(met)


@dataclass(frozen=True)
class Word:
    """What is said of a place: where it is, what is tightest, what is wrong besides, the rest."""

    where: str
    tight: str
    wrong: tuple[str, ...]
    rest: tuple[str, ...]

    @property
    def short(self) -> str:
        """The one or two things that rule there."""
        said = [f"{self.where}: {self.wrong[0] if not self.tight else self.tight}"]
        return " ".join([*said, *(self.wrong[:1] if self.tight else ())])


def word_at(ground: Ground, place: Flat, units: Units) -> Word | None:
    """Everything about the place looked at nearest to this one; None off the map."""
    from kinematics.studies.place_words import say_limits, say_standing

    found = ground.nearest(place)
    if found is None:
        return None
    i, j = found
    plan, plane = ground.plan, ground.plane
    where = moved(plane.place(ground.at(i, j), ground.level), units) or "where it was"
    where = where[:1].upper() + where[1:]
    tight = _tight(ground, i, j, units)
    if not tight:
        why = say_standing(plan.limits, i, j) or "The corner can't stand there."
        return Word(where, "", (f"{why[:1].lower()}{why[1:]}",), ())
    wrong, rest = say_limits(plan, i, j, units)
    return Word(where, tight, tuple(wrong), tuple(rest))


def _tight(ground: Ground, i: int, j: int, units: Units) -> str:
    """'tyre to tower lip, 15.0 mm short of the rule, at +79.9.'; empty where none stands."""
    from kinematics.studies.place_words import say_tightest

    said = say_tightest(ground.setting, ground.plan, i, j, units)
    if not said:
        return ""
    left, pair, at = said.split(", ", 2)
    return f"{pair}, {left}, {at}."


def told_at(ground: Ground, place: Flat, units: Units) -> str:
    """What rules at the place looked at nearest to this one; empty off the map."""
    word = word_at(ground, place, units)
    return "" if word is None else word.short


def nearest_good(ground: Ground, place: Flat) -> Flat | None:
    """The good place with the shortest way from here."""
    if not ground.good.any():
        return None
    far = np.hypot(ground.rows[:, None] - place[0], ground.columns[None, :] - place[1])
    i, j = np.unravel_index(int(np.argmin(np.where(ground.good, far, np.inf))), far.shape)
    return ground.at(int(i), int(j))


def value_at(ground: Ground, values: Array, place: Flat) -> float:
    """A figure at a place, straight between the four looked at about it; NaN outside."""
    rows, columns = ground.rows, ground.columns
    if not (rows[0] <= place[0] <= rows[-1] and columns[0] <= place[1] <= columns[-1]):
        return float("nan")
    i = min(int(np.searchsorted(rows, place[0], side="right")) - 1, len(rows) - 2)
    j = min(int(np.searchsorted(columns, place[1], side="right")) - 1, len(columns) - 2)
    a = (place[0] - rows[i]) / (rows[i + 1] - rows[i])
    b = (place[1] - columns[j]) / (columns[j + 1] - columns[j])
    weights = np.array([[(1 - a) * (1 - b), (1 - a) * b], [a * (1 - b), a * b]])
    return float((weights * values[i : i + 2, j : j + 2]).sum())


def advice(ground: Ground, place: Flat, level: float, units: Units) -> str:
    """'Clears if moved 16.0 mm inboard, 12.0 rearward.' or what else is true; empty if unknown.

    level : how far the plane lies from the mount, which stands over ``place`` of it.
    """
    here = value_at(ground, ground.plan.room, place)
    if np.isnan(here) and level == 0.0:
        return ""
    if here >= 0 and level == 0.0:
        return "Every rule is kept here."
    good = nearest_good(ground, place)
    if good is None:
        return "No place in this plane keeps every rule."
    way = ground.plane.place((good[0] - place[0], good[1] - place[1]), level)
    return f"Clears if moved {moved(way, units)}."


WAYS = (("inboard", "outboard", 1), ("forward", "rearward", 0), ("up", "down", 2))


def moved(by: tuple[float, float, float], units: Units) -> str:
    """'16.0 mm inboard, 12.0 rearward' of a move forward, inward and up; noughts are left out."""
    words: list[str] = []
    for more, less, which in WAYS:
        if abs(by[which]) > 0.04:
            figure = numbers.length(abs(by[which]), units)
            said = figure if words else f"{figure} {units}"
            words.append(f"{said} {more if by[which] > 0 else less}")
    return ", ".join(words)


def describe(fore: float, inward: float, units: Units) -> str:
    """'19.0 mm inboard, 0.0 rearward' of a move."""
    side = "inboard" if inward >= 0 else "outboard"
    end = "forward" if fore > 0 else "rearward"
    return (
        f"{numbers.length(abs(inward), units)} {units} {side}, "
        f"{numbers.length(abs(fore), units)} {end}"
    )


def spare(mm: float, units: Units) -> str:
    """'3.1 mm over the rule' or short of it."""
    return f"{room(mm, units)} {'over' if mm >= 0 else 'short of'} the rule"
