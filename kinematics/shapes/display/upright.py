"""The upright, hub, brake disc and rack as they look: drawn from the joints, never checked.

Nobody has given their sizes, so they are drawn lightly, only to show what carries what.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from kinematics.project.model import RACK, Ball, Link, PointOnLine, Project, Tube
from kinematics.shapes.directions import frame
from kinematics.shapes.display.mesh import Mesh, ball, box, cylinder, join, revolve, sweep
from kinematics.shapes.display.skin import Figure, fixed, skin
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


def _disc(section: RimSection) -> Mesh:
    """Hub flange and vented disc behind the mounting face, which is at local z = 0."""
    pad = section.pad - 3.0
    r = min(section.well - 32.0, 2.15 * pad)
    flange = cylinder(pad, -9.0, -0.5, 28)
    bell = revolve([(0.55 * pad, -8.0), (pad + 3.0, -8.0), (pad + 6.0, -30.0), (0.55 * pad, -30.0)], 28)
    rims = [
        revolve([(0.62 * r, low), (r - 1.0, low), (r, low + 1.0), (r, low + 6.0), (r - 1, low + 7.0),
                 (0.62 * r, low + 7.0)], 40)
        for low in (-39.0, -27.0)
    ]
    vent = revolve([(0.64 * r, -32.5), (0.94 * r, -32.5), (0.94 * r, -26.5), (0.64 * r, -26.5)], 28)
    return join(flange, bell, *rims, vent)


def _carrier(project: Project, hub: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> Mesh:
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


def _web(length: float, root: float, tip: float) -> Mesh:
    """A tapering bar of rounded section with a boss at its far end; local z runs along it."""
    stations = []
    for share in (0.0, 0.5, 1.0):
        wide = root + (tip - root) * share
        thick = 0.62 * wide
        turn = np.linspace(0, 2 * np.pi, 12, endpoint=False)
        stations.append(
            np.column_stack([wide * np.cos(turn), thick * np.sin(turn), np.full(12, share * length)])
        )
    from kinematics.shapes.display.structure import loft

    return join(loft(np.array(stations)), ball(1.15 * tip, 14, 9).moved((0, 0, length)))


def _joints(project: Project) -> list[np.ndarray[tuple[int, ...], np.dtype[np.float64]]]:
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
        p for spec in project.parts.values() if isinstance(spec, Tube) and spec.body == body
        for p in spec.points
    }
    return [point(project, p) for p in dict.fromkeys(names) if p not in reached]


def _rack(project: Project) -> Iterator[Figure]:
    """The rack's bar, which slides, and its housing."""
    ends = [e for e in _rack_ends(project.links.values())]
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
        skin("rack housing", "chassis", boot, checked=False), fixed("chassis", at, frame(way))
    )


def _rack_ends(links: object) -> Iterator[str]:
    for link in links:  # type: ignore[attr-defined]
        assert isinstance(link, Link)
        for end in (link.inner, link.outer):
            if end.body == RACK:
                yield end.point


__all__ = ["PointOnLine", "box", "figures"]
