"""Roots in a bracket, against scipy.optimize.brentq and closed forms."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy.optimize import brentq

from kinematics.motion.roots import root_between

CASES: list[tuple[Callable[[float], float], float, float]] = [
    (lambda x: x * x - 2.0, 0.0, 2.0),
    (lambda x: math.cos(x) - x, 1.0, 0.0),  # either end first
    (lambda x: math.exp(x) - 5.0, -4.0, 8.0),
    (lambda x: (x - 1.0) ** 3 + 1e-4 * (x - 1.0), 0.2, 5.0),  # nearly flat at its root
    (lambda x: math.atan(50.0 * (x - 0.3)), -7.0, 9.0),  # nearly a step
    (lambda x: x**9 - 1e-6, -1.0, 1.5),
]


@pytest.mark.parametrize(("of", "low", "high"), CASES)
def test_a_root_is_the_one_brentq_finds(
    of: Callable[[float], float], low: float, high: float
) -> None:
    asked = 0

    def counted(x: float) -> float:
        nonlocal asked
        asked += 1
        return of(x)

    found = root_between(counted, low, high, 1e-12)
    expected, how = brentq(of, low, high, xtol=1e-12, rtol=1e-15, full_output=True)
    assert found == pytest.approx(expected, abs=2e-12) or abs(of(found)) < 1e-30
    assert asked <= how.function_calls + 12  # as quick: it is the same way


def test_a_root_at_an_end_is_found_at_once() -> None:
    assert root_between(lambda x: x - 3.0, 3.0, 10.0, 1e-9) == 3.0
    assert root_between(lambda x: x - 10.0, 3.0, 10.0, 1e-9) == 10.0


def test_polynomials_with_known_roots_are_met_within_the_bracket() -> None:
    rng = np.random.default_rng(5)
    for root in rng.uniform(-50, 50, 200):
        found = root_between(lambda x, r=root: (x - r) * ((x - r) ** 2 + 1.0), -60.0, 70.0, 1e-10)
        assert found == pytest.approx(root, abs=1e-9)


def test_no_change_of_sign_and_an_unknown_value_are_told() -> None:
    with pytest.raises(ValueError, match="sign"):
        root_between(lambda x: x * x + 1.0, -1.0, 1.0, 1e-9)
    with pytest.raises(ValueError, match="not known"):
        root_between(lambda x: x if abs(x) > 0.1 else math.nan, -1.0, 1.0, 1e-9)
