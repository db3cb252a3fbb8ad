"""The angle every joint uses at every pose, and what it has, from ``motion.bearings``."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.frames import Array
from kinematics.motion import Motion
from kinematics.motion.bearings import bearing_uses
from kinematics.motion.positions import grid, over


@dataclass(frozen=True)
class JointAngle:
    """One joint: the ``member`` that swivels at the ``point``.

    ``angle`` (nz, ns) in rad, how far its housing is tilted on its bolt; ``limit`` in rad, NaN
    where none is given; ``twist`` (nz, ns) of a bonded bush about its bolt, None for others.
    ``usual`` names what was not typed and is taken as usual.
    """

    member: str
    point: str
    angle: Array
    limit: float
    twist: Array | None
    usual: tuple[str, ...]

    @property
    def left(self) -> Array:
        """Angle left (nz, ns) before it binds; NaN without a limit."""
        return np.asarray(self.limit - self.angle)


def joint_angles(motion: Motion) -> tuple[JointAngle, ...]:
    """Every joint of the corner over the motion's grid; NaN where a pose was not reached.

    Raises ``ProjectError`` for bearing sizes that can't be.
    """
    return tuple(
        JointAngle(
            use.member,
            use.point,
            grid(use.angle, motion),
            use.limit,
            None if use.twist is None else grid(use.twist, motion),
            use.usual,
        )
        for use in bearing_uses(motion.linkage.project, over(motion))
    )
