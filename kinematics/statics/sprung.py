"""The spring on its coilover, in the figures a builder asks for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics import springs
from kinematics.project import coils
from kinematics.project.model import Coilover, Spring
from kinematics.statics import elements
from kinematics.statics.curves import Floats, ForceCurve


@dataclass(frozen=True)
class SpringSheet:
    """What is known of the spring; None where the project does not say enough.

    rate : of the main spring (N/mm). free : of the stack with its helper (mm). solid, shortest :
    of the main spring pressed flat, and the shortest safe, or of an inner spring where that is the
    longer (mm). helper_flat : what the helper adds
    when it is pressed flat (mm). growth : of the outside diameter when pressed flat, the larger of
    two published forms (mm). buckles_at : squash at which it would buckle unguided between square
    ends (mm, infinite if never). inside_gap : between the innermost coils and the damper's body all
    round, nothing allowed for bowing (mm). nested_gap : between an inner spring and the coils round
    it, likewise; None without one. curve : force against squash of the stack.
    """

    rate: float | None
    free: float | None
    solid: float | None
    shortest: float | None
    helper_flat: float
    growth: float | None
    buckles_at: float | None
    inside_gap: float
    nested_gap: float | None
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
    helper, inner = spring.helper, spring.inner
    least = inner.solid if inner else 0.0
    innermost = inner or spring
    return SpringSheet(
        rate=coils.spring_rate(spring),
        free=None if spring.free is None else elements.spring_free(spring),
        solid=_at_least(coils.solid_length(spring), least),
        shortest=_at_least(coils.shortest_safe(spring), least),
        helper_flat=helper.solid if helper else 0.0,
        growth=coils.growth_flat(spring),
        buckles_at=_buckles_at(spring),
        inside_gap=0.5 * (innermost.outside - coilover.body_diameter) - innermost.wire,
        nested_gap=0.5 * (spring.outside - inner.outside) - spring.wire if inner else None,
        curve=elements.spring_curve(spring),
    )


def _at_least(length: float | None, least: float) -> float | None:
    return None if length is None else max(length, least)


def turn(spring: Spring, squash: Floats) -> Floats:
    """How far hat and seat turn against each other when free to, at a squash (mm) of the main
    spring; rad, NaN where the coils are not known."""
    active, pitch = coils.active_coils(spring), coils.pitch(spring)
    if active is None or pitch is None:
        return np.full(np.shape(squash), np.nan)
    mean = coils.mean_diameter(spring)
    return springs.end_turn(squash, mean, active, pitch, spring.shear_modulus)


def _buckles_at(spring: Spring) -> float | None:
    if spring.free is None:
        return None
    mean = coils.mean_diameter(spring)
    return float(springs.buckles_at(spring.free, mean, shear=spring.shear_modulus))
