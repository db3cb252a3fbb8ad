"""Draws the scene with OpenGL off screen and hands back a picture.

The picture is read back and shown as any other, instead of through an OpenGL widget: the parts
that stand still are kept with their depth, and while something moves only the rectangle it
covers is drawn, read and shown again. No context is shared with the window, so nothing is lost
when the window is rebuilt, and a machine without OpenGL only lacks this painter.

A frame comes in three: ``begin`` hands over all that the poses decide, which the driver works
through while the clearances are worked out; ``ring`` adds the contact rings, which it works through
while the words of the frame are written; ``finish`` reads.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRect
from PySide6.QtGui import QImage, QOffscreenSurface, QOpenGLContext, QSurfaceFormat

from app.look.palette import Palette
from app.stage import gl, gpu, shade
from app.stage.buffers import Buffers
from app.stage.camera import Camera
from app.stage.floor import Floor, facing, floor_picture, shadow_picture, whole
from app.stage.gl import Calls, NoOpenGL
from app.stage.gpu import Program, Target
from app.stage.passes import Look, Passes, around, blend
from app.stage.rings import Rings, shown_marks
from app.stage.scene import Scene

__all__ = ["NoOpenGL", "OpenGLPainter"]

Array = NDArray[np.float64]
Words = tuple[float, tuple[bool, ...], tuple[bool, ...]]
OUTLINE_ROOM = 6.0  # px about what moves that its outline may cover


class OpenGLPainter:
    """One hidden OpenGL surface. Raises :class:`NoOpenGL` when there is none to be had."""

    def __init__(self) -> None:
        self._context()
        self.back = Program(self.calls, shade.BACK_VERTEX, shade.BACK_FRAGMENT, ("corner",))
        self.ground = Program(self.calls, shade.FLOOR_VERTEX, shade.FLOOR_FRAGMENT, ("corner",))
        self.buffers = Buffers(self.calls)
        self.passes = Passes(self.calls, self.buffers)
        self.rings = Rings(self.passes)
        (self.quad,) = self.calls.make("VertexArrays")
        self.calls.BindVertexArray(self.quad)
        corners = np.array([[-1, -1], [1, -1], [-1, 1], [1, 1]], np.float32)
        gpu.fill(self.calls, gl.ARRAY_BUFFER, self.calls.make("Buffers")[0], corners)
        gpu.layout(self.calls, (2,))
        self.floor_texture, self.shadow_texture = self.calls.make("Textures", 2)
        self.size = (0, 0)
        self.targets: list[Target] = []
        self.pixels = np.zeros((1, 1), np.uint32)
        self._built: tuple[int, int] | None = None  # the scene and its shape
        self._stood: tuple[int, int] | None = None  # the same of what doesn't move
        self._seen_from: object = None  # the floor, and where from
        self._wall: object = None
        self._still: object = None  # what the still picture shows
        self._last: object = None  # what the last picture showed
        self._floor_words: object = None
        self._shadow_of: object = None
        self._before = QRect()
        self._box = QRect()
        self._ringed = True

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

    # --- the public calls -----------------------------------------------------------------

    def begin(
        self,
        scene: Scene,
        camera: Camera,
        palette: Palette,
        floor: Floor,
        size: tuple[int, int],
        sharp: tuple[float, float] | None = None,
        ratio: float = 1.0,
        shadow: bool = True,
    ) -> None:
        """Hand over what does not depend on the scene's marks; the driver begins to draw it.

        ``sharp`` shifts the picture by parts of a px; a mean over shifts has smooth edges.
        """
        self.context.makeCurrent(self.offscreen)
        width, height = size
        matrix = camera.matrix(width / height)
        self._prepare(scene, floor, size, shadow)
        if shadow or (camera, floor) != self._seen_from:
            self._chalk((floor.out, facing(camera.azimuth, floor.out), whole(floor, matrix)))
            self._seen_from = camera, floor
        shift = np.eye(4)
        if sharp is not None:
            shift[0, 3], shift[1, 3] = 2 * sharp[0] / width, 2 * sharp[1] / height
        # Rows of the read-back picture must run downwards: draw upside down.
        turned = np.diag([1.0, -1.0, 1.0, 1.0]) @ shift @ matrix
        sight = np.ascontiguousarray(turned.T, np.float32)
        look = Look(scene, camera, palette, size, ratio, matrix, sight)
        self.passes.see(look)
        stands = hash(tuple(p.pose.tobytes() for p in scene.pieces.values() if not p.moving))
        key = (camera, palette.dark, floor, scene.look, sharp, self._shadow_of, stands)
        now = self._moving_box(look)
        self._box = QRect(0, 0, width, height)
        if key != self._last:
            # The view turns: nothing of this picture would be of use to the next.
            self._draw_still(look, floor, self.targets[1])
            self.calls.Flush()  # drawn while it is found out what of the rest can be seen
            self._still = None
            self._draw_moving()
        else:
            if key != self._still:
                self._draw_still(look, floor, self.targets[0])
                self._still = key
            else:
                self._box = now.united(self._before).intersected(self._box)
            if not self._box.isEmpty():
                self._restore(self._box)
                self._draw_moving()
        self._before, self._last = now, key
        self._ringed = False
        self.calls.Flush()

    def ring(self) -> None:
        """Put the scene's marks on what was begun; the driver goes on drawing."""
        self._ringed = True
        self.context.makeCurrent(self.offscreen)
        box = self._box
        marks = shown_marks(self.passes.look.scene)
        boxes = [self.rings.box(mark) for mark in marks]
        rings = QRect()
        for each in boxes:
            rings = rings.united(each)
        if not box.contains(rings) and not rings.isEmpty():
            # What was there before the rings comes from the still picture: draw all of it anew.
            box = box.united(rings)
            self._restore(box)
            self._draw_moving()
        self._before, self._box = self._before.united(rings), box
        if not box.isEmpty():
            self.rings.draw(marks, boxes)
            self.calls.Flush()

    def finish(self) -> QRect:
        """Read what was begun, with its rings; the rectangle that changed."""
        if not self._ringed:
            self.ring()
        self.context.makeCurrent(self.offscreen)
        box = self._box
        if not box.isEmpty():
            gpu.read(self.calls, self.pixels, box.x(), box.y(), box.width(), box.height())
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
        """Targets of this size, buffers of this scene, shadow of this corner."""
        if size != self.size:
            for target in self.targets:
                target.delete()
            self.targets = [gpu.target(self.calls, *size) for _ in range(3)]
            self.size = size
            self.pixels = np.zeros(size[::-1], np.uint32)
            self._still = self._last = self._wall = None
        built, stands = (id(scene), scene.shape), (id(scene), scene.shape - scene.loose)
        if built != self._built:
            self.buffers.build(scene)
            self.rings.forget()
            if stands != self._stood:  # else the picture of what stands still is as it was
                self._still = self._last = None
            self._built, self._stood = built, stands
        if not shadow and self._shadow_of is not None:
            return
        poses = hash(tuple(p.pose.tobytes() for p in scene.pieces.values()))
        key = (poses, scene.look, scene.shape, floor)
        if key != self._shadow_of:
            gpu.texture(
                self.calls, self.shadow_texture, shadow_picture(scene, floor), mipmaps=False
            )
            self._shadow_of = key

    def _chalk(self, words: Words) -> None:
        """The ring and its words on the floor, anew if others are to be read."""
        if self._floor_words == words:
            return
        picture = floor_picture(*words).convertToFormat(QImage.Format.Format_Alpha8)
        shape = (picture.height(), picture.bytesPerLine())
        bits = np.frombuffer(picture.constBits(), np.uint8).reshape(shape)
        bits = bits[:, : picture.width()]
        gpu.texture(self.calls, self.floor_texture, bits, mipmaps=True)
        self._floor_words = words
        self._still = self._last = None

    def _draw_still(self, look: Look, floor: Floor, target: Target) -> None:
        """Background, floor and all that stands still."""
        self.calls.Disable(gl.SCISSOR_TEST)
        wall = (look.palette.dark, look.camera.aside)
        if wall != self._wall:
            self.targets[2].use(self.size)
            self._background(look)
            self._wall = wall
        gpu.copy(self.targets[2], target, (0, 0, *self.size), depth=False)
        target.use(self.size)
        self.calls.DepthMask(1)
        self.calls.Clear(gl.DEPTH_BUFFER_BIT)
        self._floor(look, floor)
        for batch in self.buffers.still:
            self.passes.batch(batch)

    def _restore(self, box: QRect) -> None:
        """The still picture with its depth, within a box that bounds what is drawn from here."""
        x, y, right, top = box.x(), box.y(), box.x() + box.width(), box.y() + box.height()
        gpu.copy(self.targets[0], self.targets[1], (x, y, right, top), depth=True)
        self.targets[1].use(self.size)
        self.calls.Enable(gl.SCISSOR_TEST)
        self.calls.Scissor(x, y, box.width(), box.height())

    def _draw_moving(self) -> None:
        """What moves, and the ghosts."""
        for batch in self.buffers.moving:
            self.passes.batch(batch)
        self.passes.ghosts()

    def _background(self, look: Look) -> None:
        for what in (gl.DEPTH_TEST, gl.BLEND, gl.CULL_FACE):
            self.calls.Disable(what)
        program = self.back
        program.use()
        program.colour("centre", look.palette.stage[0])
        program.colour("rim", look.palette.stage[1])
        wide = self.size[0] / self.size[1]
        program.vector("shape", (max(1.0, wide) * 0.9, 1.0))
        aside = look.camera.aside
        program.vector("middle", (aside[0], -aside[1] - 0.1))
        self.calls.BindVertexArray(self.quad)
        self.calls.DrawArrays(gl.TRIANGLE_STRIP, 0, 4)

    def _floor(self, look: Look, floor: Floor) -> None:
        """Ring and shadow; fainter as the eye comes level with the floor, none from below."""
        above = min(1.0, max(0.0, math.sin(look.camera.elevation)) * 4)
        if above <= 0:
            return
        program, dark = self.ground, look.palette.dark
        program.use()
        program.matrix("sight", look.sight)
        program.vector("centre", floor.centre)
        program.number("half_size", floor.half_size)
        program.colour("shade", "#000000" if dark else "#22302F")
        program.colour("chalk", look.palette.ink3)
        program.vector(
            "strength", ((0.55 if dark else 0.40) * above, (0.55 if dark else 0.62) * above)
        )
        program.whole("shadow", 0)
        program.whole("picture", 1)
        blend(self.calls)
        self.calls.Disable(gl.DEPTH_TEST)
        for place, texture in enumerate((self.shadow_texture, self.floor_texture)):
            self.calls.ActiveTexture(gl.TEXTURE0 + place)
            self.calls.BindTexture(gl.TEXTURE_2D, texture)
        self.calls.ActiveTexture(gl.TEXTURE0)
        self.calls.BindVertexArray(self.quad)
        self.calls.DrawArrays(gl.TRIANGLE_STRIP, 0, 4)
        self.calls.Disable(gl.BLEND)

    def _moving_box(self, look: Look) -> QRect:
        """The rectangle covered by what moves, with room for its outline."""
        boxes = []
        for batch in self.buffers.moving:
            kept = [p.shown for p in batch.pieces]
            if any(kept):
                boxes.append(batch.placed()[kept].reshape(-1, 3))
        boxes += [batch.placed().reshape(-1, 3) for batch in self.buffers.ghosts]
        if not boxes:
            return QRect()
        return around(look, np.concatenate(boxes), OUTLINE_ROOM * look.ratio)
