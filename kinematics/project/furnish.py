"""Parts and links added, copied and taken away: edits that give a new project.

What is added stands by the wheel's inner side with plain sizes, ready to be moved and measured.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from typing import Any, Literal

import msgspec

from kinematics.errors import ProjectError
from kinematics.project.basics import CHASSIS, LONGEST_NAME, UPRIGHT, End, Xyz
from kinematics.project.joints import Link
from kinematics.project.model import Project
from kinematics.project.names import bodies_of
from kinematics.project.structure import Box, Cylinder, PartSpec, Plate, Scan, Shaft, Tube

Group = Literal["parts", "links", "joints"]
AWAY = 0.5  # of the wheel's distance from the car's middle: where what is new stands
STEP = 40.0  # mm a copy stands above what it was copied from


def free_name(taken: Collection[str], wanted: str) -> str:
    """``wanted``, or the first of 'wanted 2', 'wanted 3' ... that nothing bears yet."""
    if wanted not in taken:
        return wanted
    k = 2
    while (name := f"{wanted[: LONGEST_NAME - 4]} {k}") in taken:
        k += 1
    return name


def add_part(project: Project, kind: str) -> tuple[Project, str]:
    """A new part of a kind ('tube', 'plate', 'box', 'cylinder', 'shaft', 'link') and its name.

    Raises ProjectError for an unknown kind.
    """
    if kind not in _MAKERS:
        raise ProjectError(f'There is no part of kind "{kind}": {", ".join(sorted(_MAKERS))}.')
    name = free_name(
        [*project.parts, *project.links, *project.joints],
        f"new {'block' if kind == 'box' else kind}",
    )
    points: dict[str, Xyz] = {}
    made = _MAKERS[kind](project, name, points)
    project = msgspec.structs.replace(project, points={**project.points, **points})
    group = "links" if isinstance(made, Link) else "parts"
    return _put(project, group, name, made), name


def add_scan(project: Project, file: str, unit: str, body: str = CHASSIS) -> tuple[Project, str]:
    """A scan lying beside the project, carried by a body; the project and the scan's name."""
    stem = file.rsplit("/", 1)[-1].rsplit(".", 1)[0][: LONGEST_NAME - 4] or "scan"
    name = free_name([*project.parts, *project.links, *project.joints], stem)
    made = Scan(body=body, file=file, file_unit=unit)  # type: ignore[arg-type]
    return _put(project, "parts", name, made), name


def copy_entry(project: Project, group: Group, name: str) -> tuple[Project, str]:
    """A copy of a part or link a little above it, on points of its own; its name."""
    old = _get(project, group, name)
    new = free_name([*project.parts, *project.links, *project.joints], name)
    renamed: dict[str, str] = {}
    points = dict(project.points)
    for point in _points_of(old, project.points):
        renamed[point] = free_name(points, point)
        x, y, z = project.points[point]
        points[renamed[point]] = (x, y, z + STEP)
    tree = _renamed(msgspec.to_builtins(old), renamed)
    made = msgspec.convert(tree, type(old))
    if isinstance(made, Box):
        made = msgspec.structs.replace(made, least=_up(made.least), most=_up(made.most))
    elif isinstance(made, Plate):
        made = msgspec.structs.replace(made, outline=tuple(_up(p) for p in made.outline))
    elif isinstance(made, Scan):
        made = msgspec.structs.replace(made, move=_up(made.move))
    return _put(msgspec.structs.replace(project, points=points), group, new, made), new


def remove_entry(project: Project, group: Group, name: str) -> Project:
    """Without a part, link or joint, and without the points that only it used.

    Raises ProjectError where it belongs to the arrangement, or where something else needs it.
    """
    old = _get(project, group, name)
    kept = {n: v for n, v in getattr(project, group).items() if n != name}
    project = msgspec.structs.replace(project, **{group: kept})
    rest = msgspec.to_builtins(project)
    rest.pop("points")
    used = set(_texts(rest))
    gone = {p for p in _points_of(old, project.points) if p not in used}
    points = {n: xyz for n, xyz in project.points.items() if n not in gone}
    return msgspec.structs.replace(project, points=points)


def move_part(project: Project, name: str, move: Xyz) -> Project:
    """A box, plate or scan moved by so much, mm; others stand on points, which are moved."""
    part = project.parts[name]
    if isinstance(part, Box):
        made: PartSpec = msgspec.structs.replace(
            part, least=_shift(part.least, move), most=_shift(part.most, move)
        )
    elif isinstance(part, Plate):
        made = msgspec.structs.replace(part, outline=tuple(_shift(p, move) for p in part.outline))
    elif isinstance(part, Scan):
        made = msgspec.structs.replace(part, move=_shift(part.move, move))
    else:
        raise ProjectError(f'"{name}" stands on named points: move those.')
    return msgspec.structs.replace(project, parts={**project.parts, name: made})


def move_face(project: Project, name: str, axis: int, side: int, by: float) -> Project:
    """One face of a box moved along its axis (0 x, 1 y, 2 z); ``side`` -1 least, +1 most, mm.

    Raises ProjectError when the box would turn inside out.
    """
    part = project.parts[name]
    if not isinstance(part, Box):
        raise ProjectError(f'"{name}" is not a box.')
    least, most = list(part.least), list(part.most)
    end = least if side < 0 else most
    end[axis] += by
    if most[axis] - least[axis] < 1.0:
        raise ProjectError(f'"{name}" would be thinner than 1 mm.')
    made = Box(body=part.body, least=_xyz(least), most=_xyz(most), is_a=part.is_a)
    return msgspec.structs.replace(project, parts={**project.parts, name: made})


def move_tower_face(project: Project, axis: int, side: int, by: float) -> Project:
    """One face of the tower moved along its axis (0 x, 1 y, 2 z) by so much in car axes, mm.

    The top plate moves up and down alone, its panels keep their feet. Raises ProjectError
    without a tower, for its open foot, or when it would turn inside out.
    """
    tower = project.tower
    if tower is None:
        raise ProjectError("This corner has no tower.")
    if axis == 2 and side < 0:
        raise ProjectError("The tower is open below: its panels' feet are typed.")
    out = _out(project)
    name, step = {
        (0, 1): ("front", by),
        (0, -1): ("rear", by),
        (1, 1): ("outer" if out > 0 else "inner", by * out),
        (1, -1): ("inner" if out > 0 else "outer", by * out),
        (2, 1): ("top", by),
    }[axis, side]
    made = msgspec.structs.replace(tower, **{name: getattr(tower, name) + step})
    if min(made.front - made.rear, made.outer - made.inner) < 2 * made.thickness:
        raise ProjectError("The tower would have no room between its panels.")
    return msgspec.structs.replace(project, tower=made)


# --- what is new ----------------------------------------------------------------------------


def _near(project: Project) -> Xyz:
    """Inboard of the wheel, at its height."""
    x, y, z = project.points[project.wheel.centre]
    return (x, AWAY * y, z)


def _ends(project: Project, name: str, points: dict[str, Xyz], way: Xyz) -> tuple[str, str]:
    """Two new points that far apart, noted in ``points``."""
    here = _near(project)
    first = free_name(project.points, f"{name} inner")
    second = free_name(project.points, f"{name} outer")
    points[first], points[second] = here, _shift(here, way)
    return first, second


def _out(project: Project) -> float:
    return 1.0 if project.side == "left" else -1.0


def _tube(project: Project, name: str, points: dict[str, Xyz]) -> Tube:
    ends = _ends(project, name, points, (0.0, 0.0, 200.0))
    return Tube(body=CHASSIS, points=ends, diameter=30.0, is_a="chassis")


def _cylinder(project: Project, name: str, points: dict[str, Xyz]) -> Cylinder:
    ends = _ends(project, name, points, (0.0, 60.0 * _out(project), 0.0))
    return Cylinder(body=CHASSIS, points=ends, diameter=60.0, is_a="chassis")


def _shaft(project: Project, name: str, points: dict[str, Xyz]) -> Shaft:
    x, y, z = project.points[project.wheel.centre]
    inner = free_name(project.points, f"{name} inner")
    outer = free_name(project.points, f"{name} outer")
    points[inner], points[outer] = (x, 0.3 * y, z), (x, 0.85 * y, z)
    return Shaft(inner=End(inner), outer=End(outer, project.wheel.body))


def _link(project: Project, name: str, points: dict[str, Xyz]) -> Link:
    x, y, z = project.points[project.wheel.centre]
    inner = free_name(project.points, f"{name} inner")
    outer = free_name(project.points, f"{name} outer")
    points[inner], points[outer] = (x, 0.4 * y, z), (x, 0.9 * y, z)
    body = UPRIGHT if UPRIGHT in bodies_of(project) else project.wheel.body
    return Link(inner=End(inner), outer=End(outer, body))


def _box(project: Project, name: str, points: dict[str, Xyz]) -> Box:
    x, y, z = _near(project)
    return Box(body=CHASSIS, least=(x - 30, y - 30, z - 30), most=(x + 30, y + 30, z + 30))


def _plate(project: Project, name: str, points: dict[str, Xyz]) -> Plate:
    x, y, z = _near(project)
    corners = ((x - 50, y, z - 50), (x + 50, y, z - 50), (x + 50, y, z + 50), (x - 50, y, z + 50))
    return Plate(body=CHASSIS, outline=corners, thickness=3.0)


_MAKERS: dict[str, Callable[[Project, str, dict[str, Xyz]], PartSpec | Link]] = {
    "tube": _tube,
    "plate": _plate,
    "box": _box,
    "cylinder": _cylinder,
    "shaft": _shaft,
    "link": _link,
}
KINDS = tuple(_MAKERS)


# --- names inside records -------------------------------------------------------------------


def _get(project: Project, group: Group, name: str) -> Any:
    found = getattr(project, group).get(name)
    if found is None:
        raise ProjectError(
            f'"{name}" comes with the arrangement: take the arrangement apart first.'
        )
    return found


def _put(project: Project, group: str, name: str, made: object) -> Project:
    return msgspec.structs.replace(project, **{group: {**getattr(project, group), name: made}})


def _points_of(record: object, points: Collection[str]) -> list[str]:
    """The points a record names, in its own order."""
    return [t for t in dict.fromkeys(_texts(msgspec.to_builtins(record))) if t in points]


def _texts(tree: Any) -> list[str]:
    if isinstance(tree, str):
        return [tree]
    if isinstance(tree, dict):
        return [text for key, value in tree.items() for text in (key, *_texts(value))]
    if isinstance(tree, list | tuple):
        return [text for value in tree for text in _texts(value)]
    return []


def _renamed(tree: Any, names: dict[str, str]) -> Any:
    if isinstance(tree, str):
        return names.get(tree, tree)
    if isinstance(tree, dict):
        return {key: _renamed(value, names) for key, value in tree.items()}
    if isinstance(tree, list | tuple):
        return [_renamed(value, names) for value in tree]
    return tree


def _up(xyz: Xyz) -> Xyz:
    return _shift(xyz, (0.0, 0.0, STEP))


def _shift(xyz: Xyz, by: Xyz) -> Xyz:
    return (xyz[0] + by[0], xyz[1] + by[1], xyz[2] + by[2])


def _xyz(values: list[float]) -> Xyz:
    return (values[0], values[1], values[2])
