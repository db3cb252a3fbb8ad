"""The bar: the project's name and its menu, the rooms, and the icons."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QSizePolicy, QWidget

from app.look.icons import draw_icon
from app.look.theme import Theme
from app.look.type import font, metrics
from app.look.word import Word
from app.told import told

HEIGHT = Word.HIGH
LONGEST = "example, not saved"
WIDE = 440  # px at scale 1 for the name and its state: the rooms' words stand still beside it


@told
class IconButton(QAbstractButton):
    """An icon with a name and a tooltip; washed with dye while on."""

    def __init__(self, theme: Theme, icon: str, name: str, tip: str) -> None:
        super().__init__()
        self.theme, self.icon_name = theme, icon
        self.setAccessibleName(name)
        self.setToolTip(tip)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)

    def sizeHint(self) -> QSize:
        s = self.theme.scale
        return QSize(round(36 * s), round(34 * s))

    def paintEvent(self, event: QPaintEvent) -> None:
        s, p = self.theme.scale, self.theme.palette
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        hot = self.isEnabled() and (self.underMouse() or self.isDown() or self.hasFocus())
        if self.isChecked():
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(p.wash))
            painter.drawRoundedRect(box, 8 * s, 8 * s)
        if self.hasFocus():
            painter.setPen(QPen(QColor(p.dye), 1.6))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(box, 8 * s, 8 * s)
        colour = QColor(p.dye if hot or self.isChecked() else p.ink)
        if not self.isEnabled():
            colour = QColor(p.ink3)
            colour.setAlphaF(0.6)
        draw_icon(painter, self.icon_name, QPointF(self.rect().center()), 22 * s, colour)
        painter.end()


@told
class TitleButton(QAbstractButton):
    """The project's name, a dot while it is not saved, and what it is; opens the menu."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.theme = theme
        self.title, self.about, self.dirty = "", "", False
        self.ends = 0.0  # px where what is written ends
        self.setAccessibleName("Project menu")
        self.setToolTip("Open, begin a new one, save, close")
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)

    def say(self, title: str, about: str, dirty: bool) -> None:
        """Another name, another state."""
        if (title, about, dirty) == (self.title, self.about, self.dirty):
            return
        self.title, self.about, self.dirty = title, about, dirty
        self.setAccessibleDescription(f"{title}, {about}")
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        s = self.theme.scale
        return QSize(round(WIDE * s), round(HEIGHT * s))

    def minimumSizeHint(self) -> QSize:
        s = self.theme.scale
        return QSize(round(150 * s), round(HEIGHT * s))

    def paintEvent(self, event: QPaintEvent) -> None:
        s, p = self.theme.scale, self.theme.palette
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        lit = self.underMouse() or self.hasFocus()
        x, middle = 24 * s, self.height() / 2
        painter.setFont(font(16 * s, 600))
        painter.setPen(QColor(p.dye if lit else p.ink))
        # The longest state has its room, so that what it is called stays as it is cut.
        room = self.width() - x - 44 * s - metrics(15 * s, 400).horizontalAdvance(LONGEST)
        title = painter.fontMetrics().elidedText(self.title, Qt.TextElideMode.ElideRight, int(room))
        flags = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft
        painter.drawText(QRectF(x, 0, room, self.height()), flags, title)
        x += metrics(16 * s, 600).horizontalAdvance(title) + 8 * s
        pen = QPen(QColor(p.dye if lit else p.ink2), 1.7 * s)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        painter.setPen(pen)
        painter.drawPolyline(
            [
                QPointF(x, middle - 2 * s),
                QPointF(x + 4 * s, middle + 2 * s),
                QPointF(x + 8 * s, middle - 2 * s),
            ]
        )
        x += 18 * s
        if self.dirty:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(p.dye))
            painter.drawEllipse(QPointF(x + 1 * s, middle + s), 3.2 * s, 3.2 * s)
            x += 12 * s
        painter.setFont(font(15 * s, 400))
        painter.setPen(QColor(p.ink2))
        room = self.width() - x
        about = painter.fontMetrics().elidedText(self.about, Qt.TextElideMode.ElideRight, int(room))
        painter.drawText(QRectF(x, 0, room, self.height()), flags, about)
        self.ends = x + painter.fontMetrics().horizontalAdvance(about) + 8 * s
        painter.end()

    def hitButton(self, at: QPoint) -> bool:
        """Only what is written opens the menu, not the empty bar beside it."""
        return bool(0 <= at.x() <= self.ends and 0 <= at.y() < self.height())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        hand = self.hitButton(event.position().toPoint())
        shape = Qt.CursorShape.PointingHandCursor if hand else Qt.CursorShape.ArrowCursor
        self.setCursor(shape)
        super().mouseMoveEvent(event)


ICONS = (
    ("undo", "Undo", "Undo (Ctrl+Z)", False),
    ("redo", "Redo", "Redo (Ctrl+Shift+Z)", False),
    ("", "", "", False),
    ("before", "Before and after", "Keep this state as before, to compare with (K)", True),
    ("only", "Only this", "Fade everything but what is selected (O)", True),
    ("cut", "Cut open", "Cut the corner open along a plane through the wheel (C)", True),
    ("distance", "Distance", "Measure between two points or parts (D)", True),
    ("views", "Views", "3D, or square from the front, the side or the top (1 to 4)", False),
    ("", "", "", False),
    ("paper", "Export", "Plots, report and pictures", False),
    ("lamp", "Light or dark", "Light or dark", False),
    ("help", "Help", "What the hands and keys do (F1)", False),
)


@told
class Bar(QWidget):
    """The top row. ``asked`` names the icon that was pressed."""

    asked = Signal(str)

    def __init__(self, theme: Theme, rooms: tuple[tuple[str, str], ...]) -> None:
        super().__init__()
        self.theme = theme
        self.title = TitleButton(theme)
        self.rooms = {word: Word(theme, word, tip) for word, tip in rooms}
        self.icons: dict[str, IconButton] = {}
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, round(12 * theme.scale), 0)
        row.setSpacing(0)
        row.addWidget(self.title)
        for button in self.rooms.values():
            row.addWidget(button)
        row.addStretch(1)
        for icon, name, tip, checks in ICONS:
            if not icon:
                row.addSpacing(round(14 * theme.scale))
                continue
            self.icons[icon] = made = IconButton(theme, icon, name, tip)
            made.setCheckable(checks)
            made.clicked.connect(lambda _=False, which=icon: self.asked.emit(which))
            row.addWidget(made)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self.renew)
        self.renew()

    def renew(self) -> None:
        """Take up a change of theme or scale."""
        self.setFixedHeight(round(HEIGHT * self.theme.scale))
        for child in self.findChildren(QAbstractButton):
            child.updateGeometry()
            child.update()
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        p = self.theme.palette
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(p.sheet))
        painter.fillRect(0, self.height() - 1, self.width(), 1, QColor(p.hair))
        painter.end()
