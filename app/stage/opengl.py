"""Draws the scene with OpenGL off screen and hands back a picture.

The picture is read back and shown as any other, instead of through an OpenGL widget: the parts
that stand still are kept with their depth, and while something moves only the rectangle it
covers is drawn, read and shown again. No context is shared with the window, so nothing is lost
when the window is rebuilt, and a machine without OpenGL only lacks this painter.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRect
from PySide6.QtGui import QImage, QOffscreenSurface, QOpenGLContext, QSurfaceFormat

from app.look.palette import Palette, State, rgb
from app.stage import gl, gpu, shade
from app.stage.buffers import Batch, Buffers, Values
from app.stage.camera import Camera, to_pixels
from app.stage.floor import Floor, facing, floor_picture, shadow_picture
from app.stage.gl import Calls, NoOpenGL
from app.stage.gpu import Program, Target
from app.stage.scene import Mark, Scene

__all__ = ["NoOpenGL", "OpenGLPainter"]

Array = NDArray[np.float64]
CREASE_REACH = 1.25  # px each side, the feather included
LINE = {False: "#0E1A1F", True: "#060B0D"}


class OpenGLPainter:
    """One hidden OpenGL surface. Raises :class:`NoOpenGL` when there is none to be had."""

    def __init__(self) -> None:
        self._context()
        self._programs()
        self.buffers = Buffers(self.calls)
        (self.quad,) = self.calls.make("VertexArrays")
        self.calls.BindVertexArray(self.quad)
        corners = np.array([[-1, -1], [1, -1], [-1, 1], [1, 1]], np.float32)
        gpu.fill(self.calls, gl.ARRAY_BUFFER, self.calls.make("Buffers")[0], corners)
        gpu.layout(self.calls, (2,))
        self.floor_texture, self.shadow_texture = self.calls.make("Textures", 2)
        self.size = (0, 0)
        self.targets: list[Target] = []
        self.pixels = np.zeros((1, 1), np.uint32)
        self.ratio, self.azimuth = 1.0, 0.0
        self.scene = Scene()
        self._built: tuple[int, int] | None = None
        self._still: object = None
        self._floor_words: object = None
        self._shadow_of: object = None
        self._before = QRect()

    def _context(self) -> None:
        wanted = QSurfaceFormat()
        wanted.setVersion(3, 2)
        wanted.setProfile(QSurfaceFormat.OpenGLContextProfile.CoreProfile)
        self.context = QOpenGLContext()
        self.context.setFormat(wanted)
        self.offscreen = QOffscreenSurface()
        self.offscreen.setFormat(wanted)
        self.offscreen.create()
        if not self.context.create() or not self.context.makeCurrent(self.offscreen):
            raise NoOpenGL("This display has no OpenGL.")
        got = self.context.format().majorVersion(), self.context.format().minorVersion()
        if got < (3, 2):
            raise NoOpenGL(f"This display has OpenGL {got[0]}.{got[1]}; 3D needs 3.2.")
        self.calls = Calls(self.context)

    def _programs(self) -> None:
        def both(vertex: str, fragment: str, names: tuple[str, ...]) -> tuple[Program, Program]:
            plain = Program(self.calls, vertex, fragment, names)
            return plain, Program(self.calls, _cut(vertex), _cut(fragment), names)

        faces = ("position", "normal", "hull", "tag")
        edges = ("here", "there", "edge", "left", "right")
        made = (
            both(shade.SURFACE_VERTEX, shade.SURFACE_FRAGMENT, faces),
            both(shade.OUTLINE_VERTEX, shade.OUTLINE_FRAGMENT, faces),
            both(shade.CREASE_VERTEX, shade.CREASE_FRAGMENT, edges),
        )
        self.whole = tuple(pair[0] for pair in made)
        self.sectioned = tuple(pair[1] for pair in made)
        self.back = Program(self.calls, shade.BACK_VERTEX, shade.BACK_FRAGMENT, ("corner",))
        self.ground = Program(self.calls, shade.FLOOR_VERTEX, shade.FLOOR_FRAGMENT, ("corner",))

    # --- the public calls -----------------------------------------------------------------

    def draw(
        self,
        scene: Scene,
        camera: Camera,
        palette: Palette,
        floor: Floor,
        size: tuple[int, int],
        sharp: tuple[float, float] | None = None,
        ratio: float = 1.0,
        shadow: bool = True,
    ) -> QRect:
        """Bring the picture up to date; the rectangle that changed.

        ``sharp`` shifts the picture by parts of a px; a mean over shifts has smooth edges.
        """
        self.context.makeCurrent(self.offscreen)
        self.scene, self.ratio, self.azimuth = scene, ratio, camera.azimuth
        self._prepare(scene, floor, size, shadow)
        width, height = size
        matrix = camera.matrix(width / height)
        shift = np.eye(4)
        if sharp is not None:
            shift[0, 3], shift[1, 3] = 2 * sharp[0] / width, 2 * sharp[1] / height
        self._see(shift @ matrix, camera, palette)
        stands = hash(tuple(p.pose.tobytes() for p in scene.pieces.values() if not p.moving))
        key = (camera, palette.dark, floor, scene.look, sharp, self._shadow_of, stands)
        box = QRect(0, 0, width, height)
        now = self._moving_box(matrix)
        if key != self._still:
            self._draw_still(camera, palette, floor)
            self._still = key
        else:
            box = now.united(self._before).intersected(box)
        self._before = now
        if not box.isEmpty():
            self._draw_moving(box, palette)
        return box

    def image(self) -> QImage:
        """The picture last drawn, sharing its memory."""
        width, height = self.size
        return QImage(self.pixels.data, width, height, 4 * width, QImage.Format.Format_RGB32)

    def release(self) -> None:
        """Give back what the driver holds."""
        self.context.makeCurrent(self.offscreen)
        for target in self.targets:
            target.delete()
        self.targets = []
        self.size = (0, 0)
        self.context.doneCurrent()

    # --- a frame --------------------------------------------------------------------------

    def _prepare(self, scene: Scene, floor: Floor, size: tuple[int, int], shadow: bool) -> None:
        """Targets of this size, buffers of this scene, floor and shadow of this corner."""
        if size != self.size:
            for target in self.targets:
                target.delete()
            self.targets = [gpu.target(self.calls, *size) for _ in range(2)]
            self.size = size
            self.pixels = np.zeros(size[::-1], np.uint32)
            self._still = None
        if (id(scene), scene.shape) != self._built:
            self.buffers.build(scene)
            self._built = (id(scene), scene.shape)
            self._still = None
        if not shadow:
            return
        words = floor.out, facing(self.azimuth, floor.out)
        if self._floor_words != words:
            picture = floor_picture(*words).convertToFormat(QImage.Format.Format_RGBA8888)
            shape = (picture.height(), picture.width(), 4)
            bits = np.frombuffer(picture.constBits(), np.uint8).reshape(shape)
            gpu.texture(self.calls, self.floor_texture, bits, mipmaps=True)
            self._floor_words = words
            self._still = None
        poses = hash(tuple(p.pose.tobytes() for p in scene.pieces.values()))
        key = (poses, scene.look, scene.shape, floor)
        if key != self._shadow_of:
            gpu.texture(
                self.calls, self.shadow_texture, shadow_picture(scene, floor), mipmaps=False
            )
            self._shadow_of = key

    def _see(self, sight: Array, camera: Camera, palette: Palette) -> None:
        """What all programs must know of the eye, the light and the theme."""
        # Rows of the read-back picture must run downwards: draw upside down.
        turned = np.diag([1.0, -1.0, 1.0, 1.0]) @ sight
        self.sight = np.ascontiguousarray(turned.T, np.float32)
        self.eye, self.toward = camera.eye, camera.axes[2]
        self.flat = camera.flat
        axes = camera.axes
        light = -0.45 * axes[0] + 0.62 * axes[1] + 0.55 * axes[2] + np.array([0, 0, 0.35])
        light /= np.linalg.norm(light)
        half_way = light + axes[2]
        self.cutting = self.scene.cut is not None
        self.surface, self.outline, self.crease = self.sectioned if self.cutting else self.whole
        for program in (self.surface, self.outline, self.crease):
            program.use()
            program.matrix("sight", self.sight)
            program.vector("pixel", (2 / self.size[0], 2 / self.size[1]))
            program.vector("eye", self.eye)
            program.vector("back", axes[2])
            program.number("level", camera.flat)
            program.colour("ink", LINE[palette.dark])
            program.colour("dye", palette.dye)
            program.colour("fog", palette.stage[0])
            if self.scene.cut is not None:
                program.vector("cut", self.scene.cut)
        self.crease.number("reach", CREASE_REACH * self.ratio)
        self.surface.use()
        self.surface.vector("light", light)
        self.surface.vector("half_way", half_way / np.linalg.norm(half_way))
        self.surface.number("ground", self.scene.ground_z)
        self.surface.number("dark", palette.dark)
        self.surface.whole("mark_count", 0)

    def _draw_still(self, camera: Camera, palette: Palette, floor: Floor) -> None:
        """Background, floor and all that stands still, kept with its depth."""
        self.targets[0].use(self.size)
        self.calls.Disable(gl.SCISSOR_TEST)
        self._background(palette, camera)
        self._floor(palette, floor, camera)
        for batch in self.buffers.still:
            self._batch(batch, palette)

    def _draw_moving(self, box: QRect, palette: Palette) -> None:
        """The still picture and on it, within a box, what moves or carries a mark."""
        x, y, right, top = box.x(), box.y(), box.x() + box.width(), box.y() + box.height()
        gpu.copy(self.targets[0], self.targets[1], (x, y, right, top))
        self.targets[1].use(self.size)
        self.calls.Enable(gl.SCISSOR_TEST)
        self.calls.Scissor(x, y, box.width(), box.height())
        self._marks(self.scene.marks, palette)
        for batch in self.buffers.moving:
            self._batch(batch, palette)
        self._marked(palette)
        self._ghost_lines(palette)
        gpu.read(self.calls, self.pixels, x, y, box.width(), box.height())

    def _background(self, palette: Palette, camera: Camera) -> None:
        self.calls.DepthMask(1)
        self.calls.Clear(gl.DEPTH_BUFFER_BIT)
        for what in (gl.DEPTH_TEST, gl.BLEND, gl.CULL_FACE):
            self.calls.Disable(what)
        program = self.back
        program.use()
        program.colour("centre", palette.stage[0])
        program.colour("rim", palette.stage[1])
        wide = self.size[0] / self.size[1]
        program.vector("shape", (max(1.0, wide) * 0.9, 1.0))
        program.vector("middle", (camera.aside[0], -camera.aside[1] - 0.1))
        self.calls.BindVertexArray(self.quad)
        self.calls.DrawArrays(gl.TRIANGLE_STRIP, 0, 4)

    def _floor(self, palette: Palette, floor: Floor, camera: Camera) -> None:
        """Ring and shadow; fainter as the eye comes level with the floor, none from below."""
        above = min(1.0, max(0.0, math.sin(camera.elevation)) * 4)
        if above <= 0:
            return
        program = self.ground
        program.use()
        program.matrix("sight", self.sight)
        program.vector("centre", floor.centre)
        program.number("half_size", floor.half_size)
        program.whole("picture", 0)
        self._blend()
        self.calls.BindVertexArray(self.quad)
        self.calls.ActiveTexture(gl.TEXTURE0)
        dark = palette.dark
        for texture, colour, strength, one in (
            (self.shadow_texture, "#000000" if dark else "#22302F", 0.55 if dark else 0.40, 1),
            (self.floor_texture, palette.ink3, 0.55 if dark else 0.62, 0),
        ):
            self.calls.BindTexture(gl.TEXTURE_2D, texture)
            program.colour("shade", colour)
            program.number("strength", strength * above)
            program.whole("only_alpha", one)
            self.calls.DrawArrays(gl.TRIANGLE_STRIP, 0, 4)
        self.calls.Disable(gl.BLEND)

    def _batch(self, batch: Batch, palette: Palette) -> None:
        """Surfaces front to back, outlines behind them, creases over them."""
        values = self.buffers.values(batch, palette, self.scene.look, self.ratio)
        order = self._front_to_back(batch)
        self._surfaces(batch, values, order)
        self.outline.use()
        self._give(self.outline, values)
        self.calls.Enable(gl.CULL_FACE)
        self.calls.CullFace(gl.FRONT)
        self.buffers.draw_faces(batch, order)
        self.calls.Disable(gl.CULL_FACE)
        self._creases(batch, values, 0.82)

    def _surfaces(self, batch: Batch, values: Values, order: NDArray[np.int64]) -> None:
        self.surface.use()
        self._give(self.surface, values)
        self.surface.vectors("tint", values.tint)
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
        near = (batch.placed() @ self.toward).max(axis=1)
        return np.argsort(-near)

    def _creases(self, batch: Batch, values: Values, strength: float) -> None:
        if not batch.edges[1]:
            return
        self.crease.use()
        self._give(self.crease, values)
        self.crease.number("strength", strength)
        self._blend()
        self.calls.DepthMask(0)
        self.buffers.draw_edges(batch)
        self.calls.DepthMask(1)
        self.calls.Disable(gl.BLEND)

    def _marked(self, palette: Palette) -> None:
        """Still parts that carry a contact mark are drawn once more, with its rings."""
        names = {name for mark in self.scene.marks[: shade.MARKS] for name in mark.parts}
        for batch in self.buffers.still:
            wanted = [i for i, p in enumerate(batch.pieces) if p.part in names and p.shown]
            if wanted:
                values = self.buffers.values(batch, palette, self.scene.look, self.ratio)
                self._surfaces(batch, values, np.array(wanted))
                self._creases(batch, values, 0.82)

    def _ghost_lines(self, palette: Palette) -> None:
        """Before: creases only, in the quiet ink."""
        if not self.buffers.ghosts:
            return
        self.crease.use()
        self.crease.colour("ink", palette.ink3)
        for batch in self.buffers.ghosts:
            values = self.buffers.values(batch, palette, self.scene.look, self.ratio)
            self._creases(batch, values, 0.75)

    def _marks(self, marks: tuple[Mark, ...], palette: Palette) -> None:
        shown = [m for m in marks if m.state in (State.NEAR, State.TOUCH)][: shade.MARKS]
        program = self.surface
        program.use()
        program.whole("mark_count", len(shown))
        if not shown:
            return
        points = np.array([[*((m.point_a + m.point_b) / 2), 0.0] for m in shown], np.float32)
        fills = [palette.touch_fill if m.state is State.TOUCH else palette.near_fill for m in shown]
        program.vectors("marks", points)
        program.vectors("mark_colour", np.array([[*rgb(f), 1.0] for f in fills], np.float32))

    @staticmethod
    def _give(program: Program, values: Values) -> None:
        program.vectors("rows", values.rows)
        program.vectors("how", values.how)

    def _blend(self) -> None:
        """Over what is there, alpha kept whole, or the window would show through."""
        over = gl.ONE_MINUS_SRC_ALPHA
        self.calls.Enable(gl.BLEND)
        self.calls.BlendFuncSeparate(gl.SRC_ALPHA, over, gl.ONE, over)

    def _moving_box(self, matrix: Array) -> QRect:
        """The rectangle covered by what moves or carries a mark, with room for its outline."""
        named = {name for mark in self.scene.marks for name in mark.parts}
        boxes = []
        for batches, all_of_it in ((self.buffers.moving, True), (self.buffers.still, False)):
            for batch in batches:
                kept = [p.shown and (all_of_it or p.part in named) for p in batch.pieces]
                if any(kept):
                    boxes.append(batch.placed()[kept].reshape(-1, 3))
        boxes += [batch.placed().reshape(-1, 3) for batch in self.buffers.ghosts]
        if not boxes:
            return QRect()
        spots = to_pixels(matrix, np.concatenate(boxes), *self.size)
        spots = spots[np.isfinite(spots).all(axis=1)]
        if not len(spots):
            return QRect(0, 0, *self.size)
        edge = 6 * self.ratio
        low = np.clip(np.floor(spots.min(0) - edge), -1e6, 1e6).astype(int)
        high = np.clip(np.ceil(spots.max(0) + edge), -1e6, 1e6).astype(int)
        box = QRect(int(low[0]), int(low[1]), int(high[0] - low[0]), int(high[1] - low[1]))
        return box.intersected(QRect(0, 0, *self.size))


def _cut(source: str) -> str:
    """The variant of a program that a section plane cuts."""
    return source.replace("#version 150", "#version 150\n#define CUT", 1)
