"""The top mount seen from above, front up: slide it, and see what was found good."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
    QPixmap,
    QPolygonF,
)
from PySide6.QtWidgets import QWidget

from app.look import numbers
from app.look.signs import diamond, hatch, star
from app.look.theme import Theme
from app.look.type import font
from app.mount.places import Ground, best_of, middle_place, told_at
from app.told import told
from kinematics.findings.phrases import Units

SIDE = 216
Array = NDArray[np.float64]


@told
class Pad(QWidget):
    """Drag the cross, or use the arrow keys when it has the focus."""

    began = Signal()
    slid = Signal(float, float)  # fore (+x) and inward mm from the start
    ended = Signal()
    cancelled = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self.reach = 40.0  # mm from the middle to the edge of what is drawn
        self.at = (0.0, 0.0)  # fore, inward from the start
        self.ground: Ground | None = None
        self.sentence = ""
        self.under = ""  # what is tightest at the place under the pointer
        self.units: Units = "mm"
        self.out = 1.0
        self._held: tuple[QPointF, tuple[float, float]] | None = None
        self._last = QPointF()
        self._drawn: object = None
        self._picture = QPixmap()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setAccessibleName("Top mount, from above")
        self.setAccessibleDescription("Arrow keys move it by 1 mm, with Shift 10, with Alt 0.1.")
        theme.changed.connect(self.renew)
        self.renew()

    def renew(self) -> None:
        """Take up a change of theme or scale."""
        s = self.theme.scale
        self.setFixedSize(round(SIDE * s), round((SIDE + 48) * s))
        self.update()

    def show_state(
        self, at: tuple[float, float], sentence: str, out: float, ground: Ground | None
    ) -> None:
        """Where the mount stands from its start, and what is known about it."""
        if (at, sentence, out, ground) != (self.at, self.sentence, self.out, self.ground):
            self.at, self.sentence, self.out, self.ground = at, sentence, out, ground
            far = max(abs(at[0]), abs(at[1])) + 8
            if self._held is None:
                self.reach = next((r for r in (40.0, 60, 100, 160, 250) if r >= far), 400.0)
            self.update()

    # --- geometry: front is up, the middle of the car on the side where it is -------------

    @property
    def _field(self) -> QRectF:
        s = self.theme.scale
        edge = 25 * s
        plate = QRectF(0, 48 * s, SIDE * s, SIDE * s)
        return plate.adjusted(edge, edge, -edge, -edge)

    def _spot(self, fore: float, inward: float) -> QPointF:
        f = self._field
        per = f.width() / 2 / self.reach
        # A left corner seen from above with the front up has its middle on the right.
        return QPointF(f.center().x() + inward * per * self.out, f.center().y() - fore * per)

    def _offset(self, at: QPointF) -> tuple[float, float]:
        f = self._field
        per = f.width() / 2 / self.reach
        return (f.center().y() - at.y()) / per, (at.x() - f.center().x()) / per * self.out

    # --- the hand -------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() != Qt.MouseButton.LeftButton:
            return
        if not self._field.adjusted(-12, -12, 12, 12).contains(event.position()):
            return
        spot = self._spot(*self.at)
        self.began.emit()
        near = (event.position() - spot).manhattanLength() < 26 * self.theme.scale
        if not near:
            self.slid.emit(*_tenths(self._offset(event.position())))
        self._held = (event.position(), self.at)
        self._last = event.position()
        self._wanted = self.at
        self.setCursor(Qt.CursorShape.ClosedHandCursor)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._held is None:
            near = (event.position() - self._spot(*self.at)).manhattanLength() < 26
            shape = Qt.CursorShape.OpenHandCursor if near else Qt.CursorShape.CrossCursor
            self.setCursor(shape)
            self._tell(event)
            return
        a, b = self._offset(event.position()), self._offset(self._last)
        self._last = event.position()
        slow = 0.1 if event.modifiers() & Qt.KeyboardModifier.AltModifier else 1.0
        fore, inward = self._wanted
        self._wanted = fore + (a[0] - b[0]) * slow, inward + (a[1] - b[1]) * slow
        wanted = self._wanted
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            start = self._held[1]
            along = abs(wanted[0] - start[0]) > abs(wanted[1] - start[1])
            wanted = (wanted[0], start[1]) if along else (start[0], wanted[1])
        self.slid.emit(*_tenths(wanted))

    def _tell(self, event: QMouseEvent) -> None:
        """Name what is tightest at the place under the pointer."""
        words = ""
        if self.ground is not None and self._field.contains(event.position()):
            words = told_at(self.ground, self._offset(event.position()), self.units)
        if words != self.under:
            self.under = words
            self.update()

    def leaveEvent(self, event: object) -> None:
        self.under = ""
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self._held is not None:
            self._held = None
            self.setCursor(Qt.CursorShape.OpenHandCursor)
            self.ended.emit()

    def escape(self) -> bool:
        """Put back what is held; whether anything was."""
        if self._held is None:
            return False
        self._held = None
        self.cancelled.emit()
        return True

    def keyPressEvent(self, event: QKeyEvent) -> None:
        ways = {
            Qt.Key.Key_Up: (1, 0),
            Qt.Key.Key_Down: (-1, 0),
            Qt.Key.Key_Right: (0, self.out),
            Qt.Key.Key_Left: (0, -self.out),
        }
        way = ways.get(Qt.Key(event.key()))
        if way is None:
            event.ignore()
            return
        mods = event.modifiers()
        step = 10.0 if mods & Qt.KeyboardModifier.ShiftModifier else 1.0
        step = 0.1 if mods & Qt.KeyboardModifier.AltModifier else step
        self.began.emit()
        self.slid.emit(*_tenths((self.at[0] + way[0] * step, self.at[1] + way[1] * step)))
        self.ended.emit()

    def focusInEvent(self, event: object) -> None:
        self.update()

    def focusOutEvent(self, event: object) -> None:
        self.update()

    # --- painting -------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        key = (self.theme.palette.dark, self.theme.scale, self.at, self.reach, self.hasFocus(),
               self.sentence, self.under, self.out, self.ground)  # fmt: skip
        if key != self._drawn:
            self._drawn = key
            self._picture = self._draw()
        painter = QPainter(self)
        painter.drawPixmap(0, 0, self._picture)
        painter.end()

    def _draw(self) -> QPixmap:
        """Drawn once for a state: the stage under it is painted many times a second."""
        s, p = self.theme.scale, self.theme.palette
        ratio = self.devicePixelRatioF()
        picture = QPixmap(self.size() * ratio)
        picture.setDevicePixelRatio(ratio)
        picture.fill(Qt.GlobalColor.transparent)
        painter = QPainter(picture)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._draw_heading(painter)
        plate = QRectF(1, 48 * s + 1, SIDE * s - 2, SIDE * s - 2)
        painter.setPen(QPen(QColor(p.dye if self.hasFocus() else p.ink3), 1.6))
        painter.setBrush(QColor(p.sheet))
        painter.drawRoundedRect(plate, 18 * s, 18 * s)
        painter.setPen(QPen(QColor(p.ink3), 1.2))
        painter.setBrush(QColor(p.ground))
        for dx in (0, 1):
            for dy in (0, 1):
                x = plate.left() + 13 * s + dx * (plate.width() - 26 * s)
                y = plate.top() + 13 * s + dy * (plate.height() - 26 * s)
                painter.drawEllipse(QPointF(x, y), 4.6 * s, 4.6 * s)
        self._draw_words(painter, plate)
        self._draw_field(painter)
        self._draw_cross(painter)
        painter.end()
        return picture

    def _draw_heading(self, painter: QPainter) -> None:
        """What it is and what to do; under the pointer, what is tightest there."""
        s, p = self.theme.scale, self.theme.palette
        if self.under:
            painter.setPen(QColor(p.ink))
            painter.setFont(font(13 * s, 500))
            flags = int(Qt.AlignmentFlag.AlignBottom) | int(Qt.TextFlag.TextWordWrap)
            painter.drawText(QRectF(1 * s, -8 * s, SIDE * s - 2, 53 * s), flags, self.under)
            return
        painter.setPen(QColor(p.ink))
        painter.setFont(font(16 * s, 600))
        painter.drawText(QPointF(1 * s, 15 * s), "Top mount")
        painter.setPen(QColor(p.ink2))
        painter.setFont(font(14 * s, 500))
        painter.drawText(QPointF(1 * s, 35 * s), self.sentence)

    def _draw_words(self, painter: QPainter, plate: QRectF) -> None:
        s, p = self.theme.scale, self.theme.palette
        painter.setFont(font(13 * s, 500))
        painter.setPen(QColor(p.ink2))
        centre = Qt.AlignmentFlag.AlignCenter
        painter.drawText(
            QRectF(plate.left(), plate.top() + 3, plate.width(), 20 * s), centre, "front"
        )
        painter.drawText(
            QRectF(plate.left(), plate.bottom() - 22 * s, plate.width(), 20 * s), centre, "rear"
        )
        words = ("outside", "middle") if self.out > 0 else ("middle", "outside")
        for word, x in zip(words, (plate.left() + 13 * s, plate.right() - 13 * s), strict=True):
            painter.save()
            painter.translate(x, plate.center().y())
            painter.rotate(-90 if x < plate.center().x() else 90)
            painter.drawText(QRectF(-60 * s, -10 * s, 120 * s, 20 * s), centre, word)
            painter.restore()

    def _draw_field(self, painter: QPainter) -> None:
        s, p = self.theme.scale, self.theme.palette
        f = self._field
        painter.save()
        painter.setClipRect(f)
        if self.ground is not None:
            painter.fillRect(f, hatch(_faint(p.touch, 90), 6 * s, rising=False))
            near = _area_path(self, self.ground, self.ground.touch, 0.0)
            good = _area_path(self, self.ground, self.ground.worst, 0.0)
            painter.fillPath(near, QColor(p.sheet))
            painter.fillPath(near, hatch(p.near_fill, 4.5 * s, rising=True, width=1.6))
            painter.fillPath(good, QColor(p.clear_fill))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(p.ink), 1.8))
            painter.drawPath(near)
            pen = QPen(QColor(p.clear), 1.8)
            pen.setDashPattern([4, 3])
            painter.setPen(pen)
            painter.drawPath(good)
            self._draw_best(painter)
        else:
            painter.setPen(QPen(QColor(p.hair), 1))
            for mm in np.arange(-self.reach, self.reach + 1, 10):
                painter.drawLine(self._spot(mm, -self.reach), self._spot(mm, self.reach))
                painter.drawLine(self._spot(-self.reach, mm), self._spot(self.reach, mm))
        painter.restore()
        painter.setPen(QColor(p.ink3))
        painter.setFont(font(13 * s, 500))
        wide = f"\u00b1{self.reach:.0f} mm"
        painter.drawText(
            f.adjusted(4, 2, -4, -2),
            Qt.AlignmentFlag.AlignBottom | Qt.AlignmentFlag.AlignLeft,
            wide,
        )

    def _draw_best(self, painter: QPainter) -> None:
        """A diamond in the middle of the safe area, a star where there is most room."""
        ground, p, s = self.ground, self.theme.palette, self.theme.scale
        if ground is None or (best := best_of(ground)) is None:
            return
        painter.setPen(QPen(QColor(p.clear), 1.8))
        painter.setBrush(QColor(p.sheet))
        painter.drawPolygon(star(self._spot(*best), 7 * s))
        if (middle := middle_place(ground)) is not None:
            painter.drawPolygon(diamond(self._spot(*middle), 6 * s))

    def _draw_cross(self, painter: QPainter) -> None:
        s, p = self.theme.scale, self.theme.palette
        start, now = self._spot(0, 0), self._spot(*self.at)
        if (now - start).manhattanLength() > 2:
            pen = QPen(QColor(p.ink2), 1.6)
            pen.setDashPattern([3, 2.4])
            painter.setPen(pen)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawEllipse(start, 11 * s, 11 * s)
            painter.drawLine(start, now)
        painter.setPen(QPen(QColor(p.sheet), 2.4))
        painter.setBrush(QColor(p.dye))
        painter.drawEllipse(now, 12 * s, 12 * s)
        painter.setPen(QPen(QColor(p.on_dye), 2 * s))
        painter.drawLine(now + QPointF(-6 * s, 0), now + QPointF(6 * s, 0))
        painter.drawLine(now + QPointF(0, -6 * s), now + QPointF(0, 6 * s))


def describe(fore: float, inward: float, units: str) -> str:
    """'19.0 mm in, 0.0 back' of a move."""
    side = "in" if inward >= 0 else "out"
    end = "forward" if fore > 0 else "back"
    unit = "in." if units == "in" else "mm"
    return (
        f"{numbers.length(abs(inward), units)} {unit} {side}, "
        f"{numbers.length(abs(fore), units)} {end}"
    )


def _area_path(pad: Pad, ground: Ground, values: Array, level: float) -> QPainterPath:
    """The area where values are at or above a level, with a smooth edge."""
    import pyqtgraph as pg

    path = QPainterPath()
    filled = np.where(np.isfinite(values), values, -1e3)
    padded = np.pad(filled, 1, constant_values=-1e3)
    for line in pg.isocurve(padded, level, connected=True, extendToEdge=False):
        points = np.asarray(line) - 1.5
        fore = np.interp(points[:, 0], np.arange(len(ground.fore)), ground.fore)
        inward = np.interp(points[:, 1], np.arange(len(ground.inward)), ground.inward)
        path.addPolygon(
            QPolygonF([pad._spot(float(a), float(b)) for a, b in zip(fore, inward, strict=True)])
        )
    return path


def _faint(colour: str, alpha: int) -> QColor:
    made = QColor(colour)
    made.setAlpha(alpha)
    return made


def _tenths(at: tuple[float, float]) -> tuple[float, float]:
    return round(at[0], 1), round(at[1], 1)
