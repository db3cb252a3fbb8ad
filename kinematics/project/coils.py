"""What follows from a spring's entries: rate, coils, lengths, pitch, growth.

Each is as typed, or from wire, diameter and coils by the handbook (`kinematics.springs`), or None
where the entries don't say enough. Lengths in mm, rates in N/mm.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from kinematics import springs
from kinematics.project.equipment import Spring
from kinematics.springs import Floats


def mean_diameter(spring: Spring) -> float:
    """Through the middle of the wire, mm."""
    return spring.outside - spring.wire


def spring_rate(spring: Spring) -> float | None:
    """The main spring's rate (N/mm): typed, or from its wire and coils; None if neither."""
    if spring.rate_n_per_mm is not None:
        return spring.rate_n_per_mm
    if spring.active_coils is None:
        return None
    mean = mean_diameter(spring)
    return float(springs.rate(spring.wire, mean, spring.active_coils, spring.shear_modulus))


def active_coils(spring: Spring) -> float | None:
    """The main spring's active coils: typed, or from its wire and rate; None if neither."""
    if spring.active_coils is not None:
        return spring.active_coils
    if spring.rate_n_per_mm is None:
        return None
    mean, rate = mean_diameter(spring), spring.rate_n_per_mm
    return float(springs.active_coils(spring.wire, mean, rate, spring.shear_modulus))


def solid_length(spring: Spring) -> float | None:
    """The main spring's length pressed flat (mm): typed, or from its coils; None if neither."""
    if spring.solid is not None:
        return spring.solid
    active = active_coils(spring)
    if active is None:
        return None
    total = spring.total_coils or float(springs.total_coils(active, spring.ends))
    return float(springs.solid_length(spring.wire, total, spring.ends))


def shortest_safe(spring: Spring) -> float | None:
    """The main spring's shortest safe length (mm): solid plus the gaps to keep; None if unknown."""
    solid, active = solid_length(spring), active_coils(spring)
    if solid is None or active is None:
        return solid
    return solid + float(springs.least_gaps(spring.wire, mean_diameter(spring), active))


def pitch(spring: Spring) -> float | None:
    """Between neighbouring coils of the free main spring, mm; None if it is not known."""
    active = active_coils(spring)
    if active is None or spring.free is None:
        return None
    return float(springs.pitch(spring.free, spring.wire, active, spring.ends))


def growth_flat(spring: Spring) -> float | None:
    """Growth of the outside diameter pressed flat, mm: the larger of two published forms."""
    free_pitch = pitch(spring)
    if free_pitch is None:
        return None
    return float(springs.growth(spring.wire, mean_diameter(spring), free_pitch))


def growth_in(spring: Spring, room: ArrayLike) -> Floats | None:
    """Growth of the main spring's outside diameter (mm) in ``room`` (...) mm between its seats.

    None where coils or free length are not known. A helper is taken to give nothing way, and so
    the growth is if anything too large. What lies beside a spring loses half of it.
    """
    free_pitch, active = pitch(spring), active_coils(spring)
    if free_pitch is None or active is None or spring.free is None:
        return None
    longest = spring.free + (spring.helper.free if spring.helper else 0.0)
    squash = np.maximum(longest - np.asarray(room, float), 0.0)
    return springs.growth_at(spring.wire, mean_diameter(spring), free_pitch, active, squash)
