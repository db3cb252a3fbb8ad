"""The travel ruler: what stands at each height, the heights worth naming, the level to pull."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPixmap,
    QPolygonF,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QToolTip, QWidget

from app.document.board import EMPTY, Board, Stop
from app.look import numbers
from app.look.blank import blank
from app.look.palette import State
from app.look.signs import hatch, saw_block
from app.look.theme import Theme
from app.look.type import font, metrics
from app.plots.scale import height, placed, steps, tag_shape, wrapped
from app.plots.upright import FOOTER, HEADER, Upright, upright
from app.told import told
from kinematics.units import unit_of

WIDTH = 126
AT_SETUP = 0.05  # mm
FLAG = 14  # px at scale 1: half the height of the flag at the level


@told
class Ruler(QWidget):
    """Drag to move the wheel, click a mark to go there, scroll for a key's steps."""

    pulled = Signal(float)  # travel asked for, also past the limits
    released = Signal()
    jumped = Signal(float)
    nudged = Signal(float)  # notches of the mouse's wheel

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self.board: Board = EMPTY
        self.level = 0.0
        self.past = 0.0  # how far the hand pulls beyond a limit, shown, mm
        self.hovered: Stop | None = None
        self._under: list[QRectF] = []  # figures that go while the flag stands over them
        self._still: QPixmap | None = None
        self._bare: tuple[object, QPixmap] | None = None  # the same without bands, and of what
        self._held: float | None = None
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Travel")
        self.setAccessibleDescription("Wheel travel. Up and Down move it; Page keys go to marks.")
        theme.changed.connect(self.renew)
        self.renew()

    def show_board(self, board: Board) -> None:
        """Show another study or another steer."""
        self.board = board
        self._still = None
        self.update()

    def set_level(self, travel: float, past: float = 0.0) -> None:
        """Move the level line; only the strips it leaves and enters are painted again."""
        if (travel, past) == (self.level, self.past):
            return
        before = self._painted()
        self.level, self.past = travel, past
        self.update(before.united(self._painted()).toAlignedRect())

    def renew(self) -> None:
        """Take up a change of theme or scale."""
        self.setFixedWidth(round(WIDTH * self.theme.scale))
        self._still = None
        self.update()

    @property
    def scale(self) -> Upright:
        """Travel to height."""
        return upright(self.board, self.height(), self.theme.scale)

    def stops(self) -> list[float]:
        """The named heights and the limits, low to high."""
        return sorted({s.travel for s in self.board.stops} | {self.board.low, self.board.high, 0.0})

    # --- the hand -------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() != Qt.MouseButton.LeftButton:
            return
        stop = self._stop_at(event.position())
        if stop is not None:
            self.jumped.emit(stop.travel)
            return
        at = self.scale.travel(event.position().y())
        tag = self._tag_box().contains(event.position())
        self._held = self.level - at if tag else 0.0
        self.pulled.emit(at + self._held)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._held is not None:
            self.pulled.emit(self.scale.travel(event.position().y()) + self._held)
            return
        stop = self._stop_at(event.position())
        if stop is not self.hovered:
            self.hovered = stop
            self._still = None
            self.update()
        over = stop is not None or self._tag_box().contains(event.position())
        shape = Qt.CursorShape.PointingHandCursor if stop else Qt.CursorShape.SizeVerCursor
        self.setCursor(shape if over else Qt.CursorShape.ArrowCursor)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self._held is not None:
            self._held = None
            self.released.emit()

    def wheelEvent(self, event: QWheelEvent) -> None:
        self.nudged.emit(event.angleDelta().y() / 120)
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        event.ignore()  # the window's keys know travel

    def leaveEvent(self, event: object) -> None:
        if self.hovered is not None:
            self.hovered = None
            self._still = None
            self.update()
        QToolTip.hideText()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._still = None

    def _stop_at(self, at: QPointF) -> Stop | None:
        s = self.theme.scale
        if at.x() < 50 * s:
            return None
        scale = self.scale
        best = min(
            self.board.stops,
            key=lambda stop: abs(float(scale.y(stop.travel)) - at.y()),
            default=None,
        )
        if best is None or self._tag_box().contains(at):
            return None
        y = float(scale.y(best.travel))
        return best if y - 17 * s < at.y() < y + 7 * s else None

    # --- painting -------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._still is None:
            self._still = self._draw_still()
        painter = QPainter(self)
        painter.drawPixmap(0, 0, self._still)
        self._draw_tag(painter)
        painter.end()

    def _draw_still(self) -> QPixmap:
        """All but the level: drawn once per study, size and theme."""
        still = QPixmap(self._draw_bare())
        painter = QPainter(still)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._draw_bands(painter)
        painter.end()
        return still

    def _draw_bare(self) -> QPixmap:
        """What stays as it is while only the bands change, as under a sliding mount."""
        ratio, theme, board = self.devicePixelRatioF(), self.theme, self.board
        stays = replace(board, travel=EMPTY.travel, bands=(), curves={})
        of = stays, self.size(), ratio, theme.scale, theme.palette, self.hovered
        if self._bare is not None and self._bare[0] == of:
            return self._bare[1]
        bare = blank(self, QColor(theme.palette.sheet))
        painter = QPainter(bare)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._draw_heading(painter)
        self._draw_ticks(painter)
        self._draw_past(painter)
        self._draw_stops(painter)
        painter.setPen(QPen(QColor(theme.palette.hair), 1))
        painter.drawLine(QPointF(0.5, 0), QPointF(0.5, self.height()))
        painter.end()
        self._bare = of, bare
        return bare

    def _draw_heading(self, painter: QPainter) -> None:
        s, p = self.theme.scale, self.theme.palette
        painter.setPen(QColor(p.ink2))
        painter.setFont(font(13 * s, 500))
        box = QRectF(0, 18 * s, self.width(), 20 * s)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, "travel")
        painter.setPen(QColor(p.ink3))
        painter.setFont(font(13 * s, 400))
        of = f"{self.board.units}, {self.board.note}".rstrip(", ")
        painter.drawText(box.translated(0, 18 * s), Qt.AlignmentFlag.AlignCenter, of)

    def _draw_past(self, painter: QPainter) -> None:
        """Beyond the limits: hatched the other way, the reason in words."""
        s, p, scale = self.theme.scale, self.theme.palette, self.scale
        top = QRectF(0, HEADER * s, self.width(), scale.top - HEADER * s)
        bottom = QRectF(0, scale.bottom, self.width(), self.height() - FOOTER * s - scale.bottom)
        for box, reason, limit in (
            (top, self.board.high_reason, self.board.high),
            (bottom, self.board.low_reason, self.board.low),
        ):
            painter.fillRect(box, QColor(p.ground))
            painter.fillRect(box, hatch(p.hair, 4 * s, rising=False))
            if not reason:
                continue
            where = f"stops at {height(limit, self.board.units)}"
            room = self.width() - 18 * s
            # At the far end, the reason outermost: the flag stands at the limit, and a little past.
            why = wrapped(reason, font(13 * s, 600), room)
            lines = [*why, where] if box is top else [where, *why]
            high = 16 * s
            at = QRectF(9 * s, 0, room, high * len(lines))
            aside = box.height() - at.height() - 3 * s
            at.moveTop(box.bottom() - at.height() - aside if box is top else box.top() + aside)
            painter.fillRect(at.adjusted(-3 * s, -1, 0, 3 * s), QColor(p.ground))
            for i, words in enumerate(lines):
                painter.setFont(font(13 * s, 500 if words is where else 600))
                painter.setPen(QColor(p.ink2 if words is where else p.ink))
                line = QRectF(at.x(), at.y() + i * high, at.width(), high)
                flags = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
                painter.drawText(line, flags, words)
                if words is where:
                    self._under.append(line)

    def _draw_bands(self, painter: QPainter) -> None:
        s, p, scale = self.theme.scale, self.theme.palette, self.scale
        for band in self.board.bands:
            top, bottom = float(scale.y(band.high)), float(scale.y(band.low))
            if band.state is State.CLEAR:
                painter.fillRect(QRectF(27 * s, top, 4 * s, bottom - top), QColor(p.clear))
            elif band.state is State.NEAR:
                box = QRectF(19 * s, top, 12 * s, max(2.0, bottom - top))
                painter.fillRect(box, QColor(p.near_fill))
                painter.fillRect(box, hatch(p.near, 4 * s, rising=True, width=1.4))
                painter.setPen(QPen(QColor(p.near), 1.4))
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawRect(box.adjusted(0.7, 0.7, -0.7, -0.7))
            elif band.state is State.TOUCH:
                box = QRectF(9 * s, top, 22 * s, max(3.0, bottom - top))
                painter.setPen(Qt.PenStyle.NoPen)
                painter.setBrush(QColor(p.touch_fill))
                painter.drawPolygon(saw_block(box, 7 * s))
            else:
                pen = QPen(QColor(p.ink3), 2)
                pen.setDashPattern([0.1, 2.4])
                pen.setCapStyle(Qt.PenCapStyle.RoundCap)
                painter.setPen(pen)
                painter.drawLine(QPointF(29 * s, top), QPointF(29 * s, bottom))

    def _draw_ticks(self, painter: QPainter) -> None:
        s, p, scale = self.theme.scale, self.theme.palette, self.scale
        unit = unit_of("travel", self.board.units).size
        self._under.clear()
        fine, middle, coarse = steps(scale.per_mm * unit, s)
        stops = [self._stop_box(*at) for at in placed(self.board.stops, scale, 17 * s)]
        first = int(self.board.low / unit / fine) - 1
        last = int(self.board.high / unit / fine) + 1
        for i in range(first, last + 1):
            value = i * fine
            travel = value * unit
            if not self.board.low - 1e-6 <= travel <= self.board.high + 1e-6:
                continue
            y = float(scale.y(travel))
            big = abs(value / coarse - round(value / coarse)) < 1e-6
            mid = abs(value / middle - round(value / middle)) < 1e-6
            size = 19 if big else 12 if mid else 6
            painter.setPen(QPen(QColor(p.ink if big or mid else p.ink3), 1.6 if big else 1.0))
            painter.drawLine(QPointF(36 * s, y), QPointF((36 + size) * s, y))
            if big and scale.top + 6 * s < y < scale.bottom - 6 * s:
                painter.setFont(font(13 * s, 600))
                text = numbers.plain(value, 0 if coarse >= 1 else 1, sign=value != 0)
                wide = metrics(13 * s, 600).horizontalAdvance(text)
                box = QRectF(58 * s, y - 9 * s, wide + 2, 18 * s)
                if not any(box.intersects(stop.adjusted(0, 4, 0, -4)) for stop in stops):
                    painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, text)
                    self._under.append(box)

    def _ground(self, box: QRectF) -> QColor:
        """What words stand on there: the sheet, or what lies beyond the limits."""
        beyond = not self.scale.top <= box.center().y() <= self.scale.bottom
        return QColor(self.theme.palette.ground if beyond else self.theme.palette.sheet)

    def _stop_box(self, stop: Stop, y: float, low: bool) -> QRectF:
        """Where a stop's name stands; ticks leave it free."""
        s = self.theme.scale
        wide = metrics(13 * s, 500).horizontalAdvance(stop.label)
        return QRectF(self.width() - 8 * s - wide, y + s if low else y - 18 * s, wide + 2, 17 * s)

    def _draw_stops(self, painter: QPainter) -> None:
        """Names above a short line that ends in a handle at the right edge."""
        s, p, scale = self.theme.scale, self.theme.palette, self.scale
        right = float(self.width())
        for stop, y, low in placed(self.board.stops, scale, 17 * s):
            colour = QColor(p.dye if stop is self.hovered else p.ink)
            painter.setPen(QPen(colour, 1.6))
            painter.drawLine(QPointF(right - 38 * s, y), QPointF(right - 8 * s, y))
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(colour)
            tip = QPointF(right - 11 * s, y)
            painter.drawPolygon(
                QPolygonF([tip, tip + QPointF(8 * s, -4.5 * s), tip + QPointF(8 * s, 4.5 * s)])
            )
            painter.setPen(QColor(p.dye if stop is self.hovered else p.ink2))
            painter.setFont(font(13 * s, 500))
            box = self._stop_box(stop, y, low)
            painter.fillRect(box.adjusted(-2, 2, 0, -2), self._ground(box))
            painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, stop.label)

    # --- the level ------------------------------------------------------------------------

    def _tag_box(self) -> QRectF:
        s = self.theme.scale
        y = float(self.scale.y(self.level + self.past))
        return QRectF(30 * s, y - 17 * s, self.width() - 30 * s, 34 * s)

    def _painted(self) -> QRectF:
        """All that is painted at the level: the flag, and the names it moves aside."""
        room = 60 * self.theme.scale
        return self._tag_box().adjusted(-self.width(), -room, 0, room)

    def _draw_names_aside(self, painter: QPainter, flag: QRectF) -> None:
        """Names of heights that the flag would hide, above or below it."""
        s, p = self.theme.scale, self.theme.palette
        above, below = flag.top() - 2 * s, flag.bottom() + 2 * s
        painter.setFont(font(13 * s, 500))
        hidden = [
            (stop, y, box)
            for stop, y, low in placed(self.board.stops, self.scale, 17 * s)
            if (box := self._stop_box(stop, y, low)).intersects(flag.adjusted(0, -2 * s, 0, 2 * s))
        ]
        for _, _, box in hidden:
            painter.fillRect(box.adjusted(-2, 0, 0, 0), self._ground(box))
        for stop, y, box in sorted(hidden, key=lambda one: abs(one[1] - flag.center().y())):
            if stop.label == "set-up" and abs(stop.travel - self.level) < AT_SETUP:
                continue  # the flag says it
            if y <= flag.center().y() + 0.5:
                box.moveBottom(above)
                above -= box.height()
            else:
                box.moveTop(below)
                below += box.height()
            painter.fillRect(box.adjusted(-2, 0, 0, 0), self._ground(box))
            painter.setPen(QColor(p.dye if stop is self.hovered else p.ink2))
            painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, stop.label)

    def _draw_tag(self, painter: QPainter) -> None:
        s, p = self.theme.scale, self.theme.palette
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        y = float(self.scale.y(self.level + self.past))
        right = self.width() - 3 * s
        left = 31 * s
        half = FLAG * s
        flag = QRectF(left, y - half, right - left, 2 * half)
        for box in self._under:  # the flag says it, and half a figure is none
            if box.adjusted(0, 3 * s, 0, -3 * s).intersects(flag):
                painter.fillRect(box, self._ground(box))
        self._draw_names_aside(painter, flag)
        shape = tag_shape(flag, 9 * s)
        painter.setPen(QPen(QColor(p.ink if self.hasFocus() else p.sheet), 3))
        painter.setBrush(QColor(p.dye))
        painter.drawPath(shape)
        painter.setPen(QPen(QColor(p.dye), 2))
        painter.drawLine(QPointF(right, y), QPointF(self.width(), y))
        up = self.level > 0
        word = "set-up" if abs(self.level) < AT_SETUP else "bump" if up else "droop"
        value = "0" if word == "set-up" else height(self.level, self.board.units)
        big, small = font(17 * s, 700), font(13 * s, 500)
        gap = 4 * s
        wide = metrics(17 * s, 700).horizontalAdvance(value)
        word_wide = metrics(13 * s, 500).horizontalAdvance(word)
        room = right - left - 17 * s
        if wide + gap + word_wide > room:
            word, word_wide, gap = "", 0.0, 0.0
        x = left + 12 * s + (room - wide - gap - word_wide) / 2
        painter.setPen(QColor(p.on_dye))
        painter.setFont(big)
        flags = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft
        painter.drawText(QRectF(x, y - half, wide + 4, 2 * half), flags, value)
        painter.setFont(small)
        painter.drawText(QRectF(x + wide + gap, y - half + s, word_wide + 4, 2 * half), flags, word)
