"""Where every body and point is, over a flat list of positions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from kinematics.motion.motion import Motion
from kinematics.project.model import CHASSIS, End, Xyz

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Positions:
    """Poses of all bodies at n positions.

    points : as measured, by name. rotation : body to (n, 3, 3). position : body to (n, 3). A point
    as measured goes to rotation @ point + position; the chassis may be left out. shifts : points
    that shims have moved on one body, with that body and by how much (3,).
    """

    points: Mapping[str, Xyz | Floats]
    rotation: Mapping[str, Floats]
    position: Mapping[str, Floats]
    count: int
    shifts: Mapping[str, tuple[str, Floats]] = field(default_factory=dict)

    def carry(self, body: str, point: str) -> Floats:
        """A named point as carried by a body: (n, 3), mm."""
        xyz = np.asarray(self.points[point], float)
        on, by = self.shifts.get(point, (body, 0.0))
        if on != body:
            xyz = xyz - by
        if body == CHASSIS:
            return np.broadcast_to(xyz, (self.count, 3))
        return np.asarray(self.rotation[body] @ xyz + self.position[body])

    def at(self, end: End) -> Floats:
        """One end of a member: (n, 3), mm."""
        return self.carry(end.body, end.point)

    def turned(self, body: str, direction: Floats) -> Floats:
        """A direction as measured, turned with a body: (n, 3)."""
        if body == CHASSIS:
            return np.broadcast_to(direction, (self.count, 3))
        return np.asarray(self.rotation[body] @ direction)

    def turned_back(self, body: str, directions: Floats) -> Floats:
        """Directions (n, 3) seen from a body, as it was measured."""
        if body == CHASSIS:
            return directions
        return np.asarray((self.rotation[body].mT @ directions[..., None])[..., 0])

    def without_set_up(self) -> Positions:
        """All but index 0."""
        rotation = {body: each[1:] for body, each in self.rotation.items()}
        position = {body: each[1:] for body, each in self.position.items()}
        return Positions(self.points, rotation, position, self.count - 1, self.shifts)


def over(motion: Motion) -> Positions:
    """The grid of a motion flattened, travel slowest, with set-up height put first: index 0.

    Positions not reached are NaN.
    """
    linkage = motion.linkage
    rotation, position = {}, {}
    for k, body in enumerate(motion.bodies):
        grid = np.moveaxis(motion.flat_rotation[k], -1, 0), motion.flat_position[k].T
        set_up = linkage.rotation[k, :, :, 0], linkage.position[k, :, 0]
        rotation[body] = np.concatenate([set_up[0][None], grid[0]])
        position[body] = np.concatenate([set_up[1][None], grid[1]])
    points = {name: motion.xyz[i] for name, i in linkage.mechanism.points.items()}
    count = 1 + motion.shape[0] * motion.shape[1]
    return Positions(points, rotation, position, count, linkage.mechanism.shifts)


def grid(flat: Floats, motion: Motion) -> Floats:
    """Back from a flat list that begins with set-up height to the grid: (nz, ns, ...)."""
    return flat[1:].reshape(*motion.shape, *flat.shape[1:])
