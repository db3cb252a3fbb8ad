"""Roots closed in on together, against scipy's one at a time."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from kinematics.motion.roots import roots_together

FUNCTIONS = (
    lambda x: x - 0.3,
    lambda x: x**3 - 0.2,
    lambda x: np.exp(8 * x) - 5.0,
    lambda x: np.clip((x - 0.77) * 1e12, -100.0, 1e9),  # solid from there on
    lambda x: np.where(x < 0.9, -1e-3, 1e9 * (x - 0.9) - 1e-3),
    lambda x: np.tanh(60 * (x - 0.41)),
    lambda x: np.where(x < 0.5, x - 0.5, 40 * (x - 0.5)) + 0.1,  # a kink
)


def together(x: np.ndarray) -> np.ndarray:
    return np.array([float(f(np.float64(t))) for f, t in zip(FUNCTIONS, x, strict=True)])


@given(st.floats(0.0, 0.05), st.floats(0.95, 1.0))
def test_each_root_is_scipys(low: float, high: float) -> None:
    a, b = np.full(len(FUNCTIONS), low), np.full(len(FUNCTIONS), high)
    found = roots_together(together, a, b, together(a), together(b))
    for f, root in zip(FUNCTIONS, found, strict=True):
        expected = brentq(lambda x, f=f: float(f(np.float64(x))), low, high, xtol=1e-12)
        assert root == pytest.approx(expected, abs=2e-8)


def test_few_looks_are_needed() -> None:
    looks = []

    def smooth(x: np.ndarray) -> np.ndarray:
        looks.append(1)
        return np.sin(x) - 0.3

    low, high = np.array([0.0]), np.array([1.0])
    assert roots_together(smooth, low, high, smooth(low), smooth(high)) == pytest.approx(
        np.arcsin(0.3), abs=1e-8
    )
    assert len(looks) < 12


def test_where_it_is_not_known_there_is_no_root() -> None:
    def part(x: np.ndarray) -> np.ndarray:
        return np.where((x > 0.2) & (x < 0.8), np.nan, x - 0.5)

    low, high = np.array([0.0]), np.array([1.0])
    assert np.isnan(roots_together(part, low, high, part(low), part(high))[0])


def test_a_root_at_an_end_is_taken() -> None:
    low, high = np.array([0.0, 0.0]), np.array([1.0, 1.0])
    found = roots_together(lambda x: x, low, high, np.array([0.0, -1.0]), np.array([1.0, 0.0]))
    assert found.tolist() == [0.0, 1.0]
