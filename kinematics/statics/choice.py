"""Choosing a spring: the rates at which neither end of the travel is dishonest.

A soft spring needs a long free length to carry the car and runs out of coil gaps in bump; a stiff
one needs so short a free length that it hangs loose in droop. Between the two lies the window.
Lengths in mm, forces in N, rates in N/mm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from kinematics import springs
from kinematics.statics.curves import Floats


@dataclass(frozen=True)
class Seats:
    """What the coilover gives the spring: the room between its seats, and the load.

    droop, ride, bump : room for the spring at full droop, ride height and full bump (mm).
    load : force it must carry at ride height (N). lip : height of the locating lip (mm), the
    slack at which a loose spring is still captive.
    """

    droop: float
    ride: float
    bump: float
    load: float
    lip: float = 0.0


@dataclass(frozen=True)
class Winding:
    """How the spring is wound: wire and mean diameter (mm), ends and shear modulus (N/mm^2)."""

    wire: float
    mean: float
    ends: springs.Ends = "ground"
    shear: float = springs.SHEAR_MODULUS


@dataclass(frozen=True)
class Choice:
    """Springs of given rates wound to carry the load at ride height: arrays (n,).

    rate : N/mm. free : length on the bench (mm). active : active coils. shortest : the shortest
    safe length (mm). loose : slack at full droop (mm, negative is still squashed). left : room
    at full bump above the shortest safe length (mm). honest : captive in droop and safe in bump.
    """

    rate: Floats
    free: Floats
    active: Floats
    shortest: Floats
    loose: Floats
    left: Floats
    honest: np.typing.NDArray[np.bool_]


def shortest_safe(winding: Winding, active: ArrayLike) -> Floats:
    """Solid length plus the gaps to keep under a moving load, mm."""
    total = springs.total_coils(active, winding.ends)
    solid = springs.solid_length(winding.wire, total, winding.ends)
    return solid + springs.least_gaps(winding.wire, winding.mean, active)


def choices(seats: Seats, winding: Winding, rates: ArrayLike) -> Choice:
    """What each of ``rates`` would need and leave."""
    k = np.atleast_1d(np.asarray(rates, float))
    free = seats.ride + seats.load / k
    active = springs.active_coils(winding.wire, winding.mean, k, winding.shear)
    shortest = shortest_safe(winding, active)
    loose, left = seats.droop - free, seats.bump - shortest
    return Choice(k, free, active, shortest, loose, left, (loose <= seats.lip) & (left >= 0.0))


def rate_window(seats: Seats, winding: Winding) -> tuple[float, float]:
    """Least rate (safe at full bump) and greatest rate (captive at full droop), N/mm.

    In closed form, since every length is linear in the active coils or in 1/rate. The least is
    infinite where the wire has no room at full bump whatever the coils; the window is empty when
    the least is above the greatest: then lengthen the spring's room, or wind it wider, of thinner
    wire, or add a helper.
    """
    no_coils = float(shortest_safe(winding, 0.0))
    per_coil = float(shortest_safe(winding, 1.0)) - no_coils
    room = seats.bump - no_coils
    stretch = seats.droop - seats.lip - seats.ride
    greatest = seats.load / stretch if stretch > 0.0 else np.inf
    if room <= 0.0:
        return np.inf, float(greatest)
    least = springs.rate(winding.wire, winding.mean, room / per_coil, winding.shear)
    return float(least), float(greatest)
