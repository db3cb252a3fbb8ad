"""The worst of every place by tiles, against every place measured by itself."""

from __future__ import annotations

import numpy as np
import pytest

from kinematics.clearance import Cancelled, clearances
from kinematics.clearance.grid import MOVING, PLACED, SHIFTED, STILL, Grid, Placing
from kinematics.clearance.places import worst_by_place
from kinematics.shapes.pieces import Part, Ring, Rod, box
from kinematics.shapes.profile import rectangle, rounded

SHAPE, SAMPLES = (7, 9), 6


def scene():
    """A rod that leans with place and sample, a shifted plate, a wheel that rises, a still rail."""
    rng = np.random.default_rng(7)
    x, y = np.meshgrid(np.linspace(-30, 30, 7), np.linspace(-25, 25, 9), indexing="ij")
    shift = np.stack([x, y, np.zeros_like(x)], axis=-1).reshape(-1, 3)
    count = len(shift)
    rise = np.linspace(-40.0, 40.0, SAMPLES)
    foot = np.stack([0 * rise + 20.0, 3 * np.sin(rise / 20), rise], axis=1)
    top = np.array([0.0, 10.0, 260.0]) + shift
    ends = np.empty((count, SAMPLES, 2, 3))
    ends[:, :, 0], ends[:, :, 1] = foot[None], top[:, None]
    leaning = Rod(ends.reshape(-1, 2, 3), 20.0)
    plate = box([0.0, 120.0, 250.0], [60.0, 50.0, 2.0])
    axis = np.array([[0.02, 1.0, 0.1]]) / np.linalg.norm([0.02, 1.0, 0.1])
    wheel = Ring(
        np.stack([0 * rise, 0 * rise + 140.0, rise], axis=1),
        np.repeat(axis, SAMPLES, axis=0),
        rounded([(150, -60), (230, -60), (230, 60), (150, 60)], 30.0),
        hollow=True,
    )
    rail = box([-90.0, 0.0, 60.0], [30.0, 200.0, 40.0])
    disc = Ring(np.array([[0.0, 60, 0]]), axis, rectangle(0.0, 90.0, -5.0, 5.0))
    valid = rng.random((count, SAMPLES)) < 0.8
    valid[5] = False
    grid = Grid(SHAPE, np.tile(np.arange(SAMPLES), (count, 1)), valid, shift)
    parts = [
        Placing(0, (leaning,), PLACED),
        Placing(1, (plate,), SHIFTED),
        Placing(2, (wheel,), MOVING),
        Placing(3, (rail, disc), STILL),
    ]
    return parts, [(0, 2), (0, 3), (1, 2)], np.array([5.0, np.nan, 20.0]), grid


def at_place(parts, grid, m):
    """The parts over the samples at one place, as `clearances` wants them."""
    out = []
    for placing in parts:
        if placing.at not in (-1, m):
            continue
        pieces = []
        for piece in placing.pieces:
            if placing.mode == PLACED:
                rows = slice(m * SAMPLES, (m + 1) * SAMPLES)
                piece = Rod(piece.ends[rows], piece.radius)
            if placing.mode == SHIFTED:
                piece = type(piece)(piece.corners + grid.shift[m], piece.faces)
            pieces.append(piece)
        out.append(Part(str(placing.part), str(placing.part), "", tuple(pieces)))
    return out


def check(parts, pairs, rule, grid, threads):
    lowest, tightest = worst_by_place(parts, pairs, rule, grid, threads=threads)
    for m in range(len(grid.rows)):
        valid = grid.valid[m]
        if not valid.any():
            assert np.isnan(lowest.value[m])
            assert lowest.pair[m] == -1
            continue
        found = clearances(at_place(parts, grid, m), pairs, (1, SAMPLES))
        low, high = found.low[:, 0, valid], (found.low + found.bound)[:, 0, valid]
        for worst, off in ((lowest, 0.0 * np.nan_to_num(rule)), (tightest, rule)):
            least, most = low - off[:, None], high - off[:, None]
            assert np.nanmin(least) - 0.02 <= worst.value[m] <= np.nanmin(most) + 1e-6
            named = low[worst.pair[m], np.flatnonzero(valid).tolist().index(worst.sample[m])]
            assert named - off[worst.pair[m]] == pytest.approx(worst.value[m], abs=0.04)


@pytest.mark.parametrize("threads", [1, 2])
def test_worst_of_every_place_equals_every_place_by_itself(threads):
    check(*scene(), threads)


def test_parts_cut_differently_at_every_place():
    parts, pairs, rule, grid = scene()
    cut = [
        Placing(3, (box([-90.0, float(m), 60.0], [30.0, 100.0, 40.0]),), STILL, m)
        for m in range(len(grid.rows))
    ]
    check([*parts[:3], *cut], pairs, rule, grid, 2)


def test_cancel_stops_and_progress_ends_at_all():
    parts, pairs, rule, grid = scene()
    with pytest.raises(Cancelled):
        worst_by_place(parts, pairs, rule, grid, cancelled=lambda: True)
    told: list[float] = []
    worst_by_place(parts, pairs, rule, grid, progress=told.append)
    assert told[-1] == 1.0
    assert told == sorted(told)


def test_the_same_whichever_thread_comes_first():
    """To the last digit: a map asked for twice is the same map."""
    parts, pairs, rule, grid = scene()
    first, *others = (worst_by_place(parts, pairs, rule, grid, threads=n) for n in (1, 2, 3))
    for other in others:
        for a, b in zip(first, other, strict=True):
            np.testing.assert_array_equal(a.value, b.value)
            np.testing.assert_array_equal(a.pair, b.pair)
            np.testing.assert_array_equal(a.sample, b.sample)
