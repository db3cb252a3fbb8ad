"""An upright as exact pieces: the hub's carrier about the wheel's axis, and webs to its joints."""

from __future__ import annotations

import numpy as np

from kinematics.frames import unit
from kinematics.project.model import Ball, Beam, Hinge, Project, Tube, Upright
from kinematics.shapes.brakes import hub_face
from kinematics.shapes.fabricated import BAR_FACES
from kinematics.shapes.pieces import Array
from kinematics.shapes.poses import point
from kinematics.shapes.recipe import Carried, block, drum, ring
from kinematics.shapes.wheel import axis


def upright(spec: Upright, project: Project, body: str) -> list[Carried]:
    """The carrier, and a web for every joint outside it."""
    n, face = axis(project), hub_face(project)
    profile = drum(spec.diameter / 2, -spec.inboard - spec.depth, -spec.inboard)
    found = [ring(body, face, n, profile)]
    spare = min(spec.thickness, spec.depth) / 2
    span = -spec.inboard - spec.depth + spare, -spec.inboard - spare
    for name in ends_of(spec, project):
        at = point(project, name)
        root = face + np.clip((at - face) @ n, *span) * n
        if np.linalg.norm(at - root) > spec.diameter / 2:
            found.append(block(body, _web(spec, root, at, n), BAR_FACES))
    return found


def ends_of(spec: Upright, project: Project) -> tuple[str, ...]:
    """The points that its webs run to, by name: but for those named, the joints of its body that
    no tube or box section of that body reaches."""
    if spec.points:
        return spec.points
    reached = {
        name
        for part in project.parts.values()
        if isinstance(part, Tube | Beam) and part.body == spec.body
        for name in part.points
    }
    return tuple(n for n in joints_on(project, project.wheel.body) if n not in reached)


def joints_on(project: Project, body: str) -> tuple[str, ...]:
    """Points at which a body holds other members, by name.

    But for the hinges that the wheel's carrier turns on: that is then an arm itself.
    """
    ends = [end for link in project.links.values() for end in (link.inner, link.outer)]
    if project.coilover is not None:
        ends += [project.coilover.foot, project.coilover.top]
    names = [end.point for end in ends if end.body == body]
    for joint in project.joints.values():
        if body in joint.bodies:
            if isinstance(joint, Ball):
                names.append(joint.at)
            elif isinstance(joint, Hinge) and body != project.wheel.body:
                names += joint.along
    return tuple(dict.fromkeys(names))


def _web(spec: Upright, root: Array, at: Array, n: Array) -> Array:
    """The corners (8, 3) of a web, those at the carrier first."""
    way = unit(at - root)
    thin = n - (n @ way) * way
    if np.linalg.norm(thin) < 1e-3:  # it runs straight inboard: stood on edge
        thin = np.cross(way, [0.0, 0.0, 1.0])
    thin = unit(thin)
    across = np.cross(way, thin)
    corners = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) / 2.0
    widths = (spec.width_at_hub or spec.width, spec.width)
    return np.concatenate(
        [
            end + corners[:, :1] * wide * across + corners[:, 1:] * spec.thickness * thin
            for end, wide in zip((root, at), widths, strict=True)
        ]
    )
