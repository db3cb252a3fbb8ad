"""Where something first passes its limit, by root-finding on the true motion."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from kinematics.motion import Motion, move
from kinematics.statics.curves import Floats

Left = Callable[[Motion], Floats]
"""From a motion to what is left before the limit at each of its positions (nz, ns)."""


@dataclass(frozen=True)
class Past:
    """The worst position of something that has a limit, and where it first passes it.

    left : least left over the whole motion, negative past the limit. travel, rack : there (mm).
    bump, droop : travel at which the limit is first passed going outward from set-up height at
    any rack travel; None where it is not; equal (the starting travel) where it is passed there.
    """

    left: float
    travel: float
    rack: float
    bump: float | None = None
    droop: float | None = None


def past(motion: Motion, of: Left, sampled: Floats) -> Past | None:
    """The worst of ``of`` over a motion and its onsets; None where it is known nowhere.

    sampled : ``of`` on the motion's own grid (nz, ns). Between samples the least is closed in on
    where it could pass the limit unseen.
    """
    if not np.isfinite(sampled).any():
        return None
    bumps: list[float] = []
    droops: list[float] = []
    i, j = np.unravel_index(np.nanargmin(sampled), sampled.shape)
    worst = Past(float(sampled[i, j]), float(motion.travel[i]), float(motion.rack[j]))
    for column, rack in enumerate(motion.rack):
        order = np.argsort(motion.travel)
        z, left = motion.travel[order], sampled[order, column]

        def at(travel: float, rack: float = float(rack)) -> float:
            there = move(motion.linkage, [travel], [rack], stops=False, start=motion)
            return float(of(there)[0, 0])

        if z[0] < 0.0 < z[-1] and 0.0 not in z:
            z, left = _with(z, left, [(0.0, at(0.0))])  # onsets go outward from there
        z, left = _with_dips(z, left, at)
        low = int(np.nanargmin(left)) if np.isfinite(left).any() else 0
        if left[low] < worst.left:
            worst = Past(float(left[low]), float(z[low]), float(rack))
        bumps += _outward(z, left, at, 1.0)
        droops += _outward(z, left, at, -1.0)
    return Past(
        worst.left, worst.travel, worst.rack, min(bumps, default=None), max(droops, default=None)
    )


def _outward(z: Floats, left: Floats, at: Callable[[float], float], side: float) -> list[float]:
    """The first travel on one side of set-up height, outward, with nothing left: none or one."""
    mine = np.flatnonzero(side * z >= 0.0)
    mine = mine[np.argsort(np.abs(z[mine]), kind="stable")]
    before: int | None = None
    for i in mine:
        if left[i] < 0.0:
            if before is None:
                return [float(z[i])]
            return [_passes(at, float(z[before]), float(z[i]))]
        if np.isfinite(left[i]):
            before = int(i)
    return []


def _passes(at: Callable[[float], float], inner: float, outer: float) -> float:
    from scipy.optimize import brentq  # slow to import

    # Solved afresh, a sample that lay on the limit may fall on its other side by rounding.
    if not at(inner) > 0.0:
        return inner
    return float(brentq(at, inner, outer, xtol=1e-9)) if at(outer) < 0.0 else outer


def _with_dips(z: Floats, left: Floats, at: Callable[[float], float]) -> tuple[Floats, Floats]:
    """The samples and, where a dip between three of them could pass the limit, its lowest point."""
    from scipy.optimize import minimize_scalar  # slow to import

    extra: list[tuple[float, float]] = []
    for i in range(1, len(z) - 1):
        a, b, c = left[i - 1 : i + 2]
        dips = 0.0 <= b <= min(a, c)
        if dips and b < 0.5 * (max(a, c) - b):
            found = minimize_scalar(at, bounds=(z[i - 1], z[i + 1]), method="bounded")
            extra.append((float(found.x), float(found.fun)))
    return _with(z, left, extra)


def _with(z: Floats, left: Floats, extra: list[tuple[float, float]]) -> tuple[Floats, Floats]:
    """The samples with more of them put in their places."""
    z = np.concatenate([z, [x for x, _ in extra]])
    left = np.concatenate([left, [y for _, y in extra]])
    order = np.argsort(z, kind="stable")
    return z[order], left[order]
