"""What every test shares: a display, one QApplication, a watch on windows and lost exceptions."""

import gc
import os
import sys
import tempfile
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

from tests import display

# The workers share the processors: matrices here are small, and threads that wait for each other
# over one cost as much again. Before numpy is loaded, here and in what the tests start.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication

# Repeatable on a shared machine: no time limit an example, the same examples in every run.
settings.register_profile("suite", deadline=None, derandomize=True)
settings.register_profile("campaign", deadline=None, max_examples=2000, print_blob=True)

_cleanup = pytest.StashKey[list]()


def pytest_configure(config: pytest.Config) -> None:
    settings.load_profile("campaign" if config.option.markexpr == "campaign" else "suite")
    cleanup = config.stash[_cleanup] = []
    # The settings and recent files of whoever runs the tests stay theirs.
    home = tempfile.TemporaryDirectory(prefix="clearstroke-tests-")
    cleanup.append(home.cleanup)
    os.environ.update(XDG_CONFIG_HOME=home.name, XDG_DATA_HOME=home.name)
    # Run in parallel, the tests are in the workers: each has a display of its own.
    hands_out = bool(getattr(config.option, "numprocesses", None))
    here = hasattr(config, "workerinput") or not hands_out
    if here and (server := display.start_if_none()):
        cleanup.append(lambda: display.stop(server))


def pytest_unconfigure(config: pytest.Config) -> None:
    for finish in reversed(config.stash.get(_cleanup, [])):
        finish()


def pytest_collection_finish() -> None:
    """What is loaded by now stays to the end: later collections needn't look through it."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session", autouse=True)
def app() -> "QApplication":
    """The one QApplication of the run, there before paper makes a lesser one for itself."""
    from PySide6.QtCore import Qt
    from PySide6.QtWidgets import QApplication

    if (existing := QApplication.instance()) is not None:
        assert isinstance(existing, QApplication)
        return existing
    # Moving a dock must not lose OpenGL items.
    QApplication.setAttribute(Qt.ApplicationAttribute.AA_ShareOpenGLContexts)
    return QApplication(["clearstroke"])


@pytest.fixture(scope="session", autouse=True)
def coarse_pictures(app: "QApplication") -> None:
    """Pictures of the corner come on paper at 96 px to the inch, drawn once: most tests read the
    words beside them. The command in a process of its own draws them fine."""
    from app.paper import corner

    corner.SHARPNESS, corner.SMOOTHING = 1.0, 1


@pytest.fixture
def windows(app: "QApplication", monkeypatch: pytest.MonkeyPatch) -> Iterator["QApplication"]:
    """For tests that open windows.

    Fails the test if a window is still shown after it, or if an exception was raised where Qt
    only prints it: in a slot, an event handler or a paint.
    """
    from PySide6.QtCore import Qt

    lost: list[BaseException] = []
    monkeypatch.setattr(sys, "excepthook", lambda kind, error, trace: lost.append(error))
    before = set(app.topLevelWidgets())
    yield app
    app.processEvents()
    gc.collect()
    app.processEvents()
    new = (w for w in app.topLevelWidgets() if w not in before and w.isVisible())
    left = [w for w in new if w.windowType() != Qt.WindowType.ToolTip]  # a tip goes by itself
    names = [f"{type(w).__name__} {w.windowTitle()!r}" for w in left]
    for widget in left:
        widget.close()
    if lost:
        raise lost[0]
    assert not left, f"windows left open: {names}"
