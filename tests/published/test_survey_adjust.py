"""Least squares and blunders against published figures.

Norrdine's figures for suspects were recomputed apart from this project; his data are those of
A. Norrdine, 'An algebraic solution to the multilateration problem', IPIN 2012.
"""

import numpy as np
import pytest
from scipy.stats import chi2

from kinematics.survey.adjust import Adjusted, adjust
from kinematics.survey.judge import LIMIT, SHIFT, Judged

# NIST Statistical Reference Datasets, Misra1a (lower difficulty), y = b1 (1 - exp(-b2 x)).
MISRA_X = np.array([77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8,
                    593.1, 689.1, 760.0])  # fmt: skip
MISRA_Y = np.array([10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01,
                    66.40, 75.47, 81.78])  # fmt: skip

STATIONS = {
    "P37": (27.297, -4.953, 1.47), "P31": (20.693, -4.849, 1.93), "P102": (22.590, 0.524, 1.2),
    "P43": (17.113, -3.003, 2.17), "P208": (22.554, 4.727, 1.77), "P101": (22.447, -7.880, 1.6),
}  # fmt: skip
RAW = np.array([3.652, 7.036, 4.586, 9.960, 7.542, 7.883])
NAMES = list(STATIONS)


def misra(b: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    gone = np.exp(-b[1] * MISRA_X)
    return b[0] * (1 - gone), np.stack([1 - gone, b[0] * MISRA_X * gone], axis=1)


def ranged(p: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    d = p - np.array(list(STATIONS.values()))
    length = np.linalg.norm(d, axis=1)
    return length, d / length[:, None]


def of_unit_weight(fit: Adjusted[np.ndarray]) -> float:
    """The standard deviation of unit weight."""
    return float(np.sqrt(fit.chi_square / fit.surplus))


def located(excess: dict[str, float]) -> Adjusted[np.ndarray]:
    observed = RAW - np.array([excess.get(name, 0.0) for name in NAMES])
    start = np.array([22.0, -2.0, 1.0])
    return adjust(ranged, start, np.add, observed, np.full(6, 0.02), loose_at=np.inf)


@pytest.mark.parametrize("start", [(500.0, 1e-4), (250.0, 5e-4)])
def test_misra1a_from_both_starts(start: tuple[float, float]) -> None:
    fit = adjust(misra, np.array(start), np.add, MISRA_Y, np.ones(14), loose_at=np.inf)
    deviations = of_unit_weight(fit) * np.sqrt(np.diag(fit.covariance))
    assert fit.state == pytest.approx([238.94212918, 5.5015643181e-4], rel=1e-9)
    assert deviations == pytest.approx([2.7070075241, 7.2668688436e-6], rel=1e-8)
    assert fit.chi_square == pytest.approx(0.12455138894, rel=1e-10)


def test_multilateration_with_the_known_excess_taken_off() -> None:
    fit = located({"P43": 0.12, "P208": 0.14})
    assert fit.state == pytest.approx([26.78401, -1.32870, 1.45256], abs=6e-6)
    assert of_unit_weight(fit) * 0.02 == pytest.approx(0.01852, abs=6e-6)
    assert fit.redundancy == pytest.approx([0.632, 0.607, 0.045, 0.568, 0.508, 0.639], abs=6e-4)
    assert fit.redundancy.sum() == pytest.approx(3.0, abs=1e-9)


@pytest.mark.parametrize(
    ("taken_off", "wrong", "largest", "w"),
    [
        ({"P208": 0.14}, {"P43"}, "P43", 4.698),
        ({"P43": 0.12}, {"P208"}, "P101", 4.367),
        ({}, {"P43", "P208"}, "P31", 3.665),
    ],
)
def test_the_largest_w_may_be_an_innocent_one_but_the_culprits_are_among_the_suspects(
    taken_off: dict[str, float], wrong: set[str], largest: str, w: float
) -> None:
    judged = Judged(located(taken_off))
    assert not judged.agree
    assert NAMES[int(np.argmax(np.abs(judged.w)))] == largest
    assert np.abs(judged.w).max() == pytest.approx(w, abs=6e-4)
    named = {NAMES[s.reading] for s in judged.suspects}
    assert wrong <= named
    assert len(judged.suspects) > 1


@pytest.mark.parametrize(
    ("start", "place"),
    [
        ((23.0, -3.5, 0.5), (24.31229, -2.52045, 1.53649)),
        ((25.5, -1.5, 2.5), (24.35062, -2.48109, 1.66673)),
    ],
)
def test_three_distances_meet_in_two_places(
    start: tuple[float, ...], place: tuple[float, ...]
) -> None:
    stations = np.array([(27.297, -4.953, 1.47), (25.475, -6.124, 2.36), (22.590, 0.524, 1.2)])

    def three(p: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        length = np.linalg.norm(p - stations, axis=1)
        return length, (p - stations) / length[:, None]

    read = np.array([3.851, 3.875, 3.514])
    fit = adjust(three, np.array(start), np.add, read, np.full(3, 0.02), loose_at=np.inf)
    assert fit.surplus == 0
    assert fit.state == pytest.approx(place, abs=6e-6)


def test_the_constants_of_the_tests() -> None:
    """Baarda 1968: alpha 0.001, power 0.80; chi-square as in any handbook's table."""
    assert pytest.approx(3.2905, abs=5e-5) == LIMIT
    assert pytest.approx(4.1321, abs=5e-5) == SHIFT
    table = {3: 7.8147, 5: 11.0705, 10: 18.3070}
    for freedom, value in table.items():
        assert chi2.ppf(0.95, freedom) == pytest.approx(value, abs=5e-5)
    judged = Judged(located({"P43": 0.12, "P208": 0.14}))
    assert judged.limit == pytest.approx(7.8147, abs=5e-5)
    expected = 4.1321 * 0.02 / np.sqrt(judged.fit.redundancy)
    assert judged.smallest == pytest.approx(expected, rel=2e-5)
