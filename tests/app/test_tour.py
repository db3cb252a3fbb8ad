"""The tour: each step is done with a hand, and the next one is told."""

from __future__ import annotations

from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest

from app.document import live
from app.window.tour import STEPS
from tests.app.conftest import Driver


def test_every_step_can_be_done_by_hand(driver: Driver) -> None:
    window, document = driver.window, driver.document
    driver.key(Qt.Key.Key_F2)
    tour = window.tour
    assert tour.isVisible()
    assert tour.at == 0
    driver.settle()
    start = driver.on_tyre()
    driver.drag(start, (0, -60))
    assert tour.at == 1
    driver.key(Qt.Key.Key_J)
    assert tour.at == 2
    driver.key(Qt.Key.Key_K)
    assert tour.at == 3
    driver.drag(driver.spot(live.top_mount(document.project)), (-24, 6))
    driver.settle()
    assert tour.at == 4
    document.stack.undo()
    driver.app.processEvents()
    assert tour.at == len(STEPS) - 1
    assert tour.grab().toImage().width() > 200
    QTest.mouseClick(tour.leave, Qt.MouseButton.LeftButton)
    assert not tour.isVisible()
    document.keep()


def test_steps_can_be_skipped_and_the_tour_left(driver: Driver) -> None:
    driver.key(Qt.Key.Key_F2)
    tour = driver.window.tour
    for k in range(1, len(STEPS)):
        QTest.mouseClick(tour.next, Qt.MouseButton.LeftButton)
        assert tour.at == k
    notice = driver.window.notice
    notice.say("Written: clearance.pdf")
    assert notice.geometry().bottom() < tour.geometry().top()  # its buttons stay free
    tour.end()
    assert notice.geometry().bottom() > tour.geometry().top()
    notice.put_away()
    driver.settle()
    driver.drag(QPointF(60, 420), (30, 0))
    assert not tour.isVisible()


def test_tour_and_cards_keep_their_places_when_the_window_grows(driver: Driver) -> None:
    window, stage = driver.window, driver.stage
    driver.key(Qt.Key.Key_F2)
    driver.settle()
    stage.look(stage.camera.turned(0.3, 0.0))  # turned by hand: it is not fitted anew
    driver.document.set_travel(driver.document.limits[1])
    window.resize(1500, 900)
    driver.app.processEvents()
    assert stage.rect().contains(window.tour.geometry())
    mark = stage.scene.marks[0]
    spot = driver.spot((mark.point_a + mark.point_b) / 2)
    assert (stage.tags[0].spot - spot).manhattanLength() < 1
    window.resize(1280, 800)
    window.tour.end()
    driver.app.processEvents()
