"""The steering axis: the line a steered wheel turns about.

Where two ball joints, or a strut's top bearing and a ball joint, carry the upright, the axis is the
line through them. Where links make it (a ball at the end of each), it is the instant screw axis of
the wheel moved by the rack with travel held. A corner that is not steered has none.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.frames import Array, cross_last, dot_last
from kinematics.motion import Motion
from kinematics.motion.mechanism import Mechanism
from kinematics.project.model import CHASSIS, RACK, Ball, End, PointOnLine


@dataclass(frozen=True)
class Line:
    """A line over n poses: a ``point`` on it and its ``direction`` upward, (3, n) each."""

    point: Array
    direction: Array


def steering_line(motion: Motion) -> Line | None:
    """The steering axis at every pose; None for a corner that is not steered."""
    mechanism = motion.linkage.mechanism
    if not is_steered(mechanism):
        return None
    ends = real_axis(mechanism)
    if ends is None:
        return _screw(motion)
    low, high = (motion.place_and_rate(end)[0] for end in ends)
    rise = high - low
    upward = np.where(rise[2].real < 0.0, -1.0, 1.0)
    return Line(low, rise * upward)


def is_steered(mechanism: Mechanism) -> bool:
    """Whether anything of the corner is on the rack."""
    on = [end.body for link in mechanism.links.values() for end in (link.inner, link.outer)]
    on += [body for joint in mechanism.joints.values() for body in joint.bodies]
    return mechanism.project.rack is not None and RACK in on


def real_axis(mechanism: Mechanism) -> tuple[End, End] | None:
    """The two points that carry the upright, if it is carried by two balls or a strut and one."""
    upright = mechanism.project.wheel.body
    balls = [
        End(joint.at, upright)
        for joint in mechanism.joints.values()
        if isinstance(joint, Ball) and upright in joint.bodies
    ]
    # A strut's top bearing stands on the chassis; the axis passes through it there.
    struts = [
        End(joint.point, CHASSIS)
        for joint in mechanism.joints.values()
        if isinstance(joint, PointOnLine) and joint.bodies == (upright, CHASSIS)
    ]
    if len(balls) == 2 and not struts:
        return balls[0], balls[1]
    if len(balls) == 1 and len(struts) == 1:
        return balls[0], struts[0]
    return None


def _screw(motion: Motion) -> Line:
    k = motion.number(motion.linkage.project.wheel.body)
    spin, drift = motion.by_rack.spin[k], motion.by_rack.drift[k]
    square = dot_last(spin, spin)
    upward = np.where(spin[2].real < 0.0, -1.0, 1.0)
    return Line(cross_last(spin, drift) / square, spin * upward)
