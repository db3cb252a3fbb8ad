"""Python's collector of unreachable objects, kept to the screen's thread.

Run by a worker it could take apart widgets there, which the toolkit doesn't survive. While a
window is open the collector therefore only runs from a timer of the screen's own, and never while
a hand holds something.
"""

from __future__ import annotations

import gc
from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer

EVERY = 700  # ms


class Tidy(QObject):
    """Collects in the screen's thread until it is told to stop. ``busy``: not just now."""

    def __init__(self, busy: Callable[[], bool], parent: QObject) -> None:
        super().__init__(parent)
        self.busy = busy
        gc.disable()
        self._timer = QTimer(self, interval=EVERY)
        self._timer.timeout.connect(self.collect)
        self._timer.start()

    def collect(self) -> None:
        """As far as the collector itself would have, by its own thresholds."""
        if self.busy():
            return
        counts, limits = gc.get_count(), gc.get_threshold()
        due = [k for k in range(3) if limits[k] and counts[k] > limits[k]]
        if due:
            gc.collect(max(due))

    def stop(self) -> None:
        """Back to how it was."""
        self._timer.stop()
        gc.enable()
