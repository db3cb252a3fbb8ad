"""Fixes that go round a trouble: an arm bent or offset, an edge trimmed, a part moved away.

They are made for what is wrong: the pair says where it meets and which way leads apart.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import msgspec
import numpy as np
import numpy.typing as npt

from kinematics.project.model import CHASSIS, Box, Cylinder, Link, Plate, Project, Tube
from kinematics.project.unfold import unfold
from kinematics.studies.bench import Bench, Names
from kinematics.studies.cure import BENT, WELDED, Apply, Cure, Work, out_of, worded
from kinematics.studies.cures_links import own_link

Array = npt.NDArray[np.float64]

PAIRS = 4
"""Troubles looked at, worst first."""
OFFSET = 30.0
"""How far an arm is offset or a part moved, mm."""
SPAN = 70.0
"""A straight member is bent this far either side of where it meets, mm."""
ALONG = 0.5
"""A way is offered where it leads at least so much of the way apart."""


@dataclass(frozen=True, eq=False)
class _Side:
    """One part of a pair in trouble: where it meets and which way it must go, as measured."""

    name: str
    body: str
    at: Array
    away: Array


def cures_around(bench: Bench) -> Iterator[Cure]:
    """For the worst troubles, what can be taken out of the way."""
    seen: set[str] = set()
    for names in bench.troubles[:PAIRS]:
        for side in _sides(bench, names):
            for cure in _of_side(bench.project, side, names):
                if cure.name not in seen:
                    seen.add(cure.name)
                    yield cure


def _sides(bench: Bench, names: Names) -> Iterator[_Side]:
    where = bench.meeting(names)
    apart = where.point_a - where.point_b
    if bench.gaps[names].low < 0.0:
        apart = -apart
    length = float(np.linalg.norm(apart))
    if not length > 1e-6:
        return
    apart = apart / length
    for name, at, away in ((names[0], where.point_a, apart), (names[1], where.point_b, -apart)):
        body = bench.by_name[name].body
        motion = bench.motion
        if body in motion.bodies:
            k = motion.bodies.index(body)
            rotation = motion.flat_rotation[k][..., where.pose]
            at = (at - motion.flat_position[k][..., where.pose]) @ rotation
            away = away @ rotation
        yield _Side(name, body, at, away)


def _of_side(project: Project, side: _Side, names: Names) -> Iterator[Cure]:
    unfolded = unfold(project)
    spec = unfolded.parts.get(side.name)
    link = unfolded.links.get(side.name)
    other = names[1] if side.name == names[0] else names[0]
    for word, way in _ways(project, side.away):
        if isinstance(spec, Tube):
            yield _bent(side, _bend_tube(side, spec, way), word, other)
        elif link is not None:
            yield _bent(side, _bend_link(side, link, way), word, other)
        elif isinstance(spec, Box) and spec.body == CHASSIS:
            yield from _of_box(side, spec, way, word)
        elif isinstance(spec, Plate) and spec.body == CHASSIS:
            yield _shifted(side, _move_plate(side, spec, way), word)
        elif isinstance(spec, Cylinder) and spec.body == CHASSIS:
            yield _shifted(side, _move_points(spec.points, way), word)


def _bent(side: _Side, apply: Apply, word: str, other: str) -> Cure:
    say = worded(f"Bend or offset the {side.name} {{}} mm {word} where the {other} passes")
    name = f"{side.name} offset {word}"
    return Cure(
        name,
        "arms and links offset",
        apply,
        OFFSET,
        Work.REMADE,
        say,
        (),
        f"{BENT} {WELDED}",
        f"the {side.name} is made again",
    )


def _shifted(side: _Side, apply: Apply, word: str) -> Cure:
    say = worded(f"Move the {side.name} {{}} mm {word}")
    return Cure(
        f"{side.name} moved {word}",
        "parts of the car moved",
        apply,
        OFFSET,
        Work.CUT,
        say,
        (),
        WELDED,
        f"the {side.name} is set anew",
    )


def _of_box(side: _Side, spec: Box, way: Array, word: str) -> Iterator[Cure]:
    axis = int(np.argmax(np.abs(way)))
    thick = spec.most[axis] - spec.least[axis]
    yield Cure(
        f"{side.name} trimmed",
        "parts of the car trimmed",
        _trim_box(side, axis, float(way[axis])),
        0.8 * thick,
        Work.CUT,
        worded(f"Trim the edge of the {side.name} {word} by {{}} mm"),
        (),
        WELDED,
        f"the {side.name} is weaker by what is cut away",
    )
    yield _shifted(side, _move_box(side, way), word)


def _ways(project: Project, away: Array) -> Iterator[tuple[str, Array]]:
    """The directions along the car's axes that lead apart, the likeliest first."""
    out = out_of(project)
    words = (("rearward", "forward"), ("inboard", "outboard"), ("down", "up"))
    for axis in np.argsort(-np.abs(away)):
        along = float(away[axis])
        if abs(along) >= ALONG:
            way = np.zeros(3)
            way[axis] = np.sign(along)
            outward = along * out if axis == 1 else along
            yield words[axis][int(outward > 0)], way


def _put_points(project: Project, names: dict[str, Array]) -> Project:
    made = {n: (float(p[0]), float(p[1]), float(p[2])) for n, p in names.items()}
    return msgspec.structs.replace(project, points={**project.points, **made})


def _path(side: _Side, points: list[Array]) -> tuple[int, Array, Array]:
    """The stretch of a path nearest to where it meets: its number and the two bends' places.

    A stretch that ends in bends is shifted whole; at its ends with a joint new bends are put.
    """
    ends = [np.asarray(p, float) for p in points]
    best, at = 0, 0.0
    nearest = np.inf
    for k in range(len(ends) - 1):
        d = ends[k + 1] - ends[k]
        t = float(np.clip((side.at - ends[k]) @ d / (d @ d), 0.0, 1.0))
        gap = float(np.linalg.norm(ends[k] + t * d - side.at))
        if gap < nearest:
            best, at, nearest = k, t, gap
    a, b = ends[best], ends[best + 1]
    length = float(np.linalg.norm(b - a))
    share = SPAN / length
    first = a if best > 0 else a + max(at - share, 0.25 * at) * (b - a)
    last = b if best + 1 < len(ends) - 1 else a + min(at + share, 1.0 - 0.25 * (1.0 - at)) * (b - a)
    return best, first, last


def _bend_tube(side: _Side, spec: Tube, way: Array) -> Apply:
    def apply(project: Project, mm: float) -> Project:
        if mm == 0.0:
            return project
        names = list(spec.points)
        k, first, last = _path(side, [np.array(project.points[n]) for n in names])
        bends = {f"{side.name[:50]} bend {i}": p + mm * way for i, p in ((1, first), (2, last))}
        inner = [n for n in names[: k + 1] if n == names[0] or n != names[k]]
        after = [n for n in names[k + 1 :] if n == names[-1] or n != names[k + 1]]
        tube = msgspec.structs.replace(spec, points=(*inner, *bends, *after))
        made = _put_points(project, bends)
        return msgspec.structs.replace(made, parts={**project.parts, side.name: tube})

    return apply


def _bend_link(side: _Side, link: Link, way: Array) -> Apply:
    def apply(project: Project, mm: float) -> Project:
        if mm == 0.0:
            return project
        path = [link.inner.point, *link.through, link.outer.point]
        k, first, last = _path(side, [np.array(project.points[n]) for n in path])
        bends = {f"{side.name[:50]} bend {i}": p + mm * way for i, p in ((1, first), (2, last))}
        before = [n for n in path[1 : k + 1] if n != path[k]]
        after = [n for n in path[k + 1 : -1] if n != path[k + 1]]
        made = _put_points(project, bends)
        return own_link(made, side.name, through=(*before, *bends, *after))

    return apply


def _trim_box(side: _Side, axis: int, sign: float) -> Apply:
    """The face on the side of the trouble is taken back."""

    def apply(project: Project, mm: float) -> Project:
        box = project.parts[side.name]
        assert isinstance(box, Box)
        face = "least" if sign > 0 else "most"
        xyz = list(getattr(box, face))
        xyz[axis] += sign * mm
        return _part(project, side.name, **{face: tuple(xyz)})

    return apply


def _move_box(side: _Side, way: Array) -> Apply:
    def apply(project: Project, mm: float) -> Project:
        box = project.parts[side.name]
        assert isinstance(box, Box)
        least, most = (tuple(map(float, np.array(c) + mm * way)) for c in (box.least, box.most))
        return _part(project, side.name, least=least, most=most)

    return apply


def _move_plate(side: _Side, spec: Plate, way: Array) -> Apply:
    def apply(project: Project, mm: float) -> Project:
        there = (tuple(map(float, np.array(p) + mm * way)) for p in spec.outline)
        return _part(project, side.name, outline=tuple(there))

    return apply


def _move_points(names: tuple[str, ...], way: Array) -> Apply:
    def apply(project: Project, mm: float) -> Project:
        return _put_points(project, {n: np.array(project.points[n]) + mm * way for n in names})

    return apply


def _part(project: Project, name: str, **changes: object) -> Project:
    part = msgspec.structs.replace(project.parts[name], **changes)
    return msgspec.structs.replace(project, parts={**project.parts, name: part})
