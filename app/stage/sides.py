"""Which faces and creases of a run of pieces are turned towards the eye.

Half of every closed mesh looks away, and its outline needs only the faces at its rim. Leaving
the rest out here, a whole run at a time, costs less than having it placed and thrown away.

A choice may be made with ``slack``: it then also holds what would turn towards an eye that far
away, and serves until the eye has moved so far in some piece's frame. What is chosen too much the
driver leaves out by itself, so the picture is the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from app.stage.camera import Camera
from app.stage.scene import Piece

Array = NDArray[np.float64]
F32 = NDArray[np.float32]
Index = NDArray[np.int64]
GRAZING = 1e-3  # sine of the angle within which a face counts as seen: rounding opens no hole


@dataclass(frozen=True, eq=False)
class Elements:
    """Faces or creases of a run, piece by piece, each in its piece's own frame.

    normals (m, 3); reach (m,): how far along its normal an element lies from the origin, and
    ``slide`` (m,): how much farther for each mm of stretch. first (n + 1,): where each piece's
    elements begin.
    """

    normals: F32
    reach: F32
    slide: F32
    first: Index

    def height(self, eyes: F32, flat: bool, stretch: F32) -> F32:
        """How far each piece's eye (n, 3) stands in front of each face, mm; flat, the sine. (m,)"""
        height = np.empty(len(self.normals), np.float32)
        for k, (a, b) in enumerate(pairwise(self.first.tolist())):
            np.matmul(self.normals[a:b], eyes[k], out=height[a:b])
            if not flat:
                height[a:b] -= self.reach[a:b]
                if stretch[k]:
                    height[a:b] -= self.slide[a:b] * stretch[k]
        return height


def elements(normals: list[F32], spots: list[F32], along: list[F32]) -> Elements:
    """From each piece's normals (m, 3), a point of each element (m, 3) and its stretch share."""
    n, spot = np.concatenate(normals), np.concatenate(spots)
    reach = np.einsum("ij,ij->i", n, spot)
    first = np.cumsum([0, *(len(part) for part in normals)])
    return Elements(n, reach, n[:, 2] * np.concatenate(along), first)


@dataclass(frozen=True, eq=False)
class Faces:
    """The faces of a run. index (m, 3) into the vertices, corner (m, 3) into welded corners."""

    elements: Elements
    index: NDArray[np.uint32]
    corner: Index

    def chosen(
        self, pieces: Sequence[Piece], eyes: F32, flat: bool, slack: float = 0.0
    ) -> tuple[NDArray[np.uint32], Index, NDArray[np.uint32]]:
        """What to draw: front faces (f, 3), where each piece's begin (n + 1,), the rim (r, 3)."""
        first = self.elements.first
        height = self.elements.height(eyes, flat, np.zeros(len(pieces), np.float32))
        for k, piece in enumerate(pieces):
            if piece.shown and piece.skin.along is not None:  # its normals turn as it stretches
                height[first[k] : first[k + 1]] = stretched_height(piece, eyes[k], flat)
        limit = slack + grazing(eyes, flat)
        front, rim = height > -limit, height <= slack
        for k, piece in enumerate(pieces):
            if not piece.shown:
                here = slice(first[k], first[k + 1])
                front[here] = rim[here] = False
        near = np.zeros(int(self.corner.max()) + 1, bool)
        near[self.corner[front]] = True
        back = np.flatnonzero(rim)
        a, b, c = self.corner[back].T
        back = back[near[a] | near[b] | near[c]]
        count = np.concatenate([[0], np.cumsum(front)])
        return self.index[front], count[first], self.index[back]


def grazing(eyes: F32, flat: bool) -> float:
    """How far behind a face's plane an eye may stand and the face still count as seen."""
    far = 1.0 if flat else float(np.linalg.norm(eyes, axis=1).max(initial=0.0))
    return GRAZING * far


def stretched_height(piece: Piece, eye: F32, flat: bool) -> F32:
    """How far the eye stands in front of the faces of a stretched piece, mm; flat, the sine."""
    mesh = piece.mesh
    place = mesh.position.copy()
    place[:, 2] += mesh.along * np.float32(piece.stretch)
    a, b, c = (place[mesh.faces[:, k]] for k in range(3))
    normal = cross(b - a, c - a)
    way = np.broadcast_to(eye, a.shape) if flat else eye - a
    size = np.sqrt(np.einsum("ij,ij->i", normal, normal))
    return np.asarray(np.einsum("ij,ij->i", normal, way) / np.maximum(size, 1e-12), np.float32)


def cross(a: F32, b: F32) -> F32:
    """Row by row; NumPy's own shuffles axes for longer than it multiplies."""
    x = a[:, 1] * b[:, 2] - a[:, 2] * b[:, 1]
    y = a[:, 2] * b[:, 0] - a[:, 0] * b[:, 2]
    return np.stack([x, y, a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]], axis=1)


@dataclass(frozen=True, eq=False)
class Creases:
    """The creases of a run, by the face on either side."""

    left: Elements
    right: Elements

    def chosen(
        self, pieces: Sequence[Piece], eyes: F32, flat: bool, slack: float = 0.0
    ) -> tuple[NDArray[np.int64], Index]:
        """Those with a face towards the eye, and where each piece's begin (n + 1,)."""
        stretch = np.array([piece.stretch for piece in pieces], np.float32)
        height = np.maximum(
            self.left.height(eyes, flat, stretch), self.right.height(eyes, flat, stretch)
        )
        seen = height > -(slack + grazing(eyes, flat))
        for k, piece in enumerate(pieces):
            if not piece.shown:
                seen[self.left.first[k] : self.left.first[k + 1]] = False
        return np.flatnonzero(seen), np.concatenate([[0], np.cumsum(seen)])[self.left.first]


def eyes_of(pieces: Sequence[Piece], camera: Camera) -> F32:
    """The eye in every piece's own frame, or in a flat view the way towards it. (n, 3)"""
    pose = np.array([piece.pose for piece in pieces])
    turn = pose[:, :, :3]
    if camera.flat:
        return np.einsum("nij,i->nj", turn, camera.axes[2]).astype(np.float32)
    return np.einsum("nij,ni->nj", turn, camera.eye - pose[:, :, 3]).astype(np.float32)


def faces_of(pieces: Sequence[Piece], first_vertex: Sequence[int]) -> Faces:
    """The faces of a run whose pieces' vertices begin at these places of the buffer."""
    meshes = [piece.mesh for piece in pieces]
    corners, count = [], 0
    for mesh in meshes:
        corners.append(mesh.corner.astype(np.int64) + count)
        count += int(mesh.corner.max(initial=-1)) + 1
    index = [mesh.faces + start for mesh, start in zip(meshes, first_vertex, strict=True)]
    return Faces(
        elements(
            [mesh.unit for mesh in meshes],
            [mesh.position[mesh.faces[:, 0]] for mesh in meshes],
            [mesh.along[mesh.faces[:, 0]] for mesh in meshes],
        ),
        np.concatenate(index).astype(np.uint32),
        np.concatenate(corners),
    )


def creases_of(pieces: Sequence[Piece]) -> Creases:
    """The creases of a run."""
    meshes = [piece.mesh for piece in pieces]
    spots = [mesh.edges[:, 0] for mesh in meshes]
    along = [mesh.edge_along[:, 0] for mesh in meshes]
    left, right = (
        elements([mesh.edge_sides[:, k] for mesh in meshes], spots, along) for k in (0, 1)
    )
    return Creases(left, right)
