"""Random corners: the test corners with every point moved at random."""

from __future__ import annotations

import msgspec
import numpy as np

from kinematics.project.model import Project
from tests.motion.corners import ALL

NAMES = tuple(ALL)


def shaken(name: str, rng: np.random.Generator, size: float) -> Project:
    """A corner of that arrangement with every point moved by up to ``size`` mm each way."""
    project = ALL[name]()
    points = {
        k: tuple(float(x) for x in np.add(v, rng.uniform(-size, size, 3)))
        for k, v in project.points.items()
    }
    return msgspec.structs.replace(project, points=points)


def with_points(project: Project, points: dict[str, np.ndarray], **more: object) -> Project:
    plain = {k: tuple(float(x) for x in v) for k, v in points.items()}
    return msgspec.structs.replace(project, points=plain, **more)


def scaled_coilover(project: Project, k: float) -> object:
    coilover = project.coilover
    if coilover is None:
        return None
    return msgspec.structs.replace(
        coilover, open=coilover.open * k, closed=coilover.closed * k, bump_stop=None
    )
