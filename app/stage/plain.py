"""Draws the scene without OpenGL: triangles back to front, shaded flat, with QPainter.

Slower and plainer, for displays that have no OpenGL. The same calls as ``opengl``.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRect, Qt
from PySide6.QtGui import QBrush, QColor, QImage, QPainter, QPen, QPolygonF, QRadialGradient

from app.look.palette import Palette, State, mix
from app.stage.camera import Camera, to_pixels
from app.stage.floor import Floor
from app.stage.scene import Piece, Scene

Array = NDArray[np.float64]
SHADES = 24


class PlainPainter:
    """The painter of last resort."""

    def __init__(self) -> None:
        self.size = (0, 0)
        self._image = QImage()
        self._asked: tuple[Scene, Camera, Palette, Floor, tuple[int, int]]

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
        """Note what is asked for; nothing is gained by beginning early."""
        self._asked = scene, camera, palette, floor, size

    def ring(self) -> None:
        """Nor from marking early."""

    def finish(self) -> QRect:
        """Draw what was asked for."""
        scene, camera, palette, floor, size = self._asked
        if size != self.size:
            self.size = size
            self._image = QImage(*size, QImage.Format.Format_RGB32)
        painter = QPainter(self._image)
        self._background(painter, palette, size)
        matrix = camera.matrix(size[0] / size[1])
        if np.sin(camera.elevation) > 0.02:
            self._ring(painter, palette, floor, matrix, size)
        self._faces(painter, scene, camera, palette, matrix, size)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._lines(painter, scene, palette, matrix, size)
        painter.end()
        return QRect(0, 0, *size)

    def image(self) -> QImage:
        """The picture last drawn."""
        return self._image

    def release(self) -> None:
        """Nothing is held."""

    @staticmethod
    def _background(painter: QPainter, palette: Palette, size: tuple[int, int]) -> None:
        wash = QRadialGradient(QPointF(size[0] / 2, size[1] * 0.45), max(size) * 0.75)
        wash.setColorAt(0, QColor(palette.stage[0]))
        wash.setColorAt(1, QColor(palette.stage[1]))
        painter.fillRect(0, 0, *size, QBrush(wash))

    @staticmethod
    def _ring(
        painter: QPainter, palette: Palette, floor: Floor, matrix: Array, size: tuple[int, int]
    ) -> None:
        turn = np.radians(np.arange(0, 361, 5))
        ring = np.stack([np.cos(turn), np.sin(turn), 0 * turn], axis=1) * floor.radius
        spots = to_pixels(matrix, ring + np.asarray(floor.centre), *size)
        if not np.isfinite(spots).all():
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(palette.ink3), 1.2))
        painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in spots]))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)

    @staticmethod
    def _faces(
        painter: QPainter,
        scene: Scene,
        camera: Camera,
        palette: Palette,
        matrix: Array,
        size: tuple[int, int],
    ) -> None:
        axes = camera.axes
        light = -0.45 * axes[0] + 0.62 * axes[1] + 0.55 * axes[2]
        light /= np.linalg.norm(light)
        shown = [p for p in scene.pieces.values() if p.shown]
        if not shown:
            return
        spots, depths, colours = [], [], []
        for piece in shown:
            points = piece.points()
            corners = points[piece.mesh.faces]
            normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
            normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-12)[:, None]
            middle = corners.mean(axis=1)
            toward = axes[2] if camera.flat else camera.eye - middle
            seen = np.einsum("ij,ij->i", normal, np.broadcast_to(toward, normal.shape))
            kept = np.atleast_1d(seen > 0) | (not piece.skin.closed)
            if scene.cut is not None:
                kept = np.asarray(middle @ scene.cut[:3] + scene.cut[3] <= 0)
            normal[seen < 0] *= -1
            bright = 0.45 + 0.55 * np.clip((normal @ light + 0.3) / 1.3, 0, 1)
            spots.append(to_pixels(matrix, corners[kept], *size))
            depths.append(middle[kept] @ axes[2])
            tints = _tints(piece, palette)
            colours += [tints[k] for k in (bright[kept] * (SHADES - 1)).astype(int)]
        spot = np.concatenate(spots)
        order = np.argsort(np.concatenate(depths))
        fine = np.asarray(np.isfinite(spot).all(axis=(1, 2)))
        for k in order[fine[order]]:
            colour = colours[k]
            painter.setPen(colour)
            painter.setBrush(colour)
            painter.drawPolygon(QPolygonF([QPointF(x, y) for x, y in spot[k]]))

    @staticmethod
    def _lines(
        painter: QPainter, scene: Scene, palette: Palette, matrix: Array, size: tuple[int, int]
    ) -> None:
        """The ghosts' edges, and outlines of what the hand is on."""
        painter.setBrush(Qt.BrushStyle.NoBrush)
        lined = [(p, QPen(QColor(palette.ink3), 1)) for p in scene.ghosts.values()]
        for piece in scene.pieces.values():
            if piece.shown and (piece.hovered or piece.selected):
                lined.append((piece, QPen(QColor(palette.dye), 1.8)))
        for piece, pen in lined:
            painter.setPen(pen)
            local = piece.mesh.edges.astype(float)
            local[..., 2] += piece.mesh.edge_along * piece.stretch
            ends = to_pixels(matrix, local @ piece.pose[:, :3].T + piece.pose[:, 3], *size)
            for (x0, y0), (x1, y1) in ends[np.isfinite(ends).all(axis=(1, 2))]:
                painter.drawLine(QPointF(x0, y0), QPointF(x1, y1))
        for mark in scene.marks:
            if mark.state in (State.NEAR, State.TOUCH):
                fill = palette.touch_fill if mark.state is State.TOUCH else palette.near_fill
                spot = to_pixels(matrix, (mark.point_a + mark.point_b) / 2, *size)
                if np.isfinite(spot).all():
                    painter.setPen(QPen(QColor(fill), 2))
                    painter.drawEllipse(QPointF(*spot), 12, 12)


def _tints(piece: Piece, palette: Palette) -> list[QColor]:
    """The piece's colour from dark to bright."""
    base = palette.dye if piece.dyed else palette.part(piece.kind)
    if piece.faded:
        base = mix(base, palette.stage[0], 0.78).name()
    return [mix("#000000", base, (k + 1) / SHADES * 1.05) for k in range(SHADES)]
