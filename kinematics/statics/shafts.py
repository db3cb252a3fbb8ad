"""Drive-shaft joints: angles, plunge, and what a cross joint does to the turning.

Angles in rad, lengths in mm, directions as unit vectors with components last. How far a joint may
bend and slide depends on its maker; common practice, no source: a fixed ball joint 45 to 50
degrees, a sliding tripod 23 to 26 degrees, plunge 40 to 50 mm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kinematics.motion.swivels import angle_between

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class ShaftState:
    """A drive shaft over a grid of positions: all arrays (...,).

    inner, outer : the angles (rad) the shaft makes with the axes of its joints. length : between
    joint centres (mm). plunge : growth of that length since set-up (mm): positive pulls the
    joint apart, negative pushes it home.
    """

    inner: Floats
    outer: Floats
    length: Floats
    plunge: Floats


def shaft_state(
    inner: Floats, outer: Floats, inner_axis: Floats, outer_axis: Floats, set_up_length: float
) -> ShaftState:
    """Angles and plunge from the joint centres and joint axes (..., 3) at each position."""
    span = outer - inner
    length = np.linalg.norm(span, axis=-1)
    line = span / length[..., None]
    return ShaftState(
        inner=angle_between(line, inner_axis),
        outer=angle_between(line, outer_axis),
        length=length,
        plunge=length - set_up_length,
    )


def cross_joint_error(bend: ArrayLike) -> Floats:
    """Greatest angle by which one cross joint's driven side runs ahead or behind; rad.

    atan((1 - cos b)/(2 sqrt(cos b))), the greatest difference of driven and driving angle under
    tan(driven) = tan(driving)/cos b (standard mechanism texts; from memory).
    """
    cosine = np.cos(np.asarray(bend, float))
    return np.asarray(np.arctan(0.5 * (1.0 - cosine) / np.sqrt(cosine)))
