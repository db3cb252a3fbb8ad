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

from kinematics.motion import Motion, move
from kinematics.motion.roots import roots_together
from kinematics.project.model import End
from kinematics.statics.curves import Floats
from kinematics.statics.elements import Element

Lines = Callable[[Floats], tuple[Floats, Floats]]
"""From travels (k,) to lengths (elements, k) in mm and their slopes by travel (elements, k)."""

#: Step in mm of the five-point difference that turns exact slopes into second slopes; its error
#: is step^4/30 of their fifth derivative, some 1e-9 of the second slope on a car's corner.
STEP = 1.0
#: How far stops and ride height are looked for either way, and in which strides, mm.
FARTHEST, STRIDE = 200.0, 2.0
#: The same where bushes give and every position must be followed with care.
NEARER = 100.0


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

        Looked for between the samples of ``travel`` and closed in on together; a sample that is
        exactly nought counts once. ``sampled`` are the values there, if already known.
        """
        z = self.travel
        value = of(z) if sampled is None else sampled
        found = [float(t) for t in z[value == 0.0]]
        signs = np.sign(value)
        at = np.flatnonzero(signs[:-1] * signs[1:] < 0.0)
        if len(at):
            found += roots_together(of, z[at], z[at + 1], value[at], value[at + 1]).tolist()
        return sorted(root for root in found if np.isfinite(root))


def along(motion: Motion, elements: Sequence[Element], rack: float = 0.0) -> Course:
    """The course of ``elements`` over the travels of a motion at one rack travel.

    The damper's own ends are let pass, so that what lies at or beyond them can be found.
    """

    def lines(travel: Floats) -> tuple[Floats, Floats]:
        there = move(motion.linkage, travel, [rack], stops=False, start=motion)
        lengths, slopes = lines_of(there, elements)
        return lengths[..., 0], slopes[..., 0]

    # What ends the travel may lie past the range that is looked at.
    far, stride = (NEARER, NEARER / 20.0) if motion.linkage.give else (FARTHEST, STRIDE)
    return Course(np.union1d(motion.travel, np.arange(-far, far + 1.0, stride)), lines)


def lines_of(motion: Motion, elements: Sequence[Element]) -> tuple[Floats, Floats]:
    """Lengths and exact slopes of elements over a motion: (elements, nz, ns) each."""
    found = {ends: line_of(motion, ends) for ends in {element.ends for element in elements}}
    parts = [found[element.ends] for element in elements]
    empty = np.empty((0, *motion.shape))
    lengths = np.stack([length for length, _ in parts]) if parts else empty
    slopes = np.stack([slope for _, slope in parts]) if parts else empty
    return lengths, slopes


def line_of(motion: Motion, between: tuple[End, End]) -> tuple[Floats, Floats]:
    """Distance (mm) between two ends and its exact slope by travel: (nz, ns) each."""
    numbers = motion.linkage.mechanism.points
    ends = [(end.body, motion.xyz[numbers[end.point]]) for end in between]
    apart = motion.carry(*ends[1]) - motion.carry(*ends[0])
    speed = motion.speed(*ends[1]) - motion.speed(*ends[0])
    length = np.linalg.norm(apart, axis=-1)
    return np.asarray(length), np.asarray(np.sum(apart * speed, axis=-1) / length)
