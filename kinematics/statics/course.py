"""The lengths that springs and stops act along, against wheel travel.

A course is straight ahead or at one rack travel: for every element its length and exact slope at
any travel, solved afresh where asked, so that what is found by root-finding is found on the true
motion and not on a curve through samples.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.optimize import brentq

from kinematics.motion import Motion, move
from kinematics.statics.curves import Floats
from kinematics.statics.elements import Element

Lines = Callable[[Floats], tuple[Floats, Floats]]
"""From travels (k,) to lengths (elements, k) in mm and their slopes by travel (elements, k)."""

#: Step in mm of the five-point difference that turns exact slopes into second slopes; its error
#: is step^4/30 of their fifth derivative, some 1e-9 of the second slope on a car's corner.
STEP = 1.0
#: Steps that are looked past either end of the travel.
BEYOND = 5


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

    def crossings(
        self, of: Callable[[Floats], Floats], sampled: Floats | None = None
    ) -> list[float]:
        """Travels where ``of`` (from travels (k,) to values (k,)) passes nought, rising order.

        Looked for between the samples of ``travel`` and closed in on by `brentq`; a sample that
        is exactly nought counts once. ``sampled`` are the values there, if already known.
        """
        z = self.travel
        value = of(z) if sampled is None else sampled
        found = [float(t) for t in z[value == 0.0]]
        signs = np.sign(value)
        for i in np.flatnonzero(signs[:-1] * signs[1:] < 0.0):
            root = brentq(lambda t: float(of(np.array([t]))[0]), z[i], z[i + 1], xtol=1e-8)
            found.append(float(root))
        return sorted(found)


def along(motion: Motion, elements: Sequence[Element], rack: float = 0.0) -> Course:
    """The course of ``elements`` over the travels of a motion at one rack travel.

    The damper's own ends are let pass, so that what lies at or beyond them can be found.
    """

    def lines(travel: Floats) -> tuple[Floats, Floats]:
        there = move(motion.linkage, travel, [rack], stops=False, start=motion)
        found = [tuple(part[:, 0] for part in line_of(there, each)) for each in elements]
        if not found:
            return np.empty((0, len(travel))), np.empty((0, len(travel)))
        lengths, slopes = zip(*found, strict=True)
        return np.stack(lengths), np.stack(slopes)

    # What ends the travel lies at the end of the range: look a little past it.
    z = np.sort(motion.travel)
    beyond = np.arange(1, 1 + BEYOND) * STEP
    return Course(np.concatenate([z[0] - beyond[::-1], z, z[-1] + beyond]), lines)


def line_of(motion: Motion, element: Element) -> tuple[Floats, Floats]:
    """Length (mm) and exact slope by travel of one element over a motion: (nz, ns) each."""
    numbers = motion.linkage.mechanism.points
    ends = [(end.body, motion.xyz[numbers[end.point]]) for end in element.ends]
    apart = motion.carry(*ends[1]) - motion.carry(*ends[0])
    speed = motion.speed(*ends[1]) - motion.speed(*ends[0])
    length = np.linalg.norm(apart, axis=-1)
    return np.asarray(length), np.asarray(np.sum(apart * speed, axis=-1) / length)
