"""The upright, hub, brake disc and rack as they look: drawn from the joints, never checked.

Where nobody has given their sizes they are drawn lightly, only to show what carries what.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise

import numpy as np

from kinematics.project.model import CHASSIS, RACK, Disc, Project, Tube, Upright
from kinematics.shapes.directions import frame
from kinematics.shapes.display.mesh import Mesh, ball, cylinder, join, loft, revolve, sweep
from kinematics.shapes.display.skin import Figure, fixed, skin
from kinematics.shapes.pieces import Array
from kinematics.shapes.poses import point
from kinematics.shapes.sections import RimSection, rim_section
from kinematics.shapes.upright import joints_on
from kinematics.shapes.wheel import axis

USUAL_OFFSET = 30.0
"""Offset the hub is drawn to when none is marked, mm: common practice, no source."""

FLATNESS = 0.62
"""Thickness of a web as a share of its width."""


def figures(project: Project) -> Iterator[Figure]:
    """Hub and disc, which turn with the wheel; the upright; brackets and rockers; the rack."""
    section, n = rim_section(project.wheel), axis(project)
    centre = point(project, project.wheel.centre)
    face = USUAL_OFFSET if section.face is None else section.face
    placer = fixed(project.wheel.body, centre + face * n, frame(n))
    if not any(isinstance(spec, Disc) for spec in project.parts.values()):
        yield Figure(skin("brake disc", "upright", _disc(section), checked=False), placer)
    for body in project.bodies:
        if body == project.wheel.body:
            if any(isinstance(spec, Upright) for spec in project.parts.values()):
                continue
            made = _upright(project, centre + (face - 48.0) * n)
            yield _figure("upright", "upright", body, made, centre)
        elif body != RACK:
            yield from _member(project, body)
    if project.rack is not None:
        yield from _rack(project)


def _figure(name: str, kind: str, body: str, made: Mesh, origin: Array) -> Figure:
    return Figure(skin(name, kind, made.moved(-origin), checked=False), fixed(body, origin))


def _member(project: Project, body: str) -> Iterator[Figure]:
    """Brackets from an arm's tubes to joints beside them; or a rocker, about its hinge."""
    if any(
        not isinstance(s, Tube) and getattr(s, "body", "") == body for s in project.parts.values()
    ):
        return  # The builder has said what it looks like.
    joints, tubes = _joints(project, body), _tubes(project, body)
    webs = []
    for at in joints:
        if tubes:
            root, radius = min(
                ((_nearest(at, a, b), r) for a, b, r in tubes),
                key=lambda found: float(np.linalg.norm(found[0] - at)),
            )
            if np.linalg.norm(at - root) > 1.3 * radius:
                webs.append(_bar(root, at, 0.8 * radius, 0.6 * radius))
        elif len(joints) > 1:
            webs.append(_bar(np.mean(joints, axis=0), at, 18.0, 11.0))
    if webs:
        name = f"{body} brackets" if tubes else body
        yield _figure(name, "arm", body, join(*webs), joints[0])


def _tubes(project: Project, body: str) -> list[tuple[Array, Array, float]]:
    """The straights of a body's tubes: two ends and the radius."""
    return [
        (point(project, p), point(project, q), spec.diameter / 2)
        for spec in project.parts.values()
        if isinstance(spec, Tube) and spec.body == body
        for p, q in pairwise(spec.points)
    ]


def _nearest(at: Array, a: Array, b: Array) -> Array:
    """The point of a straight nearest to a point."""
    share = float(np.clip((at - a) @ (b - a) / ((b - a) @ (b - a)), 0.0, 1.0))
    return np.asarray(a + share * (b - a))


def _bar(root: Array, at: Array, wide: float, tip: float) -> Mesh:
    """A web from one point to another."""
    way = at - root
    length = float(np.linalg.norm(way))
    return _web(round(length, 6), wide, tip).moved(root, frame(way))


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


def _upright(project: Project, hub: Array) -> Mesh:
    """A bearing housing and a web to every joint that no tube of the upright reaches."""
    n = axis(project)
    outline = [(0.0, -26.0), (31.0, -26.0), (36.0, -21.0), (36.0, 8.0), (0.0, 8.0)]
    housing = revolve(outline, 28).moved(hub, frame(n))
    reached = {tuple(p) for a, b, _ in _tubes(project, project.wheel.body) for p in (a, b)}
    webs = []
    for at in _joints(project, project.wheel.body):
        way = at - hub
        length = float(np.linalg.norm(way))
        if tuple(at) not in reached and length > 30.0:
            webs.append(_web(round(length, 6), 22.0, 12.0).moved(hub, frame(way, n)))
    return join(housing, *webs)


@lru_cache(maxsize=32)
def _web(length: float, root: float, tip: float) -> Mesh:
    """A tapering bar of rounded section with a boss at its far end; local z runs along it."""
    # Corners where the oval's normals are evenly spread, so that its faces bend alike.
    turn = np.linspace(0, 2 * np.pi, 12, endpoint=False)
    oval = np.column_stack([np.cos(turn), FLATNESS**2 * np.sin(turn)])
    oval /= np.hypot(np.cos(turn), FLATNESS * np.sin(turn))[:, None]
    stations = [
        np.column_stack([(root + (tip - root) * share) * oval, np.full(12, share * length)])
        for share in (0.0, 1.0)
    ]
    return join(loft(np.array(stations)), ball(1.15 * tip, 12, 7).moved((0, 0, length)))


def _joints(project: Project, body: str) -> list[Array]:
    """Points at which a body holds other members, as measured."""
    return [point(project, name) for name in joints_on(project, body)]


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
