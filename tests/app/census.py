"""What a window holds, counted by kind at rest: the same twice means that nothing was lost."""

from __future__ import annotations

import ctypes
import ctypes.util
import functools
import gc
import sys
import threading
from collections import Counter
from dataclasses import dataclass
from operator import and_
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QEvent, QObject, QRect
from PySide6.QtGui import QPixmapCache
from PySide6.QtWidgets import QApplication

from app.document import live
from app.document.jobs import Jobs
from app.statics.cases import HARDEST
from tests.app.conftest import Driver, wait
from tests.app.random_hand import close_menus

OURS = ("app.", "kinematics.", "PySide6.")
# The binding makes one of these for each of the toolkit's own objects that is asked for.
BARE = "PySide6.QtCore.QObject"
# What stands behind a label once it was told rich words: at most one a label, as long as that is.
OF_A_LABEL = {
    "QWidgetTextControl", "QTextDocument", "QTextDocumentLayout", "QTextFrame", "QTextImageHandler",
}  # fmt: skip
OPENGL = {
    "Buffers": "Buffer",
    "Textures": "Texture",
    "VertexArrays": "VertexArray",
    "Framebuffers": "Framebuffer",
    "Renderbuffers": "Renderbuffer",
}
HEAP = (
    "arena", "ordblks", "smblks", "hblks", "hblkhd", "usmblks", "fsmblks", "uordblks", "fordblks",
    "keepcost",
)  # fmt: skip


@dataclass(frozen=True)
class Census:
    """Objects by kind, and what the process holds.

    memory : MB resident, holes of the heap and pages of the libraries with it; in_use : MB asked of
    the C library and not given back (numpy, the toolkit, the driver's textures and buffers), which
    holes have no part in; blocks : Python's own small pieces of memory, which the C library is not
    asked for.
    """

    toolkit: Counter[str]
    ours: Counter[str]
    memory: float
    in_use: float
    blocks: int

    def more_than(self, before: Census) -> tuple[dict[str, int], dict[str, int]]:
        """Of what kinds there is more, and how much: the toolkit's, and Python's."""
        return dict(self.toolkit - before.toolkit), dict(self.ours - before.ours)


def least(counted: list[Census]) -> Census:
    """What was there at every one of those rests: what is lost never goes again.

    Of what is resident the most: it fills like a tank and hardly falls.
    """
    return Census(
        functools.reduce(and_, (each.toolkit for each in counted)),
        functools.reduce(and_, (each.ours for each in counted)),
        max(each.memory for each in counted),
        min(each.in_use for each in counted),
        min(each.blocks for each in counted),
    )


def census(driver: Driver) -> Census:
    """Count everything, with the window brought to rest on the example."""
    rest(driver)
    # Before the counting itself asks for some.
    memory, in_use, blocks = in_memory(), asked_for(), sys.getallocatedblocks()
    names = (o.metaObject().className() for o in driver.window.findChildren(QObject))
    toolkit = Counter(name for name in names if name not in OF_A_LABEL)
    toolkit.update(f"widget {type(w).__name__}" for w in QApplication.allWidgets())
    toolkit.update(f"thread {t.name}" for t in threading.enumerate())
    toolkit.update(names_of_the_driver(driver))
    kinds = (type(o) for o in gc.get_objects())
    ours = Counter(f"{kind.__module__}.{kind.__qualname__}" for kind in kinds)
    kept = {name: n for name, n in ours.items() if name.startswith(OURS) and name != BARE}
    return Census(toolkit, Counter(kept), memory, in_use, blocks)


def rest(driver: Driver) -> None:
    """The same state each time: the example just opened, every room shown once, nothing at work."""
    window = driver.window
    put_back(driver)
    window.theme.choose("light")
    window.setGeometry(QRect(0, 0, 1280, 800))
    driver.document.stack.setClean()
    driver.open("rear-in-trouble")
    put_back(driver)
    QApplication.clipboard().clear()
    for _ in range(2):  # the second view's buffers are as large as it last was
        window.views.beside()
        QCoreApplication.processEvents()
    for room in (*window.bar.rooms, "Move"):
        window.enter(room)
        QCoreApplication.processEvents()
        for page in (*window.statics.pages, "Ride") if room == "Springs" else ():
            window.statics.enter(page)
    wait(driver.app, lambda: not any(j.busy for j in window.findChildren(Jobs)))
    forget()


def put_back(driver: Driver) -> None:
    """Nothing held, played, measured, compared or open beside; every room on its first page."""
    window, actions = driver.window, driver.window.actions_
    close_menus()
    window.hands.escape()
    if window.help.isVisible():
        window.help.toggle()
    window.tour.end()
    if window.hands.measuring:
        window.do("distance")
    if window._play.isActive():
        window.play()
    if window.views.split:
        window.views.beside()
    if actions.sheet is not None:
        actions.sheet.set_reference(None)
        actions.sheet.choose("camber")
        actions.sheet.close()
    if driver.document.before is not None:
        driver.document.keep()
    actions.show_all()
    actions.select("")
    actions.tape.let_go()
    window.view("3d")
    window.notice.put_away()
    window.describe.go("Points")
    window.describe.set_way("plate")
    window.statics.enter("Ride")
    window.statics.cases.choose(HARDEST)  # one has more to tell than another
    window.measuring.more.compared = ""
    tools = window.fixes.tools
    tools.close_panels()
    window.fixes.which.setChecked(False)
    choice = window.fixes.choice
    for mine in choice.own:
        choice._take_back(mine)
    for tick in choice.ticks.values():
        tick.setChecked(True)
    choice.without.clear()
    for own in tools.search.over:
        tools.search._take_back(own)
    window.enter("Move")
    driver.app.processEvents()


def forget() -> None:
    """Everything let go of that only waits for it, and what caches hold up to their limit."""
    live._KEPT.clear()
    QPixmapCache.clear()
    gc.unfreeze()  # the caches of modules are among what the tests had frozen
    for _ in range(3):
        QCoreApplication.processEvents()
        # Without a loop of its own the application never gets to what is to be deleted later.
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        for cache in (o for o in gc.get_objects() if type(o) is functools._lru_cache_wrapper):
            if cache.__module__.startswith(OURS) and cache.cache_parameters()["maxsize"]:
                cache.cache_clear()
        gc.collect()


def in_memory() -> float:
    """MB this process holds, with what is free given back; 0 where there's no telling."""
    if not sys.platform.startswith("linux"):
        return 0.0
    libc = ctypes.CDLL(ctypes.util.find_library("c"))
    if hasattr(libc, "malloc_trim"):
        libc.malloc_trim(0)
    words = Path("/proc/self/statm").read_text().split()
    return int(words[1]) * 4096 / 2**20


class Heap(ctypes.Structure):
    """What glibc's mallinfo2 tells, bytes: see mallinfo(3)."""

    _fields_ = tuple((name, ctypes.c_size_t) for name in HEAP)


def asked_for() -> float:
    """MB asked of the C library in any thread and not given back; 0 where there's no telling."""
    if not sys.platform.startswith("linux"):
        return 0.0
    libc = ctypes.CDLL(ctypes.util.find_library("c"))
    if not hasattr(libc, "mallinfo2"):
        return 0.0
    libc.mallinfo2.restype = Heap
    heap = libc.mallinfo2()
    return float(heap.uordblks + heap.hblkhd) / 2**20


def names_of_the_driver(driver: Driver) -> Counter[str]:
    """How many of each of OpenGL's objects the stages have, asked of the driver name by name."""
    found: Counter[str] = Counter()
    for stage in driver.window.findChildren(type(driver.stage)):
        calls, context = (
            getattr(stage.picture, "calls", None),
            getattr(stage.picture, "context", None),
        )
        if calls is None or not context.makeCurrent(stage.picture.offscreen):
            continue
        for many, one in OPENGL.items():
            (last,) = calls.make(many)  # they are given in turn
            calls.delete(many, [last])
            address = int(context.getProcAddress(f"glIs{one}".encode()))
            is_one = ctypes.CFUNCTYPE(ctypes.c_ubyte, ctypes.c_uint)(address)
            found[f"OpenGL {one}"] += sum(is_one(name) for name in range(1, last))
    return found


def told(more: dict[str, int], most: int = 12) -> str:
    """The kinds of which most has come."""
    ranked = sorted(more.items(), key=lambda each: -each[1])[:most]
    return ", ".join(f"{count} {name}" for name, count in ranked) or "nothing"
