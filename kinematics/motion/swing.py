"""Arms on chassis hinges that follow their balls: their poses from where the balls are.

A turn by θ about a fixed line is linear in (1, cos θ, sin θ), and a ball's place is linear in the
pose of the body that carries it; so two small matrices give the poses of all arms at once. A pose
is 12 numbers here: the rotation matrix, row by row, and the position.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from kinematics.frames import Array, skew
from kinematics.motion.mechanism import Mechanism
from kinematics.project.model import Ball, End, Hinge


@dataclass(frozen=True)
class Swings:
    """The ``arms`` whose balls are on the body ``other``.

    ``seen`` (2·arms, 12) times the body's pose, less ``pivot`` (2·arms, 1), is the cosine and sine
    of each arm's turn, times a length; ``turned`` (arms, 12, 3) times (1, cosine, sine) its pose.
    """

    other: str
    arms: tuple[str, ...]
    seen: Array
    pivot: Array
    turned: Array

    def poses(self, carrier: Array) -> Array:
        """Poses (arms, 12, n) with the other body at (12, n)."""
        roll = self.seen.dot(carrier)
        roll -= self.pivot
        roll = roll.reshape(-1, 2, carrier.shape[-1])
        size = np.sqrt(np.einsum("ain,ain->an", roll, roll))
        part = np.ones((len(roll), 3, roll.shape[-1]), dtype=roll.dtype)
        np.divide(roll, size[:, None], out=part[:, 1:])
        return np.asarray(np.matmul(self.turned, part))


def swings(mechanism: Mechanism, circles: Mapping[str, tuple[str, str]]) -> tuple[Swings, ...]:
    """The arms by the body that carries their balls; ``circles`` as in ``System``."""
    found: dict[str, list[tuple[str, Array, Array, Array]]] = {}
    for arm, (hinge_name, ball_name) in circles.items():
        hinge, ball = mechanism.joints[hinge_name], mechanism.joints[ball_name]
        assert isinstance(hinge, Hinge)
        assert isinstance(ball, Ball)
        other = ball.bodies[0] if ball.bodies[1] == arm else ball.bodies[1]
        mine = (arm, *_arm(mechanism, hinge, ball.at, mechanism.place(End(ball.at, other))))
        found.setdefault(other, []).append(mine)
    return tuple(
        Swings(
            other,
            tuple(x[0] for x in arms),
            np.concatenate([x[1] for x in arms]),
            np.concatenate([x[2] for x in arms])[:, None],
            np.stack([x[3] for x in arms]),
        )
        for other, arms in found.items()
    )


def _arm(mechanism: Mechanism, hinge: Hinge, tip: str, ball: Array) -> tuple[Array, Array, Array]:
    """One arm's part of ``seen``, ``pivot`` and ``turned``."""
    pivot, rear, end = (mechanism.xyz[mechanism.points[p]] for p in (*hinge.along, tip))
    axis = (pivot - rear) / np.linalg.norm(pivot - rear)
    start = end - pivot
    start = start - axis * (axis @ start)
    turned_by = skew(axis)
    across = np.array([start, turned_by @ start])
    seen = np.concatenate([np.einsum("ki,j->kij", across, ball).reshape(2, 9), across], axis=1)
    along = np.outer(axis, axis)
    matrix = [along, np.eye(3) - along, turned_by]
    turned = np.concatenate([np.array(matrix).reshape(3, 9), [-m @ pivot for m in matrix]], axis=1)
    turned[0, 9:] += pivot
    return seen, across @ pivot, turned.T
