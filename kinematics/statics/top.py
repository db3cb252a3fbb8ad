"""The top bearing: the plate tilt that centres it over the travel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.motion.positions import Positions
from kinematics.project.model import End
from kinematics.statics.cap import smallest_cap
from kinematics.statics.curves import Floats


@dataclass(frozen=True)
class PlateTilt:
    """How to set the plate (or the bearing's bore) so that the coilover swings evenly about it.

    axis : (3,) the bore's direction, upward, in the position measured of the body that holds it.
    largest : the largest angle it then uses (rad), the least there is. forward, left : how far
    the plate's top leans forward and to the left from level (rad).
    """

    axis: Floats
    largest: float

    @property
    def forward(self) -> float:
        """Lean of the bore forward, rad."""
        return float(np.arctan2(self.axis[0], self.axis[2]))

    @property
    def left(self) -> float:
        """Lean of the bore to the left, rad."""
        return float(np.arctan2(self.axis[1], self.axis[2]))


def centred_plate(positions: Positions, foot: End, top: End) -> PlateTilt | None:
    """The bore direction whose largest angle to the coilover is least; None if never reached."""
    line = positions.turned_back(top.body, positions.at(top) - positions.at(foot))
    line = line[np.isfinite(line).all(axis=-1)]
    if not len(line):
        return None
    axis, largest = smallest_cap(line / np.linalg.norm(line, axis=-1, keepdims=True))
    return PlateTilt(axis if axis[2] >= 0.0 else -axis, largest)
