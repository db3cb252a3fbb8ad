"""Random hands: nothing is lost, nothing grows, nothing raises; undo brings all of it back."""

from __future__ import annotations

import gc
import random

import numpy as np
import pytest
from PySide6.QtCore import QCoreApplication, QEvent, QObject, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget

from app.document import live
from kinematics.project.furnish import KINDS, add_part, copy_entry, remove_entry
from tests.app.conftest import Driver

ROOMY = 150  # objects that lists in the rooms may hold more or less of, with what was found
KEYS = (
    Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_PageUp,
    Qt.Key.Key_PageDown, Qt.Key.Key_Home, Qt.Key.Key_J, Qt.Key.Key_K, Qt.Key.Key_1, Qt.Key.Key_2,
    Qt.Key.Key_3, Qt.Key.Key_4, Qt.Key.Key_O, Qt.Key.Key_A, Qt.Key.Key_C, Qt.Key.Key_D,
    Qt.Key.Key_L, Qt.Key.Key_T, Qt.Key.Key_M, Qt.Key.Key_Escape,
)  # fmt: skip


def act(driver: Driver, dice: random.Random) -> None:
    """One thing a hand might do."""
    window, stage = driver.window, driver.stage
    what = dice.randrange(10)
    if not stage.isVisible() or not window.ruler.isVisible():
        window.enter("Move")  # the measuring sheet covers what is grabbed below
        driver.app.processEvents()
    spot = QPointF(dice.randrange(stage.width()), dice.randrange(stage.height()))
    by = (dice.uniform(-60, 60), dice.uniform(-60, 60))
    if what < 3:
        driver.key(dice.choice(KEYS))
    elif what == 3:
        driver.drag(spot, by, steps=2)
    elif what == 4:
        driver.document.set_travel(dice.uniform(-120, 120))
    elif what == 5:
        driver.drag(driver.spot(live.top_mount(driver.document.project)), by, steps=2)
    elif what == 6:
        stack = driver.document.stack
        dice.choice((stack.undo, stack.redo))()
    elif what == 7:
        window.enter(dice.choice(list(window.bar.rooms)))
    elif what == 8:
        furnish(driver, dice)
    else:
        ruler = window.ruler
        at = QPointF(dice.randrange(ruler.width()), dice.randrange(ruler.height())).toPoint()
        QTest.mouseClick(ruler, Qt.MouseButton.LeftButton, pos=at)
    driver.app.processEvents()


def furnish(driver: Driver, dice: random.Random) -> None:
    """Something added, copied or taken away; what can't be is refused."""
    project, document = driver.document.project, driver.document
    names = list(project.parts)
    way = dice.randrange(3)
    if way == 0 and len(names) < 12:
        document.edit(add_part(project, dice.choice([k for k in KINDS if k != "link"]))[0], "add")
    elif way == 1 and names and len(names) < 12:
        document.edit(copy_entry(project, "parts", dice.choice(names))[0], "copy")
    elif names:
        document.edit(remove_entry(project, "parts", dice.choice(names)), "remove")


def spree(driver: Driver, count: int, seed: int) -> None:
    """So many actions; then everything undone."""
    dice = random.Random(seed)
    project = driver.document.project
    for room in driver.window.bar.rooms:  # what they hold is made as they are entered
        driver.window.enter(room)
        driver.app.processEvents()
    driver.window.enter("Move")
    driver.settle()
    widgets = count_children(driver.window)
    for _ in range(count):
        act(driver, dice)
        pieces = driver.stage.scene.pieces.values()
        assert all(np.isfinite(p.pose).all() for p in pieces)
        assert np.isfinite(driver.document.travel)
    if driver.window.hands.measuring:
        driver.window.do("distance")
    driver.window.enter("Move")
    while driver.document.stack.canUndo():
        driver.document.stack.undo()
    assert driver.document.project == project
    driver.settle()
    low, high = driver.document.limits
    assert low - 1e-6 <= driver.document.travel <= high + 1e-6
    gc.collect()
    assert count_children(driver.window) <= widgets + ROOMY
    assert set(driver.stage.scene.pieces) == {s.name for s in live.dressed(project)}


def count_children(window: QWidget) -> int:
    # Without a loop of its own the application never gets to what is to be deleted later.
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    return len(window.findChildren(QObject))


@pytest.mark.campaign
@pytest.mark.parametrize("seed", [1, 12])  # 12 slides the mount to where no wheel can stand
def test_random_actions(driver: Driver, seed: int) -> None:
    driver.window.theme.choose("light")
    spree(driver, 150, seed)
    driver.window.theme.choose("light")


@pytest.mark.campaign
def test_two_thousand_random_actions_without_growth(driver: Driver) -> None:
    import resource

    spree(driver, 400, seed=2)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    for seed in range(3, 7):
        spree(driver, 400, seed)
    grown = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
    assert grown < 60, f"{grown:.0f} MB"
