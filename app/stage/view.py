"""The stage widget: shows the painter's picture, sharpens it at rest, writes tags over it."""

from __future__ import annotations

from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRect, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import (
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget

from app.look.palette import Palette
from app.look.theme import Theme
from app.stage import camera as cameras
from app.stage import overlay
from app.stage.camera import Camera
from app.stage.floor import Floor
from app.stage.hand_card import HandCard
from app.stage.pick import Hit, pick
from app.stage.scene import Scene
from app.told import told

Array = NDArray[np.float64]
SHIFTS = (
    (0.0625, -0.1875), (-0.0625, 0.1875), (0.3125, 0.0625), (-0.1875, -0.3125),
    (-0.3125, 0.3125), (-0.4375, -0.0625), (0.1875, 0.4375), (0.4375, -0.4375),
)  # fmt: skip
REST = 120  # ms without change until the picture is drawn sharp
GLIDE = 120  # ms from one view to another


class Picture(Protocol):
    """Either painter: OpenGL or plain."""

    def begin(
        self,
        scene: Scene,
        camera: Camera,
        palette: Palette,
        floor: Floor,
        size: tuple[int, int],
        sharp: tuple[float, float] | None = None,
        ratio: float = 1.0,
        shadow: bool = True,
    ) -> None:
        """The first part of a picture: what does not depend on the scene's marks."""

    def ring(self) -> None:
        """The second part: the marks."""

    def finish(self) -> QRect:
        """The last part: what changed, ready to be shown."""

    def image(self) -> QImage:
        """The picture."""

    def release(self) -> None:
        """Give back what is held."""


class Hands(Protocol):
    """What acts on the stage: told of every touch."""

    def press(self, stage: Stage, event: QMouseEvent) -> None: ...
    def move(self, stage: Stage, event: QMouseEvent) -> None: ...
    def release(self, stage: Stage, event: QMouseEvent) -> None: ...
    def double(self, stage: Stage, event: QMouseEvent) -> None: ...
    def scroll(self, stage: Stage, event: QWheelEvent) -> None: ...
    def leave(self, stage: Stage) -> None: ...


@told
class Stage(QWidget):
    """A view of a scene. Draws; what touches it goes to ``hands``."""

    looked = Signal()  # the camera moved
    painted = Signal()
    resized = Signal()

    def __init__(
        self, theme: Theme, scene: Scene, picture: Picture, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.theme = theme
        self.scene = scene
        self.picture = picture
        self.hands: Hands | None = None
        self.camera = Camera()
        self.floor = Floor()
        self.tags: list[overlay.Tag] = []
        self.card = HandCard()
        self.arrow: Array | None = None  # where the pull arrow stands, vehicle axes
        self.arrow_word = "pull"
        self.extras: list[Extra] = []
        self.keep_clear: list[QRectF] = []  # what tags must not cover
        self.held = False  # a hand holds something: no time for sharp pictures
        self.calm = True  # no glides (the system asks for none)
        self._tags: list[overlay.Tag] = []
        self.boxes: list[QRectF] = []  # where the tags stand
        self._offsets: dict[str, QPointF] = {}  # from a tag's spot to its card, by its parts
        self._written = QRectF()
        self._sum: NDArray[np.uint16] | None = None
        self._step = 0
        self._sharp: QImage | None = None
        self._glide: tuple[Camera, Camera, float] | None = None
        self._drawn = False
        self._begun = False
        self._rest = QTimer(self, interval=REST, singleShot=True)
        self._rest.timeout.connect(self._sharpen)
        # A call posted for at once would be made before any key or mouse is heard.
        self._again = QTimer(self, interval=1, singleShot=True)
        self._again.timeout.connect(self._sharpen)
        self._tick = QTimer(self, interval=12)
        self._tick.timeout.connect(self._glide_on)
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setAccessibleName("The corner in 3D")
        theme.changed.connect(self.redraw)

    # --- what the window asks -------------------------------------------------------------

    def look(self, camera: Camera, glide: bool = False) -> None:
        """Look from another place, by a short glide if asked and allowed."""
        if glide and not self.calm and self.isVisible():
            self._glide = (self.camera, camera, 0.0)
            self._tick.start()
            return
        self.camera = camera
        self.redraw()
        self.looked.emit()

    def redraw(self) -> None:
        """The scene, the camera or the theme changed: draw at once on the next paint."""
        self._sharp = None
        self._step = 0
        self._drawn = False
        self.update()
        self._rest.start()

    def begin(self) -> None:
        """The poses changed, the marks are not yet known: let the driver begin to draw."""
        self._begun = self._drawn and self.isVisible()
        if self._begun:
            self.picture.begin(*self._asked(None, shadow=False))

    def ring(self) -> None:
        """The marks are known now: let the driver draw them while words are written."""
        if self._begun:
            self.picture.ring()

    def follow(self) -> None:
        """Only poses and marks changed: draw now, and show only what that touched."""
        self._sharp = None
        self._step = 0
        self._rest.start()
        begun, self._begun = self._begun, False
        if not self._drawn:
            self.update()
            return
        before = self._written
        self._arrange()
        box = self.picture.finish() if begun else self._draw(None, shadow=False)
        ratio = self.devicePixelRatioF()
        shown = QRectF(box.x() / ratio, box.y() / ratio, box.width() / ratio, box.height() / ratio)
        self.update(shown.united(before).united(self._written).toAlignedRect())

    def spots(self, points: Array) -> Array:
        """Where points (..., 3) stand on the widget, in logical px. (..., 2)"""
        width, height = max(1, self.width()), max(1, self.height())
        return cameras.to_pixels(self.matrix(), np.asarray(points, float), width, height)

    def matrix(self) -> Array:
        """From vehicle axes to clip space at the present size."""
        return self.camera.matrix(max(1, self.width()) / max(1, self.height()))

    def sight(self, at: QPointF) -> tuple[Array, Array]:
        """The line of sight through a place on the widget."""
        size = max(1, self.width()), max(1, self.height())
        return cameras.ray(self.matrix(), at.x(), at.y(), *size)

    def pick(self, at: QPointF) -> Hit | None:
        """What is under the pointer."""
        return pick(self.scene, *self.sight(at))

    def on_floor(self, at: QPointF) -> Array | None:
        """The point of the floor under the pointer, if it looks at the floor."""
        start, way = self.sight(at)
        if abs(way[2]) < 1e-6:
            return None
        depth = (self.floor.centre[2] - start[2]) / way[2]
        return start + depth * way if depth > 0 else None

    @property
    def rows(self) -> list[tuple[str, str]]:
        """The names and figures beside the hand."""
        return self.card.rows

    @rows.setter
    def rows(self, rows: list[tuple[str, str]]) -> None:
        self.card.rows = rows

    @property
    def mm_per_px(self) -> float:
        """Size of a px at the target's depth."""
        return self.camera.height / max(1, self.height())

    def snapshot(self) -> QImage:
        """The stage as it stands, drawn sharp, with its tags."""
        for step in range(self._step, len(SHIFTS)):
            self._step = step
            self._add()
        return self.grab().toImage()

    # --- drawing --------------------------------------------------------------------------

    def _size(self) -> tuple[int, int]:
        ratio = self.devicePixelRatioF()
        return max(1, round(self.width() * ratio)), max(1, round(self.height() * ratio))

    def _draw(self, sharp: tuple[float, float] | None, shadow: bool) -> QRect:
        self.picture.begin(*self._asked(sharp, shadow))
        return self.picture.finish()

    def _asked(self, sharp: tuple[float, float] | None, shadow: bool) -> Any:
        ratio = self.devicePixelRatioF()
        palette = self.theme.palette
        return self.scene, self.camera, palette, self.floor, self._size(), sharp, ratio, shadow

    def _sharpen(self) -> None:
        """One more shifted picture into the sum; any change meanwhile starts over."""
        if not self.isVisible() or self._sharp is not None:
            return
        if self.held:
            self._rest.start()
            return
        self._add()
        if self._sharp is None:
            self._again.start()
        else:
            self.update()

    def _add(self) -> None:
        self._draw(SHIFTS[self._step], shadow=self._step == 0)
        picture = self.picture.image()
        shape = (picture.height(), picture.width(), 4)
        pixels = np.frombuffer(picture.constBits(), np.uint8).reshape(shape)
        if self._step == 0 or self._sum is None or self._sum.shape != shape:
            self._sum = pixels.astype(np.uint16)
        else:
            self._sum += pixels
        self._step += 1
        if self._step >= len(SHIFTS):
            mean = ((self._sum + len(SHIFTS) // 2) // len(SHIFTS)).astype(np.uint8)
            made = QImage(mean.data, shape[1], shape[0], 4 * shape[1], QImage.Format.Format_RGB32)
            self._sharp = made.copy()
            self._drawn = False
            self._sum = None

    def _glide_on(self) -> None:
        if self._glide is None:
            self._tick.stop()
            return
        start, end, share = self._glide
        share = min(1.0, share + self._tick.interval() / GLIDE)
        self._glide = (start, end, share) if share < 1 else None
        self.camera = cameras.blend(start, end, 1 - (1 - share) ** 3) if share < 1 else end
        self.redraw()
        self.looked.emit()

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self._drawn and self._sharp is None:
            self.picture.begin(*self._asked(None, not self.held))  # shadow: once the hand lets go
            self._drawn = True
            self._arrange()  # while the driver draws
            self.picture.finish()
        image = self._sharp if self._sharp is not None else self.picture.image()
        ratio, box = self.devicePixelRatioF(), QRectF(event.rect())
        painter = QPainter(self)
        painter.drawImage(box, image, QRectF(box.topLeft() * ratio, box.size() * ratio))
        self._write(painter, box)  # one paint of several: the pad's place is painted by itself
        painter.end()
        self.painted.emit()

    def _arrange(self) -> None:
        """Find places for the tags and note all that is written over the picture."""
        s = self.theme.scale
        stage = QRectF(self.rect())
        tags = [t for t in self.tags if stage.adjusted(-40, -40, 40, 40).contains(t.spot)]
        self._tags = tags
        taken = list(self.keep_clear)
        if (spot := self._arrow_spot()) is not None:
            taken.append(overlay.arrow_bounds(spot, s))
        if self.held and (kept := self._carried(tags)) is not None:
            self.boxes = kept  # cards that jump about while the hand moves can't be read
        else:
            self.boxes = overlay.place_tags(tags, stage, taken, s)
        self._offsets = {
            tag.lines[0]: box.topLeft() - tag.spot
            for tag, box in zip(tags, self.boxes, strict=True)
        }
        self.card.place(self, tags, self.boxes)
        written = QRectF()
        for tag, box in zip(tags, self.boxes, strict=True):
            written = written.united(overlay.tag_bounds(tag, box, s))
        if (spot := self._arrow_spot()) is not None:
            written = written.united(overlay.arrow_bounds(spot, s))
        if self.rows:
            written = written.united(self.card.box.adjusted(-3, -3, 3, 3))
        for extra in self.extras:
            written = written.united(extra.bounds(self))
        self._written = written

    def _carried(self, tags: list[overlay.Tag]) -> list[QRectF] | None:
        """The cards carried along with their spots, if all were there and none covers words."""
        s = self.theme.scale
        inside = QRectF(self.rect()).adjusted(8, 8, -8, -8)
        boxes = []
        for tag in tags:
            offset = self._offsets.get(tag.lines[0])
            if offset is None:
                return None
            wide, high = overlay.tag_size(tag, s)
            x = min(max(tag.spot.x() + offset.x(), inside.left()), inside.right() - wide)
            y = min(max(tag.spot.y() + offset.y(), inside.top()), inside.bottom() - high)
            box = QRectF(x, y, wide, high)
            if any(box.intersects(other) for other in self.keep_clear):
                return None
            boxes.append(box)
        return boxes

    def _arrow_spot(self) -> QPointF | None:
        if self.arrow is None:
            return None
        x, y = self.spots(self.arrow)
        if not (np.isfinite(x) and np.isfinite(y)):
            return None
        room = (108 if self.camera.flat else 62) * self.theme.scale  # beside a square view's ruler
        return QPointF(min(max(x, 20.0), self.width() - room), y)

    def _write(self, painter: QPainter, where: QRectF) -> None:
        s, p = self.theme.scale, self.theme.palette
        if (spot := self._arrow_spot()) is not None:
            overlay.draw_arrow(painter, p, spot, s, self.arrow_word)
        for extra in self.extras:
            extra.draw(self, painter)
        for tag, box in zip(self._tags, self.boxes, strict=True):
            if overlay.tag_bounds(tag, box, s).intersects(where):
                overlay.draw_tag(painter, p, tag, box, s)
        self.card.draw(self, painter, where)

    # --- touch ----------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if self.hands:
            self.hands.press(self, event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self.hands:
            self.hands.move(self, event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self.hands:
            self.hands.release(self, event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if self.hands:
            self.hands.double(self, event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        if self.hands:
            self.hands.scroll(self, event)
            event.accept()

    def leaveEvent(self, event: object) -> None:
        if self.hands:
            self.hands.leave(self)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        event.ignore()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.redraw()
        self.resized.emit()


class Extra(Protocol):
    """Something more written over the picture: dimensions, a measured distance, ghosts."""

    def bounds(self, stage: Stage) -> QRectF: ...
    def draw(self, stage: Stage, painter: QPainter) -> None: ...
