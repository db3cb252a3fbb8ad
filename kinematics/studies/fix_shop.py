"""A corner in trouble with fixes tried on it: how much of one is enough, and what comes of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

import numpy as np

from kinematics.clearance import Cancelled
from kinematics.errors import ClearstrokeError
from kinematics.project.model import Project
from kinematics.studies.bench import Bench, Gap, Look, Names, troubles
from kinematics.studies.cure import Cure
from kinematics.studies.effects import Standing, differences, spoiled, stand
from kinematics.studies.fix import Amount, Fix, Remedy
from kinematics.studies.fix_pace import Pace

Asked = Callable[[], bool]
Span = tuple[float, float]

LOOKS = 6
"""Amounts tried from nothing to the most, before the exact one is solved for."""
CLOSE = 0.01
"""Exactness of an amount before it is rounded up, mm."""
SLIGHT = 0.02
"""A fix whose most gains less than this, mm, does nothing for a trouble."""


class Shop:
    """A corner in trouble, ready to have fixes tried on it. ``bench`` : the corner as it is."""

    def __init__(
        self, bench: Bench, cancelled: Asked | None = None, pace: Pace | None = None
    ) -> None:
        """Look at how it stands before anything is changed.

        cancelled : asked at every try; pace : tells how far it is.
        """
        self.bench, self.cancelled = bench, cancelled
        self.pace = Pace() if pace is None else pace
        self.before: Standing = stand(bench.setting)

    def go_on(self) -> None:
        """Raises Cancelled once that is asked for."""
        if self.cancelled is not None and self.cancelled():
            raise Cancelled
        self.pace.look()

    def checked(self, cure: Cure, amount: float, project: Project) -> Fix:
        """A fix by an amount, checked with every pair. Raises ClearstrokeError.

        project : the corner with it.
        """
        self.go_on()
        setting, found = self.bench.checked(project)
        self.go_on()
        was, now, wrong = self.bench.gaps, troubles(found), self.bench.troubles
        after = stand(setting, (self.bench.setting, self.before))
        return Fix(
            cure.name,
            cure.say(amount),
            cure.work,
            cure.caution,
            cure.undoes,
            amount,
            project,
            settles=tuple(n for n in wrong if n not in now),
            frees=tuple(n for n in wrong if n in now if was[n].low < 0.0 <= found[n].low),
            leaves=tuple(n for n in wrong if n in now),
            breaks=tuple(n for n in now if n not in wrong),
            spoils=spoiled(self.before, after),
            before=was,
            gaps=found,
            effects=differences(self.before, after),
        )


class Trial:
    """Gaps of the pairs in trouble for any amount of one fix, each worked out once."""

    def __init__(self, shop: Shop, cure: Cure) -> None:
        self.shop, self.bench, self.cure = shop, shop.bench, cure
        self._looks: dict[float, Look | None] = {}
        self._known: dict[float, dict[Names, Gap | None]] = {0.0: {**shop.bench.gaps}}
        self.refused = ""

    def stands(self, mm: float) -> bool:
        """Whether the corner can stand with so much of it; `refused` says why it can't."""
        return mm == 0.0 or self._look(mm) is not None

    def see(self, mm: float, only: Sequence[Names]) -> None:
        """Look at those troubles together, which is quicker than one after another."""
        known = self._known.setdefault(mm, {})
        new = [names for names in only if names not in known]
        if new and mm != 0.0 and (look := self._look(mm)) is not None:
            found = look.gaps(new)
            known.update((names, found.get(names)) for names in new)

    def left(self, names: Names, mm: float, rules: bool) -> float:
        """What a trouble has left over its goal; a pair whose part is gone has all the room."""
        if not self.stands(mm):
            return -math.inf
        self.see(mm, [names])
        gap = self._known[mm].get(names)
        return math.inf if gap is None else gap.left if rules else gap.low

    def _look(self, mm: float) -> Look | None:
        if mm not in self._looks:
            self.shop.go_on()
            self._looks[mm] = None
            try:
                changed = self.cure.apply(self.bench.project, mm)
                self._looks[mm] = self.bench.changed(changed)
            except ClearstrokeError as error:
                self.refused = str(error)
        return self._looks[mm]


def remedy(shop: Shop, cure: Cure) -> Remedy:
    """What one kind of fix takes."""
    if cure.cannot:
        return Remedy(cure.name, None, None, None, cure.cannot)
    trial = Trial(shop, cure)
    touching, kept = (least_amount(trial, rules) for rules in (False, True))
    best = kept or touching
    if best is None:
        return Remedy(cure.name, None, None, None, _why_not(trial))
    try:
        fix = shop.checked(cure, best.amount, best.project)
    except ClearstrokeError as error:
        return Remedy(cure.name, None, None, None, f"{_named(cure)}: {error}")
    return Remedy(cure.name, fix, touching, kept)


def least_amount(trial: Trial, rules: bool, aim: Sequence[Names] | None = None) -> Amount | None:
    """The least of a fix, as it can be had, that ends all the troubles it can end.

    aim : the troubles it has to end; without, those it can.
    """
    need = [n for n in trial.bench.troubles if trial.left(n, 0.0, rules) < 0.0]
    found = {n: _span(trial, n, rules) for n in need}
    spans = {n: span for n, span in found.items() if span is not None}
    if not spans or any(found.get(n, (0.0, 0.0)) is None for n in aim or ()):
        return None
    exact = _enough(trial, spans, rules)
    done = [n for n in need if trial.left(n, exact + CLOSE, rules) >= 0.0]
    if not set(aim or ()) <= {*done, *(n for n in aim or () if n not in need)}:
        return None
    for amount in _sizes(trial.cure, exact):
        trial.see(amount, done)
        if trial.stands(amount) and all(trial.left(n, amount, rules) >= 0.0 for n in done):
            made = trial.cure.apply(trial.bench.project, amount)
            return Amount(exact, amount, made, trial.cure.say(amount))
    return None


def _span(trial: Trial, names: Names, rules: bool) -> Span | None:
    """Two amounts, mm, between which a trouble comes to be over; None: the most is not enough.

    The same twice where it is over because the part is gone.
    """
    looks = np.linspace(0.0, trial.cure.most, LOOKS + 1)[1:].tolist()
    start, half = trial.left(names, 0.0, rules), LOOKS // 2
    for mm in (looks[-1], looks[half]):
        trial.see(mm, trial.bench.troubles)
    if all(trial.left(names, mm, rules) < start + SLIGHT for mm in (looks[-1], looks[half])):
        return None
    # What is still wrong half way is taken to be so all the way there.
    low, first = 0.0, 0
    if trial.left(names, looks[half], rules) < 0.0:
        low, first = looks[half], half + 1
    for mm in looks[first:]:
        left = trial.left(names, mm, rules)
        if left >= 0.0:
            return (mm, mm) if math.isinf(left) else (low, mm)
        low = mm
    return None


def _enough(trial: Trial, spans: Mapping[Names, Span], rules: bool) -> float:
    """The least amount at which all the troubles are over, mm.

    What is over already at the amount another takes is not solved for.
    """
    exact = 0.0
    for names, (low, high) in sorted(spans.items(), key=lambda item: item[1], reverse=True):
        if high <= exact or (low < exact and trial.left(names, exact, rules) >= 0.0):
            continue
        root = high if low == high else _root(trial, names, rules, low, high)
        exact = max(exact, root)
    return exact


def _root(trial: Trial, names: Names, rules: bool, low: float, high: float) -> float:
    from scipy.optimize import brentq  # slow to import

    def left(mm: float) -> float:
        return max(trial.left(names, mm, rules), -1e3)  # the solver wants a number

    return float(brentq(left, low, high, xtol=CLOSE))


def _sizes(cure: Cure, exact: float) -> list[float]:
    """The amounts that can be had from there up, least first."""
    if cure.sizes:
        return [size for size in cure.sizes if size >= exact]
    first = math.ceil(exact - 1e-9)
    return [float(mm) for mm in (first, first + 1) if mm <= cure.most + 1e-9]


def _why_not(trial: Trial) -> str:
    """What it would still leave at its best, that it makes things worse, or why it can't be had."""
    cure, name = trial.cure, _named(trial.cure)
    if math.isinf(trial.left(trial.bench.troubles[0], cure.most, False)):
        return f"{name}: with {cure.most:.0f} mm of it the corner can't stand. {trial.refused}"
    # The amounts that were looked at in any case, and how much each trouble gains by them.
    looks = np.linspace(0.0, cure.most, LOOKS + 1)[[LOOKS // 2, LOOKS]].tolist()
    gains = [
        (trial.left(n, mm, False) - trial.left(n, 0.0, False), -k, mm, n)
        for k, n in enumerate(trial.bench.troubles)
        for mm in looks
    ]
    gain, _, mm, (a, b) = max(gains)
    if gain >= SLIGHT:
        return f"{name}: {_still(trial, mm, (a, b))}"
    loss, _, _, (a, b) = min(gains)
    if loss > -SLIGHT:
        a, b = trial.bench.troubles[0]
        what = "that is wrong" if len(trial.bench.troubles) > 1 else f"between {a} and {b}"
        return f"{name}: that changes nothing {what}."
    return f"{name}: that only brings the {a} nearer the {b}."


def _still(trial: Trial, mm: float, names: Names) -> str:
    """What so much of a fix leaves of the trouble that it helps most."""
    most, (a, b) = trial.cure.most, names
    left, over = (trial.left(names, mm, rules) for rules in (False, True))
    if over >= 0.0:
        return "no size that is sold does it."
    even = f"even {mm:.0f} mm" if mm == most else f"{mm:.0f} mm, where it does most,"
    if left < 0.0:
        return f"{even} leaves the {a} {-left:.1f} mm into the {b}."
    return f"{even} leaves the {a} {left:.1f} mm from the {b}; the rule is {left - over:.0f} mm."


def _named(cure: Cure) -> str:
    return f"{cure.name[:1].upper()}{cure.name[1:]}"
