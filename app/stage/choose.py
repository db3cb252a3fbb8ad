"""Which painter this display can have."""

from __future__ import annotations

import logging

from PySide6.QtGui import QGuiApplication

from app.stage.gl import NoOpenGL
from app.stage.opengl import OpenGLPainter
from app.stage.plain import PlainPainter
from app.stage.view import Picture

log = logging.getLogger(__name__)


def painter() -> tuple[Picture, str]:
    """The OpenGL painter, or the plain one and a sentence that says why."""
    why = "This display has no OpenGL."
    if QGuiApplication.platformName() not in ("offscreen", "minimal"):
        try:
            return OpenGLPainter(), ""
        except NoOpenGL as error:
            why = str(error)
        except Exception:  # a driver may fail in any way; the window must open all the same
            log.exception("OpenGL failed to start.")
    return PlainPainter(), f"{why} The pictures are drawn plainly instead."
