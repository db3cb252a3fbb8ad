"""Angles of bearings: minimax over a member's turn, the centring cap, limits from sizes."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize, minimize_scalar

from kinematics.motion import swivels
from kinematics.statics.cap import smallest_cap

seeds = st.integers(0, 2**32 - 1)


def unit(v: np.ndarray) -> np.ndarray:
    return v / np.linalg.norm(v, axis=-1, keepdims=True)


def turned(v: np.ndarray, axis: np.ndarray, angle: float) -> np.ndarray:
    return (
        v * np.cos(angle)
        + np.cross(axis, v) * np.sin(angle)
        + axis * (axis @ v) * (1 - np.cos(angle))
    )


@given(seeds, st.floats(0.3, 3.0))
def test_both_ends_share_the_best_turn(seed: int, share: float) -> None:
    """Against a scan of the member's turn, the member built up afresh by rotations."""
    rng = np.random.default_rng(seed)
    u0 = unit(rng.normal(size=3))
    bolts0 = [unit(np.cross(u0, rng.normal(size=3)) + 0.1 * rng.normal(size=3)) for _ in "ab"]
    axis, angle = unit(rng.normal(size=3)), rng.uniform(-0.5, 0.5)
    u1 = turned(u0, axis, angle)
    bolts1 = [turned(b, unit(rng.normal(size=3)), rng.uniform(-0.3, 0.3)) for b in bolts0]
    limits = (1.0, share)
    pairs = tuple(np.stack([b0, b1]) for b0, b1 in zip(bolts0, bolts1, strict=True))
    first, second = swivels.across_both(np.stack([u0, u1]), pairs, limits)

    housings = [unit(b - u0 * (u0 @ b)) for b in bolts0]
    carried = [turned(h, axis, angle) for h in housings]

    def worst(turn: float | np.ndarray) -> np.ndarray:
        turns = np.atleast_1d(turn)[:, None]
        ends = []
        for h, b, limit in zip(carried, bolts1, limits, strict=True):
            spun = h * np.cos(turns) + np.cross(u1, h) * np.sin(turns)  # h is square to u1
            ends.append(swivels.angle_between(spun, b) / limit)
        return np.max(ends, axis=0)

    scan = np.linspace(-np.pi / 2, np.pi / 2, 721)
    start = scan[np.argmin(worst(scan))]
    best = minimize_scalar(
        lambda t: worst(t)[0],
        bounds=(start - 0.01, start + 0.01),
        method="bounded",
        options={"xatol": 1e-10},
    ).fun
    assert max(first[1], second[1] / share) == pytest.approx(best, abs=1e-7)
    # at set-up each end only leans by what its bolt is out of square
    assert first[0] == pytest.approx(swivels.across_alone(u0, bolts0[0]), abs=1e-12)
    assert second[0] == pytest.approx(swivels.across_alone(u0, bolts0[1]), abs=1e-12)


def test_a_bolt_five_degrees_out_eats_five_degrees() -> None:
    member = np.array([[0.0, 1.0, 0.0]])
    out = np.radians(5)
    bolt = np.array([[np.cos(out), np.sin(out), 0.0]])
    square = np.array([[1.0, 0.0, 0.0]])
    first, second = swivels.across_both(member, (bolt, square))
    assert np.degrees(first[0]) == pytest.approx(5.0)
    assert second[0] == pytest.approx(0.0, abs=1e-12)


def test_a_member_swinging_about_its_own_bolt_uses_no_tilt_but_twists() -> None:
    swing = np.radians(np.array([0.0, -12.0, 25.0]))
    member = np.stack([0 * swing, np.cos(swing), np.sin(swing)], axis=-1)
    bolt = np.broadcast_to([1.0, 0.0, 0.0], member.shape)
    assert swivels.across_both(member, (bolt, bolt))[0] == pytest.approx(0.0, abs=1e-12)
    assert swivels.twist_about(np.array([1.0, 0, 0]), member) == pytest.approx(swing, abs=1e-12)


@given(seeds, st.integers(1, 60))
def test_the_cap_is_the_smallest(seed: int, count: int) -> None:
    """No nearby axis does better, and a general-purpose minimiser does not either."""
    rng = np.random.default_rng(seed)
    u = unit(np.array([0.0, 0.0, 1.0]) + 0.6 * rng.normal(size=(count, 3)) * rng.random(3))
    u = u[u[:, 2] > 0.05]
    if not len(u):
        return
    axis, half = smallest_cap(u)
    away = np.arccos(np.clip(u @ axis, -1, 1))
    assert away.max() == pytest.approx(half, abs=2e-8)

    def widest(p: np.ndarray) -> float:
        return float(np.arccos(np.clip(u @ unit(p), -1, 1)).max())

    other = minimize(widest, unit(u.mean(axis=0)), method="Nelder-Mead", options={"maxiter": 150})
    assert half <= other.fun + 1e-7
    tries = unit(axis + 1e-3 * rng.normal(size=(50, 3)))
    assert all(half <= widest(p) + 1e-9 for p in tries)


def test_a_cap_of_many_points_on_one_circle() -> None:
    turn = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    tilt = np.radians(12)
    ring = np.stack([np.sin(tilt) * np.cos(turn), np.sin(tilt) * np.sin(turn)], axis=-1)
    u = np.column_stack([ring, np.full(400, np.cos(tilt))])
    axis, half = smallest_cap(u)
    assert axis == pytest.approx([0, 0, 1], abs=1e-9)
    assert half == pytest.approx(tilt, abs=1e-9)


def test_directions_all_round_have_no_cap() -> None:
    with pytest.raises(ValueError, match="half sphere"):
        smallest_cap(np.vstack([np.eye(3), -np.eye(3)]))


def test_limits_from_sizes() -> None:
    plain = swivels.tilt_from_sizes(19.05, 14, 10.5)
    neck = np.sqrt(19.05**2 - 14**2)
    assert swivels.tilt_with_spacers(19.05, 10.5, neck) == pytest.approx(plain, abs=1e-12)
    assert swivels.tilt_with_spacers(19.05, 10.5, 10.0) > plain
    assert swivels.tilt_in_clevis(40, 26, 10.5) == pytest.approx(np.pi / 2)
    with pytest.raises(ValueError, match="ball width"):
        swivels.tilt_from_sizes(12, 14, 10)
    with pytest.raises(ValueError, match="clevis"):
        swivels.tilt_in_clevis(9, 26, 10.5)
