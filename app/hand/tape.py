"""The tape: between two points the hand picks on parts, and between the two parts themselves."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from app.look import numbers
from app.look.type import font, metrics
from app.stage import overlay
from app.stage.hand_card import MARKS, TAGS, WORDS
from app.stage.pick import Hit
from app.stage.scene import Scene
from app.stage.view import Stage
from kinematics.units import Units

Array = NDArray[np.float64]
Faces = NDArray[np.int32]


@dataclass(frozen=True, eq=False)
class Held:
    """A point picked on a part: it goes along when the part moves, is moved or changes its size.

    corners: of the face it lies on, by their numbers among the part's ``faces``; weights: how
    much each has of the point.
    """

    name: str
    part: str
    faces: Faces
    corners: list[int]
    weights: Array

    def point(self, scene: Scene) -> Array | None:
        """Where it is now (3,); None once its part is gone, or is of another make."""
        piece = scene.pieces.get(self.name)
        if piece is None or not same_faces(piece.skin.faces, self.faces):
            return None
        local = self.weights @ piece.skin.vertices[self.corners].astype(float)
        if piece.skin.along is not None:
            local[2] += self.weights @ piece.skin.along[self.corners] * piece.stretch
        return np.asarray(piece.pose[:, :3] @ local + piece.pose[:, 3])


def held(hit: Hit) -> Held:
    """What was met by a line of sight, as an end."""
    piece = hit.piece
    corners, weights = list(hit.corners), np.array(hit.weights)
    return Held(piece.name, piece.part, piece.skin.faces, corners, weights)


def same_faces(a: Faces, b: Faces) -> bool:
    """Whether two skins are of one make: the same corners joined in the same way."""
    return a is b or np.array_equal(a, b)


@dataclass(frozen=True)
class Gap:
    """Where two parts come nearest in the present position, (3,) on each, and that in words."""

    words: str
    ends: tuple[Array, Array] | None = None


class Tape:
    """Written over the stage: up to two points, the line between, the length in words.

    ``gap`` is asked for what is known between the two parts whenever it is drawn: the wheel may
    have moved meanwhile.
    """

    def __init__(self, scene: Scene, gap: Callable[[str, str], Gap | None]) -> None:
        self.scene, self.gap = scene, gap
        self.units: Units = "mm"
        self._held: list[Held] = []

    @property
    def ends(self) -> list[Held]:
        """What it is held to; an end whose part has gone comes off."""
        self._held = [end for end in self._held if end.point(self.scene) is not None]
        return self._held

    def points(self) -> list[Array]:
        """Where its ends are now. (3,) each"""
        found = (end.point(self.scene) for end in self._held)
        return [point for point in found if point is not None]

    def between(self) -> Gap | None:
        """The two parts' own distance here; None with fewer than two ends, or both on one part."""
        ends = self.ends
        if len(ends) < 2:
            return None
        a, b = (end.part for end in ends)
        return self.gap(a, b) if a != b else None

    def pick(self, hit: Hit) -> None:
        """Add an end; a third begins anew."""
        ends = self.ends
        self._held = [*(ends if len(ends) < 2 else []), held(hit)]

    def let_go(self) -> None:
        """Both ends come off."""
        self._held = []

    def lines(self) -> list[str]:
        """The length, its parts along the car's axes, and what is known of the two parts."""
        points = self.points()
        if len(points) < 2:
            return ["second point…"] if points else ["first point…"]
        a, b = points
        d = np.abs(b - a)
        unit = self.units
        far = numbers.length(float(np.linalg.norm(b - a)), unit)
        along = ", ".join(
            f"{numbers.length(float(v), unit)} {word}"
            for v, word in zip(d, ("along", "across", "up"), strict=True)
        )
        gap = self.between()
        return [f"{far} {unit}", along, *([gap.words] if gap is not None else [])]

    def _spots(self, stage: Stage) -> list[QPointF]:
        return on_stage(stage, self.points())

    def _nearest(self, stage: Stage) -> list[QPointF]:
        gap = self.between()
        return on_stage(stage, gap.ends) if gap is not None and gap.ends is not None else []

    def _card(self, stage: Stage, spots: list[QPointF]) -> QRectF:
        s = stage.theme.scale
        lines = self.lines()
        wide = max(
            metrics((19 if i == 0 else 14) * s, 600).horizontalAdvance(t)
            for i, t in enumerate(lines)
        )
        middle = (spots[0] + spots[-1]) / 2
        size = wide + 24 * s, (14 + 22 * len(lines)) * s
        shy = [(box, WORDS) for box in stage.keep_clear] + [(box, TAGS) for box in stage.boxes]
        shy += [(QRectF(spot.x() - 8, spot.y() - 8, 16, 16), MARKS) for spot in spots]
        return overlay.beside(middle, size, QRectF(stage.rect()), shy)

    def bounds(self, stage: Stage) -> QRectF:
        """All it paints on."""
        spots = self._spots(stage)
        if not spots:
            return QRectF()
        box = self._card(stage, spots)
        for spot in (*spots, *self._nearest(stage)):
            box = box.united(QRectF(spot.x() - 8, spot.y() - 8, 16, 16))
        return box.adjusted(-6, -6, 6, 6)

    def draw(self, stage: Stage, painter: QPainter) -> None:
        """Ends, line and card."""
        s, p = stage.theme.scale, stage.theme.palette
        spots = self._spots(stage)
        if not spots:
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if len(spots) == 2:
            for colour, wide in ((QColor(p.sheet), 4.4 * s), (QColor(p.ink), 1.8 * s)):
                painter.setPen(QPen(colour, wide))
                painter.drawLine(spots[0], spots[1])
        nearest = self._nearest(stage)
        if len(nearest) == 2:
            for colour, wide, style in (
                (QColor(p.sheet), 4.4 * s, Qt.PenStyle.SolidLine),
                (QColor(p.ink), 1.8 * s, Qt.PenStyle.DashLine),
            ):
                painter.setPen(QPen(colour, wide, style))
                painter.drawLine(nearest[0], nearest[1])
            painter.setPen(QPen(QColor(p.ink), 1.8 * s))
            painter.setBrush(QColor(p.sheet))
            for spot in nearest:
                painter.drawEllipse(spot, 4 * s, 4 * s)
        for spot in spots:
            painter.setPen(QPen(QColor(p.sheet), 2))
            painter.setBrush(QColor(p.dye))
            painter.drawEllipse(spot, 5 * s, 5 * s)
        box = self._card(stage, spots)
        painter.setPen(QPen(QColor(p.ink2), 1.6))
        painter.setBrush(QColor(p.sheet))
        painter.drawRoundedRect(box, 8 * s, 8 * s)
        for i, text in enumerate(self.lines()):
            painter.setPen(QColor(p.ink if i == 0 else p.ink2))
            painter.setFont(font((19 if i == 0 else 14) * s, 700 if i == 0 else 500))
            row = QRectF(box.x() + 12 * s, box.y() + (6 + 22 * i) * s, box.width(), 24 * s)
            painter.drawText(row, Qt.AlignmentFlag.AlignVCenter, text)


def on_stage(stage: Stage, points: Iterable[Array]) -> list[QPointF]:
    """Where points stand on the stage; those behind the eye are left out."""
    spots = [stage.spots(point) for point in points]
    return [QPointF(float(x), float(y)) for x, y in spots if np.isfinite((x, y)).all()]
