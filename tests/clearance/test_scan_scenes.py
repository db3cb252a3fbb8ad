"""Random scans and parts against a slow judge: triangles are quartered while they may hold the
least signed distance, which changes no faster than the way gone (it is 1-Lipschitz).

The long campaign: pytest -m campaign tests/clearance/test_scan_scenes.py
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import trimesh

from kinematics.clearance import clearances
from kinematics.shapes.pieces import Mesh, Part, Ring, Rod, Surface
from kinematics.shapes.profile import rounded
from tests.clearance.oracle import Outline, Solid, random_solid, rotation, sd

TOL = 0.02


def least(solid: Solid, triangles: np.ndarray, error: float) -> tuple[float, float]:
    """Between which figures the least signed distance of the triangles lies."""
    high = np.inf
    while True:
        middle = triangles.mean(axis=1)
        value = np.concatenate([sd(solid, middle), sd(solid, triangles.reshape(-1, 3))])
        high = min(high, float(value.min()))
        reach = np.linalg.norm(triangles - middle[:, None], axis=2).max(axis=1)
        low = np.maximum(value[: len(middle)], 0.0 if high > 0.0 else -np.inf) - reach
        kept = triangles[low < high - error]
        if not len(kept) or len(kept) > 1500:
            return min(high, float(low.min())), high
        a, b, c = np.moveaxis(kept, 1, 0)
        d, e, f = (a + b) / 2, (b + c) / 2, (c + a) / 2
        quarters = ((a, d, f), (d, b, e), (f, e, c), (d, e, f))
        triangles = np.concatenate([np.stack(q, axis=1) for q in quarters])


def random_scan(rng) -> np.ndarray:
    """Lumps and sheets, whole or with holes, some with slivers; (m, 3, 3)."""
    if rng.random() < 0.5:
        made = trimesh.creation.icosphere(subdivisions=int(rng.integers(0, 4)), radius=1.0)
        corners = made.vertices * (1.0 + 0.3 * rng.random((len(made.vertices), 1)))
        triangles = corners[made.faces]
    else:
        n = int(rng.integers(2, 15))
        u, v = np.meshgrid(np.linspace(-1, 1, n), np.linspace(-1, 1, n), indexing="ij")
        at = np.stack([u, v, rng.choice([0.0, 0.05, 0.4]) * rng.normal(size=u.shape)], axis=2)
        a, b, c, d = at[:-1, :-1], at[1:, :-1], at[1:, 1:], at[:-1, 1:]
        halves = np.stack([a, b, c], axis=2), np.stack([a, c, d], axis=2)
        triangles = np.concatenate([half.reshape(-1, 3, 3) for half in halves])
    if rng.random() < 0.5:
        kept = rng.random(len(triangles)) < 0.7
        kept[0] = True
        triangles = triangles[kept]
    size = 10 ** rng.uniform(0.5, 2.5) * np.array([1.0, rng.choice([1.0, 0.1]), 1.0])
    return (triangles * size) @ rotation(rng)


def bored(rng, middle) -> Solid:
    """A ring with its bore open: the outline is not mirrored in the axis."""
    scale = 10 ** rng.uniform(0.5, 2.5)
    r, y = scale * rng.uniform(0.2, 1), scale * rng.uniform(0.05, 1)
    inner = r * rng.choice([0.5, 0.8])
    corners = np.array([(inner, -y), (r, -y), (r, y), (inner, y)])
    axis = rotation(rng)[2]
    piece = Ring(middle[None], axis[None], rounded(corners), hollow=True)
    return Solid(piece, middle, np.hypot(r, y), "ring", (middle, axis, Outline(corners), 0.0))


def moved(piece, steps):
    """The piece at its place plus each of steps (n, 3)."""
    if isinstance(piece, Ring):
        return replace(
            piece, centre=piece.centre + steps, axis=np.repeat(piece.axis, len(steps), 0)
        )
    if isinstance(piece, Rod):
        return replace(piece, ends=piece.ends + steps[:, None])
    return replace(piece, corners=piece.corners + steps[:, None])


def entered(solids, judged) -> bool:
    """Whether an open-bored ring is entered: how deep is then told with a larger error."""
    pairs = zip(solids, judged, strict=True)
    return any(getattr(solid.piece, "hollow", False) and high <= 0.0 for solid, (_, high) in pairs)


def faults(seed: int) -> list[str]:
    rng = np.random.default_rng(seed)
    triangles = random_scan(rng)
    solids = []
    for _ in range(int(rng.integers(1, 4))):
        middle = rng.uniform(-1, 1, 3) * 10 ** rng.uniform(-1, 2.7)
        solids.append(bored(rng, middle) if rng.random() < 0.2 else random_solid(rng, middle))
    steps = np.cumsum(rng.uniform(-1, 1, (3, 3)) * 10 ** rng.uniform(-2, 1.5), axis=0)
    turn, at = rotation(rng), rng.uniform(-1, 1, 3) * 1e3
    scan = Mesh(Surface(np.ascontiguousarray((triangles - at) @ turn)), turn[None], at[None])

    def figures(steps):
        there = tuple(moved(solid.piece, steps) for solid in solids)
        parts = [Part("scan", "chassis", "scan", (scan,)), Part("part", "wheel", "arm", there)]
        return clearances(parts, [(0, 1)], (len(steps), 1), TOL)

    whole, alone = figures(steps), figures(steps[2:])
    say = []
    for found, i, step in [(whole, i, steps[i]) for i in range(3)] + [(alone, 0, steps[2])]:
        judged = [least(solid, triangles - step, 0.002) for solid in solids]
        below, above = (min(ends) for ends in zip(*judged, strict=True))
        low, bound = found.low[0, i, 0], found.bound[0, i, 0]
        if not low <= above + 1e-7:
            say.append(f"over-reports: {low} where {above} was found")
        if not (bound >= 0.0 and low + bound >= below - 1e-7):
            say.append(f"{low} + {bound} where no less than {below} is")
        if entered(solids, judged):
            continue
        if not bound <= TOL:
            say.append(f"told only within {bound}")
        on_scan, on_part = found.point_a[0, i, 0], found.point_b[0, i, 0]
        apart = np.linalg.norm(on_scan - on_part)
        if abs(apart - abs(low + bound)) > 1e-6:
            say.append(f"points {apart} apart, figure {low + bound}")
        figure = min(sd(solid, (on_scan - step)[None])[0] for solid in solids)
        if abs(figure - low - bound) > 1e-6:
            say.append(f"the scan's point is {figure} off, figure {low + bound}")
    for i in range(2):
        for t in (0.2, 0.5, 0.8):
            step = (1 - t) * steps[i] + t * steps[i + 1]
            judged = [least(solid, triangles - step, 0.05) for solid in solids]
            above = min(high for _low, high in judged)
            if not whole.between_low[0, i, 0] <= above + 1e-7:
                say.append(f"over-reports between: {whole.between_low[0, i, 0]}, {above}")
    return say


def test_random_scan_scenes():
    wrong = {seed: say for seed in range(12, 24) if (say := faults(seed))}
    assert not wrong


@pytest.mark.campaign
@pytest.mark.parametrize("block", range(20))
def test_many_random_scan_scenes(block):
    wrong = {s: say for s in range(1000 + 30 * block, 1030 + 30 * block) if (say := faults(s))}
    assert not wrong
