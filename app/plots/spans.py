"""What a figure reads at a travel, and the range and ticks a strip gives it."""

from __future__ import annotations

import math

import numpy as np

from app.document.board import Board, Curve, Line
from app.look import numbers


def reading(board: Board, line: Line, travel: float) -> float:
    """A line's value at a travel, between samples by straight interpolation."""
    if len(board.travel) < 2:
        return float(line.values[0]) if len(line.values) else math.nan
    return float(np.interp(travel, board.travel, line.values))


def span(curve: Curve, before: Curve | None = None) -> tuple[float, float]:
    """The figure's range on the strip: its own choice, or all its main values with room."""
    if curve.span is not None:
        return curve.span
    lines = [line.values for line in curve.lines if line.main]
    if before is not None:
        lines += [line.values for line in before.lines if line.main]
    values = np.concatenate(lines) if lines else np.zeros(1)
    values = values[np.isfinite(values)]
    if not len(values):
        return 0.0, 1.0
    low, high = float(values.min()), float(values.max())
    least = 10.0**-curve.decimals * 4
    if high - low < least:
        middle = (low + high) / 2
        low, high = middle - least / 2, middle + least / 2
    room = (high - low) * 0.12
    return low - room, high + room


def axis_decimals(low: float, high: float) -> int:
    """Decimals that tell the ticks apart."""
    ticks = numbers.nice_ticks(low, high, 3)
    return numbers.tick_decimals(ticks[1] - ticks[0] if len(ticks) > 1 else sum(ticks))
