"""Small motions in words: what a body does, told by the named points it does it about."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kinematics.frames import Array
from kinematics.motion.system import System

_ALONG = ("fore and aft", "sideways", "up and down")
_ABOUT = ("a fore-and-aft line", "a sideways line", "an upright line")


def listed(words: Sequence[str]) -> str:
    """``a``, ``a and b``, ``a, b and c``."""
    if len(words) < 2:
        return "".join(words)
    return ", ".join(words[:-1]) + " and " + words[-1]


def describe(system: System, body: int, twist: Array) -> str:
    """What a body does in the small motion ``twist`` (6,) about its centre, as measured."""
    scale = system.geometry.scale
    shift, spin = twist[:3], twist[3:] / scale
    centre = system.geometry.centre[body, :, 0]
    name = system.bodies[body]
    turning = float(np.linalg.norm(spin)) * scale
    if turning < 1e-6 * float(np.linalg.norm(twist)):
        return f"the {name} slides {_ALONG[int(np.argmax(np.abs(shift)))]}"
    direction = spin / np.linalg.norm(spin)
    foot = centre + np.cross(spin, shift) / (spin @ spin)
    on_axis = _points_on(system, name, foot, direction)
    pitch = float(shift @ direction) / float(np.linalg.norm(spin))
    also = " and slides along it" if abs(pitch) > 1e-6 * scale else ""
    if len(on_axis) >= 2:
        return f"the {name} turns about the line through '{on_axis[0]}' and '{on_axis[1]}'{also}"
    about = _ABOUT[int(np.argmax(np.abs(direction)))]
    if len(on_axis) == 1:
        return f"the {name} turns about {about} through '{on_axis[0]}'{also}"
    place = ", ".join(f"{x:.0f}" for x in foot)
    return f"the {name} turns about {about} through ({place}){also}"


def missing(twist: Array) -> str:
    """What would hold a wheel's carrier that is loose in this way."""
    spin = twist[3:]
    if np.linalg.norm(spin) < 1e-3 * np.linalg.norm(twist):
        return "a link is missing"
    return (
        "it can lean, an upper or lower link is missing",
        "it can wind up about its axle, a link that holds it there is missing",
        "it can steer, a toe link or track rod is missing",
    )[int(np.argmax(np.abs(spin)))]


def _points_on(system: System, body: str, foot: Array, direction: Array) -> list[str]:
    """Points that the body's joints name, on a line, the farthest apart first and second."""
    mechanism = system.mechanism
    near: list[tuple[float, str]] = []
    for block in system.blocks:
        if body not in (block.a_body, block.b_body) or block.what == "driver":
            continue
        numbers = block.build(lambda _: mechanism.seen(mechanism.xyz.T[:, :, None], ""))
        for end in (numbers.a, numbers.b):
            for point in end[:, :, 0].T:
                along = float((point - foot) @ direction)
                if np.linalg.norm(point - foot - along * direction) < 1e-6 * system.geometry.scale:
                    name = _name_of(mechanism.xyz, mechanism.points, point)
                    if name:
                        near.append((along, name))
    names = [name for _, name in sorted(near)]
    unique = list(dict.fromkeys(names))
    return [unique[0], unique[-1]] if len(unique) > 1 else unique


def _name_of(xyz: Array, points: dict[str, int], point: Array) -> str:
    for name, i in points.items():
        if np.linalg.norm(xyz[i] - point) < 1e-6:
            return name
    return ""
