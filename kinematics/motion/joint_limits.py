"""Joints whose own angle ends the travel: how far past its limit each is, at any poses.

Only a bearing that says so (``ends_travel``) ends it; the limits of others are reported and no
more, since many are only a maker's advice, or a guess.
"""

from __future__ import annotations

from collections.abc import Mapping

import msgspec
import numpy as np

from kinematics.frames import Array
from kinematics.motion.bearings import BearingUse, bearing_uses, limit_of
from kinematics.motion.errors import MotionError
from kinematics.motion.linkage import Linkage
from kinematics.motion.positions import Positions
from kinematics.project.model import Ball, Hinge, Project

BINDS = "the joint at '{point}' is at its angle limit"
TWISTS = "the bush at '{point}' is at its twist limit"


def hard_points(project: Project) -> tuple[str, ...]:
    """The points of an unfolded project where a joint's limit ends the travel."""
    return tuple(
        point
        for point, bearing in project.bearings.items()
        if bearing.ends_travel
        and (bearing.twist_limit_deg is not None or limit_of(bearing, point)[0] >= 0.0)
    )


def past_limits(linkage: Linkage, rotation: Array, position: Array) -> dict[str, Array]:
    """How far past its limit, rad (n,), each joint that ends the travel is; by its cause in words.

    Poses (bodies, 3, 3, n) and (bodies, 3, n). Negative: so much is left. Raises ``MotionError``
    where a joint is past its limit at set-up height already.
    """
    project = linkage.project
    points = hard_points(project)
    if not points:
        return {}
    setup = (linkage.rotation, linkage.position)
    both = [
        np.concatenate([a, b], axis=-1) for a, b in zip(setup, (rotation, position), strict=True)
    ]
    positions = Positions(
        points={name: linkage.mechanism.xyz[i] for name, i in linkage.mechanism.points.items()},
        rotation={b: np.moveaxis(both[0][k], -1, 0) for k, b in enumerate(linkage.bodies)},
        position={b: both[1][k].T for k, b in enumerate(linkage.bodies)},
        count=rotation.shape[-1] + 1,
        shifts=linkage.mechanism.shifts,
    )
    found: dict[str, Array] = {}
    for use in bearing_uses(only_about(project, points), positions):
        if use.point in points:
            for cause, past in _past(use).items():
                found[cause] = np.maximum(found.get(cause, past), past)
    for cause, past in found.items():
        if past[0] > 0.0:
            raise MotionError(
                f"At set-up height {cause.replace('is at', 'is past')} by "
                f"{np.degrees(past[0]):.1f}°. Check its limit and how its bolt runs, or leave out "
                "ends_travel."
            )
    return {cause: past[1:] for cause, past in found.items()}


def _past(use: BearingUse) -> Mapping[str, Array]:
    out = {}
    if np.isfinite(use.limit):
        out[BINDS.format(point=use.point)] = use.angle - use.limit
    if use.twist is not None and np.isfinite(use.twist_limit):
        out[TWISTS.format(point=use.point)] = np.abs(use.twist) - use.twist_limit
    return out


def only_about(project: Project, points: tuple[str, ...]) -> Project:
    """The project with only those members that swivel at the points, and its coilover."""
    links = {
        name: link
        for name, link in project.links.items()
        if link.inner.point in points or link.outer.point in points
    }
    joints = {
        name: joint
        for name, joint in project.joints.items()
        if not (isinstance(joint, Ball) and joint.at not in points)
        and not (isinstance(joint, Hinge) and not set(joint.along) & set(points))
    }
    return msgspec.structs.replace(project, links=links, joints=joints)
