"""Work beside the screen's thread that the builder waits for: what is being done, and a Stop."""

from __future__ import annotations

import math
import threading
import time
from collections.abc import Callable
from typing import Generic, TypeVar

from PySide6.QtCore import QEventLoop, Qt, QTimer
from PySide6.QtWidgets import QProgressDialog, QWidget

Made = TypeVar("Made")
Tell = Callable[[float], None]
Stopped = Callable[[], bool]
SOON = 300  # ms of work before it is told
LOOK = 10  # ms between looks at how far it is


def aside(
    window: QWidget,
    words: str,
    work: Callable[[Tell, Stopped], Made],
    drop: Callable[[Made], None] = lambda _: None,
) -> Made | None:
    """What ``work(tell, stopped)`` makes, while the view goes on being drawn; None if stopped.

    It tells the share done, and looks now and then whether it was stopped. A Stop is answered at
    once; what is made all the same is handed to ``drop``, in the worker. Raises what it raises.
    No hand reaches the window meanwhile: what comes after finds all as it was before.
    """
    job = Job(work, drop)
    waiting, look = QEventLoop(), QTimer(interval=LOOK)
    look.timeout.connect(lambda: None if job.runs else waiting.quit())
    threading.Thread(target=job.run, name="aside", daemon=True).start()
    look.start()
    # Keys and clicks of the first moments wait, and then come to nothing behind the card.
    QTimer.singleShot(SOON, waiting.quit)
    waiting.exec(QEventLoop.ProcessEventsFlag.ExcludeUserInputEvents)
    if job.runs:
        card = Progress(words, window)
        card.canceled.connect(waiting.quit)
        look.timeout.connect(lambda: card.show_share(job.share))
        card.show()
        waiting.exec()
        card.close()
        card.deleteLater()
    look.stop()
    # What it calls holds the job, the job what was raised, and that this timer: a ring through the
    # toolkit, which Python's collector can't see.
    look.timeout.disconnect()
    return job.take()


class Job(Generic[Made]):
    """What runs in the worker, and its result. ``share``: how much of it is done."""

    def __init__(self, work: Callable[[Tell, Stopped], Made], drop: Callable[[Made], None]) -> None:
        self.work, self.drop = work, drop
        self.share = 0.0
        self._found: list[Made | Exception] = []
        self._stopped = threading.Event()
        self._turn = threading.Lock()

    @property
    def runs(self) -> bool:
        """Whether there is no result yet."""
        return not self._found

    def run(self) -> None:
        """Do it; whatever is raised is kept for who asked."""
        try:
            made: Made | Exception = self.work(self._tell, self._stopped.is_set)
        except Exception as error:
            made = error
        with self._turn:
            if not self._stopped.is_set():
                self._found.append(made)
                return
        if not isinstance(made, Exception):
            self.drop(made)

    def take(self) -> Made | None:
        """The result if there is one by now; else the work is stopped."""
        with self._turn:
            if not self._found:
                self._stopped.set()
                return None
        made = self._found[0]
        if isinstance(made, Exception):
            raise made
        return made

    def _tell(self, share: float) -> None:
        self.share = share


class Progress(QProgressDialog):
    """What is being done, how far it is, and a Stop."""

    def __init__(self, words: str, window: QWidget) -> None:
        super().__init__(words, "Stop", 0, 0, window)
        self.words, self._since = words, time.monotonic() - SOON / 1000
        self.setWindowTitle("Scan")
        self.setWindowModality(Qt.WindowModality.WindowModal)
        self.setAutoClose(False)
        self.setAutoReset(False)

    def show_share(self, share: float) -> None:
        """How much is done, and how long the rest will take."""
        if share <= 0 or self.wasCanceled():
            return
        spent = time.monotonic() - self._since
        left = max(1, math.ceil(spent / share * (1 - share)))
        self.setLabelText(f"{self.words} {left} s left.")
        self.setMaximum(100)
        self.setValue(round(100 * share))
