"""The few OpenGL calls everything else is made of: programs, buffers, textures, targets."""

from __future__ import annotations

import ctypes
from dataclasses import dataclass
from typing import Any

import numpy as np
import OpenGL
from numpy.typing import NDArray

# A check a call costs more than the calls themselves.
OpenGL.ERROR_CHECKING = False
OpenGL.ERROR_LOGGING = False

from OpenGL import GL  # noqa: E402
from OpenGL.raw.GL.VERSION.GL_1_0 import glReadPixels  # noqa: E402
from OpenGL.raw.GL.VERSION.GL_2_0 import glVertexAttribPointer  # noqa: E402

from app.look.palette import rgb  # noqa: E402


class NoOpenGL(Exception):
    """There is no OpenGL 3.2 here; the text says so in words."""


class Program:
    """A linked pair of shaders; uniforms by name."""

    def __init__(self, vertex: str, fragment: str, attributes: tuple[str, ...]) -> None:
        self.name = int(GL.glCreateProgram())
        for kind, source in ((GL.GL_VERTEX_SHADER, vertex), (GL.GL_FRAGMENT_SHADER, fragment)):
            shader = GL.glCreateShader(kind)
            GL.glShaderSource(shader, source)
            GL.glCompileShader(shader)
            if not GL.glGetShaderiv(shader, GL.GL_COMPILE_STATUS):
                said = GL.glGetShaderInfoLog(shader)
                raise NoOpenGL(f"This display's OpenGL can't shade: {said!r}")
            GL.glAttachShader(self.name, shader)
        for place, name in enumerate(attributes):
            GL.glBindAttribLocation(self.name, place, name)
        GL.glLinkProgram(self.name)
        if not GL.glGetProgramiv(self.name, GL.GL_LINK_STATUS):
            said = GL.glGetProgramInfoLog(self.name)
            raise NoOpenGL(f"This display's OpenGL can't shade: {said!r}")
        self._places: dict[str, int] = {}

    def use(self) -> None:
        """Draw with this program from here on."""
        GL.glUseProgram(self.name)

    def at(self, name: str) -> int:
        """A uniform's place; -1 where the program has no use for it."""
        place = self._places.get(name)
        if place is None:
            place = self._places[name] = int(GL.glGetUniformLocation(self.name, name))
        return place

    def number(self, name: str, value: float) -> None:
        """Set a float."""
        GL.glUniform1f(self.at(name), float(value))

    def whole(self, name: str, value: int) -> None:
        """Set an int."""
        GL.glUniform1i(self.at(name), int(value))

    def vector(self, name: str, value: Any) -> None:
        """Set a vector of 2 to 4 floats."""
        call = {2: GL.glUniform2f, 3: GL.glUniform3f, 4: GL.glUniform4f}[len(value)]
        call(self.at(name), *(float(v) for v in value))

    def vectors(self, name: str, values: NDArray[np.float32]) -> None:
        """Set an array of vec4 (..., 4)."""
        GL.glUniform4fv(self.at(f"{name}[0]"), values.size // 4, values)

    def matrix(self, name: str, columns: NDArray[np.float32]) -> None:
        """Set a 4 x 4 matrix given by columns."""
        GL.glUniformMatrix4fv(self.at(name), 1, False, columns)

    def colour(self, name: str, colour: str) -> None:
        """Set a colour."""
        self.vector(name, rgb(colour))


@dataclass
class Target:
    """A picture with depth to draw into."""

    frame: int
    colour: int
    depth: int

    def use(self, size: tuple[int, int]) -> None:
        """Draw into it from here on."""
        GL.glBindFramebuffer(GL.GL_FRAMEBUFFER, self.frame)
        GL.glViewport(0, 0, *size)

    def delete(self) -> None:
        """Give it back."""
        GL.glDeleteFramebuffers(1, [self.frame])
        GL.glDeleteTextures([self.colour])
        GL.glDeleteRenderbuffers(1, [self.depth])


def target(width: int, height: int) -> Target:
    """A new target. Raises NoOpenGL where there are none."""
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


def copy(source: Target, to: Target, box: tuple[int, int, int, int]) -> None:
    """Colour and depth of a box (left, low, right, high) from one target to another."""
    GL.glDisable(GL.GL_SCISSOR_TEST)
    GL.glBindFramebuffer(GL.GL_READ_FRAMEBUFFER, source.frame)
    GL.glBindFramebuffer(GL.GL_DRAW_FRAMEBUFFER, to.frame)
    both = GL.GL_COLOR_BUFFER_BIT | GL.GL_DEPTH_BUFFER_BIT
    GL.glBlitFramebuffer(*box, *box, both, GL.GL_NEAREST)


def read(pixels: NDArray[np.uint32], x: int, y: int, width: int, height: int) -> None:
    """Read a box of the target in use into the same box of a picture (rows, columns)."""
    GL.glPixelStorei(GL.GL_PACK_ALIGNMENT, 4)
    GL.glPixelStorei(GL.GL_PACK_ROW_LENGTH, pixels.shape[1])
    start = pixels.ctypes.data + 4 * (y * pixels.shape[1] + x)
    kind = GL.GL_UNSIGNED_INT_8_8_8_8_REV
    glReadPixels(x, y, width, height, GL.GL_BGRA, kind, ctypes.c_void_p(start))


def texture(name: int, picture: NDArray[np.uint8], mipmaps: bool) -> None:
    """Fill a texture from a picture (n, n) of one channel or (n, n, 4) of four."""
    four = picture.ndim == 3
    inner, kind = (GL.GL_RGBA8, GL.GL_RGBA) if four else (GL.GL_R8, GL.GL_RED)
    high, wide = picture.shape[:2]
    GL.glBindTexture(GL.GL_TEXTURE_2D, name)
    GL.glPixelStorei(GL.GL_UNPACK_ALIGNMENT, 1)
    data = picture.tobytes()
    GL.glTexImage2D(
        GL.GL_TEXTURE_2D, 0, inner, wide, high, 0, kind, GL.GL_UNSIGNED_BYTE, data
    )
    small = GL.GL_LINEAR_MIPMAP_LINEAR if mipmaps else GL.GL_LINEAR
    for what, value in (
        (GL.GL_TEXTURE_MIN_FILTER, small),
        (GL.GL_TEXTURE_MAG_FILTER, GL.GL_LINEAR),
        (GL.GL_TEXTURE_WRAP_S, GL.GL_CLAMP_TO_EDGE),
        (GL.GL_TEXTURE_WRAP_T, GL.GL_CLAMP_TO_EDGE),
    ):
        GL.glTexParameteri(GL.GL_TEXTURE_2D, what, value)
    if mipmaps:
        GL.glGenerateMipmap(GL.GL_TEXTURE_2D)


def fill(kind: int, buffer: int, data: NDArray[Any]) -> None:
    """Put data into a buffer."""
    GL.glBindBuffer(kind, buffer)
    GL.glBufferData(kind, data.nbytes, data if data.size else None, GL.GL_STATIC_DRAW)


def layout(sizes: tuple[int, ...]) -> None:
    """Floats laid side by side in the buffer in use, so many each attribute."""
    stride, offset = 4 * sum(sizes), 0
    for place, size in enumerate(sizes):
        GL.glEnableVertexAttribArray(place)
        glVertexAttribPointer(place, size, GL.GL_FLOAT, False, stride, ctypes.c_void_p(offset))
        offset += 4 * size
