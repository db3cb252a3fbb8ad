"""How long a frame takes from the mouse's move to the painted window.

    python -m tests.benchmarks.bench_frames [--size 1280x800] [--example rear-in-trouble]

Drives the real window with mouse events (under Xvfb where there is no display): the wheel is
pulled up and down, the view turned, the mount slid, and the wheel of a front corner steered. A
frame runs from the event's sending to the end of the paint it caused. Every movement is made
``--repeats`` times; told is the time by the clock in ms, 50th, 95th and 99th percentile of the
best repeat (what a quiet machine shows) and of all of them; the same of the processor time of the
screen's thread over all repeats, which other programs disturb least; and the median of that of
all threads with those of a software OpenGL.

While the mount slides the curves' updates a second are counted too. Opening is timed in processes
of its own, from the start to the first picture of the corner, to a wheel that can be pulled and to
everything checked; the first one, which compiles what is not compiled yet, is not told.

Bars on two cores with software OpenGL, 1280 x 800, all pairs on: pulling p95 20 ms, p99 33 ms; 8
curves a second; open within 1.5 s.
"""

from __future__ import annotations

import argparse
import math
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from PySide6.QtCore import QPointF

    from tests.app.conftest import Driver

SHARES = (50, 95, 99)
STEERED = "front-wishbones"
Way = Callable[[int], "QPointF"]


def main() -> None:
    """Print the table."""
    words = argparse.ArgumentParser()
    words.add_argument("--size", default="1280x800")
    words.add_argument("--example", default="rear-in-trouble")
    words.add_argument("--frames", type=int, default=150)
    words.add_argument("--repeats", type=int, default=3)
    asked = words.parse_args()

    from tests import display

    server = display.start_if_none()
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
    print(f"{len(driver.document.study.clearances.pairs)} pairs, {os.cpu_count()} cores, {load()}")
    heads = "".join(f"{head:>24}" for head in ("best repeat", "all repeats", "screen's thread"))
    print(f"{'ms':20}{heads}{'process':>9}")
    print(f"{'':20}" + "".join(f"{f'p{share}':>8}" for share in 3 * SHARES))
    for name, start, way, mods in moves(driver):
        table(driver, name, start, way, mods, asked)
    driver.document.stack.setClean()
    window.close()
    for line in opening(asked.example, asked.repeats):
        print(line)
    app.shutdown()
    if server is not None:
        display.stop(server)


def load() -> str:
    """What else the machine does: the mean number of programs that wanted to run."""
    return "load " + " ".join(f"{mean:.1f}" for mean in os.getloadavg()[:2])


def moves(driver: Driver) -> Iterator[tuple[str, QPointF, Way, Any]]:
    """What the hand does: its name, where it takes hold, its way, the keys it holds."""
    from PySide6.QtCore import QPointF, Qt

    from app.document import live

    none = Qt.KeyboardModifier.NoModifier
    tyre = driver.on_tyre()
    yield "pull the wheel", tyre, lambda k: QPointF(0, -24 * math.sin(k / 12)), none
    yield "turn the view", QPointF(60, 420), lambda k: QPointF(60 * math.sin(k / 20) + 4, 0), none
    top = driver.spot(live.top_mount(driver.document.project))
    yield "slide the mount", top, lambda k: QPointF(-20 * math.sin(k / 15), 4), none
    driver.document.stack.setClean()
    driver.open(STEERED)
    driver.document.jobs.cancel()
    held = Qt.KeyboardModifier.ControlModifier
    yield "steer the wheel", driver.on_tyre(), lambda k: QPointF(40 * math.sin(k / 15), 0), held


def table(driver: Driver, name: str, start: QPointF, way: Way, mods: Any, asked: Any) -> None:
    """One movement's lines."""
    curves: list[float] = []
    link = driver.document.studied.connect(lambda: curves.append(time.perf_counter()))
    runs, rates = [], []
    for _ in range(asked.repeats):
        curves.clear()
        begun = time.perf_counter()
        runs.append(run(driver, start, way, mods, asked.frames))
        rates.append(len(curves) / (time.perf_counter() - begun))
        driver.settle()
        driver.document.jobs.cancel()
    driver.document.studied.disconnect(link)
    best = min(runs, key=lambda rows: float(np.percentile(rows[:, 0], 95)))
    every = np.concatenate(runs)
    columns = best[:, 0], every[:, 0], every[:, 1]
    shown = [ms for column in columns for ms in np.percentile(column, SHARES)]
    used = float(np.median(every[:, 2]))
    print(f"{name:20}" + "".join(f"{ms:8.1f}" for ms in shown) + f"{used:9.1f}  {load()}")
    if name.startswith("slide"):
        print(f"{'':20}curves {max(rates):.1f} times a second at best, {min(rates):.1f} at worst")


def run(driver: Driver, start: QPointF, way: Way, mods: Any, frames: int) -> np.ndarray:
    """Take hold, move, put back: by the clock, the screen's thread and all threads, ms. (n, 3)"""
    driver.press(start, mods)
    driver.move(start + way(0))
    driver.move(start + way(1))
    rows = []
    for k in range(2, frames):
        before = time.perf_counter(), time.thread_time(), time.process_time()
        driver.move(start + way(k))
        after = time.perf_counter(), time.thread_time(), time.process_time()
        rows.append(np.subtract(after, before) * 1e3)
    driver.key_escape()
    driver.drop(start)
    return np.array(rows)


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
        print(f"{what},{1e3 * wall},{1e3 * cpu}", flush=True)
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


def opening(example: str, repeats: int) -> Iterator[str]:
    """How long it takes to open, the best of some times after the first."""
    found: dict[str, list[tuple[float, float]]] = {}
    with tempfile.TemporaryDirectory() as compiled:
        around = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
        around["PYTHONPYCACHEPREFIX"] = compiled
        command = [sys.executable, "-c", OPENING, example]
        for turn in range(repeats + 1):
            done = subprocess.run(command, capture_output=True, check=True, text=True, env=around)
            for line in done.stdout.splitlines() if turn else ():
                what, wall, used = line.split(",")
                found.setdefault(what, []).append((float(wall), float(used)))
    for what, times in found.items():
        wall, used = np.min(times, axis=0)
        worst = np.max(times, axis=0)[0]
        yield (
            f"opening: {what:26}{wall:7.0f} ms at best, {worst:.0f} at worst; "
            f"processor {used:.0f}; {load()}"
        )


if __name__ == "__main__":
    main()
