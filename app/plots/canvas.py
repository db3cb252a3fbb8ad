"""What a plot is drawn on in its sheet: painted once, and over it a cursor that can be dragged."""

from __future__ import annotations

from math import isfinite

from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPixmap,
    QResizeEvent,
)
from PySide6.QtWidgets import QWidget

from app.document.graphs import Graph, Map
from app.look.blank import blank
from app.look.theme import Theme
from app.paper.graph import Field, draw_graph, value_at
from app.told import told


@told
class Canvas(QWidget):
    """The plot, painted once for a state; the cursor goes over it."""

    pulled = Signal(float, float)  # travel and rack asked for, in screen units; NaN: as it is

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.theme = theme
        self.what: Graph | Map | None = None
        self.at = (0.0, 0.0)  # travel and rack, screen units
        self.field: Field | None = None
        self._still: QPixmap | None = None
        self._held = False
        self.setMinimumSize(420, 320)
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Plot")
        theme.changed.connect(self.renew)

    def show_plot(self, what: Graph | Map | None) -> None:
        """Show another plot."""
        self.what = what
        self.renew()

    def renew(self) -> None:
        """Draw it anew."""
        self._still = None
        self.update()

    def move_cursor(self, travel: float, rack: float) -> None:
        """Put the cursor where the corner is."""
        self.at = (travel, rack)
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._still = None

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._still is None:
            self._still = self._draw()
        painter = QPainter(self)
        painter.drawPixmap(0, 0, self._still)
        self._cursor(painter)
        painter.end()

    def _draw(self) -> QPixmap:
        still = blank(self, QColor(self.theme.palette.sheet))
        if self.what is not None:
            painter = QPainter(still)
            try:
                area = QRectF(self.rect())
                self.field = draw_graph(
                    painter, area, self.what, self.theme.palette, self.theme.scale
                )
            finally:
                painter.end()
        return still

    def _cursor(self, painter: QPainter) -> None:
        """The level line where the corner is, and a ring on the curve."""
        what, field = self.what, self.field
        if what is None or field is None:
            return
        p, s = self.theme.palette, self.theme.scale
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setClipRect(field.box)
        painter.setPen(QPen(QColor(p.dye), 2))
        travel, rack = self.at
        if isinstance(what, Map):
            spot = field.spot(rack, travel)
            painter.drawLine(
                QPointF(field.box.left(), spot.y()), QPointF(field.box.right(), spot.y())
            )
            painter.drawLine(
                QPointF(spot.x(), field.box.top()), QPointF(spot.x(), field.box.bottom())
            )
        elif what.axis == "travel":
            spot = field.spot(value_at(what, travel), travel)
            y = field.spot(field.across[0], travel).y()
            painter.drawLine(QPointF(field.box.left(), y), QPointF(field.box.right(), y))
        else:
            spot = field.spot(rack, value_at(what, rack))
            x = field.spot(rack, field.up[0]).x()
            painter.drawLine(QPointF(x, field.box.top()), QPointF(x, field.box.bottom()))
        if isfinite(spot.x()) and isfinite(spot.y()):  # no ring in a gap of the curve
            painter.setBrush(QColor(p.sheet))
            painter.drawEllipse(spot, 5 * s, 5 * s)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._held = True
            self._pull(event.position())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._held:
            self._pull(event.position())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._held = False

    def _pull(self, at: QPointF) -> None:
        if self.field is None or self.what is None:
            return
        across, up = self.field.values(at)
        nan = float("nan")
        if isinstance(self.what, Map):
            self.pulled.emit(up, across)
        elif self.what.axis == "travel":
            self.pulled.emit(up, nan)
        else:
            self.pulled.emit(nan, across)
