"""Sizes of units against published ones, and that each is whole.

NIST Special Publication 811 (2008), Appendix B.8, to its seven figures (from memory), and the exact
definitions it cites: inch 25.4 mm, pound 0.453 592 37 kg, pound-force 4.448 221 615 260 5 N.
"""

import math
from typing import get_args

import numpy as np
import pytest
import scipy.constants

from kinematics.units import Quantity, Units, unit_of
from kinematics.units.quantities import KG_PER_POUND, MM_PER_INCH, N_PER_LBF


def test_exact_definitions() -> None:
    assert MM_PER_INCH == 25.4
    assert KG_PER_POUND == 0.45359237
    assert pytest.approx(4.4482216152605, rel=1e-15) == N_PER_LBF


@pytest.mark.parametrize(
    ("quantity", "si", "published"),
    [
        ("length", 1e-3, 2.54e-2),  # inch to metre
        ("force", 1.0, 4.448222),  # pound-force to newton
        ("large_force", 1.0, 4.448222),
        ("force_per_length", 1e3, 1.751268e2),  # pound-force per inch to newton per metre
        ("moment", 1e-3, 1.355818),  # pound-force foot to newton metre
        ("mass", 1.0, 4.535924e-1),  # pound (avoirdupois) to kilogram
        ("modulus", 1.0, 6.894757e3),  # psi to pascal; Mpsi to MPa (N/mm²)
    ],
)
def test_sizes_are_the_published_ones(quantity: Quantity, si: float, published: float) -> None:
    assert unit_of(quantity, "in").size * si == pytest.approx(
        published, rel=5e-7
    )  # half of the last figure


def test_sizes_are_those_of_a_general_library() -> None:
    """scipy.constants, which has them in SI."""
    known = scipy.constants
    assert unit_of("force", "in").size == pytest.approx(known.lbf, rel=1e-14)
    assert unit_of("mass", "in").size == pytest.approx(known.lb, rel=1e-14)
    assert unit_of("modulus", "in").size == pytest.approx(known.psi, rel=1e-14)
    rate = known.lbf / known.inch / 1000.0
    assert unit_of("force_per_length", "in").size == pytest.approx(rate, rel=1e-14)
    moment = known.lbf * known.foot * 1000.0
    assert unit_of("moment", "in").size == pytest.approx(moment, rel=1e-14)


def test_arrays_are_converted_and_what_is_not_known_stays_so() -> None:
    shown = unit_of("force", "in").of(np.array([4.4482216152605, np.nan]))
    assert shown[0] == pytest.approx(1.0, rel=1e-14)
    assert math.isnan(shown[1])


@pytest.mark.parametrize("units", get_args(Units))
@pytest.mark.parametrize("quantity", get_args(Quantity))
def test_every_quantity_has_a_unit_in_each_system(quantity: Quantity, units: Units) -> None:
    unit = unit_of(quantity, units)
    assert bool(unit.name) == bool(unit.column)
    assert set(unit.column) <= set("_abcdefghijklmnopqrstuvwxyz2")
    metric = unit_of(quantity, "mm")
    system_of_its_own = quantity not in ("angle", "ratio", "length_per_length")
    assert (units == "mm") or ((unit.name != metric.name) == system_of_its_own)
