"""The floor: a chalked ring with the directions of the car, and the corner's soft shadow on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPainterPath, QPen, QTransform

from app.look.type import font, metrics
from app.stage.scene import Scene

SIZE = 1024  # px of the floor picture
RING = 0.80  # the ring's radius in parts of the picture's half width
LETTERS = 46  # px of it that the words are high
SHADOW = 160  # px of the shadow picture

WORDS = ("FRONT", "OUTSIDE", "REAR", "MIDDLE OF CAR")


@dataclass(frozen=True)
class Floor:
    """Where the ring lies: its centre on the ground and its radius, mm; ``out`` +1 on the left."""

    centre: tuple[float, float, float] = (0.0, 0.0, 0.0)
    radius: float = 520.0
    out: float = 1.0

    @property
    def half_size(self) -> float:
        """Half the width of the floor picture, mm."""
        return self.radius / RING

    def word_at(self, word: str) -> NDArray[np.float64]:
        """The middle of a word on the floor. (3,)"""
        angle = {"FRONT": 0.0, "OUTSIDE": 90.0, "REAR": 180.0, "MIDDLE OF CAR": 270.0}[word]
        a = np.radians(angle * self.out)
        reach = self.radius * 1.105
        return np.asarray(self.centre) + reach * np.array([np.cos(a), np.sin(a), 0.0])


def facing(azimuth: float, out: float) -> tuple[bool, ...]:
    """For each word whether it lies beyond the ring's middle, seen from an azimuth."""
    angles = np.radians(np.array([0.0, 90.0, 180.0, 270.0]) * out)
    return tuple(bool(c < 0) for c in np.cos(angles - azimuth))


def whole(floor: Floor, sight: NDArray[np.float64]) -> tuple[bool, ...]:
    """For each word whether all of it is in the picture that ``sight`` (4, 4) gives.

    One cut by the picture's edge is no word: it is left out.
    """
    ends = np.array([_ends(word, floor) for word in WORDS])
    clip = np.concatenate([ends, np.ones((*ends.shape[:2], 1))], axis=2) @ sight.T
    inside = np.abs(clip[..., :2]) < clip[..., 3:]
    return tuple(bool(seen.all()) for seen in inside)


def _ends(word: str, floor: Floor) -> NDArray[np.float64]:
    """Both ends of a word on the floor. (2, 3)"""
    middle = floor.word_at(word)
    off = middle - np.asarray(floor.centre)
    along = np.array([-off[1], off[0], 0.0]) / np.linalg.norm(off)
    half = metrics(LETTERS, 600).horizontalAdvance(word) / 2 * (2 * floor.half_size / SIZE)
    return np.array([middle - half * along, middle + half * along])


def floor_picture(out: float, beyond: tuple[bool, ...], written: tuple[bool, ...]) -> QImage:
    """White chalk on nothing. Columns run along +x of the car, rows along +y, as textures do.

    Words ``beyond`` the middle have their foot towards it, the others away from it, so that
    all stand upright before the eye. Only those ``written`` are there.
    """
    image = QImage(SIZE, SIZE, QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(Qt.GlobalColor.transparent)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    half = SIZE / 2
    painter.translate(half, half)
    radius = RING * half
    _grid(painter, radius)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(255, 255, 255, 235), 2.6))
    painter.drawEllipse(QPointF(0, 0), radius, radius)
    for degree in range(0, 360, 5):
        size = 24 if degree % 45 == 0 else 13 if degree % 15 == 0 else 6
        a = np.radians(degree)
        c, s = np.cos(a), np.sin(a)
        painter.setPen(QPen(QColor(255, 255, 255, 235), 3.0 if degree % 45 == 0 else 1.8))
        painter.drawLine(
            QPointF(radius * c, radius * s), QPointF((radius + size) * c, (radius + size) * s)
        )
    for word, angle, far, seen in zip(WORDS, (0, 90, 180, 270), beyond, written, strict=True):
        if seen:
            _letter(painter, word, angle * out, radius * 1.105, far)
    painter.end()
    return image


def _grid(painter: QPainter, radius: float) -> None:
    """A faint grid inside the ring and a cross at its middle."""
    clip = QPainterPath()
    clip.addEllipse(QPointF(0, 0), radius, radius)
    painter.save()
    painter.setClipPath(clip)
    painter.setPen(QPen(QColor(255, 255, 255, 46), 1.6))
    step = radius / 5
    for i in range(-5, 6):
        painter.drawLine(QPointF(i * step, -radius), QPointF(i * step, radius))
        painter.drawLine(QPointF(-radius, i * step), QPointF(radius, i * step))
    painter.restore()
    painter.setPen(QPen(QColor(255, 255, 255, 200), 2))
    painter.drawLine(QPointF(-14, 0), QPointF(14, 0))
    painter.drawLine(QPointF(0, -14), QPointF(0, 14))


def _letter(painter: QPainter, word: str, angle: float, reach: float, far: bool) -> None:
    """A word lying on the floor, readable from above."""
    path = QPainterPath()
    face = font(LETTERS, 600)
    path.addText(0, 0, face, word)
    box = path.boundingRect()
    lie = QTransform()
    lie.rotate(angle)
    lie.translate(reach, 0)
    # Picture rows run along +y (left of the car): mirror, so that letters read from above.
    lie.rotate(90 if far else -90)
    lie.scale(-1, 1)
    lie.translate(-box.center().x(), -box.center().y())
    painter.fillPath(lie.map(path), QColor(255, 255, 255, 235))


def shadow_picture(scene: Scene, floor: Floor) -> NDArray[np.uint8]:
    """How dark the floor is under the corner: its points seen from above, blurred. (n, n)"""
    half = floor.half_size
    total = np.zeros(SHADOW * SHADOW)
    for piece in scene.pieces.values():
        if not piece.shown or piece.faded:
            continue
        points = piece.points()
        faces = piece.mesh.faces
        if len(faces) > 4000:
            faces = faces[:: len(faces) // 4000]
        middle = points[faces].mean(axis=1)
        a = points[faces[:, 1]] - points[faces[:, 0]]
        b = points[faces[:, 2]] - points[faces[:, 0]]
        area = np.abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / 4
        height = np.maximum(middle[:, 2] - floor.centre[2], 0.0)
        spot = (middle[:, :2] - np.asarray(floor.centre)[:2]) / (2 * half) + 0.5
        column, row = (spot * SHADOW).astype(int).T
        inside = (column >= 0) & (column < SHADOW) & (row >= 0) & (row < SHADOW)
        weight = area * np.exp(-height / 420.0)
        total += np.bincount((row * SHADOW + column)[inside], weight[inside], len(total))
    dark = np.minimum(total.reshape(SHADOW, SHADOW) / (2 * half / SHADOW) ** 2, 1.2)
    near, far = _blurred(dark, 3.0), _blurred(dark, 9.0)
    return np.asarray(np.clip(255 * (0.5 * near + 0.6 * far), 0, 255), np.uint8)


def _blurred(picture: NDArray[np.float64], width: float) -> NDArray[np.float64]:
    """Blurred by a bell curve this wide, px; nothing lies beyond the edges.

    Row by row: a product of matrices would wake as many threads as there are cores, which takes
    longer than all the rest of the first picture.
    """
    reach = round(3.5 * width)
    bell = np.exp(-(np.arange(-reach, reach + 1) ** 2) / (2 * width**2)) / (
        width * np.sqrt(2 * np.pi)
    )
    for _ in range(2):
        wide = np.pad(picture, ((reach, reach), (0, 0)))
        picture = sum(share * wide[k : k + SHADOW] for k, share in enumerate(bell)).T
    return picture
