"""The tower from the front and from outside; the top mount in section and from above."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainterPath

from app.describe.drafting import NOT_GIVEN, XY, Board, across, figure
from app.document.tree import Path
from kinematics.project.model import MountPlate, Project, TopMount, Tower
from kinematics.shapes.folds import lips
from kinematics.shapes.mount import bolt_places
from kinematics.shapes.tower import panels, plate

TOWER: Path = ("tower",)
MOUNT: Path = ("top_mount",)
PLATE: Path = ("top_mount", "plate")
HOUSING = 40.0  # mm: drawn so where no diameter is given


def draw(board: Board, project: Project) -> None:
    """The view that shows the entry in hand: along the car from outside, else across it."""
    tower = project.tower
    if tower is None:
        return
    feet = _feet(tower)
    low = min(feet) if feet else tower.top - 60.0
    spread = max(tower.outer - tower.inner, tower.front - tower.rear, tower.top - low) * 0.1
    along = str(board.current[-1]).startswith(("front", "rear"))
    (_side if along else _front)(board, project, tower, low, spread)
    words = "from outside" if along else "from the front"
    middle = (board.place.top() + board.place.bottom()) / 2
    board.word(words, QPointF(board.place.left(), middle))


def _feet(tower: Tower) -> list[float]:
    names = ("front_down_to", "rear_down_to", "inner_down_to", "outer_down_to")
    return [z for name in names if (z := getattr(tower, name)) is not None]


def _boxes(tower: Tower, i: int) -> list[tuple[str, XY, XY]]:
    """Every sheet of the tower as a rectangle seen along an axis: i is what lies across, 0 or 1."""
    found = {"plate": plate(tower, 1.0), **panels(tower, 1.0), **lips(tower, 1.0)}
    made = [
        (name, (float(a[i]), float(a[2])), (float(b[i]), float(b[2])))
        for name, (a, b) in found.items()
    ]
    return sorted(
        made, key=lambda each: -abs((each[2][0] - each[1][0]) * (each[2][1] - each[1][1]))
    )


def _front(board: Board, project: Project, tower: Tower, low: float, spread: float) -> None:
    """From the front, outside to the right; distances are from the middle of the car."""
    wall = tower.inner - spread * 3.0
    lip = max(0.0, tower.lip)
    board.fit((wall, low - spread), (tower.outer + lip, tower.top), (88, 46, 92, 34))
    _sheets(board, tower, 1, ("front panel", "rear panel"))
    y_low = low - spread
    board.line((wall, y_low), (wall, tower.top + spread * 0.3), "centre")
    if project.coilover is not None:
        _, y, z = project.points[project.coilover.top.point]
        board.line((abs(y), z + 20.0), (abs(y), low), "centre")
        board.disc(abs(y), z, 9.0, "wheel")
    board.word("middle of car", board.at(wall, y_low) + QPointF(-6, 0) * board.scale, "right")
    units = board.units
    for key, level in (("inner", 34), ("outer", 13)):
        x = getattr(tower, key)
        board.across((*TOWER, key), (wall, tower.top), (x, tower.top), level, figure(x, units))
    board.upright(
        (*TOWER, "top"),
        (tower.outer, y_low),
        (tower.outer, tower.top),
        -14,
        figure(tower.top, units),
    )
    right = tower.outer + lip
    if tower.outer_down_to is not None or board.lit((*TOWER, "outer_down_to")):
        board.upright(
            (*TOWER, "outer_down_to"),
            (right, y_low),
            (right, tower.outer_down_to or tower.top),
            -50,
            figure(tower.outer_down_to, units),
        )
    if tower.inner_down_to is not None or board.lit((*TOWER, "inner_down_to")):
        x = tower.inner - spread * 0.9
        board.right_here(
            (*TOWER, "inner_down_to"),
            (x, y_low),
            (x, tower.inner_down_to or tower.top),
            figure(tower.inner_down_to, units),
        )
    _sheet_sizes(board, project, tower, low)
    for key, x, foot in (
        ("lip", tower.outer, tower.outer_down_to),
        ("inner_lip", tower.inner, tower.inner_down_to),
    ):
        wide = getattr(tower, key)
        if (foot is not None and wide) or board.lit((*TOWER, key)):
            foot = tower.top if foot is None else foot
            out = 1.0 if key == "lip" else -1.0
            board.across(
                (*TOWER, key), (x, foot), (x + out * wide, foot), -12, f"lip {figure(wide, units)}"
            )


def _sheet_sizes(board: Board, project: Project, tower: Tower, low: float) -> None:
    """Thickness, bend and hole, where they have the focus."""
    units, middle = board.units, (tower.top + low) / 2
    if board.lit((*TOWER, "thickness")):
        a, b = (tower.inner, middle), (tower.inner + tower.thickness, middle)
        board.right_here((*TOWER, "thickness"), a, b, figure(tower.thickness, units))
    path = (*TOWER, "bend_radius")
    if board.lit(path):
        at = board.at(tower.inner, middle) + QPointF(90, 0) * board.scale
        words = (
            "as thick as the sheet"
            if tower.bend_radius is None
            else figure(tower.bend_radius, units)
        )
        board.leader(
            path, (tower.inner + tower.thickness, tower.top - tower.thickness), at, f"R {words}"
        )
    if project.coilover is not None and (tower.hole or board.lit((*TOWER, "hole"))):
        y = abs(project.points[project.coilover.top.point][1])
        ends = [(y + side * tower.hole / 2, tower.top) for side in (-1, 1)]
        for x, z in ends:
            board.line((x, z), (x, z - tower.thickness), "edge")
        if board.lit((*TOWER, "hole")):
            board.right_here((*TOWER, "hole"), ends[0], ends[1], across(tower.hole, units))


def _side(board: Board, project: Project, tower: Tower, low: float, spread: float) -> None:
    """From outside, front to the left; distances are forward of the origin."""
    board.fit(
        (-tower.front - spread, low - spread), (-tower.rear + spread, tower.top), (84, 46, 84, 34)
    )
    for name, a, b in _boxes(tower, 0):
        faint = name in ("outer panel", "inner panel")
        board.box((-a[0], a[1]), (-b[0], b[1]), "tower", faint=faint)
    if project.coilover is not None:
        x, _, z = project.points[project.coilover.top.point]
        board.line((-x, z + 20.0), (-x, low), "centre")
        board.disc(-x, z, 9.0, "wheel")
    units, y_low = board.units, low - spread
    least, most = -tower.front - spread * 1.6, -tower.rear + spread * 1.6
    zero = min(max(0.0, least), most)
    board.line((zero, y_low), (zero, tower.top + spread * 0.3), "centre")
    for key, level in (("front", 13), ("rear", 34)):
        x = -getattr(tower, key)
        board.across((*TOWER, key), (zero, tower.top), (x, tower.top), level, figure(-x, units))
    for key, x, level in (("front_down_to", -tower.front, 40), ("rear_down_to", -tower.rear, -40)):
        foot = getattr(tower, key)
        if foot is not None or board.lit((*TOWER, key)):
            board.upright(
                (*TOWER, key), (x, y_low), (x, foot or tower.top), level, figure(foot, units)
            )
    for key, x, way in (("front_lip", -tower.front, -1.0), ("rear_lip", -tower.rear, 1.0)):
        wide, foot = getattr(tower, key), getattr(tower, key.replace("lip", "down_to"))
        if (foot is not None and wide) or board.lit((*TOWER, key)):
            foot = tower.top if foot is None else foot
            board.across(
                (*TOWER, key), (x, foot), (x + way * wide, foot), -12, f"lip {figure(wide, units)}"
            )
    board.word("front", QPointF(board.place.left(), board.at(0, tower.top).y()))


def _sheets(board: Board, tower: Tower, i: int, faint: tuple[str, ...]) -> None:
    for name, a, b in _boxes(tower, i):
        board.box(a, b, "tower", faint=name in faint)


# --- the top mount --------------------------------------------------------------------------


def mount(board: Board, project: Project) -> None:
    """The stack in section on the left; the plate from above on the right."""
    top = project.top_mount
    if top is None:
        return
    whole = board.place
    half = whole.width() * (0.56 if top.plate is not None else 1.0)
    board.place = QRectF(whole.left(), whole.top(), half, whole.height())
    _stack(board, project, top)
    if top.plate is not None:
        board.place = QRectF(whole.left() + half, whole.top(), whole.width() - half, whole.height())
        _plan(board, top.plate)
    board.place = whole


def _stack(board: Board, project: Project, top: TopMount) -> None:
    coilover = project.coilover
    spring = coilover.spring if coilover is not None else None
    hang = spring.end_from_top if spring is not None else 0.0
    surface = -top.bearing_above
    housing = (top.housing_diameter or HOUSING) / 2
    tall = top.housing_height / 2
    plate = top.plate
    wide = max(plate.width / 2 if plate is not None else 0.0, housing) + 6.0
    low = min(-hang, -(top.shoulder_below or 0.0), surface - 10.0, -tall) - 26.0
    board.fit((-wide, low), (wide, max(surface, tall) + 14.0), (40, 24, 40, 8))
    rod = (coilover.shaft_diameter if coilover is not None else 14.0) / 2
    board.box((-rod, low), (rod, tall + 10.0), "shaft")
    if top.shoulder_below is not None:
        board.box((-rod * 1.7, low), (rod * 1.7, -top.shoulder_below), "shaft")
    if plate is not None:
        for side in (-1.0, 1.0):
            a, b = side * housing * 0.8, side * plate.width / 2
            board.box((a, surface - plate.thickness), (b, surface), "tower")
    board.box((-housing, -tall), (housing, tall), "arm")
    board.disc(0.0, 0.0, min(tall * 0.86, housing * 0.8), "wheel")
    if spring is not None:
        w = (spring.hat_outside or spring.outside) / 2
        board.box((-min(w, wide), -hang), (min(w, wide), -hang + spring.hat_height), "arm")
    board.line((-wide - 6.0, 0.0), (wide + 6.0, 0.0), "centre")
    _stack_sizes(board, top, wide, rod)


def _stack_sizes(board: Board, top: TopMount, wide: float, rod: float) -> None:
    """The stack's dimensions; drawn ``wide`` and its shaft ``rod`` either side of the centre."""
    units, plate, surface = board.units, top.plate, -top.bearing_above
    housing, tall = (top.housing_diameter or HOUSING) / 2, top.housing_height / 2
    board.upright(
        (*MOUNT, "bearing_above"),
        (wide * 0.7, surface),
        (0.0, 0.0),
        -24,
        figure(top.bearing_above, units),
    )
    if top.shoulder_below is not None or board.lit((*MOUNT, "shoulder_below")):
        board.upright(
            (*MOUNT, "shoulder_below"),
            (0.0, 0.0),
            (-rod * 1.7, -(top.shoulder_below or 0.0)),
            28,
            figure(top.shoulder_below, units),
        )
    if top.housing_diameter is not None or board.lit((*MOUNT, "housing_diameter")):
        board.across(
            (*MOUNT, "housing_diameter"),
            (-housing, tall),
            (housing, tall),
            10,
            across(top.housing_diameter, units),
        )
    if board.lit((*MOUNT, "housing_height")):
        board.upright(
            (*MOUNT, "housing_height"),
            (-housing, -tall),
            (-housing, tall),
            28,
            figure(top.housing_height, units),
        )
    if plate is not None and board.lit((*PLATE, "thickness")):
        board.upright(
            (*PLATE, "thickness"),
            (-wide + 8.0, surface - plate.thickness),
            (-wide + 8.0, surface),
            28,
            figure(plate.thickness, units),
        )


def _plan(board: Board, plate: MountPlate) -> None:
    """From above, front up and the middle of the car to the left."""
    long, wide = plate.length / 2, plate.width / 2
    reach = max(plate.slot_forward, plate.slot_inboard) / 2
    board.fit((-wide - reach, -long - reach), (wide + reach, long + reach), (4, 26, 40, 32))
    corner = min(long, wide) * 0.16 * board.per
    place = QRectF(board.at(-wide, long), board.at(wide, -long))
    path = QPainterPath()
    path.addRoundedRect(place, corner, corner)
    board.path(path, "tower")
    board.disc(0.0, 0.0, min(long, wide) * 0.36, "arm")
    _bolts(board, plate, (wide, long))
    _plan_sizes(board, plate, (wide, long))


def _bolts(board: Board, plate: MountPlate, half: XY) -> None:
    """Bolts in their slots where the circle is known, and what is said of them."""
    units, path = board.units, (*PLATE, "bolt_circle")
    r = plate.bolt_diameter / 2
    bolts = [(-float(left), float(ahead)) for ahead, left in bolt_places(plate)]
    for x, y in bolts:
        slot = QPainterPath()
        box = QRectF(
            board.at(x - plate.slot_inboard / 2 - r, y + plate.slot_forward / 2 + r),
            board.at(x + plate.slot_inboard / 2 + r, y - plate.slot_forward / 2 - r),
        )
        slot.addRoundedRect(box, r * board.per, r * board.per)
        board.path(slot, "wheel")
        board.disc(x + plate.set_inboard, y - plate.set_forward, r, "tyre")
    first = bolts[0] if bolts else (0.0, 0.0)
    if board.lit(path):
        end = first if bolts else (half[0] * 0.7, half[1] * 0.7)
        words = across(plate.bolt_circle, units) if plate.bolt_circle else NOT_GIVEN
        board.right_here(path, (-end[0], -end[1]), end, words)
    for key, words in (
        ("bolts", f"{plate.bolts} bolts"),
        ("bolt_diameter", across(plate.bolt_diameter, units)),
    ):
        if board.lit((*PLATE, key)):
            board.leader((*PLATE, key), first, board.at(0.0, 0.0), words)


def _plan_sizes(board: Board, plate: MountPlate, half: XY) -> None:
    """How large the plate is, how far it can be shifted and where it stands."""
    units, (wide, long) = board.units, half
    for key, way in (("set_forward", (0.0, 1.0)), ("set_inboard", (-1.0, 0.0))):
        if board.lit((*PLATE, key)):
            by = getattr(plate, key)
            tip = (
                way[0] * max(abs(by), 1.0) * (1 if by >= 0 else -1),
                way[1] * max(abs(by), 1.0) * (1 if by >= 0 else -1),
            )
            board.right_here((*PLATE, key), (0.0, 0.0), tip, figure(by, units))
    board.across((*PLATE, "width"), (-wide, -long), (wide, -long), -14, figure(plate.width, units))
    board.upright((*PLATE, "length"), (wide, -long), (wide, long), -16, figure(plate.length, units))
    for key, a, b in (
        ("slot_forward", (0.0, -plate.slot_forward / 2), (0.0, plate.slot_forward / 2)),
        ("slot_inboard", (-plate.slot_inboard / 2, 0.0), (plate.slot_inboard / 2, 0.0)),
    ):
        if board.lit((*PLATE, key)):
            board.right_here((*PLATE, key), a, b, figure(getattr(plate, key), units))
    board.word("front", QPointF(board.at(0, 0).x(), board.place.top() + 10 * board.scale), "middle")
