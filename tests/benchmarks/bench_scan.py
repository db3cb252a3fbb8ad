"""How long the window stands still while a large scan comes, is undone, placed, opened again.

    python -m tests.benchmarks.bench_scan [--triangles 500000]

A panel behind the wheel is dropped on the real window (under Xvfb where there is no display). A
timer of 10 ms beats meanwhile; told is how long each step took until the scan stands there, the
longest time without a beat, and the most processor time of the screen's thread between two beats,
in ms: what a busy machine makes of the first does not touch the second.

Bars: brought in within 4 s, no longer than 100 ms without a beat.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    import trimesh

    from tests.app.conftest import Driver

INBOARD = 480.0  # mm from the middle of the car


def main() -> None:
    """Print the table."""
    words = argparse.ArgumentParser()
    words.add_argument("--triangles", type=int, default=500_000)
    asked = words.parse_args()

    from tests import display

    server = display.start_if_none()
    from PySide6.QtWidgets import QApplication

    from app.window.importing import ScanCard
    from app.window.start import dress
    from app.window.window import Window
    from tests.app.conftest import Driver

    app = QApplication(["clearstroke"])
    dress(app)
    window = Window()
    window.show()
    driver = Driver(app, window)
    driver.open("rear-in-trouble")
    ScanCard.ask = lambda self: ("mm", "chassis")  # type: ignore[method-assign]
    print(f"{'ms':32}{'in all':>8}{'no beat':>9}{'thread':>8}")
    with tempfile.TemporaryDirectory() as place:
        steps(driver, Path(place), asked.triangles)
    driver.document.stack.setClean()
    window.close()
    app.shutdown()
    if server is not None:
        display.stop(server)


def steps(driver: Driver, folder: Path, triangles: int) -> None:
    """Bring it in, take it back, bring it back, place it, open a project that has it."""
    from app.window import importing
    from kinematics.project.furnish import move_part
    from kinematics.shapes import scan

    document = driver.document
    path = folder / "away" / "panel.stl"
    path.parent.mkdir()
    panel(round((triangles / 2) ** 0.5)).export(path)
    saved = folder / "car.corner.json"
    assert document.save(saved)
    driver.settle()
    document.jobs.cancel()
    timed(driver, "bring it in", lambda: importing.bring_in(driver.window, path))
    assert "panel" in driver.stage.scene.pieces
    timed(driver, "undo", document.stack.undo)
    timed(driver, "redo", document.stack.redo)
    assert document.project is not None
    moved = move_part(document.project, "panel", (0.0, -5.0, 3.0))
    timed(driver, "place it by a typed amount", lambda: document.edit(moved, "move it"))
    document.begin()
    held = move_part(moved, "panel", (0.0, -2.0, 0.0))
    timed(driver, "a step of a hand", lambda: document.drag(held))
    document.revert()
    assert document.save(saved)
    scan._remembered.cache_clear()
    timed(driver, "open a project that has it", lambda: driver.window.open(saved))
    assert "panel" in driver.stage.scene.pieces


def panel(count: int) -> trimesh.Trimesh:
    """A bumpy upright panel of 2 count² triangles."""
    import trimesh

    x, z = np.meshgrid(*(np.linspace(*ends, count + 1) for ends in ((-400, 400), (100, 800))))
    y = INBOARD + 8 * np.sin(x / 17) + 6 * np.cos(z / 23)
    first = np.arange(count)[:, None] * (count + 1) + np.arange(count)
    a, b, c, d = (first + step for step in (0, 1, count + 1, count + 2))
    faces = np.concatenate([np.stack(f, axis=-1).reshape(-1, 3) for f in ((a, b, d), (a, d, c))])
    return trimesh.Trimesh(np.stack([x, y, z], axis=-1).reshape(-1, 3), faces, process=False)


def timed(driver: Driver, name: str, act: Callable[[], object]) -> None:
    """One step's line: until its picture is drawn, and the sharp one after it."""
    from PySide6.QtCore import QTimer

    from tests.app.conftest import wait

    beats: list[tuple[float, float]] = []
    beat = QTimer(interval=10)
    beat.timeout.connect(lambda: beats.append((time.perf_counter(), time.thread_time())))
    beat.start()
    wait(driver.app, lambda: beats)
    begun = beats[-1][0]
    act()
    taken = time.perf_counter() - begun
    last = len(beats)
    wait(driver.app, lambda: len(beats) > last + 20)
    beat.stop()
    wall, own = 1e3 * np.diff(np.array(beats), axis=0).max(axis=0)
    print(f"{name:32}{1e3 * taken:8.0f}{wall:9.0f}{own:8.0f}", flush=True)
    driver.document._later.stop()
    driver.document.jobs.cancel()


if __name__ == "__main__":
    main()
