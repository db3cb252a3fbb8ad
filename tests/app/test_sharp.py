"""On a screen of more dots to a px the corner is drawn with each of them, where hands find it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from PySide6.QtWidgets import QApplication

ROOT = Path(__file__).parent.parent.parent

OPENED = """
import sys
import numpy as np
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from app import examples
from app.document import live
from app.stage.opengl import OpenGLPainter
from app.window.start import dress
from app.window.window import Window
from kinematics.clearance import Cancelled


def unchecked(*_, **__):
    raise Cancelled


live.full = unchecked  # how it moves is enough here
RATIO = float(sys.argv[1])
app = QApplication(["clearstroke"])
dress(app)
window = Window()
window.resize(900, 600)
window.open(examples.examples()["rear-in-trouble"], example=True)
window.show()
QTest.qWaitForWindowExposed(window)
stage, scene = window.stage, window.scene
assert isinstance(stage.picture, OpenGLPainter), window.why_flat
assert stage.devicePixelRatioF() == RATIO
tyre = next(p for p in scene.pieces.values() if p.kind == "tyre")


def seen():
    '''The stage as painted, (h, w, 3), after whatever changed.'''
    scene.look += 1
    stage.redraw()
    app.processEvents()
    image = stage.grab().toImage()
    assert image.devicePixelRatio() == RATIO
    assert abs(image.width() - RATIO * stage.width()) < 1
    assert abs(image.height() - RATIO * stage.height()) < 1
    pixels = np.frombuffer(image.constBits(), np.uint8)
    return pixels.reshape(image.height(), image.width(), 4)[..., :3].astype(int)


scene.marks, stage.tags = (), []
shown = seen()
inner = stage.picture.image()
assert (inner.width(), inner.height()) == (shown.shape[1], shown.shape[0])  # a dot for a dot
# As many edges between dots as a picture of so many dots has: none of them was enlarged.
steps = np.abs(np.diff(shown, axis=1)).max(axis=2) > 40
columns = steps.sum(axis=0)
assert (columns > 0).mean() > 0.5, columns
# Where a click finds the tyre, and only there, the picture changes as the tyre goes.
tyre.shown = False
gone = np.abs(shown - seen()).max(axis=2) > 6
tyre.shown = True
spots = [(x, y) for x in range(12, stage.width() - 12, 9)
         for y in range(12, stage.height() - 12, 9)]
found = {spot: stage.pick(QPointF(*spot)) for spot in spots}
on = [s for s, hit in found.items() if hit is not None and hit.piece is tyre]
off = [s for s, hit in found.items() if hit is not None and hit.piece is not tyre]
assert len(on) > 60, len(on)
assert len(off) > 60, len(off)
there = [gone[round(y * RATIO), round(x * RATIO)] for x, y in on]
beside = [gone[round(y * RATIO), round(x * RATIO)] for x, y in off]
assert np.mean(there) > 0.8, np.mean(there)  # what is behind it may be as dark
assert np.mean(beside) < 0.1, np.mean(beside)

# A hand that takes hold of what is painted there has the wheel.
x, y = on[len(on) // 2]
QTest.mousePress(stage, Qt.MouseButton.LeftButton, pos=QPoint(x, y))
for k in (1, 2, 3):
    at = QPointF(x, y - 10 * k)
    QApplication.sendEvent(stage, QMouseEvent(
        QEvent.Type.MouseMove, at, QPointF(stage.mapToGlobal(at.toPoint())),
        Qt.MouseButton.NoButton, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier))
assert window.document.travel > 5.0, window.document.travel
QTest.mouseRelease(stage, Qt.MouseButton.LeftButton, pos=QPoint(x, y - 30))
window.close()
window.document.close()
print("done")
"""


def test_every_dot_is_drawn_where_hands_find_it(app: QApplication) -> None:
    ratio = "1.5"
    done = subprocess.run(
        [sys.executable, "-c", OPENED, ratio], cwd=ROOT,
        env={**os.environ, "QT_SCALE_FACTOR": ratio}, capture_output=True, text=True, timeout=120,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr + done.stdout
    assert done.stdout.strip().endswith("done")
    assert "Traceback" not in done.stderr
