"""Pictures of the corner at one position: square views and one from a corner of the eye."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QImage, QPainter

from app.look.palette import LIGHT
from app.paper import ink
from app.paper.ink import face, line, text
from app.paper.raster import Look, Mesh, depth_at, mesh, picture
from kinematics.shapes.skins import Dresser
from kinematics.studies.study import Study

Array = NDArray[np.float64]
SHARPNESS = 2.5  # drawn px to a px of the page: 240 to the inch
SMOOTHING = 2  # drawn twice as fine again, then averaged
FADED = 0.30
AIR = 14.0  # mm left round what is shown
SURROUNDINGS = ("chassis", "scan")  # run on past the edge of the picture
Parts = dict[str, tuple[str, Mesh]]


@dataclass(frozen=True)
class View:
    """A way of looking: its name, rows right, up and toward the eye, and what is faded."""

    name: str
    axes: Array
    faded: tuple[str, ...] = ()


def views(out: float) -> tuple[View, View, View]:
    """Front, outside and top for a corner whose outboard side is ``out`` (+1 left, -1 right)."""
    front = np.array([[0, 1, 0], [0, 0, 1], [1, 0, 0]], float)
    side = np.array([[-out, 0, 0], [0, 0, 1], [0, out, 0]], float)
    top = np.array([[-out, 0, 0], [0, -out, 0], [0, 0, 1]], float)
    return (
        View("from the front", front),
        View("from outside", side, ("tyre", "wheel")),
        View("from above", top),
    )


def corner_view(out: float, azimuth: float, elevation: float) -> View:
    """A view at a slant: azimuth in degrees from straight ahead toward outboard."""
    a, e = np.radians(azimuth), np.radians(elevation)
    eye = np.array([np.cos(e) * np.cos(a), out * np.cos(e) * np.sin(a), np.sin(e)])
    right = np.cross([0, 0, 1], eye)
    right /= np.linalg.norm(right)
    return View("", np.stack([right, np.cross(eye, right), eye]), SURROUNDINGS)


def best_view(parts: Parts, out: float, point: Array) -> View:
    """The slanted view in which least stands in front of a point, the mount's side preferred."""
    slants = ((-42, 24), (-138, 24), (38, 28), (142, 28), (-42, 48), (-138, 48), (90, 62))
    return min((corner_view(out, *s) for s in slants), key=lambda v: _hidden(parts, v, point))


def _hidden(parts: Parts, view: View, point: Array) -> float:
    """How far in front of the point the nearest surface is, mm, to the nearest 5; 0 for none."""
    at = view.axes @ point
    look = Look(view.axes, (float(at[0]), float(at[1])), 0.5, 9, 9)
    solid = [m for kind, m in parts.values() if kind not in view.faded]
    if not solid:
        return 0.0
    depth = depth_at(np.concatenate([m.corners for m in solid]), look)
    in_front = depth - float(at[2])
    return round(in_front / 5) * 5.0 if in_front > 0 else 0.0


def solids(study: Study, index: int) -> Parts:
    """Every skin of the corner at a flat position index: its kind and its mesh, by name."""
    dresser = Dresser(study.setting.unfolded, study.setting.folder)
    placed = dresser.place(study.motion)
    out: Parts = {}
    for number, skin in enumerate(dresser.skins):
        here = placed[skin.name]
        local = np.array(skin.vertices, float)
        if skin.along is not None:
            local[:, 2] += skin.along * here.stretch[index]
        world = local @ here.rotation[index].T + here.origin[index]
        if np.isfinite(world).all() and len(skin.faces):
            colour = QColor(LIGHT.part(skin.kind))
            rgb = (colour.red(), colour.green(), colour.blue())
            out[skin.name] = skin.kind, mesh(world, np.asarray(skin.faces, np.int64), rgb, number)
    return out


def extent(parts: Parts, view: View) -> tuple[Array, Array]:
    """Least and most right and up of everything seen, mm."""
    groups = [m for kind, m in parts.values() if kind not in SURROUNDINGS]
    every = np.concatenate([m.corners.reshape(-1, 3) for m in groups or _meshes(parts)])
    flat = every @ view.axes[:2].T
    return flat.min(axis=0) - AIR, flat.max(axis=0) + AIR


def _meshes(parts: Parts) -> list[Mesh]:
    return [m for _, m in parts.values()]


def draw_view(
    painter: QPainter,
    area: QRectF,
    parts: Parts,
    view: View,
    centre: tuple[float, float],
    px_per_mm: float,
) -> Look:
    """Draw a view into an area of the page; return the look, whose px are the page's."""
    fine = SHARPNESS * SMOOTHING
    sharp = Look(
        view.axes, centre, px_per_mm * fine, round(area.width() * fine), round(area.height() * fine)
    )
    solid = [m for kind, m in parts.values() if kind not in view.faded]
    ghost = [m for kind, m in parts.values() if kind in view.faded]
    for group, opacity in ((solid, 1.0), (ghost, FADED)):
        if group:
            painter.setOpacity(opacity)
            painter.drawImage(area, _image(group, sharp))
    painter.setOpacity(1.0)
    return Look(view.axes, centre, px_per_mm, round(area.width()), round(area.height()))


def _image(group: Collection[Mesh], look: Look) -> QImage:
    dark = QColor(LIGHT.ink)
    drawn = picture(list(group), look, (dark.red(), dark.green(), dark.blue()))
    image = QImage(
        drawn.tobytes(), look.wide, look.high, 4 * look.wide, QImage.Format.Format_RGBA8888
    ).convertToFormat(QImage.Format.Format_ARGB32_Premultiplied)
    return image.scaled(
        look.wide // SMOOTHING,
        look.high // SMOOTHING,
        Qt.AspectRatioMode.IgnoreAspectRatio,
        Qt.TransformationMode.SmoothTransformation,
    )


def mark(painter: QPainter, at: QPointF, colour: QColor, radius: float = 7.0) -> None:
    """The ring that says: here."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(line(ink.PAPER, 4.0))
    painter.drawEllipse(at, radius, radius)
    painter.setPen(line(colour, 1.8))
    painter.drawEllipse(at, radius, radius)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colour)
    painter.drawEllipse(at, 2.2, 2.2)


def tag(
    painter: QPainter, at: QPointF, corner: QPointF, words: tuple[str, str], colour: QColor
) -> None:
    """A framed tag at ``corner`` with a leader to ``at``: the figure, and between what."""
    big, small = face(15, 600, True), face(11, 400, True)
    wide = max(ink.width(words[0], big), ink.width(words[1], small)) + 18
    box = QRectF(corner.x(), corner.y(), wide, 40)
    start = QPointF(min(max(at.x(), box.left() + 8), box.right() - 8), box.bottom())
    if at.y() < box.top():
        start.setY(box.top())
    way = start - at
    long = max((way.x() ** 2 + way.y() ** 2) ** 0.5, 1e-6)
    painter.setPen(line(colour, 1.6))
    painter.drawLine(at + way * (7.5 / long), start)
    painter.setBrush(ink.PAPER)
    painter.drawRoundedRect(box, 6, 6)
    text(painter, box.left() + 9, box.top() + 18, words[0], big, ink.INK)
    text(painter, box.left() + 9, box.top() + 32, words[1], small, ink.INK2)
