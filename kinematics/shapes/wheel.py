"""Tyre and wheel as exact solids: convex sections turned about the wheel's axis.

The spacer moves both outboard along the axis from the wheel centre as measured.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from kinematics.project.model import Project
from kinematics.shapes.directions import around
from kinematics.shapes.pieces import Array, Part, Ring
from kinematics.shapes.poses import Poses
from kinematics.shapes.profile import Profile, rounded
from kinematics.shapes.recipe import Recipe
from kinematics.shapes.sections import RimSection, TyreSection, bulged, rim_section, tyre_section
from kinematics.shapes.tower import outboard

WHEEL_PARTS = ("tyre", "wheel", "balance weights")
"""Names of the parts that turn with the wheel."""


def axis(project: Project) -> Array:
    """The wheel's axis (3,), unit, pointing outboard, in the position the points were measured.

    From camber g and toe-in t: (cos g sin t, out cos g cos t, -sin g).
    """
    wheel = project.wheel
    if wheel.axis is not None:
        n = np.asarray(wheel.axis, float)
        return n / float(np.linalg.norm(n))
    camber, toe = math.radians(wheel.camber_deg), math.radians(wheel.toe_deg)
    return np.array(
        [
            math.cos(camber) * math.sin(toe),
            outboard(project) * math.cos(camber) * math.cos(toe),
            -math.sin(camber),
        ]
    )


def middle(project: Project) -> Array:
    """Where the rim's centre plane meets the axis (3,), spacer included, as measured."""
    centre = np.asarray(project.points[project.wheel.centre], float)
    return np.asarray(centre + project.wheel.rim.spacer * axis(project))


def tyre(project: Project, bulge: float = 0.0) -> Recipe:
    """The tyre, its bore open; under load its walls stand out by `bulge` (mm), taken all round."""
    section = tyre_section(project.wheel)
    return _turned("tyre", project, (_tyre_profile(bulged(section, bulge) if bulge else section),))


def wheel(project: Project) -> Recipe:
    """The rim: lips, barrel and well and, where the offset is known, hub face and spokes.

    The spokes count as a full cone, since the wheel turns.
    """
    return _turned("wheel", project, rim_outlines(rim_section(project.wheel)))


@lru_cache(maxsize=8)
def _tyre_profile(section: TyreSection) -> Profile:
    return section.profile()


@lru_cache(maxsize=8)
def rim_outlines(section: RimSection) -> tuple[Profile, ...]:
    """The outlines that the rim is turned from."""
    outlines = {**section.rings(), **section.centre()}
    return tuple(rounded(points) for points in outlines.values())


def _turned(name: str, project: Project, profiles: tuple[Profile, ...]) -> Recipe:
    body, centre, n = project.wheel.body, middle(project), axis(project)
    low, high = min(p.y_min for p in profiles), max(p.y_max for p in profiles)
    hull = around(np.array([centre + low * n, centre + high * n]), max(p.r_max for p in profiles))

    def make(poses: Poses) -> Part:
        middle, way = poses.axis(body, centre, n)
        pieces = tuple(Ring(middle, way, profile, hollow=True) for profile in profiles)
        return Part(name, body, name, pieces, sagitta=(poses.stray(body, hull),) * len(pieces))

    return make
