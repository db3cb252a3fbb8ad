"""Draws the scene with OpenGL off screen and hands back a picture.

The picture is read back and shown as any other, instead of through an OpenGL widget: the parts
that stand still are kept with their depth, and while something moves only the rectangle it
covers is drawn, read and shown again. No context is shared with the window, so nothing is lost
when the window is rebuilt, and a machine without OpenGL only lacks this painter.
"""

from __future__ import annotations

import ctypes
import math
from dataclasses import dataclass

import numpy as np
import OpenGL
from numpy.typing import NDArray
from PySide6.QtCore import QRect
from PySide6.QtGui import QImage, QOffscreenSurface, QOpenGLContext, QSurfaceFormat

OpenGL.ERROR_CHECKING = False  # a check a call costs more than the calls; asked for once a frame
OpenGL.ERROR_LOGGING = False

from OpenGL import GL  # noqa: E402
from OpenGL.raw.GL.VERSION.GL_1_0 import glReadPixels  # noqa: E402
from OpenGL.raw.GL.VERSION.GL_2_0 import glVertexAttribPointer  # noqa: E402

from app.look.palette import Palette, State, rgb  # noqa: E402
from app.stage import shade  # noqa: E402
from app.stage.camera import Camera, to_pixels  # noqa: E402
from app.stage.floor import Floor, floor_picture, shadow_picture  # noqa: E402
from app.stage.mesh import Mesh  # noqa: E402
from app.stage.scene import Mark, Piece, Scene  # noqa: E402

Array = NDArray[np.float64]
OUTLINE = 1.35
GLOSS = {"spring": 0.20, "wheel": 0.28, "shaft": 0.30, "damper": 0.16, "tyre": 0.05, "tower": 0.10}


class NoOpenGL(Exception):
    """There is no OpenGL 3.2 here; the text says so in words."""


@dataclass(frozen=True)
class Batch:
    """A run of pieces drawn with one call: where its faces and creases lie in the buffers."""

    pieces: tuple[Piece, ...]
    faces: tuple[int, int]
    edges: tuple[int, int]
    spans: dict[str, tuple[int, int]]

    @property
    def closed(self) -> bool:
        """Whether no back face can be seen, unless cut."""
        return all(piece.skin.closed for piece in self.pieces)


@dataclass
class Target:
    """A picture with depth to draw into."""

    frame: int
    colour: int
    depth: int


class OpenGLPainter:
    """One hidden OpenGL surface. Raises :class:`NoOpenGL` when there is none to be had."""

    def __init__(self) -> None:
        wanted = QSurfaceFormat()
        wanted.setVersion(3, 2)
        wanted.setProfile(QSurfaceFormat.OpenGLContextProfile.CoreProfile)
        self.context = QOpenGLContext()
        self.context.setFormat(wanted)
        self.surface = QOffscreenSurface()
        self.surface.setFormat(wanted)
        self.surface.create()
        if not self.context.create() or not self.context.makeCurrent(self.surface):
            raise NoOpenGL("This display has no OpenGL.")
        got = self.context.format()
        if (got.majorVersion(), got.minorVersion()) < (3, 2):
            raise NoOpenGL(f"This display has OpenGL {got.majorVersion()}.{got.minorVersion()}; 3D needs 3.2.")
        self.size = (0, 0)
        self.targets: list[Target] = []
        self._programs()
        self._quad()
        self.batches: tuple[list[Batch], list[Batch], list[Batch]] = ([], [], [])
        self._built: tuple[int, int] | None = None
        self._still: object = None
        self._floor_out = 0.0
        self._shadow_of: object = None
        self._before = QRect()
        self.floor_texture, self.shadow_texture = (int(t) for t in GL.glGenTextures(2))
        self.pixels = np.zeros((1, 1), np.uint32)

    # --- the public calls -------------------------------------------------------------------

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
        """Bring ``pixels`` up to date; the rectangle that changed. ``sharp`` shifts by parts of a px."""
        self.context.makeCurrent(self.surface)
        if size != self.size:
            self._resize(*size)
        if (id(scene), scene.shape) != self._built:
            self._build(scene)
            self._built = (id(scene), scene.shape)
            self._still = None
        if shadow:
            self._cast(scene, floor)
        width, height = size
        matrix = camera.matrix(width / height)
        sight = matrix
        if sharp is not None:
            shift = np.eye(4)
            shift[0, 3], shift[1, 3] = 2 * sharp[0] / width, 2 * sharp[1] / height
            sight = shift @ matrix
        self._see(sight, camera, palette, scene, ratio)
        key = (camera, palette.dark, floor, scene.look, sharp, self._shadow_of)
        whole = QRect(0, 0, width, height)
        box = whole
        if key != self._still:
            self._into(self.targets[0])
            GL.glDisable(GL.GL_SCISSOR_TEST)
            self._background(palette, camera)
            self._ground(palette, floor, camera)
            self._pieces(self.batches[0], palette, scene)
            self._still = key
        else:
            now = self._moving_box(scene, matrix, size, ratio)
            box = now.united(self._before).intersected(whole)
            self._before = now
        if box.isEmpty():
            return box
        self._copy(box)
        self._into(self.targets[1])
        GL.glEnable(GL.GL_SCISSOR_TEST)
        GL.glScissor(box.x(), box.y(), box.width(), box.height())
        self._marks(scene.marks, palette)
        self._pieces(self.batches[1], palette, scene)
        self._marked(scene, palette)
        self._marks((), palette)
        self._ghost_lines(palette)
        self._read(box)
        return box

    def image(self) -> QImage:
        """The picture last drawn, sharing its memory."""
        width, height = self.size
        return QImage(self.pixels.data, width, height, 4 * width, QImage.Format.Format_RGB32)

    def release(self) -> None:
        """Give back what the driver holds."""
        self.context.makeCurrent(self.surface)
        for target in self.targets:
            GL.glDeleteFramebuffers(1, [target.frame])
            GL.glDeleteTextures([target.colour])
            GL.glDeleteRenderbuffers(1, [target.depth])
        self.targets = []
        self.context.doneCurrent()

    # --- set-up -----------------------------------------------------------------------------

    def _programs(self) -> None:
        surface = shade.SURFACE_VERTEX, shade.SURFACE_FRAGMENT
        crease = shade.CREASE_VERTEX, shade.CREASE_FRAGMENT
        names = ("position", "normal", "hull", "tag"), ("here", "there", "edge", "left", "right")
        self.whole = _program(*surface, names[0]), _program(*crease, names[1])
        self.sectioned = _program(*map(_cut, surface), names[0]), _program(*map(_cut, crease), names[1])
        self.surface_program, self.crease_program = self.whole
        self.back_program = _program(shade.BACK_VERTEX, shade.BACK_FRAGMENT, ("corner",))
        self.floor_program = _program(shade.FLOOR_VERTEX, shade.FLOOR_FRAGMENT, ("corner",))
        self.at: dict[tuple[int, str], int] = {}
        self.face_array, self.edge_array = (int(a) for a in GL.glGenVertexArrays(2))
        self.buffers = [int(b) for b in GL.glGenBuffers(4)]

    def _quad(self) -> None:
        corners = np.array([[-1, -1], [1, -1], [-1, 1], [1, 1]], np.float32)
        self.quad_array = int(GL.glGenVertexArrays(1))
        GL.glBindVertexArray(self.quad_array)
        buffer = int(GL.glGenBuffers(1))
        GL.glBindBuffer(GL.GL_ARRAY_BUFFER, buffer)
        GL.glBufferData(GL.GL_ARRAY_BUFFER, corners.nbytes, corners, GL.GL_STATIC_DRAW)
        GL.glEnableVertexAttribArray(0)
        glVertexAttribPointer(0, 2, GL.GL_FLOAT, False, 0, None)

    def _resize(self, width: int, height: int) -> None:
        for target in self.targets:
            GL.glDeleteFramebuffers(1, [target.frame])
            GL.glDeleteTextures([target.colour])
            GL.glDeleteRenderbuffers(1, [target.depth])
        self.targets = [_target(width, height) for _ in range(2)]
        self.size = (width, height)
        self.pixels = np.zeros((height, width), np.uint32)
        self._still = None

    def _build(self, scene: Scene) -> None:
        """Put all meshes into one pair of buffers, the still ones first."""
        still = [p for p in scene.pieces.values() if not p.moving]
        moving = [p for p in scene.pieces.values() if p.moving]
        groups = [still, moving, list(scene.ghosts.values())]
        vertices, faces, edges = [], [], []
        counts = [0, 0, 0]
        made: list[list[Batch]] = []
        for group in groups:
            group.sort(key=lambda p: not p.skin.closed)
            closed = sum(p.skin.closed for p in group)
            runs = [*_runs(group[:closed]), *_runs(group[closed:])]
            made.append([self._lay(run, vertices, faces, edges, counts) for run in runs])
        self.batches = (made[0], made[1], made[2])
        self._upload(vertices, faces, edges)

    @staticmethod
    def _lay(
        run: list[Piece],
        vertices: list[NDArray],
        faces: list[NDArray],
        edges: list[NDArray],
        counts: list[int],
    ) -> Batch:
        face_start, edge_start = counts[1], counts[2]
        spans = {}
        for index, piece in enumerate(run):
            mesh = piece.mesh
            n = len(mesh.position)
            tag = np.column_stack([mesh.along, np.full(n, index, np.float32)])
            vertices.append(np.column_stack([mesh.position, mesh.normal, mesh.hull, tag]))
            faces.append(mesh.faces + counts[0])
            edges.append(_edge_quads(mesh, index))
            spans[piece.name] = (counts[1], 3 * len(mesh.faces))
            counts[0] += n
            counts[1] += 3 * len(mesh.faces)
            counts[2] += len(mesh.edges)
        return Batch(
            tuple(run),
            (face_start, counts[1] - face_start),
            (edge_start, counts[2] - edge_start),
            spans,
        )

    def _upload(
        self, vertices: list[NDArray], faces: list[NDArray], edges: list[NDArray]
    ) -> None:
        points = _join(vertices, (0, 11), np.float32)
        index = _join(faces, (0, 3), np.uint32)
        quads = _join(edges, (0, 4, 16), np.float32)
        corners = np.arange(len(quads), dtype=np.uint32)[:, None] * 4
        quad_index = (corners + np.array([0, 1, 2, 2, 1, 3], np.uint32)).astype(np.uint32)
        GL.glBindVertexArray(self.face_array)
        _fill(GL.GL_ARRAY_BUFFER, self.buffers[0], points)
        _fill(GL.GL_ELEMENT_ARRAY_BUFFER, self.buffers[1], index)
        _layout((3, 3, 3, 2))
        GL.glBindVertexArray(self.edge_array)
        _fill(GL.GL_ARRAY_BUFFER, self.buffers[2], quads)
        _fill(GL.GL_ELEMENT_ARRAY_BUFFER, self.buffers[3], quad_index)
        _layout((3, 3, 4, 3, 3))
        GL.glBindVertexArray(0)

    def _cast(self, scene: Scene, floor: Floor) -> None:
        """Renew floor and shadow pictures when what they show has changed."""
        if self._floor_out != floor.out:
            picture = floor_picture(floor.out).convertToFormat(QImage.Format.Format_RGBA8888)
            _texture(self.floor_texture, GL.GL_RGBA, picture.width(), picture.constBits(), True)
            self._floor_out = floor.out
            self._still = None
        poses = tuple(p.pose.tobytes() for p in scene.pieces.values())
        key = (hash(poses), scene.look, scene.shape, floor)
        if key != self._shadow_of:
            dark = shadow_picture(scene, floor)
            GL.glPixelStorei(GL.GL_UNPACK_ALIGNMENT, 1)
            _texture(self.shadow_texture, GL.GL_RED, len(dark), dark.tobytes(), False)
            self._shadow_of = key

    # --- a frame ----------------------------------------------------------------------------

    def _see(
        self, sight: Array, camera: Camera, palette: Palette, scene: Scene, ratio: float
    ) -> None:
        """What all programs must know of the eye, the light and the theme."""
        self.ratio = ratio
        self.camera = camera
        # Rows of the read-back picture must run downwards: draw upside down.
        turned = np.diag([1.0, -1.0, 1.0, 1.0]) @ sight
        self.sight = np.ascontiguousarray(turned.T, np.float32)
        axes = camera.axes
        light = -0.45 * axes[0] + 0.62 * axes[1] + 0.55 * axes[2] + np.array([0, 0, 0.35])
        light /= np.linalg.norm(light)
        self.cutting = scene.cut is not None
        self.surface_program, self.crease_program = self.sectioned if self.cutting else self.whole
        for program in (self.surface_program, self.crease_program):
            GL.glUseProgram(program)
            self._matrix(program)
            GL.glUniform2f(self._at(program, "pixel"), 2 / self.size[0], 2 / self.size[1])
            self._colour(program, "ink", "#0E1A1F" if not palette.dark else "#060B0D")
            self._colour(program, "dye", palette.dye)
            self._colour(program, "fog", palette.stage[0])
            if scene.cut is not None:
                GL.glUniform4f(self._at(program, "cut"), *(float(v) for v in scene.cut))
            GL.glUniform3f(self._at(program, "eye"), *camera.eye)
            GL.glUniform3f(self._at(program, "back"), *axes[2])
            GL.glUniform1f(self._at(program, "level"), float(camera.flat))
        program = self.surface_program
        GL.glUseProgram(program)
        GL.glUniform3f(self._at(program, "light"), *light)
        half_way = light + axes[2]
        GL.glUniform3f(self._at(program, "half_way"), *(half_way / np.linalg.norm(half_way)))
        GL.glUniform1f(self._at(program, "ground"), scene.ground_z)
        GL.glUniform1f(self._at(program, "dark"), float(palette.dark))
        GL.glUniform1i(self._at(program, "mark_count"), 0)

    def _into(self, target: Target) -> None:
        GL.glBindFramebuffer(GL.GL_FRAMEBUFFER, target.frame)
        GL.glViewport(0, 0, *self.size)

    def _background(self, palette: Palette, camera: Camera) -> None:
        GL.glClearDepth(1.0)
        GL.glDepthMask(True)
        GL.glClear(GL.GL_DEPTH_BUFFER_BIT)
        GL.glDisable(GL.GL_DEPTH_TEST)
        GL.glDisable(GL.GL_BLEND)
        GL.glDisable(GL.GL_CULL_FACE)
        program = self.back_program
        GL.glUseProgram(program)
        self._colour(program, "centre", palette.stage[0])
        self._colour(program, "rim", palette.stage[1])
        wide = self.size[0] / self.size[1]
        GL.glUniform2f(self._at(program, "shape"), max(1.0, wide) * 0.9, 1.0)
        GL.glUniform2f(self._at(program, "middle"), camera.aside[0], -camera.aside[1] - 0.1)
        GL.glBindVertexArray(self.quad_array)
        GL.glDrawArrays(GL.GL_TRIANGLE_STRIP, 0, 4)

    def _ground(self, palette: Palette, floor: Floor, camera: Camera) -> None:
        """Ring and shadow; fainter as the eye comes level with the floor, none from below."""
        above = min(1.0, max(0.0, math.sin(camera.elevation)) * 4)
        if above <= 0:
            return
        program = self.floor_program
        GL.glUseProgram(program)
        self._matrix(program)
        GL.glUniform3f(self._at(program, "centre"), *floor.centre)
        GL.glUniform1f(self._at(program, "half_size"), floor.half_size)
        GL.glEnable(GL.GL_BLEND)
        GL.glBlendFuncSeparate(GL.GL_SRC_ALPHA, GL.GL_ONE_MINUS_SRC_ALPHA, GL.GL_ONE, GL.GL_ONE_MINUS_SRC_ALPHA)
        GL.glBindVertexArray(self.quad_array)
        GL.glActiveTexture(GL.GL_TEXTURE0)
        for texture, colour, strength, alpha in (
            (self.shadow_texture, "#000000" if palette.dark else "#22302F", 0.55 if palette.dark else 0.40, 1),
            (self.floor_texture, palette.ink3, 0.55 if palette.dark else 0.62, 0),
        ):
            GL.glBindTexture(GL.GL_TEXTURE_2D, texture)
            self._colour(program, "shade", colour)
            GL.glUniform1f(self._at(program, "strength"), strength * above)
            GL.glUniform1i(self._at(program, "only_alpha"), alpha)
            GL.glUniform1i(self._at(program, "picture"), 0)
            GL.glDrawArrays(GL.GL_TRIANGLE_STRIP, 0, 4)
        GL.glDisable(GL.GL_BLEND)

    def _pieces(self, batches: list[Batch], palette: Palette, scene: Scene) -> None:
        for batch in batches:
            values = self._values(batch.pieces, palette)
            GL.glUseProgram(self.surface_program)
            self._give(self.surface_program, values)
            GL.glBindVertexArray(self.face_array)
            self._surfaces(*batch.faces, cull=batch.closed)
            self._creases(batch, values)

    def _surfaces(self, first: int, count: int, cull: bool, outline: bool = True) -> None:
        where = ctypes.c_void_p(4 * first)
        program = self.surface_program
        GL.glEnable(GL.GL_DEPTH_TEST)
        GL.glDepthFunc(GL.GL_LEQUAL)
        GL.glDepthMask(True)
        GL.glFrontFace(GL.GL_CW)  # the picture is drawn upside down
        GL.glUniform1i(self._at(program, "outline"), 0)
        if cull and not self.cutting:
            GL.glEnable(GL.GL_CULL_FACE)
            GL.glCullFace(GL.GL_BACK)
        GL.glDrawElements(GL.GL_TRIANGLES, count, GL.GL_UNSIGNED_INT, where)
        if outline:
            GL.glUniform1i(self._at(program, "outline"), 1)
            GL.glEnable(GL.GL_CULL_FACE)
            GL.glCullFace(GL.GL_FRONT)
            GL.glDrawElements(GL.GL_TRIANGLES, count, GL.GL_UNSIGNED_INT, where)
        GL.glDisable(GL.GL_CULL_FACE)

    def _creases(self, batch: Batch, values: Values, strength: float = 0.82) -> None:
        first, count = batch.edges
        if not count:
            return
        program = self.crease_program
        GL.glUseProgram(program)
        self._give(program, values)
        GL.glUniform1f(self._at(program, "reach"), 1.25 * self.ratio)
        GL.glUniform1f(self._at(program, "strength"), strength)
        GL.glBindVertexArray(self.edge_array)
        GL.glEnable(GL.GL_BLEND)
        GL.glBlendFuncSeparate(GL.GL_SRC_ALPHA, GL.GL_ONE_MINUS_SRC_ALPHA, GL.GL_ONE, GL.GL_ONE_MINUS_SRC_ALPHA)
        GL.glDepthMask(False)
        GL.glDrawElements(GL.GL_TRIANGLES, 6 * count, GL.GL_UNSIGNED_INT, ctypes.c_void_p(24 * first))
        GL.glDepthMask(True)
        GL.glDisable(GL.GL_BLEND)

    def _marked(self, scene: Scene, palette: Palette) -> None:
        """Still parts that carry a contact mark are drawn once more, with its rings."""
        names = {name for mark in scene.marks[: shade.MARKS] for name in mark.parts}
        for batch in self.batches[0]:
            wanted = [p.name for p in batch.pieces if p.part in names and p.shown]
            if not wanted:
                continue
            values = self._values(batch.pieces, palette)
            GL.glUseProgram(self.surface_program)
            self._give(self.surface_program, values)
            GL.glBindVertexArray(self.face_array)
            for name in wanted:
                self._surfaces(*batch.spans[name], cull=batch.closed, outline=False)
            self._creases(batch, values)

    def _ghost_lines(self, palette: Palette) -> None:
        """Before: creases only, in the quiet ink."""
        program = self.crease_program
        for batch in self.batches[2]:
            values = self._values(batch.pieces, palette)
            GL.glUseProgram(program)
            self._colour(program, "ink", palette.ink3)
            self._creases(batch, values, 0.75)

    def _values(self, pieces: tuple[Piece, ...], palette: Palette) -> Values:
        count = len(pieces)
        rows = np.empty((count, 3, 4), np.float32)
        tint = np.empty((count, 4), np.float32)
        how = np.empty((count, 4), np.float32)
        for i, piece in enumerate(pieces):
            rows[i] = piece.pose
            kind = piece.kind
            tint[i, :3] = rgb(palette.dye if piece.dyed else palette.part(kind))
            tint[i, 3] = GLOSS.get(kind, 0.10)
            line = OUTLINE
            if piece.selected:
                line = 3.0
            elif piece.hovered:
                line = 2.0
            line *= self.ratio
            if not piece.skin.closed:
                line = 0.0
            dye = float(piece.hovered or piece.selected)
            how[i] = piece.stretch, float(piece.faded), line if piece.shown else -1.0, dye
        return Values(rows, tint, how)

    def _give(self, program: int, values: Values) -> None:
        count = len(values.rows)
        GL.glUniform4fv(self._at(program, "rows[0]"), 3 * count, values.rows)
        GL.glUniform4fv(self._at(program, "how[0]"), count, values.how)
        if program == self.surface_program:
            GL.glUniform4fv(self._at(program, "tint[0]"), count, values.tint)

    def _marks(self, marks: tuple[Mark, ...], palette: Palette) -> None:
        program = self.surface_program
        GL.glUseProgram(program)
        shown = [m for m in marks if m.state in (State.NEAR, State.TOUCH)][: shade.MARKS]
        GL.glUniform1i(self._at(program, "mark_count"), len(shown))
        if not shown:
            return
        points = np.array([[*((m.point_a + m.point_b) / 2), 0.0] for m in shown], np.float32)
        fills = [palette.touch_fill if m.state is State.TOUCH else palette.near_fill for m in shown]
        colours = np.array([[*rgb(f), 1.0] for f in fills], np.float32)
        GL.glUniform4fv(self._at(program, "marks[0]"), len(shown), points)
        GL.glUniform4fv(self._at(program, "mark_colour[0]"), len(shown), colours)

    def _moving_box(
        self, scene: Scene, matrix: Array, size: tuple[int, int], ratio: float
    ) -> QRect:
        """The rectangle covered by what moves or carries a mark, with room for its outline."""
        named = {name for mark in scene.marks for name in mark.parts}
        boxes = []
        for piece in scene.pieces.values():
            if piece.shown and (piece.moving or piece.part in named):
                boxes.append(_corners(piece))
        if not boxes:
            return QRect()
        spots = to_pixels(matrix, np.concatenate(boxes), *size)
        spots = spots[np.isfinite(spots).all(axis=1)]
        if not len(spots):
            return QRect(0, 0, *size)
        edge = 6 * ratio
        low = np.clip(np.floor(spots.min(0) - edge), -1e6, 1e6).astype(int)
        high = np.clip(np.ceil(spots.max(0) + edge), -1e6, 1e6).astype(int)
        return QRect(int(low[0]), int(low[1]), int(high[0] - low[0]), int(high[1] - low[1]))

    def _copy(self, box: QRect) -> None:
        """The still picture, colour and depth, into the frame."""
        GL.glDisable(GL.GL_SCISSOR_TEST)
        GL.glBindFramebuffer(GL.GL_READ_FRAMEBUFFER, self.targets[0].frame)
        GL.glBindFramebuffer(GL.GL_DRAW_FRAMEBUFFER, self.targets[1].frame)
        x, y, right, top = box.x(), box.y(), box.x() + box.width(), box.y() + box.height()
        both = GL.GL_COLOR_BUFFER_BIT | GL.GL_DEPTH_BUFFER_BIT
        GL.glBlitFramebuffer(x, y, right, top, x, y, right, top, both, GL.GL_NEAREST)

    def _read(self, box: QRect) -> None:
        width = self.size[0]
        GL.glPixelStorei(GL.GL_PACK_ALIGNMENT, 4)
        GL.glPixelStorei(GL.GL_PACK_ROW_LENGTH, width)
        start = self.pixels.ctypes.data + 4 * (box.y() * width + box.x())
        glReadPixels(
            box.x(), box.y(), box.width(), box.height(),
            GL.GL_BGRA, GL.GL_UNSIGNED_INT_8_8_8_8_REV, ctypes.c_void_p(start),
        )  # fmt: skip

    def _matrix(self, program: int) -> None:
        GL.glUniformMatrix4fv(self._at(program, "sight"), 1, False, self.sight)

    def _colour(self, program: int, name: str, colour: str) -> None:
        GL.glUniform3f(self._at(program, name), *rgb(colour))

    def _at(self, program: int, name: str) -> int:
        found = self.at.get((program, name))
        if found is None:
            found = self.at[program, name] = int(GL.glGetUniformLocation(program, name))
        return found


@dataclass(frozen=True)
class Values:
    """What a batch's pieces hand to the programs."""

    rows: NDArray[np.float32]
    tint: NDArray[np.float32]
    how: NDArray[np.float32]


def _runs(pieces: list[Piece]) -> list[list[Piece]]:
    return [pieces[i : i + shade.BATCH] for i in range(0, len(pieces), shade.BATCH)]


def _corners(piece: Piece) -> Array:
    """The eight corners of a piece's box where it stands. (8, 3)"""
    low, high = piece.mesh.position.min(0).astype(float), piece.mesh.position.max(0).astype(float)
    high[2] += max(0.0, piece.stretch)
    low[2] += min(0.0, piece.stretch)
    corners = np.array([[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])])
    return np.asarray(corners @ piece.pose[:, :3].T + piece.pose[:, 3])


def _edge_quads(mesh: Mesh, index: int) -> NDArray:
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


def _fill(kind: int, buffer: int, data: NDArray) -> None:
    GL.glBindBuffer(kind, buffer)
    GL.glBufferData(kind, data.nbytes, data if data.size else None, GL.GL_STATIC_DRAW)


def _layout(sizes: tuple[int, ...]) -> None:
    stride, offset = 4 * sum(sizes), 0
    for place, size in enumerate(sizes):
        GL.glEnableVertexAttribArray(place)
        glVertexAttribPointer(place, size, GL.GL_FLOAT, False, stride, ctypes.c_void_p(offset))
        offset += 4 * size


def _texture(name: int, kind: int, size: int, data: object, mipmaps: bool) -> None:
    GL.glBindTexture(GL.GL_TEXTURE_2D, name)
    inner = GL.GL_RGBA8 if kind == GL.GL_RGBA else GL.GL_R8
    GL.glTexImage2D(GL.GL_TEXTURE_2D, 0, inner, size, size, 0, kind, GL.GL_UNSIGNED_BYTE, data)
    small = GL.GL_LINEAR_MIPMAP_LINEAR if mipmaps else GL.GL_LINEAR
    GL.glTexParameteri(GL.GL_TEXTURE_2D, GL.GL_TEXTURE_MIN_FILTER, small)
    GL.glTexParameteri(GL.GL_TEXTURE_2D, GL.GL_TEXTURE_MAG_FILTER, GL.GL_LINEAR)
    GL.glTexParameteri(GL.GL_TEXTURE_2D, GL.GL_TEXTURE_WRAP_S, GL.GL_CLAMP_TO_EDGE)
    GL.glTexParameteri(GL.GL_TEXTURE_2D, GL.GL_TEXTURE_WRAP_T, GL.GL_CLAMP_TO_EDGE)
    if mipmaps:
        GL.glGenerateMipmap(GL.GL_TEXTURE_2D)


def _target(width: int, height: int) -> Target:
    frame = int(GL.glGenFramebuffers(1))
    colour = int(GL.glGenTextures(1))
    depth = int(GL.glGenRenderbuffers(1))
    GL.glBindFramebuffer(GL.GL_FRAMEBUFFER, frame)
    GL.glBindTexture(GL.GL_TEXTURE_2D, colour)
    GL.glTexImage2D(
        GL.GL_TEXTURE_2D, 0, GL.GL_RGBA8, width, height, 0, GL.GL_BGRA, GL.GL_UNSIGNED_BYTE, None
    )
    GL.glTexParameteri(GL.GL_TEXTURE_2D, GL.GL_TEXTURE_MIN_FILTER, GL.GL_NEAREST)
    GL.glFramebufferTexture2D(
        GL.GL_FRAMEBUFFER, GL.GL_COLOR_ATTACHMENT0, GL.GL_TEXTURE_2D, colour, 0
    )
    GL.glBindRenderbuffer(GL.GL_RENDERBUFFER, depth)
    GL.glRenderbufferStorage(GL.GL_RENDERBUFFER, GL.GL_DEPTH_COMPONENT24, width, height)
    GL.glFramebufferRenderbuffer(
        GL.GL_FRAMEBUFFER, GL.GL_DEPTH_ATTACHMENT, GL.GL_RENDERBUFFER, depth
    )
    if GL.glCheckFramebufferStatus(GL.GL_FRAMEBUFFER) != GL.GL_FRAMEBUFFER_COMPLETE:
        raise NoOpenGL("This display's OpenGL can't draw off screen.")
    return Target(frame, colour, depth)


def _cut(source: str) -> str:
    """The variant of a program that a section plane cuts."""
    return source.replace("#version 150", "#version 150\n#define CUT", 1)


def _program(vertex: str, fragment: str, attributes: tuple[str, ...]) -> int:
    program = int(GL.glCreateProgram())
    for kind, source in ((GL.GL_VERTEX_SHADER, vertex), (GL.GL_FRAGMENT_SHADER, fragment)):
        shader = GL.glCreateShader(kind)
        GL.glShaderSource(shader, source)
        GL.glCompileShader(shader)
        if not GL.glGetShaderiv(shader, GL.GL_COMPILE_STATUS):
            raise NoOpenGL(f"This display's OpenGL can't shade: {GL.glGetShaderInfoLog(shader)!r}")
        GL.glAttachShader(program, shader)
    for place, name in enumerate(attributes):
        GL.glBindAttribLocation(program, place, name)
    GL.glLinkProgram(program)
    if not GL.glGetProgramiv(program, GL.GL_LINK_STATUS):
        raise NoOpenGL(f"This display's OpenGL can't shade: {GL.glGetProgramInfoLog(program)!r}")
    return program
