"""How a part is made: everything that does not move worked out once, the rest at every motion."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import TypeAlias

import numpy as np

from kinematics.project.model import CHASSIS
from kinematics.shapes.directions import around
from kinematics.shapes.pieces import Array, Block, Part, Piece, Ring, Rod
from kinematics.shapes.poses import Poses
from kinematics.shapes.profile import Profile, rectangle

Recipe: TypeAlias = Callable[[Poses], Part]


class Carried:
    """A piece that one body carries whole."""

    def __init__(self, hull: Array, make: Callable[[Poses], Piece]) -> None:
        """`hull` (m, 3): points as measured whose convex hull holds the piece."""
        self.hull = hull
        self.make = make


def carried(
    name: str,
    body: str,
    kind: str,
    solids: list[Carried],
    closed: bool = True,
) -> Recipe:
    """A part of pieces that one body carries; on the chassis it is made once."""

    def make(poses: Poses) -> Part:
        pieces = tuple(solid.make(poses) for solid in solids)
        strays = tuple(poses.stray(body, solid.hull) for solid in solids)
        return Part(name, body, kind, pieces, closed, strays)

    if body != CHASSIS:
        return make
    still = make(Poses())
    return lambda poses: still


def rod(body: str, ends: Array, radius: float) -> Carried:
    """A rod between two points (2, 3)."""
    return Carried(ends, lambda poses: Rod(poses.carry(body, ends), radius))


def block(body: str, corners: Array, faces: tuple[tuple[int, ...], ...]) -> Carried:
    """A block of corners (k, 3)."""
    return Carried(corners, lambda poses: Block(poses.carry(body, corners), faces))


@lru_cache(maxsize=64)
def drum(radius: float, low: float, high: float) -> Profile:
    """The profile of a plain cylinder between two heights; its upper end is the far one."""
    return rectangle(0.0, radius, low, high)


def ring(body: str, centre: Array, axis: Array, profile: Profile) -> Carried:
    """A filled ring about an axis; centre and unit axis (3,)."""

    def make(poses: Poses) -> Ring:
        return Ring(*poses.axis(body, centre, axis), profile)

    ends = np.array([centre + profile.y_min * axis, centre + profile.y_max * axis])
    return Carried(around(ends, profile.r_max), make)
