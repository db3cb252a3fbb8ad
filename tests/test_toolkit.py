"""The window toolkit as installed is fit for use."""

import sys

import pytest


@pytest.mark.skipif(sys.version_info >= (3, 12), reason="None is immortal from Python 3.12 on")
def test_void_calls_keep_the_references_to_none(windows) -> None:
    """One release of the toolkit dropped one reference a call, and the process died of it."""
    from PySide6.QtWidgets import QLabel

    label = QLabel()
    calls = 5000
    before = sys.getrefcount(None)
    for _ in range(calls):
        label.setText("x")
    drift = sys.getrefcount(None) - before
    assert abs(drift) < calls // 100


def test_there_is_opengl_to_draw_with(windows) -> None:
    from PySide6.QtGui import QOffscreenSurface, QOpenGLContext

    context = QOpenGLContext()
    assert context.create()
    surface = QOffscreenSurface()
    surface.create()
    assert context.makeCurrent(surface)
    version = context.format().majorVersion(), context.format().minorVersion()
    context.doneCurrent()
    assert version >= (2, 1)
