"""The coilover as exact solids on the moving line from its foot to its top bearing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from kinematics.project.model import Coilover, Project, Spring
from kinematics.shapes.pieces import Array, Part, Piece, Ring, Rod
from kinematics.shapes.poses import Anchor, Poses, anchor
from kinematics.shapes.recipe import Recipe, drum

MOUNT_STACK = 35.0
"""Top bearing centre down to the bump stop's seat when nothing says so, mm: common practice."""
SEAT_THICKNESS = 8.0
"""Thickness of the spring seat's disc, mm: common practice, no source."""
SPRING_AS_DRAWN = 100.0
"""Length of the spring's profile before it is stretched, mm."""

SHORTEST = 1.0
"""Length a spring is drawn and checked at least at, mm, where seat and top hat have met."""


@dataclass(frozen=True, slots=True)
class Stack:
    """Where things sit along a coilover, mm.

    body_top : foot eye centre up to the top of the damper's body. stop : top bearing centre down
    to the bump stop's seat, which the body would meet when the damper is closed with the stop off.
    """

    body_top: float
    stop: float


def stack(coilover: Coilover) -> Stack:
    """The stack; a body length not given follows from the closed length and the spring's top."""
    if coilover.body_length is not None:
        return Stack(coilover.body_length, max(coilover.closed - coilover.body_length, 0.0))
    stop = MOUNT_STACK if coilover.spring is None else max(coilover.spring.end_from_top, 10.0)
    return Stack(coilover.closed - stop, stop)


def recipes(coilover: Coilover, project: Project) -> Iterator[Recipe]:
    """Damper body and shaft, spring, and the spring seat when its diameter is given."""
    foot, top = anchor(project, coilover.foot), anchor(project, coilover.top)
    yield _body(coilover, foot, top)
    yield _shaft(coilover, foot, top)
    if (spring := coilover.spring) is not None:
        yield _spring(spring, foot, top)
        if spring.seat_outside is not None:
            yield _seat(spring, spring.seat_outside, foot, top)


def _body(coilover: Coilover, foot: Anchor, top: Anchor) -> Recipe:
    radius, length = coilover.body_diameter / 2, stack(coilover).body_top
    profile = drum(radius, 0.0, length)

    def make(poses: Poses) -> Part:
        line = poses.line(foot, top)
        piece = Ring(line.at(0.0), line.direction, profile)
        return _part("damper body", "damper", piece, line.stray(length, radius))

    return make


def _shaft(coilover: Coilover, foot: Anchor, top: Anchor) -> Recipe:
    length, radius = stack(coilover).body_top, coilover.shaft_diameter / 2

    def make(poses: Poses) -> Part:
        line = poses.line(foot, top)
        piece = Rod(ends(line.at(length), line.end), radius)
        return _part(
            "damper shaft", "damper", piece, np.maximum(line.stray(length), line.end_stray)
        )

    return make


def _spring(spring: Spring, foot: Anchor, top: Anchor) -> Recipe:
    """The spring's envelope: a cylinder from seat to top hat that follows the damper.

    As wide as typed at every length. Coils grow by some tenths of a millimetre as they close
    (`statics.springs.growth`), least in droop; type a larger outside where tenths matter.
    """
    low, high, radius = spring.seat_from_foot, spring.end_from_top, spring.outside / 2
    profile = drum(radius, 0.0, SPRING_AS_DRAWN)

    def make(poses: Poses) -> Part:
        line = poses.line(foot, top)
        stretch = np.maximum(line.length - low - high, SHORTEST) - SPRING_AS_DRAWN
        piece = Ring(line.at(low), line.direction, profile, stretch)
        sagitta = np.maximum(line.stray(low, radius), line.stray(high, radius, from_end=True))
        return _part("spring", "spring", piece, sagitta)

    return make


def _seat(spring: Spring, outside: float, foot: Anchor, top: Anchor) -> Recipe:
    high = spring.seat_from_foot
    low, radius = high - SEAT_THICKNESS, outside / 2
    profile = drum(radius, 0.0, SEAT_THICKNESS)

    def make(poses: Poses) -> Part:
        line = poses.line(foot, top)
        piece = Ring(line.at(low), line.direction, profile)
        return _part("spring seat", "damper", piece, line.stray(max(-low, high), radius))

    return make


def _part(name: str, kind: str, piece: Piece, sagitta: Array | float) -> Part:
    """A part of the coilover, which moves with the line from foot to top: a body of its own."""
    return Part(name, "coilover", kind, (piece,), sagitta=(sagitta,))


def ends(a: Array, b: Array) -> Array:
    """Two points over poses (n, 3) or (1, 3) as the ends (n, 2, 3) of a rod."""
    a, b = np.broadcast_arrays(a, b)
    return np.ascontiguousarray(np.stack([a, b], axis=1))
