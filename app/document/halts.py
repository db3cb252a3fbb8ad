"""What the wheel stops at, at either end of the travel that a study looked at."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from kinematics.motion.limits import STRAIGHT
from kinematics.motion.motion import Reach

if TYPE_CHECKING:
    from kinematics.motion.limits import Limit
    from kinematics.studies.study import Study

ASKED = "the end of the travel asked for"
LOOKED = "as far as was looked"
CLOSE = 1e-2  # mm of travel: nearer than this the sample is the end itself


def halts(study: Study, j: int, low: float, high: float) -> tuple[str, str]:
    """In words what stops the wheel in droop and in bump at one steer.

    j : the column of the rack position; low, high : the travel that is real there, mm.
    """
    ends = study.setting.ends
    return _halt(study, j, low, -1, ends.droop), _halt(study, j, high, 1, ends.bump)


def _halt(study: Study, j: int, at: float, way: int, end: Limit | None) -> str:
    travel = np.asarray(study.travel, float)
    beyond = int(np.argmin(np.abs(travel - at))) + way
    if 0 <= beyond < len(travel):  # it was looked at, and isn't reached
        if study.motion.state[beyond, j] == Reach.STRAIGHTENED:
            return STRAIGHT
        return study.motion.reason(beyond, j).removesuffix(" before it")
    if end is not None and abs(end.travel - at) < CLOSE:
        return end.cause
    return LOOKED if study.project.travel is None else ASKED
