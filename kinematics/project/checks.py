"""What can't be right in a project, and what is worth a second look, in plain sentences."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from kinematics.project.adjusters import adjuster_problems
from kinematics.project.arrangements import lines
from kinematics.project.basics import CHASSIS, UPRIGHT
from kinematics.project.coils import growth_flat
from kinematics.project.joints import Ball, Hinge, PointOnLine, Slide
from kinematics.project.load_checks import load_cautions, load_problems
from kinematics.project.markings import MarkingError, read_rim, read_tyre
from kinematics.project.model import (
    Arch,
    Beam,
    Box,
    Caliper,
    Coilover,
    Cylinder,
    Disc,
    ExtraPosition,
    FiveLinks,
    Joint,
    PartSpec,
    Project,
    RadiusArm,
    RodEnd,
    Scan,
    Shaft,
    Spring,
    Strut,
    StrutLinks,
    Tower,
    Tube,
    Upright,
    Xyz,
)
from kinematics.project.names import bodies_of
from kinematics.project.survey_checks import survey_problems
from kinematics.units import show_length, show_plain

SMALL = 1e-6
SHORTEST = 1.0  # mm between two points that a length or a line is taken from


def problems_of(project: Project) -> list[str]:
    """Everything that must be put right before the corner can be worked out.

    Each sentence begins with the path of the entry it is about. Names are taken to be there
    (see ``names.dangling``).
    """
    return [
        *_basics(project),
        *_arrangement(project),
        *_links(project),
        *_joints(project),
        *adjuster_problems(project),
        *_wheel(project),
        *_coilover(project),
        *_tower(project.tower),
        *_top_mount(project),
        *_parts(project),
        *_extra_positions(project),
        *load_problems(project),
        *survey_problems(project),
    ]


def cautions_of(project: Project) -> list[str]:
    """What is possible but worth a second look: the wrong side, a damper out of its stroke."""
    return [
        *_wrong_side(project),
        *_out_of_stroke(project),
        *_mount_height(project),
        *load_cautions(project),
    ]


def _basics(project: Project) -> Iterator[str]:
    if not project.points:
        yield "points: there are none; give every point's x, y and z under its name."
    for name in project.bodies:
        if name == CHASSIS or project.bodies.count(name) > 1:
            yield f'bodies: "{name}" is there already; give each moving body its own name.'
            break
    if project.arrangement is None and not project.links and not project.joints:
        yield "arrangement: there is none, nor any links or joints; nothing would hold the wheel."
    if project.travel is not None and not project.travel[0] < project.travel[1]:
        yield "travel: give the most droop first and the most bump second, such as [-80, 80]."
    if project.rack is not None and not project.rack.least < project.rack.most:
        yield "rack: least must be less than most."


def _arrangement(project: Project) -> Iterator[str]:
    for entry, one, other in lines(project.arrangement):
        yield from _same_place(project, f"arrangement.{entry}", one, other)
    match project.arrangement:
        case Strut() | StrutLinks():
            if project.coilover is None:
                yield "coilover: a strut is its own guide; give its foot, top, open and closed."
            elif project.coilover.foot.body != UPRIGHT:
                yield "coilover.foot.body: a strut is clamped to the upright; its foot is on it."
        case FiveLinks(links=links) if len(links) != 5:
            yield f"arrangement.links: five links are needed, {len(links)} are there."
        case RadiusArm(rigid=True, lateral=lateral, arm_outer=outer):
            if len(lateral) != 2:
                yield (
                    f"arrangement.lateral: a rigid radius arm goes with two lateral links, "
                    f"{len(lateral)} are there."
                )
            if outer is not None:
                yield "arrangement.arm_outer: a rigid arm has no outer ball; leave it out."
        case RadiusArm(rigid=False, lateral=lateral, arm_outer=outer):
            if len(lateral) != 4:
                yield (
                    f"arrangement.lateral: a ball-ended radius arm goes with four lateral links, "
                    f"{len(lateral)} are there."
                )
            if outer is None:
                yield "arrangement.arm_outer: name the arm's ball on the upright."
        case _:
            pass


def _links(project: Project) -> Iterator[str]:
    for name, link in project.links.items():
        path = f"links.{name}"
        for one, other in pairwise((link.inner.point, *link.through, link.outer.point)):
            yield from _same_place(project, path, one, other)
        if link.inner.body == link.outer.body:
            yield f"{path}: both ends are on {link.inner.body}; a link joins two bodies."
        if link.adjust_range and not link.adjust_range[0] <= link.adjust <= link.adjust_range[1]:
            yield f"{path}.adjust: {show_plain(link.adjust, project.units)} is outside its range."


def _joints(project: Project) -> Iterator[str]:
    for name, joint in project.joints.items():
        path = f"joints.{name}"
        if joint.bodies[0] == joint.bodies[1]:
            yield f"{path}.bodies: both are {joint.bodies[0]}; a joint holds two bodies together."
        line = _line(joint)
        if line:
            yield from _same_place(project, path, *line)


def _line(joint: Joint) -> tuple[str, str] | None:
    match joint:
        case Hinge(along=line) | Slide(along=line) | PointOnLine(line=line):
            return line
        case Ball():
            return None


def _wheel(project: Project) -> Iterator[str]:
    wheel = project.wheel
    if wheel.body == CHASSIS:
        yield "wheel.body: the wheel is on the chassis; name the body that carries it."
    elif wheel.body not in bodies_of(project):
        yield f'wheel.body: there is no body "{wheel.body}"; name the body that carries it.'
    outboard = 1.0 if project.side == "left" else -1.0
    if wheel.axis is not None:
        if wheel.camber_deg or wheel.toe_deg:
            yield "wheel: give either axis or camber_deg and toe_deg, not both."
        if not 1e-6 < math.hypot(*wheel.axis) < 1e6:
            yield "wheel.axis: it has no direction that can be used; it should point outboard."
        elif outboard * wheel.axis[1] <= 0:
            yield "wheel.axis: it points inboard; the axis should point outboard."
    for path, reader, text in (
        ("wheel.tyre.size", read_tyre, wheel.tyre.size),
        ("wheel.rim.size", read_rim, wheel.rim.size),
    ):
        try:
            reader(text)
        except MarkingError as error:
            yield f"{path}: {error}."
    tyre = wheel.tyre
    for number, weights in enumerate(wheel.rim.weights):
        if weights.on_radius is not None and weights.on_radius <= weights.height:
            yield f"wheel.rim.weights[{number}].height: more than the radius they are stuck to."
    if tyre.free_radius and tyre.loaded_radius and tyre.loaded_radius > tyre.free_radius:
        yield "wheel.tyre: the loaded radius is more than the free radius."
    most = tyre.loaded_radius or tyre.free_radius
    if tyre.flat_radius and most and tyre.flat_radius > most:
        yield "wheel.tyre: the flat radius is more than with air in it."


def _coilover(project: Project) -> Iterator[str]:
    coilover = project.coilover
    if coilover is None:
        return
    yield from _same_place(project, "coilover", coilover.foot.point, coilover.top.point)
    if coilover.foot.body == coilover.top.body:
        yield f"coilover: foot and top are both on {coilover.top.body}; it would not move."
    if coilover.closed >= coilover.open:
        closed, open_ = (show_plain(v, project.units) for v in (coilover.closed, coilover.open))
        yield (
            f"coilover.closed: closed ({closed}) must be less than open ({open_}), "
            "both eye to eye with spring and bump stop off."
        )
    stop = coilover.bump_stop
    if stop is not None and stop.solid > stop.free:
        yield "coilover.bump_stop: solid must not be more than free."
    strap = coilover.droop_strap
    if strap is not None and not coilover.closed < strap:
        yield "coilover.droop_strap: it is shorter than the damper closed."
    yield from _fittings(coilover)
    if coilover.spring is not None:
        yield from _spring(coilover, coilover.spring)


def _spring(coilover: Coilover, spring: Spring) -> Iterator[str]:
    if not 2 * spring.wire < spring.outside:
        yield "coilover.spring.wire: twice the wire is more than the outside diameter."
    room = coilover.open - spring.seat_from_foot - spring.end_from_top
    if room <= 0:
        yield (
            "coilover.spring: seat_from_foot and end_from_top leave no room for a spring, even "
            "with the damper open."
        )


def _fittings(coilover: Coilover) -> Iterator[str]:
    """What is fitted on the damper must be as the sizes beside it allow."""
    thread, spring = coilover.thread, coilover.spring
    if thread is not None and thread.end - thread.start < SHORTEST:
        yield "coilover.thread: end must be above start, both from the foot eye's centre."
    if thread is not None and thread.diameter < coilover.body_diameter:
        yield "coilover.thread.diameter: it is thinner than the damper's body; leave it out."
    if (end := coilover.foot_end) is not None:
        if coilover.clamp is not None:
            yield "coilover.foot_end: a strut clamped in its upright has none; leave it out."
        if end.gap >= end.width:
            yield "coilover.foot_end.gap: it must be less than the width over both cheeks."
        if math.hypot(*end.axis) < SMALL:
            yield "coilover.foot_end.axis: it has no direction; give its bolt's."
    if spring is None:
        return
    if spring.hat_outside is not None and spring.hat_outside <= coilover.shaft_diameter:
        yield "coilover.spring.hat_outside: it is no wider than the damper's shaft."
    if spring.coils_grow and growth_flat(spring) is None:
        yield (
            "coilover.spring.coils_grow: how much they grow needs free, and active_coils or "
            "rate_n_per_mm."
        )


def _tower(tower: Tower | None) -> Iterator[str]:
    if tower is None:
        return
    if not tower.rear < tower.front:
        yield "tower: rear must be less than front (x is forward)."
    if not tower.inner < tower.outer:
        yield "tower: inner must be less than outer, both from the car's centre plane."
    for name in ("front_down_to", "rear_down_to", "inner_down_to", "outer_down_to"):
        foot = getattr(tower, name)
        if foot is not None and foot >= tower.top - tower.thickness:
            yield f"tower.{name}: the panel's foot must be below the top plate."
    for side, lip in (("outer", "lip"), ("front", "front_lip"), ("rear", "rear_lip"),
                      ("inner", "inner_lip")):  # fmt: skip
        if getattr(tower, lip) and getattr(tower, f"{side}_down_to") is None:
            article = "an" if side in ("outer", "inner") else "a"
            yield f"tower.{lip}: a lip needs {article} {side} panel; give {side}_down_to."
    for number, gusset in enumerate(tower.gussets):
        if getattr(tower, f"{gusset.on}_down_to") is None:
            yield f"tower.gussets[{number}].on: the tower has no {gusset.on} panel."


def _top_mount(project: Project) -> Iterator[str]:
    mount = project.top_mount
    if mount is None:
        return
    if project.coilover is None:
        yield "top_mount: there is no coilover for it to hold."
    plate = mount.plate
    if plate is None:
        return
    if plate.bolt_circle and plate.bolt_circle + plate.bolt_diameter > math.hypot(
        plate.length, plate.width
    ):
        yield "top_mount.plate.bolt_circle: it is wider than the plate."
    for way, slot, now in (("forward", plate.slot_forward, plate.set_forward),
                           ("inboard", plate.slot_inboard, plate.set_inboard)):  # fmt: skip
        if abs(now) > slot / 2 + 1e-9:
            yield (
                f"top_mount.plate.set_{way}: {show_plain(now, project.units)} is out of its slots, "
                f"which give {show_plain(slot / 2, project.units)} either way."
            )


def _parts(project: Project) -> Iterator[str]:
    for name, part in project.parts.items():
        yield from _part(project, f"parts.{name}", part)


def _part(project: Project, path: str, part: PartSpec) -> Iterator[str]:
    match part:
        case Tube(points=points):
            for one, other in pairwise(points):
                yield from _same_place(project, path, one, other)
        case Cylinder(points=(one, other)):
            yield from _same_place(project, path, one, other)
        case Shaft():
            yield from _same_place(project, path, part.inner.point, part.outer.point)
        case Beam(points=points):
            for one, other in pairwise(points):
                yield from _same_place(project, path, one, other)
        case RodEnd(at=at, shank_to=to):
            if math.hypot(*part.axis) < SMALL:
                yield f"{path}.axis: it has no direction; give its bolt's."
            if to is not None:
                yield from _same_place(project, path, at, to)
        case Disc() | Caliper() | Upright():
            if part.body != project.wheel.body:
                yield f"{path}.body: it is on the wheel's carrier, {project.wheel.body}."
            if isinstance(part, Caliper) and part.inner_radius >= part.outer_radius:
                yield f"{path}: inner_radius must be less than outer_radius."
        case Arch():
            if not abs(part.to_deg - part.from_deg) <= 360 or part.to_deg == part.from_deg:
                yield f"{path}: from_deg and to_deg must differ, by no more than a full turn."
            if not part.inner < part.outer:
                yield f"{path}: inner must be less than outer, both from the car's centre plane."
            if part.lip >= part.radius:
                yield f"{path}.lip: it is deeper than the arch's radius."
        case Box(least=least, most=most):
            if not all(a < b for a, b in zip(least, most, strict=True)):
                yield f"{path}: each of least must be less than the same of most."
        case Scan(file=file):
            inside = not file.startswith(("/", "\\")) and ":" not in file and ".." not in file
            if not inside:
                yield f"{path}.file: name a file beside the project or in a folder below it."
        case _:
            pass


def _extra_positions(project: Project) -> Iterator[str]:
    for name, extra in (project.extra_positions or {}).items():
        if extra == ExtraPosition(moves=extra.moves, about=extra.about):
            yield f"extra_positions.{name}: it moves nothing; say how far it goes, or leave it out."
        if extra.bulge and not {"wheel", "tyre"} & set(extra.moves):
            yield f"extra_positions.{name}.bulge: only the tyre bulges; let it move wheel or tyre."


def _same_place(project: Project, path: str, one: str, other: str) -> Iterator[str]:
    if one == other:
        yield f'{path}: "{one}" is named for both ends; name two points.'
        return
    gap = math.dist(project.points[one], project.points[other])
    if gap < SHORTEST:
        yield f'{path}: "{one}" and "{other}" are at the same place; measure them again.'


def _wrong_side(project: Project) -> Iterator[str]:
    outboard = 1.0 if project.side == "left" else -1.0
    if outboard * _at(project, project.wheel.centre)[1] <= 0:
        yield (
            f"points.{project.wheel.centre}: its y puts the wheel on the other side of the car; "
            f"a {project.side}-hand corner has y {'positive' if outboard > 0 else 'negative'}."
        )


def _out_of_stroke(project: Project) -> Iterator[str]:
    coilover = project.coilover
    if coilover is None:
        return
    length = math.dist(*(_at(project, end.point) for end in (coilover.foot, coilover.top)))
    for bound, word, out in (
        (coilover.open, "open", length > coilover.open),
        (coilover.closed, "closed", length < coilover.closed),
    ):
        if out:
            yield (
                f"coilover: foot and top are {show_length(length, project.units)} apart as "
                f"measured, but the damper {word} is {show_plain(bound, project.units)}. "
                "Was it measured without the damper?"
            )


def _mount_height(project: Project) -> Iterator[str]:
    """The plate lies on the tower's top, or under it."""
    mount, tower, coilover = project.top_mount, project.tower, project.coilover
    if mount is None or mount.plate is None or tower is None or coilover is None:
        return
    surface = _at(project, coilover.top.point)[2] - mount.bearing_above
    places = (tower.top + mount.plate.thickness, tower.top - tower.thickness)
    if min(abs(surface - z) for z in places) > SHORTEST:
        at, above, under = (show_length(z, project.units) for z in (surface, *places))
        yield (
            f"top_mount: its plate's upper surface is at {at}, but on the tower it would be at "
            f"{above}, under its top at {under}. Check bearing_above."
        )


def _at(project: Project, name: str) -> Xyz:
    return project.points[name]
