"""The corner from the front and from outside, with what it pushes and pulls the chassis with."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPainterPath

from app.paper import corner, ink
from app.paper.ink import face, line, text
from app.paper.raster import Look
from kinematics.statics.chassis import on_chassis
from kinematics.statics.loading import Settled, top_force
from kinematics.studies.study import Study

Array = NDArray[np.float64]
LONGEST = 46.0  # px of the largest arrow
HEAD_ROOM = 44.0  # px kept free above each view: the largest arrow points up
LEAST = 0.04  # of the largest: smaller ones are not drawn


def draw_forces(painter: QPainter, area: QRectF, study: Study) -> None:
    """The load case that pushes the top mount hardest, front view over the view from outside."""
    settled = hardest(study)
    if settled is None:
        return
    parts = corner.solids(study, study.index(settled.travel, 0.0))
    if not parts:
        return
    assert study.statics is not None
    pushes = on_chassis(study.statics.project, settled.forces)
    most = max(float(push.size[0, 0]) for push in pushes)
    views = corner.views(study.out)[:2]
    sizes = [corner.extent(parts, view) for view in views]
    room = area.height() / 2 - 18 - HEAD_ROOM
    scale = min(
        min(area.width() / (high[0] - low[0]), room / (high[1] - low[1])) for low, high in sizes
    )
    for i, (view, (low, high)) in enumerate(zip(views, sizes, strict=True)):
        top_edge = area.top() + i * area.height() / 2 + HEAD_ROOM
        pane = QRectF(area.left(), top_edge, area.width(), room)
        middle = (float(low[0] + high[0]) / 2, float(low[1] + high[1]) / 2)
        look = corner.draw_view(painter, pane, parts, view, middle, float(scale))
        for push in sorted(pushes, key=lambda each: each.top):
            share = push.force[0, 0] / most
            _arrow(painter, pane, look, push.at[0], share, push.top)
        words = f"{view.name}, {settled.case}" if i else view.name
        text(
            painter, pane.center().x(), pane.bottom() + 13, words, face(11, 400, True), ink.INK2,
            "middle",
        )  # fmt: skip


def hardest(study: Study) -> Settled | None:
    """The load case whose force on the top mount is largest where it settles."""
    known = study.statics
    coilover = study.project.coilover
    if known is None or known.loading is None or coilover is None:
        return None
    sizes = [
        (float(np.linalg.norm(top_force(s.forces, coilover.top.point)[0, 0])), s)
        for s in known.loading.settled
    ]
    return max(
        (each for each in sizes if np.isfinite(each[0])), key=lambda e: e[0], default=(0.0, None)
    )[1]


def _arrow(painter: QPainter, pane: QRectF, look: Look, at: Array, share: Array, top: bool) -> None:
    """An arrow from the joint the way the chassis is pushed, as long as its force."""
    seen = look.place(at)
    start = QPointF(pane.left() + float(seen[0]), pane.top() + float(seen[1]))
    right, up = (float(v) for v in look.axes[:2] @ share)
    size = float(np.hypot(right, up))
    if not size >= LEAST:
        return
    along = QPointF(right / size, -up / size)
    end = start + along * (LONGEST * size)
    side = QPointF(-along.y(), along.x())
    colour, head = (ink.DYE, 9.0) if top else (ink.INK, 6.0)
    painter.setPen(line(ink.PAPER, 5.0 if top else 3.6))
    painter.drawLine(start, end)
    painter.setPen(line(colour, 2.6 if top else 1.4))
    painter.drawLine(start, end)
    tip = QPainterPath(end + along * head)
    tip.lineTo(end + side * (0.5 * head))
    tip.lineTo(end - side * (0.5 * head))
    tip.closeSubpath()
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colour)
    painter.drawPath(tip)
    painter.setBrush(Qt.BrushStyle.NoBrush)
