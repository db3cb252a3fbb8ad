"""The corner stands clear of what is written over the stage."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import QPointF, QRectF

from app.stage.camera import Camera, to_pixels
from app.stage.overlay import beside
from app.window.framing import framed, outline, with_near
from tests.app.conftest import Driver

SIZE = (800, 754)


def spots(camera: Camera, points: np.ndarray) -> np.ndarray:
    return to_pixels(camera.matrix(SIZE[0] / SIZE[1]), points, *SIZE)


def test_a_box_is_moved_from_under_the_words() -> None:
    points = np.array(
        [[x, y, z] for x in (-200, 200) for y in (-200, 200) for z in (0, 500)], float
    )
    words = QRectF(20, 20, 350, 300)
    camera = framed(Camera(target=(0, 0, 250)), points, SIZE, [words])
    seen = spots(camera, points)
    assert not any(words.contains(x, y) for x, y in seen)
    assert (seen > 0).all()
    assert (seen < SIZE).all()


def test_nothing_in_the_way_moves_nothing_far() -> None:
    points = np.array([[0.0, 0.0, 250.0]])
    camera = framed(Camera(target=(0, 0, 250), height=900.0), points, SIZE, [])
    assert camera.height == 900.0


def test_the_example_stands_clear_of_its_sentences(driver: Driver) -> None:
    window = driver.window
    window._refit()
    stage = driver.stage
    points = outline(driver.stage.scene.pieces.values())
    seen = stage.spots(points)
    for box in stage.keep_clear:
        assert not any(box.contains(x, y) for x, y in seen)


@pytest.mark.parametrize("name", ["front", "side", "top"])
def test_a_square_view_shows_the_corner_large_beside_its_sentences(
    driver: Driver, name: str
) -> None:
    """Few of its points under words, rather than all of it half as large."""
    views, stage = driver.window.views, driver.stage
    camera = views.square(stage, name)
    size = stage.width(), stage.height()
    seen = to_pixels(camera.matrix(size[0] / size[1]), outline(views._corner()), *size)
    assert (np.ptp(seen, axis=0) / size).max() > 0.42
    words = [np.array([box.contains(x, y) for x, y in seen], bool) for box in stage.keep_clear]
    assert np.mean(np.any(words, axis=0)) < 0.1
    assert ((seen > 0) & (seen < size)).all()


def test_a_rack_is_shown_with_its_corner_and_a_rail_that_runs_on_is_not() -> None:
    camera = Camera().squared("front", 1.0)
    across, up = camera.axes[0], camera.axes[1]
    corner = np.array([0 * across, 600 * across, 600 * across + 700 * up])
    rack, rail = np.array([-200 * across, 0 * across]), np.array([-900 * across, 0 * across])
    assert len(with_near(camera, corner, [rail])) == len(corner)
    assert len(with_near(camera, corner, [rack, rail])) == len(corner) + len(rack)
    assert len(with_near(camera, corner[:0], [rack])) == 0


def test_the_card_by_the_hand_keeps_off_the_words_and_in_the_stage() -> None:
    stage, words = QRectF(0, 0, 800, 750), QRectF(50, 20, 320, 350)
    for x in (400.0, 560.0, 780.0):
        hand = QPointF(x, 250.0)
        box = beside(hand, (270.0, 135.0), stage, [(words, 12.0)])
        assert stage.contains(box)
        assert not box.intersects(words)
        assert not box.contains(hand)
