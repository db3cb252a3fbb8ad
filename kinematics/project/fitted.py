"""Fittings and points added where such a one usually is: edits that give a new project."""

from __future__ import annotations

import msgspec

from kinematics.project.basics import CHASSIS, Xyz
from kinematics.project.fittings import Arch, Beam, Caliper, Disc, RodEnd, Upright
from kinematics.project.furnish import free_name
from kinematics.project.model import PartSpec, Project

FITTINGS = ("beam", "rod_end", "upright", "disc", "caliper", "arch")


def add_fitting(project: Project, kind: str) -> tuple[Project, str]:
    """A new part of one of `FITTINGS` where such a part usually is, and its name."""
    words = "box section" if kind == "beam" else kind.replace("_", " ")
    name = free_name([*project.parts, *project.links, *project.joints], f"new {words}")
    x, y, z = project.points[project.wheel.centre]
    points, body = dict(project.points), project.wheel.body
    part: PartSpec
    if kind == "beam":
        ends = _two(points, name, (x, 0.5 * y, z), (x, 0.5 * y, z + 200.0))
        part = Beam(body=CHASSIS, points=ends, width=40.0, height=60.0, is_a="chassis")
    elif kind == "rod_end":
        at = free_name(points, name)
        points[at] = (x, 0.5 * y, z)
        part = RodEnd(body=CHASSIS, at=at, head=32.0, width=16.0)
    elif kind == "upright":
        part = Upright(80.0, 40.0, 40.0, 18.0, 24.0, 44.0, body=body)
    elif kind == "disc":
        part = Disc(diameter=260.0, thickness=22.0, body=body)
    elif kind == "caliper":
        part = Caliper(90.0, 145.0, 180.0, 45.0, 30.0, 90.0, body=body)
    else:
        at = free_name(points, f"{name} centre")
        points[at] = (x, y, z + 30.0)
        part = Arch(at, 360.0, abs(y) - 130.0, abs(y) + 120.0, lip=12.0)
    made = msgspec.structs.replace(project, points=points, parts={**project.parts, name: part})
    return made, name


def add_point(project: Project) -> tuple[Project, str]:
    """Another point, inboard of the wheel, and its name."""
    name = free_name(project.points, "new point")
    x, y, z = project.points[project.wheel.centre]
    points = {**project.points, name: (x, 0.5 * y, z)}
    return msgspec.structs.replace(project, points=points), name


def _two(points: dict[str, Xyz], name: str, a: Xyz, b: Xyz) -> tuple[str, str]:
    """Two new points, noted in ``points``."""
    first = free_name(points, f"{name} inner")
    points[first] = a
    second = free_name(points, f"{name} outer")
    points[second] = b
    return first, second
