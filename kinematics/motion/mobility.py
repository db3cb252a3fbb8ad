"""Mobility: does the corner move, does it move too freely, do its members fight?"""

from __future__ import annotations

import numpy as np

from kinematics.frames import Array
from kinematics.motion.errors import MotionError
from kinematics.motion.mechanism import Mechanism


def refuse_unless_definite(built: Mechanism, jacobian: Array) -> None:
    """Raise ``MotionError`` unless the rows (rows, columns) fix every unknown."""
    rows, columns = jacobian.shape
    strength = np.linalg.svd(jacobian, compute_uv=False)
    rank = int((strength > 1e-7 * strength[0]).sum())
    if rank < columns:
        raise MotionError(f"This corner has {columns - rank} free motions too many.")
    if rank < rows:
        raise MotionError(f"This corner is over-held: {rows - rank} members too many.")
