"""Work beside the screen's thread: its result, what it raises, and that nothing is kept after."""

from __future__ import annotations

import gc
import weakref

import pytest
from PySide6.QtWidgets import QApplication, QWidget

from app.document.aside import Stopped, Tell, aside
from kinematics.errors import ProjectError


class Held:
    """Something that the work needs."""


@pytest.mark.parametrize("fails", [False, True])
def test_what_the_work_held_is_let_go(windows: QApplication, fails: bool) -> None:
    """Also where it raised: the error knows the call, which knows its timer, which calls it."""
    window, held = QWidget(), Held()
    known = weakref.ref(held)

    def ask(held: Held) -> str:
        def work(tell: Tell, stopped: Stopped) -> str:
            tell(0.5)
            if fails:
                raise ProjectError(f"{type(held).__name__} can't be read.")
            return type(held).__name__

        try:
            return aside(window, "Reading...", work) or ""
        except ProjectError as error:
            return str(error)

    assert ask(held) == ("Held can't be read." if fails else "Held")
    del held
    gc.collect()
    assert known() is None
