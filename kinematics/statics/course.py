"""The lengths that springs and stops act along, against wheel travel.

A course is straight ahead or at one rack travel: for every element its length and exact slope at
any travel, solved afresh where asked, so that what is found by root-finding is found on the true
motion and not on a curve through samples.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.optimize import brentq

from kinematics.statics.curves import Floats

Lines = Callable[[Floats], tuple[Floats, Floats]]
"""From travels (k,) to lengths (elements, k) in mm and their slopes by travel (elements, k)."""

#: Step in mm of the five-point difference that turns exact slopes into second slopes; its error
#: is step^4/30 of their fifth derivative, some 1e-9 of the second slope on a car's corner.
STEP = 1.0


@dataclass(frozen=True)
class Course:
    """Element lengths over ``travel`` (nz,), rising, mm; ``lines`` gives them anywhere."""

    travel: Floats
    lines: Lines

    @cached_property
    def lengths(self) -> Floats:
        """(elements, nz), mm; NaN where the corner does not reach."""
        return self._on_travel[0]

    @cached_property
    def slopes(self) -> Floats:
        """(elements, nz), mm of length for a mm of travel."""
        return self._on_travel[1]

    @cached_property
    def bends(self) -> Floats:
        """Second slopes (elements, nz), 1/mm; NaN within two steps of the end of reach."""
        return self.second(self.travel)

    @cached_property
    def _on_travel(self) -> tuple[Floats, Floats]:
        return self.lines(self.travel)

    def second(self, travel: Floats) -> Floats:
        """Second slopes of the lengths at ``travel`` (k,): (elements, k), 1/mm."""
        near = np.concatenate([travel + i * STEP for i in (-2, -1, 1, 2)])
        out, back, forth, away = np.split(self.lines(near)[1], 4, axis=1)
        return np.asarray((8.0 * (forth - back) - (away - out)) / (12.0 * STEP))

    def crossings(self, of: Callable[[Floats], Floats]) -> list[float]:
        """Travels where ``of`` (from travels (k,) to values (k,)) passes nought, rising order.

        Looked for between the samples of ``travel`` and closed in on by `brentq`; a sample that
        is exactly nought counts once.
        """
        z = self.travel
        value = of(z)
        found = [float(t) for t in z[value == 0.0]]
        signs = np.sign(value)
        for i in np.flatnonzero(signs[:-1] * signs[1:] < 0.0):
            root = brentq(lambda t: float(of(np.array([t]))[0]), z[i], z[i + 1], xtol=1e-9)
            found.append(float(root))
        return sorted(found)
