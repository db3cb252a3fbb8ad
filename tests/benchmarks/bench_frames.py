"""How long a frame takes from the mouse's move to the painted window.

    python -m tests.benchmarks.bench_frames [--size 1280x800] [--example rear-in-trouble]

Drives the real window with mouse events (under Xvfb where there is no display): the wheel is
pulled up and down, the view turned, the mount slid. A frame runs from the event's sending to the
end of the paint it caused. Prints median, 95th and 99th percentile of the wall time, its 5th (what
a quiet machine shows), and the median of the processor time of all threads, in ms. While the mount
slides it also counts the curves' updates a second. Opening is timed in a process of its own, from
its start to the first picture, to a wheel that can be pulled, and to everything checked.
"""

from __future__ import annotations

import argparse
import math
import os
import subprocess
import sys
import time

import numpy as np


def main() -> None:
    """Print the table."""
    words = argparse.ArgumentParser()
    words.add_argument("--size", default="1280x800")
    words.add_argument("--example", default="rear-in-trouble")
    words.add_argument("--frames", type=int, default=240)
    asked = words.parse_args()

    from tests import display

    server = display.start_if_none()
    from PySide6.QtCore import QPointF
    from PySide6.QtWidgets import QApplication

    from app.window.start import dress
    from app.window.window import Window
    from tests.app.conftest import Driver

    app = QApplication(["clearstroke"])
    dress(app)
    window = Window()
    window.resize(*(int(n) for n in asked.size.split("x")))
    window.show()
    driver = Driver(app, window)
    driver.open(asked.example)
    driver.document.jobs.cancel()  # the map, which is not what is measured
    print(f"{asked.example}, {asked.size}, stage {window.stage.width()} x {window.stage.height()},")
    print(
        f"{len(driver.document.study.clearances.pairs)} pairs, {os.cpu_count()} cores, "
        f"load {os.getloadavg()[0]:.1f}"
    )
    print(f"{'':24}{'p5':>8}{'median':>8}{'p95':>8}{'p99':>8}   processor, median")
    curves: list[float] = []
    driver.document.studied.connect(lambda: curves.append(time.perf_counter()))

    def run(name: str, start: QPointF, way) -> None:
        driver.press(start)
        driver.move(start + way(0))
        driver.move(start + way(1))
        wall, used = [], []
        for k in range(2, asked.frames):
            before, cpu = time.perf_counter(), time.process_time()
            driver.move(start + way(k))
            wall.append((time.perf_counter() - before) * 1e3)
            used.append((time.process_time() - cpu) * 1e3)
        driver.key_escape()
        driver.drop(start)
        shown = "".join(f"{ms:8.1f}" for ms in np.percentile(wall, [5, 50, 95, 99]))
        print(f"{name:24}{shown}{np.median(used):12.1f}")

    tyre = driver.on_tyre()
    run("pull the wheel", tyre, lambda k: QPointF(0, -24 * math.sin(k / 12)))
    run("turn the view", QPointF(60, 420), lambda k: QPointF(60 * math.sin(k / 20) + 4, 0))
    from app.document import live

    top = driver.spot(live.top_mount(driver.document.project))
    curves.clear()
    start = time.perf_counter()
    run("slide the mount", top, lambda k: QPointF(-20 * math.sin(k / 15), 4))
    print(f"{'':24}curves {len(curves) / (time.perf_counter() - start):.1f} times a second")
    driver.document.stack.setClean()
    window.close()
    for line in opening(asked.example):
        print(line)
    app.shutdown()
    if server is not None:
        display.stop(server)


OPENING = """
import sys, time
start, used = time.perf_counter(), time.process_time()
from PySide6.QtWidgets import QApplication
from app import examples
from app.window.start import dress
from app.window.window import Window
app = QApplication(["clearstroke"])
dress(app)
window = Window()
window.open(examples.examples()[sys.argv[1]], example=True)
window.show()
told = set()
def tell(what):
    if what not in told:
        told.add(what)
        wall, cpu = time.perf_counter() - start, time.process_time() - used
        print(f"opening: {what:28}{1e3 * wall:8.0f} ms, processor {1e3 * cpu:.0f}", flush=True)
    if what == "all checked":
        app.quit()
window.stage.painted.connect(lambda: tell("the corner is seen"))
document = window.document
pulled = "the wheel can be pulled"
document.moved.connect(lambda: tell("all checked" if document.checked else pulled))
app.exec()
document.stack.setClean()
window.close()
"""


def opening(example: str) -> list[str]:
    """How long it takes to open, twice: the second time all files are in memory."""
    command = [sys.executable, "-c", OPENING, example]
    subprocess.run(command, capture_output=True, check=True)
    done = subprocess.run(command, capture_output=True, check=True, text=True)
    return done.stdout.splitlines()


if __name__ == "__main__":
    main()
