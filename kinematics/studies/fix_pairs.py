"""Two fixes together: how much less of the one is enough with so much of the other.

front = trade_off(shop, spacer, lip)   # kinematics.studies.fix_shop.Shop, two Cures
for split in front:
    print(split.first, split.second)
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.errors import ClearstrokeError
from kinematics.project.model import Project
from kinematics.studies.bench import Names
from kinematics.studies.cure import COMES_OFF, Cure, Work
from kinematics.studies.cures import TOGETHER
from kinematics.studies.fix import Fix, Remedy
from kinematics.studies.fix_shop import CLOSE, Shop, Trial, least_amount

SPLITS = 6
"""Amounts of the first fix looked at, besides none."""
MOST_PAIRS = 4
"""Pairs of fixes that are suggested."""


@dataclass(frozen=True, eq=False)
class Split:
    """So much of one fix, and the least of another that keeps the rules with it, mm.

    second : as it can be had, NaN where none is enough; exact : before rounding up. fix : both
    together, checked with every pair; None where none is enough.
    """

    first: float
    second: float
    exact: float
    fix: Fix | None


def together(first: Cure, amount: float, second: Cure) -> Cure:
    """Both fixes as one, the first by an amount that stands fast."""

    def apply(project: Project, mm: float) -> Project:
        return second.apply(first.apply(project, amount), mm) if mm > 0.0 else project

    def say(mm: float) -> str:
        words = second.say(mm)
        return f"{first.say(amount)}, and {words[:1].lower()}{words[1:]}"

    cautions = dict.fromkeys(c for c in (first.caution, second.caution) if c)
    undoes = dict.fromkeys(u for u in (first.undoes, second.undoes) if u)
    undone = [u for u in undoes if u != COMES_OFF] or [*undoes]
    return Cure(
        f"{first.name} with {second.name}",
        TOGETHER,
        apply,
        second.most,
        Work(max(first.work, second.work)),
        say,
        second.sizes,
        " ".join(cautions),
        "; ".join(undone),
    )


def trade_off(shop: Shop, first: Cure, second: Cure, splits: int = SPLITS) -> tuple[Split, ...]:
    """Amounts of the first fix, from none to its most, each with the least of the second.

    Where both together never end all the troubles, those are aimed at that one of them can end by
    itself. Raises Cancelled.
    """
    wrong = shop.bench.troubles
    front = _front(shop, first, second, splits, wrong)
    if all(split.fix is None for split in front):
        trials = [Trial(shop, cure) for cure in (first, second)]
        some = tuple(n for n in wrong if any(_ends(trial, n) for trial in trials))
        if some and some != wrong:
            front = _front(shop, first, second, splits, some)
    return front


def _ends(trial: Trial, names: Names) -> bool:
    """Whether the most of a fix ends a trouble."""
    return trial.left(names, trial.cure.most, True) >= 0.0


def _front(
    shop: Shop, first: Cure, second: Cure, splits: int, aim: tuple[Names, ...]
) -> tuple[Split, ...]:
    """Amounts of the first fix, each with the least of the second that ends what is aimed at."""
    wanted = [0.0, *(first.sizes or _even(first.most, splits))]
    found: list[Split] = []
    for k, amount in enumerate(wanted, start=1):
        shop.pace.begin(k / len(wanted))
        shop.go_on()
        found.append(_split(shop, first, amount, second, aim))
        if found[-1].second == 0.0:  # the first is enough by itself from here on
            break
    return tuple(found)


def _even(most: float, count: int) -> list[float]:
    steps = np.linspace(0.0, most, count + 1)[1:]
    return sorted({float(max(1.0, math.floor(step))) for step in steps.tolist()})


def _split(shop: Shop, first: Cure, amount: float, second: Cure, aim: tuple[Names, ...]) -> Split:
    cure = together(first, amount, second) if amount > 0.0 else second
    least = least_amount(Trial(shop, cure), True, aim)
    if least is None:
        return Split(amount, math.nan, math.nan, None)
    try:
        if amount > 0.0 and least.exact <= 2.0 * CLOSE:
            alone = first.apply(shop.bench.project, amount)
            fix = shop.checked(first, amount, alone)
            if fix.cures_all or (aim != shop.bench.troubles and {*aim} <= {*fix.settles}):
                return Split(amount, 0.0, 0.0, fix)
        fix = shop.checked(cure, least.amount, least.project)
    except ClearstrokeError:
        return Split(amount, math.nan, math.nan, None)
    return Split(amount, least.amount, least.exact, fix)


def suggested(shop: Shop, cures: Sequence[Cure], known: Sequence[Remedy]) -> Iterator[Remedy]:
    """Pairs of fixes that put everything right where neither does alone, least work first.

    cures, known : the fixes that were tried and what came of them.
    """
    named = {cure.name: cure for cure in cures}
    given = 0
    for one, other in _complements(shop.bench.troubles, known):
        if given == MOST_PAIRS:
            return
        shop.go_on()
        if one.name not in named or other.name not in named or one.rules is None:
            continue
        wrong = shop.bench.troubles
        split = _split(shop, named[one.name], one.rules.amount, named[other.name], wrong)
        if split.fix is not None and split.fix.cures_all and not split.fix.dear:
            given += 1
            yield Remedy(split.fix.name, split.fix, None, None, count=2)


def _complements(
    wrong: tuple[Names, ...], known: Sequence[Remedy]
) -> Iterator[tuple[Remedy, Remedy]]:
    """Fixes that each settle some troubles and together all, without spoiling anything."""
    part = [
        r
        for r in known
        if r.fix is not None and r.rules is not None and r.fix.settles and not r.fix.cures_all
        if not (r.fix.breaks or r.fix.spoils or r.fix.dear)
    ]
    pairs = []
    for i, one in enumerate(part):
        for other in part[i + 1 :]:
            assert one.fix is not None
            assert other.fix is not None
            settled = {*one.fix.settles, *other.fix.settles}
            if settled == set(wrong) and {*one.fix.settles} != {*other.fix.settles}:
                works = one.fix.work, other.fix.work
                pairs.append(((max(works), sum(works), one.fix.amount + other.fix.amount), one,
                              other))  # fmt: skip
    pairs.sort(key=lambda each: each[0])
    yield from ((one, other) for _, one, other in pairs)
