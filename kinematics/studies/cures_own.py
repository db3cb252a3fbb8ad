"""Fixes of a builder's own: any number of the model, changed by up to so much either way.

A dimension is ``points.NAME.x`` (or y, outboard, or z), ``length of LINK``, or the path of any
number in the project file, such as ``tower.lip`` or ``coilover.spring.outside``.
"""

from __future__ import annotations

from typing import Any

import msgspec

from kinematics.errors import EntryError, ProjectError
from kinematics.project.files import dumps
from kinematics.project.model import Project
from kinematics.project.unfold import unfold
from kinematics.studies.cure import Apply, Cure, Work, moved_point, worded
from kinematics.studies.cures_links import lengthened

AXES = {"x": ("forward", "rearward"), "y": ("outboard", "inboard"), "z": ("up", "down")}
_WAYS = {"x": (1.0, 0.0, 0.0), "y": (0.0, 1.0, 0.0), "z": (0.0, 0.0, 1.0)}


def cures_of_own(project: Project, path: str, least: float, most: float) -> tuple[Cure, ...]:
    """One fix for more of a dimension and one for less of it.

    ``least`` (0 or negative) and ``most`` (0 or positive) are how far it may be changed, mm.
    Raises EntryError for a dimension that the model has not got, or a range without room.
    """
    if not (least <= 0.0 <= most and most - least > 0.0):
        raise EntryError(
            f'"{path}" should be changed from a number that is 0 or less to one that is 0 or more.'
        )
    apply = apply_of(project, path)
    words = _words(path)
    made = []
    if most > 0.0:
        made.append(_cure(path, apply, 1.0, most, words[0]))
    if least < 0.0:
        made.append(_cure(path, apply, -1.0, -least, words[1]))
    return tuple(made)


def _cure(path: str, apply: Apply, sign: float, most: float, template: str) -> Cure:
    name = template.replace(" {} mm", "")
    return Cure(
        name,
        "of your own",
        lambda project, mm: apply(project, sign * mm),
        most,
        Work.REMADE,
        worded(f"{template[:1].upper()}{template[1:]}"),
        undoes=f"what hangs on {_plain(path)} is done again",
    )


def _words(path: str) -> tuple[str, str]:
    kind, _, axis = path.rpartition(".")
    if kind.startswith("points.") and axis in AXES:
        name = kind.removeprefix("points.")
        one, other = (f"move the {name} {{}} mm {way}" for way in AXES[axis])
        return one, other
    if path.startswith("length of "):
        name = path.removeprefix("length of ")
        return f"make the {name} {{}} mm longer", f"make the {name} {{}} mm shorter"
    return f"make {_plain(path)} {{}} mm more", f"make {_plain(path)} {{}} mm less"


def _plain(path: str) -> str:
    return path.replace("_", " ").replace(".", ", ").removeprefix("points, ")


def apply_of(project: Project, path: str) -> Apply:
    """How a project is changed in a dimension. Raises EntryError where it has none such."""
    kind, _, axis = path.rpartition(".")
    point = kind.removeprefix("points.")
    if kind.startswith("points.") and axis in _WAYS and point in project.points:
        x, y, z = _WAYS[axis]
        return lambda p, mm: moved_point(p, point, (x * mm, y * mm, z * mm))
    link = path.removeprefix("length of ")
    if path.startswith("length of ") and link in unfold(project).links:
        return lengthened(link, 1.0)
    steps = path.split(".")
    _number(_tree(project), steps, path)
    return lambda p, mm: _put(p, steps, path, mm) if mm else p


def _tree(project: Project) -> Any:
    return msgspec.json.decode(msgspec.json.encode(project))


def _number(tree: Any, steps: list[str], path: str) -> tuple[Any, str | int, float]:
    """Where in a tree of plain data the number is, its key there and its value."""
    at: Any = tree
    for depth, step in enumerate(steps):
        key: str | int = int(step) if isinstance(at, list) and step.isdigit() else step
        try:
            value = at[key]
        except (KeyError, IndexError, TypeError):
            value = None
        if depth == len(steps) - 1 and isinstance(value, int | float) and value is not True:
            return at, key, float(value)
        at = value
    raise EntryError(
        f'"{path}" is no number that this project gives: name a point\'s coordinate such as '
        '"points.top bearing.z", a link such as "length of upper link", or an entry of the file '
        'such as "tower.lip".'
    )


def _put(project: Project, steps: list[str], path: str, mm: float) -> Project:
    tree = _tree(project)
    at, key, now = _number(tree, steps, path)
    at[key] = now + mm
    try:
        made = msgspec.convert(tree, Project)
    except msgspec.ValidationError as error:
        what = str(error).split(" - at ")[0].replace("`", "")
        raise ProjectError(f"{path} can't be {now + mm:g}: {what}.") from None
    dumps(made)  # the reader's own checks
    return made
