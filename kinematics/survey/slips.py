"""The slips of the hand that would explain a reading wrong by so much.

Common practice, no source: they are what anyone with a tape has done.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from kinematics.project.model import Project
from kinematics.project.survey import AngleReading, OffsetReading, Reading
from kinematics.survey.network import points_in
from kinematics.units import MM_PER_INCH, Units, unit_of

HOOK = 2.0  # mm: the hook of a tape, as thick and as loose as it may be
NEAR = 2.0
"""A slip explains a size within so many standard deviations of it."""
MOST = 3


@dataclass(frozen=True)
class Slip:
    """A slip by its words, and how much too large it makes the reading, mm or rad."""

    words: str
    amount: float


def slips(
    reading: Reading, size: float, sigma: float, project: Project, units: Units = "mm"
) -> tuple[Slip, ...]:
    """The slips that make a reading too large by ``size`` give or take ``sigma``, nearest first.

    ``project`` is unfolded; hole diameters and plate thicknesses are those its readings speak of
    at the same points, and the tower's.
    """
    known = (
        angle_slips(reading) if isinstance(reading, AngleReading) else _all(reading, project, units)
    )
    near = [
        (abs(size - slip.amount), slip)
        for slip in known
        if abs(size - slip.amount) <= NEAR * sigma and abs(slip.amount) > sigma
    ]
    near.sort(key=lambda pair: pair[0])
    chosen: list[Slip] = []
    for _, slip in near:
        if slip.words not in [other.words for other in chosen]:
            chosen.append(slip)
    return tuple(chosen[:MOST])


def angle_slips(reading: AngleReading) -> Iterator[Slip]:
    """What goes wrong with a level."""
    if reading.degrees:
        yield Slip("read with the wrong sign", 2 * math.radians(reading.degrees))
    for sign in (1, -1):
        yield Slip("a degree miscounted", sign * math.radians(1.0))


def _all(reading: Reading, project: Project, units: Units) -> Iterator[Slip]:
    assert not isinstance(reading, AngleReading)
    unit = unit_of("length", units)
    holes, plates = _sizes(reading, project)
    for sign in (1, -1):
        for d in holes:
            hole = f"the {unit.of(d):.4g} {unit.name} hole"
            yield Slip(f"edge for centre of {hole}", sign * d / 2)
            yield Slip(f"the other edge of {hole}", sign * d)
        for t in plates:
            yield Slip(f"the other face of the {unit.of(t):.4g} {unit.name} plate", sign * t)
        if reading.tool == "tape":
            yield Slip("the hook of the tape", sign * HOOK)
        yield Slip("10 mm miscounted", sign * 10.0)
        yield Slip("an inch miscounted", sign * MM_PER_INCH)
        yield Slip("100 mm miscounted, or begun at the 100 mark", sign * 100.0)
    if isinstance(reading, OffsetReading) and reading.value:
        yield Slip("the wrong side of the string", 2 * reading.value)


def _sizes(reading: Reading, project: Project) -> tuple[set[float], set[float]]:
    """Diameters and thicknesses known at the reading's points."""
    holes: set[float] = set()
    plates: set[float] = set()
    mine = set(points_in(reading, project))
    survey = project.survey
    assert survey is not None
    for other in (reading, *survey.readings, *survey.as_built):
        if isinstance(other, AngleReading) or not mine & set(points_in(other, project)):
            continue
        for end in other.to:
            if end.size > 0:
                (holes if "edge" in end.kind else plates).add(end.size)
    tower, coilover = project.tower, project.coilover
    if tower is not None and coilover is not None and coilover.top.point in mine:
        plates.add(tower.thickness)
    return holes, plates
