"""How travel stands upright on the screen, the same for the ruler and every strip."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.document.board import Board

Array = NDArray[np.float64]
HEADER, FOOTER, PAST = 74, 34, 62  # px at scale 1: headings, axis figures, past the limits


@dataclass(frozen=True)
class Upright:
    """Travel to height on the screen and back; the same for the ruler and every strip."""

    low: float
    high: float
    bottom: float
    top: float

    def y(self, travel: float | Array) -> float | Array:
        """Height in px, downwards."""
        share = (np.asarray(travel) - self.low) / (self.high - self.low)
        found = self.bottom + share * (self.top - self.bottom)
        return found if found.ndim else float(found)

    def travel(self, y: float) -> float:
        """Travel in mm at a height in px."""
        share = (y - self.bottom) / (self.top - self.bottom)
        return float(self.low + share * (self.high - self.low))

    @property
    def per_mm(self) -> float:
        """Px a millimetre."""
        return (self.bottom - self.top) / (self.high - self.low)


def upright(board: Board, height: float, scale: float) -> Upright:
    """The scale for a widget of this height: room for hatched ends beyond the limits."""
    top = (HEADER + PAST) * scale
    bottom = max(top + 80 * scale, height - (FOOTER + PAST) * scale)
    low, high = board.low, board.high
    if high - low < 1e-6:
        low, high = low - 10, high + 10
    return Upright(low, high, bottom, top)
