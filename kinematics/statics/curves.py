"""Force against squash in straight pieces, with its exact inverse, rate and energy.

A spring, a bump stop, springs stacked in series (a helper) and springs nested side by side are
all one kind of curve: no force until ``squash[0]``, straight between the points given, and
beyond the last point either on with ``last_rate`` or solid (``last_rate`` infinite).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

#: mm of rounding that a solved length may be off a solid end by.
HAIR = 1e-9


@dataclass(frozen=True)
class ForceCurve:
    """Force (N) against squash (mm): corners of a line that only rises.

    squash : (n,) rising, mm. force : (n,) rising from 0, N. last_rate : N/mm beyond the last
    corner; infinite where the thing is solid there.
    """

    squash: Floats
    force: Floats
    last_rate: float

    def __post_init__(self) -> None:
        """Refuse a curve that is not single-valued in both directions."""
        x, f = self.squash, self.force
        if x.ndim != 1 or x.shape != f.shape or x.size < 1:
            raise ValueError("a force curve needs as many forces as squashes, at least one pair")
        if not (np.all(np.isfinite(x)) and np.all(np.isfinite(f))):
            raise ValueError("a force curve takes finite numbers only")
        if f[0] != 0.0:
            raise ValueError("a force curve starts at no force")
        if np.any(np.diff(x) <= 0.0) or np.any(np.diff(f) <= 0.0):
            raise ValueError("squash and force must both rise from each point to the next")
        if not self.last_rate > 0.0:
            raise ValueError("a force curve must go on rising, or be solid, beyond its last point")

    def at(self, squash: ArrayLike) -> Floats:
        """Force (N) at ``squash`` (mm); infinite beyond a solid end."""
        x = np.asarray(squash, float)
        over = x - self.squash[-1]
        # 0 * inf would be NaN; and a length solved to a solid end is off it by rounding.
        past = over > (HAIR if np.isinf(self.last_rate) else 0.0)
        beyond = np.where(past, np.where(past, over, 1.0) * self.last_rate, 0.0)
        return np.asarray(np.interp(x, self.squash, self.force) + beyond)

    def squash_for(self, force: ArrayLike) -> Floats:
        """Squash (mm) that gives ``force`` (N): the exact inverse, for forces of 0 and more."""
        f = np.asarray(force, float)
        over = np.maximum(f - self.force[-1], 0.0)
        inside = np.interp(f, self.force, self.squash) + over / self.last_rate
        return np.where(f < 0.0, np.nan, inside)

    def rate(self, squash: ArrayLike) -> Floats:
        """Slope (N/mm) at ``squash``; at a corner the slope that follows it, at a solid end the
        one before."""
        x = np.asarray(squash, float)
        if np.isinf(self.last_rate) and self.squash.size > 1:
            end = self.squash[-1]
            x = np.where(np.abs(x - end) <= HAIR, np.nextafter(end, -np.inf), x)
        slopes = np.concatenate(
            [[0.0], np.diff(self.force) / np.diff(self.squash), [self.last_rate]]
        )
        return slopes[np.searchsorted(self.squash, x, side="right")]

    def energy(self, squash: ArrayLike) -> Floats:
        """Work (N mm) put in on the way to ``squash``: the exact area under the line."""
        x = np.asarray(squash, float)
        step = np.diff(self.squash)
        areas = np.concatenate([[0.0], np.cumsum(step * 0.5 * (self.force[1:] + self.force[:-1]))])
        i = np.clip(np.searchsorted(self.squash, x, side="right") - 1, 0, None)
        past = np.maximum(x - self.squash[i], 0.0)
        return areas[i] + 0.5 * past * (self.force[i] + self.at(x))


def linear(stiffness: float, stroke: float | None = None) -> ForceCurve:
    """A spring of one rate (N/mm), solid after ``stroke`` mm when that is given."""
    if stroke is None:
        return ForceCurve(np.zeros(1), np.zeros(1), float(stiffness))
    ends = np.array([0.0, stroke])
    return ForceCurve(ends, stiffness * ends, np.inf)


def through(points: Sequence[tuple[float, float]], *, solid: bool) -> ForceCurve:
    """A curve through typed (mm, N) points; (0, 0) is put first when it is missing.

    Beyond the last point it is solid, or goes on with its last slope.
    """
    pairs = [(float(x), float(f)) for x, f in points]
    if not pairs or pairs[0] != (0.0, 0.0):
        pairs.insert(0, (0.0, 0.0))
    x, f = np.array(pairs).T
    if solid or len(pairs) < 2:
        return ForceCurve(x, f, np.inf)
    return ForceCurve(x, f, float((f[-1] - f[-2]) / (x[-1] - x[-2])))


def shifted(curve: ForceCurve, gap: float) -> ForceCurve:
    """The same curve, met only after ``gap`` mm."""
    return ForceCurve(curve.squash + gap, curve.force, curve.last_rate)


def series(curves: Sequence[ForceCurve]) -> ForceCurve:
    """Springs end to end, such as a helper on a main spring: one force, squashes added."""
    forces = np.unique(np.concatenate([c.force for c in curves]))
    squash = np.sum([c.squash_for(forces) for c in curves], axis=0)
    softness = sum(1.0 / c.last_rate for c in curves)
    return ForceCurve(squash, forces, 1.0 / softness if softness > 0.0 else np.inf)


def parallel(curves: Sequence[ForceCurve]) -> ForceCurve:
    """Springs side by side, such as nested springs: one squash, forces added.

    Where one of them is solid the pair is solid.
    """
    end = min(c.squash[-1] if np.isinf(c.last_rate) else np.inf for c in curves)
    points = np.unique(np.concatenate([c.squash for c in curves] + [[end]]))
    start = min(float(c.squash[0]) for c in curves)
    points = points[(points >= start) & (points <= end) & np.isfinite(points)]
    force = np.sum([c.at(points) for c in curves], axis=0)
    last = np.inf if np.isfinite(end) else sum(c.last_rate for c in curves)
    return ForceCurve(points, force, float(last))
