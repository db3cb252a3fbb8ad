"""A strut's top mount moved: the strut stays clamped to its upright, so the wheel follows.

The corner is solved with the top elsewhere and then written down again as it would be measured
there: every point of every moving body at its new place. So a project stays what a tape would
read, and everything that takes a project takes the moved one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import msgspec
import numpy as np
import numpy.typing as npt

from kinematics.frames import turns_about_axes
from kinematics.motion import Linkage, MotionError, corner
from kinematics.motion.displaced import displaced
from kinematics.motion.recover import names, poses
from kinematics.motion.rows import State
from kinematics.motion.variants import Variants
from kinematics.project.edit import move_top
from kinematics.project.model import (
    CHASSIS,
    RACK,
    Box,
    PartSpec,
    Plate,
    Project,
    Scan,
    Shaft,
    Wheel,
)
from kinematics.project.unfold import unfold
from kinematics.shapes.scan import placing
from kinematics.shapes.wheel import axis

Array = npt.NDArray[np.float64]


def move_strut_top(
    project: Project, dx: float, dy: float, dz: float, with_tower: bool | None = None
) -> Project:
    """The project with its strut's top moved by (dx, dy, dz) mm in car coordinates.

    The wheel centre keeps its height; camber, toe and all points of the upright and the arms are
    as they would be measured then. Raises MotionError where the links don't let the strut reach.
    """
    if (dx, dy, dz) == (0.0, 0.0, 0.0):
        return project
    linkage = corner(unfold(project))
    solved = displaced(linkage, [linkage.setup_travel], np.array([[dx, dy, dz]]))
    if not solved.closed.all():
        raise MotionError("With its top there, the strut can't be put together with its links.")
    moved = move_top(project, dx, dy, dz, with_tower)
    assert moved.coilover is not None
    return _written(moved, _Solved.of(linkage, solved), moved.coilover.top.point)


@dataclass(frozen=True, eq=False)
class _Solved:
    """Rotation (3, 3) and position (3,) of every body, from as measured to as solved."""

    linkage: Linkage
    frames: dict[str, tuple[Array, Array]]

    @classmethod
    def of(cls, linkage: Linkage, found: Variants) -> _Solved:
        state = State(found.state.centre[:, :, 0], found.state.turn[:, :, 0])
        rotation, position = poses(found.system, state, np.full(1, found.rack), found.xyz)
        order = names(linkage.mechanism)
        frames = {b: (rotation[k, :, :, 0], position[k, :, 0]) for k, b in enumerate(order)}
        return cls(linkage, {b: f for b, f in frames.items() if b not in (CHASSIS, RACK)})

    def carried(self, body: str, xyz: Array) -> Array:
        """Points (..., 3) of a body where it is now."""
        if body not in self.frames:
            return xyz
        rotation, position = self.frames[body]
        return np.asarray(xyz @ rotation.T + position)


def _written(project: Project, solved: _Solved, top: str) -> Project:
    """The project as it would be measured with the bodies where they were solved."""
    points = dict(project.points)
    for name, body in _carriers(solved.linkage):
        if name in points and name != top:
            x, y, z = solved.carried(body, np.array(project.points[name]))
            points[name] = (float(x), float(y), float(z))
    parts = {name: _turned(part, solved) for name, part in project.parts.items()}
    # Lengths as solved hold the adjusters already.
    links = {
        name: msgspec.structs.replace(link, adjust=0.0, adjust_range=_wound(link))
        if link.adjust
        else link
        for name, link in project.links.items()
    }
    wheel = _leaning(project, solved)
    return msgspec.structs.replace(project, points=points, parts=parts, links=links, wheel=wheel)


def _wound(link: object) -> tuple[float, float] | None:
    reach: tuple[float, float] | None = getattr(link, "adjust_range")  # noqa: B009
    adjust: float = getattr(link, "adjust")  # noqa: B009
    return None if reach is None else (reach[0] - adjust, reach[1] - adjust)


def _carriers(linkage: Linkage) -> Iterator[tuple[str, str]]:
    """Every point with the moving body that carries it."""
    project = linkage.project
    yield from linkage.mechanism.carriers.items()
    ends = [end for hose in project.hoses.values() for end in hose.ends]
    for part in project.parts.values():
        if isinstance(part, Shaft):
            ends += [part.inner, part.outer]
    ends += [end for stop in project.stops.values() for end in (stop.on, stop.against)]
    ends += [end for strap in project.straps.values() for end in strap.ends]
    yield from ((end.point, end.body) for end in ends)
    for name, link in project.links.items():
        yield from ((point, name) for point in link.through)


def _turned(part: PartSpec, solved: _Solved) -> PartSpec:
    """A part whose shape is given in coordinates, turned with the body that carries it."""
    body = getattr(part, "body", CHASSIS)
    if body not in solved.frames:
        return part
    if isinstance(part, Scan):
        rotation, position = solved.frames[body]
        turned, moved = placing(part)
        x, y, z = (float(v) for v in turns_about_axes(rotation @ turned))
        to = rotation @ moved + position
        move = (float(to[0]), float(to[1]), float(to[2]))
        return msgspec.structs.replace(part, turn_deg=(x, y, z), move=move)
    if isinstance(part, Box):  # it is not square to the axes any more
        (x0, y0, z0), (x1, y1, z1) = part.least, part.most
        middle = (z0 + z1) / 2
        flat = ((x0, y0, middle), (x1, y0, middle), (x1, y1, middle), (x0, y1, middle))
        part = Plate(body=body, outline=flat, thickness=z1 - z0, is_a=part.is_a)
    if isinstance(part, Plate):
        there = solved.carried(body, np.array(part.outline))
        outline = tuple((float(x), float(y), float(z)) for x, y, z in there)
        return msgspec.structs.replace(part, outline=outline)
    return part


def _leaning(project: Project, solved: _Solved) -> Wheel:
    """The wheel with the lean and the toe it has now."""
    wheel = project.wheel
    rotation, _ = solved.frames[wheel.body]
    n = rotation @ axis(project)
    if wheel.axis is not None:
        return msgspec.structs.replace(wheel, axis=(float(n[0]), float(n[1]), float(n[2])))
    out = 1.0 if project.side == "left" else -1.0
    return msgspec.structs.replace(
        wheel,
        camber_deg=-math.degrees(math.asin(n[2])),
        toe_deg=math.degrees(math.atan2(n[0], out * n[1])),
    )
