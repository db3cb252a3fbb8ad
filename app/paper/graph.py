"""A figure against travel or steer, or over both: one drawing for the screen and for paper.

Travel stands upright here as it does everywhere; steer lies across.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetricsF,
    QImage,
    QPainter,
    QPainterPath,
    QPen,
    QPolygonF,
)

from app.document.graphs import Graph, Map, Series
from app.look import numbers
from app.look.palette import Palette, mix
from app.look.type import font, metrics
from app.paper.ink import text, within

Array = NDArray[np.float64]
LEFT, RIGHT, TOP, BOTTOM = 64.0, 22.0, 14.0, 46.0  # px of room for figures about the field
LEVELS = 7  # contours of a map


@dataclass(frozen=True)
class Field:
    """The rectangle plotted into and what its sides stand for: low and high, across and up."""

    box: QRectF
    across: tuple[float, float]
    up: tuple[float, float]

    def spot(self, across: float, up: float) -> QPointF:
        """Where a pair of values stands, px."""
        x = (across - self.across[0]) / (self.across[1] - self.across[0])
        y = (up - self.up[0]) / (self.up[1] - self.up[0])
        return QPointF(
            self.box.left() + x * self.box.width(), self.box.bottom() - y * self.box.height()
        )

    def values(self, spot: QPointF) -> tuple[float, float]:
        """The pair of values at a place, px."""
        x = (spot.x() - self.box.left()) / max(self.box.width(), 1)
        y = (self.box.bottom() - spot.y()) / max(self.box.height(), 1)
        return (
            self.across[0] + x * (self.across[1] - self.across[0]),
            self.up[0] + y * (self.up[1] - self.up[0]),
        )


def field_of(what: Graph | Map, area: QRectF, s: float) -> Field:
    """Where the values of a plot go within an area."""
    box = area.adjusted(LEFT * s, TOP * s, -RIGHT * s, -BOTTOM * s)
    if isinstance(what, Map):
        return Field(box, _ends(what.rack), _ends(what.travel))
    figures = [s.figure for s in what.series if s.kind != "thin"]
    figures += [s.figure for s in what.series if s.kind == "thin"]
    guides = np.array([value for value, _ in what.choice.guides])
    figure = _roomy(np.concatenate([*figures, guides]), 4 * 10.0**-what.choice.decimals)
    axis = _ends(np.concatenate([s.axis for s in what.series]))
    return Field(box, figure, axis) if what.axis == "travel" else Field(box, axis, figure)


def _ends(values: Array) -> tuple[float, float]:
    low, high = float(np.nanmin(values)), float(np.nanmax(values))
    return (low, high) if high - low > 1e-9 else (low - 1.0, high + 1.0)


def _roomy(values: Array, least: float) -> tuple[float, float]:
    values = values[np.isfinite(values)]
    if not len(values):
        return 0.0, 1.0
    low, high = float(values.min()), float(values.max())
    if high - low < least:
        low, high = (low + high - least) / 2, (low + high + least) / 2
    room = 0.06 * (high - low)
    return low - room, high + room


def draw_graph(painter: QPainter, area: QRectF, what: Graph | Map, p: Palette, s: float) -> Field:
    """The plot without cursor; the field it was drawn into."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    field = field_of(what, area, s)
    if isinstance(what, Map):
        _map(painter, field, what, p, s)
        _axes(painter, field, p, s, what.axis_titles, grid=False)
        return field
    upright = what.axis == "travel"
    figure = f"{what.choice.title}{', ' if what.choice.unit else ''}{what.choice.unit}"
    names = (figure, what.axis_title) if upright else (what.axis_title, figure)
    _axes(painter, field, p, s, names, grid=True)
    _marks(painter, field, what, p, s, upright)
    painter.save()
    painter.setClipRect(field.box)
    order = {"thin": 0, "before": 1, "reference": 2, "main": 3}
    for series in sorted(what.series, key=lambda one: order[one.kind]):
        _curve(painter, field, series, p, s, upright)
    painter.restore()
    taken = _words(painter, field, what, p, s, upright)
    _names(painter, field, what, p, s, upright, taken)
    return field


def _axes(
    painter: QPainter, field: Field, p: Palette, s: float, names: tuple[str, str], grid: bool
) -> None:
    box, face = field.box, font(13 * s, 500)
    painter.setFont(face)
    for low, high, across in ((*field.across, True), (*field.up, False)):
        ticks = numbers.nice_ticks(
            low, high, int((box.width() if across else box.height()) / ((76 if across else 44) * s))
        )
        step = ticks[1] - ticks[0] if len(ticks) > 1 else 1.0
        digits = numbers.tick_decimals(step)
        for tick in ticks:
            at = field.spot(tick, field.up[0]) if across else field.spot(field.across[0], tick)
            end = field.spot(tick, field.up[1]) if across else field.spot(field.across[1], tick)
            zero = abs(tick) < 1e-9
            if grid:
                painter.setPen(QPen(QColor(p.ink3 if zero else p.hair), 1.2 if zero else 0.8))
                painter.drawLine(at, end)
            painter.setPen(QColor(p.ink2))
            figure = numbers.plain(tick, digits)
            if across:
                spot = QRectF(at.x() - 40 * s, box.bottom() + 4 * s, 80 * s, 18 * s)
                within(painter, spot, Qt.AlignmentFlag.AlignHCenter, figure)
            else:
                spot = QRectF(box.left() - 62 * s, at.y() - 9 * s, 56 * s, 18 * s)
                within(painter, spot, Qt.AlignmentFlag.AlignRight, figure)
    painter.setPen(QPen(QColor(p.ink3), 1))
    painter.drawRect(box)
    painter.setPen(QColor(p.ink))
    painter.setFont(font(13 * s, 600))
    foot = QRectF(box.left(), box.bottom() + 24 * s, box.width(), 20 * s)
    within(painter, foot, Qt.AlignmentFlag.AlignHCenter, names[0])
    painter.save()
    painter.translate(box.left() - LEFT * s + 8 * s, box.center().y())
    painter.rotate(-90)
    beside = QRectF(-200 * s, -9 * s, 400 * s, 18 * s)
    within(painter, beside, Qt.AlignmentFlag.AlignHCenter, names[1])
    painter.restore()


def _marks(
    painter: QPainter, field: Field, what: Graph, p: Palette, s: float, upright: bool
) -> None:
    """Rules across the figure; named heights and the ends of travel across the axis."""
    for value, _ in what.choice.guides:
        pen = QPen(QColor(p.near), 1.5)
        pen.setDashPattern([5, 3])
        painter.setPen(pen)
        painter.drawLine(*_rule(field, value, upright))
    if not upright:
        return
    for at, _ in (*what.marks, *what.limits):
        pen = QPen(QColor(p.ink3), 1)
        pen.setDashPattern([1, 3])
        painter.setPen(pen)
        painter.drawLine(field.spot(field.across[0], at), field.spot(field.across[1], at))


def _rule(field: Field, value: float, upright: bool) -> tuple[QPointF, QPointF]:
    """The ends of a line at a value of the figure."""
    if upright:
        return field.spot(value, field.up[0]), field.spot(value, field.up[1])
    return field.spot(field.across[0], value), field.spot(field.across[1], value)


def _words(
    painter: QPainter, field: Field, what: Graph, p: Palette, s: float, upright: bool
) -> list[QRectF]:
    """The names of rules, heights and ends, on the side the curve leaves free: their boxes."""
    taken = []
    for value, words in what.choice.guides:
        foot = _rule(field, value, upright)[0] + QPointF(5 * s, -5 * s)
        box = _on_ground(painter, foot, words, font(13 * s, 600), QColor(p.near), p, s)
        taken.append(box)
    if not upright:
        return taken
    face, measure = font(13 * s, 500), metrics(13 * s, 500)
    last = -np.inf  # how far down the page the last line and its words come
    for at, words in sorted((*what.marks, *what.limits), reverse=True):
        y = field.spot(field.across[1], at).y()
        below = y - 18 * s < max(field.box.top() + 2 * s, last)
        last = y + 17 * s if below else y
        y += 15 * s if below else -5 * s
        x = field.box.right() - 6 * s - measure.horizontalAdvance(words)
        curve = field.spot(value_at(what, at), at).x()
        if np.isfinite(curve) and curve > x - 8 * s:
            x = field.box.left() + 6 * s
        taken.append(_on_ground(painter, QPointF(x, y), words, face, QColor(p.ink2), p, s))
    return taken


def _on_ground(
    painter: QPainter, at: QPointF, words: str, face: QFont, ink: QColor, p: Palette, s: float
) -> QRectF:
    """Words on the colour of the paper, so that no line strikes them through; their box."""
    measure = QFontMetricsF(face)
    box = QRectF(at.x(), at.y() - measure.ascent(), 0, measure.ascent() + 2 * s)
    box.setWidth(measure.horizontalAdvance(words))
    painter.fillRect(box.adjusted(-2 * s, 0, 2 * s, 0), QColor(p.sheet))
    text(painter, at.x(), at.y(), words, face, ink)
    return box


def _curve(
    painter: QPainter, field: Field, series: Series, p: Palette, s: float, upright: bool
) -> None:
    wide = {"main": 2.6, "thin": 1.0, "before": 1.7, "reference": 2.0}[series.kind] * s
    pen = QPen(
        QColor(
            p.ink if series.kind == "main" else p.clear if series.kind == "reference" else p.ink3
        ),
        wide,
    )
    if series.kind in ("before", "reference"):
        pen.setDashPattern([5, 3] if series.kind == "before" else [8, 2, 1.5, 2])
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    run: list[QPointF] = []
    for at, value in zip(series.axis, series.figure, strict=True):
        if np.isfinite(value):
            run.append(field.spot(value, at) if upright else field.spot(at, value))
        elif run:
            painter.drawPolyline(QPolygonF(run))
            run = []
    if run:
        painter.drawPolyline(QPolygonF(run))


def _names(
    painter: QPainter,
    field: Field,
    what: Graph,
    p: Palette,
    s: float,
    upright: bool,
    taken: list[QRectF],
) -> None:
    """Each curve's name near its end, where there is room for it off the main curve."""
    main = next(s for s in what.series if s.kind == "main")
    pairs = zip(main.figure, main.axis, strict=True)
    line = [field.spot(*(pair if upright else pair[::-1])) for pair in pairs]
    for series in reversed(what.series):
        good = np.flatnonzero(np.isfinite(series.figure))
        if not series.label or not len(good):
            continue
        face = font(13 * s, 700 if series.kind == "main" else 500)
        wide = metrics(13 * s, 700).horizontalAdvance(series.label) + 8 * s
        places = []
        for share in (0.9, 0.75, 0.6, 0.45, 0.3, 0.15):
            k = good[int(share * (len(good) - 1))]
            pair = series.figure[k], series.axis[k]
            at = field.spot(*pair) if upright else field.spot(*pair[::-1])
            for x in (at.x() + 6 * s, at.x() - wide - 2 * s):
                box = QRectF(x, at.y() - 20 * s, wide, 18 * s)
                if field.box.contains(box) and not any(box.intersects(other) for other in taken):
                    places.append(box)
        off = [box for box in places if not any(box.contains(spot) for spot in line)]
        for box in (off or places)[:1]:
            taken.append(box)
            ink = QColor(p.ink if series.kind == "main" else p.ink2)
            spot = QPointF(box.left(), box.bottom() - 5 * s)
            _on_ground(painter, spot, series.label, face, ink, p, s)


def _map(painter: QPainter, field: Field, what: Map, p: Palette, s: float) -> None:
    """Shades from light to dark with the figure, and contours with their values on them."""
    import pyqtgraph as pg

    values = what.values
    known = np.isfinite(values)
    if not known.any():
        return
    low, high = float(values[known].min()), float(values[known].max())
    fine = _resampled(what, 160, 160)
    share = (fine - low) / max(high - low, 1e-12)
    a, b = QColor(p.sheet), mix(p.clear, p.sheet, 0.25)
    colours = np.array([[a.red(), a.green(), a.blue()], [b.red(), b.green(), b.blue()]], float)
    mixed = colours[0] + np.nan_to_num(share)[..., None] * (colours[1] - colours[0])
    ground = QColor(p.ground)
    mixed[~np.isfinite(fine)] = ground.red(), ground.green(), ground.blue()
    pixels = np.ascontiguousarray(mixed[::-1].round().astype(np.uint8))
    image = QImage(pixels.data, 160, 160, 480, QImage.Format.Format_RGB888).copy()
    painter.drawImage(field.box, image)
    painter.setFont(font(13 * s, 600))
    filled = np.where(np.isfinite(fine), fine, low - (high - low))
    for level in numbers.nice_ticks(low, high, LEVELS):
        touch = what.choice.key.startswith(("clearance", "pair")) and abs(level) < 1e-9
        digits = 2 if abs(level) < 10 and level % 1 else 0
        painter.setPen(QPen(QColor(p.touch if touch else p.ink2), (2.4 if touch else 1.1) * s))
        lines = [run for line in pg.isocurve(filled, level, connected=True)
                 for run in _known_runs(np.asarray(line) - 0.5, fine)]  # fmt: skip
        for run in lines:
            painter.drawPolyline(QPolygonF([_share_spot(field, x / 159, y / 159) for y, x in run]))
        for run in lines:
            if len(run) > 24:
                y, x = run[len(run) // 2] / 159
                _on_line(painter, _share_spot(field, x, y), numbers.plain(level, digits), p, s)


def _known_runs(points: Array, fine: Array) -> list[Array]:
    """The stretches of a contour (n, 2) that don't run along the edge of what is known."""
    at = np.clip(points.round().astype(int), 0, np.array(fine.shape) - 1)
    near = [np.clip(at + step, 0, np.array(fine.shape) - 1) for step in ((1, 1), (-1, -1), (0, 0))]
    good = np.all([np.isfinite(fine[tuple(n.T)]) for n in near], axis=0)
    runs = np.split(points, np.flatnonzero(np.diff(good)) + 1)
    kept = runs[0 if good[0] else 1 :: 2] if len(points) else []
    return [run for run in kept if len(run) > 1]


def _share_spot(field: Field, x: float, y: float) -> QPointF:
    box = field.box
    return QPointF(box.left() + x * box.width(), box.bottom() - y * box.height())


def _on_line(painter: QPainter, at: QPointF, words: str, p: Palette, s: float) -> None:
    path = QPainterPath()
    path.addText(at + QPointF(-8 * s, 5 * s), font(13 * s, 600), words)
    painter.strokePath(path, QPen(QColor(p.sheet), 4 * s))
    painter.fillPath(path, QColor(p.ink))


def _resampled(what: Map, rows: int, columns: int) -> Array:
    """The figure on an even grid, straight between the positions looked at. (rows, columns)"""
    z = np.linspace(what.travel[0], what.travel[-1], rows)
    r = np.linspace(what.rack[0], what.rack[-1], columns)
    across = np.array([np.interp(r, what.rack, row) for row in what.values])
    return np.array([np.interp(z, what.travel, column) for column in across.T]).T


def value_at(what: Graph | Map, axis: float, rack: float = 0.0) -> float:
    """The main curve's value at a place of the axis, or the map's at (travel, rack)."""
    if isinstance(what, Map):
        row = np.array([np.interp(rack, what.rack, row) for row in what.values])
        return float(np.interp(axis, what.travel, row))
    main = next(s for s in what.series if s.kind == "main")
    return float(np.interp(axis, main.axis, main.figure)) if len(main.axis) else float("nan")
