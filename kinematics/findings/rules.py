"""Which of the rules holds between two parts."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from kinematics.project.model import Rule
from kinematics.project.rules import ANYTHING, CLASSES


def rule_between(
    rules: Sequence[Rule], names: tuple[str, str], kinds: tuple[str, str]
) -> float | None:
    """The clearance asked for between two parts, mm; None where no rule speaks of them.

    A rule that names a part beats one that names its class, which beats ``anything``; of rules
    that say it equally closely, the larger holds.
    """
    best: tuple[int, float] | None = None
    for rule in rules:
        a, b = rule.between
        closeness = max(
            _closeness(a, names[0], kinds[0], b, names[1], kinds[1]),
            _closeness(b, names[0], kinds[0], a, names[1], kinds[1]),
        )
        if closeness >= 0 and (best is None or (closeness, rule.at_least) > best):
            best = (closeness, rule.at_least)
    return None if best is None else best[1]


def _closeness(a: str, name_a: str, kind_a: str, b: str, name_b: str, kind_b: str) -> int:
    """How closely a rule's two words fit two parts, added up; -1 if they don't."""
    one, other = _fit(a, name_a, kind_a), _fit(b, name_b, kind_b)
    return -1 if one < 0 or other < 0 else one + other


def _fit(word: str, name: str, kind: str) -> int:
    if word == ANYTHING:
        return 0
    if word in CLASSES:  # also where a part is called as its class is: the tyre
        return 1 if word == kind else -1
    return 4 if word == name else -1


def asked_for(
    rules: Sequence[Rule],
    names: Sequence[tuple[str, str]],
    kinds: Sequence[tuple[str, str]],
) -> npt.NDArray[np.float64]:
    """The clearance asked for of every pair, mm, NaN where there is no rule. (np,)"""
    found = (rule_between(rules, n, k) for n, k in zip(names, kinds, strict=True))
    return np.array([np.nan if r is None else r for r in found], dtype=float)
