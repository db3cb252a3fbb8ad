"""What the corner pushes and pulls the chassis with, joint by joint: where gussets must go."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.project.model import CHASSIS, Project
from kinematics.statics.curves import Floats
from kinematics.statics.forces import Forces
from kinematics.statics.loading import top_force
from kinematics.statics.reactions import COILOVER


@dataclass(frozen=True)
class ChassisPush:
    """The force of one joint on the body that holds it: the chassis, or what the top stands on.

    member, place : as in `JointForce`. at : (n, 3) mm. force : (cases, n, 3) N. top : it is the
    top mount's, a strut's side force included.
    """

    member: str
    place: str
    at: Floats
    force: Floats
    top: bool

    @property
    def size(self) -> Floats:
        """How big it is, (cases, n), N."""
        return np.asarray(np.linalg.norm(self.force, axis=-1))


def on_chassis(project: Project, forces: Forces) -> tuple[ChassisPush, ...]:
    """Every joint's force on the chassis; the top mount's first. ``project`` is unfolded."""
    coilover = project.coilover
    top = "" if coilover is None else coilover.top.point
    found: list[ChassisPush] = []
    for joint in forces.joints:
        if joint.member == COILOVER:
            whole = top_force(forces, top)
            found.insert(0, ChassisPush(COILOVER, top, joint.against_at, whole, True))
        elif joint.place == top:
            continue  # its part of the top mount's force is in that already
        elif joint.on == CHASSIS:
            found.append(ChassisPush(joint.member, joint.place, joint.at, joint.force, False))
        elif joint.against == CHASSIS:
            at, force = joint.against_at, -joint.force
            found.append(ChassisPush(joint.member, joint.place, at, force, False))
    return tuple(found)
