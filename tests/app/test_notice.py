"""What the card at the foot says of work that goes on."""

from __future__ import annotations

import time

import pytest
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from app.look.theme import Theme
from app.window import notice
from app.window.notice import Notice


def test_what_is_left_grows_while_nothing_gets_done(
    app: QApplication, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = [100.0]
    monkeypatch.setattr(time, "monotonic", lambda: now[0])
    monkeypatch.setattr(notice, "TICK", 5)
    stage = QWidget()
    stage.resize(900, 600)
    stage.show()
    card = Notice(Theme(), stage)
    seen: list[str] = []
    card._tick.timeout.connect(lambda: seen.append(card.words))
    card.work(0.0)
    now[0] += 1.0
    card.work(0.5)
    assert "1 s left" in card.words
    now[0] += 9.0
    for _ in range(400):
        if not seen:
            QTest.qWait(5)
    assert "10 s left" in seen[-1]
    assert card.isVisible()
    card.work(-1.0)
    assert card.words == ""
    assert not card.isVisible()
    stage.close()
    stage.deleteLater()
