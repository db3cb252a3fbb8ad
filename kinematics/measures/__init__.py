"""Measures: camber, toe, caster and the rest, each from its definition.

measures = measure(project, motion)
measures["camber"]            # (nz, ns) in rad
FIGURES["camber"].help        # what it means, with its sign
"""

from __future__ import annotations

from kinematics.measures.figures import FIGURES, Figure
from kinematics.measures.measure import Measures, measure
from kinematics.measures.sensitivity import Sensitivity, sensitivity

__all__ = [
    "FIGURES",
    "Figure",
    "Measures",
    "Sensitivity",
    "measure",
    "sensitivity",
]
