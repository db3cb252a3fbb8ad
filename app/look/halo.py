"""Words that stand over the view: kept legible where a part or the floor lies behind them."""

from __future__ import annotations

import re
from math import cos, pi, sin

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter

from app.look.palette import Palette

AROUND = 12  # times the words are set about themselves
_UNIT = re.compile(r"(?<=\d) (?=(?:mm|in|deg|kg|lb|lbf|N)\b)")


def unbroken(text: str) -> str:
    """The same with no line break between a figure and its unit."""
    return _UNIT.sub("\u00a0", text)


def behind(p: Palette) -> QColor:
    """About the colour of the stage where words stand on it: never darker, or they look smeared."""
    if p.dark:
        return QColor(p.stage[1])
    light, edge = QColor(p.stage[0]), QColor(p.stage[1])
    return QColor(
        (light.red() + edge.red()) // 2,
        (light.green() + edge.green()) // 2,
        (light.blue() + edge.blue()) // 2,
    )


def draw_words(
    painter: QPainter, box: QRectF, flags: int, text: str, colour: str, p: Palette, reach: float
) -> None:
    """Draw words in a colour, ringed ``reach`` px wide with the stage's."""
    ring = behind(p)
    for share in (1.0, 0.5):
        painter.setPen(ring)
        for k in range(AROUND):
            angle = 2 * pi * k / AROUND
            by = reach * share * cos(angle), reach * share * sin(angle)
            painter.drawText(box.translated(*by), flags, text)
    painter.setPen(QColor(colour))
    painter.drawText(box, flags, text)
