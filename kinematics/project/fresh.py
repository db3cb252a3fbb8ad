"""What can be added to a corner besides links and parts, with plain sizes to be put right.

Every size here is invented: something to begin from, that stands where it does no harm.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import msgspec

from kinematics.errors import ProjectError
from kinematics.project.adjusters import holds
from kinematics.project.basics import CHASSIS, End
from kinematics.project.bodies import add_rocker
from kinematics.project.equipment import (
    BumpStop,
    Clamp,
    Coilover,
    DroopStop,
    FootEnd,
    Helper,
    InnerSpring,
    Spring,
    Thread,
)
from kinematics.project.extra import USUAL_EXTRA_POSITIONS, ExtraPosition
from kinematics.project.fittings import Weights
from kinematics.project.furnish import free_name
from kinematics.project.joints import Adjuster, Ball, Rack
from kinematics.project.loads import Bearing, Hose, OutsideStop, Strap
from kinematics.project.model import Project
from kinematics.project.mount import MountPlate, TopMount
from kinematics.project.names import bodies_of, parts_of
from kinematics.project.rules import USUAL_RULES
from kinematics.project.structure import Gusset, Rule, ShaftJoint, Tower
from kinematics.project.unfold import unfold

Path = tuple[str | int, ...]
Maker = Callable[["Project", Path], tuple["Project", Path]]


def fresh(project: Project, path: Path) -> tuple[Project, Path]:
    """The project with something new at a path, and the path of what is new.

    ``path`` names a record that isn't given yet, or a table or list that gets one more. Raises
    ProjectError where nothing can be added.
    """
    steps = tuple("*" if i == 1 and path[0] == "parts" else s for i, s in enumerate(path))
    if path[0] == "bearings" and path[-1] == "axis":
        return _put(project, path, (1.0, 0.0, 0.0)), path
    maker = _MAKERS.get(steps) or _ANYWHERE.get(str(path[-1]))
    if maker is None:
        raise ProjectError(f"Nothing can be added to {path[-1]}.")
    return maker(project, path)


def usual_rules(project: Project) -> Project:
    """The usual rules as the project's own, to be changed."""
    return msgspec.structs.replace(project, rules=USUAL_RULES)


def usual_give(project: Project) -> Project:
    """The usual extra positions as the project's own, to be changed."""
    return msgspec.structs.replace(project, extra_positions=dict(USUAL_EXTRA_POSITIONS))


# --- what is made ---------------------------------------------------------------------------


def _out(project: Project) -> float:
    return 1.0 if project.side == "left" else -1.0


def _put(record: Any, path: Path, value: Any) -> Any:
    """A frozen record with one entry somewhere below it changed."""
    if not path:
        return value
    step, rest = path[0], path[1:]
    if isinstance(record, dict):
        return {**record, step: _put(record.get(step), rest, value)}
    if isinstance(record, tuple):
        k = int(step)
        if k == len(record):
            return (*record, _put(None, rest, value))
        return tuple(_put(v, rest, value) if i == k else v for i, v in enumerate(record))
    name = str(step)
    return msgspec.structs.replace(record, **{name: _put(getattr(record, name), rest, value)})


def _at(project: Project, path: Path) -> Any:
    value: Any = project
    for step in path:
        inside = isinstance(value, dict | tuple)
        value = value[step] if inside else getattr(value, str(step))
    return value


def _record(make: Callable[[Project], Any]) -> Maker:
    def add(project: Project, path: Path) -> tuple[Project, Path]:
        return _put(project, path, make(project)), path

    return add


def _one_more(make: Callable[[Project], Any]) -> Maker:
    def add(project: Project, path: Path) -> tuple[Project, Path]:
        there = _at(project, path) or ()
        place = (*path, len(there))
        return _put(project, path, (*there, make(project))), place

    return add


def _named(wanted: str, make: Callable[[Project], Any]) -> Maker:
    def add(project: Project, path: Path) -> tuple[Project, Path]:
        there = _at(project, path) or {}
        name = free_name(there, wanted)
        return _put(project, path, {**there, name: make(project)}), (*path, name)

    return add


def _corner(project: Project, path: Path) -> tuple[Project, Path]:
    """One more corner of a plate, half way from its last to its first."""
    there = _at(project, path)
    half = tuple((a + b) / 2 for a, b in zip(there[-1], there[0], strict=True))
    return _put(project, path, (*there, half)), (*path, len(there))


def _pair(project: Project, path: Path) -> tuple[Project, Path]:
    """One more pair of squash and force, as far on as the last two are apart."""
    there: Any = _at(project, path) or ((0.0, 0.0),)
    before = there[-2] if len(there) > 1 else (there[-1][0] - 10.0, there[-1][1] - 300.0)
    more = (2 * there[-1][0] - before[0], 2 * there[-1][1] - before[1])
    return _put(project, path, (*there, more)), (*path, len(there))


def _another(known: Callable[[Project], Iterable[str]]) -> Maker:
    def add(project: Project, path: Path) -> tuple[Project, Path]:
        there = _at(project, path)
        name = next((n for n in known(project) if n not in there), None)
        if name is None:
            raise ProjectError("There is none left to add.")
        return _put(project, path, (*there, name)), (*path, len(there))

    return add


def _coilover(project: Project, path: Path) -> tuple[Project, Path]:
    x, y, z = project.points[project.wheel.centre]
    points = dict(project.points)
    foot = free_name(points, "coilover foot")
    points[foot] = (x, 0.75 * y, z - 60.0)
    top = free_name(points, "top bearing")
    points[top] = (x, 0.72 * y, z + 300.0)
    made = Coilover(End(foot, project.wheel.body), End(top), open=430.0, closed=290.0)
    return msgspec.structs.replace(project, points=points, coilover=made), path


def _spring(project: Project) -> Spring:
    room = 360.0 if project.coilover is None else project.coilover.open
    return Spring(
        outside=80.0, wire=10.0, seat_from_foot=round(0.35 * room), end_from_top=45.0,
        free=round(0.6 * room), rate_n_per_mm=40.0,
    )  # fmt: skip


def _helper(project: Project) -> Helper:
    return Helper(rate_n_per_mm=3.0, free=60.0, solid=15.0)


def _inner(project: Project) -> InnerSpring:
    spring = project.coilover and project.coilover.spring
    inside = 60.0 if not spring else spring.outside - 2 * spring.wire
    free = 150.0 if not spring or spring.free is None else round(0.7 * spring.free)
    return InnerSpring(max(inside - 4.0, 20.0), 7.0, 20.0, free, round(0.4 * free))


def _thread(project: Project) -> Thread:
    coilover = project.coilover
    wide = 54.0 if coilover is None else coilover.body_diameter + 4.0
    return Thread(wide, 90.0, 230.0)


def _tower(project: Project) -> Tower:
    """A box of sheet about the top bearing, open below."""
    x, y, z = (0.0, 500.0, 640.0)
    if project.coilover is not None:
        x, y, z = project.points[project.coilover.top.point]
    mount = project.top_mount
    above = 0.0 if mount is None else mount.bearing_above
    thick = 0.0 if mount is None or mount.plate is None else mount.plate.thickness
    top, foot = z - above - thick, z - 150.0
    return Tower(
        front=x + 75.0, rear=x - 75.0, inner=abs(y) - 75.0, outer=abs(y) + 75.0, top=top,
        front_down_to=foot, rear_down_to=foot, inner_down_to=foot, hole=60.0,
    )  # fmt: skip


def _gusset(project: Project) -> Gusset:
    tower = project.tower
    if tower is None:
        raise ProjectError("This corner has no tower.")
    for side in ("inner", "front", "rear", "outer"):
        if getattr(tower, f"{side}_down_to") is not None:
            across = side in ("front", "rear")
            ends = (tower.inner, tower.outer) if across else (tower.rear, tower.front)
            return Gusset(side, round(sum(ends) / 2, 1), 80.0, 60.0)
    raise ProjectError("A gusset needs a panel to stand on: give one of the tower's feet.")


def _adjuster(project: Project) -> Adjuster:
    """Of the first link; else of a point of the upright."""
    whole = unfold(project)
    taken = {a.link for a in project.adjusters.values()}
    for name in whole.links:
        if name not in taken:
            return Adjuster(link=name, least=-6.0, most=6.0)
    point, body = next((p, b) for p, b in sorted(holds(whole)) if b == CHASSIS)
    return Adjuster(points=(point,), body=body, direction=(0.0, _out(project), 0.0), most=6.0)


def _reach(project: Project) -> tuple[End, End]:
    """An end on the chassis and one on the wheel's carrier: the coilover's, or the wheel's."""
    coilover = project.coilover
    if coilover is not None:
        return coilover.top, coilover.foot
    whole = unfold(project)
    for link in whole.links.values():
        if link.inner.body != link.outer.body:
            return link.inner, link.outer
    raise ProjectError("There is nothing yet that it could be fixed to.")


def _apart(project: Project) -> float:
    a, b = (project.points[end.point] for end in _reach(project))
    return float(sum((x - y) ** 2 for x, y in zip(a, b, strict=True)) ** 0.5)


def _stop(project: Project) -> OutsideStop:
    fixed, moving = _reach(project)
    far = _apart(project)
    return OutsideStop(moving, fixed, meets=round(far - 40.0), solid=round(far - 75.0))


def _strap(project: Project) -> Strap:
    return Strap(_reach(project), length=round(_apart(project) + 90.0))


def _hose(project: Project) -> Hose:
    return Hose(_reach(project), length=round(_apart(project) + 180.0))


def _bearing(project: Project, path: Path) -> tuple[Project, Path]:
    """Of the first joined point that has none yet."""
    points = dict.fromkeys(point for point, _ in sorted(holds(unfold(project))))
    free = [point for point in points if point not in project.bearings]
    if not free:
        raise ProjectError("Every joint has its bearing already.")
    there = {**project.bearings, free[0]: Bearing(limit_deg=15.0)}
    return msgspec.structs.replace(project, bearings=there), (*path, free[0])


def _give(project: Project, path: Path) -> tuple[Project, Path]:
    """The bush of the first link or ball that is rigid yet."""
    free = [name for name in givers(project) if name not in project.give]
    if not free:
        raise ProjectError("Every link and ball has its bush already.")
    there = {**project.give, free[0]: None}
    return msgspec.structs.replace(project, give=there), (*path, free[0])


def givers(project: Project) -> tuple[str, ...]:
    """The links and balls, by name, whose bushes can give."""
    whole = unfold(project)
    return (*whole.links, *(n for n, joint in whole.joints.items() if isinstance(joint, Ball)))


def _plate(project: Project) -> MountPlate:
    return MountPlate(120.0, 120.0, 6.0, bolt_circle=110.0, slot_forward=20.0, slot_inboard=20.0)


def movable(project: Project) -> tuple[str, ...]:
    """What an extra position can move, by name."""
    return ("wheel", *bodies_of(project)[1:], *parts_of(project))


def _axis(project: Project, path: Path) -> tuple[Project, Path]:
    """The wheel's axis as a direction, in the place of its camber and toe."""
    wheel = msgspec.structs.replace(
        project.wheel, camber_deg=0.0, toe_deg=0.0, axis=(0.0, _out(project), 0.0)
    )
    return msgspec.structs.replace(project, wheel=wheel), path


def _body(project: Project, path: Path) -> tuple[Project, Path]:
    return add_rocker(project)[0], (*path, len(project.bodies))


_MAKERS: dict[Path, Maker] = {
    ("coilover",): _coilover,
    ("coilover", "spring"): _record(_spring),
    ("coilover", "spring", "helper"): _record(_helper),
    ("coilover", "spring", "inner"): _record(_inner),
    ("coilover", "bump_stop"): _record(lambda _: BumpStop(free=50.0, solid=18.0)),
    ("coilover", "droop_stop"): _record(lambda _: DroopStop(free=20.0, solid=8.0)),
    ("coilover", "clamp"): _record(lambda _: Clamp(insertion=60.0)),
    ("coilover", "thread"): _record(_thread),
    ("coilover", "foot_end"): _record(lambda _: FootEnd(diameter=36.0, width=30.0)),
    ("top_mount",): _record(lambda _: TopMount()),
    ("top_mount", "plate"): _record(_plate),
    ("tower",): _record(_tower),
    ("tower", "gussets"): _one_more(_gusset),
    ("wheel", "rim", "weights"): _one_more(lambda _: Weights(60.0, 20.0, 5.0)),
    ("travel",): _record(lambda _: (-80.0, 80.0)),
    ("wheel", "axis"): _axis,
    ("rack",): _record(lambda _: Rack()),
    ("adjusters",): _named("new adjuster", _adjuster),
    ("bodies",): _body,
    ("rules",): _one_more(lambda _: Rule(("tyre", "tower"), 10.0)),
    ("extra_positions",): _named("new position", lambda _: ExtraPosition(inboard=3.0)),
    ("bearings",): _bearing,
    ("give",): _give,
    ("stops",): _named("new stop", _stop),
    ("straps",): _named("new strap", _strap),
    ("hoses",): _named("new hose", _hose),
    ("parts", "*", "inner_joint"): _record(lambda _: ShaftJoint(90.0, 80.0)),
    ("parts", "*", "outer_joint"): _record(lambda _: ShaftJoint(90.0, 80.0)),
}
_ANYWHERE: dict[str, Maker] = {
    "outline": _corner,
    "curve": _pair,
    "points": _another(lambda project: project.points),
    "through": _another(lambda project: project.points),
    "moves": _another(movable),
    "about": _record(lambda project: End(project.wheel.centre, project.wheel.body)),
    "adjust_range": _record(lambda _: (-10.0, 10.0)),
    "direction": _record(lambda project: (0.0, _out(project), 0.0)),
    "width_along": _record(lambda _: (1.0, 0.0, 0.0)),
    "inner_axis": _record(lambda project: (0.0, _out(project), 0.0)),
}
"""What can be added wherever an entry so named stands."""
