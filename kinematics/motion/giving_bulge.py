"""Bounds between positions for corners whose bushes give, from their proved stretches.

On a stretch the corner's path y is within δ of the polynomial p, and both obey the same equations
F up to G(z) = F(p(z), z), which is nearly nought and whose series is known. Taking one's
derivatives from the other's,

    |y' - p'| ≤ d₁ = (|A G'| + 2κδ|p'|) / (1 - Z - κδ),
    |y'' - p''| ≤ d₂ = (|A G''| + κδ|p''| + κ(2|p'| + d₁)d₁ + c·κδ|p'|²) / (1 - Z - κδ).

What is left is the second derivative of a carried point along p, a series again: exact at every
position, and between two it changes no faster than its third derivative, bounded by the sizes of
its coefficients. δ is of the order of 10⁻⁹ mm, so that c, which bounds how much faster than slopes
their slopes change, is only taken generously (``CURL``).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.polynomial import chebyshev

from kinematics.frames import Array, matrix_last
from kinematics.motion.chebyshev import between, nodes, series
from kinematics.motion.giving_track import RestTrack, open_by, rest_of
from kinematics.motion.proof import FINER
from kinematics.motion.track import NODES, drivers

if TYPE_CHECKING:
    from kinematics.motion.motion import Motion

CURL = 100.0
"""1/mm: generous for how much faster than slopes their own slopes change."""


def most_bend_at_rest(motion: Motion, body: int, points: Array, t: Array) -> Array:
    """The most |p''| (points, n) of points (points, 3) of a solved body within ``t`` (n,) of each
    pose; inf where no proved stretch is known."""
    nz, ns = motion.shape
    out = np.full((len(points), nz, ns), np.inf)
    drive, within = (x.reshape(nz, ns) for x in (motion.drivers[0], t))
    found = motion.linkage.driven(motion.by).rests
    for j, rack in enumerate(motion.rack):
        known = found.get((float(rack), 0))
        paths = [_path(motion, x, body, points, float(rack)) for x in known.tracks] if known else []
        for path in paths:
            mine = np.flatnonzero((drive[:, j] >= path.low) & (drive[:, j] <= path.high))
            # Another stretch may begin within reach.
            drift = np.max([other.drift for other in paths], axis=0)
            off = np.max([other.off for other in paths], axis=0)
            bend = path.bend(drive[mine, j]) + off[:, None]
            out[:, mine, j] = bend + drift[:, None] * within[mine, j]
    return out.reshape(len(points), -1)


@dataclass(frozen=True)
class _Path:
    """Where points go along a stretch: ``terms`` (3, points, FINER) of their series' second
    derivative by the driver; ``drift`` (points,) bounds its change, ``off`` how far the corner's
    own is from it."""

    low: float
    high: float
    terms: Array
    drift: Array
    off: Array

    def bend(self, values: Array) -> Array:
        """|p''| (points, k) at values of the driver."""
        at = (values - 0.5 * (self.low + self.high)) * (2.0 / (self.high - self.low))
        found = chebyshev.chebval(at, np.moveaxis(self.terms, -1, 0))
        return np.asarray(np.sqrt((found * found).sum(axis=0)))


def _path(motion: Motion, track: RestTrack, body: int, points: Array, rack: float) -> _Path:
    driven = motion.linkage.driven(motion.by)
    system, soft, half = driven.system, driven.soft, 0.5 * (track.high - track.low)
    assert soft is not None
    rest, _ = rest_of(system, soft, np.matmul(track.table, between(NODES, FINER)))
    arm = points - system.geometry.centre[body, :, 0]
    turned = np.matmul(arm, matrix_last(rest.state.turn[body]))
    path = turned + rest.state.centre[body][:, None]
    terms = chebyshev.chebder(path @ series(FINER).T, 2, scl=1.0 / half, axis=-1)
    drift = np.abs(chebyshev.chebder(terms, 1, scl=1.0 / half, axis=-1)).sum(axis=-1)
    first, second = _off(motion, track, rack)
    r = np.linalg.norm(arm, axis=-1) / system.geometry.scale
    turning = _most(track, len(system.bodies), len(soft.rigid), system.geometry.scale, 1)
    off = (1.0 + r) * second + 3.0 * r * turning * first / system.geometry.scale
    size = np.sqrt((drift * drift).sum(axis=0))
    return _Path(track.low, track.high, terms, size, off)


def _off(motion: Motion, track: RestTrack, rack: float) -> tuple[float, float]:
    """d₁ and d₂ of a stretch."""
    driven = motion.linkage.driven(motion.by)
    system, soft, half = driven.system, driven.soft, 0.5 * (track.high - track.low)
    assert soft is not None
    bodies, scale, kappa = len(system.bodies), system.geometry.scale, track.kappa
    values = 0.5 * (track.low + track.high) + half * nodes(FINER)
    rest, _ = rest_of(system, soft, np.matmul(track.table, between(NODES, FINER)))
    gap = open_by(system, soft, rest, *drivers(values, np.array([rack]), 0)) @ series(FINER).T
    m = len(gap)
    inverse = np.abs(track.table[-m * m :] @ series(NODES).T).sum(axis=1).reshape(m, m)
    columns = np.linalg.norm(inverse, axis=0)
    slopes = [
        float(columns @ np.abs(chebyshev.chebder(gap, k, scl=1.0 / half, axis=-1)).sum(axis=-1))
        for k in (1, 2)
    ]
    away = 1.1 * track.number * (1.0 - track.loose) / kappa
    speed, bend = (_most(track, bodies, len(soft.rigid), scale, k) for k in (1, 2))
    left = 1.0 - track.loose - kappa * away
    first = (slopes[0] + 2.0 * kappa * away * speed) / left
    second = slopes[1] + kappa * away * bend + kappa * (2.0 * speed + first) * first
    return first, (second + CURL * kappa * away * speed**2) / left


def _most(track: RestTrack, bodies: int, rigid: int, scale: float, order: int) -> float:
    """A bound on the speed (order 1) or its change (2) along the polynomials, forces included."""
    half = 0.5 * (track.high - track.low)
    terms = track.table @ series(NODES).T
    found = np.abs(chebyshev.chebder(terms, order, scl=1.0 / half, axis=-1)).sum(axis=-1)
    poses = found[: 7 * bodies].reshape(bodies, 7)
    forces = found[7 * bodies : 7 * bodies + rigid]
    parts = (poses[:, :3] ** 2).sum() + (2.0 * scale) ** 2 * (poses[:, 3:] ** 2).sum()
    return float(np.sqrt(parts + (forces**2).sum()))
