"""Shims and adjusters: what each changes, setting them, and what can't be right in them."""

from __future__ import annotations

import math
from collections.abc import Iterator

import msgspec

from kinematics.errors import ProjectError
from kinematics.project.joints import Adjuster, Ball, Hinge, Link, PointOnLine, Slide
from kinematics.project.model import Project
from kinematics.project.unfold import unfold
from kinematics.units import show_plain

Shift = tuple[str, tuple[float, float, float]]
"""The body on which a point stands elsewhere than measured, and by how much in mm."""


def with_adjuster(project: Project, name: str, value: float) -> Project:
    """The project with one of its adjusters wound in to ``value`` mm.

    Raises ``ProjectError`` for a name that is not there or a value outside its range.
    """
    adjuster = project.adjusters.get(name)
    if adjuster is None:
        there = ", ".join(f"'{x}'" for x in project.adjusters) or "none"
        raise ProjectError(f"adjusters: there is no '{name}'. There are: {there}.")
    if not adjuster.least <= value <= adjuster.most:
        raise ProjectError(
            f"adjusters.{name}: {show_plain(value, project.units)} is outside its range of "
            f"{show_plain(adjuster.least, project.units, bare=True)} to "
            f"{show_plain(adjuster.most, project.units)}."
        )
    set_to = msgspec.structs.replace(adjuster, set=value)
    return msgspec.structs.replace(project, adjusters={**project.adjusters, name: set_to})


def shifts(project: Project) -> dict[str, Shift]:
    """Where points stand now against where they were measured, by point, of an unfolded project."""
    out: dict[str, Shift] = {}
    for adjuster in project.adjusters.values():
        if adjuster.direction is None or adjuster.set == 0.0:
            continue
        length = math.hypot(*adjuster.direction)
        for point in adjuster.points:
            was = out[point][1] if point in out else (0.0, 0.0, 0.0)
            by = [
                w + adjuster.set * d / length for w, d in zip(was, adjuster.direction, strict=True)
            ]
            out[point] = (adjuster.body, (by[0], by[1], by[2]))
    return out


def lengthened(project: Project) -> dict[str, float]:
    """How much longer each link is than measured, beside its own ``adjust``, in mm."""
    out: dict[str, float] = {}
    for adjuster in project.adjusters.values():
        if adjuster.link is not None:
            out[adjuster.link] = out.get(adjuster.link, 0.0) + adjuster.set
    return out


def adjuster_problems(project: Project) -> Iterator[str]:
    """Sentences that begin with the path of the entry they are about."""
    if not project.adjusters:
        return
    whole, moved = unfold(project), dict[str, str]()
    for name, adjuster in project.adjusters.items():
        path = f"adjusters.{name}"
        if (adjuster.link is None) == (not adjuster.points):
            yield f"{path}: name either the link it lengthens or the points it moves."
        elif adjuster.link is not None:
            if adjuster.link not in whole.links:
                yield f'{path}.link: there is no link "{adjuster.link}".'
        else:
            yield from _moving(whole, path, adjuster, moved)
        if not adjuster.least <= adjuster.set <= adjuster.most:
            yield f"{path}.set: {show_plain(adjuster.set, project.units)} is outside its range."


def _moving(
    project: Project, path: str, adjuster: Adjuster, moved: dict[str, str]
) -> Iterator[str]:
    if adjuster.direction is None or not math.hypot(*adjuster.direction) > 1e-6:
        yield f"{path}.direction: say which way the points move."
    for point in adjuster.points:
        if (point, adjuster.body) not in holds(project):
            yield f'{path}: nothing of {adjuster.body} is joined at "{point}".'
        if moved.setdefault(point, adjuster.body) != adjuster.body:
            yield f'{path}: another adjuster moves "{point}" on {moved[point]}; name one body.'


def holds(project: Project) -> set[tuple[str, str]]:
    """Every point that a body is joined at, with that body."""
    out: set[tuple[str, str]] = set()
    for link in project.links.values():
        out |= {(end.point, end.body) for end in (link.inner, link.outer)}
    for joint in project.joints.values():
        match joint:
            case Ball(at=at):
                out |= {(at, body) for body in joint.bodies}
            case Hinge(along=along) | Slide(along=along):
                out |= {(at, body) for at in along for body in joint.bodies}
            case PointOnLine(line=line, point=point):
                out |= {(at, joint.bodies[0]) for at in line} | {(point, joint.bodies[1])}
    if project.coilover is not None:
        out |= {(e.point, e.body) for e in (project.coilover.foot, project.coilover.top)}
    return out


def wound(project: Project) -> dict[str, Link]:
    """The links of an unfolded project with its adjusters wound in.

    A link's length is that between its points as they stand now, plus ``adjust``: where an end is
    shimmed, ``adjust`` takes up what that would add.
    """
    longer, moved = lengthened(project), shifts(project)
    if not longer and not moved:
        return project.links
    out = {}
    for name, link in project.links.items():
        ends = (link.inner, link.outer)
        then = [project.points[end.point] for end in ends]
        now = [
            tuple(x + d for x, d in zip(at, moved[end.point][1], strict=True))
            if end.point in moved and moved[end.point][0] == end.body
            else at
            for end, at in zip(ends, then, strict=True)
        ]
        take_up = math.dist(*then) - math.dist(*now)
        adjust = link.adjust + longer.get(name, 0.0) + take_up
        out[name] = msgspec.structs.replace(link, adjust=adjust, adjust_range=None)
    return out
