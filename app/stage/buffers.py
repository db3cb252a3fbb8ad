"""The scene's meshes in two buffers, in runs of pieces that one call draws."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from app.look.palette import Palette, rgb
from app.stage import gl, gpu, shade
from app.stage.camera import Camera
from app.stage.gl import Calls
from app.stage.scene import Piece, Scene
from app.stage.sides import F32, Creases, Faces, creases_of, eyes_of, faces_of

Array = NDArray[np.float64]
OUTLINE = 1.35  # px
HOVERED, SELECTED = 2.0, 3.0
QUAD = np.array([0, 1, 2, 2, 1, 3])
# How far the eye may come off in a piece's frame, mm (in a flat view the way's sine), while the
# view stands still, until faces are chosen anew; and by how much of it a mm of stretch counts.
SLACK, FLAT_SLACK, STRETCHED = 120.0, 0.045, 3.0
GLOSS = {"spring": 0.20, "wheel": 0.28, "shaft": 0.30, "damper": 0.16, "tyre": 0.05, "tower": 0.10}


@dataclass(frozen=True, eq=False)
class Choice:
    """What a batch's faces were chosen for: the view, what was shown, and from where it is seen.

    eyes (n, 3) and stretch (n,) as in ``sides``; slack: how far they may come off.
    """

    camera: Camera
    shown: tuple[object, ...]
    eyes: F32
    stretch: F32
    slack: float

    def serves(self, eyes: F32, stretch: F32) -> bool:
        """Whether it holds all that is to be seen from these eyes."""
        off = np.sqrt(((eyes - self.eyes) ** 2).sum(axis=1))
        off += STRETCHED * np.abs(stretch - self.stretch) if not self.camera.flat else 0.0
        moved = self.camera.flat and bool((stretch != self.stretch).any())
        return not moved and bool(off.max(initial=0.0) < self.slack)


@dataclass(eq=False)
class Batch:
    """A run of pieces and what of it is to be drawn.

    corners (n, 8, 3): the pieces' boxes in their own frames, not stretched. ``first_edge``: where
    its creases begin in the buffer. face_index, edge_index: the driver's buffers of what is
    chosen; first and first_crease (n + 1,): where each piece's chosen faces and creases begin;
    ``rim``: how many faces follow for the outline.
    """

    pieces: tuple[Piece, ...]
    faces: Faces
    creases: Creases
    corners: Array
    first_edge: int
    face_index: int
    edge_index: int
    first: NDArray[np.int64]
    first_crease: NDArray[np.int64]
    rim: int = 0
    choice: Choice | None = None

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
        self._buffers = calls.make("Buffers", 2)
        self.still: list[Batch] = []
        self.moving: list[Batch] = []
        self.ghosts: list[Batch] = []
        self._values: dict[int, tuple[object, Values]] = {}

    def build(self, scene: Scene) -> None:
        """Upload a scene."""
        vertices: list[NDArray] = []
        edges: list[NDArray] = []
        pieces = scene.pieces.values()
        groups = [
            [p for p in pieces if not p.moving],
            [p for p in pieces if p.moving],
            list(scene.ghosts.values()),
        ]
        for batch in (*self.still, *self.moving, *self.ghosts):
            self.calls.delete("Buffers", [batch.face_index, batch.edge_index])
        made: list[list[Batch]] = []
        for group in groups:
            closed = [p for p in group if p.skin.closed]
            runs = [*_runs(closed), *_runs([p for p in group if not p.skin.closed])]
            made.append([self._lay(run, vertices, edges) for run in runs])
        self.still, self.moving, self.ghosts = made
        self._values.clear()
        self._upload(vertices, edges)

    def _lay(self, run: list[Piece], vertices: list[NDArray], edges: list[NDArray]) -> Batch:
        """Append a run of pieces to what will be uploaded."""
        starts, corners = [], []
        first_edge = sum(len(e) for e in edges)
        count = sum(len(v) for v in vertices)
        for index, piece in enumerate(run):
            mesh = piece.mesh
            starts.append(count)
            tag = np.column_stack([mesh.along, np.full(len(mesh.along), index, np.float32)])
            vertices.append(np.column_stack([mesh.position, mesh.normal, mesh.hull, tag]))
            quads = mesh.quads.copy()
            quads[:, :, 9] = index
            edges.append(quads)
            count += len(mesh.position)
            box = mesh.box.astype(float)
            corners.append(
                [[box[i][0], box[j][1], box[k][2]] for i, j, k in product((0, 1), repeat=3)]
            )
        face_index, edge_index = self.calls.make("Buffers", 2)
        none = np.zeros(len(run) + 1, np.int64)
        return Batch(
            tuple(run), faces_of(run, starts), creases_of(run), np.array(corners),
            first_edge, face_index, edge_index, none, none,
        )  # fmt: skip

    def choose(self, batch: Batch, camera: Camera, all_of_it: bool) -> None:
        """Make ready the faces and creases of a batch that can be seen, or all of its faces."""
        eyes = eyes_of(batch.pieces, camera)
        stretch = np.array([piece.stretch for piece in batch.pieces], np.float32)
        shown = (all_of_it, *(piece.shown for piece in batch.pieces))
        before, slack = batch.choice, 0.0
        if before is not None and before.camera == camera and before.shown == shown:
            if before.serves(eyes, stretch):
                return
            slack = FLAT_SLACK if camera.flat else SLACK
        batch.choice = Choice(camera, shown, eyes, stretch, slack)
        self._choose(batch, batch.choice, all_of_it)

    def _choose(self, batch: Batch, choice: Choice, all_of_it: bool) -> None:
        calls, eyes, flat, slack = self.calls, choice.eyes, choice.camera.flat, choice.slack
        front, batch.first, rim = batch.faces.chosen(batch.pieces, eyes, flat, slack)
        if all_of_it:
            shown = np.array([piece.shown for piece in batch.pieces])
            counts = np.diff(batch.faces.elements.first)
            front = rim = batch.faces.index[np.repeat(shown, counts)]
            batch.first = np.cumsum([0, *(counts * shown)])
        batch.rim = len(rim)
        calls.BindVertexArray(self.faces)
        index = np.concatenate([front, rim])
        gpu.fill(calls, gl.ELEMENT_ARRAY_BUFFER, batch.face_index, index)
        chosen, batch.first_crease = batch.creases.chosen(batch.pieces, eyes, flat, slack)
        calls.BindVertexArray(self.edges)
        quads = (4 * (batch.first_edge + chosen)[:, None] + QUAD).astype(np.uint32)
        gpu.fill(calls, gl.ELEMENT_ARRAY_BUFFER, batch.edge_index, quads)

    def _upload(self, vertices: list[NDArray], edges: list[NDArray]) -> None:
        points = _join(vertices, (0, 11), np.float32)
        quads = _join(edges, (0, 4, 16), np.float32)
        self.calls.BindVertexArray(self.faces)
        gpu.fill(self.calls, gl.ARRAY_BUFFER, self._buffers[0], points)
        gpu.layout(self.calls, (3, 3, 3, 2))
        self.calls.BindVertexArray(self.edges)
        gpu.fill(self.calls, gl.ARRAY_BUFFER, self._buffers[1], quads)
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
        """The chosen faces of some pieces, in an order (front to back hides most for nothing)."""
        self.bind(self.faces, batch.face_index)
        self._draw(3 * batch.first, order)

    def draw_rim(self, batch: Batch) -> None:
        """The chosen faces at the rim."""
        self.bind(self.faces, batch.face_index)
        start = 12 * int(batch.first[-1])
        self.calls.DrawElements(gl.TRIANGLES, 3 * batch.rim, gl.UNSIGNED_INT, start)

    def draw_edges(self, batch: Batch, order: NDArray[np.int64]) -> None:
        """The chosen creases of some pieces."""
        self.bind(self.edges, batch.edge_index)
        self._draw(6 * batch.first_crease, order)

    def _draw(self, first: NDArray[np.int64], order: NDArray[np.int64]) -> None:
        # A draw that begins with a piece of nothing is left out whole by some drivers.
        order = order[np.diff(first)[order] > 0]
        count = np.diff(first)[order].astype(np.int32)
        places = (4 * first[order]).astype(np.uint64)
        self.calls.MultiDrawElements(
            gl.TRIANGLES, count.ctypes.data, gl.UNSIGNED_INT, places.ctypes.data, len(order)
        )

    def bind(self, arrays: int, index: int) -> None:
        """Draw from these vertices by that index."""
        self.calls.BindVertexArray(arrays)
        self.calls.BindBuffer(gl.ELEMENT_ARRAY_BUFFER, index)


def _runs(pieces: list[Piece]) -> list[list[Piece]]:
    return [pieces[i : i + shade.BATCH] for i in range(0, len(pieces), shade.BATCH)]


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


def _join(parts: list[NDArray], empty: tuple[int, ...], dtype: type) -> NDArray:
    whole = np.concatenate(parts) if parts else np.zeros(empty)
    return np.ascontiguousarray(whole, dtype)
