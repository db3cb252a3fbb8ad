"""Exact sensitivities of every figure to every point and length."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.frames import Array
from kinematics.measures.ackermann import mirrored
from kinematics.measures.measure import figures, measure, pair_figures
from kinematics.motion import Motion
from kinematics.motion.sensitivity import STEP, Dimension, dimensions, nudged
from kinematics.project.model import Project
from kinematics.project.unfold import unfold


@dataclass(frozen=True, eq=False)
class Sensitivity:
    """How figures and carried points change per mm of each of ``dims``.

    ``figures`` by key, each (dims, nz, ns), in the figure's unit (rad, mm) per mm.
    """

    dims: tuple[Dimension, ...]
    figures: dict[str, Array]
    motions: tuple[Motion, ...]

    def shift(self, body: str, xyz: Array | tuple[float, float, float]) -> Array:
        """How a point (3,) of a body moves per mm of each dimension, (dims, nz, ns, 3).

        ``xyz`` as measured, and itself not among what changes.
        """
        return np.stack([motion.carry(body, xyz).imag / STEP for motion in self.motions])


def sensitivity(project: Project, motion: Motion, dims: Sequence[str] | None = None) -> Sensitivity:
    """Exact derivatives of every figure at every pose, by implicit differentiation.

    ``dims`` names points (``top``), coordinates (``top.x``) or links (their length); all of the
    corner's if left out. Moving a point changes the lengths of what is fixed to it, as if it had
    been measured there; a link's own length is an adjustment. NaN where a figure has no value.
    """
    project = unfold(project)
    wanted = dimensions(motion.linkage, dims)
    had = {key: np.isfinite(value) for key, value in measure(project, motion).figures.items()}
    found: dict[str, list[Array]] = {}
    motions = []
    opposite = mirrored(project, motion)
    others = [pair[0] for pair in nudged(opposite, wanted)] if opposite else [None] * len(wanted)
    for (moving, standing), other in zip(nudged(motion, wanted), others, strict=True):
        motions.append(moving)
        with np.errstate(invalid="ignore", divide="ignore"):
            values = figures(project, moving, standing)
            values |= pair_figures(project, other, standing, values["steer"])
        for key, value in values.items():
            slope = (value.imag / STEP).reshape(motion.shape)
            found.setdefault(key, []).append(np.where(had[key], slope, np.nan))
    stacked = {key: np.stack(slopes) for key, slopes in found.items()}
    return Sensitivity(wanted, stacked, tuple(motions))
