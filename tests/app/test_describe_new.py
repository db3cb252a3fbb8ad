"""A new corner from each ready-made arrangement: it opens, moves, and shows its clearances."""

from __future__ import annotations

import numpy as np
import pytest

from app import examples
from app.describe.pages import PAGES
from app.window.actions import STARTS
from kinematics.project.unfold import unfold
from tests.app.conftest import Driver

KNOWN = {**examples.examples(), **examples.starts()}


@pytest.mark.parametrize(("words", "name"), STARTS)
def test_a_new_corner_moves_at_once_and_every_page_opens(
    driver: Driver, words: str, name: str
) -> None:
    window, document = driver.window, driver.document
    window.actions_.begin_from(KNOWN[name])
    driver.app.processEvents()
    room = window.describe
    assert room.isVisible()
    assert document.project.title == "New corner"
    for page in PAGES:
        room.go(page.word)
        assert room.message.text() == ""
    driver.settle()
    centre = next(p for p in driver.stage.scene.pieces.values() if p.kind == "tyre").pose[2, 3]
    document.set_travel(20.0)
    moved = next(p for p in driver.stage.scene.pieces.values() if p.kind == "tyre").pose[2, 3]
    assert moved - centre == pytest.approx(20.0, abs=1e-3)
    gaps = document.study.clearances.low
    assert np.isfinite(gaps[:, gaps.shape[1] // 2]).sum() > 10
    assert document.study.findings or document.study.facts
    assert not [f for f in document.study.findings if f.kind == "contact"]
    document.set_travel(0.0)
    room.deeds.change("take the arrangement apart", unfold)
    room.go("Links")
    assert room.message.text() == ""
    assert document.project.arrangement is None
    assert all(("links", name) in room.folds for name in document.project.links)
    document.stack.undo()
    document.stack.setClean()
    window.enter("Move")
