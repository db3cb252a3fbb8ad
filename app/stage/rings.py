"""Contact rings: what meets there once more, in a program that colours rings about the marks.

Only the faces and creases within a mark's reach are drawn again. Which those are is found on the
processor and kept until the mark has moved a little on its part.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRect

from app.look.palette import State, rgb
from app.stage import gl, gpu, shade
from app.stage.around import beyond, may_meet
from app.stage.buffers import QUAD, Batch
from app.stage.passes import STRENGTH, Passes, around, blend
from app.stage.scene import Mark, Scene

Array = NDArray[np.float64]
SLACK = 12.0  # mm a mark may move on its part until the faces about it are looked for anew
KEPT = 24  # patches


@dataclass(eq=False)
class Patch:
    """The faces and creases of one piece about a place in its own frame, ready to be drawn."""

    place: Array
    faces: int
    creases: int
    face_index: int
    edge_index: int


class Rings:
    """Draws the marks of a scene over what is drawn already."""

    def __init__(self, passes: Passes) -> None:
        self.passes, self.buffers, self.calls = passes, passes.buffers, passes.calls
        self._patches: dict[tuple[int, int, int], Patch] = {}

    def forget(self) -> None:
        """The scene was built anew: its patches are of no use."""
        for patch in self._patches.values():
            self.calls.delete("Buffers", [patch.face_index, patch.edge_index])
        self._patches.clear()

    def box(self, mark: Mark) -> QRect:
        """The rectangle of the picture that a mark's rings can colour."""
        look = self.passes.look
        across = np.array([[1, 1, -1, -1], [1, -1, 1, -1]])
        reach = shade.MARK_REACH * (look.camera.axes[:2].T @ across).T
        return around(look, middle(mark) + reach, 2.0)

    def draw(self, marks: Sequence[Mark], boxes: Sequence[QRect]) -> None:
        """The rings of the marks, each within its box."""
        if not marks:
            return
        self._tell(marks)
        for slot, (mark, box) in enumerate(zip(marks, boxes, strict=True)):
            if box.isEmpty():
                continue
            self.calls.Enable(gl.SCISSOR_TEST)
            self.calls.Scissor(box.x(), box.y(), box.width(), box.height())
            for batch in (*self.buffers.still, *self.buffers.moving):
                for k, piece in enumerate(batch.pieces):
                    if piece.part in mark.parts and piece.shown:
                        self._ring(batch, self._patch(batch, k, slot, middle(mark)))

    def _tell(self, marks: Sequence[Mark]) -> None:
        """Where the marks are and their colours."""
        palette, program = self.passes.look.palette, self.passes.programs.ringed
        program.use()
        program.whole("mark_count", len(marks))
        points = np.array([[*middle(m), 0.0] for m in marks], np.float32)
        fills = [palette.touch_fill if m.state is State.TOUCH else palette.near_fill for m in marks]
        program.vectors("marks", points)
        program.vectors("mark_colour", np.array([[*rgb(f), 1.0] for f in fills], np.float32))

    def _ring(self, batch: Batch, patch: Patch) -> None:
        passes, program = self.passes, self.passes.programs.ringed
        values = passes.values(batch)
        program.use()
        program.number("through", 0)
        passes.surfaces(program, batch, values, lambda: self._faces(patch))
        passes.creases(values, STRENGTH, lambda: self._creases(patch))
        self._through(patch)

    def _through(self, patch: Patch) -> None:
        """The same rings, faint, over whatever stands in front of them."""
        program = self.passes.programs.ringed
        program.use()
        program.number("through", 1)
        blend(self.calls)
        self.calls.DepthFunc(gl.GREATER)
        self.calls.DepthMask(0)
        self.calls.Enable(gl.CULL_FACE)
        self.calls.CullFace(gl.BACK)
        self._faces(patch)
        self.calls.Disable(gl.CULL_FACE)
        self.calls.DepthMask(1)
        self.calls.DepthFunc(gl.LEQUAL)
        self.calls.Disable(gl.BLEND)

    def _faces(self, patch: Patch) -> None:
        self.buffers.bind(self.buffers.faces, patch.face_index)
        self.calls.DrawElements(gl.TRIANGLES, patch.faces, gl.UNSIGNED_INT, 0)

    def _creases(self, patch: Patch) -> None:
        self.buffers.bind(self.buffers.edges, patch.edge_index)
        self.calls.DrawElements(gl.TRIANGLES, patch.creases, gl.UNSIGNED_INT, 0)

    def _patch(self, batch: Batch, k: int, slot: int, spot: Array) -> Patch:
        """What of a piece lies about a spot of the car, as found before where that serves."""
        pose = batch.pieces[k].pose
        place = (spot - pose[:, 3]) @ pose[:, :3]
        key = id(batch), k, slot
        kept = self._patches.get(key)
        if kept is not None and np.abs(kept.place - place).max() < SLACK / 2:
            return kept
        if kept is None:
            if len(self._patches) >= KEPT:
                self.forget()
            kept = self._patches[key] = Patch(place, 0, 0, *self.calls.make("Buffers", 2))
        faces, creases = about(batch, k, place)
        kept.place, kept.faces, kept.creases = place, faces.size, creases.size
        self.calls.BindVertexArray(self.buffers.faces)
        gpu.fill(self.calls, gl.ELEMENT_ARRAY_BUFFER, kept.face_index, faces)
        self.calls.BindVertexArray(self.buffers.edges)
        gpu.fill(self.calls, gl.ELEMENT_ARRAY_BUFFER, kept.edge_index, creases)
        return kept


def about(batch: Batch, k: int, place: Array) -> tuple[NDArray[np.uint32], NDArray[np.uint32]]:
    """Indices of a piece's faces (f, 3) and creases (c, 6) within a mark's reach of a place.

    All of them of a piece that stretches.
    """
    piece = batch.pieces[k]
    reach = shade.MARK_REACH + SLACK if piece.skin.along is None else np.inf
    mesh, first = piece.mesh, batch.faces.elements.first
    low, high = place - reach, place + reach
    near = may_meet(beyond(mesh.position.T, low, high), mesh.faces)
    faces = batch.faces.index[first[k] + near]
    start = batch.first_edge + int(batch.creases.left.first[k])
    ends = np.arange(mesh.edges.size // 3).reshape(-1, 2)
    chosen = start + may_meet(beyond(mesh.edges.reshape(-1, 3).T, low, high), ends)
    return faces, (4 * chosen[:, None] + QUAD).astype(np.uint32)


def middle(mark: Mark) -> Array:
    """Halfway between the two points of a mark. (3,)"""
    return np.asarray((mark.point_a + mark.point_b) / 2)


def shown_marks(scene: Scene) -> tuple[Mark, ...]:
    """The marks that wear rings."""
    marks = [m for m in scene.marks if m.state in (State.NEAR, State.TOUCH)]
    return tuple(marks[: shade.MARKS])
