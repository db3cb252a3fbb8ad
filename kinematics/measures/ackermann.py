"""Ackermann error: how far a pair of steered wheels is from rolling about one centre.

With both wheels turned about one point on the rear axle's line, their angles δ (left positive), the
distance w between their steering axes on the ground and the wheelbase l obey

    cot δ_right - cot δ_left = w / l

(M. Guiggiani, *The Science of Vehicle Dynamics*; T. D. Gillespie, *Fundamentals of Vehicle
Dynamics*, ch. 8; both from memory). The other wheel is this corner mirrored, on the same rack.
"""

from __future__ import annotations

import numpy as np

from kinematics.frames import Array
from kinematics.measures.steering import is_steered
from kinematics.motion import Motion, move
from kinematics.project.model import Project


def ackermann_error(project: Project, steer: Array, other: Array, axis_y: Array) -> Array:
    """How much more this wheel is steered than would roll true with the other, rad, (n,).

    ``steer`` this wheel's angle, ``other`` that of the same corner with the rack the opposite way,
    ``axis_y`` (1,) how far outboard of the centre plane the steering axis meets the ground at
    set-up height. Positive: turned more, in the way it is turned. NaN without a wheelbase.
    """
    if project.wheelbase is None:
        return np.full(steer.shape, np.nan)
    out = 1.0 if project.side == "left" else -1.0
    opposite = np.tan(-other)
    share = 2.0 * axis_y / project.wheelbase
    ideal = np.arctan(opposite / (1.0 - out * share * opposite))
    return np.asarray(np.sign(steer.real) * (steer - ideal))


def mirrored(project: Project, motion: Motion) -> Motion | None:
    """The motion with the rack the opposite way; None where the error is not asked or defined."""
    steered = is_steered(motion.linkage.mechanism)
    if project.wheelbase is None or not steered or motion.by != "travel":
        return None
    return move(motion.linkage, motion.travel, -motion.rack, prove=False)
