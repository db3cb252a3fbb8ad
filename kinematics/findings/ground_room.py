"""Room between parts and level ground, at every position and between neighbouring travels.

A part's point p and a point q of the wheel, both carried along the proved motion, leave the
straight line between two travel samples by no more than their strays (see ``shapes.poses``). A
part is at no position lower than its lowest points, and the ground no higher than any one point
of the wheel that stands on it; so over a whole interval

    room >= min over both ends of (lowest of the part - height of q) - stray of p - stray of q,

with q the point that touches at one of the ends. Between rack positions nothing is known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from kinematics.measures.ground import loaded_radius
from kinematics.motion import Motion
from kinematics.project.model import Project
from kinematics.shapes.directions import around
from kinematics.shapes.lowest import lowest
from kinematics.shapes.pieces import Part
from kinematics.shapes.poses import Poses
from kinematics.shapes.sections import rim_section
from kinematics.shapes.wheel import axis, middle, rim_outlines

Array = npt.NDArray[np.float64]

CHORD = 1e-3
"""By how much the rim may be taken too small, mm: the room is then told too small."""


@dataclass(frozen=True, eq=False)
class Room:
    """Room to the ground of parts (parts, nz, ns), and of all between two travels, mm.

    low : at the positions, NaN where not reached. between (parts, nz - 1, ns) : no more than the
    least over each whole interval, infinite where nothing is known.
    """

    low: Array
    between: Array


def foot(project: Project, flat: bool) -> Array:
    """What the wheel stands on: points (k, 2) of its outline, distance from the axis and along it.

    A tyre with air stands on its loaded radius; a flat one on its ``flat_radius`` or the rim.
    """
    tyre = project.wheel.tyre
    if not flat:
        return np.array([[loaded_radius(project), 0.0]])
    if tyre.flat_radius is not None:
        return np.array([[tyre.flat_radius, 0.0]])
    outlines = rim_outlines(rim_section(project.wheel))
    return np.concatenate([outline.points(CHORD) for outline in outlines])


def room(project: Project, parts: Sequence[Part], motion: Motion, on: Array) -> Room:
    """The room of some of a project's parts over a motion by travel."""
    poses = Poses(motion)
    nz, ns = motion.shape
    touching, stray = _touching(project, poses, on)
    heights = np.array([np.broadcast_to(lowest(part), nz * ns) for part in parts])
    low = heights.reshape(-1, nz, ns) - touching[..., 2]
    strays = np.array([_stray(part, nz, ns) for part in parts]) + stray
    lower, upper = low[:, :-1], heights.reshape(-1, nz, ns)[:, 1:]
    carried = _carried(poses, project.wheel.body, touching)
    between = np.fmin(lower, upper - carried) - strays
    known = np.isfinite(low[:, :-1]) & np.isfinite(low[:, 1:]) & np.isfinite(between)
    return Room(low, np.where(known, between, np.inf))


def _touching(project: Project, poses: Poses, on: Array) -> tuple[Array, Array | float]:
    """The wheel's lowest points (nz, ns, 3), and the stray (nz - 1, ns) of any such point."""
    body, way, centre = project.wheel.body, axis(project), middle(project)
    at, turned = poses.axis(body, centre, way)
    r, along = on.T
    level = np.sqrt(np.maximum(1.0 - turned[:, 2] ** 2, 1e-18))
    k = np.argmin(np.multiply.outer(turned[:, 2], along) - np.multiply.outer(level, r), axis=1)
    down = (turned * turned[:, 2:] - [0.0, 0.0, 1.0]) / level[:, None]
    lowest_point = at + along[k, None] * turned + r[k, None] * down
    hull = around(np.array([centre + along.min() * way, centre + along.max() * way + 1e-9 * way]),
                  float(r.max()))  # fmt: skip
    return lowest_point.reshape(*poses.motion.shape, 3), poses.stray(body, hull)


def _carried(poses: Poses, body: str, at: Array) -> Array:
    """Heights (nz - 1, ns) of carried points (nz, ns, 3) at the next travel."""
    nz, ns, _ = at.shape
    rotation, position = (x.reshape(nz, ns, *x.shape[1:]) for x in poses.frame(body))
    measured = np.einsum("zsji,zsj->zsi", rotation[:-1], at[:-1] - position[:-1])
    return np.asarray(np.einsum("zsi,zsi->zs", rotation[1:, :, 2], measured) + position[1:, :, 2])


def _stray(part: Part, nz: int, ns: int) -> Array:
    """The most that any point of a part strays, (nz - 1, ns) mm."""
    strays = [np.asarray(given, float) for given in part.sagitta or (0.0,)]
    whole = [given[:, None] if given.ndim == 1 else given for given in strays]
    every = [np.broadcast_to(given, (max(nz - 1, 0), ns)) for given in whole]
    return np.asarray(np.max(every, axis=0))
