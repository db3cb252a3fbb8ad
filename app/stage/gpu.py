"""The few OpenGL calls everything else is made of: programs, buffers, textures, targets."""

from __future__ import annotations

import ctypes
from ctypes import c_char_p, c_int
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from app.look.palette import rgb
from app.stage import gl
from app.stage.gl import Calls, NoOpenGL


class Program:
    """A linked pair of shaders; uniforms by name. Raises NoOpenGL where they don't compile."""

    def __init__(
        self, calls: Calls, vertex: str, fragment: str, attributes: tuple[str, ...]
    ) -> None:
        self.calls = calls
        self.name = calls.CreateProgram()
        for kind, source in ((gl.VERTEX_SHADER, vertex), (gl.FRAGMENT_SHADER, fragment)):
            shader = calls.CreateShader(kind)
            text = (c_char_p * 1)(source.encode())
            calls.ShaderSource(shader, 1, text, None)
            calls.CompileShader(shader)
            done, said = c_int(), ctypes.create_string_buffer(1000)
            calls.GetShaderiv(shader, gl.COMPILE_STATUS, ctypes.byref(done))
            if not done.value:
                calls.GetShaderInfoLog(shader, len(said), None, said)
                raise NoOpenGL(f"This display's OpenGL can't shade: {said.value.decode()}")
            calls.AttachShader(self.name, shader)
        for place, name in enumerate(attributes):
            calls.BindAttribLocation(self.name, place, name.encode())
        calls.LinkProgram(self.name)
        linked = c_int()
        calls.GetProgramiv(self.name, gl.LINK_STATUS, ctypes.byref(linked))
        if not linked.value:
            raise NoOpenGL("This display's OpenGL can't link its shaders.")
        self._places: dict[str, int] = {}

    def use(self) -> None:
        """Draw with this program from here on."""
        self.calls.UseProgram(self.name)

    def at(self, name: str) -> int:
        """A uniform's place; -1 where the program has no use for it."""
        place = self._places.get(name)
        if place is None:
            place = self._places[name] = self.calls.GetUniformLocation(self.name, name.encode())
        return place

    def number(self, name: str, value: float) -> None:
        """Set a float."""
        self.calls.Uniform1f(self.at(name), float(value))

    def whole(self, name: str, value: int) -> None:
        """Set an int."""
        self.calls.Uniform1i(self.at(name), int(value))

    def vector(self, name: str, value: Any) -> None:
        """Set a vector of 2 to 4 floats."""
        calls = self.calls
        call = {2: calls.Uniform2f, 3: calls.Uniform3f, 4: calls.Uniform4f}[len(value)]
        call(self.at(name), *(float(v) for v in value))

    def vectors(self, name: str, values: NDArray[np.float32]) -> None:
        """Set an array of vec4 (..., 4)."""
        self.calls.Uniform4fv(self.at(f"{name}[0]"), values.size // 4, values.ctypes.data)

    def matrix(self, name: str, columns: NDArray[np.float32]) -> None:
        """Set a 4 x 4 matrix given by columns."""
        self.calls.UniformMatrix4fv(self.at(name), 1, 0, columns.ctypes.data)

    def colour(self, name: str, colour: str) -> None:
        """Set a colour."""
        self.vector(name, rgb(colour))


@dataclass
class Target:
    """A picture with depth to draw into."""

    calls: Calls
    frame: int
    colour: int
    depth: int

    def use(self, size: tuple[int, int]) -> None:
        """Draw into it from here on."""
        self.calls.BindFramebuffer(gl.FRAMEBUFFER, self.frame)
        self.calls.Viewport(0, 0, *size)

    def delete(self) -> None:
        """Give it back."""
        self.calls.delete("Framebuffers", [self.frame])
        self.calls.delete("Textures", [self.colour])
        self.calls.delete("Renderbuffers", [self.depth])


def target(calls: Calls, width: int, height: int) -> Target:
    """A new target. Raises NoOpenGL where there are none."""
    (frame,) = calls.make("Framebuffers")
    (colour,) = calls.make("Textures")
    (depth,) = calls.make("Renderbuffers")
    calls.BindFramebuffer(gl.FRAMEBUFFER, frame)
    calls.BindTexture(gl.TEXTURE_2D, colour)
    calls.TexImage2D(gl.TEXTURE_2D, 0, gl.RGBA8, width, height, 0, gl.BGRA, gl.UNSIGNED_BYTE, None)
    calls.TexParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.NEAREST)
    calls.FramebufferTexture2D(gl.FRAMEBUFFER, gl.COLOR_ATTACHMENT0, gl.TEXTURE_2D, colour, 0)
    calls.BindRenderbuffer(gl.RENDERBUFFER, depth)
    calls.RenderbufferStorage(gl.RENDERBUFFER, gl.DEPTH_COMPONENT24, width, height)
    calls.FramebufferRenderbuffer(gl.FRAMEBUFFER, gl.DEPTH_ATTACHMENT, gl.RENDERBUFFER, depth)
    if calls.CheckFramebufferStatus(gl.FRAMEBUFFER) != gl.FRAMEBUFFER_COMPLETE:
        raise NoOpenGL("This display's OpenGL can't draw off screen.")
    return Target(calls, frame, colour, depth)


def copy(source: Target, to: Target, box: tuple[int, int, int, int], depth: bool) -> None:
    """Colour, and depth if asked, of a box (left, low, right, high) from one target to another."""
    calls = source.calls
    calls.Disable(gl.SCISSOR_TEST)
    calls.BindFramebuffer(gl.READ_FRAMEBUFFER, source.frame)
    calls.BindFramebuffer(gl.DRAW_FRAMEBUFFER, to.frame)
    what = gl.COLOR_BUFFER_BIT | (gl.DEPTH_BUFFER_BIT if depth else 0)
    calls.BlitFramebuffer(*box, *box, what, gl.NEAREST)


def read(calls: Calls, pixels: NDArray[np.uint32], x: int, y: int, width: int, height: int) -> None:
    """Read a box of the target in use into the same box of a picture (rows, columns)."""
    calls.PixelStorei(gl.PACK_ALIGNMENT, 4)
    calls.PixelStorei(gl.PACK_ROW_LENGTH, pixels.shape[1])
    start = pixels.ctypes.data + 4 * (y * pixels.shape[1] + x)
    calls.ReadPixels(x, y, width, height, gl.BGRA, gl.UNSIGNED_INT_8_8_8_8_REV, start)


def texture(calls: Calls, name: int, picture: NDArray[np.uint8], mipmaps: bool) -> None:
    """Fill a texture from a picture (n, n) of one channel; with smaller ones for the distance."""
    calls.BindTexture(gl.TEXTURE_2D, name)
    calls.PixelStorei(gl.UNPACK_ALIGNMENT, 1)
    level = 0
    while True:
        picture = np.ascontiguousarray(picture)
        high, wide = picture.shape
        calls.TexImage2D(
            gl.TEXTURE_2D, level, gl.R8, wide, high, 0, gl.RED, gl.UNSIGNED_BYTE,
            picture.ctypes.data,
        )  # fmt: skip
        if not mipmaps or min(high, wide) < 2:
            break
        # A software driver takes half a second over this.
        wider = picture.astype(np.uint16)
        picture = ((wider[::2, ::2] + wider[1::2, ::2] + wider[::2, 1::2] + wider[1::2, 1::2]
                    + 2) // 4).astype(np.uint8)  # fmt: skip
        level += 1
    small = gl.LINEAR_MIPMAP_LINEAR if mipmaps else gl.LINEAR
    for what, value in (
        (gl.TEXTURE_MIN_FILTER, small),
        (gl.TEXTURE_MAG_FILTER, gl.LINEAR),
        (gl.TEXTURE_WRAP_S, gl.CLAMP_TO_EDGE),
        (gl.TEXTURE_WRAP_T, gl.CLAMP_TO_EDGE),
    ):
        calls.TexParameteri(gl.TEXTURE_2D, what, value)


def fill(calls: Calls, kind: int, buffer: int, data: NDArray[Any]) -> None:
    """Put data into a buffer."""
    calls.BindBuffer(kind, buffer)
    calls.BufferData(kind, data.nbytes, data.ctypes.data if data.size else None, gl.STATIC_DRAW)


def layout(calls: Calls, sizes: tuple[int, ...]) -> None:
    """Floats laid side by side in the buffer in use, so many each attribute."""
    stride, offset = 4 * sum(sizes), 0
    for place, size in enumerate(sizes):
        calls.EnableVertexAttribArray(place)
        calls.VertexAttribPointer(place, size, gl.FLOAT, 0, stride, offset)
        offset += 4 * size
