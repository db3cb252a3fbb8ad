"""Without OpenGL the window still opens, says so, and shows the corner."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
from PySide6.QtWidgets import QApplication

from app.look.palette import LIGHT
from app.stage.camera import Camera
from app.stage.floor import Floor
from app.stage.plain import PlainPainter
from app.stage.scene import Scene
from tests.app.conftest import Driver

ROOT = Path(__file__).parent.parent.parent

OPENED = """
from PySide6.QtWidgets import QApplication
from app import examples
from app.window.start import dress
from app.window.window import Window
app = QApplication(["clearstroke", "-platform", "offscreen"])
dress(app)
window = Window()
window.open(examples.examples()["rear-in-trouble"], example=True)
window.show()
for name in ("3d", "front", "side", "top"):
    window.view(name)
    app.processEvents()
    image = window.stage.grab().toImage()
    assert image.devicePixelRatio() == 2.0
    assert image.size() == 2 * window.stage.size()
    still = window.ruler.grab().toImage()
    assert still.size() == 2 * window.ruler.size()
    for sharp in (image, still):  # not one of ordinary dots, enlarged
        pairs = [(2 * x, 2 * y) for x in range(40, 120) for y in range(40, 250)]
        assert any(sharp.pixel(x, y) != sharp.pixel(x + 1, y) for x, y in pairs), name
    wide, high = range(0, image.width(), 9), range(0, image.height(), 9)
    colours = {image.pixel(x, y) for x in wide for y in high}
    assert len(colours) > 30, name
print(window.why_flat)
window.close()
"""


def test_no_opengl_no_crash_and_a_sentence() -> None:
    """On a screen of twice as many dots, of which the picture has each."""
    home = {**os.environ, "QT_SCALE_FACTOR": "2"}
    home.pop("DISPLAY", None)
    home.pop("QT_QPA_PLATFORM", None)
    done = subprocess.run(
        [sys.executable, "-c", OPENED], cwd=ROOT, env=home, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip().endswith("drawn plainly instead.")
    assert "Traceback" not in done.stderr


def test_the_plain_picture_shows_what_the_other_does(windows: QApplication, driver: Driver) -> None:
    """The dark of the tyre stands in the same place in both."""
    size = (driver.stage.width(), driver.stage.height())
    scene: Scene = driver.stage.scene
    camera: Camera = driver.stage.camera
    floor: Floor = driver.stage.floor
    scene_marks, scene.marks = scene.marks, ()
    pictures = []
    for painter in (driver.stage.picture, PlainPainter()):
        painter.begin(scene, camera, LIGHT, floor, size)
        painter.finish()
        image = painter.image()
        pixels = np.frombuffer(image.constBits(), np.uint8).reshape(size[1], size[0], 4)
        pictures.append(pixels[..., :3].astype(int).sum(axis=2) < 260)
    scene.marks = scene_marks
    driver.stage.redraw()
    both = (pictures[0] & pictures[1]).sum()
    assert both > 0.8 * min(p.sum() for p in pictures)
