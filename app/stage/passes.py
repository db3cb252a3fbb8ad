"""How a run of pieces is drawn: surfaces, outlines and creases."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRect

from app.look.palette import Palette
from app.stage import gl, shade
from app.stage.buffers import Batch, Buffers, Values
from app.stage.camera import Camera, to_pixels
from app.stage.gl import Calls
from app.stage.gpu import Program
from app.stage.scene import Scene

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
        values = self.values(batch)
        order = self._front_to_back(batch)
        self.buffers.choose(batch, self.look.camera, self.cutting or not batch.closed)
        self.surfaces(
            self.programs.surface, batch, values, lambda: self.buffers.draw_faces(batch, order)
        )
        self.programs.outline.use()
        self._give(self.programs.outline, values)
        self.calls.Enable(gl.CULL_FACE)
        self.calls.CullFace(gl.FRONT)
        self.buffers.draw_rim(batch)
        self.calls.Disable(gl.CULL_FACE)
        self.creases(values, STRENGTH, lambda: self.buffers.draw_edges(batch, order))

    def ghosts(self) -> None:
        """Before: creases only, in the quiet ink."""
        if not self.buffers.ghosts:
            return
        palette = self.look.palette
        self.programs.crease.use()
        self.programs.crease.colour("ink", palette.ink3)
        for batch in self.buffers.ghosts:
            self.buffers.choose(batch, self.look.camera, all_of_it=False)
            every = np.arange(len(batch.pieces))
            self.creases(self.values(batch), 0.75, partial(self.buffers.draw_edges, batch, every))
        self.programs.crease.colour("ink", LINE[palette.dark])

    def values(self, batch: Batch) -> Values:
        """What the pieces of a batch hand to the programs."""
        return self.buffers.values(batch, self.look.palette, self.look.scene.look, self.look.ratio)

    def surfaces(
        self, program: Program, batch: Batch, values: Values, draw: Callable[[], None]
    ) -> None:
        """What ``draw`` draws of a batch, as surfaces."""
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
        draw()
        self.calls.Disable(gl.CULL_FACE)

    def _front_to_back(self, batch: Batch) -> NDArray[np.int64]:
        """What is in front first: what it hides is then not shaded at all."""
        near = (batch.placed() @ self.look.camera.axes[2]).max(axis=1)
        return np.argsort(-near)

    def creases(self, values: Values, strength: float, draw: Callable[[], None]) -> None:
        """What ``draw`` draws of a batch, as creases."""
        program = self.programs.crease
        program.use()
        self._give(program, values)
        program.number("strength", strength)
        blend(self.calls)
        self.calls.DepthMask(0)
        draw()
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
