"""The best worst case: chosen dimensions moved within bounds until the tightest pair has most room.

    found = best_of(project, [Own("points.top bearing.x", -20, 20), Own("tower.outer", -20, 0)])
    found.amounts, found.before, found.after, found.project

Sequential linear programming with a trust region (a standard method; J. Nocedal and S. Wright,
Numerical Optimization, 2nd ed., ch. 18, from memory): at each step the margins of the tight pairs
are taken as linear in the dimensions, the step that lifts the lowest most is taken, and it is kept
only if a full check of every pair agrees. Camber and toe at set-up are held by their exact
sensitivities to points and link lengths.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from kinematics.clearance import Cancelled
from kinematics.errors import ClearstrokeError, EntryError
from kinematics.measures import measure
from kinematics.measures.sensitivity import sensitivity
from kinematics.motion import Motion, corner, move
from kinematics.project.model import Project
from kinematics.project.unfold import unfold
from kinematics.studies.bench import Bench, Gaps, Names
from kinematics.studies.cure import out_of
from kinematics.studies.cures import Own
from kinematics.studies.cures_own import apply_of
from kinematics.studies.fix_pace import Pace

Array = npt.NDArray[np.float64]
Progress = Callable[[float], None]
Asked = Callable[[], bool]

STEPS = 30
"""Steps at most."""
NUDGE = 1.0
"""How far a dimension is moved to see how margins follow, mm."""
TIGHT = 20.0
"""Pairs with more left than this over the tightest can't become it in a step, mm."""
FINE = 0.05
"""The search ends when its steps are shorter than this, mm."""
CAMBER, TOE = np.radians(0.5), np.radians(0.15)
"""How far set-up camber and toe may go from where they are, rad, where no more is allowed."""


@dataclass(frozen=True, eq=False)
class Best:
    """What a search came to.

    amounts : by dimension, mm. before, after : the least left of any pair over its rule, mm, and
    tightest : the pair that has it after. project : the corner with it. steps : looked at.
    """

    amounts: dict[str, float]
    before: float
    after: float
    tightest: Names
    project: Project
    steps: int


def best_of(
    project: Project,
    over: Sequence[Own],
    progress: Progress | None = None,
    cancelled: Asked | None = None,
    folder: Path | None = None,
    camber: float = CAMBER,
    toe: float = TOE,
) -> Best:
    """Search the dimensions for the best worst-case margin over the whole motion.

    camber, toe : how far either may go from its set-up figure, rad. Raises EntryError for a
    dimension there is none of or given twice; Cancelled; ClearstrokeError for a corner that can't
    be assembled, or of which no pair of parts has a clearance at any position.
    """
    if not over or len({mine.path for mine in over}) < len(over):
        raise EntryError("Name at least one dimension to search over, and each once.")
    return _Search(project, over, folder, (camber, toe), progress, cancelled).run()


class _Search:
    def __init__(
        self,
        project: Project,
        over: Sequence[Own],
        folder: Path | None,
        held: tuple[float, float],
        progress: Progress | None,
        cancelled: Asked | None,
    ) -> None:
        self.project, self.over, self.held = project, tuple(over), held
        self.cancelled, self.pace = cancelled, Pace(progress)
        self.applies = [apply_of(project, mine.path) for mine in over]
        self.bench = Bench(project, folder, cancelled)
        self.least = np.array([min(mine.least, 0.0) for mine in over])
        self.most = np.array([max(mine.most, 0.0) for mine in over])
        self.reach = 0.25 * (self.most - self.least)

    def changed(self, at: Array) -> Project:
        project = self.project
        for apply, mm in zip(self.applies, at.tolist(), strict=True):
            project = apply(project, mm)
        return project

    def go_on(self) -> None:
        """Raises Cancelled once that is asked for."""
        if self.cancelled is not None and self.cancelled():
            raise Cancelled
        self.pace.look()

    def run(self) -> Best:
        self.pace.begin(1.0 / (STEPS + 1))
        at = np.zeros(len(self.over))
        found = self.bench.gaps
        if not any(math.isfinite(gap.left) for gap in found.values()):
            raise ClearstrokeError(
                "No position of this corner has two parts to look between, so there is nothing to "
                "search for. See what keeps it from moving first."
            )
        start = margin = _margin(found)[0]
        slopes, steps = self._slopes(at, found), 0
        while steps < STEPS and self.reach.max() > FINE:
            steps += 1
            self.pace.begin((steps + 1) / (STEPS + 1))
            self.go_on()
            step = self._step(at, found, margin, slopes)
            new = self._look(at + step) if step is not None else None
            if step is not None and new is not None and _margin(new)[0] > margin + 1e-3:
                at, found, margin = at + step, new, _margin(new)[0]
                self.reach = self.reach * 1.5
                slopes = self._slopes(at, found)
            else:
                self.reach = self.reach * 0.35
        self.pace.end()
        amounts = {m.path: float(mm) for m, mm in zip(self.over, at.tolist(), strict=True)}
        after, tightest = _margin(found)
        return Best(amounts, start, after, tightest, self.changed(at), steps)

    def _look(self, at: Array) -> Gaps | None:
        """Every pair's gap there, None where the corner can't stand."""
        try:
            return self.bench.checked(self.changed(at))[1]
        except ClearstrokeError:
            return None

    def _slopes(self, at: Array, found: Gaps) -> tuple[tuple[Names, ...], Array, Array]:
        """The tight pairs, how their margins follow each dimension, and how camber and toe do."""
        margin, _ = _margin(found)
        tight = tuple(n for n, gap in found.items() if gap.left < margin + TIGHT)
        slopes = np.zeros((len(tight), len(at)))
        for k in range(len(at)):
            self.go_on()
            way = NUDGE if at[k] + NUDGE <= self.most[k] else -NUDGE
            moved = at.copy()
            moved[k] += way
            try:
                near = self.bench.tried(self.changed(moved), tight)
            except ClearstrokeError:
                continue
            for row, names in enumerate(tight):
                if names in near and np.isfinite(near[names].left):
                    slopes[row, k] = (near[names].left - found[names].left) / way
        return tight, slopes, self._alignment(at)

    def _alignment(self, at: Array) -> Array:
        """Camber and toe there less what they were, and their exact slopes: (2, 1 + dims), rad."""
        project = self.changed(at)
        names = [_sensitive(mine.path) for mine in self.over]
        setting = self.bench.setting
        table = np.zeros((2, 1 + len(at)))
        linkage = corner(unfold(project))
        motion = move(linkage, [0.0])
        wanted = [n for n in names if n is not None]
        known = sensitivity(project, motion, wanted).figures if wanted else {}
        base = _lean(setting.project, move(setting.linkage, [0.0]))
        now = _lean(project, motion)
        for row, key in enumerate(("camber", "toe")):
            table[row, 0] = now[row] - base[row]
            for k, name in enumerate(names):
                if name is not None:
                    # The model's y is to the left; a builder's dimension is outboard.
                    sign = out_of(project) if name.endswith(".y") else 1.0
                    slope = known[key][wanted.index(name), 0, 0]
                    table[row, 1 + k] = sign * slope
        return np.nan_to_num(table)

    def _step(
        self,
        at: Array,
        found: Gaps,
        margin: float,
        slopes: tuple[tuple[Names, ...], Array, Array],
    ) -> Array | None:
        """The step within the trust region that lifts the lowest margin most, if any does."""
        from scipy.optimize import linprog  # slow to import

        tight, table, lean = slopes
        count = len(at)
        # Unknowns: the step and the margin t; t - slope.step <= left of every tight pair.
        rows = [[*(-table[k]), 1.0] for k in range(len(tight))]
        limit = [found[names].left for names in tight]
        for row, most in zip(lean, self.held, strict=True):
            for sign in (1.0, -1.0):
                rows.append([*(sign * row[1:]), 0.0])
                limit.append(max(most - sign * row[0], 0.0))
        low = np.maximum(self.least - at, -self.reach)
        high = np.minimum(self.most - at, self.reach)
        bounds = [*zip(low.tolist(), high.tolist(), strict=True), (None, None)]
        cost = np.zeros(count + 1)
        cost[-1] = -1.0
        answer = linprog(cost, A_ub=np.array(rows), b_ub=np.array(limit), bounds=bounds)
        if not answer.success or answer.x is None or answer.x[-1] < margin + 1e-3:
            return None
        return np.asarray(answer.x[:count])


def _margin(found: Gaps) -> tuple[float, Names]:
    """The least left of any pair over its rule, and the pair."""
    names = min(found, key=lambda n: found[n].left)
    return found[names].left, names


def _sensitive(path: str) -> str | None:
    """The motion's name of a dimension, where it has one: a point's coordinate or a length."""
    if path.startswith("points."):
        return path.removeprefix("points.")
    return path if path.startswith("length of ") else None


def _lean(project: Project, motion: Motion) -> tuple[float, float]:
    found = measure(unfold(project), motion).figures
    return float(found["camber"][0, 0]), float(found["toe"][0, 0])
