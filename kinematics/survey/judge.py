"""Which readings disagree with the rest, and what could have hidden.

After W. Baarda, *A testing procedure for use in geodetic networks* (1968): the weighted sum of
squares against chi-square; of each reading the redundancy r (how much of it the others check),
the normalised residual w, and the smallest blunder that would be seen. Two readings that check
each other alike have nearly the same w whichever of them lies, so what is named is a set of
rivals, never one culprit.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from statistics import NormalDist
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import Array
from kinematics.survey.adjust import Adjusted, chi_square

ALPHA = 0.001
"""Chance that a good reading's w passes its limit."""
POWER = 0.80
"""Chance that the smallest blunder called visible is seen."""
LIMIT = NormalDist().inv_cdf(1 - ALPHA / 2)
SHIFT = LIMIT + NormalDist().inv_cdf(POWER)
"""Baarda's delta-nought, 4.1321: the shift of w by the smallest blunder that is seen."""
SURE = 0.95
RIVAL = NormalDist().inv_cdf((1 + 0.999) / 2) ** 2
"""Suspects explain the misfit as well as the best one does, but for this much of the sum of
squares (likelihood ratio; an explanation worse by more would be right one time in a thousand)."""
FAINT = 1.64
"""A suspect's own w is at least this: a reading that agrees with the rest is not one."""
UNCHECKED = 1e-4
"""Redundancy below which the other readings say next to nothing of a reading."""


@dataclass(frozen=True)
class Suspect:
    """A reading that alone (or with ``also``) would explain the misfit.

    ``size`` : how much too large it would be, mm or rad, give or take ``sigma``. ``left`` : the
    sum of squares that remains without it. ``fits`` : the rest then agrees.
    """

    reading: int
    w: float
    size: float
    sigma: float
    left: float
    fits: bool
    also: tuple[int, ...] = ()


@dataclass(frozen=True, eq=False)
class Judged:
    """What the fit says of its readings."""

    fit: Adjusted[Any]

    @property
    def limit(self) -> float:
        """What the sum of squares stays under, 95 times in 100, without a blunder."""
        return float(chi_square(SURE, self.fit.surplus)) if self.fit.surplus > 0 else np.inf

    @property
    def agree(self) -> bool:
        """Whether the readings agree with one another within their tools."""
        return self.fit.chi_square <= self.limit and bool((np.abs(self.w) <= LIMIT).all())

    @cached_property
    def checked(self) -> NDArray[np.bool_]:
        """Which readings the others check at all, (m,) of bool."""
        return np.asarray(self.fit.redundancy > UNCHECKED)

    @cached_property
    def w(self) -> Array:
        """Normalised residuals, (m,); 0 where nothing checks the reading."""
        root = np.sqrt(np.where(self.checked, self.fit.redundancy, 1.0))
        return np.where(self.checked, self.fit.weighted / root, 0.0)

    @cached_property
    def smallest(self) -> Array:
        """The smallest blunder of each reading that would be seen, (m,), mm or rad; inf: none."""
        root = np.sqrt(np.where(self.checked, self.fit.redundancy, 1.0))
        return np.where(self.checked, SHIFT * self.fit.sigma / root, np.inf)

    @cached_property
    def size(self) -> Array:
        """How much too large each reading is if it alone is wrong, (m,), mm or rad."""
        share = np.where(self.checked, self.fit.redundancy, 1.0)
        return np.where(self.checked, self.fit.residual / share, 0.0)

    @cached_property
    def size_sigma(self) -> Array:
        """Standard deviation of ``size``, (m,)."""
        root = np.sqrt(np.where(self.checked, self.fit.redundancy, 1.0))
        return np.where(self.checked, self.fit.sigma / root, np.inf)

    @cached_property
    def likeness(self) -> Array:
        """Correlation of the w of every two readings, (m, m)."""
        root = np.sqrt(np.where(self.checked, self.fit.redundancy, 1.0))
        found = self.fit.cofactor / root[:, None] / root
        both = self.checked[:, None] & self.checked
        return np.where(both, np.clip(found, -1.0, 1.0), 0.0)

    @cached_property
    def suspects(self) -> tuple[Suspect, ...]:
        """The rivals, likeliest first; empty where the readings agree."""
        if self.agree:
            return ()
        single = self._single()
        if single and single[0].fits:
            return single
        return self._pairs() or single

    def _single(self) -> tuple[Suspect, ...]:
        square = self.w**2
        best = float(square.max())
        chosen = np.flatnonzero((square >= best - RIVAL) & (np.abs(self.w) >= FAINT))
        order = chosen[np.argsort(-square[chosen], kind="stable")]
        return tuple(self._suspect(int(i), float(square[i])) for i in order)

    def _suspect(self, i: int, gain: float) -> Suspect:
        left = max(self.fit.chi_square - gain, 0.0)
        fits = self.fit.surplus < 2 or left <= float(chi_square(0.999, self.fit.surplus - 1))
        return Suspect(
            i, float(self.w[i]), float(self.size[i]), float(self.size_sigma[i]), left, fits
        )

    def _pairs(self) -> tuple[Suspect, ...]:
        """Where one reading is not enough: two at a time."""
        if self.fit.surplus < 2:
            return ()
        found = []
        for i, j in combinations(np.flatnonzero(self.checked), 2):
            alike = float(self.likeness[i, j])
            if 1.0 - alike**2 < 1e-3:
                continue
            a, b = self.w[i], self.w[j]
            gain = float((a * a + b * b - 2 * alike * a * b) / (1.0 - alike**2))
            found.append((gain, int(i), int(j)))
        if not found:
            return ()
        found.sort(reverse=True)
        enough = found[0][0] - RIVAL
        return self._of_pairs([pair for pair in found if pair[0] >= enough])

    def _of_pairs(self, pairs: list[tuple[float, int, int]]) -> tuple[Suspect, ...]:
        made: dict[int, Suspect] = {}
        for gain, i, j in pairs:
            block = self.fit.cofactor[np.ix_([i, j], [i, j])]
            inverse = np.linalg.inv(block)
            sizes = self.fit.sigma[[i, j]] * (inverse @ self.fit.weighted[[i, j]])
            sigmas = self.fit.sigma[[i, j]] * np.sqrt(np.diag(inverse))
            left = max(self.fit.chi_square - gain, 0.0)
            fits = left <= float(chi_square(0.999, max(self.fit.surplus - 2, 1)))
            for k, (one, other) in enumerate(((i, j), (j, i))):
                if abs(sizes[k]) >= FAINT * sigmas[k] and one not in made:
                    made[one] = Suspect(
                        one, float(self.w[one]), float(sizes[k]), float(sigmas[k]), left, fits,
                        (other,),
                    )  # fmt: skip
        return tuple(made.values())
