"""How a run of pieces is drawn: surfaces, outlines, creases, and rings where parts meet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRect

from app.look.palette import Palette, State, rgb
from app.stage import gl, shade
from app.stage.buffers import Batch, Buffers, Values
from app.stage.camera import Camera, to_pixels
from app.stage.gl import Calls
from app.stage.gpu import Program
from app.stage.scene import Mark, Scene

Array = NDArray[np.float64]
CREASE_REACH = 1.25  # px each side, the feather included
STRENGTH = 0.82  # of a crease over its surface
LINE = {False: "#0E1A1F", True: "#060B0D"}
FACES = ("position", "normal", "hull", "tag")
EDGES = ("here", "there", "edge", "left", "right")


@dataclass(frozen=True, eq=False)
class Look:
    """What all programs must know: the scene, the eye, the theme, the picture's size.

    matrix (4, 4): vehicle axes to clip space; sight: the same by columns, turned upside down.
    """

    scene: Scene
    camera: Camera
    palette: Palette
    size: tuple[int, int]
    ratio: float
    matrix: Array
    sight: NDArray[np.float32]


class Programs:
    """The three programs with one set of switches thrown."""

    def __init__(self, calls: Calls, *switches: str) -> None:
        def made(vertex: str, fragment: str, names: tuple[str, ...]) -> Program:
            return Program(calls, _with(vertex, switches), _with(fragment, switches), names)

        self.surface = made(shade.SURFACE_VERTEX, shade.SURFACE_FRAGMENT, FACES)
        self.ringed = Program(
            calls,
            _with(shade.SURFACE_VERTEX, switches),
            _with(shade.SURFACE_FRAGMENT, (*switches, "MARKS")),
            FACES,
        )
        self.outline = made(shade.OUTLINE_VERTEX, shade.OUTLINE_FRAGMENT, FACES)
        self.crease = made(shade.CREASE_VERTEX, shade.CREASE_FRAGMENT, EDGES)


def _with(source: str, switches: tuple[str, ...]) -> str:
    lines = "".join(f"\n#define {switch}" for switch in switches)
    return source.replace("#version 150", f"#version 150{lines}", 1)


class Passes:
    """Draws batches into the target in use."""

    def __init__(self, calls: Calls, buffers: Buffers) -> None:
        self.calls, self.buffers = calls, buffers
        self._whole, self._sectioned = Programs(calls), Programs(calls, "CUT")
        self.programs = self._whole
        self.cutting = False
        self._seen: object = None

    def see(self, look: Look) -> None:
        """Take up the eye, the light and the theme."""
        self.look = look
        cut = None if look.scene.cut is None else look.scene.cut.tobytes()
        seen = (look.camera, look.palette.dark, look.size, look.ratio, look.sight.tobytes(), cut,
                look.scene.ground_z)  # fmt: skip
        if seen != self._seen:
            self._seen = seen
            self._tell(look)

    def _tell(self, look: Look) -> None:
        self.cutting = look.scene.cut is not None
        self.programs = now = self._sectioned if self.cutting else self._whole
        camera, palette = look.camera, look.palette
        eye, axes = camera.eye, camera.axes
        for program in (now.surface, now.ringed, now.outline, now.crease):
            program.use()
            program.matrix("sight", look.sight)
            program.vector("pixel", (2 / look.size[0], 2 / look.size[1]))
            program.vector("eye", eye)
            program.vector("back", axes[2])
            program.number("level", camera.flat)
            program.colour("ink", LINE[palette.dark])
            program.colour("dye", palette.dye)
            program.colour("fog", palette.stage[0])
            if look.scene.cut is not None:
                program.vector("cut", look.scene.cut)
        now.crease.number("reach", CREASE_REACH * look.ratio)
        light = -0.45 * axes[0] + 0.62 * axes[1] + 0.55 * axes[2] + np.array([0, 0, 0.35])
        light /= np.linalg.norm(light)
        half_way = light + axes[2]
        for program in (now.surface, now.ringed):
            program.use()
            program.vector("light", light)
            program.vector("half_way", half_way / np.linalg.norm(half_way))
            program.number("ground", look.scene.ground_z)
            program.number("dark", palette.dark)

    def batch(self, batch: Batch) -> None:
        """Surfaces front to back, outlines behind them, creases over them."""
        values = self._values(batch)
        order = self._front_to_back(batch)
        self.buffers.choose(batch, self.look.camera, self.cutting or not batch.closed)
        self._surfaces(self.programs.surface, batch, values, order)
        self.programs.outline.use()
        self._give(self.programs.outline, values)
        self.calls.Enable(gl.CULL_FACE)
        self.calls.CullFace(gl.FRONT)
        self.buffers.draw_rim(batch)
        self.calls.Disable(gl.CULL_FACE)
        self._creases(batch, values, order, STRENGTH)

    def ghosts(self) -> None:
        """Before: creases only, in the quiet ink."""
        if not self.buffers.ghosts:
            return
        palette = self.look.palette
        self.programs.crease.use()
        self.programs.crease.colour("ink", palette.ink3)
        for batch in self.buffers.ghosts:
            self.buffers.choose(batch, self.look.camera, all_of_it=False)
            self._creases(batch, self._values(batch), np.arange(len(batch.pieces)), 0.75)
        self.programs.crease.colour("ink", LINE[palette.dark])

    def rings(self, marks: tuple[Mark, ...]) -> None:
        """The parts that meet once more, with rings, in the boxes about their contacts."""
        if not marks:
            return
        palette = self.look.palette
        program = self.programs.ringed
        program.use()
        program.whole("mark_count", len(marks))
        points = np.array([[*middle(m), 0.0] for m in marks], np.float32)
        fills = [palette.touch_fill if m.state is State.TOUCH else palette.near_fill for m in marks]
        program.vectors("marks", points)
        program.vectors("mark_colour", np.array([[*rgb(f), 1.0] for f in fills], np.float32))
        for mark in marks:
            box = self.ring_box(mark)
            if box.isEmpty():
                continue
            self.calls.Enable(gl.SCISSOR_TEST)
            self.calls.Scissor(box.x(), box.y(), box.width(), box.height())
            for batch in (*self.buffers.still, *self.buffers.moving):
                wanted = [i for i, p in enumerate(batch.pieces) if p.part in mark.parts and p.shown]
                if wanted:
                    values = self._values(batch)
                    order = np.array(wanted)
                    program.use()
                    program.number("through", 0)
                    self._surfaces(program, batch, values, order)
                    self._creases(batch, values, order, STRENGTH)
                    self._through(batch, order)

    def _through(self, batch: Batch, order: NDArray[np.int64]) -> None:
        """The same rings, faint, over whatever stands in front of them."""
        program = self.programs.ringed
        program.use()
        program.number("through", 1)
        blend(self.calls)
        self.calls.DepthFunc(gl.GREATER)
        self.calls.DepthMask(0)
        self.calls.Enable(gl.CULL_FACE)
        self.calls.CullFace(gl.BACK)
        self.buffers.draw_faces(batch, order)
        self.calls.Disable(gl.CULL_FACE)
        self.calls.DepthMask(1)
        self.calls.DepthFunc(gl.LEQUAL)
        self.calls.Disable(gl.BLEND)

    def ring_box(self, mark: Mark) -> QRect:
        """The rectangle of the picture that a mark's rings can colour."""
        axes = self.look.camera.axes
        reach = shade.MARK_REACH * (axes[:2].T @ np.array([[1, 1, -1, -1], [1, -1, 1, -1]])).T
        return around(self.look, middle(mark) + reach, 2.0)

    def _values(self, batch: Batch) -> Values:
        return self.buffers.values(batch, self.look.palette, self.look.scene.look, self.look.ratio)

    def _surfaces(
        self, program: Program, batch: Batch, values: Values, order: NDArray[np.int64]
    ) -> None:
        program.use()
        self._give(program, values)
        program.vectors("tint", values.tint)
        self.calls.Enable(gl.DEPTH_TEST)
        self.calls.DepthFunc(gl.LEQUAL)
        self.calls.DepthMask(1)
        self.calls.FrontFace(gl.CW)  # the picture is drawn upside down
        if batch.closed and not self.cutting:
            self.calls.Enable(gl.CULL_FACE)
            self.calls.CullFace(gl.BACK)
        self.buffers.draw_faces(batch, order)
        self.calls.Disable(gl.CULL_FACE)

    def _front_to_back(self, batch: Batch) -> NDArray[np.int64]:
        """What is in front first: what it hides is then not shaded at all."""
        near = (batch.placed() @ self.look.camera.axes[2]).max(axis=1)
        return np.argsort(-near)

    def _creases(
        self, batch: Batch, values: Values, order: NDArray[np.int64], strength: float
    ) -> None:
        program = self.programs.crease
        program.use()
        self._give(program, values)
        program.number("strength", strength)
        blend(self.calls)
        self.calls.DepthMask(0)
        self.buffers.draw_edges(batch, order)
        self.calls.DepthMask(1)
        self.calls.Disable(gl.BLEND)

    @staticmethod
    def _give(program: Program, values: Values) -> None:
        program.vectors("rows", values.rows)
        program.vectors("how", values.how)


def blend(calls: Calls) -> None:
    """Over what is there, alpha kept whole, or the window would show through."""
    over = gl.ONE_MINUS_SRC_ALPHA
    calls.Enable(gl.BLEND)
    calls.BlendFuncSeparate(gl.SRC_ALPHA, over, gl.ONE, over)


def middle(mark: Mark) -> Array:
    """Halfway between the two points of a mark. (3,)"""
    return np.asarray((mark.point_a + mark.point_b) / 2)


def shown_marks(scene: Scene) -> tuple[Mark, ...]:
    """The marks that wear rings."""
    marks = [m for m in scene.marks if m.state in (State.NEAR, State.TOUCH)]
    return tuple(marks[: shade.MARKS])


def around(look: Look, points: Array, edge: float) -> QRect:
    """The rectangle that covers points (n, 3) with so much room about them, in the picture."""
    width, height = look.size
    whole = QRect(0, 0, width, height)
    spots = to_pixels(look.matrix, points, width, height)
    spots = spots[np.isfinite(spots).all(axis=1)]
    if not len(spots):
        return whole
    low = np.clip(np.floor(spots.min(0) - edge), -1e6, 1e6).astype(int)
    high = np.clip(np.ceil(spots.max(0) + edge), -1e6, 1e6).astype(int)
    box = QRect(int(low[0]), int(low[1]), int(high[0] - low[0]), int(high[1] - low[1]))
    return box.intersected(whole)
