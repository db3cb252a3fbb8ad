"""Bearing angles and shaft joints against tables.

Sources: tilt of ISO 12240-4 K-series rod ends, from memory, within 1 degree; clevis limits in
closed form; the phase error of cross joints from standard mechanism texts, from
memory.
"""

import numpy as np
import pytest

from kinematics.motion import swivels
from kinematics.statics import shafts


@pytest.mark.parametrize(
    ("ball_width", "housing_width", "ball", "listed"),
    [
        (9, 6.75, 12.7, 13),
        (12, 9, 15.875, 14),
        (14, 10.5, 19.05, 14),
        (16, 12, 22.225, 13),
        (21, 15, 28.575, 15),
    ],
)
def test_k_series_tilt(ball_width: float, housing_width: float, ball: float, listed: int) -> None:
    tilt = np.degrees(swivels.tilt_from_sizes(ball, ball_width, housing_width))
    assert abs(tilt - listed) <= 1.0


@pytest.mark.parametrize(("head", "limit"), [(26, 8.76), (28, 7.98)])
def test_a_clevis_as_wide_as_the_ball_limits_earlier(head: float, limit: float) -> None:
    rounded = swivels.tilt_in_clevis(14, head, 10.5, square_edges=False)
    assert np.degrees(rounded) == pytest.approx(limit, abs=5e-3)
    assert (
        swivels.tilt_in_clevis(14, head, 10.5) < rounded < swivels.tilt_from_sizes(19.05, 14, 10.5)
    )


def test_two_cross_joints_at_20_degrees() -> None:
    """A quarter turn out of phase they do as one does whose cosine is the square of theirs."""
    as_one = np.arccos(np.cos(np.radians(20)) ** 2)
    assert np.degrees(shafts.cross_joint_error(as_one)) == pytest.approx(3.562, abs=5e-4)


def test_a_cross_joint_against_its_own_motion() -> None:
    """tan(driven) = tan(driving)/cos(bend), turned through a whole turn."""
    bend = np.radians(25)
    driving = np.linspace(0, 2 * np.pi, 200_001)
    driven = np.unwrap(np.arctan2(np.sin(driving), np.cos(bend) * np.cos(driving)))
    assert shafts.cross_joint_error(bend) == pytest.approx(np.abs(driven - driving).max(), abs=1e-8)
