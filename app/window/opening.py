"""Opens the window on a project, on what was left when the program last ended, or an example."""

from __future__ import annotations

import sys
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from app import examples
from app.document import recovery
from app.window.start import dress, log_to_file, teller
from app.window.window import Window

EXAMPLE = "rear-in-trouble"


def run(path: Path | None) -> int:
    """Open the window and stay until it is closed."""
    QApplication.setAttribute(Qt.ApplicationAttribute.AA_ShareOpenGLContexts)
    app = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(app, QApplication)
    dress(app)
    log_to_file()
    window = Window()
    sys.excepthook = teller(window)
    left = recovery.found(path)
    if left is not None:
        window.document.recover(left)
    elif path is None or not window.open(path, example=path.parent == examples.folder()):
        shipped = examples.examples().get(EXAMPLE)
        if shipped is not None:
            window.open(shipped, example=True)
    window.show()
    if left is not None:  # once the window has its size, and the sentence its place
        window.notice.say("This was not saved when the program last ended. Here it is as it was.")
    if window.why_flat:
        window.notice.say(window.why_flat)
    return app.exec()
