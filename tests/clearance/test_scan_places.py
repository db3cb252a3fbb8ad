"""The worst of every place with scans among the parts, against every place measured by itself."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import trimesh

from kinematics.clearance import Cancelled, clearances
from kinematics.clearance.grid import MOVING, PLACED, SHIFTED, STILL, Grid, Placing
from kinematics.clearance.nearing import everywhere
from kinematics.clearance.places import worst_by_place
from kinematics.shapes.pieces import Mesh, Part, Ring, Rod, Surface, box
from kinematics.shapes.profile import rectangle, rounded
from tests.clearance.oracle import rotation


def sheet(rng, n: int) -> Surface:
    """An open sheet 600 mm wide, square to y, bent and rough."""
    u, v = np.meshgrid(np.linspace(-300, 300, n), np.linspace(-300, 300, n), indexing="ij")
    at = np.stack([u, -45 + u * u / 1500 + rng.uniform(-4, 4, u.shape), v], axis=2)
    a, b, c, d = at[:-1, :-1], at[1:, :-1], at[1:, 1:], at[:-1, 1:]
    halves = np.stack([a, b, c], axis=2), np.stack([a, c, d], axis=2)
    return Surface(np.concatenate([half.reshape(-1, 3, 3) for half in halves]))


def lump(rng, radius: float, subdivisions: int = 2) -> Surface:
    """A closed lump."""
    ball = trimesh.creation.icosphere(subdivisions=subdivisions, radius=radius)
    corners = ball.vertices * (1.0 + 0.1 * rng.random((len(ball.vertices), 1)))
    return Surface(np.ascontiguousarray(corners[ball.faces]), None, (True,))


def scene(seed: int, shape=(5, 6), samples: int = 5, fine: int = 2):
    """What leans, slides, moves and stands still, scans of each, and pairs of these."""
    rng = np.random.default_rng(seed)
    x, y = np.meshgrid(*(np.linspace(-60, 60, n) for n in shape), indexing="ij")
    shift = np.stack([x, y, np.zeros_like(x)], axis=-1).reshape(-1, 3)
    count = len(shift)
    rise = np.linspace(-80.0, 80.0, samples)
    foot = np.stack([0 * rise + 20.0, 3 * np.sin(rise / 20), rise], axis=1)
    ends = np.empty((count, samples, 2, 3))
    ends[:, :, 0], ends[:, :, 1] = foot[None], (np.array([0.0, 10.0, 260.0]) + shift)[:, None]
    way = (ends[:, :, 1] - ends[:, :, 0]).reshape(-1, 3)
    length = np.linalg.norm(way, axis=1)
    spring = Ring(ends[:, :, 0].reshape(-1, 3), way / length[:, None], rectangle(0, 30, 0, 1.0),
                  length - 60.0)  # fmt: skip
    axis = np.array([[0.02, 1.0, 0.1]]) / np.linalg.norm([0.02, 1.0, 0.1])
    outline = rounded([(150, -60), (230, -60), (230, 60), (150, 60)], 30.0)
    middle = np.stack([0 * rise, 0 * rise + 140.0, rise], axis=1)
    wheel = Ring(middle, np.repeat(axis, samples, axis=0), outline, hollow=True)
    turns = np.stack([rotation(rng)] * samples)
    lean = 0.2 * rise / 40.0
    turns = turns @ np.array([[[np.cos(t), -np.sin(t), 0], [np.sin(t), np.cos(t), 0], [0, 0, 1]]
                              for t in lean])  # fmt: skip
    still = np.eye(3)[None], np.zeros((1, 3))
    arm = Mesh(lump(rng, 40.0, fine), turns, middle * [1, -0.9, 1.2] + rng.uniform(-20, 20, 3))
    held = lump(rng, 60.0 if seed % 2 else 170.0, fine)
    parts = [
        Placing(0, (Rod(ends.reshape(-1, 2, 3), 20.0),), PLACED),
        Placing(1, (box([0.0, 120.0, 250.0], [60.0, 50.0, 2.0]),), SHIFTED),
        Placing(2, (wheel,), MOVING),
        Placing(3, (Mesh(sheet(rng, 3 ** (fine + 1)), *still),), STILL),
        Placing(4, (spring, Rod(ends.reshape(-1, 2, 3)[:, [1, 1]], 5.0)), PLACED),
        Placing(5, (arm,), MOVING),
        Placing(6, (Mesh(held, still[0], np.array([[20.0, 0, 150.0]])),), STILL),
        Placing(7, (Mesh(lump(rng, 30.0, 1), still[0], np.array([[-50.0, 90, 200]])),), SHIFTED),
        Placing(8, (Rod(ends.reshape(-1, 2, 3)[:, [1, 1]], 5.0),), PLACED),
        Placing(9, (Mesh(sheet(rng, 7), turns[:, :, [1, 2, 0]], middle * [1, -0.9, 1.2]),), MOVING),
    ]
    pairs = [(0, 2), (0, 3), (3, 4), (1, 5), (4, 5), (4, 6), (6, 8), (2, 7), (4, 9), (8, 9)]
    valid = rng.random((count, samples)) < 0.8
    valid[5] = False
    return parts, pairs, Grid(shape, np.tile(np.arange(samples), (count, 1)), valid, shift)


def by_itself(parts, pairs, grid: Grid):
    """Lower and upper figures (pairs, places, samples), each position alone."""
    places, samples = grid.rows.shape
    there = [Part(str(p.part), str(p.part), "",
                  tuple(solid(everywhere(piece, p.mode, grid)) for piece in p.pieces))
             for p in parts]  # fmt: skip
    found = clearances(there, pairs, (1, places * samples))
    shape = len(pairs), places, samples
    return found.low.reshape(shape), (found.low + found.bound).reshape(shape)


def solid(piece):
    """With arrays of its own."""
    names = [n for n in ("ends", "corners", "centre", "axis", "rotation", "position", "stretch")
             if getattr(piece, n, None) is not None]  # fmt: skip
    return replace(piece, **{n: np.ascontiguousarray(getattr(piece, n)) for n in names})


def faults(seed: int, **how) -> list[str]:
    parts, pairs, grid = scene(seed, **how)
    wrong = []
    for chosen in ([0, 1, 2], [3, 4], [5], [6], [7], [8, 9], list(range(len(pairs)))):
        mine = [pairs[k] for k in chosen]
        rule = np.array([5.0, np.nan, 20.0, 3.0, 9.0])[np.arange(len(mine)) % 5]
        lowest, tightest = worst_by_place(parts, mine, rule, grid, threads=2)
        low, high = by_itself(parts, mine, grid)
        for worst, off in ((lowest, 0.0 * np.nan_to_num(rule)), (tightest, rule)):
            least, most = low - off[:, None, None], high - off[:, None, None]
            for m, valid in enumerate(grid.valid):
                a, b = least[:, m, valid], most[:, m, valid]
                if not np.isfinite(a).any():
                    if not np.isnan(worst.value[m]) or worst.pair[m] != -1:
                        wrong.append(f"{chosen}: something known of place {m}")
                    continue
                if not np.nanmin(a) - 0.02 <= worst.value[m] <= np.nanmin(b) + 1e-6:
                    wrong.append(f"{chosen} at {m}: {worst.value[m]}, {np.nanmin(a)}")
                named = least[worst.pair[m], m, worst.sample[m]]
                if abs(named - worst.value[m]) > 0.04:
                    wrong.append(f"{chosen} at {m}: {worst.value[m]} named, {named} there")
    return wrong


@pytest.mark.parametrize("seed", [1, 2])
def test_worst_of_every_place_equals_every_place_by_itself(seed) -> None:
    assert not faults(seed)


def test_two_scans() -> None:
    parts, _, grid = scene(5, shape=(3, 2), samples=3, fine=1)
    for pair in ((3, 7), (5, 7)):
        found, _ = worst_by_place(parts, [pair], np.array([5.0]), grid)
        low, high = by_itself(parts, [pair], grid)
        for m, valid in enumerate(grid.valid):
            if valid.any():
                assert np.nanmin(low[0, m, valid]) - 0.02 <= found.value[m]
                assert found.value[m] <= np.nanmin(high[0, m, valid]) + 1e-6


@pytest.mark.campaign
@pytest.mark.parametrize("seed", range(100, 130))
def test_many_scenes(seed) -> None:
    assert not faults(seed, shape=(9, 7), samples=7, fine=3)


def test_the_same_whatever_the_threads() -> None:
    parts, pairs, grid = scene(3)
    pairs = pairs[1:3]  # scans alone
    rule = np.array([5.0, np.nan])
    one, two = (worst_by_place(parts, pairs, rule, grid, threads=n) for n in (1, 2))
    for a, b in zip(one, two, strict=True):
        np.testing.assert_array_equal(a.value, b.value)
        np.testing.assert_array_equal(a.pair, b.pair)


def test_cancel_stops() -> None:
    parts, pairs, grid = scene(3)
    with pytest.raises(Cancelled):
        worst_by_place(parts, pairs[3:4], np.array([5.0]), grid, cancelled=lambda: True)
