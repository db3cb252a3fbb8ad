"""An arm on a chassis hinge that follows its ball: its pose from where the ball is.

A turn by θ about a fixed line is linear in (1, cos θ, sin θ), so one small matrix gives the pose.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.frames import Array, skew
from kinematics.motion.mechanism import Mechanism
from kinematics.project.model import Ball, Hinge


@dataclass(frozen=True)
class Swing:
    """The ball is the point ``tip`` of the body ``other``. ``seen`` (2, 3) gives the cosine and
    sine, times a length, of the arm's turn from the ball's place less ``pivot`` (3, 1); ``turned``
    (12, 3) the rotation and position from (1, cosine, sine)."""

    tip: str
    other: str
    pivot: Array
    seen: Array
    turned: Array

    def pose(self, ball: Array) -> tuple[Array, Array]:
        """Rotation (3, 3, n) and position (3, n) with the ball at (3, n)."""
        part = np.empty((3, ball.shape[-1]), dtype=ball.dtype)
        np.matmul(self.seen, ball - self.pivot, out=part[1:])
        size = np.sqrt(part[1] * part[1] + part[2] * part[2])
        part[0] = 1.0
        part[1:] /= size
        out = np.matmul(self.turned, part)
        return out[:9].reshape(3, 3, -1), out[9:]


def swing(mechanism: Mechanism, body: str, hinge_name: str, ball_name: str) -> Swing:
    """How an arm on a hinge of the chassis follows its ball."""
    hinge, ball = mechanism.joints[hinge_name], mechanism.joints[ball_name]
    assert isinstance(hinge, Hinge)
    assert isinstance(ball, Ball)
    pivot, rear, tip = (mechanism.xyz[mechanism.points[p]] for p in (*hinge.along, ball.at))
    axis = (pivot - rear) / np.linalg.norm(pivot - rear)
    start = tip - pivot
    start = start - axis * (axis @ start)
    matrix = [np.outer(axis, axis), np.eye(3) - np.outer(axis, axis), skew(axis)]
    whole = np.concatenate([np.array(matrix).reshape(3, 9), [-m @ pivot for m in matrix]], axis=1)
    whole[0, 9:] += pivot
    other = ball.bodies[0] if ball.bodies[1] == body else ball.bodies[1]
    seen = np.array([start, np.cross(axis, start)])
    return Swing(ball.at, other, pivot[:, None], seen, np.ascontiguousarray(whole.T))
