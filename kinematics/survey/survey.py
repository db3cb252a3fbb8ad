"""From readings to a corner, in one call.

from kinematics.project.files import read
from kinematics.survey import survey

found = survey(read("my.corner.json"))
found.project            # the same with its points as measured
found.judged.suspects    # the readings that may lie
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import msgspec
import numpy as np

from kinematics.frames import Array
from kinematics.project.model import Project
from kinematics.project.survey import HubReading, Reading, StackReading, WheelReading
from kinematics.survey.adjust import Adjusted, SurveyError, chi_square
from kinematics.survey.helps import Decider, Loose, decider, loose_points
from kinematics.survey.judge import Judged
from kinematics.survey.network import Network, network
from kinematics.survey.slips import Slip, slips
from kinematics.survey.standing import FACES, Standing
from kinematics.survey.twins import Twin, twins
from kinematics.units import Units

REACH = 2.7954834829151074
"""Half-axes of an ellipsoid that holds its point 95 times in 100, over standard deviations: the
square root of ``chi_square(0.95, 3)``, written out because what works it out is slow to import."""


@dataclass(frozen=True, eq=False)
class Place:
    """Where a point is: ``xyz`` (3,) mm and its ``covariance`` (3, 3), 0 for what was held."""

    xyz: Array
    covariance: Array

    @property
    def half_axes(self) -> Array:
        """Rows (3, 3): the half-axes of the ellipsoid that holds it 95 times in 100, mm."""
        value, vector = np.linalg.eigh(self.covariance)
        return np.asarray((REACH * np.sqrt(np.clip(value, 0.0, None)) * vector).T)

    @property
    def spread(self) -> float:
        """Its largest standard deviation, mm."""
        return float(np.sqrt(max(np.linalg.eigvalsh(self.covariance)[-1], 0.0)))

    def holds(self, xyz: Array) -> bool:
        """Whether a point lies inside the ellipsoid."""
        rank = np.linalg.matrix_rank(self.covariance, tol=1e-12)
        gap = xyz - self.xyz
        square = float(gap @ np.linalg.pinv(self.covariance, rcond=1e-10) @ gap)
        return square <= float(chi_square(0.95, rank)) if rank else bool(np.abs(gap).max() < 1e-9)


@dataclass(frozen=True, eq=False)
class Surveyed:
    """What the readings come to."""

    net: Network
    fit: Adjusted[Standing]
    original: Project

    @cached_property
    def judged(self) -> Judged:
        """Whether they agree, and which may lie."""
        return Judged(self.fit)

    @cached_property
    def loose(self) -> tuple[Loose, ...]:
        """Points that are not fixed yet, each with the reading that would help most."""
        return loose_points(self.net, self.fit)

    @cached_property
    def twins(self) -> tuple[Twin, ...]:
        """Points that may as well be elsewhere."""
        return twins(self.net, self.fit)

    @cached_property
    def decider(self) -> Decider | None:
        """The extra reading that tells the likeliest rivals apart."""
        return decider(self.net, self.fit, self.judged.suspects)

    @property
    def measured(self) -> tuple[str, ...]:
        """The points that readings speak of and that are not held."""
        return tuple(name for name in self.net.project.points if len(self.net.columns(name)))

    def place(self, point: str) -> Place:
        """Where a point is and how surely."""
        columns = self.net.columns(point)
        axes = self.net.free[columns] - 3 * self.net.predictor.at[point]
        covariance = np.zeros((3, 3))
        covariance[np.ix_(axes, axes)] = self.fit.covariance[np.ix_(columns, columns)]
        return Place(self.fit.state.xyz[self.net.predictor.at[point]], covariance)

    @cached_property
    def covariance(self) -> Array:
        """Of all points' coordinates, (3n, 3n) mm², in the project's order."""
        n = self.fit.state.xyz.size
        full = np.zeros((n, n))
        mine = np.flatnonzero(self.net.free < n)
        columns = self.net.free[mine]
        full[np.ix_(columns, columns)] = self.fit.covariance[np.ix_(mine, mine)]
        return full

    def slips(self, number: int, units: Units = "mm") -> tuple[Slip, ...]:
        """What slip would explain a suspect reading, by its number among the readings in use."""
        judged = self.judged
        found = {s.reading: s for s in judged.suspects}
        size, sigma = judged.size[number], judged.size_sigma[number]
        if number in found:
            size, sigma = found[number].size, found[number].sigma
        reading = self.net.readings[number]
        return slips(reading, float(size), float(sigma), self.net.project, units)

    def without(self, number: int) -> Surveyed:
        """The same with one reading left out, by its number among the readings in use."""
        net = self.net.without(number)
        return Surveyed(net, net.fit(self.fit.state), self.original)

    @cached_property
    def wheel(self) -> tuple[float, float] | None:
        """Camber and toe in the position the points are in, degrees; None if not measured."""
        if not any(isinstance(r, HubReading | WheelReading) for r in self.net.readings):
            return None
        n = self.fit.state.hub[:, 1]
        out = self.net.predictor.out
        camber = np.degrees(np.arcsin(-n[2]))
        return float(camber), float(np.degrees(np.arctan2(n[0], out * n[1])))

    @cached_property
    def project(self) -> Project:
        """The project with its points, camber and toe, and the spring's top end as measured."""
        xyz = self.fit.state.xyz
        points = dict(self.original.points)
        for name in self.measured:
            points[name] = tuple(float(v) for v in xyz[self.net.predictor.at[name]])  # type: ignore[assignment]
        made = msgspec.structs.replace(self.original, points=points)
        if self.wheel is not None:
            camber, toe = self.wheel
            wheel = msgspec.structs.replace(made.wheel, camber_deg=camber, toe_deg=toe, axis=None)
            made = msgspec.structs.replace(made, wheel=wheel)
        return _with_hat(made, self.net, self.fit.state)


def _with_hat(project: Project, net: Network, standing: Standing) -> Project:
    """The spring's upper end where the mount's stack puts its hat."""
    coilover = project.coilover
    stacked = any(isinstance(r, StackReading) and "hat" in r.between for r in net.readings)
    if coilover is None or coilover.spring is None or not stacked:
        return project
    down = -float(standing.stack[FACES.index("hat")])
    spring = msgspec.structs.replace(coilover.spring, end_from_top=down)
    coilover = msgspec.structs.replace(coilover, spring=spring)
    return msgspec.structs.replace(project, coilover=coilover)


def survey(project: Project, readings: Sequence[Reading] | None = None) -> Surveyed:
    """Fit a project's readings (or those given in their stead), and say what they come to.

    Raises ``SurveyError`` where there are none or they don't settle on one place.
    """
    net = network(project, readings)
    return Surveyed(net, net.fit(), project)


__all__ = ["Place", "SurveyError", "Surveyed", "survey"]
