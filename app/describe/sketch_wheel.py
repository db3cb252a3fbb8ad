"""The wheel in section, its lower half: tyre, rim, hub face, and the ground it stands on."""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainterPath, QPen

from app.describe.drafting import NOT_GIVEN, Board, figure
from app.document.tree import Path
from kinematics.errors import ClearstrokeError
from kinematics.project.markings import read_bolts, read_rim, read_tyre
from kinematics.project.model import Project, Rim
from kinematics.shapes.profile import rounded
from kinematics.shapes.sections import (
    RimSection,
    TyreSection,
    most_growth,
    rim_section,
    tyre_section,
)

TYRE: Path = ("wheel", "tyre")
RIM: Path = ("wheel", "rim")
LARGER, MOST = 6.0, 14.0  # how much larger camber and toe are drawn, and the most, degrees


def draw(board: Board, project: Project) -> None:
    """The section with the dimensions of tyre or rim, whichever has the focus."""
    try:
        tyre, rim = tyre_section(project.wheel), rim_section(project.wheel)
    except ClearstrokeError:
        board.word(
            "The markings of tyre and rim don't go together yet.", board.place.center(), "middle"
        )
        return
    wide = max(tyre.half_width, rim.half_overall) + 8.0
    deep = max(tyre.free_radius, project.wheel.tyre.free_radius or 0.0)
    board.fit((-wide, -deep - 4.0), (wide, 4.0), (112, 14, 112, 42))
    _parts(board, project, tyre, rim)
    of_rim = board.current[:2] == RIM
    (_of_rim if of_rim else _of_tyre)(board, project, tyre, rim)
    s = board.scale
    for text, x, align in (("middle of the car", 2.0, "left"), ("outside", -2.0, "right")):
        edge = board.place.left() if x > 0 else board.place.right()
        board.word(text, QPointF(edge + x * board.scale, board.place.bottom() - 8 * s), align)


def _parts(board: Board, project: Project, tyre: TyreSection, rim: RimSection) -> None:
    out = [(y, -r) for r, y in tyre.profile().points(0.4)]
    board.shape(out, "tyre")
    inner = _carcass(tyre)
    board.painter.setBrush(QColor(board.palette.sheet))
    board.painter.drawPolygon([board.at(y, -r) for r, y in inner])
    shift = 0.0
    for points in (*rim.rings().values(), *rim.centre().values()):
        board.shape([(y + shift, -r) for r, y in rounded(points).points(0.4)], "wheel")
    spacer = project.wheel.rim.spacer
    if rim.face is not None:
        edge, bore = rim.pad, (rim.bore or 0.0) / 2
        if spacer > 0:
            board.box((rim.face, -bore), (rim.face - spacer, -edge), "arm")
        board.box((rim.face - spacer, 0.0), (rim.face - spacer - 16.0, -edge - 4.0), "upright")
    span = tyre.half_width + 16.0
    board.line((-span, 0.0), (span, 0.0), "centre")
    board.line((0.0, 6.0), (0.0, -tyre.free_radius - 8.0), "centre")
    loaded = project.wheel.tyre.loaded_radius
    if loaded is not None:
        board.ground(-loaded, -span, span)


def _carcass(tyre: TyreSection) -> np.ndarray:
    """The hollow of the tyre: its outline drawn in by what rubber is thick, for the eye alone."""
    points = tyre.profile().points(0.4)
    middle = np.array([(tyre.bead_radius + tyre.free_radius) / 2 - 6.0, 0.0])
    tread, wall = 12.0, 9.0
    size = np.array([(tyre.free_radius - tyre.bead_radius) / 2, tyre.half_width])
    share = (size - (tread, wall)) / size
    return np.asarray(middle + (points - middle) * share)


def _of_tyre(board: Board, project: Project, tyre: TyreSection, rim: RimSection) -> None:
    own, units = project.wheel.tyre, board.units
    free = own.free_radius or tyre.free_radius - own.growth
    width = own.section_width or 2 * (tyre.half_width - own.growth)
    tread = own.tread_width or 2 * (tyre.half_tread - own.growth)
    if board.lit((*TYRE, "size")):
        _marking(board, project, tyre, rim)
        return
    board.upright(
        (*TYRE, "free_radius"),
        (tyre.half_width * 0.5, 0.0),
        (tyre.half_tread, -free),
        -30,
        figure(free, units),
    )
    if own.loaded_radius is not None or board.lit((*TYRE, "loaded_radius")):
        left = -tyre.half_width - 10.0
        board.upright(
            (*TYRE, "loaded_radius"),
            (left, 0.0),
            (left, -(own.loaded_radius or free)),
            74,
            figure(own.loaded_radius, units),
        )
    if own.flat_radius is not None or board.lit((*TYRE, "flat_radius")):
        flat = own.flat_radius or rim.flange
        left = -tyre.half_width - 10.0
        if own.flat_radius is not None:
            board.line((left, -flat), (-left, -flat), "dashed")
        words = figure(flat, units) if own.flat_radius else "the flange"
        board.upright((*TYRE, "flat_radius"), (left, 0.0), (left, -flat), 30, words)
    board.across(
        (*TYRE, "section_width"),
        (-width / 2, -tyre.widest_radius),
        (width / 2, -tyre.widest_radius),
        -12,
        figure(width, units),
    )
    board.across(
        (*TYRE, "tread_width"), (-tread / 2, -free), (tread / 2, -free), -30, figure(tread, units)
    )
    path = (*TYRE, "shoulder_radius")
    if own.shoulder_radius is not None or board.lit(path):
        turn = radians(50)
        x = tyre.half_tread + tyre.shoulder * sin(turn)
        r = tyre.free_radius - tyre.shoulder * (1 - cos(turn))
        at = QPointF(
            board.place.right() - 74 * board.scale, board.place.bottom() - 52 * board.scale
        )
        board.leader(path, (x, -r), at, f"R {figure(own.shoulder_radius or tyre.shoulder, units)}")
    if own.growth > 0 or board.lit((*TYRE, "growth")):
        _growth(board, project, tyre)


def _growth(board: Board, project: Project, tyre: TyreSection) -> None:
    """The tyre without what is added all round for growth, dashed within its outline."""
    growth = project.wheel.tyre.growth
    points = tyre.profile().points(0.4)
    middle = np.array([(tyre.bead_radius + tyre.free_radius) / 2, 0.0])
    size = np.array([(tyre.free_radius - tyre.bead_radius) / 2, tyre.half_width])
    inner = middle + (points - middle) * (size - growth) / size
    path = QPainterPath(board.at(inner[0][1], -inner[0][0]))
    for r, y in inner[1:]:
        path.lineTo(board.at(y, -r))
    pen = QPen(QColor(board.palette.sheet), 1.2 * board.scale)
    pen.setDashPattern([3, 3])
    board.painter.setPen(pen)
    board.painter.setBrush(QColor(0, 0, 0, 0))
    board.painter.drawPath(path)
    at = QPointF(board.place.left() + 78 * board.scale, board.place.bottom() - 52 * board.scale)
    entry = (*TYRE, "growth")
    tip = (-tyre.half_width * 0.82, -tyre.free_radius + 16)
    board.leader(entry, tip, at, f"+{figure(growth, board.units)} all round")
    more = most_growth(project.wheel)
    if board.lit(entry) and more > 0.05:  # mm
        below = QPointF(board.place.left() + 2 * board.scale, at.y() + 22 * board.scale)
        board.word(f"a new one: up to +{figure(growth + more, board.units)}", below, "left")


def _marking(board: Board, project: Project, tyre: TyreSection, rim: RimSection) -> None:
    """What each number of the sidewall's marking is."""
    size = read_tyre(project.wheel.tyre.size)
    path = (*TYRE, "size")
    width = size.section(2 * rim.half)
    board.across(
        path,
        (-width / 2, -tyre.widest_radius),
        (width / 2, -tyre.widest_radius),
        -12,
        f"{size.width:g} marked",  # on a wider rim than the size's own it stands wider
    )
    high = size.height
    x = tyre.half_width * 0.6
    board.upright(path, (x, -rim.seat), (x, -rim.seat - high), -46, f"{size.aspect:g} % of it")
    board.upright(
        path, (-x, 0.0), (-rim.half * 0.8, -rim.seat), 52, f"half of {size.rim_code:g} in"
    )


def _of_rim(board: Board, project: Project, tyre: TyreSection, rim: RimSection) -> None:
    own = project.wheel.rim
    size = read_rim(own.size)
    path = (*RIM, "size")
    board.across(
        path, (-rim.half, -rim.seat), (rim.half, -rim.seat), -12, f"{size.width:g} in {size.flange}"
    )
    if board.lit(path):
        board.upright(
            path, (-rim.half, 0.0), (-rim.half, -rim.seat), 52, f"half of {size.code:g} in"
        )
    face = rim.face
    if face is None:
        board.word(
            "No offset in the marking: the hub face's place isn't known.",
            QPointF(board.place.center().x(), board.place.top() + 12 * board.scale),
            "middle",
        )
        return
    if size.offset is not None and abs(face) > 0.5:
        board.right_here(
            path, (0.0, -rim.well * 0.82), (face, -rim.well * 0.82), f"ET {size.offset:g}"
        )
    if board.lit(path) and rim.backspacing is not None:
        deep = -rim.well * 0.5
        words = f"backspacing {figure(rim.backspacing, board.units)}"
        board.right_here(path, (-rim.half_overall, deep), (face, deep), words)
    _of_bolts(board, own, face)
    _of_centre(board, own, face, -rim.pad * 0.62)


def _of_bolts(board: Board, own: Rim, face: float) -> None:
    """The bolt circle and the thread of the studs, at the hub face."""
    path, outer = (*RIM, "bolts"), face + own.disc_thickness
    right = board.place.right() - 62 * board.scale
    if own.bolts:
        try:
            count, circle = read_bolts(own.bolts)
        except ClearstrokeError:
            count, circle = 0, 0.0
        if count:
            board.line((face - 24.0, -circle / 2), (outer + 14.0, -circle / 2), "centre")
            at = QPointF(right, board.at(0, -circle / 2).y())
            words = f"{count} on {figure(circle, board.units)}"
            board.leader(path, (outer, -circle / 2), at, words)
    elif board.lit(path):
        board.leader(path, (outer, -50.0), QPointF(right, board.at(0, -50.0).y()), NOT_GIVEN)
    if board.lit((*RIM, "stud_thread")):
        left = QPointF(board.place.left() + 62 * board.scale, board.at(0, -58).y())
        words = "not given" if own.stud_thread is None else figure(own.stud_thread, board.units)
        board.leader((*RIM, "stud_thread"), (outer, -50.0), left, f"thread {words}")


def _of_centre(board: Board, own: Rim, face: float, low: float) -> None:
    """The wheel's centre: its bore, how thick it is and the spacer behind it, at height ``low``."""
    units, outer = board.units, face + own.disc_thickness
    path = (*RIM, "centre_bore")
    if own.centre_bore is not None or board.lit(path):
        y = -(own.centre_bore or 0.0) / 2
        right = board.place.right() - 62 * board.scale
        at = QPointF(right, board.at(0, y).y() - 4 * board.scale)
        middle = (face + own.disc_thickness / 2, y)
        board.leader(path, middle, at, f"bore {figure(own.centre_bore, units)}")
    path = (*RIM, "disc_thickness")
    if board.lit(path):
        board.right_here(path, (face, low), (outer, low), figure(own.disc_thickness, units))
    path = (*RIM, "spacer")
    if own.spacer > 0 or board.lit(path):
        left = QPointF(board.place.left() + 62 * board.scale, board.at(0, low).y())
        board.leader(path, (face - own.spacer, low), left, f"spacer {figure(own.spacer, units)}")


def lean(board: Board, project: Project) -> None:
    """Camber seen from the front and toe seen from above; drawn larger than they are."""
    wheel, whole = project.wheel, board.place
    try:
        tyre = tyre_section(wheel)
        tall, wide = tyre.free_radius * 2, tyre.half_width * 2
    except ClearstrokeError:
        tall, wide = 580.0, 200.0
    out = 1.0 if project.side == "left" else -1.0
    half = whole.width() / 2
    for k, (name, key, words, side, way) in enumerate(
        (
            ("camber", "camber_deg", "from the front", out, out),
            ("toe", "toe_deg", "from above, front up", -out, out),
        )
    ):
        board.place = QRectF(whole.left() + k * half, whole.top(), half, whole.height())
        board.fit((-tall / 2, -tall / 2), (tall / 2, tall / 2), (8, 34, 8, 44))
        angle = getattr(wheel, key) if wheel.axis is None else 0.0
        turn = radians(max(-MOST, min(MOST, LARGER * angle))) * way
        _leaning(board, tall, wide, turn)
        if k == 0:
            board.ground(-tall * 0.5, -tall * 0.5, tall * 0.5)
        s, middle = board.scale, board.place.center().x()
        label = QPointF(middle, board.place.top() + 12 * s)
        shown = "by its axis" if wheel.axis is not None else f"{angle:g}°".replace("-", "−")
        board.label(("wheel", key), label, f"{name} {shown}", True, 1e9)
        board.word(words, QPointF(middle, board.place.bottom() - 10 * s), "middle")
        edge = board.at(side * tall * 0.5, 0.0)
        board.word("outside", edge, "right" if side > 0 else "left")
    board.place = whole


def _leaning(board: Board, tall: float, wide: float, turn: float) -> None:
    """A tyre turned by so much, its top to the right if positive, and the line it leans from."""
    outline = [(-wide, -tall), (wide, -tall), (wide, tall), (-wide, tall)]
    corners = rounded([(x / 2, y / 2) for x, y in outline], min(0.35 * wide, 60.0)).points(0.5)
    c, q = cos(-turn), sin(-turn)
    board.shape([(x * c - y * q, x * q + y * c) for x, y in corners], "tyre")
    board.line((0, -tall * 0.5), (0, tall * 0.53), "centre")
    far = tall * 0.53
    board.line((-far * sin(turn), -far * cos(turn)), (far * sin(turn), far * cos(turn)), "dashed")
