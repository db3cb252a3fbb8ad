"""The distance of two parts chosen by hand, in the position on show."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from app.document.live import Pose
from kinematics.clearance import clearances
from kinematics.studies.study import Study

Array = NDArray[np.float64]


def between(pose: Pose, found: Study, a: str, b: str) -> tuple[float, tuple[Array, Array]] | None:
    """The clearance of two parts at one position, mm, and a point (3,) on each.

    None where a study does not check these two against each other.
    """
    pair = next((p for p, names in enumerate(found.names) if set(names) == {a, b}), None)
    if pair is None:
        return None
    setting, motion = pose.setting, pose.motion
    i, j = found.clearances.pairs[pair]
    parts = setting.builder(motion)
    joints = [
        replace(joint, part_a=0, part_b=1)
        for joint in setting.joints(motion)
        if (joint.part_a, joint.part_b) == (i, j)
    ]
    now = clearances((parts[i], parts[j]), [(0, 1)], tol=found.tolerance, joints=joints, threads=1)
    return float(now.low[0, 0, 0]), (now.point_a[0, 0, 0], now.point_b[0, 0, 0])
