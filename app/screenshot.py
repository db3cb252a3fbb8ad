"""Pictures of the window for the guides: ``python -m app.screenshot [FOLDER] [--all]``.

Opens examples on the display there is (on a machine without one, under Xvfb) and writes the main
states into docs/images or the folder given; with ``--all`` light and dark, small and large.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication, QWidget

from app import examples
from app.window.start import dress
from app.window.window import Window

SMALL, LARGE = (1280, 800), (2560, 1440)
LONGEST = 120.0  # s to wait for a study


class Photographer:
    """A window and what is needed to take pictures of it."""

    def __init__(self, app: QApplication, folder: Path) -> None:
        self.app, self.folder = app, folder
        self.window = Window()
        self.window.stage.calm = True
        self.window.show()

    def wait(self, until: Callable[[], object]) -> None:
        """Let events run until something holds."""
        end = time.monotonic() + LONGEST
        while not until() and time.monotonic() < end:
            self.app.processEvents()
            time.sleep(0.005)

    def open(self, name: str) -> None:
        """Open an example and wait until it is checked and mapped."""
        document = self.window.document
        self.window.open(examples.examples()[name], example=True)
        self.rest()
        self.wait(lambda: document.study is not None)
        self.rest()

    def rest(self) -> None:
        """Until nothing is being worked out."""
        document = self.window.document
        for _ in range(3):
            self.wait(lambda: not document.jobs.busy)
            for _ in range(20):
                self.app.processEvents()
                time.sleep(0.01)

    def take(self, name: str, theme: str = "light", size: tuple[int, int] = SMALL) -> None:
        """One picture, drawn sharp."""
        window = self.window
        window.theme.choose(theme)
        window.resize(*size)
        for _ in range(10):
            self.app.processEvents()
        if window.stage.isVisible():  # else the window would be laid out as if it were
            window.stage.snapshot()
        window.notice.put_away()
        self.save(window, name)

    def save(self, widget: QWidget, name: str) -> None:
        """A widget as it stands, in 64 steps of each colour: half the size, and no eye tells."""
        path = self.folder / f"{name}.png"
        image = widget.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
        shape = (image.height(), image.bytesPerLine())
        bits = np.frombuffer(image.constBits(), np.uint8).reshape(shape)
        coarse = np.minimum(bits.astype(np.uint16) + 2, 255).astype(np.uint8) & 0xFC
        size = image.width(), image.height()
        QImage(coarse.data, *size, shape[1], QImage.Format.Format_RGB32).save(str(path), quality=0)
        print(path)

    def plot(self, key: str, against: str, name: str) -> None:
        """The plot sheet with one figure."""
        self.window.do("plot")
        sheet = self.window.actions_.sheet
        assert sheet is not None
        self.app.processEvents()
        sheet.choose(key, against)
        self.app.processEvents()
        self.save(sheet, name)
        sheet.close()


def main(folder: Path, every: bool = False) -> None:
    """The pictures of the guides; with ``every`` each state in both themes and sizes."""
    QApplication.setOrganizationName("Clearstroke pictures")
    app = QApplication(sys.argv[:1])
    dress(app)
    app.setOrganizationName("Clearstroke pictures")
    folder.mkdir(parents=True, exist_ok=True)
    camera = Photographer(app, folder)
    window, document = camera.window, camera.window.document
    camera.open("rear-in-trouble")
    document.set_travel(64.0)
    camera.take("window")
    if every:
        camera.take("window-dark", "dark")
        camera.take("window-large", size=LARGE)
        camera.take("window-large-dark", "dark", LARGE)
        window.resize(*SMALL)
    document.set_travel(0.0)
    for room in ("Mount", "Springs", "Fixes"):
        window.enter(room)
        camera.rest()
        camera.wait(lambda: not window.fixes.jobs.busy)
        camera.take(room.lower())
        if every:
            camera.take(f"{room.lower()}-large-dark", "dark", LARGE)
            window.resize(*SMALL)
    window.enter("Move")
    document.keep()
    if document.project is not None:
        document.edit(document.slide_mount(document.project, -12.0, -16.0), "slide the top mount")
    camera.rest()
    document.set_travel(64.0)
    camera.take("put-right", "dark")
    if every:
        camera.take("put-right-light")
        document.set_travel(document.limits[1])
        camera.take("limit")
    document.stack.setClean()
    camera.open("front-wishbones")
    document.set_rack(-20.0)
    camera.take("steered")
    camera.plot("camber", "map", "plot")
    window.enter("Describe")
    window.activateWindow()
    camera.rest()
    window.describe.reveal(("coilover", "spring", "outside"))
    camera.take("describe")
    document.stack.setClean()
    camera.open("rear-misread")
    window.enter("Measure")
    camera.rest()
    camera.take("measure")
    if every:
        camera.take("measure-large-dark", "dark", LARGE)
    window.close()


if __name__ == "__main__":
    words = [word for word in sys.argv[1:] if word != "--all"]
    main(Path(words[0]) if words else Path("docs/images"), "--all" in sys.argv)
