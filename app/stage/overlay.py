"""What is written over the picture: tags at contact points, the pull arrow, the tag by the hand."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen

from app.look.palette import Palette, State
from app.look.signs import draw_sign
from app.look.type import font, metrics

BESIDE = 28.0, 24.0  # px from the hand to the card beside it


@dataclass(frozen=True)
class Tag:
    """A card: a state's sign, a title, quieter lines below, and the spot it belongs to."""

    state: State
    title: str
    lines: tuple[str, ...]
    spot: QPointF


def tag_size(tag: Tag, s: float) -> tuple[float, float]:
    """Width and height of a tag's card."""
    wide = 34 * s + metrics(19 * s, 700).horizontalAdvance(tag.title)
    for line in tag.lines:
        wide = max(wide, metrics(13.5 * s, 500).horizontalAdvance(line) + 12 * s)
    return wide + 14 * s, (36 + 19 * len(tag.lines) + (4 if tag.lines else 0)) * s


def place_tags(tags: list[Tag], stage: QRectF, taken: list[QRectF], s: float) -> list[QRectF]:
    """Where the cards stand: near their spots, inside the stage, off what is taken."""
    placed: list[QRectF] = []
    for tag in tags:
        wide, high = tag_size(tag, s)
        best, cost = QRectF(), 1e18
        for dx, dy in _AROUND:
            box = QRectF(0, 0, wide, high)
            x = tag.spot.x() + dx * s + (0 if dx > 0 else -wide if dx < 0 else -wide / 2)
            y = tag.spot.y() + dy * s - (high if dy < 0 else 0 if dy > 0 else high / 2)
            x = min(max(x, stage.left() + 12 * s), stage.right() - wide - 12 * s)
            y = min(max(y, stage.top() + 12 * s), stage.bottom() - high - 12 * s)
            box.moveTo(x, y)
            over = sum(_area(box.intersected(other)) for other in (*taken, *placed))
            centre = box.center() - tag.spot
            hides = 3e4 if box.adjusted(-8, -8, 8, 8).contains(tag.spot) else 0
            here = over * 6 + hides + abs(centre.x()) * 12 + abs(centre.y()) * 20
            if here < cost:
                best, cost = box, here
        placed.append(best)
    return placed


_AROUND = (
    (70, -80), (-70, -80), (70, 70), (-70, 70), (110, 0), (-110, 0), (150, -140), (-150, -140),
    (0, -120), (0, 120), (60, -200), (200, -60), (180, 120), (-180, 120), (240, -180),
)  # fmt: skip


def _area(box: QRectF) -> float:
    return max(0.0, box.width()) * max(0.0, box.height())


def draw_tag(painter: QPainter, p: Palette, tag: Tag, box: QRectF, s: float) -> None:
    """The card with its leader line to the ringed spot."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    line, fill = (
        QColor(p.state(tag.state)),
        QColor(p.touch_fill if tag.state is State.TOUCH else p.near_fill),
    )
    if tag.state is State.CLEAR:
        fill = QColor(p.clear)
    end = _edge_point(box, tag.spot)
    painter.setPen(QPen(QColor(p.sheet), 4.4 * s))
    painter.drawLine(tag.spot, end)
    painter.setPen(QPen(fill if not p.dark else line, 2 * s))
    painter.drawLine(tag.spot, end)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(p.sheet), 4.4 * s))
    painter.drawEllipse(tag.spot, 9 * s, 9 * s)
    painter.setPen(QPen(fill, 2.2 * s))
    painter.drawEllipse(tag.spot, 9 * s, 9 * s)
    painter.setPen(QPen(QColor(p.sheet), 1.2 * s))
    painter.setBrush(fill)
    painter.drawEllipse(tag.spot, 4 * s, 4 * s)
    painter.setPen(QPen(line, 1.6 * s))
    painter.setBrush(QColor(p.sheet))
    painter.drawRoundedRect(box, 8 * s, 8 * s)
    draw_sign(painter, p, tag.state, box.topLeft() + QPointF(20 * s, 19 * s), 8.5 * s)
    painter.setPen(QColor(p.ink))
    painter.setFont(font(19 * s, 700))
    flags = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft
    painter.drawText(
        QRectF(box.x() + 36 * s, box.y() + 5 * s, box.width(), 28 * s), flags, tag.title
    )
    painter.setPen(QColor(p.ink2))
    painter.setFont(font(13.5 * s, 500))
    for i, text in enumerate(tag.lines):
        row = QRectF(box.x() + 12 * s, box.y() + (33 + 19 * i) * s, box.width(), 19 * s)
        painter.drawText(row, flags, text)


def _edge_point(box: QRectF, spot: QPointF) -> QPointF:
    """The nearest point of a card's edge to a spot, kept off its rounded corners."""
    x = min(max(spot.x(), box.left() + 10), box.right() - 10)
    y = min(max(spot.y(), box.top() + 10), box.bottom() - 10)
    gaps = {
        "left": abs(spot.x() - box.left()) if spot.x() < box.left() else 1e9,
        "right": abs(spot.x() - box.right()) if spot.x() > box.right() else 1e9,
        "top": abs(spot.y() - box.top()) if spot.y() < box.top() else 1e9,
        "bottom": abs(spot.y() - box.bottom()) if spot.y() > box.bottom() else 1e9,
    }
    side = min(gaps, key=lambda k: gaps[k])
    return {
        "left": QPointF(box.left(), y),
        "right": QPointF(box.right(), y),
        "top": QPointF(x, box.top()),
        "bottom": QPointF(x, box.bottom()),
    }[side]


def tag_bounds(tag: Tag, box: QRectF, s: float) -> QRectF:
    """All that a tag paints on."""
    spot = QRectF(tag.spot.x() - 13 * s, tag.spot.y() - 13 * s, 26 * s, 26 * s)
    return box.united(spot).adjusted(-4, -4, 4, 4)


def draw_arrow(painter: QPainter, p: Palette, at: QPointF, s: float, word: str) -> None:
    """The upright double arrow that says the wheel can be pulled."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    half, tip = 34 * s, 8 * s
    for colour, wide in ((QColor(p.stage[0]), 5.2 * s), (QColor(p.dye), 2.2 * s)):
        pen = QPen(colour, wide)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        painter.setPen(pen)
        painter.drawLine(at + QPointF(0, -half), at + QPointF(0, half))
        for way in (-1, 1):
            end = at + QPointF(0, way * half)
            painter.drawLine(end, end + QPointF(-tip, -way * tip))
            painter.drawLine(end, end + QPointF(tip, -way * tip))
    if word:
        words = QPainterPath()
        words.addText(at + QPointF(14 * s, 5 * s), font(15 * s, 600), word)
        painter.strokePath(words, QPen(QColor(p.stage[0]), 4 * s))
        painter.fillPath(words, QColor(p.dye))


def arrow_bounds(at: QPointF, s: float) -> QRectF:
    """All that the arrow paints on."""
    return QRectF(at.x() - 14 * s, at.y() - 46 * s, 74 * s, 92 * s)


def hand_size(rows: list[tuple[str, str]], s: float) -> tuple[float, float]:
    """Size of the card beside the hand."""
    names, values = metrics(14 * s, 500), metrics(15 * s, 700)
    wide = max(names.horizontalAdvance(n) + values.horizontalAdvance(v) for n, v in rows)
    return wide + 44 * s, (20 * len(rows) + 14) * s


def beside(
    hand: QPointF,
    size: tuple[float, float],
    stage: QRectF,
    shy: list[tuple[QRectF, float]],
    kept: QPointF | None = None,
) -> QRectF:
    """Where the card of a size stands: near the hand, inside the stage, where it covers least.

    ``shy`` of: what stands there, and what covering a px of it costs. ``kept``: from the hand to
    where the card stood, which it leaves only for a much better place.
    """
    wide, high = size
    offs = np.stack(
        np.meshgrid(_offsets(BESIDE[0], wide), _offsets(BESIDE[1], high)), axis=-1
    ).reshape(-1, 2)
    if kept is not None:
        offs = np.vstack([[kept.x(), kept.y()], offs])
    here = np.array([hand.x(), hand.y()])
    least = np.array([stage.left() + 8, stage.top() + 8])
    most = np.array([stage.right() - 8 - wide, stage.bottom() - 8 - high])
    at = np.maximum(np.minimum(here + offs, most), least)
    cost = _covered(at, size, [(QRectF(hand.x() - 8, hand.y() - 8, 16, 16), 400.0), *shy])
    gap = np.maximum(np.maximum(at - here, here - at - size), 0.0)
    cost += 30.0 * np.hypot(gap[:, 0], gap[:, 1])
    if kept is not None:
        cost[0] -= 0.1 * wide * high
    x, y = at[int(np.argmin(cost))].tolist()
    return QRectF(x, y, wide, high)


def _offsets(step: float, size: float) -> list[float]:
    """Along one axis, from the hand to the card: beyond it, before it, and over it."""
    beyond = [k * step for k in (1, 2, 3, 4.5, 6)]
    return [*beyond, *(-size - k for k in beyond), *(-size * k for k in (0.25, 0.5, 0.75))]


def _covered(
    at: NDArray[np.float64], size: tuple[float, float], shy: list[tuple[QRectF, float]]
) -> NDArray[np.float64]:
    """What a card of a size covers at each place (n, 2), at what it costs. (n,)"""
    boxes = np.array([(b.left(), b.top(), b.right(), b.bottom()) for b, _ in shy])
    across = np.minimum(at[:, None] + size, boxes[:, 2:]) - np.maximum(at[:, None], boxes[:, :2])
    area = np.prod(np.maximum(across, 0.0), axis=2)
    return np.asarray(area @ np.array([price for _, price in shy]))


def draw_hand(
    painter: QPainter, p: Palette, rows: list[tuple[str, str]], box: QRectF, s: float
) -> None:
    """The live figures beside the hand."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(p.dye), 1.6 * s))
    painter.setBrush(QColor(p.sheet))
    painter.drawRoundedRect(box, 8 * s, 8 * s)
    for i, (name, value) in enumerate(rows):
        row = QRectF(box.x() + 12 * s, box.y() + (7 + 20 * i) * s, box.width() - 24 * s, 20 * s)
        painter.setPen(QColor(p.ink2))
        painter.setFont(font(14 * s, 500))
        painter.drawText(row, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, name)
        painter.setPen(QColor(p.ink))
        painter.setFont(font(15 * s, 700))
        painter.drawText(row, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, value)
