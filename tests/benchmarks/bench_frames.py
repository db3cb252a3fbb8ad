"""How long a frame takes from the mouse's move to the painted window.

    python -m tests.benchmarks.bench_frames [--size 1280x800] [--example rear-in-trouble]

Drives the real window with mouse events (under Xvfb where there is no display): the wheel is
pulled up and down, the ruler dragged, the mount slid, the view turned. A frame runs from the
event's sending to the end of the paint it caused. Prints median, 95th and 99th percentile in ms,
wall and processor time (the second says what a quiet machine would need at most).
"""

from __future__ import annotations

import argparse
import math
import os
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

    from app.start import dress
    from app.window import Window
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
    print(f"{'':24}{'median':>8}{'p95':>8}{'p99':>8}   processor, median")
    painted: list[float] = []
    window.stage.painted.connect(lambda: painted.append(time.perf_counter()))

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
        a, b, c = np.percentile(wall, [50, 95, 99])
        print(f"{name:24}{a:8.1f}{b:8.1f}{c:8.1f}{np.median(used):12.1f}")

    tyre = driver.on_tyre()
    run("pull the wheel", tyre, lambda k: QPointF(0, -24 * math.sin(k / 12)))
    run("turn the view", QPointF(60, 420), lambda k: QPointF(60 * math.sin(k / 20) + 4, 0))
    from app import live

    top = driver.spot(live.top_mount(driver.document.project))
    run("slide the mount", top, lambda k: QPointF(-20 * math.sin(k / 15), 4))
    driver.document.stack.setClean()
    window.close()
    if server is not None:
        display.stop(server)


if __name__ == "__main__":
    main()
