"""Links, arms and drive shafts as they look."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

import numpy as np

from kinematics.project.model import CHASSIS, Ball, End, Hinge, Link, Project, Shaft, Tube
from kinematics.shapes.directions import frame
from kinematics.shapes.display.coilover import eye
from kinematics.shapes.display.mesh import Mesh, ball, box, cylinder, join, revolve, sides, sweep
from kinematics.shapes.display.skin import Figure, bolt_way, fixed, on_line, skin
from kinematics.shapes.links import joint_axis
from kinematics.shapes.pairs import JOINT_ROOM
from kinematics.shapes.pieces import Array
from kinematics.shapes.poses import Anchor, anchor, point

TUBE_SIDES = 14
WITHIN = 0.9
"""How far at most a tube's flat sides lie inside it, mm."""


def link_figures(name: str, link: Link, project: Project) -> Iterator[Figure]:
    """A link with an eye at either end, and the bracket its inner eye is bolted in."""
    inner, outer = anchor(project, link.inner), anchor(project, link.outer)
    up = bolt_way(inner, outer)
    length = float(np.linalg.norm(outer.xyz - inner.xyz)) + link.adjust
    made = _tube(link, inner, outer, length, up, project)
    made = join(made, *_ends(link.diameter, length))
    yield Figure(skin(name, "link", made), on_line(inner, outer, up))
    if link.inner.body == CHASSIS:
        bracket = _bracket(link.diameter)
        placer = fixed(CHASSIS, inner.xyz, _setup_frame(inner, outer, up))
        yield Figure(skin(f"{name} bracket", "chassis", bracket, checked=False), placer)


def _setup_frame(start: Anchor, end: Anchor, up: Array) -> Array:
    z = (end.xyz - start.xyz) / np.linalg.norm(end.xyz - start.xyz)
    x = up - (up @ z) * z
    x /= np.linalg.norm(x)
    return np.stack([x, np.cross(z, x), z], axis=1)


def _tube(
    link: Link, inner: Anchor, outer: Anchor, length: float, up: Array, project: Project
) -> Mesh:
    r = link.diameter / 2
    if link.through:
        turn = _setup_frame(inner, outer, up)
        through = np.array([point(project, p) for p in link.through])
        middle = (through - inner.xyz) @ turn
        return sweep(apart(np.vstack([[0, 0, 0], middle, [0, 0, length]])), r, _around(r))
    gap = _bare(link.diameter, length)
    thin = 0.62 * r
    return revolve(
        [
            (0.0, 0.3 * gap),
            (thin, 0.3 * gap),
            (thin, gap),
            (r, gap + 1.0),
            (r, length - gap - 1.0),
            (thin, length - gap),
            (thin, length - 0.3 * gap),
            (0.0, length - 0.3 * gap),
        ],
        _around(r),
    )


def _around(r: float) -> int:
    return sides(r, WITHIN, TUBE_SIDES)


def _bare(diameter: float, length: float) -> float:
    """How much of a link's ends is drawn as bare thread, mm: what its joint's ball holds.

    Of a tube of radius r the ball of radius r + room holds the outside up to √(room² + 2 r room).
    """
    held = math.sqrt(JOINT_ROOM**2 + JOINT_ROOM * diameter)
    return min(1.5 * diameter, 0.3 * length, held - 2.0)


def _ends(diameter: float, length: float) -> list[Mesh]:
    """Rod ends: eye with bolt, and a lock nut against the tube."""
    r = diameter / 2
    head = eye(0.78 * diameter, 0.3 * diameter, 0.66 * diameter)
    gap = _bare(diameter, length)
    nut = cylinder(0.95 * r, gap - 0.35 * diameter, gap - 0.05 * diameter, 6)
    far = cylinder(0.95 * r, length - gap + 0.05 * diameter, length - gap + 0.35 * diameter, 6)
    return [head, head.moved((0.0, 0.0, length)), nut, far]


@lru_cache(maxsize=16)
def _bracket(diameter: float) -> Mesh:
    """Two cheeks and a back plate behind an eye; local z points along the link, away from it."""
    half, tall, back = 0.33 * diameter + 3.0, 0.85 * diameter, 1.15 * diameter
    cheeks = [
        box((side * half - 2.0, -tall, -back), (side * half + 2.0, tall, 0.45 * diameter))
        for side in (-1.0, 1.0)
    ]
    plate = box((-half - 10.0, -tall - 4.0, -back - 4.0), (half + 10.0, tall + 4.0, -back))
    return join(*cheeks, plate)


def apart(path: Array) -> Array:
    """A path (k, 3), mm, without points that lie on the one before: a hand may pull one there.

    One of no length at all goes a hundredth of a mm upward, so that there is something to see.
    """
    moved = np.any(np.diff(path, axis=0) != 0.0, axis=1)
    kept = path[np.concatenate([[True], moved])]
    return kept if len(kept) > 1 else np.vstack([kept, kept[-1] + np.array([0.0, 0.0, 0.01])])


def tube_figure(name: str, spec: Tube, project: Project) -> Figure:
    """A tube through its points, with a bush or ball housing where it is joined to a body."""
    path = apart(np.array([point(project, p) for p in spec.points]))
    r = spec.diameter / 2
    made = [sweep(path - path[0], r, _around(r))]
    for p, at, beside in (
        (spec.points[0], path[0], path[1]),
        (spec.points[-1], path[-1], path[-2]),
    ):
        if (end := _housing(p, spec.body, r, at - beside, project)) is not None:
            made.append(end.moved(at - path[0]))
    return Figure(skin(name, spec.is_a, join(*made)), fixed(spec.body, path[0]))


def _housing(name: str, body: str, r: float, way: Array, project: Project) -> Mesh | None:
    """The bush barrel or ball housing at a joint of a body, or None where there is none."""
    for joint in project.joints.values():
        if body not in joint.bodies:
            continue
        if isinstance(joint, Hinge) and name in joint.along:
            hinge = point(project, joint.along[1]) - point(project, joint.along[0])
            return _barrel(1.35 * r, 2.6 * r, frame(hinge))
        if isinstance(joint, Ball) and joint.at == name:
            if CHASSIS in joint.bodies:
                bolt = np.cross(way, [0.0, 0.0, 1.0])
                return _barrel(1.35 * r, 2.6 * r, frame(bolt))
            return join(ball(1.3 * r, 16, 9), cylinder(0.55 * r, 0.0, 2.0 * r, 12))
    return None


def _barrel(radius: float, width: float, turn: Array) -> Mesh:
    """A bush in its sleeve, its bolt along local z before it is turned."""
    across = np.array([[0.0, 0.0, -1.0], [0.0, 1.0, 0.0], [1.0, 0.0, 0.0]])
    return eye(radius, 0.45 * radius, width).moved(rotation=turn @ across)


def shaft_figures(name: str, spec: Shaft, project: Project) -> Iterator[Figure]:
    """A drive shaft, the bodies of its joints, and the boots between."""
    inner, outer = anchor(project, spec.inner), anchor(project, spec.outer)
    length, r = float(np.linalg.norm(outer.xyz - inner.xyz)), spec.diameter / 2
    up = bolt_way(inner, outer)
    at_inner, at_outer = on_line(inner, outer, up), on_line(inner, outer, up, from_end=True)
    half = [(0.0, -0.6 * r), (r, -0.4 * r), (r, 0.5 * length), (0.0, 0.5 * length)]
    bar = revolve(half, sides(r, WITHIN, 18))
    back = bar.moved(rotation=np.diag([1.0, -1.0, -1.0]))
    # In two halves, each on its own joint: the shaft's plunge opens or closes them in the middle.
    yield Figure(skin(name, spec.is_a, bar), at_inner)
    yield Figure(skin(f"{name} outer half", spec.is_a, back, part=name), at_outer)
    for place, end, at, size, flip in (
        ("inner", spec.inner, inner, spec.inner_joint, 1.0),
        ("outer", spec.outer, outer, spec.outer_joint, -1.0),
    ):
        wide = size.diameter / 2 if size is not None else 2.6 * r
        deep = size.length / 2 if size is not None else 1.4 * r
        boot = _boot(r, wide, deep).moved(rotation=np.diag([1.0, flip, flip]))
        placer = at_inner if flip > 0 else at_outer
        yield Figure(
            skin(f"{name} {place} boot", spec.is_a, boot, part=name, checked=False), placer
        )
        yield _joint(f"{name} {place} joint", spec, end, at, wide, deep, size is not None, project)


def _joint(
    name: str,
    spec: Shaft,
    end: End,
    at: Anchor,
    wide: float,
    deep: float,
    known: bool,
    project: Project,
) -> Figure:
    bevel = min(2.0, 0.2 * deep)
    outline = [
        (0.0, -deep),
        (wide - bevel, -deep),
        (wide, -deep + bevel),
        (wide, deep - bevel),
        (wide - bevel, deep),
        (0.0, deep),
    ]
    turn = frame(joint_axis(project, end.body))
    return Figure(
        skin(name, spec.is_a, revolve(outline, sides(wide, 0.5, 22)), checked=known),
        fixed(end.body, at.xyz, turn),
    )


@lru_cache(maxsize=16)
def _boot(r: float, wide: float, deep: float) -> Mesh:
    """A rubber boot from a joint's mouth down to the shaft, in folds."""
    rows = []
    folds, start, reach = 3, 0.5 * deep, 2.0 * wide
    for k in range(2 * folds + 1):
        share = k / (2 * folds)
        size = (1.0 - share) * 0.88 * wide + share * (r + 4.0)
        rows.append((size + (2.0 if k % 2 else -1.5), start + share * reach))
    return revolve([(r - 1.0, start), *rows, (r - 1.0, start + reach)], 16)
