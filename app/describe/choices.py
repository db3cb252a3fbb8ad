"""What can be chosen where an entry names something else, and what kinds are called."""

from __future__ import annotations

from dataclasses import replace

from app.document import tree
from app.document.tree import Entry, Path
from kinematics.project import model
from kinematics.project.fresh import givers, movable
from kinematics.project.model import Project
from kinematics.project.names import bodies_of, parts_of
from kinematics.project.rules import ANYTHING, CLASSES
from kinematics.project.unfold import unfold

KINDS: dict[type, str] = {
    model.Tube: "round tube", model.Plate: "flat plate", model.Box: "block",
    model.Cylinder: "cylinder", model.Shaft: "drive shaft", model.Scan: "scan",
    model.Beam: "box section", model.RodEnd: "rod end",
    model.Upright: "upright", model.Disc: "brake disc",
    model.Caliper: "brake caliper", model.Arch: "wheel arch",
    model.Link: "link", model.Ball: "ball joint", model.Hinge: "hinge", model.Slide: "slide",
    model.PointOnLine: "point on a line", model.OutsideStop: "stop", model.Strap: "strap",
    model.Hose: "hose",
    model.Wishbones: "wishbones", model.Strut: "strut", model.StrutLinks: "strut on three links",
    model.FiveLinks: "five links", model.RadiusArm: "lateral links and a radius arm",
    model.TrailingArm: "trailing or semi-trailing arm", model.HArm: "H-arm",
}  # fmt: skip
BY_PLACE = ("bearings", "give")  # tables whose names are those of something else
VALUES = {"give": "stiffness"}
NONE = "not given"


def known(project: Project, entry: Entry) -> Entry:
    """An entry that names a part or a link, with the names there are; others as they stand."""
    path = entry.path
    steps = tuple(s for s in path if isinstance(s, str))
    if path[0] == "rules" and "between" in steps:
        return replace(entry, kind="name", choices=(ANYTHING, *CLASSES, *parts_of(project)))
    if path[0] == "extra_positions" and "moves" in steps:
        return replace(entry, kind="name", choices=tuple(dict.fromkeys(movable(project))))
    if path[0] == "adjusters" and path[-1] == "link":
        return replace(entry, kind="name", choices=tuple(unfold(project).links))
    return entry


def names(project: Project, entry: Entry) -> tuple[str, ...]:
    """The words a chooser of this entry offers."""
    if entry.kind == "point":
        words = tuple(project.points)
    elif entry.kind == "body":
        words = bodies_of(project)
    else:
        words = entry.choices
    return (NONE, *words) if entry.optional else words


def keys(project: Project, table: str, now: str) -> tuple[str, ...]:
    """What an entry of a table that is named after something else may be of."""
    there = tree.get(project, (table,))
    all_of = tuple(project.points) if table == "bearings" else givers(project)
    return tuple(n for n in all_of if n == now or n not in there)


def shown(value: object) -> str:
    """What a chooser shows for a value."""
    return NONE if value is None else str(value)


def points_in(path: Path, project: Project) -> str:
    """The point an entry is about: its own name, or the one it names; else nothing."""
    if path[0] == "points" and len(path) > 1:
        return str(path[1])
    value = tree.get(project, path)
    return value if isinstance(value, str) and value in project.points else ""
