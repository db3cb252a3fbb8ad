"""The card beside the hand stands off what the hand is there to see; words cut short are left."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtTest import QTest

from app.document import live
from app.stage.floor import WORDS, Floor, whole
from app.stage.hand_card import HandCard, wheel_boxes
from app.stage.overlay import beside
from tests.app.conftest import Driver

STAGE = QRectF(0, 0, 700, 700)


def area(a: QRectF, b: QRectF) -> float:
    both = a.intersected(b)
    return max(0.0, both.width()) * max(0.0, both.height())


@pytest.mark.parametrize("hand", [(350, 350), (30, 30), (680, 400), (350, 690)])
def test_a_card_stands_by_the_hand_inside_the_stage_and_off_what_is_shy(
    hand: tuple[int, int],
) -> None:
    at = QPointF(*hand)
    plain = beside(at, (200.0, 100.0), STAGE, [])
    assert STAGE.contains(plain)
    assert not plain.contains(at)
    off = beside(at, (200.0, 100.0), STAGE, [(plain, 20.0)])
    assert STAGE.contains(off)
    assert area(off, plain) < 0.2 * area(plain, plain)
    # It stays where it was while another place is hardly better.
    kept = plain.topLeft() - at
    assert beside(at, (200.0, 100.0), STAGE, [(plain, 0.05)], kept) == plain


def test_the_card_covers_neither_wheel_nor_marks_nor_words_while_the_mount_is_slid(
    driver: Driver, monkeypatch: pytest.MonkeyPatch
) -> None:
    stage, place = driver.stage, HandCard.place
    words_then: list[
        QRectF
    ] = []  # the sentences follow a little later, the card with the next move

    def placed(card: HandCard, *args: Any) -> None:
        words_then[:] = stage.keep_clear
        place(card, *args)

    monkeypatch.setattr(HandCard, "place", placed)
    driver.document.set_travel(driver.document.limits[1])
    seen = 0
    start = driver.spot(live.top_mount(driver.document.project))
    driver.press(start)
    for k in range(1, 9):
        driver.move(start + QPointF(-6.0 * k, 1.5 * k))
        card = stage.card.box
        assert QRectF(stage.rect()).contains(card)
        seen += len(stage.tags)
        for tag in stage.tags:
            assert not card.adjusted(-6, -6, 6, 6).contains(tag.spot)
        assert words_then
        for words in words_then:
            assert area(card, words) < 0.03 * area(card, card)
        assert not card.contains(start + QPointF(-6.0 * k, 1.5 * k))
        (wheel,) = wheel_boxes(stage)
        assert area(card, wheel) < 0.2 * area(card, card)
    assert seen
    driver.key_escape()
    driver.drop(start)
    assert stage.card.box.isEmpty()


def test_a_word_on_the_floor_is_written_where_all_of_it_is_seen() -> None:
    floor = Floor()
    wide = np.diag([1 / 700.0, 1 / 700.0, 0.0, 1.0])  # as from above: 700 mm to each edge
    assert whole(floor, wide) == (True,) * len(WORDS)
    aside = wide.copy()
    aside[1, 3] = 0.2  # the left side of the car is cut by the edge
    assert whole(floor, aside) == (True, False, True, True)
    assert whole(Floor(out=-1.0), aside) == (True, True, True, False)


def test_the_tapes_card_stands_off_the_contacts_cards(driver: Driver) -> None:
    stage, tape = driver.stage, driver.window.actions_.tape
    driver.document.set_travel(driver.document.limits[0])
    driver.key(Qt.Key.Key_D)
    for at in (driver.on_tyre(), driver.spot(np.array([190.0, 560.0, 640.0]))):
        QTest.mouseClick(stage, Qt.MouseButton.LeftButton, pos=at.toPoint())
    driver.app.processEvents()
    assert len(tape.ends) == 2
    assert stage.boxes
    card = tape.bounds(stage).intersected(tape._card(stage, tape._spots(stage)))
    assert all(area(card, box) == 0.0 for box in stage.boxes)
    driver.key(Qt.Key.Key_D)
