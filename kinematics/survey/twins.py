"""Two places that fit the same distances: mirror points, found so that they can be asked about."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.frames import Array
from kinematics.project.survey import DistanceReading, PartReading
from kinematics.survey.adjust import Adjusted, SurveyError
from kinematics.survey.network import Network, points_in
from kinematics.survey.standing import Standing

WORSE = 9.0
"""Sum of squares by which the other place may fit worse and still be asked about."""
APART = 5.0  # mm
HOPELESS = 30.0
"""Standard deviations by which a reading that tells the sides apart rules the other one out."""


@dataclass(frozen=True, eq=False)
class Twin:
    """A point that may as well be elsewhere: on the other side of the plane through ``neighbours``.

    ``here`` and ``there`` (3,) mm; ``worse`` : how much the sum of squares grows there.
    """

    point: str
    here: Array
    there: Array
    neighbours: tuple[str, ...]
    worse: float


def twins(net: Network, fit: Adjusted[Standing]) -> tuple[Twin, ...]:
    """Points for which another place fits about as well; those settled are passed over."""
    found = []
    for name in net.project.points:
        if name in net.survey.settled or len(net.columns(name)) < 3:
            continue
        around = _neighbours(net, name)
        if len(around) < 3:
            continue
        there = _mirrored(net, fit.state, name, around)
        if there is None or _ruled_out(net, there, name):
            continue
        try:
            other = net.fit(there)
        except SurveyError:
            continue
        i = net.predictor.at[name]
        gap = float(np.linalg.norm(other.state.xyz[i] - fit.state.xyz[i]))
        worse = other.chi_square - fit.chi_square
        if gap > APART and worse < WORSE:
            found.append(Twin(name, fit.state.xyz[i], other.state.xyz[i], around, worse))
    return tuple(found)


def _ruled_out(net: Network, there: Standing, name: str) -> bool:
    """Whether a height, a drop or the like of the point is far from what it would be there."""
    own = [
        i
        for i, r in enumerate(net.readings)
        if not isinstance(r, DistanceReading | PartReading) and name in points_in(r, net.project)
    ]
    if not own:
        return False
    value, _ = net.evaluate(there, [net.readings[i] for i in own])
    return bool((np.abs(value - net.observed[own]) > HOPELESS * net.sigma[own]).any())


def _neighbours(net: Network, name: str) -> tuple[str, ...]:
    """The points it was measured from by plain distances."""
    found: dict[str, None] = {}
    for reading in net.readings:
        if isinstance(reading, DistanceReading | PartReading):
            pair = points_in(reading, net.project)
            if name in pair:
                found[pair[0] if pair[1] == name else pair[1]] = None
    return tuple(found)


def _mirrored(
    net: Network, standing: Standing, name: str, around: tuple[str, ...]
) -> Standing | None:
    """The standing with one point on the other side of the plane nearest its neighbours."""
    base = standing.xyz[[net.predictor.at[n] for n in around]]
    middle = base.mean(axis=0)
    n = np.linalg.svd(base - middle)[2][2]
    i = net.predictor.at[name]
    height = float((standing.xyz[i] - middle) @ n)
    if abs(height) < APART / 2:
        return None
    change = np.zeros(standing.xyz.size + 12 + len(standing.heights))
    change[3 * i : 3 * i + 3] = -2 * height * n
    return standing.moved(change)
