"""Textbook linkages and closed forms, solved as corners."""

from __future__ import annotations

import numpy as np
import pytest

from kinematics.measures import measure
from kinematics.motion import corner, move
from kinematics.project.model import Arm, Rim, Tyre, Wheel, Wishbones
from tests.motion.corners import project


def front_view(lower, upper, wheel, base: float = 100.0, loaded: float = 280.0):
    """Wishbones whose hinges run along x: each front view a planar four-bar.

    ``lower`` and ``upper`` are ((y, z) inner, (y, z) outer), ``wheel`` (y, z).
    """
    (li, lo), (ui, uo) = lower, upper
    points = {
        "wheel centre": (0.0, *wheel),
        "lf": (base, *li),
        "lr": (-base, *li),
        "lo": (0.0, *lo),
        "uf": (base, *ui),
        "ur": (-base, *ui),
        "uo": (0.0, *uo),
        # On the lower hinge line and on the parallel to it through the ball: toe stays exactly.
        "ti": (-80.0, *li),
        "to": (-80.0, *lo),
    }
    return project(
        points,
        Wishbones(
            lower=Arm("lf", "lr", "lo"),
            upper=Arm("uf", "ur", "uo"),
            tie_inner="ti",
            tie_outer="to",
            steered=False,
        ),
        wheel=Wheel(
            centre="wheel centre",
            tyre=Tyre(size="195/50R15", loaded_radius=loaded),
            rim=Rim(size="6.5Jx15"),
        ),
    )


def at(angle: float, length: float, start=(0.0, 0.0)):
    return (start[0] + length * np.cos(angle), start[1] + length * np.sin(angle))


@pytest.mark.parametrize(
    ("name", "theta3", "theta4"),
    [("open", 20.298, 57.325), ("crossed", -60.978, -98.005)],
)
def test_four_bar(name, theta3, theta4):
    """Norton, Design of Machinery, example 4-1 (from memory): d 100, a 40, b 120, c 80, θ2 40°.

    The ground link is O2O4 along y; a is the lower arm, b the upright, c the upper arm. The
    corner is put together at θ2 = 60° and driven to 40° by the arm's angle.
    """
    a, b, c, d = 40.0, 120.0, 80.0, 100.0

    def solve(theta2):
        # Norton's own closed form, for the position the corner is entered in.
        k1, k2 = d / a, d / c
        k3 = (a * a - b * b + c * c + d * d) / (2 * a * c)
        p = np.cos(theta2) - k1 - k2 * np.cos(theta2) + k3
        q = -2 * np.sin(theta2)
        r = k1 - (k2 + 1) * np.cos(theta2) + k3
        root = np.sqrt(q * q - 4 * p * r)
        return 2 * np.arctan((-q - root if name == "open" else -q + root) / (2 * p))

    entry = np.radians(60.0)
    inner, outer = at(entry, a), at(solve(entry), c, (d, 0.0))
    corner_ = corner(front_view(((0.0, 0.0), inner), ((d, 0.0), outer), wheel=inner))
    motion = move(corner_, [np.radians(40.0 - 60.0)], by="lower arm")
    lower, upper = motion.point("lo")[0, 0, 1:], motion.point("uo")[0, 0, 1:]
    np.testing.assert_allclose(lower, at(np.radians(40.0), a), atol=1e-9)
    coupler, rocker = upper - lower, upper - (d, 0.0)
    assert np.degrees(np.arctan2(coupler[1], coupler[0])) == pytest.approx(theta3, abs=6e-4)
    assert np.degrees(np.arctan2(rocker[1], rocker[0])) == pytest.approx(theta4, abs=6e-4)


def test_roll_centre_and_camber_rate_of_front_view_wishbones():
    """Closed form: instant centre (-576.1905, 243.8095), height 137.8815 mm."""
    corner_ = corner(
        front_view(
            ((300.0, 200.0), (700.0, 180.0)),
            ((400.0, 400.0), (650.0, 440.0)),
            wheel=(750.0, 280.0),
        )
    )
    measures = measure(corner_.project, move(corner_, [0.0]))
    assert measures["contact_y"][0, 0] == pytest.approx(750.0)
    assert measures["front_centre_y"][0, 0] == pytest.approx(-576.1905, abs=6e-5)
    assert measures["front_centre_z"][0, 0] == pytest.approx(243.8095, abs=6e-5)
    assert measures["roll_centre"][0, 0] == pytest.approx(137.8815, abs=6e-5)
    rate = np.degrees(measures["camber_gain"][0, 0])
    assert rate == pytest.approx(-0.0432033, abs=6e-8)
    arm = 750.0 - measures["front_centre_y"][0, 0]
    assert arm == pytest.approx(1326.1905, abs=6e-5)


def test_parallel_equal_arms_keep_camber_and_shift_sideways():
    """From level a sideways shift L(1 - cosφ), no camber change, toe exactly kept."""
    length = 300.0
    corner_ = corner(
        front_view(
            ((350.0, 150.0), (650.0, 150.0)), ((350.0, 400.0), (650.0, 400.0)), (740.0, 280.0)
        )
    )
    travel = np.linspace(-100.0, 100.0, 41)
    measures = measure(corner_.project, move(corner_, travel))
    np.testing.assert_allclose(measures["camber"], 0.0, atol=1e-13)
    np.testing.assert_allclose(measures["toe"], 0.0, atol=1e-13)
    shift = length * (1.0 - np.cos(np.arcsin(travel / length)))
    np.testing.assert_allclose(740.0 - measures["wheel_y"][:, 0], shift, atol=1e-10)


def test_toe_is_kept_exactly_by_a_tie_rod_on_the_hinge_lines():
    """Parallel hinges, tie rod from the lower hinge line to the parallel through the ball."""
    corner_ = corner(
        front_view(
            ((300.0, 200.0), (700.0, 180.0)), ((400.0, 400.0), (650.0, 440.0)), (750.0, 280.0)
        )
    )
    measures = measure(corner_.project, move(corner_, np.linspace(-80, 80, 33)))
    np.testing.assert_allclose(measures["toe"], 0.0, atol=1e-13)
    np.testing.assert_allclose(measures["bump_steer"], 0.0, atol=1e-15)
    assert np.ptp(measures["camber"]) > 0.05


def test_rotating_point_at_a_fixed_distance():
    """2(w·r∥)cosθ + 2(w·r⊥)sinθ = L² - w² - r²: the trailing arm's angle for a damper length."""
    from tests.motion.corners import trailing_arm

    corner_ = corner(trailing_arm())
    points = {k: np.array(v) for k, v in corner_.project.points.items()}
    axis = points["inner"] - points["outer"]
    axis = axis / np.linalg.norm(axis)
    foot, pivot, top = points["foot"], points["inner"], points["top"]
    centre = pivot + axis * (axis @ (foot - pivot))
    r = foot - centre
    across = np.cross(axis, r)
    w = centre - top
    for length in (360.0, 415.0, 480.0):
        right = (length**2 - w @ w - r @ r) / 2.0
        c, s = w @ r, w @ across
        swing = np.hypot(c, s)
        roots = np.arctan2(s, c) + np.array([1, -1]) * np.arccos(right / swing)
        motion = move(corner_, [length], by="damper")
        now = motion.point("foot")[0, 0] - centre
        angle = np.arctan2(now @ across / (r @ r), now @ r / (r @ r))
        off = np.abs((roots - angle + np.pi) % (2 * np.pi) - np.pi)
        assert off.min() < 1e-12
