"""The two typefaces at the sizes in use, and the one scale everything multiplies by."""

from __future__ import annotations

from functools import lru_cache

from PySide6.QtGui import QFont, QFontDatabase, QFontInfo, QFontMetricsF
from PySide6.QtWidgets import QApplication

from app.resources import assets

BODY, CONDENSED = "Barlow", "Barlow Semi Condensed"
USUAL_PIXELS = 12  # what desktops use for a 9 point font at 96 dots an inch


def load_fonts() -> None:
    """Make the shipped typefaces known; without them the system's own stand in."""
    for file in sorted((assets() / "fonts").glob("*.ttf")):
        QFontDatabase.addApplicationFont(str(file))


_scale = 1.0


def heed_system_size() -> None:
    """Note how much larger than usual the system's font is, before our own takes its place."""
    global _scale
    if QApplication.font().family() == BODY:
        return  # it has taken its place already
    pixels = QFontInfo(QApplication.font()).pixelSize()
    _scale = min(2.0, max(1.0, pixels / USUAL_PIXELS))


def user_scale() -> float:
    """How much larger than usual the user's own font size is; 1 to 2."""
    return _scale


@lru_cache(maxsize=256)
def font(pixels: float, weight: int = 400, condensed: bool = True) -> QFont:
    """A font with figures of equal width, so that a changing number doesn't dance."""
    made = QFont(CONDENSED if condensed else BODY)
    made.setPixelSize(max(9, round(pixels)))
    made.setWeight(QFont.Weight(weight))
    made.setFeature(QFont.Tag("tnum"), 1)
    return made


@lru_cache(maxsize=256)
def metrics(pixels: float, weight: int = 400, condensed: bool = True) -> QFontMetricsF:
    """The metrics of :func:`font`."""
    return QFontMetricsF(font(pixels, weight, condensed))
