"""An empty picture for a widget that is drawn once for a state and then only put up again."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QColor, QPixmap
from PySide6.QtWidgets import QWidget


def blank(widget: QWidget, ground: QColor | Qt.GlobalColor, wide: int | None = None) -> QPixmap:
    """As large as the widget, or so ``wide``, and as fine as its screen, filled with ``ground``."""
    ratio = widget.devicePixelRatioF()
    size = widget.size() if wide is None else QSize(wide, widget.height())
    picture = QPixmap(size * ratio)
    picture.setDevicePixelRatio(ratio)
    picture.fill(ground)
    return picture
