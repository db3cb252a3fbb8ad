"""One worker thread for what takes time: the newest question of a kind replaces older ones."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject, Signal

from kinematics.clearance import Cancelled
from kinematics.errors import ClearstrokeError

Progress = Callable[[float], None]
Asked = Callable[[], bool]
Job = Callable[[Progress, Asked], Any]
log = logging.getLogger(__name__)
AT_ONCE, PAUSE = 0.002, 0.006  # s


class Jobs(QObject):
    """Runs jobs one after another off the screen's thread and tells it when one is done.

    ``done`` carries the kind, the tag it was asked with and the result; ``failed`` a sentence;
    ``progressed`` the share done. A newer question of the same kind, or of a kind before it in
    ``ORDER``, takes the place of the one running.
    """

    done = Signal(str, object, object)
    failed = Signal(str, object, str)
    progressed = Signal(str, float)
    idle = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._waiting: dict[str, tuple[object, Job]] = {}
        self._running = ""
        self._cancel = threading.Event()
        self._closed = False
        self._wake = threading.Condition()
        self._thread = threading.Thread(target=self._run, name="jobs", daemon=True)
        self._thread.start()

    def ask(self, kind: str, tag: object, job: Job, ahead: bool = False) -> None:
        """Run ``job(progress, cancelled)``; one of the same kind still waiting is dropped.

        ``ahead`` also stops whatever runs now, of any kind, and goes before what waits.
        """
        with self._wake:
            if self._running == kind or ahead:
                self._cancel.set()
            self._waiting.pop(kind, None)
            if ahead:
                self._waiting = {kind: (tag, job), **self._waiting}
            else:
                self._waiting[kind] = (tag, job)
            self._wake.notify()

    def cancel(self, kind: str | None = None) -> None:
        """Drop what waits and stop what runs, of one kind or all.

        It is told at once that nothing runs any more: what the worker still does until it looks
        up is of no interest to anyone.
        """
        with self._wake:
            if kind is None:
                self._waiting.clear()
                self._cancel.set()
            else:
                self._waiting.pop(kind, None)
                if self._running == kind:
                    self._cancel.set()
            over = not self._waiting and self._cancel.is_set()
        if over and not self._closed:
            self.idle.emit()

    @property
    def busy(self) -> str:
        """The kind of job that runs or is next, or nothing."""
        with self._wake:
            return self._running or next(iter(self._waiting), "")

    def close(self) -> None:
        """Stop everything and wait for the thread to end."""
        with self._wake:
            self._closed = True
            self._waiting.clear()
            self._cancel.set()
            self._wake.notify()
        self._thread.join(timeout=5)

    def _run(self) -> None:
        while True:
            with self._wake:
                while not self._waiting and not self._closed:
                    self._wake.wait()
                if self._closed:
                    return
                kind = next(iter(self._waiting))
                tag, job = self._waiting.pop(kind)
                self._running = kind
                self._cancel.clear()
            self._do(kind, tag, job)
            del tag, job  # and with them the studies they hold: the next may be long to come
            with self._wake:
                self._running = ""
                last = not self._waiting and not self._closed
            if last:
                self.idle.emit()

    def _do(self, kind: str, tag: object, job: Job) -> None:
        def progress(share: float) -> None:
            if not self._closed and not self._cancel.is_set():
                self.progressed.emit(kind, share)

        try:
            result = job(progress, self._cancel.is_set)
        except Cancelled:
            return
        except ClearstrokeError as error:
            self.failed.emit(kind, tag, str(error))
        except Exception:
            # A job's failure must be told; the window goes on with what it has.
            log.exception("The job %r failed.", kind)
            self.failed.emit(kind, tag, "This couldn't be worked out; the log says more.")
        else:
            if not self._cancel.is_set() and not self._closed:
                self.done.emit(kind, tag, result)


def gently(cancelled: Asked) -> Asked:
    """The same question; who asks it in the course of some work rests a while now and then.

    Python runs one thread at a time: work beside a hand that moves is to take a little from every
    frame rather than much from one.
    """
    begun = time.thread_time()

    def asked() -> bool:
        nonlocal begun
        if time.thread_time() - begun > AT_ONCE:
            time.sleep(PAUSE)
            begun = time.thread_time()
        return cancelled()

    return asked
