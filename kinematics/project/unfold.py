"""Unfolding: a ready-made arrangement replaced by its bodies, links, joints and arm tubes.

Whatever the builder has added (bodies, links, joints, parts) stays. Everything after this works
on the unfolded project only, so an arrangement is never more than a short way of writing.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import singledispatch

import msgspec

from kinematics.errors import ProjectError
from kinematics.project.model import (
    CHASSIS,
    LOWER_ARM,
    RACK,
    UPPER_ARM,
    UPRIGHT,
    Arm,
    Arrangement,
    Ball,
    End,
    FiveLinks,
    HArm,
    Hinge,
    Joint,
    Link,
    PartSpec,
    PointOnLine,
    Project,
    Rack,
    RadiusArm,
    Strut,
    StrutLinks,
    TrailingArm,
    Tube,
    Wishbones,
)

TRACK_ROD = "track rod"
TOE_LINK = "toe link"
RADIUS_ARM = "radius arm"


@dataclass
class _Pieces:
    """What an arrangement stands for, gathered while it is taken apart."""

    bodies: list[str] = field(default_factory=lambda: [UPRIGHT])
    links: dict[str, Link] = field(default_factory=dict)
    joints: dict[str, Joint] = field(default_factory=dict)
    parts: dict[str, PartSpec] = field(default_factory=dict)
    steered: bool = False


def unfold(project: Project) -> Project:
    """The project with its arrangement replaced by explicit bodies, links, joints and parts.

    Idempotent. Raises ``ProjectError`` where a name the arrangement brings is also used by an
    entry of another kind of the builder's own.
    """
    if project.arrangement is None:
        return project
    pieces = _take_apart(project.arrangement, project)
    _refuse_clashes(project, pieces)
    rack = project.rack
    if pieces.steered and rack is None:
        rack = Rack()
    added = tuple(b for b in project.bodies if b not in pieces.bodies)
    return msgspec.structs.replace(
        project,
        arrangement=None,
        bodies=(*pieces.bodies, *added),
        links={**pieces.links, **project.links},
        joints={**pieces.joints, **project.joints},
        parts={**pieces.parts, **project.parts},
        rack=rack,
    )


def _refuse_clashes(project: Project, pieces: _Pieces) -> None:
    # A link of the builder's own takes the place of the arrangement's link of that name (to say
    # its diameter or adjustment), and likewise a joint or a part; a name of another kind clashes.
    for other, kind, clashes in (
        ("joints", "link", pieces.links.keys() & project.joints.keys()),
        ("links", "joint", pieces.joints.keys() & project.links.keys()),
    ):
        for name in sorted(clashes):
            raise ProjectError(
                f"{other}.{name}: the arrangement already brings a {kind} '{name}'; "
                "give yours another name."
            )


@singledispatch
def _take_apart(arrangement: Arrangement, project: Project) -> _Pieces:
    raise TypeError(f"unknown arrangement {arrangement!r}")


def _hang_arm(pieces: _Pieces, name: str, arm: Arm) -> None:
    """An arm hinged on the chassis, its two tubes, and the ball that carries the upright."""
    pieces.bodies.append(name)
    pieces.joints[f"{name} bushes"] = Hinge(along=(arm.front, arm.rear), bodies=(CHASSIS, name))
    pieces.joints[f"{name} ball joint"] = Ball(at=arm.outer, bodies=(name, UPRIGHT))
    _two_tubes(pieces, name, (arm.front, arm.rear), arm.outer, name, arm.diameter)


def _two_tubes(
    pieces: _Pieces, name: str, pivots: tuple[str, str], outer: str, body: str, diameter: float
) -> None:
    for pivot, end in zip(pivots, ("front", "rear"), strict=True):
        pieces.parts[f"{name} {end}"] = Tube(body=body, points=(pivot, outer), diameter=diameter)


def _tie(pieces: _Pieces, inner: str, outer: str, steered: bool) -> None:
    pieces.steered = steered
    name, body = (TRACK_ROD, RACK) if steered else (TOE_LINK, CHASSIS)
    pieces.links[name] = Link(inner=End(inner, body), outer=End(outer, UPRIGHT))


def _link(pieces: _Pieces, name: str, ends: tuple[str, str]) -> None:
    pieces.links[name] = Link(inner=End(ends[0], CHASSIS), outer=End(ends[1], UPRIGHT))


def _strut(pieces: _Pieces, project: Project) -> None:
    """The damper rod clamped to the upright slides through the top bearing on the chassis."""
    coilover = project.coilover
    if coilover is None:
        raise ProjectError("arrangement: a strut needs a coilover: its foot and top are the strut.")
    line = (coilover.foot.point, coilover.top.point)
    pieces.joints["strut"] = PointOnLine(
        line=line, point=coilover.top.point, bodies=(UPRIGHT, CHASSIS)
    )


@_take_apart.register
def _(arrangement: Wishbones, project: Project) -> _Pieces:
    pieces = _Pieces()
    _hang_arm(pieces, LOWER_ARM, arrangement.lower)
    _hang_arm(pieces, UPPER_ARM, arrangement.upper)
    _tie(pieces, arrangement.tie_inner, arrangement.tie_outer, arrangement.steered)
    return pieces


@_take_apart.register
def _(arrangement: Strut, project: Project) -> _Pieces:
    pieces = _Pieces()
    _hang_arm(pieces, LOWER_ARM, arrangement.lower)
    _strut(pieces, project)
    _tie(pieces, arrangement.tie_inner, arrangement.tie_outer, arrangement.steered)
    return pieces


@_take_apart.register
def _(arrangement: StrutLinks, project: Project) -> _Pieces:
    pieces = _Pieces()
    _link(pieces, "front link", arrangement.front_link)
    _link(pieces, "rear link", arrangement.rear_link)
    _link(pieces, "radius rod", arrangement.radius_rod)
    _strut(pieces, project)
    return pieces


@_take_apart.register
def _(arrangement: FiveLinks, project: Project) -> _Pieces:
    pieces = _Pieces()
    for name, ends in arrangement.links.items():
        _link(pieces, name, ends)
    return pieces


@_take_apart.register
def _(arrangement: RadiusArm, project: Project) -> _Pieces:
    pieces = _Pieces()
    through, diameter = arrangement.through, arrangement.diameter
    if arrangement.rigid:
        pieces.joints["radius arm ball"] = Ball(
            at=arrangement.arm_chassis, bodies=(CHASSIS, UPRIGHT)
        )
        path = through or (project.wheel.centre,)
        pieces.parts[RADIUS_ARM] = Tube(
            body=UPRIGHT, points=(*path, arrangement.arm_chassis), diameter=diameter
        )
    else:
        if arrangement.arm_outer is None:
            raise ProjectError(
                "arrangement.arm_outer: a radius arm that is not rigid needs its outer ball."
            )
        pieces.links[RADIUS_ARM] = Link(
            inner=End(arrangement.arm_chassis, CHASSIS),
            outer=End(arrangement.arm_outer, UPRIGHT),
            diameter=diameter,
            through=tuple(reversed(through)),
        )
    for name, ends in arrangement.lateral.items():
        _link(pieces, name, ends)
    return pieces


@_take_apart.register
def _(arrangement: TrailingArm, project: Project) -> _Pieces:
    pieces = _Pieces()
    pivots = (arrangement.inner_pivot, arrangement.outer_pivot)
    pieces.joints["trailing arm bushes"] = Hinge(along=pivots, bodies=(CHASSIS, UPRIGHT))
    for pivot, end in zip(pivots, ("inner", "outer"), strict=True):
        pieces.parts[f"trailing arm {end}"] = Tube(
            body=UPRIGHT, points=(pivot, project.wheel.centre), diameter=arrangement.diameter
        )
    return pieces


@_take_apart.register
def _(arrangement: HArm, project: Project) -> _Pieces:
    pieces = _Pieces()
    arm = Arm(arrangement.front, arrangement.rear, arrangement.outer, arrangement.diameter)
    _hang_arm(pieces, LOWER_ARM, arm)
    _link(pieces, "upper link", arrangement.upper)
    _link(pieces, TOE_LINK, arrangement.toe)
    pieces.links["integral link"] = Link(
        inner=End(arrangement.arm_post, LOWER_ARM), outer=End(arrangement.upright_post, UPRIGHT)
    )
    return pieces
