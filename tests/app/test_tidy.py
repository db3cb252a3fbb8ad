"""Unreachable objects are collected by the screen's thread alone while a window is open."""

from __future__ import annotations

import gc
import threading
import weakref

from tests.app.conftest import Driver


class Loop:
    """Something only the collector of cycles can free."""

    def __init__(self) -> None:
        self.own = self


def test_the_collector_waits_for_the_screens_thread(driver: Driver) -> None:
    assert not gc.isenabled()
    freed_by: list[str] = []
    loop = Loop()
    weakref.finalize(loop, lambda: freed_by.append(threading.current_thread().name))
    del loop
    worker = threading.Thread(target=lambda: [[k] for k in range(200_000)])
    worker.start()
    worker.join()
    assert not freed_by
    kept = [[k] for k in range(2 * gc.get_threshold()[0])]
    driver.window.tidy.collect()
    assert len(kept) > 0
    gc.collect()
    assert freed_by == [threading.main_thread().name]


def test_not_while_a_hand_holds_something(driver: Driver) -> None:
    start = driver.on_tyre()
    driver.press(start)
    assert driver.window.tidy.busy()
    driver.key_escape()
    driver.drop(start)
    assert not driver.window.tidy.busy()
