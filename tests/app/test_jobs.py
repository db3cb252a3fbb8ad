"""The worker: the newest question wins, and a stopped one is told of at once."""

from __future__ import annotations

import threading
import time
import weakref
from collections.abc import Iterator

import pytest
from PySide6.QtWidgets import QApplication

from app.document.jobs import AT_ONCE, PAUSE, Jobs, gently
from tests.app.conftest import wait


@pytest.fixture
def jobs(app: QApplication) -> Iterator[Jobs]:
    made = Jobs()
    yield made
    made.close()


def test_a_stopped_job_is_told_of_at_once_though_it_does_not_look_up(
    app: QApplication, jobs: Jobs
) -> None:
    begun, done, idle, shares = threading.Event(), [], [], []
    jobs.done.connect(lambda kind, tag, result: done.append(result))
    jobs.idle.connect(lambda: idle.append(time.monotonic()))
    jobs.progressed.connect(lambda kind, share: shares.append(share))

    def deaf(progress, _cancelled) -> str:  # type: ignore[no-untyped-def]
        progress(0.1)
        begun.set()
        time.sleep(0.5)
        progress(0.9)
        return "late"

    jobs.ask("slow", 1, deaf)
    assert begun.wait(5.0)
    app.processEvents()
    asked = time.monotonic()
    jobs.cancel("slow")
    assert idle
    assert idle[0] - asked < 0.2
    jobs.ask("next", 2, lambda _progress, _cancelled: "next")
    wait(app, lambda: done, 5.0)
    assert done == ["next"]
    assert shares == [0.1]


def test_what_waits_goes_on_when_another_kind_is_stopped(app: QApplication, jobs: Jobs) -> None:
    idle, done = [], []
    jobs.idle.connect(lambda: idle.append(0))
    jobs.done.connect(lambda kind, tag, result: done.append(kind))
    hold = threading.Event()
    jobs.ask("first", 1, lambda _progress, _cancelled: hold.wait(5.0))
    jobs.ask("second", 1, lambda _progress, _cancelled: True)
    jobs.cancel("first")
    assert not idle  # the second is still to come
    hold.set()
    wait(app, lambda: "second" in done, 5.0)
    assert done == ["second"]


class Study:
    """Something large that a job was asked about."""


def test_what_a_job_was_asked_about_is_let_go_of_once_it_is_done(
    app: QApplication, jobs: Jobs
) -> None:
    """Not only when the next is asked for, which may be long to come."""
    about, tag = Study(), Study()
    seen, done = [weakref.ref(about), weakref.ref(tag)], []
    jobs.done.connect(lambda kind, tag, result: done.append(kind))
    jobs.ask("study", tag, lambda _progress, _cancelled, of=about: bool(of))
    del about, tag
    wait(app, lambda: done, 5.0)
    wait(app, lambda: all(ref() is None for ref in seen), 5.0)


def test_gentle_work_rests_after_a_while_and_is_still_cancelled(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    rests: list[float] = []
    monkeypatch.setattr("app.document.jobs.time.sleep", rests.append)
    over = threading.Event()
    asked = gently(over.is_set)
    assert not asked()
    assert not rests  # nothing was done yet
    begun = time.thread_time()
    while time.thread_time() - begun < 2 * AT_ONCE:
        pass
    assert not asked()
    assert rests == [PAUSE]
    over.set()
    assert asked()
    assert len(rests) == 1  # a new while has begun
