"""The strips: figures against travel, travel upright, all sharing the ruler's level line.

The curves are drawn once to a picture when the study changes; moving the level only paints the
picture again with a line over it.
"""

from __future__ import annotations

import math

from PySide6.QtCore import QPoint, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QContextMenuEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPixmap,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QMenu, QToolTip, QWidget

from app.document.board import EMPTY, Board, Curve
from app.look import numbers
from app.look.blank import blank
from app.look.menu import Menu
from app.look.palette import State
from app.look.signs import draw_sign, hatch
from app.look.theme import Theme
from app.look.type import font, metrics
from app.plots.lines import draw_curve, look_of, on_pixel
from app.plots.spans import axis_decimals, reading, span
from app.plots.upright import FOOTER, HEADER, Upright, upright
from app.told import told

STRIP = 118
FIRST_CHOICE = ("clearance", "camber", "toe", "damper", "motion_ratio", "track_change")


@told
class Strips(QWidget):
    """As many strips as fit, each chosen from its heading."""

    pulled = Signal(float)
    released = Signal()
    nudged = Signal(float)
    chosen = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self.board: Board = EMPTY
        self.before: Board | None = None
        self.keys: list[str] = list(FIRST_CHOICE)
        self.count = 3
        self.level = 0.0
        self.here: dict[str, float] = {}
        self.past = 0.0
        self.worst = State.UNKNOWN
        self._still: QPixmap | None = None
        self._drawn: dict[tuple[object, ...], QPixmap] = {}  # columns
        self._held = False
        self.at = 0  # the heading the keys are at
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setAccessibleName("Figures against travel")
        self.setAccessibleDescription("Left and right go through the headings, Enter chooses")
        theme.changed.connect(self.renew)
        self.renew()

    def show_board(self, board: Board, before: Board | None = None) -> None:
        """Show another study; ``before`` stays as dashed curves."""
        self.board, self.before = board, before
        for key in (*FIRST_CHOICE, *board.curves):
            if key not in self.keys and key in board.curves:
                self.keys.append(key)
        self._still = None
        self.update()

    def set_level(self, travel: float, worst: State, past: float = 0.0) -> None:
        """Move the level; headings read out the figures there."""
        if (travel, worst, past) == (self.level, self.worst, self.past):
            return
        before = self._level_box()
        self.level, self.worst, self.past = travel, worst, past
        self.update(before.united(self._level_box()).toAlignedRect())
        self.update(0, 0, self.width(), round(HEADER * self.theme.scale))

    def set_here(self, figures: dict[str, float]) -> None:
        """Figures at the level that the curves, of another steer, don't pass through."""
        if figures != self.here:
            self.here = figures
            self.update()

    def set_count(self, count: int) -> None:
        """How many strips stand side by side."""
        self.count, self.at = count, min(self.at, count - 1)
        self.renew()

    def renew(self) -> None:
        """Take up a change of theme or scale."""
        self.setFixedWidth(round(STRIP * self.theme.scale * self.count))
        self._still = None
        self.update()

    @property
    def scale(self) -> Upright:
        """Travel to height, as the ruler has it."""
        return upright(self.board, self.height(), self.theme.scale)

    def shown(self) -> list[Curve]:
        """The curves on show, left to right.

        One that is not known just now, as while a mount slides, keeps its place for later.
        """
        known = [self.board.curves[k] for k in self.keys if k in self.board.curves]
        return known[: self.count]

    def put(self, place: int, key: str) -> None:
        """Show the figure ``key`` in a place; if it is shown elsewhere the two change places."""
        shown = self.shown()
        here = self.keys.index(shown[min(place, len(shown) - 1)].key)
        other = self.keys.index(key)
        self.keys[here], self.keys[other] = self.keys[other], self.keys[here]
        self._still = None
        self.update()
        self.chosen.emit()

    # --- the hand -------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() != Qt.MouseButton.LeftButton:
            return
        if event.position().y() < HEADER * self.theme.scale:
            self._choose(self._place(event.position().x()), event.globalPosition().toPoint())
            return
        self._held = True
        self.pulled.emit(self.scale.travel(event.position().y()))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._held:
            self.pulled.emit(self.scale.travel(event.position().y()))
            return
        heading = event.position().y() < HEADER * self.theme.scale
        self.setCursor(
            Qt.CursorShape.PointingHandCursor if heading else Qt.CursorShape.SizeVerCursor
        )
        shown = self.shown()
        place = self._place(event.position().x())
        if heading and place < len(shown):
            QToolTip.showText(event.globalPosition().toPoint(), shown[place].help, self)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Through the headings, and another figure; the rest the window's keys know."""
        key = Qt.Key(event.key())
        if key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            self.at = (self.at + (1 if key == Qt.Key.Key_Right else -1)) % self.count
            self.update()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            s = self.theme.scale
            below = QPoint(round(self.at * STRIP * s), round(HEADER * s))
            self._choose(self.at, self.mapToGlobal(below))
        else:
            event.ignore()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self._held:
            self._held = False
            self.released.emit()

    def wheelEvent(self, event: QWheelEvent) -> None:
        self.nudged.emit(event.angleDelta().y() / 120)
        event.accept()

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        self._choose(self._place(event.x()), event.globalPos())

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._still = None

    def _place(self, x: float) -> int:
        return min(self.count - 1, max(0, int(x / (STRIP * self.theme.scale))))

    def _choose(self, place: int, at: QPoint) -> None:
        menu = Menu(self.theme, self)
        groups: dict[str, QMenu] = {}
        shown = self.shown()
        for key, curve in self.board.curves.items():
            if curve.group and curve.group not in groups:
                groups[curve.group] = menu.addMenu(curve.group)
            action = groups.get(curve.group, menu).addAction(curve.title)
            action.setCheckable(True)
            action.setChecked(place < len(shown) and shown[place].key == key)
            action.triggered.connect(lambda _=False, k=key: self.put(place, k))
        menu.popup(at)
        menu.aboutToHide.connect(menu.deleteLater)

    # --- painting -------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._still is None:
            self._still = self._draw_still()
        painter = QPainter(self)
        painter.drawPixmap(0, 0, self._still)
        if event.rect().top() < HEADER * self.theme.scale:
            self._draw_headings(painter)
        self._draw_level(painter)
        painter.end()

    def _columns(self) -> list[tuple[Curve, QRectF]]:
        wide = STRIP * self.theme.scale
        return [(c, QRectF(i * wide, 0, wide, self.height())) for i, c in enumerate(self.shown())]

    def _draw_still(self) -> QPixmap:
        s, p, scale = self.theme.scale, self.theme.palette, self.scale
        still = blank(self, QColor(p.sheet))
        painter = QPainter(still)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        top = QRectF(0, HEADER * s, self.width(), scale.top - HEADER * s)
        bottom = QRectF(0, scale.bottom, self.width(), self.height() - FOOTER * s - scale.bottom)
        for box in (top, bottom):
            painter.fillRect(box, QColor(p.ground))
            painter.fillRect(box, hatch(p.hair, 4 * s, rising=False))
        self._draw_bands(painter)
        for stop in self.board.stops:
            pen = QPen(QColor(p.ink3), 1)
            pen.setDashPattern([1, 3])
            painter.setPen(pen)
            y = float(scale.y(stop.travel))
            painter.drawLine(QPointF(0, y), QPointF(self.width(), y))
        drawn, self._drawn = self._drawn, {}
        ratio = self.devicePixelRatioF()
        for curve, column in self._columns():
            key = self._look(curve)
            picture = drawn[key] if key in drawn else self._draw_column(curve, column)
            self._drawn[key] = picture
            painter.drawPixmap(on_pixel(column.topLeft(), ratio), picture)
        painter.setPen(QPen(QColor(p.hair), 1))
        wide = STRIP * s
        for i in range(self.count):
            head = 18 * s if i else 0
            painter.drawLine(QPointF(i * wide + 0.5, head), QPointF(i * wide + 0.5, self.height()))
        painter.end()
        return still

    def _look(self, curve: Curve) -> tuple[object, ...]:
        """What a column's picture was drawn for: a hand that steers or slides changes but some."""
        now = look_of(curve, self.board), look_of(self.before_curve(curve), self.before)
        look = self.theme.palette.dark, self.theme.scale, self.devicePixelRatioF(), self.height()
        return curve.key, *now, self.scale, *look

    def _draw_column(self, curve: Curve, column: QRectF) -> QPixmap:
        """A column's curves, its axis and title, in a picture of its own."""
        picture = blank(self, Qt.GlobalColor.transparent, math.ceil(column.width()))
        painter = QPainter(picture)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(0.0, 0.0, column.width(), column.height())
        draw_curve(painter, curve, box, self)
        self._draw_axis(painter, curve, box)
        self._draw_title(painter, curve, box)
        painter.end()
        return picture

    def _draw_bands(self, painter: QPainter) -> None:
        """The ruler's bands run on behind the curves."""
        p, scale = self.theme.palette, self.scale
        for band in self.board.bands:
            top, bottom = float(scale.y(band.high)), float(scale.y(band.low))
            box = QRectF(0, top, self.width(), bottom - top)
            if band.state is State.TOUCH:
                painter.fillRect(box, QColor(p.touch_wash))
                inner = bottom if band.low > 0 else top
                painter.setPen(QPen(QColor(p.touch), 1))
                painter.drawLine(QPointF(0, inner), QPointF(self.width(), inner))
            elif band.state is State.NEAR:
                painter.fillRect(box, QColor(p.near_wash))

    def _draw_axis(self, painter: QPainter, curve: Curve, column: QRectF) -> None:
        s, p = self.theme.scale, self.theme.palette
        low, high = span(curve, self.before_curve(curve))
        x0, x1 = column.left() + 10 * s, column.right() - 10 * s
        base = self.height() - FOOTER * s
        painter.setFont(font(13 * s, 500))
        painter.setPen(QColor(p.ink2))
        digits = axis_decimals(low, high)
        last = -1e9
        for tick in numbers.nice_ticks(low, high, 3):
            x = x0 + (tick - low) / (high - low) * (x1 - x0)
            text = numbers.plain(tick, digits)
            half = metrics(13 * s, 500).horizontalAdvance(text) / 2
            x_text = min(max(x, column.left() + half + 2), column.right() - half - 2)
            if x_text - half < last + 5 * s:
                continue
            last = x_text + half
            painter.drawText(
                QRectF(x_text - half - 2, base + 3 * s, 2 * half + 4, 20 * s),
                Qt.AlignmentFlag.AlignCenter,
                text,
            )

    def before_curve(self, curve: Curve) -> Curve | None:
        return self.before.curves.get(curve.key) if self.before else None

    def _draw_title(self, painter: QPainter, curve: Curve, column: QRectF) -> None:
        s = self.theme.scale
        x = column.left() + 10 * s
        face = metrics(13 * s, 600)
        room = column.right() - x - 6 * s
        painter.setFont(font(13 * s, 600))
        painter.setPen(QColor(self.theme.palette.ink2))
        title = face.elidedText(curve.title, Qt.TextElideMode.ElideRight, int(room))
        painter.drawText(QPointF(x, 34 * s), title)
        if curve.note:  # in the room left over the heading
            painter.setFont(font(12 * s, 500))
            painter.setPen(QColor(self.theme.palette.ink3))
            painter.drawText(QPointF(x, 17 * s), f"drawn for {curve.note}")

    def _draw_headings(self, painter: QPainter) -> None:
        """The figures at the level."""
        s, p = self.theme.scale, self.theme.palette
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for k, (curve, column) in enumerate(self._columns()):
            x = column.left() + 10 * s
            if self.hasFocus() and k == self.at:
                line = QRectF(x, 68 * s, column.width() - 20 * s, 2.4 * s)
                painter.fillRect(line, QColor(p.dye))
            value = self.value(curve)
            if curve.key == "clearance":
                value = numbers.rounded_down(value, curve.decimals)
            text = numbers.plain(value, curve.decimals, curve.signed)
            painter.setFont(font(23 * s, 600))
            painter.setPen(QColor(p.ink))
            painter.drawText(QPointF(x, 61 * s), text)
            wide = metrics(23 * s, 600).horizontalAdvance(text)
            painter.setFont(font(14 * s, 500))
            painter.setPen(QColor(p.ink2))
            if curve.key == "clearance" and wide > 58 * s:
                pass  # the sign of the state needs the room
            elif curve.unit.startswith("°"):  # the sign stands as high as the figure
                painter.setFont(font(23 * s, 500))
                painter.drawText(QPointF(x + wide + s, 61 * s), "°")
                painter.setFont(font(14 * s, 500))
                painter.drawText(QPointF(x + wide + 11 * s, 61 * s), curve.unit[1:])
            else:
                painter.drawText(QPointF(x + wide + 4 * s, 61 * s), curve.unit)
            if curve.key == "clearance":
                at = QPointF(column.right() - 17 * s, 54 * s)
                draw_sign(painter, p, self.worst, at, 7.5 * s)

    def value(self, curve: Curve) -> float:
        """The figure at the level: the curve's main line there, NaN where it is unknown."""
        if curve.key in self.here:
            return self.here[curve.key]
        main = next((line for line in curve.lines if line.main), None)
        return reading(self.board, main, self.level) if main else math.nan

    def _level_box(self) -> QRectF:
        s = self.theme.scale
        y = float(self.scale.y(self.level + self.past))
        return QRectF(0, y - 9 * s, self.width(), 18 * s)

    def _draw_level(self, painter: QPainter) -> None:
        s, p, scale = self.theme.scale, self.theme.palette, self.scale
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        y = float(scale.y(self.level + self.past))
        painter.setPen(QPen(QColor(p.dye), 2))
        painter.drawLine(QPointF(0, y), QPointF(self.width(), y))
        painter.setPen(QPen(QColor(p.dye), 1.8 * s))
        painter.setBrush(QColor(p.sheet))
        for curve, column in self._columns():
            low, high = span(curve, self.before_curve(curve))
            x0, x1 = column.left() + 10 * s, column.right() - 10 * s
            for line in curve.lines:
                if not line.main:
                    continue
                value = self.value(curve)
                x = x0 + (value - low) / (high - low) * (x1 - x0)
                if math.isfinite(x) and column.left() < x < column.right():
                    painter.drawEllipse(QPointF(x, y), 4.4 * s, 4.4 * s)
