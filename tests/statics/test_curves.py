"""Force curves: exact inverse, energy, springs stacked and nested."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from kinematics.statics import curves

steps = st.lists(st.tuples(st.floats(0.5, 30), st.floats(1, 900)), min_size=1, max_size=6)


def rising(pairs: list[tuple[float, float]], solid: bool, gap: float = 0.0) -> curves.ForceCurve:
    x, f = np.cumsum([(0.0, 0.0), *pairs], axis=0).T
    return curves.shifted(curves.through(list(zip(x, f, strict=True)), solid=solid), gap)


@given(steps, st.booleans(), st.floats(0, 40), st.floats(0, 5000))
def test_the_inverse_is_exact(pairs: list, solid: bool, gap: float, force: float) -> None:
    curve = rising(pairs, solid, gap)
    if solid:
        force = min(force, curve.force[-1])
    assert curve.at(curve.squash_for(force)) == pytest.approx(force, rel=1e-12, abs=1e-9)


@given(steps, steps, st.floats(0, 40), st.floats(1, 2000))
def test_stacked_springs_against_root_finding(a: list, b: list, gap: float, force: float) -> None:
    main, helper = rising(a, False, gap), rising(b, True)
    both = curves.series([main, helper])
    shared = float(both.squash_for(force))

    def unbalance(helper_squash: float) -> float:
        return float(helper.at(helper_squash) - main.at(shared - helper_squash))

    end = float(helper.squash[-1])
    squash = end if unbalance(end) <= 0 else brentq(unbalance, 0.0, end, xtol=1e-13)
    assert main.at(shared - squash) == pytest.approx(force, rel=1e-9, abs=1e-9)


@given(steps, steps, st.floats(0, 20), st.floats(0, 100))
def test_nested_springs_add_their_forces(a: list, b: list, gap: float, squash: float) -> None:
    outer, inner = rising(a, False), rising(b, True, gap)
    both = curves.parallel([outer, inner])
    assert both.at(squash) == pytest.approx(outer.at(squash) + inner.at(squash), rel=1e-12)


@given(steps, st.booleans(), st.floats(0, 20), st.floats(0, 1))
def test_energy_is_the_area_and_rate_the_slope(
    pairs: list, solid: bool, gap: float, share: float
) -> None:
    curve = rising(pairs, solid, gap)
    squash = share * float(curve.squash[-1])
    inner = [x for x in curve.squash if 0 < x < squash]
    area = quad(lambda x: float(curve.at(x)), 0, squash, points=inner or None, limit=200)[0]
    assert curve.energy(squash) == pytest.approx(area, rel=1e-9, abs=1e-9)
    if np.min(np.abs(curve.squash - squash)) > 1e-3:
        slope = (curve.at(squash + 1e-4) - curve.at(squash - 1e-4)) / 2e-4
        assert curve.rate(squash) == pytest.approx(slope, rel=1e-6, abs=1e-6)


def test_beyond_solid_is_infinite_and_never_a_number() -> None:
    curve = curves.linear(50.0, 100.0)
    assert curve.at([-1.0, 0.0, 100.0, 100.001]).tolist() == [0.0, 0.0, 5000.0, np.inf]
    assert curve.squash_for([5000.0, 9000.0]).tolist() == [100.0, 100.0]
    assert np.isnan(curve.squash_for(-1.0))


@pytest.mark.parametrize(
    ("points", "why"),
    [
        ([(0, 0), (10, 100), (10, 200)], "rise"),
        ([(0, 0), (10, 100), (20, 90)], "rise"),
        ([(0, 5), (10, 100)], "rise"),
        ([(5, 5), (float("nan"), 100)], "finite"),
    ],
)
def test_a_curve_that_is_not_single_valued_is_refused(points: list, why: str) -> None:
    with pytest.raises(ValueError, match=why):
        curves.through(points, solid=True)
