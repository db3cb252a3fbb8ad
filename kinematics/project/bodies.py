"""Moving bodies added and taken away: edits that give a new project."""

from __future__ import annotations

import msgspec

from kinematics.project.basics import CHASSIS, End, Xyz
from kinematics.project.furnish import Group, free_name, remove_entry
from kinematics.project.joints import Hinge, Link
from kinematics.project.model import Project
from kinematics.project.names import bodies_of
from kinematics.project.rename import names_body
from kinematics.project.structure import Tube


def add_rocker(project: Project) -> tuple[Project, str]:
    """With another moving body that is held, and its name.

    It hinges on the chassis, and a rod joins it to the wheel's carrier.
    """
    name = free_name([*bodies_of(project), *project.parts, *project.links], "new rocker")
    x, y, z = project.points[project.wheel.centre]
    points = dict(project.points)

    def put(words: str, xyz: Xyz) -> str:
        point = free_name(points, f"{name} {words}")
        points[point] = xyz
        return point

    pivots = (
        put("pivot front", (x + 30.0, 0.5 * y, z + 140.0)),
        put("pivot rear", (x - 30.0, 0.5 * y, z + 140.0)),
    )
    ends = put("rod inner", (x, 0.62 * y, z + 170.0)), put("rod outer", (x, 0.85 * y, z - 20.0))
    rod = Link(End(ends[0], name), End(ends[1], project.wheel.body), diameter=20.0)
    arm = Tube(body=name, points=(pivots[0], ends[0]), diameter=25.0)
    made = msgspec.structs.replace(
        project,
        points=points,
        bodies=(*project.bodies, name),
        joints={**project.joints, f"{name} pivot": Hinge(pivots, (CHASSIS, name))},
        links={**project.links, f"{name} rod": rod},
        parts={**project.parts, f"{name} arm": arm},
    )
    return made, name


def remove_body(project: Project, name: str) -> Project:
    """Without a moving body and all that is joined to it or carried by it."""
    replace = msgspec.structs.replace
    tables: tuple[Group, ...] = ("links", "joints", "parts")
    for table in tables:
        for entry in dict(getattr(project, table)):
            if names_body(getattr(project, table)[entry], name):
                project = remove_entry(project, table, entry)
    return replace(project, bodies=tuple(b for b in project.bodies if b != name))
