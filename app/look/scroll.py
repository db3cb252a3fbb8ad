"""What is taller than its place, scrolled: as wide whether or not there is anything to scroll."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QScrollArea, QWidget

from app.look.sheets import BAR

EDGE = 20  # px at scale 1: between a room's edge and what it holds, on either side


class Scroll(QScrollArea):
    """The bar keeps its place, and its handle is seen only while there is more to see."""

    def __init__(self, widget: QWidget | None = None) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)
        bar = self.verticalScrollBar()
        bar.setEnabled(False)
        bar.rangeChanged.connect(lambda low, high: bar.setEnabled(high > low))
        if widget is not None:
            self.setWidget(widget)


def right_edge(s: float) -> int:
    """What a scrolled sheet leaves free on its right, so that with the bar it is an edge, px."""
    return max(0, round(EDGE * s) - BAR)
