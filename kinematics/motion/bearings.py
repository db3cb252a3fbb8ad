"""The angle every ball, rod end, spherical bearing and bush uses, and what it has.

At each point where a member swivels there is a bolt (or stud, or damper shaft) held by one body
and a housing on the other. What is not typed is taken as usual, and said to be: a bolt across a
link, square to it and level (upright on a track rod); a damper shaft through a top bearing in a
level plate; a ball joint's stud upright; a bush's bolt along its hinge. Housings are taken as
clocked to their bolts at set-up height, which is index 0 of every list of positions here. Angles
in rad.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kinematics.errors import ProjectError
from kinematics.motion import swivels
from kinematics.motion.positions import Positions
from kinematics.project.model import (
    CHASSIS,
    RACK,
    UPRIGHT,
    Ball,
    Bearing,
    End,
    Hinge,
    PointOnLine,
    Project,
)

Floats = NDArray[np.float64]
COILOVER = "coilover"
"""What the coilover is called among the members."""
LEVEL = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class BearingUse:
    """One bearing over n positions: angle used (n,), its limit, and twist (n,) of a bush.

    point, member : where, and on what. usual : what was not typed and is taken as usual (``bolt
    direction``). limit : NaN where none is given. limited_by : what sets it. twist_limit : for a
    bonded bush.
    """

    point: str
    member: str
    rubber: bool
    angle: Floats
    limit: float = np.nan
    limited_by: str = ""
    twist: Floats | None = None
    twist_limit: float = np.nan
    usual: tuple[str, ...] = ()

    @property
    def left(self) -> Floats:
        """Angle left before it binds; NaN without a limit."""
        return self.limit - self.angle

    @property
    def twist_left(self) -> Floats | None:
        """Twist left of a bonded bush."""
        return None if self.twist is None else self.twist_limit - np.abs(self.twist)


@dataclass(frozen=True)
class _Place:
    """A bearing before its angle is known: its record, who holds its bolt, who turns on it."""

    point: str
    member: str
    bearing: Bearing
    holder: str
    along: bool
    axis: Floats
    usual: tuple[str, ...] = ()


def bearing_uses(project: Project, positions: Positions) -> tuple[BearingUse, ...]:
    """Every bearing of an unfolded project; index 0 of ``positions`` is set-up height.

    Raises ProjectError for bearing sizes that can't be.
    """
    found: list[BearingUse] = []
    for name, link in project.links.items():
        found += _member(project, positions, name, link.inner, link.outer)
    for name, joint in project.joints.items():
        if isinstance(joint, Ball):
            found.append(_ball(project, positions, name, joint))
        elif isinstance(joint, Hinge):
            found += [_bush(project, positions, name, joint, point) for point in joint.along]
    if project.coilover is not None:
        foot, top = project.coilover.foot, project.coilover.top
        found += _member(project, positions, COILOVER, foot, top, clamped=is_strut(project))
    return tuple(found)


def is_strut(project: Project) -> bool:
    """True where the coilover's foot is clamped to its body: the corner is held by a strut."""
    coilover = project.coilover
    return coilover is not None and any(
        isinstance(joint, PointOnLine)
        and coilover.foot.point in joint.line
        and joint.bodies[0] == coilover.foot.body
        and joint.point == coilover.top.point
        for joint in project.joints.values()
    )


def limit_of(bearing: Bearing, point: str) -> tuple[float, str]:
    """The least of a bearing's limits (rad) and what sets it; NaN and "" where none is given."""
    found: list[tuple[float, str]] = []
    if bearing.limit_deg is not None:
        found.append((float(np.radians(bearing.limit_deg)), "its maker's limit"))
    path = f"bearings.{point}"
    ball, width, housing = bearing.ball, bearing.ball_width, bearing.housing_width
    if ball is not None and housing is not None and bearing.spacer_neck is not None:
        neck = bearing.spacer_neck
        limit = _told(path, lambda: swivels.tilt_with_spacers(ball, housing, neck))
        found.append((limit, "its spacers meeting the housing"))
    elif ball is not None and housing is not None and width is not None:
        limit = _told(path, lambda: swivels.tilt_from_sizes(ball, width, housing))
        found.append((limit, "its ball's shoulders meeting the housing"))
    gap = bearing.clevis_gap or (width + 2.0 * bearing.spacer_length if width else None)
    head = bearing.head
    if head is not None and housing is not None and gap is not None:
        limit = _told(path, lambda: swivels.tilt_in_clevis(gap, head, housing))
        found.append((limit, "its head meeting the clevis"))
    return min(found, default=(float("nan"), ""))


def _told(path: str, limit: Callable[[], float]) -> float:
    try:
        return limit()
    except ValueError as wrong:
        raise ProjectError(f"{path}: {wrong}.") from wrong


def _member(
    project: Project, positions: Positions, name: str, inner: End, outer: End, clamped: bool = False
) -> list[BearingUse]:
    """The two ends of a rod that is free to turn about its own length."""
    line = positions.at(outer) - positions.at(inner)
    u = line / np.linalg.norm(line, axis=-1, keepdims=True)
    ends = [outer] if clamped else [inner, outer]
    steered = RACK in (inner.body, outer.body)
    places = [_place(project, positions, name, end, u, outer, steered) for end in ends]
    bolts = [positions.turned(place.holder, place.axis) for place in places]
    limits = [limit_of(place.bearing, place.point) for place in places]
    if len(places) == 2 and not any(place.along for place in places):
        shares = [limit if limit > 0.0 else 1.0 for limit, _ in limits]
        angles = swivels.across_both(u, (bolts[0], bolts[1]), (shares[0], shares[1]))
    else:
        angles = tuple(
            swivels.angle_between(u, bolt) if place.along else swivels.across_alone(u, bolt)
            for place, bolt in zip(places, bolts, strict=True)
        )  # type: ignore[assignment]
    return [
        _use(place, angle, limit, u, positions)
        for place, angle, limit in zip(places, angles, limits, strict=True)
    ]


def _place(
    project: Project,
    positions: Positions,
    member: str,
    end: End,
    u: Floats,
    outer: End,
    steered: bool,
) -> _Place:
    bearing = project.bearings.get(end.point, Bearing())
    holder = bearing.held_by or end.body
    top = member == COILOVER and end == outer
    along = bearing.bolt == "along" or (bearing.bolt is None and (top or end.body == RACK))
    if bearing.axis is not None:
        return _Place(
            end.point, member, bearing, holder, along, _direction(bearing.axis, end.point)
        )
    if along and top and project.tower is not None:
        return _Place(end.point, member, bearing, holder, along, LEVEL, ("plate level",))
    seen = positions.turned_back(holder, u)[0]
    # The stud of a track rod stands upright, so that steering turns about it.
    axis = seen if along else swivels.square_to(seen, upright=steered)
    return _Place(end.point, member, bearing, holder, along, axis, ("bolt direction",))


def _direction(axis: tuple[float, float, float], point: str) -> Floats:
    length = float(np.linalg.norm(axis))
    if not length > 0.0:
        raise ProjectError(f"bearings.{point}.axis: it has no direction.")
    return np.asarray(axis, float) / length


def _ball(project: Project, positions: Positions, name: str, joint: Ball) -> BearingUse:
    bearing = project.bearings.get(joint.at, Bearing())
    holder = bearing.held_by or _holder(joint.bodies)
    other = joint.bodies[1] if holder == joint.bodies[0] else joint.bodies[0]
    typed = bearing.axis is not None
    axis = _direction(bearing.axis, joint.at) if bearing.axis else _usual_stud(project, joint)
    usual = () if typed else ("bolt direction",)
    stud = positions.turned(holder, axis)
    housing = positions.turned(other, positions.turned_back(other, stud)[0])
    place = _Place(joint.at, name, bearing, holder, False, axis, usual)
    ray = positions.turned(other, positions.turned_back(other, _square(stud))[0])
    angle = swivels.angle_between(stud, housing)
    return _use(place, angle, limit_of(bearing, joint.at), ray, positions)


def _bush(
    project: Project, positions: Positions, name: str, joint: Hinge, point: str
) -> BearingUse:
    bearing = project.bearings.get(point, Bearing())
    holder = bearing.held_by or (CHASSIS if CHASSIS in joint.bodies else joint.bodies[1])
    other = joint.bodies[1] if holder == joint.bodies[0] else joint.bodies[0]
    start, end = (np.asarray(project.points[p], float) for p in joint.along)
    line = (end - start) / np.linalg.norm(end - start)
    axis = line if bearing.axis is None else _direction(bearing.axis, point)
    usual = ("bolt direction",) if bearing.axis is None else ()
    bolt, housing = positions.turned(holder, axis), positions.turned(other, line)
    place = _Place(point, name, bearing, holder, False, axis, usual)
    ray = positions.turned(other, positions.turned_back(other, _square(housing))[0])
    angle = swivels.angle_between(bolt, housing)
    return _use(place, angle, limit_of(bearing, point), ray, positions)


def _use(
    place: _Place, angle: Floats, limit: tuple[float, str], u: Floats, positions: Positions
) -> BearingUse:
    """The record, with the twist of a bonded bush about its bolt."""
    bearing = place.bearing
    twist, twist_limit = None, np.nan
    if bearing.rubber and not place.along:
        twist = swivels.twist_about(place.axis, positions.turned_back(place.holder, u))
        if bearing.twist_limit_deg is not None:
            twist_limit = float(np.radians(bearing.twist_limit_deg))
    return BearingUse(
        place.point, place.member, bearing.rubber, angle, *limit, twist, twist_limit, place.usual
    )


def _holder(bodies: tuple[str, str]) -> str:
    return next((body for body in (CHASSIS, UPRIGHT) if body in bodies), bodies[1])


def _usual_stud(project: Project, joint: Ball) -> Floats:
    """Upright; where the ball is on the chassis, level and square to the way to the wheel."""
    if CHASSIS not in joint.bodies:
        return LEVEL
    way = np.subtract(project.points[project.wheel.centre], project.points[joint.at])
    return swivels.square_to(way / np.linalg.norm(way))


def _square(directions: Floats) -> Floats:
    """Some direction square to the first of (n, ..., 3), repeated: (n, ..., 3)."""
    first = directions[0]
    seed = np.eye(3)[np.argmin(np.abs(first), axis=-1)]
    side = np.cross(first, seed)
    side = side / np.linalg.norm(side, axis=-1, keepdims=True)
    return np.broadcast_to(side, directions.shape)
