"""A strut held by the upright: what bends it, how deep it is held, what camber its slot gives."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.project.model import Clamp
from kinematics.statics.curves import Floats


@dataclass(frozen=True)
class StrutLoad:
    """Bending of a strut, (...,): its top bearing holds the upright upright by a side force.

    side : force square to the strut at the top bearing (N). at_gland : bending moment of the
    shaft where it enters the body (N mm); NaN where the body's length is not known. at_clamp :
    bending moment of the body where it leaves the clamp (N mm).
    """

    side: Floats
    at_gland: Floats
    at_clamp: Floats


def strut_load(
    side: Floats, length: Floats, body_length: float | None, held_above_foot: float
) -> StrutLoad:
    """Bending from the side force at the top bearing.

    side : size of the force (N). length : foot to top bearing (mm). body_length : foot to the top
    of the damper's body. held_above_foot : how far above the foot the clamp's upper edge is. The
    side force is the only one on the strut above its clamp that is not along it, so that its
    moment grows straight from nothing at the top bearing.
    """
    gland = np.nan if body_length is None else length - body_length
    return StrutLoad(side, side * gland, side * (length - held_above_foot))


def slot_camber(clamp: Clamp) -> float | None:
    """How far the slot lets the upright lean either way of its middle, rad; None without a slot.

    One of two bolts, ``bolt_spacing`` apart, shifts half the slot either way.
    """
    if not clamp.slot or clamp.bolt_spacing is None:
        return None
    return float(np.arctan(0.5 * clamp.slot / clamp.bolt_spacing))


def insertion_left(clamp: Clamp) -> float | None:
    """Insertion above its maker's least, mm; negative is too little; None where it is not given."""
    return None if clamp.least_insertion is None else clamp.insertion - clamp.least_insertion
