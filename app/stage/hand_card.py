"""The card beside the hand: where it stands, so that it covers neither marks nor what is held."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from app.stage import overlay

if TYPE_CHECKING:
    from app.stage.view import Extra, Stage

MARK = 16.0  # px about a mark that are to be seen
WORDS, MARKS, HELD, TAGS, WHEEL = 24.0, 30.0, 6.0, 20.0, 4.0
"""What it costs to cover a px of each."""


class HandCard:
    """``rows`` of names and figures, ``at`` the hand; none while there are no rows."""

    def __init__(self) -> None:
        self.rows: list[tuple[str, str]] = []
        self.at = QPointF()
        self.off: list[Extra] = []  # written over the stage for what is held
        self.box = QRectF()
        self._kept: QPointF | None = None  # from the hand to the card

    def place(self, stage: Stage, tags: list[overlay.Tag], boxes: list[QRectF]) -> None:
        """Find its place: along with the hand, unless it came to cover more than elsewhere."""
        if not self.rows:
            self.box, self._kept = QRectF(), None
            return
        s = stage.theme.scale
        shy = [(box, WORDS) for box in stage.keep_clear] + [(box, TAGS) for box in boxes]
        shy += [(_about(tag.spot, MARK * s), MARKS) for tag in tags]
        shy += [(extra.bounds(stage), HELD) for extra in self.off]
        shy += [(box, WHEEL) for box in wheel_boxes(stage)]
        size = overlay.hand_size(self.rows, s)
        self.box = overlay.beside(self.at, size, QRectF(stage.rect()), shy, self._kept)
        self._kept = self.box.topLeft() - self.at

    def draw(self, stage: Stage, painter: QPainter, where: QRectF) -> None:
        """The rows, where the card was placed, if that is where something is painted."""
        if self.rows and self.box.adjusted(-3, -3, 3, 3).intersects(where):
            theme = stage.theme
            overlay.draw_hand(painter, theme.palette, self.rows, self.box, theme.scale)


def wheel_boxes(stage: Stage) -> list[QRectF]:
    """Where the wheel stands on the stage, by its tyre."""
    found = []
    for piece in stage.scene.pieces.values():
        if piece.kind == "tyre" and piece.shown:
            x, y, z = np.array(piece.mesh.box, float).T
            corners = np.stack(np.meshgrid(x, y, z), axis=-1).reshape(-1, 3)
            spots = stage.spots(corners @ piece.pose[:, :3].T + piece.pose[:, 3])
            if np.isfinite(spots).all():
                low, high = spots.min(axis=0), spots.max(axis=0)
                found.append(QRectF(*low, *(high - low)))
    return found


def _about(spot: QPointF, reach: float) -> QRectF:
    return QRectF(spot.x() - reach, spot.y() - reach, 2 * reach, 2 * reach)
