"""The OpenGL calls in use, found in the driver by name and called through ctypes.

A binding of all of OpenGL takes a quarter of a second to import and checks every call; these
forty functions are all that is needed.
"""

from __future__ import annotations

import ctypes
from ctypes import c_char_p, c_float, c_int, c_ssize_t, c_ubyte, c_uint, c_void_p
from typing import Any

from PySide6.QtGui import QOpenGLContext

DEPTH_BUFFER_BIT, COLOR_BUFFER_BIT = 0x0100, 0x4000
TRIANGLES, TRIANGLE_STRIP = 0x0004, 0x0005
LEQUAL, GREATER, FRONT, BACK, CW = 0x0203, 0x0204, 0x0404, 0x0405, 0x0900
CULL_FACE, DEPTH_TEST, BLEND, SCISSOR_TEST = 0x0B44, 0x0B71, 0x0BE2, 0x0C11
ONE, SRC_ALPHA, ONE_MINUS_SRC_ALPHA = 1, 0x0302, 0x0303
UNPACK_ALIGNMENT, PACK_ROW_LENGTH, PACK_ALIGNMENT = 0x0CF5, 0x0D02, 0x0D05
TEXTURE_2D, TEXTURE0 = 0x0DE1, 0x84C0
UNSIGNED_BYTE, UNSIGNED_INT, FLOAT = 0x1401, 0x1405, 0x1406
UNSIGNED_INT_8_8_8_8_REV = 0x8367
RED, BGRA, RGBA8, R8 = 0x1903, 0x80E1, 0x8058, 0x8229
NEAREST, LINEAR, LINEAR_MIPMAP_LINEAR = 0x2600, 0x2601, 0x2703
TEXTURE_MAG_FILTER, TEXTURE_MIN_FILTER = 0x2800, 0x2801
TEXTURE_WRAP_S, TEXTURE_WRAP_T, CLAMP_TO_EDGE = 0x2802, 0x2803, 0x812F
DEPTH_COMPONENT24 = 0x81A6
ARRAY_BUFFER, ELEMENT_ARRAY_BUFFER, STATIC_DRAW = 0x8892, 0x8893, 0x88E4
FRAGMENT_SHADER, VERTEX_SHADER = 0x8B30, 0x8B31
COMPILE_STATUS, LINK_STATUS = 0x8B81, 0x8B82
READ_FRAMEBUFFER, DRAW_FRAMEBUFFER, FRAMEBUFFER = 0x8CA8, 0x8CA9, 0x8D40
RENDERBUFFER, COLOR_ATTACHMENT0, DEPTH_ATTACHMENT = 0x8D41, 0x8CE0, 0x8D00
FRAMEBUFFER_COMPLETE = 0x8CD5

_ENUM = _NAME = c_uint
_CALLS: dict[str, tuple[Any, ...]] = {
    "ActiveTexture": (None, _ENUM),
    "AttachShader": (None, _NAME, _NAME),
    "BindAttribLocation": (None, _NAME, c_uint, c_char_p),
    "BindBuffer": (None, _ENUM, _NAME),
    "BindFramebuffer": (None, _ENUM, _NAME),
    "BindRenderbuffer": (None, _ENUM, _NAME),
    "BindTexture": (None, _ENUM, _NAME),
    "BindVertexArray": (None, _NAME),
    "BlendFuncSeparate": (None, _ENUM, _ENUM, _ENUM, _ENUM),
    "BlitFramebuffer": (None, *[c_int] * 8, c_uint, _ENUM),
    "BufferData": (None, _ENUM, c_ssize_t, c_void_p, _ENUM),
    "CheckFramebufferStatus": (c_uint, _ENUM),
    "Clear": (None, c_uint),
    "CompileShader": (None, _NAME),
    "CreateProgram": (c_uint,),
    "CreateShader": (c_uint, _ENUM),
    "CullFace": (None, _ENUM),
    "DeleteBuffers": (None, c_int, c_void_p),
    "DeleteFramebuffers": (None, c_int, c_void_p),
    "DeleteProgram": (None, _NAME),
    "DeleteRenderbuffers": (None, c_int, c_void_p),
    "DeleteTextures": (None, c_int, c_void_p),
    "DeleteVertexArrays": (None, c_int, c_void_p),
    "DepthFunc": (None, _ENUM),
    "DepthMask": (None, c_ubyte),
    "Disable": (None, _ENUM),
    "DrawArrays": (None, _ENUM, c_int, c_int),
    "DrawElements": (None, _ENUM, c_int, _ENUM, c_void_p),
    "Enable": (None, _ENUM),
    "EnableVertexAttribArray": (None, c_uint),
    "Flush": (None,),
    "FramebufferRenderbuffer": (None, _ENUM, _ENUM, _ENUM, _NAME),
    "FramebufferTexture2D": (None, _ENUM, _ENUM, _ENUM, _NAME, c_int),
    "FrontFace": (None, _ENUM),
    "GenBuffers": (None, c_int, c_void_p),
    "GenFramebuffers": (None, c_int, c_void_p),
    "GenRenderbuffers": (None, c_int, c_void_p),
    "GenTextures": (None, c_int, c_void_p),
    "GenVertexArrays": (None, c_int, c_void_p),
    "GetProgramiv": (None, _NAME, _ENUM, c_void_p),
    "GetShaderInfoLog": (None, _NAME, c_int, c_void_p, c_char_p),
    "GetShaderiv": (None, _NAME, _ENUM, c_void_p),
    "GetUniformLocation": (c_int, _NAME, c_char_p),
    "LinkProgram": (None, _NAME),
    "MultiDrawElements": (None, _ENUM, c_void_p, _ENUM, c_void_p, c_int),
    "PixelStorei": (None, _ENUM, c_int),
    "ReadPixels": (None, c_int, c_int, c_int, c_int, _ENUM, _ENUM, c_void_p),
    "RenderbufferStorage": (None, _ENUM, _ENUM, c_int, c_int),
    "Scissor": (None, c_int, c_int, c_int, c_int),
    "ShaderSource": (None, _NAME, c_int, c_void_p, c_void_p),
    "TexImage2D": (None, _ENUM, c_int, c_int, c_int, c_int, c_int, _ENUM, _ENUM, c_void_p),
    "TexParameteri": (None, _ENUM, _ENUM, c_int),
    "Uniform1f": (None, c_int, c_float),
    "Uniform1i": (None, c_int, c_int),
    "Uniform2f": (None, c_int, c_float, c_float),
    "Uniform3f": (None, c_int, c_float, c_float, c_float),
    "Uniform4f": (None, c_int, c_float, c_float, c_float, c_float),
    "Uniform4fv": (None, c_int, c_int, c_void_p),
    "UniformMatrix4fv": (None, c_int, c_int, c_ubyte, c_void_p),
    "UseProgram": (None, _NAME),
    "VertexAttribPointer": (None, c_uint, c_int, _ENUM, c_ubyte, c_int, c_void_p),
    "Viewport": (None, c_int, c_int, c_int, c_int),
}


# These wait for the driver. The others are over at once: letting other threads run meanwhile would
# only mean waiting for them afterwards, a hundred times a picture.
_SLOW = {"BlitFramebuffer", "CompileShader", "LinkProgram", "ReadPixels", "TexImage2D"}


class NoOpenGL(Exception):
    """There is no OpenGL 3.2 here; the text says so in words."""


class Calls:
    """The functions above as attributes without their 'gl'; see the OpenGL reference."""

    def __init__(self, context: QOpenGLContext) -> None:
        for name, (result, *arguments) in _CALLS.items():
            address = int(context.getProcAddress(f"gl{name}".encode()) or 0)
            if not address:
                raise NoOpenGL(f"This display's OpenGL lacks gl{name}.")
            kind = ctypes.CFUNCTYPE if name in _SLOW else ctypes.PYFUNCTYPE
            setattr(self, name, kind(result, *arguments)(address))

    def __getattr__(self, name: str) -> Any:
        """For the type checker; every call is set above."""
        raise AttributeError(name)

    def make(self, kind: str, count: int = 1) -> list[int]:
        """New names: of 'Buffers', 'Textures', 'VertexArrays', 'Framebuffers', ..."""
        names = (c_uint * count)()
        getattr(self, f"Gen{kind}")(count, names)
        return list(names)

    def delete(self, kind: str, names: list[int]) -> None:
        """Give names back."""
        getattr(self, f"Delete{kind}")(len(names), (c_uint * len(names))(*names))
