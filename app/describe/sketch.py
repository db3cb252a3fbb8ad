"""The sketch at the head of a page: what the numbers mean, drawn from the numbers themselves."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.describe import sketch_damper, sketch_tower, sketch_wheel
from app.describe.drafting import Board
from app.document.tree import Path
from app.look.theme import Theme
from app.told import told
from kinematics.project.model import Project

Draw = Callable[[Board, Project], None]
HIGH = 232  # px at scale 1
SKETCHES: tuple[tuple[Path, str, Draw], ...] = (
    (("wheel", "tyre"), "Tyre and rim in section, lower half", sketch_wheel.draw),
    (("wheel", "rim"), "Tyre and rim in section, lower half", sketch_wheel.draw),
    (("wheel",), "Camber and toe", sketch_wheel.lean),
    (("coilover",), "The coilover, foot to top", sketch_damper.draw),
    (("top_mount",), "The top mount in section and from above", sketch_tower.mount),
    (("tower",), "The tower from the front, or from outside", sketch_tower.draw),
)


def sketch_of(path: Path) -> tuple[str, Draw] | None:
    """The title and the sketch of the record an entry is in, if it has one."""
    found = [(words, draw) for held, words, draw in SKETCHES if path[: len(held)] == held]
    return found[0] if found else None


@told
class SketchPanel(QWidget):
    """Shows the sketch of the entry in hand. ``picked`` tells which dimension was clicked."""

    picked = Signal(tuple)

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.theme = theme
        self.current: Path = ()
        self.hovered: Path = ()
        self.project: Project | None = None
        self.spots: list[tuple[QRectF, Path]] = []
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.hide()

    def sizeHint(self) -> QSize:
        return QSize(200, round(HIGH * self.theme.scale))

    def show_for(self, path: Path, project: Project) -> None:
        """The sketch of the record this entry is in; none if it has none."""
        found = sketch_of(path) if path else None
        self.current, self.project = path, project
        given = found is not None and getattr(project, str(path[0])) is not None
        self.setVisible(given)
        if found is not None:
            self.setAccessibleName(f"Sketch: {found[0]}")
        self.updateGeometry()
        self.update()

    def renew(self, project: Project) -> None:
        """The same sketch of changed numbers."""
        if self.project is not project:
            self.project = project
            self.update()

    @property
    def lit(self) -> bool:
        """Whether the entry in hand has a dimension in the sketch."""
        return any(path == self.current for _, path in self.spots)

    def _at(self, event: QMouseEvent) -> Path:
        at = event.position()
        near = (path for spot, path in self.spots if spot.adjusted(-3, -3, 3, 3).contains(at))
        return next(near, ())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        hovered = self._at(event)
        if hovered != self.hovered:
            self.hovered = hovered
            hand = Qt.CursorShape.PointingHandCursor
            self.setCursor(hand if hovered else Qt.CursorShape.ArrowCursor)
            self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if path := self._at(event):
            self.picked.emit(path)

    def paintEvent(self, event: QPaintEvent) -> None:
        found = sketch_of(self.current)
        if self.project is None or found is None:
            return
        s, p = self.theme.scale, self.theme.palette
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(p.sheet))
        place = QRectF(self.rect()).adjusted(12 * s, 4 * s, -12 * s, -4 * s)
        board = Board(painter, place, p, s, self.current, self.project.units, self.hovered)
        found[1](board, self.project)
        self.spots = board.spots
        painter.fillRect(QRectF(0, self.height() - 1, self.width(), 1), QColor(p.hair))
        painter.end()
