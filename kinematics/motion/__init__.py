"""Motion: a corner assembled and moved through travel and steer.

    project = read("rear.corner.json")
    linkage = corner(project)                     # assembled at set-up height
    low, high = travel_range(linkage)             # full droop to full bump
    motion = move(linkage, np.linspace(low, high, 161), [0.0])
    wheel = motion.point(project.wheel.centre)    # (161, 1, 3) in mm

Every pose returned is closed to 1e-9 mm, checked apart from the solver; what can't be reached is
NaN with a reason.
"""

from __future__ import annotations

from kinematics.motion.errors import MotionError
from kinematics.motion.grid import move
from kinematics.motion.limits import Limit, Limits, limits, toggle_margin, travel_range, where
from kinematics.motion.linkage import Linkage, corner, corner_like
from kinematics.motion.mobility import Mobility, mobility
from kinematics.motion.motion import Motion, Reach
from kinematics.motion.variants import Variants, variants

__all__ = [
    "Limit",
    "Limits",
    "Linkage",
    "Mobility",
    "Motion",
    "MotionError",
    "Reach",
    "Variants",
    "corner",
    "corner_like",
    "limits",
    "mobility",
    "move",
    "toggle_margin",
    "travel_range",
    "variants",
    "where",
]
