"""The spring on its coilover, in the figures a builder asks for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.project.model import Coilover, Spring
from kinematics.statics import elements, springs
from kinematics.statics.curves import Floats, ForceCurve


@dataclass(frozen=True)
class SpringSheet:
    """What is known of the spring; None where the project does not say enough.

    rate : of the main spring (N/mm). free : of the stack with its helper (mm). solid, shortest :
    of the main spring pressed flat, and the shortest safe (mm). helper_flat : what the helper adds
    when it is pressed flat (mm). growth : of the outside diameter when pressed flat, the larger of
    two published forms (mm). buckles_at : squash at which it would buckle unguided between square
    ends (mm, infinite if never). inside_gap : between coils and damper body all round, after
    nothing is allowed for bowing (mm). curve : force against squash of the stack.
    """

    rate: float | None
    free: float | None
    solid: float | None
    shortest: float | None
    helper_flat: float
    growth: float | None
    buckles_at: float | None
    inside_gap: float
    curve: ForceCurve | None

    @property
    def least_room(self) -> float | None:
        """Shortest safe length of the whole stack, mm."""
        return None if self.shortest is None else self.shortest + self.helper_flat


def sheet(coilover: Coilover) -> SpringSheet | None:
    """The spring's sheet; None without a spring. Raises ProjectError for what can't be wound."""
    spring = coilover.spring
    if spring is None:
        return None
    helper = spring.helper
    return SpringSheet(
        rate=elements.spring_rate(spring),
        free=None if spring.free is None else elements.spring_free(spring),
        solid=elements.solid_length(spring),
        shortest=elements.shortest_safe(spring),
        helper_flat=helper.solid if helper else 0.0,
        growth=_growth(spring),
        buckles_at=_buckles_at(spring),
        inside_gap=0.5 * (spring.outside - coilover.body_diameter) - spring.wire,
        curve=elements.spring_curve(spring),
    )


def turn(spring: Spring, squash: Floats) -> Floats:
    """How far hat and seat turn against each other when free to, at a squash (mm) of the main
    spring; rad, NaN where the coils are not known."""
    active, pitch = elements.active_coils(spring), _pitch(spring)
    if active is None or pitch is None:
        return np.full(np.shape(squash), np.nan)
    mean = spring.outside - spring.wire
    return springs.end_turn(squash, mean, active, pitch, spring.shear_modulus)


def _pitch(spring: Spring) -> float | None:
    active = elements.active_coils(spring)
    if active is None or spring.free is None:
        return None
    return float(springs.pitch(spring.free, spring.wire, active, spring.ends))


def _growth(spring: Spring) -> float | None:
    pitch = _pitch(spring)
    if pitch is None:
        return None
    return float(springs.growth(spring.wire, spring.outside - spring.wire, pitch))


def _buckles_at(spring: Spring) -> float | None:
    if spring.free is None:
        return None
    mean = spring.outside - spring.wire
    return float(springs.buckles_at(spring.free, mean, shear=spring.shear_modulus))
