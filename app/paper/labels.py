"""Curves, and a word beside each where it has the most room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from app.paper import ink
from app.paper.ink import face, text
from app.paper.scale import Scale

Seen = tuple[NDArray[np.float64], NDArray[np.float64]]
"""A curve's points on the page: px right, px down."""
ROOMY = 12.0
SHIFTS = (6.0, 13.0, 22.0)


@dataclass(frozen=True)
class Curve:
    """One line: value against travel, both (n,), gaps where the value is NaN."""

    travel: NDArray[np.float64]
    value: NDArray[np.float64]
    label: str = ""
    main: bool = True


def name_curves(
    painter: QPainter,
    area: QRectF,
    curves: Sequence[Curve],
    across: Scale,
    at: Scale,
    taken: Sequence[QRectF],
) -> None:
    """Write each curve's label beside it, clear of the other curves and of ``taken``."""
    placed = list(taken)
    seen = [(across(c.value), at(c.travel)) for c in curves]
    for curve, own in zip(curves, seen, strict=True):
        if not curve.label:
            continue
        type_ = face(12, 600 if curve.main else 400, True)
        box = _place(area, ink.width(curve.label, type_), own, seen, placed)
        if box is not None:
            placed.append(box)
            colour = ink.INK if curve.main else ink.INK2
            text(painter, box.left(), box.bottom() - 3, curve.label, type_, colour)


def _place(
    area: QRectF, size: float, own: Seen, seen: Sequence[Seen], placed: Sequence[QRectF]
) -> QRectF | None:
    """The best box for a label along its curve; None where every one is taken."""
    best: tuple[float, QRectF] | None = None
    inside = area.adjusted(2, 4, -2, -4)
    good = np.flatnonzero(np.isfinite(own[0]))
    for i in good[:: max(1, good.size // 40)].tolist():
        x, y = float(own[0][i]), float(own[1][i])
        for shift in SHIFTS:
            for left in (x + shift, x - shift - size):
                box = QRectF(left, y - 8, size, 15)
                if not inside.contains(box) or any(map(box.intersects, placed)):
                    continue
                # Room from the other curves is worth having, but not far from one's own.
                room = min(_gap(box, other) for other in seen)
                worth = min(room, ROOMY) - 0.4 * shift
                if room > 2 and (best is None or worth > best[0]):
                    best = (worth, box)
    return best[1] if best else None


def _gap(box: QRectF, seen: Seen) -> float:
    """The px between a box and a curve's points at its height."""
    x, y = seen
    near = (y > box.top() - 4) & (y < box.bottom() + 4) & np.isfinite(x)
    if not near.any():
        return 50.0
    return float(np.maximum(box.left() - x[near], x[near] - box.right()).min())
