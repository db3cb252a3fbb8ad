"""Frames about a direction."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kinematics.frames import cross


def frame(direction: ArrayLike, up: ArrayLike = (0.0, 0.0, 1.0)) -> NDArray[np.float64]:
    """Rotation (3, 3) whose third column is `direction` made unit, its second nearest `up`."""
    z = np.asarray(direction, float)
    z = z / np.linalg.norm(z)
    x = cross(up, z)
    if np.linalg.norm(x) < 1e-6:
        x = cross([1.0, 0.0, 0.0] if abs(z[0]) < 0.9 else [0.0, 1.0, 0.0], z)
    x = x / np.linalg.norm(x)
    return np.stack([x, cross(z, x), z], axis=1)


def around(ends: NDArray[np.float64], radius: float) -> NDArray[np.float64]:
    """Corners (8, 3) of a box that holds the cylinder between two ends."""
    across = frame(ends[1] - ends[0])
    sides = np.array([(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)])
    spokes = radius * sides @ across[:, :2].T
    return np.concatenate([end + spokes for end in ends])
