"""Measures: camber, toe, caster and the rest, each from its definition.

measures = measure(project, motion)
measures["camber"]            # (nz, ns) in rad
FIGURES["camber"].help        # what it means, with its sign
joint_angles(motion)          # the angle every joint uses
"""

from __future__ import annotations

from kinematics.measures.figures import FIGURES, Figure
from kinematics.measures.joint_angles import JointAngle, joint_angles
from kinematics.measures.measure import Measures, measure
from kinematics.measures.sensitivity import Sensitivity, sensitivity

__all__ = [
    "FIGURES",
    "Figure",
    "JointAngle",
    "Measures",
    "Sensitivity",
    "joint_angles",
    "measure",
    "sensitivity",
]
