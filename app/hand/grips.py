"""What can be taken hold of in the view while the corner is described, besides its points."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF

from app.stage.pick import Hit
from app.stage.scene import Piece
from app.stage.view import Stage
from kinematics.project.arch_grips import arch_line, arch_way, pull_arch
from kinematics.project.furnish import move_face, move_tower_face
from kinematics.project.grips import (
    bolted_to,
    corners_of,
    edges_of,
    middle_of,
    move_bracket,
)
from kinematics.project.model import Arch, Box, Plate, Project, Scan
from kinematics.project.pulls import Corner, Edge
from kinematics.project.tower_grips import (
    TOWER,
    gusset_at,
    gusset_line,
    gusset_way,
    pull_gusset,
)
from kinematics.shapes.scan import placing

Array = NDArray[np.float64]
SQUARE = 0.8  # cosine of the slant up to which a face counts as square to an axis
NEAR = 10.0  # px about a corner, an edge or a bracket's handle that take hold of it
THROUGH = 2.0  # times that, on the part: what is farther from the hand lies behind what it is on
OF_TOWER = {TOWER, "tower lip"}
FACES = {(0, 1): "front", (0, -1): "rear", (2, 1): "upper", (2, -1): "lower"}
Line = Callable[[Project], Array]


@dataclass(frozen=True, eq=False)
class Grip:
    """Something that can be pulled.

    line : (n, 3), what lights up; ``now``: the same in another project. along : the unit vector
    (3,) it goes along; None: in a plane, that square to ``normal`` (3,), or of the picture without
    one. at : (k, 3), places of it whose coordinates snap to their neighbours'; ``spot`` (3,) the
    one that a corner stands at. entry : where its coordinate is typed.
    """

    part: str
    name: str
    line: Array
    now: Line
    along: Array | None
    at: Array
    moved: Callable[[Project, Array], Project]
    entry: tuple[str | int, ...]
    takes: tuple[str, ...] = ()  # points that go along
    normal: Array | None = None
    spot: Array | None = None


def grip_at(
    project: Project, stage: Stage, at: QPointF, hit: Hit | None, measured: bool = True
) -> Grip | None:
    """A bracket's handle, a corner, an edge or a face under the pointer.

    ``measured``: whether all stands as it was measured; else what moves can't be taken.
    """
    reach = NEAR * stage.theme.scale
    for part, spot in handles(project, stage):
        if (spot - at).manhattanLength() < reach:
            return whole(project, part, stage)
    beside = hit or _beside(stage, at, 0.6 * reach)
    if beside is None or (beside.piece.moving and not measured):
        return None
    found = _rim(project, stage, at, beside, reach)
    return found if found is not None or hit is None else _face_under(project, hit)


def _beside(stage: Stage, at: QPointF, reach: float) -> Hit | None:
    """What is met a little beside the pointer: a corner is mostly pointed at from without."""
    for x, y in ((-1, 0), (1, 0), (0, -1), (0, 1)):
        if (hit := stage.pick(at + QPointF(x * reach, y * reach))) is not None:
            return hit
    return None


def _rim(project: Project, stage: Stage, at: QPointF, hit: Hit, reach: float) -> Grip | None:
    """The corner, or else the edge, nearest the pointer of what a hand is on."""
    part = TOWER if hit.piece.part in OF_TOWER else hit.piece.part
    deep = THROUGH * reach * stage.mm_per_px
    corners = [
        (round(away(stage, corner.at, at)), -_faces(corner, hit), k)
        for k, corner in enumerate(corners_of(project, part))
        if np.linalg.norm(corner.at - hit.point) < deep
    ]
    if corners and min(corners)[0] < reach:
        return _corner(project, part, min(corners)[2])
    edges = [
        (apart(stage, edge, at), k)
        for k, edge in enumerate(edges_of(project, part))
        if _off(edge, hit.point) < deep
    ]
    near = min(edges, default=(np.inf, 0))
    return _edge(project, part, near[1]) if near[0] < reach else None


def same(a: Grip | None, b: Grip | None) -> bool:
    """Whether two grips are of the same thing, so that nothing else is to light up."""
    if a is None or b is None:
        return a is b
    return a.name == b.name and np.array_equal(a.line, b.line)


def handles(project: Project, stage: Stage) -> list[tuple[str, QPointF]]:
    """The boxes, plates and scans, and where on the stage they are taken as a whole."""
    found = []
    for part in project.parts:
        middle = middle_of(project, part)
        if (piece := scan_piece(project, part, stage)) is not None:
            middle = piece.pose[:, 3]
        if middle is not None:
            x, y = stage.spots(middle)
            if np.isfinite((x, y)).all():
                found.append((part, QPointF(float(x), float(y))))
    return found


def scan_piece(project: Project, part: str, stage: Stage) -> Piece | None:
    """What is drawn of a scan, if it can be moved as it stands.

    Its middle is known only where its file was read. One whose body is turned just now would go
    another way than the hand.
    """
    found, piece = project.parts.get(part), stage.scene.pieces.get(part)
    if not isinstance(found, Scan) or piece is None or not piece.shown:
        return None
    straight = np.allclose(piece.pose[:, :3], placing(found)[0], rtol=0.0, atol=1e-6)
    return piece if straight else None


def away(stage: Stage, point: Array, at: QPointF) -> float:
    """How far the pointer is from a point on the screen, px."""
    x, y = stage.spots(point)
    far = float(np.hypot(x - at.x(), y - at.y()))
    return far if np.isfinite(far) else np.inf


def apart(stage: Stage, edge: Edge, at: QPointF) -> float:
    """How far the pointer is from an edge on the screen, px."""
    a, b = stage.spots(edge.ends)
    spot = np.array([at.x(), at.y()])
    along = b - a
    share = np.clip((spot - a) @ along / max(float(along @ along), 1e-9), 0.0, 1.0)
    far = float(np.linalg.norm(a + share * along - spot))
    return far if np.isfinite(far) else np.inf


def _off(edge: Edge, place: Array) -> float:
    """How far a place (3,) is from an edge, mm."""
    a, b = edge.ends
    along = b - a
    share = np.clip((place - a) @ along / max(float(along @ along), 1e-9), 0.0, 1.0)
    return float(np.linalg.norm(a + share * along - place))


def _faces(corner: Corner, hit: Hit) -> float:
    """How squarely the face under the hand is the one a corner stays in: of two panels' feet."""
    return 0.0 if corner.normal is None else abs(float(hit.normal @ corner.normal))


def whole(project: Project, part: str, stage: Stage) -> Grip:
    """A box or plate as one, with what is bolted to it; or a scan."""
    found = project.parts[part]
    assert isinstance(found, Box | Plate | Scan)

    def moved(start: Project, move: Array) -> Project:
        return move_bracket(start, part, (float(move[0]), float(move[1]), float(move[2])))

    if isinstance(found, Scan):
        return _scan(part, found, stage, moved)
    boxed = isinstance(found, Box)
    at = np.array([found.least, found.most] if isinstance(found, Box) else found.outline, float)
    takes = bolted_to(project, part)
    entry = ("parts", part, *(("least", 0) if boxed else ("outline", 0, 0)))
    now = partial(_outline, part)
    return Grip(part, part, now(project), now, None, at, moved, entry, takes)


def _scan(part: str, scan: Scan, stage: Stage, moved: Callable[[Project, Array], Project]) -> Grip:
    """A scan as one: the box about it, square to the car, lights up and comes level."""
    piece = stage.scene.pieces[part]
    points = np.asarray(piece.skin.vertices, float) @ piece.pose[:, :3].T + piece.pose[:, 3]
    at = np.array([points.min(axis=0), points.max(axis=0)])

    def now(made: Project) -> Array:
        there = made.parts.get(part)
        by = np.subtract(there.move, scan.move) if isinstance(there, Scan) else np.zeros(3)
        return _rectangles(at) + by

    return Grip(part, part, _rectangles(at), now, None, at, moved, ("parts", part, "move", 0))


def _outline(part: str, project: Project) -> Array:
    """Once round a plate, or round the lower and the upper face of a box. (n, 3)"""
    found = project.parts[part]
    if isinstance(found, Box):
        return _rectangles(np.array([found.least, found.most], float))
    at = np.asarray(found.outline, float)  # type: ignore[union-attr]
    return np.vstack([at, at[:1]])


def _edge(project: Project, part: str, k: int) -> Grip:
    edge = edges_of(project, part)[k]

    def moved(start: Project, move: Array) -> Project:
        return edge.pull(start, float(move @ edge.way))

    def now(made: Project) -> Array:
        every = edges_of(made, part)
        return every[k].line if k < len(every) and every[k].name == edge.name else edge.line

    return Grip(part, edge.name, edge.line, now, edge.way, edge.ends[:1], moved, edge.entry)


def _corner(project: Project, part: str, k: int) -> Grip:
    corner = corners_of(project, part)[k]

    def now(made: Project) -> Array:
        return corners_of(made, part)[k].line

    return Grip(
        part, corner.name, corner.line, now, None, corner.at[None], corner.pull, corner.entry,
        normal=corner.normal, spot=corner.at,
    )  # fmt: skip


def _face_under(project: Project, hit: Hit) -> Grip | None:
    """A face of a box or the tower, a gusset, or the round of a wheel arch."""
    part = hit.piece.part
    if part == TOWER and (k := gusset_at(project, hit.point)) is not None:
        return _gusset(project, k)
    found = project.parts.get(part)
    if isinstance(found, Arch):
        way = arch_way(project, found, hit.point)
        return None if way is None else _round(project, part, way, hit)
    face = face_at(project, hit)
    return None if face is None else _face(project, face, hit)


def _gusset(project: Project, k: int) -> Grip:
    along = gusset_way(project, k)

    def moved(start: Project, move: Array) -> Project:
        return pull_gusset(start, k, float(move @ along))

    def now(made: Project) -> Array:
        return gusset_line(made, k)

    assert project.tower is not None
    name = f"gusset on the tower's {project.tower.gussets[k].on} panel"
    line, entry = now(project), (TOWER, "gussets", k, "at")
    return Grip(TOWER, name, line, now, along, line[:1], moved, entry)


def _round(project: Project, part: str, way: Array, hit: Hit) -> Grip:
    def moved(start: Project, move: Array) -> Project:
        return pull_arch(start, part, float(move @ way))

    def now(made: Project) -> Array:
        return arch_line(made, part)

    entry = ("parts", part, "radius")
    return Grip(part, f"round of the {part}", now(project), now, way, hit.point[None], moved, entry)


def face_at(project: Project, hit: Hit | None) -> tuple[str, int, int] | None:
    """Part, axis and side of the face under the hand, if it is one that can be pulled."""
    if hit is None:
        return None
    part = hit.piece.part
    boxed = isinstance(project.parts.get(part), Box)
    if not boxed and not (part == TOWER and project.tower is not None):
        return None
    axis = int(np.argmax(np.abs(hit.normal)))
    if abs(hit.normal[axis]) < SQUARE:
        return None
    side = 1 if hit.normal[axis] > 0 else -1
    return None if part == TOWER and (axis, side) == (2, -1) else (part, axis, side)


def _face(project: Project, face: tuple[str, int, int], hit: Hit) -> Grip:
    part, axis, side = face
    out = 1 if project.side == "left" else -1
    word = FACES.get((axis, side), "outer" if side == out else "inner")
    move: Callable[[Project, int, int, float], Project] = move_tower_face
    entry: tuple[str | int, ...] = (TOWER, {"upper": "top"}.get(word, word))
    if part != TOWER:
        move = partial(_move_box_face, part)
        entry = ("parts", part, "most" if side > 0 else "least", axis)
    along, low = np.eye(3)[axis], float(hit.piece.points()[:, 2].min())

    def moved(start: Project, by: Array) -> Project:
        return move(start, axis, side, float(by @ along))

    def now(made: Project) -> Array:
        flat = _ends_of(made, part, low)
        flat[:, axis] = flat[1 if side > 0 else 0, axis]
        return _rectangle(flat, axis)

    line = now(project)
    name = f"{word} face of the {part}"
    return Grip(part, name, line, now, along, line[:1], moved, entry)


def _move_box_face(part: str, project: Project, axis: int, side: int, by: float) -> Project:
    return move_face(project, part, axis, side, by)


def _ends_of(project: Project, part: str, low: float) -> Array:
    """Least and most corner of a box, or of the tower down to ``low``. (2, 3)"""
    found, tower = project.parts.get(part), project.tower
    if isinstance(found, Box):
        return np.array([found.least, found.most], float)
    assert tower is not None
    out = 1.0 if project.side == "left" else -1.0
    sides = sorted((tower.inner * out, tower.outer * out))
    return np.array([[tower.rear, sides[0], low], [tower.front, sides[1], tower.top]], float)


def _rectangle(ends: Array, axis: int) -> Array:
    """The closed outline of a box that is flat along an axis. (5, 3)"""
    a, b = (k for k in range(3) if k != axis)
    found = np.repeat(ends[:1], 5, axis=0)
    found[[1, 2], a] = ends[1, a]
    found[[2, 3], b] = ends[1, b]
    return found


def _rectangles(ends: Array) -> Array:
    """Once round the lower and once round the upper face of a box. (10, 3)"""
    lower = _rectangle(np.array([ends[0], [*ends[1, :2], ends[0, 2]]]), 2)
    return np.vstack([lower, lower + np.array([0.0, 0.0, ends[1, 2] - ends[0, 2]])])
