"""Levels of chance written without SciPy's distributions, against them."""

from __future__ import annotations

import pytest
from scipy.stats import chi2, norm

from kinematics.survey import judge
from kinematics.survey.survey import REACH


def test_levels_are_the_distributions_own() -> None:
    assert pytest.approx(norm.ppf(1 - judge.ALPHA / 2), rel=1e-13) == judge.LIMIT
    assert pytest.approx(judge.LIMIT + norm.ppf(judge.POWER), rel=1e-13) == judge.SHIFT
    assert pytest.approx(4.1321, abs=5e-5) == judge.SHIFT  # Baarda's table (1968)
    assert pytest.approx(chi2.ppf(0.999, 1), rel=1e-12) == judge.RIVAL
    assert pytest.approx(chi2.ppf(0.95, 3) ** 0.5, rel=1e-13) == REACH
