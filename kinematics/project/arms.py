"""Joints and whole arms added, and arms copied: edits that give a new project."""

from __future__ import annotations

from typing import Any

import msgspec

from kinematics.errors import ProjectError
from kinematics.project.basics import CHASSIS, UPRIGHT, Xyz
from kinematics.project.furnish import STEP, Group, free_name
from kinematics.project.joints import Ball, Hinge, Joint, PointOnLine, Slide
from kinematics.project.model import Project
from kinematics.project.names import bodies_of
from kinematics.project.rename import names_body, renamed
from kinematics.project.structure import Tube

JOINTS = ("ball", "hinge", "slide", "point_on_line")


def add_joint(project: Project, kind: str) -> tuple[Project, str]:
    """A new joint between chassis and wheel's carrier, inboard of the wheel, and its name.

    ``kind`` : 'ball', 'hinge', 'slide' or 'point_on_line'. Raises ProjectError for another.
    """
    if kind not in JOINTS:
        raise ProjectError(f'There is no joint of kind "{kind}": {", ".join(JOINTS)}.')
    words = kind.replace("_", " ")
    name = free_name([*project.parts, *project.links, *project.joints], f"new {words}")
    points = dict(project.points)
    x, y, z = project.points[project.wheel.centre]

    def put(which: str, at: Xyz) -> str:
        point = free_name(points, f"{name} {which}".strip())
        points[point] = at
        return point

    bodies = (CHASSIS, _carrier(project))
    made: Joint
    if kind == "ball":
        made = Ball(put("", (x, 0.8 * y, z)), bodies)
    elif kind == "point_on_line":
        line = put("lower", (x, 0.8 * y, z)), put("upper", (x, 0.8 * y, z + 250.0))
        made = PointOnLine(line, put("point", (x, 0.8 * y, z + 300.0)), (bodies[1], bodies[0]))
    else:
        line = put("front", (x + 80.0, 0.5 * y, z)), put("rear", (x - 80.0, 0.5 * y, z))
        made = Hinge(line, bodies) if kind == "hinge" else Slide(line, bodies)
    joints = {**project.joints, name: made}
    return msgspec.structs.replace(project, points=points, joints=joints), name


def add_arm(project: Project) -> tuple[Project, str]:
    """A new arm on two bushes with a ball at the wheel's carrier, of two tubes, and its name."""
    name = free_name([*bodies_of(project), *project.parts, *project.links], "new arm")
    points = dict(project.points)
    x, y, z = project.points[project.wheel.centre]

    def put(which: str, at: Xyz) -> str:
        point = free_name(points, f"{name} {which}")
        points[point] = at
        return point

    pivots = (
        put("front pivot", (x + 120.0, 0.45 * y, z)),
        put("rear pivot", (x - 120.0, 0.45 * y, z)),
    )
    outer = put("ball joint", (x, 0.9 * y, z))
    made = msgspec.structs.replace(
        project,
        points=points,
        bodies=(*project.bodies, name),
        joints={
            **project.joints,
            f"{name} bushes": Hinge(pivots, (CHASSIS, name)),
            f"{name} ball": Ball(outer, (name, _carrier(project))),
        },
        parts={
            **project.parts,
            f"{name} front": Tube(body=name, points=(pivots[0], outer), diameter=32.0),
            f"{name} rear": Tube(body=name, points=(pivots[1], outer), diameter=32.0),
        },
    )
    return made, name


def copy_body(project: Project, body: str) -> tuple[Project, str]:
    """A copy of a moving body with all that is joined to it or carried by it, a little above it.

    Its points are its own. Raises ProjectError for a body that comes with the arrangement.
    """
    if body not in project.bodies:
        raise ProjectError(
            f'"{body}" comes with the arrangement: take the arrangement apart first.'
        )
    new = free_name([*bodies_of(project), *project.parts, *project.links, *project.joints], body)
    points, own = dict(project.points), {body: new}

    def its_own(what: str, name: str) -> str:
        if what == "point" and name not in own:
            x, y, z = project.points[name]
            own[name] = free_name(points, name)
            points[own[name]] = (x, y, z + STEP)
        return own.get(name, name) if what in ("point", "body") else name

    tables: dict[str, Any] = {}
    names = [*bodies_of(project), new, *project.parts, *project.links, *project.joints]
    groups: tuple[Group, ...] = ("links", "joints", "parts")
    for group in groups:
        there = getattr(project, group)
        tables[group] = dict(there)
        for name, record in there.items():
            if names_body(record, body):
                called = free_name(names, name.replace(body, new) if body in name else name)
                names.append(called)
                tables[group][called] = renamed(record, its_own)
    made = msgspec.structs.replace(project, points=points, bodies=(*project.bodies, new), **tables)
    return made, new


def _carrier(project: Project) -> str:
    return UPRIGHT if UPRIGHT in bodies_of(project) else project.wheel.body
