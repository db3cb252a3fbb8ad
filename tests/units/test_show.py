import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinematics.units import Unit, read_degrees, read_length, show_angle, show_length, show_number


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
def test_shows_lengths(mm: float, unit: Unit, text: str) -> None:
    assert show_length(mm, unit) == text


def test_shows_angles_and_numbers() -> None:
    assert show_angle(math.radians(-1.046)) == "−1.05°"
    assert show_angle(-1e-9) == "0.00°"
    assert show_angle(math.nan) == "–"
    assert show_number(-0.7987, 3) == "−0.799"
    assert show_length(12.345, decimals=2) in ("12.35 mm", "12.34 mm")


_STEPS: dict[Unit, float] = {
    "mm": 0.1,
    "in": 0.001 * 25.4,
    "1/16 in": 25.4 / 16,
    "1/32 in": 25.4 / 32,
    "1/64 in": 25.4 / 64,
}


@given(st.floats(-5000, 5000), st.sampled_from(sorted(_STEPS)))
def test_what_is_shown_reads_back_to_the_nearest_step(mm: float, unit: Unit) -> None:
    assert abs(read_length(show_length(mm, unit)) - mm) <= _STEPS[unit] / 2 + 1e-9


@given(st.floats(-3.0, 3.0))
def test_shown_angles_read_back(radians: float) -> None:
    assert abs(read_degrees(show_angle(radians, 4)) - math.degrees(radians)) <= 0.5e-4 + 1e-9
