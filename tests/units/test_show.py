import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinematics.units import (
    LengthUnit,
    Quantity,
    Units,
    read_degrees,
    read_length,
    read_quantity,
    show,
    show_angle,
    show_force,
    show_length,
    show_number,
    show_typed,
)


@pytest.mark.parametrize(
    ("mm", "unit", "text"),
    [
        (-12.7, "mm", "−12.7 mm"),
        (0.04, "mm", "0.0 mm"),
        (-0.04, "mm", "0.0 mm"),
        (12.7, "in", "0.500 in"),
        (82.55, "1/16 in", "3 1/4 in"),
        (-82.55, "1/64 in", "−3 1/4 in"),
        (25.4, "1/16 in", "1 in"),
        (1.5875, "1/16 in", "1/16 in"),
        (-0.1, "1/16 in", "0 in"),
        (25.4 * 31 / 32, "1/32 in", "31/32 in"),
        (25.39, "1/64 in", "1 in"),
        (math.nan, "mm", "–"),
        (math.inf, "1/16 in", "–"),
    ],
)
def test_shows_lengths(mm: float, unit: LengthUnit, text: str) -> None:
    assert show_length(mm, unit) == text


def test_shows_angles_and_numbers() -> None:
    assert show_angle(math.radians(-1.046)) == "−1.05°"
    assert show_angle(-1e-9) == "0.00°"
    assert show_angle(math.nan) == "–"
    assert show_number(-0.7987, 3) == "−0.799"
    assert show_length(12.345, decimals=2) in ("12.35 mm", "12.34 mm")


_STEPS: dict[LengthUnit, float] = {
    "mm": 0.1,
    "in": 0.001 * 25.4,
    "1/16 in": 25.4 / 16,
    "1/32 in": 25.4 / 32,
    "1/64 in": 25.4 / 64,
}


@given(st.floats(-5000, 5000), st.sampled_from(sorted(_STEPS)))
def test_what_is_shown_reads_back_to_the_nearest_step(mm: float, unit: LengthUnit) -> None:
    assert abs(read_length(show_length(mm, unit)) - mm) <= _STEPS[unit] / 2 + 1e-9


@given(st.floats(-3.0, 3.0))
def test_shown_angles_read_back(radians: float) -> None:
    assert abs(read_degrees(show_angle(radians, 4)) - math.degrees(radians)) <= 0.5e-4 + 1e-9


@pytest.mark.parametrize(
    ("value", "quantity", "metric", "imperial"),
    [
        (50.0, "force_per_length", "50.0 N/mm", "286 lb/in"),  # 285.507
        (-3440.0, "force", "−3440 N", "−773 lbf"),  # 773.343
        (3440.0, "large_force", "3.44 kN", "773 lbf"),
        (280.0, "mass", "280.0 kg", "617 lb"),  # 617.294
        (100_000.0, "moment", "100 N·m", "74 lbf·ft"),  # 73.756
        (12.7, "length", "12.7 mm", "0.500 in"),
        (48.8, "travel", "48.8 mm", "1.92 in"),
        (math.radians(1), "angle_per_length", "1.0000 °/mm", "25.400 °/in"),
        (0.7987, "ratio", "0.799", "0.799"),
        (math.nan, "force", "–", "–"),
    ],
)
def test_shows_every_quantity_in_both_systems(
    value: float, quantity: Quantity, metric: str, imperial: str
) -> None:
    assert show(value, quantity, "mm") == metric
    assert show(value, quantity, "in") == imperial


@pytest.mark.parametrize(
    ("newtons", "metric", "imperial"),
    [
        (0.3, "0 N", "0 lbf"),
        (3441.0, "3440 N", "774 lbf"),
        (12_240.0, "12.2 kN", "2750 lbf"),
        (99_960.0, "100.0 kN", "22500 lbf"),
        (math.inf, "–", "–"),
    ],
)
def test_a_force_is_told_to_three_figures(newtons: float, metric: str, imperial: str) -> None:
    assert show_force(newtons, "mm") == metric
    assert show_force(newtons, "in") == imperial


@pytest.mark.parametrize(
    ("typed", "quantity", "units", "shown"),
    [
        ("450", "force_per_length", "in", "450 lb/in"),
        ("450 lb/in", "force_per_length", "mm", "78.81 N/mm"),
        ("50 N/mm", "force_per_length", "in", "285.5 lb/in"),
        ("41,5", "force_per_length", "mm", "41.5 N/mm"),
        ("660", "mass", "in", "660 lb"),
        ("660.25 lb", "mass", "in", "660.25 lb"),
        ("300 kg", "mass", "in", "661.4 lb"),
        ("11.4 Mpsi", "modulus", "in", "11.4 Mpsi"),
        ("3 1/4", "length", "in", "3.250 in"),
        ("80", "length", "mm", "80.0 mm"),
        ("80.125", "length", "mm", "80.125 mm"),
        ("1/3 in", "length", "in", "0.333 in"),
    ],
)
def test_a_field_shows_what_was_typed(
    typed: str, quantity: Quantity, units: Units, shown: str
) -> None:
    assert show_typed(read_quantity(typed, quantity, units), quantity, units) == shown


def test_a_sign_is_shown_where_it_is_asked_for() -> None:
    assert [show_number(v, 1, sign=True) for v in (2.0, -2.0, -0.04)] == ["+2.0", "−2.0", "0.0"]
