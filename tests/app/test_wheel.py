"""A steered wheel in the hand: what it begins with it goes on with."""

from __future__ import annotations

from PySide6.QtCore import QPointF, Qt

from app import examples
from app.hand.hands import at_edge
from tests.app.conftest import Driver, wait


def test_the_wheels_front_edge_steers_sideways_and_travels_up_and_down(driver: Driver) -> None:
    window, document, stage = driver.window, driver.document, driver.stage
    window.open(examples.examples()["front-wishbones"], example=True)
    wait(driver.app, lambda: document.study is not None)
    driver.app.processEvents()
    tyre = next(p for p in stage.scene.pieces.values() if p.kind == "tyre")
    middle = driver.spot(tyre.pose[:, 3])
    edge = next(
        at
        for right in range(0, 300, 4)
        for at in (middle + QPointF(right, 0), middle + QPointF(-right, 0))
        if (hit := stage.pick(at)) is not None and hit.piece.kind == "tyre" and at_edge(hit)
    )
    edge = QPointF(edge.toPoint())
    driver.hover(edge)
    assert stage.cursor().shape() == Qt.CursorShape.SizeAllCursor
    driver.press(edge)
    driver.move(edge + QPointF(5, 1))
    driver.move(edge + QPointF(25, 9))  # what it began with it goes on with
    assert abs(document.rack) > 3.0
    assert document.travel == 0.0
    driver.key_escape()
    driver.drop(edge)
    assert document.rack == 0.0
    driver.press(edge)
    driver.move(edge + QPointF(1, -5))
    driver.move(edge + QPointF(9, -40))
    assert document.travel > 5.0
    assert document.rack == 0.0
    driver.drop(edge)
    document.stack.setClean()
