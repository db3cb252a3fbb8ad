"""The window of honest rates, against a scan."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinematics.statics.choice import Seats, Winding, choices, rate_window


@given(
    st.floats(200, 300),
    st.floats(20, 90),
    st.floats(20, 90),
    st.floats(500, 6000),
    st.floats(7, 14),
    st.floats(55, 110),
    st.floats(0, 15),
    st.sampled_from(["ground", "closed"]),
)
def test_the_window_is_where_both_ends_are_honest(
    ride: float,
    droop: float,
    bump: float,
    load: float,
    wire: float,
    mean: float,
    lip: float,
    ends: str,
) -> None:
    seats = Seats(ride + droop, ride, ride - bump, load, lip)
    winding = Winding(wire, mean, ends)
    least, greatest = rate_window(seats, winding)
    rates = np.geomspace(1, 1000, 2001)
    honest = choices(seats, winding, rates).honest
    clear_of_edges = (np.abs(rates / least - 1) > 1e-9) & (np.abs(rates / greatest - 1) > 1e-9)
    expected = (rates > least) & (rates < greatest)
    assert (honest == expected)[clear_of_edges].all()


def test_at_the_ends_of_the_window_nothing_is_left() -> None:
    seats, winding = Seats(345, 281, 217, 3437.0, 5.0), Winding(12, 70)
    least, greatest = rate_window(seats, winding)
    ends = choices(seats, winding, [least, greatest])
    assert ends.left[0] == pytest.approx(0.0, abs=1e-9)
    assert ends.loose[1] == pytest.approx(5.0)
    # 50 N/mm on a 350 mm spring is inside it
    assert least < 50 < greatest
    assert choices(seats, winding, 50.0).free[0] == pytest.approx(281 + 3437 / 50)
