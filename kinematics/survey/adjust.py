"""Weighted least squares with an analytic Jacobian, damped, and what it says of itself.

Residuals are observed less predicted. Damping as in K. Levenberg (1944) and D. Marquardt (1963),
each step an orthogonal factorisation of the damped design; what is returned has its gradient
tested, since on a weak network plain Gauss-Newton steps need not settle.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Generic, TypeVar

import numpy as np

from kinematics.errors import ClearstrokeError
from kinematics.frames import Array

S = TypeVar("S")
Evaluate = Callable[[S], tuple[Array, Array]]
"""Predicted values (m,) and their Jacobian (m, n) at a state."""

STEPS = 200
SETTLED = 1e-9
"""The gradient, over the sizes of the columns and of the residuals, at which it has settled."""
LOOSE = 100.0
"""A direction that could be off by this much (units of the unknowns, mm) is not fixed."""


class SurveyError(ClearstrokeError):
    """Readings that can't be used, or points that can't be worked out, in one sentence."""


def chi_square(share: float, freedom: int) -> float:
    """What a sum of so many squares of chance stays under with that probability."""
    from scipy.special import chdtri  # a window opens without it; scipy.stats takes longer still

    return float(chdtri(freedom, 1.0 - share))


@dataclass(frozen=True, eq=False)
class Adjusted(Generic[S]):
    """The best fit.

    ``state`` : where it settled. ``residual`` (m,) observed less predicted; ``sigma`` (m,);
    ``design`` (m, n) the Jacobian over sigma. ``loose`` (n, k) orthonormal directions that the
    readings leave open; in these ``state`` keeps to where it started.
    """

    state: S
    residual: Array
    sigma: Array
    design: Array
    loose: Array
    steps: int

    @property
    def weighted(self) -> Array:
        """Residuals over sigma, (m,)."""
        return np.asarray(self.residual / self.sigma)

    @property
    def chi_square(self) -> float:
        """The weighted sum of squares."""
        return float(self.weighted @ self.weighted)

    @property
    def surplus(self) -> int:
        """Readings more than were needed (degrees of freedom)."""
        rows, columns = self.design.shape
        return int(rows - (columns - self.loose.shape[1]))

    @cached_property
    def inverse(self) -> Array:
        """Pseudo-inverse of the design, (n, m), the loose directions left out."""
        u, s, vt, rank = self._factors
        return np.asarray((vt[:rank].T / s[:rank]) @ u[:, :rank].T)

    @cached_property
    def covariance(self) -> Array:
        """Of the unknowns (n, n), from the sigmas given; loose directions left out."""
        return np.asarray(self.inverse @ self.inverse.T)

    @cached_property
    def cofactor(self) -> Array:
        """Of the weighted residuals (m, m): the identity less the hat matrix."""
        u, _, _, rank = self._factors
        return np.eye(len(u)) - u[:, :rank] @ u[:, :rank].T

    @property
    def redundancy(self) -> Array:
        """How much of each reading the others check, 0 to 1, (m,)."""
        return np.asarray(np.clip(np.diag(self.cofactor), 0.0, 1.0))

    @cached_property
    def _factors(self) -> tuple[Array, Array, Array, int]:
        free = self.design - (self.design @ self.loose) @ self.loose.T
        u, s, vt = np.linalg.svd(free, full_matrices=False)
        rank = min(self.design.shape[1] - self.loose.shape[1], len(s))
        return u, s, vt, rank


def adjust(
    evaluate: Evaluate[S],
    start: S,
    step: Callable[[S, Array], S],
    observed: Array,
    sigma: Array,
    scale: Array | None = None,
    loose_at: float = LOOSE,
) -> Adjusted[S]:
    """Find the state whose predictions fit the observations best.

    ``step(state, change)`` gives the state changed by (n,). ``scale`` (n,) is the change of each
    unknown that weighs as much as 1 mm, for telling what is loose. Raises ``SurveyError`` where
    the fit does not settle.
    """
    value, slopes = evaluate(start)
    state, damping, count = start, 1e-3, 0
    right, design = (observed - value) / sigma, slopes / sigma[:, None]
    cost, bold = float(right @ right), 0
    while count < STEPS:
        count += 1
        if _settled(design, right) and bold > 1:
            break
        size = np.sqrt((design * design).sum(axis=0))
        size[size == 0.0] = 1.0
        change = _damped(design / size, right, damping) / size
        tried = step(state, change)
        value, slopes = evaluate(tried)
        new = (observed - value) / sigma
        better = float(new @ new)
        if np.isfinite(better) and better <= cost * (1.0 + 1e-12) + 1e-18:
            gain = cost - better
            state, right, design, cost = tried, new, slopes / sigma[:, None], better
            damping = max(damping * 0.1, 1e-14)
            small = gain <= 1e-13 * (cost + 1e-12)
            bold = bold + 1 if small else 0
            if bold > 4:
                break
        else:
            damping = min(damping * 8.0, 1e12)
            if damping >= 1e12:
                break
    if not _settled(design, right, 1e-5):
        raise SurveyError(
            "These readings don't settle on one place. Give better starting points, or look for "
            "a reading that is far off."
        )
    loose = _loose(design, scale, loose_at)
    return Adjusted(state, right * sigma, sigma, design, loose, count)


def _damped(design: Array, right: Array, damping: float) -> Array:
    from scipy.linalg import lstsq  # slow to import, and a window opens without it

    n = design.shape[1]
    tall = np.concatenate([design, np.sqrt(damping) * np.eye(n)])
    solution = lstsq(tall, np.concatenate([right, np.zeros(n)]), lapack_driver="gelsy")[0]
    return np.asarray(solution)


def _settled(design: Array, right: Array, tight: float = SETTLED) -> bool:
    gradient = np.abs(design.T @ right)
    size = np.sqrt((design * design).sum(axis=0)) * (np.sqrt(right @ right) + 1e-6)
    return bool((gradient <= tight * size + 1e-12).all())


def _loose(design: Array, scale: Array | None, loose_at: float) -> Array:
    """Orthonormal directions (n, k), in the unknowns' own units, that are not fixed."""
    n = design.shape[1]
    weigh = np.ones(n) if scale is None else scale
    _, s, vt = np.linalg.svd(design * weigh, full_matrices=True)
    full = np.zeros(n)
    full[: len(s)] = s
    loose = (vt[full < 1.0 / loose_at].T) * weigh[:, None]
    return np.linalg.qr(loose)[0] if loose.size else np.zeros((n, 0))
