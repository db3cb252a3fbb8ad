"""The strips: a column's picture is kept while nothing of it changes, and only then."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtWidgets import QApplication

from app.document.board import Band, Board, Curve, Line
from app.look.numbers import tick_decimals
from app.look.palette import State
from app.look.theme import Theme
from app.plots.spans import axis_decimals
from app.plots.strips import Strips

TRAVEL = np.linspace(-60.0, 60.0, 41)


def curve(key: str, values: np.ndarray) -> Curve:
    return Curve(key, key.title(), "mm", 1, (Line(values, "lower arm"),), guides=((2.0, "rule 2"),))


def board(*curves: Curve, touch: float = 50.0) -> Board:
    bands = (Band(-60.0, touch, State.CLEAR), Band(touch, 60.0, State.TOUCH))
    return Board(TRAVEL, -60.0, 60.0, bands=bands, curves={c.key: c for c in curves})


def strips(shown: Board, before: Board | None = None) -> Strips:
    made = Strips(Theme())
    made.resize(made.width(), 700)
    made.show_board(shown, before)
    return made


def test_what_is_kept_of_a_picture_is_what_would_be_drawn_anew(app: QApplication) -> None:
    gap = curve("clearance", 20.0 - 0.2 * TRAVEL)
    camber, toe = curve("camber", -1.0 - 0.02 * TRAVEL), curve("toe", 0.001 * TRAVEL**2)
    holed = replace(camber, lines=(Line(np.where(TRAVEL > 30.0, np.nan, camber.lines[0].values)),))
    first = board(gap, camber, toe)
    for now, before, kept in (
        (board(gap, camber, toe, touch=20.0), None, {"clearance", "camber", "toe"}),
        (board(curve("clearance", 12.0 - 0.1 * TRAVEL), camber, toe), None, {"camber", "toe"}),
        (board(gap, holed, toe), None, {"clearance", "toe"}),
        (replace(first, high=50.0), None, set()),
        (first, board(gap, holed, toe), set()),
    ):
        made = strips(first)
        made.grab()
        pictures = {key[0]: picture for key, picture in made._drawn.items()}
        made.show_board(now, before)
        assert made.grab().toImage() == strips(now, before).grab().toImage()
        same = {key[0] for key, picture in made._drawn.items() if picture is pictures[key[0]]}
        assert same == kept


@pytest.mark.parametrize("step", [0.0025, 0.02, 0.025, 0.25, 0.5, 1.0, 2.5, 25.0])
def test_ticks_are_written_as_they_are(step: float) -> None:
    decimals = tick_decimals(step)
    for k in range(5):
        assert float(f"{k * step:.{decimals}f}") == pytest.approx(k * step, abs=1e-12)
    assert axis_decimals(0.0, step * 3) == decimals
