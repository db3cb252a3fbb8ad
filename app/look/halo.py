"""Words that stand over the view: kept legible where a part or the floor lies behind them."""

from __future__ import annotations

import re
from math import cos, pi, sin

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QStaticText, QTextOption

from app.look.palette import Palette

AROUND = 12  # times the words are set about themselves
RINGS, SOFT = 5, 0.4  # how a soft ground fades: so many steps, each of that much
_UNIT = re.compile(
    r"(?<=\d) (?=(?:mm|in|deg|kg|lb|lbf|kN|N|Hz|g|inboard|outboard|forward|rearward|up|down)\b"
    r"|\d+/\d)"
)
_PER = re.compile(r"(?<=[A-Za-z])/(?=(?:mm|in)\b)")


def unbroken(text: str) -> str:
    """The same with no line break between a figure and its unit or way, nor within a unit."""
    return _PER.sub("/\u2060", _UNIT.sub("\u00a0", text))


def behind(p: Palette) -> QColor:
    """About the colour of the stage where words stand on it: never darker, or they look smeared."""
    if p.dark:
        return QColor(p.stage[1])
    return _between(p, 0.5)


def _between(p: Palette, share: float) -> QColor:
    """The stage's colour, so much of the way from its edge to its centre."""
    centre, edge = QColor(p.stage[0]), QColor(p.stage[1])
    rest = 1 - share
    return QColor.fromRgbF(
        centre.redF() * share + edge.redF() * rest,
        centre.greenF() * share + edge.greenF() * rest,
        centre.blueF() * share + edge.blueF() * rest,
    )


def draw_words(
    painter: QPainter, box: QRectF, flags: int, text: str, colour: str, p: Palette, reach: float
) -> None:
    """Draw words in a colour, ringed ``reach`` px wide with the stage's."""
    words = QStaticText(text)  # laid out once, not two dozen times
    words.setTextFormat(Qt.TextFormat.PlainText)
    how = QTextOption(Qt.AlignmentFlag(flags) & Qt.AlignmentFlag.AlignHorizontal_Mask)
    wraps = bool(flags & Qt.TextFlag.TextWordWrap.value)
    how.setWrapMode(QTextOption.WrapMode.WordWrap if wraps else QTextOption.WrapMode.NoWrap)
    words.setTextOption(how)
    words.setTextWidth(box.width())
    words.prepare(painter.transform(), painter.font())
    x, y = box.x(), painter.boundingRect(box, flags, text).y()
    painter.setPen(behind(p))
    for share in (1.0, 0.5):
        for k in range(AROUND):
            angle = 2 * pi * k / AROUND
            by = QPointF(reach * share * cos(angle), reach * share * sin(angle))
            painter.drawStaticText(QPointF(x, y) + by, words)
    painter.setPen(QColor(colour))
    painter.drawStaticText(QPointF(x, y), words)


def soft_ground(painter: QPainter, box: QRectF, p: Palette, s: float) -> None:
    """The stage's colour behind words, fading in from a box's edge: what lies there goes quiet."""
    colour = _between(p, 0.15)  # as the stage is about there
    colour.setAlphaF(SOFT)
    painter.save()  # words are not even measured with no pen
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colour)
    for k in range(RINGS):
        less = k * 2.0 * s
        inner = box.adjusted(less, less, -less, -less)
        painter.drawRoundedRect(inner, 16 * s - less, 16 * s - less)
    painter.restore()
