"""The upright, hub, brake disc and rack as they look: drawn from the joints, never checked.

Nobody has given their sizes, so they are drawn lightly, only to show what carries what.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import numpy as np

from kinematics.project.model import CHASSIS, RACK, Ball, Project, Tube
from kinematics.shapes.directions import frame
from kinematics.shapes.display.mesh import Mesh, ball, cylinder, join, loft, revolve, sweep
from kinematics.shapes.display.skin import Figure, fixed, skin
from kinematics.shapes.pieces import Array
from kinematics.shapes.poses import point
from kinematics.shapes.sections import RimSection, rim_section
from kinematics.shapes.wheel import axis

USUAL_OFFSET = 30.0
"""Offset the hub is drawn to when none is marked, mm: common practice, no source."""


def figures(project: Project) -> Iterator[Figure]:
    """Hub and disc, which turn with the wheel; the upright; the rack."""
    section, n = rim_section(project.wheel), axis(project)
    centre = point(project, project.wheel.centre)
    face = USUAL_OFFSET if section.face is None else section.face
    body, turn = project.wheel.body, frame(axis(project))
    placer = fixed(body, centre + face * n, turn)
    yield Figure(skin("brake disc", "upright", _disc(section), checked=False), placer)
    made = _carrier(project, centre + (face - 48.0) * n)
    yield Figure(
        skin("upright", "upright", made.moved(-centre), checked=False), fixed(body, centre)
    )
    if project.rack is not None:
        yield from _rack(project)


@lru_cache(maxsize=8)
def _disc(section: RimSection) -> Mesh:
    """Hub flange and vented disc behind the mounting face, which is at local z = 0."""
    pad = section.pad - 3.0
    r = min(section.well - 32.0, 2.15 * pad)
    flange = cylinder(pad, -9.0, -0.2, 24)
    inner, edge = 0.62 * r, 0.93 * r
    rotor = revolve(
        [
            (0.55 * pad, -8.0),
            (0.55 * pad, -30.0),
            (inner, -30.0),
            (inner, -39.0),
            (r, -39.0),
            (r, -32.0),
            (edge, -32.0),
            (edge, -27.0),
            (r, -27.0),
            (r, -20.0),
            (inner, -20.0),
            (inner, -24.0),
            (pad + 5.0, -24.0),
            (pad + 3.0, -8.0),
        ],
        28,
    )
    return join(flange, rotor)


def _carrier(project: Project, hub: Array) -> Mesh:
    """A bearing housing and a web to every joint that no part of the upright reaches yet."""
    n = axis(project)
    housing = revolve(
        [(0.0, -26.0), (31.0, -26.0), (36.0, -21.0), (36.0, 8.0), (0.0, 8.0)], 28
    ).moved(hub, frame(n))
    webs = []
    for at in _joints(project):
        way = at - hub
        length = float(np.linalg.norm(way))
        if length > 30.0:
            webs.append(_web(length, 22.0, 12.0).moved(hub, frame(way, n)))
    return join(housing, *webs)


@lru_cache(maxsize=32)
def _web(length: float, root: float, tip: float) -> Mesh:
    """A tapering bar of rounded section with a boss at its far end; local z runs along it."""
    stations = []
    for share in (0.0, 0.5, 1.0):
        wide = root + (tip - root) * share
        thick = 0.62 * wide
        turn = np.linspace(0, 2 * np.pi, 12, endpoint=False)
        stations.append(
            np.column_stack(
                [wide * np.cos(turn), thick * np.sin(turn), np.full(12, share * length)]
            )
        )
    return join(loft(np.array(stations)), ball(1.15 * tip, 12, 7).moved((0, 0, length)))


def _joints(project: Project) -> list[Array]:
    """Points at which other members are held by the wheel's body, as measured."""
    body = project.wheel.body
    names = [
        end.point
        for link in project.links.values()
        for end in (link.inner, link.outer)
        if end.body == body
    ]
    names += [j.at for j in project.joints.values() if isinstance(j, Ball) and body in j.bodies]
    if project.coilover is not None and project.coilover.foot.body == body:
        names.append(project.coilover.foot.point)
    reached = {
        p
        for spec in project.parts.values()
        if isinstance(spec, Tube) and spec.body == body
        for p in spec.points
    }
    return [point(project, p) for p in dict.fromkeys(names) if p not in reached]


def _rack(project: Project) -> Iterator[Figure]:
    """The rack's bar, which slides, and its housing."""
    ends = [
        end.point
        for link in project.links.values()
        for end in (link.inner, link.outer)
        if end.body == RACK
    ]
    if not ends:
        return
    at = point(project, ends[0])
    inward = -np.sign(at[1] or 1.0)
    way = np.array([0.0, inward, 0.0])
    bar = sweep(np.array([(0.0, 0.0, 0.0), (0.0, 0.0, 200.0)]), 11.0, 14, rounded=False)
    yield Figure(
        skin("rack", "chassis", join(bar, ball(17.0, 16, 9)), checked=False),
        fixed(RACK, at, frame(way)),
    )
    boot = cylinder(21.0, 78.0, 230.0, 20)
    yield Figure(
        skin("rack housing", "chassis", boot, checked=False), fixed(CHASSIS, at, frame(way))
    )
