"""How everything stands that readings can tell: points, stands, hub frame, mount stack, positions.

Axes are the car's. The floor's frame has x along the centre string, y left, z up from the floor:
a point ``p`` of the car is at ``R p + t`` there.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.frames import Array, turn, unit
from kinematics.measures.measure import wheel_axis
from kinematics.project.model import Project
from kinematics.project.survey import Stands

STANCE = ("nose_up_deg", "left_up_deg", "turned_deg", "forward", "left", "lifted")
FACES = ("plate", "shoulder", "hat")
USUAL_STACK = (12.0, 25.0, -35.0)  # mm above the bearing's centre, to begin from


@dataclass(frozen=True, eq=False)
class Standing:
    """One guess at everything.

    ``xyz`` (n, 3); ``stance`` (6,) nose up, left side up and turned in rad, forward, left and
    lifted in mm; ``hub`` (3, 3) columns front, out and up of the hub's face; ``stack`` (3,) how
    far plate, shoulder and hat lie above the bearing's centre; ``heights`` (k,) of the wheel
    centre in each further position, car axes.
    """

    xyz: Array
    stance: Array
    hub: Array
    stack: Array
    heights: Array

    def moved(self, change: Array) -> Standing:
        """After a change (3n + 12 + k,) of all of it, in that order."""
        n = self.xyz.size
        spin = change[n + 6 : n + 9]
        angle = float(np.linalg.norm(spin))
        hub = turn(unit(spin), np.array(angle)) @ self.hub if angle > 0 else self.hub
        return Standing(
            self.xyz + change[:n].reshape(-1, 3),
            self.stance + change[n : n + 6],
            hub,
            self.stack + change[n + 9 : n + 12],
            self.heights + change[n + 12 :],
        )


def begin(project: Project, positions: tuple[str, ...]) -> Standing:
    """Where the project says things are, to begin from."""
    survey = project.survey
    stands = Stands() if survey is None else survey.stands
    stance = np.array([getattr(stands, name) or 0.0 for name in STANCE])
    stance[:3] = np.radians(stance[:3])
    spring = project.coilover.spring if project.coilover else None
    stack = np.array(USUAL_STACK)
    if spring is not None:
        stack[2] = -spring.end_from_top
    at = project.points[project.wheel.centre][2]
    return Standing(
        np.array(list(project.points.values()), dtype=float),
        stance,
        hub_frame(project),
        stack,
        np.full(len(positions), at),
    )


def hub_frame(project: Project) -> Array:
    """Columns front, out and up of the hub's face as the wheel stands, (3, 3)."""
    out = wheel_axis(project)
    up = unit(np.array([0.0, 0.0, 1.0]) - out * out[2])
    front = np.cross(out, up) if project.side == "left" else np.cross(up, out)
    return np.stack([front, out, up], axis=1)


def floor_frame(stance: Array) -> tuple[Array, Array, Array]:
    """The floor frame's R (3, 3), t (3,) and the derivatives (3, 3, 3) of R by its three angles."""
    nose, left, turned = stance[:3]
    x, y, z = np.eye(3)
    a, b, c = turn(z, turned), turn(y, -nose), turn(x, left)
    by = np.stack(
        [
            a @ (-_cross(y) @ b) @ c,
            a @ b @ (_cross(x) @ c),
            (_cross(z) @ a) @ b @ c,
        ]
    )
    return a @ b @ c, stance[3:], by


def _cross(axis: Array) -> Array:
    x, y, z = axis
    return np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
