"""The tower and what else stands still or is carried whole, as it looks."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import numpy as np

from kinematics.project.model import CHASSIS, Box, Cylinder, Plate, Project, Scan, Tower
from kinematics.project.panels import sheet
from kinematics.shapes.directions import frame
from kinematics.shapes.display.mesh import (
    Mesh,
    box,
    circle,
    extrude,
    join,
    loft,
    mesh,
    revolve,
    sides,
)
from kinematics.shapes.display.skin import Figure, Skin, fixed, skin
from kinematics.shapes.display.solid import piece_mesh
from kinematics.shapes.folds import gussets, lips
from kinematics.shapes.pieces import Array, Block
from kinematics.shapes.plain import corners, prisms
from kinematics.shapes.poses import point
from kinematics.shapes.scan import ScanMesh, placing
from kinematics.shapes.tower import hole, outboard, panels, plate

HOLE_AROUND = 28
WALL = 4.0
"""Wall of a long box, drawn as a tube with a plate in either end, mm."""
RECESS = 1.5
"""How far the plates stand back: the ends are as solid to the eye as they are checked, mm."""


def tower_figures(project: Project) -> Iterator[Figure]:
    """The tower and its lip, drawn about the top plate's corner so that they can be slid whole."""
    tower = project.tower
    if tower is None:
        return
    out = outboard(project)
    least, most = plate(tower, out)
    corner = np.array([least[0], least[1], most[2]])
    across = tuple(round(float(v), 6) for v in most - least)
    cut = hole(project)
    at = None if cut is None else tuple(round(v, 6) for v in cut - np.array([*least[:2], 0.0]))
    hanging = [made.moved(-corner) for made in _hanging(tower, out)]
    stiff = [piece_mesh(Block((xyz - corner)[None], f)) for xyz, f in gussets(tower, out)]
    yield _figure("tower", join(_top(across, at), *hanging, *stiff), corner)
    if folds := lips(tower, out).values():
        made = join(*(box(*fold) for fold in folds))
        yield _figure("tower lip", made.moved(-corner), corner)


def _figure(name: str, made: Mesh, corner: Array) -> Figure:
    return Figure(skin(name, "tower", made), fixed(CHASSIS, corner))


@lru_cache(maxsize=16)
def _top(across: tuple[float, ...], cut: tuple[float, ...] | None) -> Mesh:
    """The top plate, its upper surface at z = 0, its hole (x, y, radius) cut in it."""
    x, y, thickness = across
    outline = np.array([(0.0, 0.0), (x, 0.0), (x, y), (0.0, y)])
    holes = () if cut is None else (circle(cut[2], HOLE_AROUND, cut[:2]),)
    return extrude(outline, -thickness, 0.0, holes)


def _hanging(tower: Tower, out: float) -> Iterator[Mesh]:
    """The panels, cut to butt against the top plate and each other instead of overlapping."""
    boxes = panels(tower, out)
    for name, (least, most) in boxes.items():
        low, high = least.copy(), most.copy()
        high[2] -= tower.thickness
        if name in ("inner panel", "outer panel"):
            # Side panels stand between front and rear where those hang at least as far down.
            if "rear panel" in boxes and boxes["rear panel"][0][2] <= low[2]:
                low[0] += sheet(tower, "rear")
            if "front panel" in boxes and boxes["front panel"][0][2] <= low[2]:
                high[0] -= sheet(tower, "front")
        yield box(low, high)


def box_figure(name: str, spec: Box) -> Figure:
    """A box; one much longer than wide is drawn as a tube with plated ends, within the box."""
    xyz = corners(np.array(spec.least), np.array(spec.most))
    middle, half = xyz.mean(axis=0), (xyz[7] - xyz[0]) / 2
    long = int(np.argmax(half))
    others = np.delete(half, long)
    if half[long] > 3.0 * others.max() and others.min() > 3.0 * WALL:
        made = _plated_tube(half, long)
    else:
        made = box(-half, half)
    return Figure(skin(name, spec.is_a, made), fixed(spec.body, middle))


def _plated_tube(half: Array, long: int) -> Mesh:
    """A box whose two ends along one axis are recessed within a wall."""
    a, b = np.delete(half, long)
    c = half[long]
    rings = [(a, b, c), (a - WALL, b - WALL, c), (a - WALL, b - WALL, c - RECESS)]
    loops = [
        np.array([(x, y, z) for x, y in ((-p, -q), (p, -q), (p, q), (-p, q))]) for p, q, z in rings
    ]
    # From the bottom of one recess out over the outside to the bottom of the other.
    turned = [loop * (1.0, 1.0, -1.0) for loop in loops[::-1]]
    made = loft(np.array([*turned, *loops]))
    axes = {
        0: [[0, 0, 1], [1, 0, 0], [0, 1, 0]],
        1: [[1, 0, 0], [0, 0, -1], [0, 1, 0]],
        2: [[1, 0, 0], [0, 1, 0], [0, 0, 1]],
    }
    turn = np.array(axes[long], float)
    if long == 1:
        turn = np.array([[1, 0, 0], [0, 0, 1], [0, 1, 0]], float)
    return made.moved(rotation=turn)


def plate_figure(name: str, spec: Plate) -> Figure:
    """A plate: the prisms it is made of."""
    outline = np.array(spec.outline, float)
    middle = outline.mean(axis=0)
    meshes = []
    for xyz, faces in prisms(outline, spec.thickness):
        triangles = [(f[0], f[k], f[k + 1]) for f in faces for k in range(1, len(f) - 1)]
        meshes.append(mesh(xyz - middle, triangles))
    return Figure(skin(name, spec.is_a, join(*meshes)), fixed(spec.body, middle))


def cylinder_figure(name: str, spec: Cylinder, project: Project) -> Figure:
    """A flat-ended cylinder, its edges broken."""
    start, end = (point(project, p) for p in spec.points)
    length, r = float(np.linalg.norm(end - start)), spec.diameter / 2
    bevel = min(2.0, 0.2 * r, 0.2 * length)
    outline = [
        (0.0, 0.0),
        (r - bevel, 0.0),
        (r, bevel),
        (r, length - bevel),
        (r - bevel, length),
        (0.0, length),
    ]
    placer = fixed(spec.body, start, frame(end - start))
    return Figure(skin(name, spec.is_a, revolve(outline, sides(r, 0.5, 32))), placer)


def scan_figure(name: str, spec: Scan, made: ScanMesh) -> Figure:
    """A scan as imported, about the middle of its box, and placed as it should be."""
    (low, high), (turned, moved) = made.box, placing(spec)
    placer = fixed(spec.body, turned @ ((low + high) / 2) + moved, turned)
    return Figure(_scan_skin(name, spec.is_a, made), placer)


@lru_cache(maxsize=4)
def _scan_skin(name: str, kind: str, made: ScanMesh) -> Skin:
    """The very same one each time: whoever shows it can tell that nothing has changed."""
    low, high = made.box
    shape = mesh(made.vertices - (low + high) / 2, made.faces)
    return skin(name, kind, shape, closed=bool(made.closed.all()))
