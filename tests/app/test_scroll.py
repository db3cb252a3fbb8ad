"""A room's sheet is as wide, and ends at the same edge, whether or not there is more to see."""

from __future__ import annotations

from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget

from app.look.scroll import EDGE, Scroll, right_edge
from app.look.sheets import BAR


def test_the_bar_keeps_its_place(windows: QApplication) -> None:
    held = QWidget()
    column = QVBoxLayout(held)
    area = Scroll(held)
    area.resize(300, 200)
    area.show()
    windows.processEvents()
    wide, bar = area.viewport().width(), area.verticalScrollBar()
    assert not bar.isEnabled()
    tall = QWidget()
    tall.setMinimumHeight(900)
    column.addWidget(tall)
    for _ in range(3):  # it is laid out, the area told, the bar's range set
        windows.processEvents()
    assert bar.isEnabled()
    assert bar.maximum() > 0
    assert area.viewport().width() == wide
    area.close()
    area.deleteLater()
    windows.processEvents()


def test_with_its_bar_a_sheet_leaves_an_edge_as_wide_as_on_the_left() -> None:
    for scale in (1.0, 1.3, 2.0):
        assert right_edge(scale) + BAR == round(EDGE * scale)
