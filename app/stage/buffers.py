"""The scene's meshes in two buffers, in runs of pieces that one call draws."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from app.look.palette import Palette, rgb
from app.stage import gl, gpu, shade
from app.stage.gl import Calls
from app.stage.mesh import Mesh
from app.stage.scene import Piece, Scene

Array = NDArray[np.float64]
OUTLINE = 1.35  # px
HOVERED, SELECTED = 2.0, 3.0
GLOSS = {"spring": 0.20, "wheel": 0.28, "shaft": 0.30, "damper": 0.16, "tyre": 0.05, "tower": 0.10}


@dataclass(frozen=True, eq=False)
class Batch:
    """A run of pieces. first, count (n,): faces in the index buffer; edges: creases likewise.

    corners (n, 8, 3): the pieces' boxes in their own frames, not stretched.
    """

    pieces: tuple[Piece, ...]
    first: NDArray[np.int64]
    count: NDArray[np.int64]
    edges: tuple[int, int]
    corners: Array

    @property
    def closed(self) -> bool:
        """Whether no back face can be seen, unless cut."""
        return all(piece.skin.closed for piece in self.pieces)

    def placed(self) -> Array:
        """The corners of the pieces' boxes where they stand. (n, 8, 3)"""
        pose = np.array([piece.pose for piece in self.pieces])
        corners = self.corners.copy()
        stretch = np.array([piece.stretch for piece in self.pieces])
        corners[:, 1::2, 2] += np.maximum(stretch, 0.0)[:, None]
        return np.asarray(np.einsum("nij,nkj->nki", pose[:, :, :3], corners) + pose[:, None, :, 3])


@dataclass
class Values:
    """What a batch's pieces hand to the programs: see the uniforms of ``shade``."""

    rows: NDArray[np.float32]
    tint: NDArray[np.float32]
    how: NDArray[np.float32]


class Buffers:
    """Meshes of the still, the moving and the ghost pieces of a scene."""

    def __init__(self, calls: Calls) -> None:
        self.calls = calls
        self.faces, self.edges = calls.make("VertexArrays", 2)
        self._buffers = calls.make("Buffers", 4)
        self.still: list[Batch] = []
        self.moving: list[Batch] = []
        self.ghosts: list[Batch] = []
        self._values: dict[int, tuple[object, Values]] = {}

    def build(self, scene: Scene) -> None:
        """Upload a scene."""
        vertices: list[NDArray] = []
        faces: list[NDArray] = []
        edges: list[NDArray] = []
        counts = [0, 0, 0]
        pieces = scene.pieces.values()
        groups = [
            [p for p in pieces if not p.moving],
            [p for p in pieces if p.moving],
            list(scene.ghosts.values()),
        ]
        made: list[list[Batch]] = []
        for group in groups:
            closed = [p for p in group if p.skin.closed]
            runs = [*_runs(closed), *_runs([p for p in group if not p.skin.closed])]
            made.append([_lay(run, vertices, faces, edges, counts) for run in runs])
        self.still, self.moving, self.ghosts = made
        self._values.clear()
        self._upload(vertices, faces, edges)

    def _upload(self, vertices: list[NDArray], faces: list[NDArray], edges: list[NDArray]) -> None:
        points = _join(vertices, (0, 11), np.float32)
        index = _join(faces, (0, 3), np.uint32)
        quads = _join(edges, (0, 4, 16), np.float32)
        corners = np.arange(len(quads), dtype=np.uint32)[:, None] * 4
        quad_index = (corners + np.array([0, 1, 2, 2, 1, 3], np.uint32)).astype(np.uint32)
        self.calls.BindVertexArray(self.faces)
        gpu.fill(self.calls, gl.ARRAY_BUFFER, self._buffers[0], points)
        gpu.fill(self.calls, gl.ELEMENT_ARRAY_BUFFER, self._buffers[1], index)
        gpu.layout(self.calls, (3, 3, 3, 2))
        self.calls.BindVertexArray(self.edges)
        gpu.fill(self.calls, gl.ARRAY_BUFFER, self._buffers[2], quads)
        gpu.fill(self.calls, gl.ELEMENT_ARRAY_BUFFER, self._buffers[3], quad_index)
        gpu.layout(self.calls, (3, 3, 4, 3, 3))
        self.calls.BindVertexArray(0)

    def values(self, batch: Batch, palette: Palette, look: int, ratio: float) -> Values:
        """Poses as they are now; colours and lines anew only when the look changed."""
        key: object = (look, palette.dark, ratio)
        if batch in self.ghosts:
            key = object()  # which ghosts are shown changes with every position
        kept = self._values.get(id(batch))
        if kept is None or kept[0] != key:
            kept = self._values[id(batch)] = (key, _dress(batch.pieces, palette, ratio))
        values = kept[1]
        values.rows[...] = [piece.pose for piece in batch.pieces]
        values.how[:, 0] = [piece.stretch for piece in batch.pieces]
        return values

    def draw_faces(self, batch: Batch, order: NDArray[np.int64]) -> None:
        """The faces of some pieces, in an order (front to back hides most for nothing)."""
        self.calls.BindVertexArray(self.faces)
        count = batch.count[order].astype(np.int32)
        places = (4 * batch.first[order]).astype(np.uint64)
        self.calls.MultiDrawElements(
            gl.TRIANGLES, count.ctypes.data, gl.UNSIGNED_INT, places.ctypes.data, len(order)
        )

    def draw_edges(self, batch: Batch) -> None:
        """The creases of a batch."""
        first, count = batch.edges
        self.calls.BindVertexArray(self.edges)
        self.calls.DrawElements(gl.TRIANGLES, 6 * count, gl.UNSIGNED_INT, 24 * first)


def _runs(pieces: list[Piece]) -> list[list[Piece]]:
    return [pieces[i : i + shade.BATCH] for i in range(0, len(pieces), shade.BATCH)]


def _lay(
    run: list[Piece],
    vertices: list[NDArray],
    faces: list[NDArray],
    edges: list[NDArray],
    counts: list[int],
) -> Batch:
    """Append a run of pieces; ``counts`` are the vertices, indices and edges so far."""
    edge_start = counts[2]
    first, number, corners = [], [], []
    for index, piece in enumerate(run):
        mesh = piece.mesh
        n = len(mesh.position)
        tag = np.column_stack([mesh.along, np.full(n, index, np.float32)])
        vertices.append(np.column_stack([mesh.position, mesh.normal, mesh.hull, tag]))
        faces.append(mesh.faces + counts[0])
        edges.append(edge_quads(mesh, index))
        first.append(counts[1])
        number.append(3 * len(mesh.faces))
        low, high = mesh.position.min(0).astype(float), mesh.position.max(0).astype(float)
        ends = np.array([low, high])
        corners.append(
            [[ends[i][0], ends[j][1], ends[k][2]] for i, j, k in product((0, 1), repeat=3)]
        )
        counts[0] += n
        counts[1] += 3 * len(mesh.faces)
        counts[2] += len(mesh.edges)
    span = (edge_start, counts[2] - edge_start)
    return Batch(tuple(run), np.array(first), np.array(number), span, np.array(corners))


def _dress(pieces: tuple[Piece, ...], palette: Palette, ratio: float) -> Values:
    count = len(pieces)
    tint = np.empty((count, 4), np.float32)
    how = np.zeros((count, 4), np.float32)
    for i, piece in enumerate(pieces):
        tint[i, :3] = rgb(palette.dye if piece.dyed else palette.part(piece.kind))
        tint[i, 3] = GLOSS.get(piece.kind, 0.10)
        line = SELECTED if piece.selected else HOVERED if piece.hovered else OUTLINE
        line = line * ratio if piece.skin.closed else 0.0
        dyed = float(piece.hovered or piece.selected)
        how[i, 1:] = float(piece.faded), line if piece.shown else -1.0, dyed
    return Values(np.empty((count, 3, 4), np.float32), tint, how)


def edge_quads(mesh: Mesh, index: int) -> NDArray[np.float32]:
    """Each crease as four corners of a strip. (m, 4, 16)"""
    edges, along = mesh.edges, mesh.edge_along
    quads = np.zeros((len(edges), 4, 16), np.float32)
    quads[:, :, 10:] = mesh.edge_sides.reshape(-1, 1, 6)
    for corner, (here, side) in enumerate(((0, 1.0), (0, -1.0), (1, -1.0), (1, 1.0))):
        there = 1 - here
        quads[:, corner, 0:3] = edges[:, here]
        quads[:, corner, 3:6] = edges[:, there]
        quads[:, corner, 6] = side
        quads[:, corner, 7] = along[:, here]
        quads[:, corner, 8] = along[:, there]
        quads[:, corner, 9] = index
    return quads


def _join(parts: list[NDArray], empty: tuple[int, ...], dtype: type) -> NDArray:
    whole = np.concatenate(parts) if parts else np.zeros(empty)
    return np.ascontiguousarray(whole, dtype)
