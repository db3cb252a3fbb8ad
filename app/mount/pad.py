"""The top mount's places as a pad: slide it, and see what was found good."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QPixmap
from PySide6.QtWidgets import QWidget

from app.document.places import Flat, Ground, told_at
from app.document.plane import ABOVE, Frame, Plane, Spot3, reach_for
from app.hand.amounts import STEPS_SAID, key_step
from app.look import numbers
from app.look.blank import blank
from app.look.halo import draw_words, soft_ground, unbroken
from app.look.theme import Theme
from app.look.type import font
from app.mount import chart
from app.told import told
from kinematics.findings.phrases import Units
from kinematics.units import unit_of

SIDE, HEADING, EDGE = 216, 56, 25
TICK = 22  # px at scale 1 that the figures along a large pad need
STALE = 0.45  # how much is let through of a map that is being worked out anew


@dataclass(frozen=True)
class Shown:
    """What a pad shows. level : how far the plane lies from the mount, the third way, mm. share :
    of the map that is worked out, negative when none is; stale : the map is of before an edit."""

    at: Spot3 = (0.0, 0.0, 0.0)
    sentence: str = ""
    out: float = 1.0
    ground: Ground | None = None
    plane: Plane = ABOVE
    level: float = 0.0
    units: Units = "mm"
    share: float = -1.0
    stale: bool = False


@told
class Pad(QWidget):
    """Drag the cross, or use the arrow keys when it has the focus.

    A small one stands over the stage and has its heading; a ``large`` one is as wide as it is let
    be and has figures along its edges.
    """

    began = Signal()
    slid = Signal(float, float, float)  # fore (+x), inward and up, mm from the start
    ended = Signal()
    cancelled = Signal()
    pointed = Signal(object)  # the place under the pointer, None off the map
    more = Signal()  # a click on the heading: all about it

    def __init__(self, theme: Theme, parent: QWidget | None = None, large: bool = False) -> None:
        super().__init__(parent)
        self.theme, self.large = theme, large
        self.shown = Shown()
        self.reach = 40.0  # mm from the middle to the edge of what is drawn
        self.side = float(SIDE)  # px at scale 1
        self.place: Flat | None = None  # under the pointer
        self._held: tuple[QPointF, Flat] | None = None
        self._last = QPointF()
        self._wanted: Flat = (0.0, 0.0)
        self._kept: dict[str, tuple[object, QPixmap]] = {}
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setAccessibleName("Top mount, its places")
        theme.changed.connect(self.renew)
        self.renew()

    @property
    def ground(self) -> Ground | None:
        """The map shown."""
        return self.shown.ground

    @property
    def under(self) -> str:
        """What is tightest at the place under the pointer; empty off the map."""
        if self.place is None or self.shown.ground is None:
            return ""
        return told_at(self.shown.ground, self.place, self.shown.units)

    def renew(self) -> None:
        """Take up a change of theme or scale."""
        s = self.theme.scale
        self._top = 0.0 if self.large else HEADING * s
        self.setFixedSize(round(self.side * s), round(self.side * s + self._top))
        self.update()

    def grow(self, side: float) -> None:
        """As wide as that, in px at scale 1."""
        if side != self.side:
            self.side = side
            self.renew()

    def show_state(self, shown: Shown) -> None:
        """Where the mount stands from its start, and what is known about it."""
        if shown != self.shown:
            self.shown = shown
            self.setAccessibleDescription(
                f"Seen {shown.plane.words}. {shown.sentence} "
                f"Arrow keys move it by {STEPS_SAID[shown.units]}."
            )
            if self._held is None:
                self.reach = reach_for(shown.at)
            self.update()

    # --- geometry -------------------------------------------------------------------------

    @property
    def _plate(self) -> QRectF:
        side = self.side * self.theme.scale
        return QRectF(1, self._top + 1, side - 2, side - 2)

    @property
    def frame(self) -> Frame:
        """Where places are drawn."""
        s, shown = self.theme.scale, self.shown
        edge = (EDGE + (TICK if self.large else 0)) * s
        plate = QRectF(0, self._top, self.side * s, self.side * s)
        field = plate.adjusted(edge, edge, -edge, -edge)
        return Frame(field, self.reach, shown.plane.turned(shown.out))

    @property
    def _at(self) -> Flat:
        return self.shown.plane.flat(self.shown.at)

    def _slide(self, to: Flat) -> None:
        """Ask for the mount there, in the plane shown."""
        plane, shown = self.shown.plane, self.shown
        level = shown.at[plane.third] + shown.level
        fore, inward, up = plane.place((round(to[0], 1), round(to[1], 1)), level)
        self.slid.emit(fore, inward, up)

    # --- the hand -------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() != Qt.MouseButton.LeftButton:
            return
        if event.position().y() < self._top:
            self.more.emit()
            return
        frame = self.frame
        if not frame.field.adjusted(-12, -12, 12, 12).contains(event.position()):
            return
        spot = frame.spot(*self._at)
        self._tell(None)  # from here on the heading tells of what is held
        self.began.emit()
        near = (event.position() - spot).manhattanLength() < 26 * self.theme.scale
        if not near:
            self._slide(frame.offset(event.position()))
        self._held = (event.position(), self._at)
        self._last = event.position()
        self._wanted = self._at
        self.setCursor(Qt.CursorShape.ClosedHandCursor)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        frame = self.frame
        if self._held is None:
            self._point(event.position(), frame)
            return
        a, b = frame.offset(event.position()), frame.offset(self._last)
        self._last = event.position()
        slow = 0.1 if event.modifiers() & Qt.KeyboardModifier.AltModifier else 1.0
        row, column = self._wanted
        wanted = row + (a[0] - b[0]) * slow, column + (a[1] - b[1]) * slow
        self._wanted = wanted
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            start = self._held[1]
            along = abs(wanted[0] - start[0]) > abs(wanted[1] - start[1])
            wanted = (wanted[0], start[1]) if along else (start[0], wanted[1])
        self._slide(wanted)

    def _point(self, at: QPointF, frame: Frame) -> None:
        """Name what is tightest at the place under the pointer."""
        near = (at - frame.spot(*self._at)).manhattanLength() < 26
        shape = Qt.CursorShape.OpenHandCursor if near else Qt.CursorShape.CrossCursor
        if at.y() < self._top:
            shape = Qt.CursorShape.PointingHandCursor
        self.setCursor(shape)
        ground, place = self.shown.ground, None
        if ground is not None and frame.field.contains(at):
            found = ground.nearest(frame.offset(at))
            place = None if found is None else ground.at(*found)
        self._tell(place)

    def _tell(self, place: Flat | None) -> None:
        if place != self.place:
            self.place = place
            self.pointed.emit(place)
            self.update()

    def leaveEvent(self, event: object) -> None:
        self._tell(None)

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
        turned = self.shown.plane.turned(self.shown.out)
        ways = {
            Qt.Key.Key_Up: (1.0, 0.0),
            Qt.Key.Key_Down: (-1.0, 0.0),
            Qt.Key.Key_Right: (0.0, turned),
            Qt.Key.Key_Left: (0.0, -turned),
        }
        way = ways.get(Qt.Key(event.key()))
        if way is None:
            event.ignore()
            return
        step = key_step(self.shown.units, event.modifiers())
        row, column = self._at
        self.began.emit()
        self._slide((row + way[0] * step, column + way[1] * step))
        self.ended.emit()

    def focusInEvent(self, event: object) -> None:
        self.update()

    def focusOutEvent(self, event: object) -> None:
        self.update()

    # --- painting -------------------------------------------------------------------------

    @property
    def _look(self) -> tuple[object, ...]:
        """What all that is painted depends on."""
        return self.theme.palette.dark, self.theme.scale, self.reach, self.side

    def paintEvent(self, event: QPaintEvent) -> None:
        key = self._look, self.shown, self.place, self.hasFocus()
        whole = self._picture("whole", key, self._draw)
        painter = QPainter(self)
        painter.drawPixmap(0, 0, whole)
        painter.end()

    def _picture(self, name: str, key: object, draw: object) -> QPixmap:
        """Drawn once for a state: the stage under it is painted many times a second."""
        kept = self._kept.get(name)
        if kept is not None and kept[0] == key:
            return kept[1]
        picture = blank(self, Qt.GlobalColor.transparent)
        painter = QPainter(picture)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        draw(painter)  # type: ignore[operator]
        painter.end()
        self._kept[name] = key, picture
        return picture

    def _draw(self, painter: QPainter) -> None:
        s, p, shown = self.theme.scale, self.theme.palette, self.shown
        if not self.large:
            self._draw_heading(painter)
        # What stays as it is while a hand slides the mount is drawn once.
        stays = replace(shown, at=(0.0, 0.0, 0.0), sentence="", level=0.0)
        key = self._look, stays, self.hasFocus()
        painter.drawPixmap(0, 0, self._picture("plate", key, self._draw_plate))
        frame = self.frame
        now = frame.spot(*self._at)
        chart.start(painter, p, s, frame.spot(0.0, 0.0), now)
        chart.cross(painter, p, s, now, shown.level == 0.0)
        if self.place is not None:
            painter.setPen(QPen(QColor(p.sheet), 3.4 * s))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawEllipse(frame.spot(*self.place), 4 * s, 4 * s)
            painter.setPen(QPen(QColor(p.ink), 1.6 * s))
            painter.drawEllipse(frame.spot(*self.place), 4 * s, 4 * s)

    def _draw_plate(self, painter: QPainter) -> None:
        """All but the heading and the places marked on it."""
        s, p, plate = self.theme.scale, self.theme.palette, self._plate
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
        chart.progress(painter, p, s, plate, self.shown.share)

    def _draw_heading(self, painter: QPainter) -> None:
        """What it is and what to do; under the pointer, what is tightest there."""
        s, p = self.theme.scale, self.theme.palette
        foot = int(Qt.AlignmentFlag.AlignBottom) | int(Qt.TextFlag.TextWordWrap)
        box = QRectF(1 * s, 0, SIDE * s - 2, self._top - 5 * s)
        under = self.under
        words = unbroken(under or self.shown.sentence)
        painter.setFont(font(14 * s, 500))
        written = painter.fontMetrics().boundingRect(box.toRect(), foot, words)
        high = min(written.top(), self._top - 22 * s) - 1 * s
        named = not under or high > 17 * s
        # The floor's letters run behind it in some views.
        top = max(high - 28 * s, 0.0) if named else written.top() - 8.0 * s
        soft_ground(painter, QRectF(-9 * s, top, self.width() + 9 * s, self._top - top), p, s)
        draw_words(painter, box, foot, words, p.ink if under else p.ink2, p, 2 * s)
        box.setBottom(high)
        if named:

            def draw(inner: QPainter) -> None:
                inner.setFont(font(14 * s, 500))
                right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignBottom
                draw_words(inner, box, right.value, "Look closer", p.dye, p, 2 * s)
                inner.setFont(font(16 * s, 600))
                draw_words(inner, box, foot, "Top mount", p.ink, p, 2 * s)

            painter.drawPixmap(0, 0, self._picture("heading", (self._look, box.bottom()), draw))

    def _draw_words(self, painter: QPainter, plate: QRectF) -> None:
        s, p, shown = self.theme.scale, self.theme.palette, self.shown
        painter.setFont(font(13 * s, 500))
        painter.setPen(QColor(p.ink2))
        centre = Qt.AlignmentFlag.AlignCenter
        top, bottom, plus, minus = shown.plane.edges
        line = QRectF(plate.left(), plate.top() + 3, plate.width(), 20 * s)
        painter.drawText(line, centre, top)
        line.moveTop(plate.bottom() - 22 * s)
        painter.drawText(line, centre, bottom)
        words = (minus, plus) if self.frame.turned > 0 else (plus, minus)
        for word, x in zip(words, (plate.left() + 13 * s, plate.right() - 13 * s), strict=True):
            painter.save()
            painter.translate(x, plate.center().y())
            painter.rotate(-90 if x < plate.center().x() else 90)
            painter.drawText(QRectF(-60 * s, -10 * s, 120 * s, 20 * s), centre, word)
            painter.restore()

    def _draw_field(self, painter: QPainter) -> None:
        s, p, shown, frame = self.theme.scale, self.theme.palette, self.shown, self.frame
        if shown.ground is None:
            self._draw_grid(painter, frame)
        elif shown.ground.plane is shown.plane:
            key = (p.dark, s, self.reach, self.side, shown.out, shown.ground)

            def draw(inner: QPainter) -> None:
                assert shown.ground is not None
                chart.paint(inner, p, s, frame, shown.ground)

            painter.setOpacity(STALE if shown.stale else 1.0)
            painter.drawPixmap(0, 0, self._picture("field", key, draw))
            painter.setOpacity(1.0)
        if self.large:
            self._draw_ticks(painter, frame)
            return
        painter.setFont(font(13 * s, 500))
        painter.setPen(QColor(p.ink2))
        words = f"\u00b1{numbers.length(self.reach, shown.units, fewer=1)} {shown.units}"
        beside = QRectF(frame.field.left(), frame.field.bottom() + 2 * s, 70 * s, 20 * s)
        painter.drawText(beside, Qt.AlignmentFlag.AlignVCenter, words)  # hides no place

    def _draw_grid(self, painter: QPainter, frame: Frame) -> None:
        """Every 10 mm, of a wide field every 100, where nothing is known yet."""
        reach, step = self.reach, 10.0 if self.reach <= 160.0 else 100.0
        painter.setPen(QPen(QColor(self.theme.palette.hair), 1))
        for mm in np.arange(-reach, reach + 1, step):
            painter.drawLine(frame.spot(mm, -reach), frame.spot(mm, reach))
            painter.drawLine(frame.spot(-reach, mm), frame.spot(reach, mm))

    def _draw_ticks(self, painter: QPainter, frame: Frame) -> None:
        """Figures from the start, below and to the left."""
        s, p, field, units = self.theme.scale, self.theme.palette, frame.field, self.shown.units
        painter.setFont(font(13 * s, 500))
        painter.setPen(QPen(QColor(p.ink3), 1.2))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(field)
        unit = unit_of("travel", units)
        per = unit.size
        for tick in numbers.nice_ticks(-self.reach / per, self.reach / per, 5):
            words = numbers.plain(tick, unit.decimals - 1, sign=True)
            at = frame.spot(tick * per, tick * per)
            painter.drawLine(QPointF(at.x(), field.bottom()), QPointF(at.x(), field.bottom() + 4))
            painter.drawLine(QPointF(field.left() - 4, at.y()), QPointF(field.left(), at.y()))
            centre, right = Qt.AlignmentFlag.AlignCenter, Qt.AlignmentFlag.AlignRight
            painter.drawText(
                QRectF(at.x() - 30 * s, field.bottom() + 4, 60 * s, 17 * s), centre, words
            )
            box = QRectF(field.left() - 42 * s, at.y() - 9 * s, 36 * s, 18 * s)
            painter.drawText(box, right | Qt.AlignmentFlag.AlignVCenter, words)
