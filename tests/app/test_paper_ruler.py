"""The ruler on paper: no figure stands on the name of a height."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QApplication

from app.paper import ink, ruler


@pytest.mark.parametrize("height", [-12.0, -0.4, 3.0, 17.0, 44.9])
def test_no_figure_stands_on_a_name(
    windows: QApplication, monkeypatch: pytest.MonkeyPatch, height: float
) -> None:
    boxes: dict[str, QRectF] = {}

    def text(painter, x, baseline, words, type_, colour=ink.INK, align="left"):  # type: ignore[no-untyped-def]
        wide = ink.width(words, type_)
        boxes[words] = QRectF(x - wide if align == "right" else x, baseline - 9, wide, 9)
        return wide

    monkeypatch.setattr(ruler, "text", text)
    picture = QImage(200, 400, QImage.Format.Format_RGB32)
    painter = QPainter(picture)
    marks = ((height, "ride height"),)
    ruler.draw_ruler(painter, QRectF(0, 0, 120, 268), ruler.Ruler(-80.0, 80.0, "mm", marks=marks))
    painter.end()
    name = boxes.pop("ride height")
    assert len(boxes) > 5  # most figures are there
    assert not [words for words, box in boxes.items() if box.intersects(name)]
