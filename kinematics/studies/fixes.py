"""What each fix would take, and what it undoes: amounts found on certified clearances.

    for remedy in fixes(project):
        print(say(remedy))  # kinematics.studies.fix_words

Two amounts are looked for: what just stops the touching, and what keeps all the rules. Both are
exact to `CLOSE` and then rounded up to what a shop can do, and the rounded fix is checked again
with every pair over the whole travel.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
from scipy.optimize import brentq

from kinematics.clearance import Cancelled, clearances
from kinematics.errors import ClearstrokeError
from kinematics.motion import move
from kinematics.project.edit import move_top
from kinematics.project.model import Project
from kinematics.studies.cures import SPRUNG, WELDED, Cure, Work, cures_for
from kinematics.studies.effects import Effects, effects
from kinematics.studies.sliding import steers_the_wheel
from kinematics.studies.study import TOLERANCE, Setting, racks, set_up, through_nought
from kinematics.studies.top_map import top_map

Array = npt.NDArray[np.float64]
Names = tuple[str, str]
Progress = Callable[[float], None]
Asked = Callable[[], bool]

TRAVELS = 81
"""Travel positions of a check; the motion between them is covered too."""
FAR = 30.0
"""While amounts are tried, pairs certified farther apart than this are known well enough, mm."""
LOOKS = 7
"""Amounts tried from nothing to the most, before the exact one is solved for."""
CLOSE = 0.01
"""Exactness of an amount before it is rounded up, mm."""


@dataclass(frozen=True, slots=True)
class Gap:
    """The lowest clearance of a pair over the whole motion, mm, and its rule (NaN: none)."""

    low: float
    rule: float

    @property
    def left(self) -> float:
        """What is left over the rule, or over touching where there is no rule, mm."""
        return self.low if math.isnan(self.rule) else self.low - self.rule


Gaps = Mapping[Names, Gap]


@dataclass(frozen=True, eq=False)
class Fix:
    """A fix by an amount that was checked.

    words : the instruction. exact : mm, before rounding up to `amount`. project : the corner with
    it. settles : the troubles it puts right; leaves : those it does not, with what is left there;
    breaks : pairs it newly brings under their rule. gaps : every pair's lowest clearance with it.
    """

    name: str
    words: str
    work: Work
    caution: str
    amount: float
    exact: float
    project: Project
    settles: tuple[Names, ...]
    leaves: tuple[Names, ...]
    breaks: tuple[Names, ...]
    gaps: Gaps
    effects: Effects

    @property
    def cures_all(self) -> bool:
        """Whether nothing is wrong with it any more."""
        return not self.leaves and not self.breaks


@dataclass(frozen=True, eq=False)
class Remedy:
    """One kind of fix for a corner's troubles: what it takes, or why it can't.

    touching : what just stops the touching of what it can reach. rules : what keeps all their
    rules. why_not : a sentence where neither is there.
    """

    name: str
    touching: Fix | None
    rules: Fix | None
    why_not: str = ""


def gaps(
    project: Project,
    only: frozenset[Names] | None = None,
    far: float = math.inf,
    folder: Path | None = None,
) -> Gaps:
    """Every pair's lowest clearance over the whole motion, between positions too.

    ``only`` : the pairs to look at, by the names of their parts; None for all. ``far`` : a pair
    that stays farther apart than this, mm, may be given a lower figure than it has. ``folder`` :
    where its scans lie.
    """
    setting = set_up(project, folder)
    z, r = through_nought(*setting.range, TRAVELS), racks(setting)
    motion = move(setting.linkage, z, r)
    chosen = [k for k, names in enumerate(setting.names) if only is None or names in only]
    pairs = [setting.pairs.checked[k] for k in chosen]
    parts = setting.builder(motion)
    joints = setting.joints(motion)
    found = clearances(
        parts, pairs, grid=(len(z), len(r)), tol=TOLERANCE, joints=joints, cutoff=far
    )
    return {
        setting.names[k]: Gap(float(low), float(setting.rule[k]))
        for k, low in zip(chosen, found.worst, strict=True)
    }


def troubles(found: Gaps) -> tuple[Names, ...]:
    """The pairs that touch or break their rule, worst first."""
    wrong = [(gap.left, names) for names, gap in found.items() if gap.left < 0.0]
    return tuple(names for _, names in sorted(wrong))


def fixes(
    project: Project,
    progress: Progress | None = None,
    cancelled: Asked | None = None,
    folder: Path | None = None,
) -> tuple[Remedy, ...]:
    """Every kind of fix for this corner, the best first; empty where nothing is wrong.

    Raises Cancelled; ClearstrokeError for a corner that can't be assembled.
    """
    before = gaps(project, folder=folder)
    wrong = troubles(before)
    if not wrong:
        return ()
    kinds = cures_for(project)
    found = []
    for done, cure in enumerate(kinds):
        if cancelled is not None and cancelled():
            raise Cancelled
        found.append(remedy(project, cure, before, folder))
        if progress is not None:
            progress((done + 1) / (len(kinds) + 1))
    if (moved := _mount_moved(set_up(project, folder), wrong, cancelled)) is not None:
        found.append(moved)
    if progress is not None:
        progress(1.0)
    return tuple(sorted(found, key=_rank))


def _rank(remedy: Remedy) -> tuple[int, int, int, float]:
    """Whole cures first, then those that settle more, then less work, then less of it."""
    fix = remedy.rules or remedy.touching
    if fix is None:
        return 2, 0, 0, 0.0
    return (0 if fix.cures_all else 1), -len(fix.settles), fix.work, fix.amount


class _Trial:
    """Gaps of the pairs that matter for any amount of one fix, each worked out once."""

    def __init__(self, project: Project, cure: Cure, before: Gaps, folder: Path | None) -> None:
        self.project, self.cure, self.wrong = project, cure, troubles(before)
        self.folder = folder
        # A part moves by little more than the amount: pairs farther off than that can't matter.
        reach = 2.0 * cure.most
        self.near = frozenset(n for n, gap in before.items() if gap.left < reach)
        self._known: dict[float, Gaps] = {0.0: before}

    def __call__(self, mm: float) -> Gaps:
        if mm not in self._known:
            self._known[mm] = gaps(self.cure.apply(self.project, mm), self.near, FAR, self.folder)
        return self._known[mm]

    def left(self, names: Names, mm: float, rules: bool) -> float:
        """What a trouble has left over its goal; a pair whose part is gone has all the room."""
        gap = self(mm).get(names)
        return math.inf if gap is None else gap.left if rules else gap.low


def remedy(project: Project, cure: Cure, before: Gaps, folder: Path | None = None) -> Remedy:
    """What one kind of fix takes. before : the gaps of the project as it is."""
    trial = _Trial(project, cure, before, folder)
    made = []
    for rules in (False, True):
        need = [n for n in trial.wrong if trial.left(n, 0.0, rules) < 0.0]
        try:
            amounts = [_amount(trial, n, rules) for n in need]
        except ClearstrokeError as error:
            return Remedy(cure.name, None, None, f"{_name(cure)}: {error}")
        reached = [mm for mm in amounts if mm is not None]
        made.append(_made(trial, max(reached), rules) if reached else None)
    touching, rules_kept = made
    why = "" if touching or rules_kept else _why_not(trial)
    return Remedy(cure.name, touching, rules_kept, why)


def _amount(trial: _Trial, names: Names, rules: bool) -> float | None:
    """The least amount at which a trouble is over, mm, or None if the most is not enough."""
    low = 0.0
    for mm in np.linspace(0.0, trial.cure.most, LOOKS)[1:].tolist():
        if trial.left(names, mm, rules) >= 0.0:
            if math.isinf(trial.left(names, mm, rules)):
                return float(mm)
            return float(brentq(lambda x: trial.left(names, x, rules), low, mm, xtol=CLOSE))
        low = mm
    return None


def _made(trial: _Trial, exact: float, rules: bool) -> Fix | None:
    """The fix rounded up to what can be had, and checked with every pair."""
    cure = trial.cure
    aim = set(_met(trial(exact + CLOSE), trial.wrong, rules))
    for amount in _sizes(cure, exact):
        project = cure.apply(trial.project, amount)
        found = gaps(project, folder=trial.folder)
        if aim <= set(_met(found, trial.wrong, rules)):
            words = cure.say.format(f"{amount:g}")
            now = _Outcome(trial.project, project, trial.wrong, found)
            return now.fix(cure.name, words, cure.work, cure.caution, amount, exact)
    return None


def _sizes(cure: Cure, exact: float) -> list[float]:
    """The amounts that can be had from there up, least first."""
    if cure.sizes:
        return [size for size in cure.sizes if size >= exact]
    first = math.ceil(exact - 1e-9)
    return [float(mm) for mm in (first, first + 1) if mm <= cure.most + 1.0]


def _met(found: Gaps, wrong: tuple[Names, ...], rules: bool) -> tuple[Names, ...]:
    """The troubles that are over; one whose part is gone is."""
    over = {n: found[n] for n in wrong if n in found}
    return tuple(
        n for n in wrong if n not in over or (over[n].left if rules else over[n].low) >= 0.0
    )


@dataclass(frozen=True, eq=False)
class _Outcome:
    """A project before and after a fix, the troubles before and every gap after."""

    before: Project
    after: Project
    wrong: tuple[Names, ...]
    found: Gaps

    def fix(
        self, name: str, words: str, work: Work, caution: str, amount: float, exact: float
    ) -> Fix:
        now = troubles(self.found)
        return Fix(
            name,
            words,
            work,
            caution,
            amount,
            exact,
            self.after,
            settles=tuple(n for n in self.wrong if n not in now),
            leaves=tuple(n for n in self.wrong if n in now),
            breaks=tuple(n for n in now if n not in self.wrong),
            gaps=self.found,
            effects=effects(self.before, self.after),
        )


def _why_not(trial: _Trial) -> str:
    """What the most of it would still leave."""
    a, b = trial.wrong[0]
    left = trial.left(trial.wrong[0], trial.cure.most, False)
    state = f"{-left:.1f} mm into" if left < 0 else f"{left:.1f} mm from"
    return f"{_name(trial.cure)}: even {trial.cure.most:.0f} mm leaves the {a} {state} the {b}."


def _name(cure: Cure) -> str:
    return cure.name[:1].upper() + cure.name[1:]


REACH = 40
"""How far the mount is looked at moving each way, mm."""
STEP = 2
"""Grid of places looked at first, mm; the best is then looked at to 1 mm."""


def _mount_moved(
    setting: Setting, wrong: tuple[Names, ...], cancelled: Asked | None
) -> Remedy | None:
    """The least move of the mount, its tower with it, to where nothing is wrong."""
    if setting.unfolded.coilover is None or steers_the_wheel(setting.unfolded):
        return None
    name = "top mount moved, its tower with it"
    made = []
    for rules in (False, True):
        spot = _nearest(setting, rules, cancelled)
        made.append(None if spot is None else _moved(setting, spot, wrong, name))
    why = "" if any(made) else f"No place within {REACH} mm of where the top mount is does."
    return Remedy(name, made[0], made[1], why)


def _nearest(setting: Setting, rules: bool, cancelled: Asked | None) -> tuple[float, float] | None:
    """The nearest place of whole mm (x, y) that the map finds good, or None."""
    x = y = np.arange(-REACH, REACH + 1.0, STEP)
    best = None
    for _ in range(2):
        plan = top_map(setting, across=y, along=x, with_tower=True, cancelled=cancelled)
        figure = plan.margin if rules else plan.clearance
        way = np.where(figure >= 0.0, np.hypot(x[:, None], y[None, :]), np.inf)
        if not np.isfinite(way).any():
            return best
        row, column = np.unravel_index(int(np.argmin(way)), way.shape)
        best = float(x[row]), float(y[column])
        x, y = (at + np.arange(-STEP, STEP + 1.0) for at in best)
    return best


def _moved(setting: Setting, spot: tuple[float, float], wrong: tuple[Names, ...], name: str) -> Fix:
    project = setting.project
    moved = move_top(project, spot[0], spot[1], 0.0, True)
    inward = -spot[1] if project.side == "left" else spot[1]
    ways = (
        (abs(inward), "inboard" if inward > 0 else "outboard"),
        (abs(spot[0]), "forward" if spot[0] > 0 else "rearward"),
    )
    how = " and ".join(f"{mm:g} mm {way}" for mm, way in ways if mm)
    words = f"Move the top mount and its tower {how}"
    far = math.hypot(*spot)
    made = _Outcome(project, moved, wrong, gaps(moved, folder=setting.folder))
    return made.fix(name, words, Work.REMADE, f"{SPRUNG} {WELDED}", far, far)
