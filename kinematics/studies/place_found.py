"""Joints, spring, damper and lean at every place of a map, from the motion it looked at."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from kinematics.motion import Motion
from kinematics.motion.variants import Variants
from kinematics.project.model import Coilover
from kinematics.studies.near_ends import lengths_that_stop
from kinematics.studies.place_joints import sliding_joints, strut_joints
from kinematics.studies.place_limits import Limits, Stands, spring_use
from kinematics.studies.strut_places import lean_change
from kinematics.studies.study import Setting
from kinematics.studies.top_ends import TopEnds

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

SAME = 1e-4
"""mm: a damper this near to its end is at it."""


@dataclass(frozen=True, eq=False)
class Seen:
    """The motion looked at and which of its poses are whose: as in ``placed``."""

    motion: Motion
    rows: Ints
    valid: Bools
    common: Array
    offset: Array
    rack: float


def limits_of(setting: Setting, met: TopEnds, seen: Seen, found: Variants | None) -> Limits:
    """Everything besides clearance, (n,) each."""
    project, count = setting.unfolded, len(seen.offset)
    coilover = project.coilover
    assert coilover is not None
    setup = int(np.argmin(np.abs(seen.common)))
    camber = toe = np.zeros(count)
    if found is None:
        joints = sliding_joints(project, seen.motion, seen.rows, seen.valid, seen.offset)
    else:
        joints = strut_joints(project, seen.motion, setup, seen.valid, seen.offset)
        camber, toe = lean_change(setting, found)
    travel = np.column_stack([np.broadcast_to(seen.common, (count, len(seen.common))), met.ends])
    at = np.take_along_axis(travel, joints.sample.clip(min=0)[:, None], axis=1)[:, 0]
    none = joints.joint < 0
    stands = met.stands == Stands.YES
    longest, shortest = _lengths(setting, coilover, seen, found is not None)
    spring = spring_use(project, longest, shortest)
    most, least = lengths_that_stop(coilover)
    spare = np.minimum(most - longest, shortest - least)

    def known(values: Array) -> Array:
        return np.where(stands, values, np.nan)

    return Limits(
        joints=joints.joints,
        stands=met.stands,
        joint_left=joints.left,
        joint=joints.joint,
        joint_travel=np.where(none, np.nan, at),
        joint_rack=np.where(none, np.nan, seen.rack),
        spring=np.where(stands, spring.state, -1),
        spring_squash=known(spring.squash),
        spring_left=known(spring.left),
        spring_spare=known(spring.spare),
        damper=met.damper,
        damper_left=known(np.where(np.abs(spare) < SAME, 0.0, spare)),
        meets=met.meets,
        camber=known(camber),
        toe=known(toe),
    )


def _lengths(setting: Setting, coilover: Coilover, seen: Seen, strut: bool) -> tuple[Array, Array]:
    """The longest and the shortest of the damper at every place (n,), mm."""
    points = setting.unfolded.points
    foot = seen.motion.carry(coilover.foot.body, np.asarray(points[coilover.foot.point]))
    foot = foot.reshape(-1, 3)
    foot = foot.reshape(*seen.rows.shape, 3) if strut else foot[seen.rows]
    top = np.asarray(points[coilover.top.point]) + seen.offset
    length = np.linalg.norm(foot - top[:, None], axis=2)
    longest = np.where(seen.valid, length, -np.inf).max(axis=1)
    return longest, np.where(seen.valid, length, np.inf).min(axis=1)
