"""Exact pieces of which every part is a union, as control points over poses.

The leading axis n of every array runs over poses (of a travel x rack grid: travel slowest); a piece
that does not move may have n = 1. All lengths in mm. A compressing spring or a sliding damper is a
piece like any other: its control points move.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from kinematics.shapes.profile import Profile
from kinematics.shapes.tree import Tree, grow

Array = npt.NDArray[np.float64]

#: Corner i of a box is at (-+x, -+y, -+z) by the bits of i, x slowest; faces seen from outside.
BOX_FACES: tuple[tuple[int, ...], ...] = (
    (0, 1, 3, 2),
    (4, 6, 7, 5),
    (0, 4, 5, 1),
    (2, 3, 7, 6),
    (0, 2, 6, 4),
    (1, 5, 7, 3),
)


@dataclass(frozen=True, eq=False)
class Rod:
    """All points within `radius` of a straight line: tube, bar, shaft, a point (both ends equal).

    ends : (n, 2, 3)
    """

    ends: Array
    radius: float

    def __post_init__(self) -> None:
        _shape(self, "ends", self.ends, (2, 3))
        _not_negative("radius", self.radius)


@dataclass(frozen=True, eq=False)
class Sheet:
    """All points within `half` of a flat convex polygon: plate, facet of a bent panel, gusset.

    corners : (n, k, 3), in order, k >= 3; half : half the thickness, 0 for a bare surface.
    """

    corners: Array
    half: float = 0.0

    def __post_init__(self) -> None:
        _shape(self, "corners", self.corners, (None, 3))
        _not_negative("half", self.half)
        if self.corners.shape[1] < 3:
            raise ValueError("A sheet needs at least three corners.")


@dataclass(frozen=True, eq=False)
class Block:
    """A convex solid with flat faces and sharp edges: rail, fabricated box.

    corners : (n, k, 3); faces : corner numbers of each face in order, counter-clockwise from
    outside. The default faces are a box's (see `box`).
    """

    corners: Array
    faces: tuple[tuple[int, ...], ...] = BOX_FACES

    def __post_init__(self) -> None:
        _shape(self, "corners", self.corners, (None, 3))
        if max(max(face) for face in self.faces) >= self.corners.shape[1]:
            raise ValueError("A face of a block names a corner that is not there.")


@dataclass(frozen=True, eq=False)
class Ring:
    """A convex (r, y) profile turned about an axis: tyre, disc, drum, spring envelope, cylinder.

    centre : (n, 3) where the axis passes y = 0; axis : (n, 3) unit vectors towards +y;
    stretch : (n,) how far the profile's far arcs are moved along +y, or None.
    A filled ring reaches in to its axis, whatever lies inside the profile. A hollow one is only the
    turned profile itself (rim barrel, flange, torus): its bore is open.
    """

    centre: Array
    axis: Array
    profile: Profile
    stretch: Array | None = None
    hollow: bool = False

    def __post_init__(self) -> None:
        _shape(self, "centre", self.centre, (3,))
        _shape(self, "axis", self.axis, (3,))
        if len(self.axis) == 1:
            x, y, z = self.axis[0].tolist()
            off = abs(math.sqrt(x * x + y * y + z * z) - 1.0)
        else:
            length = np.linalg.norm(self.axis, axis=1)
            off = float(np.nanmax(np.abs(length - 1.0), initial=0.0))
        if off > 1e-6:  # NaN, a pose not reached, passes
            raise ValueError("A ring's axis must be of unit length.")
        if self.stretch is not None:
            _shape(self, "stretch", self.stretch, ())


@dataclass(frozen=True, eq=False)
class Surface:
    """The triangles of a scan, and a tree of balls over them that is built once.

    triangles : (m, 3, 3) in the scan's own coordinates, finite. component : (m,) number of the
    connected piece each belongs to, or None for one. closed : per component, whether it is
    watertight, so that its inside is known; empty means none is.
    """

    triangles: Array
    component: npt.NDArray[np.int64] | None = None
    closed: tuple[bool, ...] = ()

    def __post_init__(self) -> None:
        _shape(self, "triangles", self.triangles, (3, 3))
        if len(self.triangles) == 0 or not np.all(np.isfinite(self.triangles)):
            raise ValueError("A scan needs at least one triangle, and finite corners.")

    @cached_property
    def tree(self) -> Tree:
        """The triangles in tree order with their balls."""
        return grow(self.triangles)


@dataclass(frozen=True, eq=False)
class Mesh:
    """A scan carried by a body: at pose i its points are rotation[i] @ p + position[i].

    rotation : (n, 3, 3); position : (n, 3). Other parts are measured to its surface; where a whole
    part lies inside a closed component that is an overlap.
    """

    surface: Surface
    rotation: Array
    position: Array

    def __post_init__(self) -> None:
        _shape(self, "rotation", self.rotation, (3, 3))
        _shape(self, "position", self.position, (3,))


Piece: TypeAlias = Rod | Sheet | Block | Ring | Mesh


@dataclass(frozen=True, eq=False)
class Part:
    """A named part: the union of its pieces.

    body : what carries it; kind : class used by rules ('tyre', 'spring', 'tower', ...);
    closed : False for an open scan, which has no inside.
    sagitta : per piece, an upper bound (mm) on how far the path of ANY point of the piece leaves
    the straight chord between adjacent travel samples: a number, or (nz - 1, ns), or
    (nz - 1,) over the travel intervals. Empty means 0 for all: pieces that do not move, or move
    straight. For a rod, sheet or block the control points' own bulge is enough; for a ring take
    points of its rim (the turning of its axis is added by the clearance room).
    """

    name: str
    body: str
    kind: str
    pieces: tuple[Piece, ...]
    closed: bool = True
    sagitta: tuple[float | Array, ...] = field(default=())

    def __post_init__(self) -> None:
        if self.sagitta and len(self.sagitta) != len(self.pieces):
            raise ValueError(f"Part '{self.name}': one sagitta per piece is needed.")


def box(centre: npt.ArrayLike, half: npt.ArrayLike, rotation: npt.ArrayLike | None = None) -> Block:
    """A box: centre (n, 3) or (3,), half sizes (3,), rotation (n, 3, 3) or (3, 3) or None."""
    c = np.atleast_2d(np.asarray(centre, float))
    bits = np.array([[(i >> 2) & 1, (i >> 1) & 1, i & 1] for i in range(8)], float)
    local = (2.0 * bits - 1.0) * np.asarray(half, float)
    turn = np.eye(3) if rotation is None else np.asarray(rotation, float)
    turn = turn.reshape((-1, 3, 3))
    return Block(np.ascontiguousarray(c[:, None, :] + np.einsum("nij,kj->nki", turn, local)))


def point(xyz: npt.ArrayLike) -> Rod:
    """A bare point (n, 3) or (3,), as a rod of no length and no radius."""
    p = np.atleast_2d(np.asarray(xyz, float))
    return Rod(np.ascontiguousarray(np.repeat(p[:, None, :], 2, axis=1)), 0.0)


def poses(piece: Piece) -> int:
    """How many poses the piece is given at (1: it does not move)."""
    if isinstance(piece, Rod):
        return len(piece.ends)
    if isinstance(piece, Ring):
        counts = [len(piece.centre), len(piece.axis)]
        if piece.stretch is not None:
            counts.append(len(piece.stretch))
        return max(counts)
    if isinstance(piece, Mesh):
        return max(len(piece.rotation), len(piece.position))
    return len(piece.corners)


def _shape(owner: object, name: str, array: Array, tail: tuple[int | None, ...]) -> None:
    fits = array.ndim == len(tail) + 1 and all(
        want is None or have == want for have, want in zip(array.shape[1:], tail, strict=False)
    )
    if not fits:
        want_text = ", ".join("k" if t is None else str(t) for t in tail)
        raise ValueError(
            f"{type(owner).__name__}.{name} must have the shape (n, {want_text}); "
            f"it has {array.shape}."
        )


def _not_negative(name: str, value: float) -> None:
    if not (np.isfinite(value) and value >= 0.0):
        raise ValueError(f"The {name} of a piece must be a number of 0 or more; it is {value}.")
