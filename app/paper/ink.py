"""What everything on paper is drawn with: the light colours, type, pens and hatching."""

from __future__ import annotations

import math
import re
from functools import cache
from typing import Literal

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetricsF,
    QPaintEngine,
    QPainter,
    QPainterPath,
    QPen,
)

from app.look.palette import LIGHT
from app.look.type import font, load_fonts

PAPER = QColor("#FFFFFF")
SHEET, GROUND, HAIR = QColor(LIGHT.sheet), QColor(LIGHT.ground), QColor(LIGHT.hair)
INK, INK2, INK3 = QColor(LIGHT.ink), QColor(LIGHT.ink2), QColor(LIGHT.ink3)
DYE, CLEAR = QColor(LIGHT.dye), QColor(LIGHT.clear)
NEAR, NEAR_FILL, NEAR_WASH = QColor(LIGHT.near), QColor(LIGHT.near_fill), QColor(LIGHT.near_wash)
TOUCH, TOUCH_FILL = QColor(LIGHT.touch), QColor(LIGHT.touch_fill)
TOUCH_WASH = QColor(LIGHT.touch_wash)

Align = Literal["left", "right", "middle"]


@cache
def _families() -> None:
    load_fonts()


@cache
def face(pixels: float, weight: int = 400, condensed: bool = False) -> QFont:
    """Our typeface at ``pixels`` (96 to the inch), set by its true widths, as print needs."""
    _families()
    made = QFont(font(pixels, weight, condensed))
    # Figures of equal width and joined letters are glyphs that a PDF can't be searched for.
    made.unsetFeature(QFont.Tag("tnum"))
    made.setFeature(QFont.Tag("liga"), 0)
    made.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return made


def width(words: str, type_: QFont) -> float:
    """How wide the words are, px."""
    return QFontMetricsF(type_).horizontalAdvance(words)


def text(
    painter: QPainter,
    x: float,
    baseline: float,
    words: str,
    type_: QFont,
    ink: QColor = INK,
    align: Align = "left",
) -> float:
    """Write the words with their baseline at ``baseline``; return their width.

    In SVG they become outlines, since the reader's machine may lack the typeface.
    """
    wide = width(words, type_)
    x -= {"left": 0.0, "right": wide, "middle": wide / 2}[align]
    if painter.paintEngine().type() == QPaintEngine.Type.SVG:
        path = QPainterPath()
        path.addText(x, baseline, type_, words)
        painter.fillPath(path, ink)
    else:
        painter.setFont(type_)
        painter.setPen(ink)
        painter.drawText(QPointF(x, baseline), words)
    return wide


def within(painter: QPainter, box: QRectF, flags: Qt.AlignmentFlag, words: str) -> None:
    """Write the words in a box in the painter's type and ink; in SVG as `text` does.

    Upright they stand in the middle of it.
    """
    if painter.paintEngine().type() != QPaintEngine.Type.SVG:
        painter.drawText(box, flags | Qt.AlignmentFlag.AlignVCenter, words)
        return
    measure = QFontMetricsF(painter.font())
    baseline = box.center().y() + (measure.ascent() - measure.descent()) / 2
    align: Align = "left"
    x = box.left()
    if flags & Qt.AlignmentFlag.AlignRight:
        x, align = box.right(), "right"
    elif flags & Qt.AlignmentFlag.AlignHCenter:
        x, align = box.center().x(), "middle"
    text(painter, x, baseline, words, painter.font(), painter.pen().color(), align)


def wrapped(words: str, type_: QFont, wide: float) -> list[str]:
    """The words broken into lines no wider than ``wide``."""
    lines = [""]
    # A figure and its unit stay together.
    for word in re.sub(r"(\d) (mm|in|N|kN|lbf|lb|kg)\b", "\\1\u00a0\\2", words).split(" "):
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and width(longer, type_) > wide:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


def line(ink: QColor, wide: float = 1.0, dashes: tuple[float, ...] = ()) -> QPen:
    """A pen with flat ends, so that a drawn length is its true length."""
    pen = QPen(ink, wide, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap, Qt.PenJoinStyle.RoundJoin)
    if dashes:
        pen.setDashPattern([d / wide for d in dashes])
    return pen


def hatch(painter: QPainter, area: QRectF, ink: QColor, step: float = 6, up: bool = True) -> None:
    """Slanted lines over an area, as true lines rather than a pattern of pixels."""
    painter.save()
    painter.setClipRect(area)
    painter.setPen(line(ink, 1.0))
    high = area.height()
    for i in range(math.ceil((area.width() + high) / step) + 1):
        x = area.left() - high + i * step
        foot, head = (area.bottom(), area.top()) if up else (area.top(), area.bottom())
        painter.drawLine(QPointF(x, foot), QPointF(x + high, head))
    painter.restore()
