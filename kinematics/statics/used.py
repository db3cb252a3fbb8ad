"""What every joint uses of its angle over a motion, the one nearest its limit first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.motion.bearings import BearingUse
from kinematics.statics.curves import Floats
from kinematics.statics.statics import Statics


@dataclass(frozen=True)
class Used:
    """One joint, or the twist of one bush, over a motion.

    point, member : where, and on what. twist : of a bonded bush about its bolt; else tilt. angle :
    the most (rad), at ``travel`` and ``rack`` (mm). limit : rad, NaN where none is known.
    bearing : the joint with its angle at every position.
    """

    point: str
    member: str
    twist: bool
    angle: float
    travel: float
    rack: float
    limit: float
    bearing: BearingUse

    @property
    def left(self) -> float:
        """Angle left before it binds, rad; negative past it, NaN without a limit."""
        return self.limit - self.angle

    @property
    def share(self) -> float:
        """Share of its limit that it uses; NaN without a limit."""
        return self.angle / self.limit if self.limit else np.inf

    @property
    def angles(self) -> Floats:
        """The angle at every position, (nz, ns), rad."""
        twist = self.bearing.twist
        return self.bearing.angle if not self.twist or twist is None else np.abs(twist)


def used(known: Statics) -> tuple[Used, ...]:
    """Every joint where it uses most, over the motion's own positions; by share of its limit."""
    found = [each for use in known.bearings for each in _of(known, use)]
    return tuple(sorted(found, key=_nearest))


def _of(known: Statics, use: BearingUse) -> list[Used]:
    out = []
    limits = [(False, use.angle, use.limit)]
    if use.twist is not None:
        limits.append((True, np.abs(use.twist), use.twist_limit))
    for twist, angle, limit in limits:
        if np.isfinite(angle).any():
            i, j = np.unravel_index(np.nanargmax(angle), angle.shape)
            travel, rack = float(known.motion.travel[i]), float(known.motion.rack[j])
            out.append(
                Used(
                    use.point, use.member, twist, float(angle[i, j]), travel, rack, float(limit),
                    use,
                )
            )  # fmt: skip
    return out


def _nearest(each: Used) -> tuple[bool, float]:
    known = bool(np.isfinite(each.limit))
    return not known, -(each.share if known else each.angle)
