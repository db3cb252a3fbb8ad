"""What the patterns of the map mean: only those that are on it."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.document.places import Ground, Rules
from app.look.signs import hatch
from app.look.theme import Theme
from app.look.type import font, metrics
from app.mount import chart
from app.told import told

AREAS = {
    Rules.GOOD: "all rules kept",
    Rules.NEAR: "clear, under a rule",
    Rules.TOUCH: "touches",
    Rules.JOINT: "joint past its angle",
    Rules.SPRING: "spring loose or bound",
    Rules.DAMPER: "damper or stop too soon",
    Rules.NOWHERE: "can't stand there",
}
ROW, SWATCH = 21, 18  # px at scale 1
SIZE = 13


@told
class Legend(QWidget):
    """Swatches with their words, in as many rows as they need."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.theme = theme
        self.items: tuple[tuple[str, object], ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    def show_ground(self, ground: Ground | None) -> None:
        """Explain what is on this map."""
        items: list[tuple[str, object]] = []
        if ground is not None:
            items += [(words, rule) for rule, words in AREAS.items() if rule in ground.rules]
            if ground.slots is not None:
                items.append(("slots", "slot"))
                if ground.slots.share > 0.0:
                    items.append(("slots that work", "works"))
        if tuple(items) != self.items:
            self.items = tuple(items)
            self.setAccessibleName("Legend: " + ", ".join(words for words, _ in items))
            self.updateGeometry()
            self.update()

    def _placed(self, width: int) -> list[tuple[float, float, str, object]]:
        """Where every item begins, and how many rows."""
        s = self.theme.scale
        x = y = 0.0
        placed = []
        for words, kind in self.items:
            wide = metrics(SIZE * s, 500).horizontalAdvance(words) + (SWATCH + 6 + 14) * s
            if x > 0 and x + wide - 14 * s > width:
                x, y = 0.0, y + ROW * s
            placed.append((x, y, words, kind))
            x += wide
        return placed

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        placed = self._placed(width)
        return round((placed[-1][1] if placed else 0.0) + ROW * self.theme.scale)

    def sizeHint(self) -> QSize:
        wide = max(self.width(), 1)
        return QSize(wide, self.heightForWidth(wide))

    def paintEvent(self, event: QPaintEvent) -> None:
        s, p = self.theme.scale, self.theme.palette
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for x, y, words, kind in self._placed(self.width()):
            box = QRectF(x + 0.5, y + 3 * s, SWATCH * s, (ROW - 7) * s)
            self._swatch(painter, box, kind)
            painter.setFont(font(SIZE * s, 500))
            painter.setPen(QColor(p.ink2))
            at = QRectF(x + (SWATCH + 6) * s, y, self.width(), ROW * s)
            painter.drawText(at, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, words)
        painter.end()

    def _swatch(self, painter: QPainter, box: QRectF, kind: object) -> None:
        s, p = self.theme.scale, self.theme.palette
        if isinstance(kind, Rules):
            chart.fill(painter, box, kind, p, s)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(p.ink3), 1.0))
            painter.drawRect(box)
            return
        slot = box.adjusted(1, 2 * s, -1, -2 * s)
        painter.setPen(QPen(QColor(p.ink), 1.4 * s))
        painter.setBrush(QColor(p.clear if kind == "works" else p.sheet))
        painter.drawRoundedRect(slot, slot.height() / 2, slot.height() / 2)
        if kind == "works":
            painter.setBrush(hatch(p.sheet, 5 * s, rising=True, width=1.2))
            painter.drawRoundedRect(slot, slot.height() / 2, slot.height() / 2)
