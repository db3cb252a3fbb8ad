"""Fixes at the coilover: stops, strap, spring, spring seat, foot and top mount."""

from __future__ import annotations

import math
from collections.abc import Iterator

import msgspec

from kinematics.project.edit import move_top
from kinematics.project.model import Coilover, PointOnLine, Project, Spring
from kinematics.project.mount import slot_range
from kinematics.project.unfold import unfold
from kinematics.studies.cure import (
    AGAIN,
    COMES_OFF,
    SPRUNG,
    WAYS,
    WELDED,
    Apply,
    Cure,
    Work,
    moved_point,
    out_of,
    times,
    worded,
)
from kinematics.studies.movers import moving_points
from kinematics.studies.strut_mount import move_strut_top

PACKERS = (2.0, 5.0, 7.0, 10.0, 12.0, 15.0, 17.0, 20.0)
"""Heights that stacked 2 and 5 mm packers give, mm: common practice, no source."""
PLATE, TOWER, FOOT = 20.0, 30.0, 25.0
"""How far the mount is slid on its plate, moved with its tower, and the foot moved, mm."""


def cures_of_coilover(project: Project, coilover: Coilover) -> Iterator[Cure]:
    """What can be changed at damper, spring, stops and mounts."""
    yield from _of_stops(coilover)
    if coilover.spring is not None:
        yield from _of_spring(coilover, coilover.spring)
    yield from _of_mount(project)
    if not is_strut(project) and coilover.foot.point not in moving_points(unfold(project)):
        yield from _of_foot(coilover)
    for name, sign in (("up", 1.0), ("down", -1.0)):
        yield _ride_height(project, name, sign)


def is_strut(project: Project) -> bool:
    """Whether the coilover's top also holds the wheel."""
    coilover = project.coilover
    return coilover is not None and any(
        isinstance(joint, PointOnLine) and joint.point == coilover.top.point
        for joint in unfold(project).joints.values()
    )


def _of_stops(coilover: Coilover) -> Iterator[Cure]:
    if coilover.bump_stop is not None:
        yield Cure(
            "bump-stop packer",
            "bump stop",
            _packer,
            20.0,
            Work.BOLTED,
            worded("Fit {} mm of packer under the bump stop"),
            PACKERS,
            SPRUNG,
            "the spring comes off the damper once",
        )
        yield Cure(
            "longer bump stop",
            "bump stop",
            _longer_stop,
            40.0,
            Work.BOLTED,
            worded("Fit a bump stop {} mm longer, of the same rubber"),
            (),
            SPRUNG,
            "the spring comes off the damper once",
        )
    stroke = coilover.open - coilover.closed
    yield Cure(
        "droop strap",
        "droop strap",
        _strap,
        0.4 * stroke,
        Work.BOLTED,
        worded("Fit a strap that stops the damper {} mm before it is open"),
        (),
        SPRUNG,
        COMES_OFF,
    )


def _of_spring(coilover: Coilover, spring: Spring) -> Iterator[Cure]:
    least = coilover.body_diameter + 2.0 * spring.wire + 4.0
    if spring.outside - least >= 1.0:
        yield Cure(
            "slimmer spring",
            "other spring",
            _slimmer,
            spring.outside - least,
            Work.BOLTED,
            worded("Fit a spring {} mm smaller outside"),
            (),
            SPRUNG,
            "the spring is replaced",
        )
    if spring.free is not None:
        for name, sign, way in (("shorter", 1.0, "up"), ("longer", -1.0, "down")):
            yield Cure(
                f"{name} spring",
                "other spring",
                _shorter(sign),
                min(60.0, 0.3 * spring.free),
                Work.BOLTED,
                worded(f"Fit a spring {{}} mm {name} and wind its seat {way} by as much"),
                (),
                SPRUNG,
                "the spring is replaced, and the ride height is set again",
            )
    for name, sign in (("up", 1.0), ("down", -1.0)):
        yield Cure(
            f"spring seat {name}",
            "spring seat",
            _seat(sign),
            30.0,
            Work.ADJUSTED,
            worded(f"Wind the spring seat {name} {{}} mm"),
            (),
            SPRUNG,
            "the ride height is set again, and the alignment with it",
        )


def _of_mount(project: Project) -> Iterator[Cure]:
    wheel = ", and the alignment is set again" if is_strut(project) else ""
    slots = slot_range(project.top_mount)
    slotted = slots is not None
    slid = "bolts are loosened and tightened again" if slotted else "holes are drilled anew"
    for name, most in _slides(project):
        cannot = "" if most >= 1.0 else f"Mount {name}: its slots have no room left that way."
        yield Cure(
            f"mount {name} on its plate",
            "mount on its plate",
            mount(name, False),
            most,
            Work.ADJUSTED if slotted else Work.BOLTED,
            worded(f"{'Slide' if slotted else 'Set'} the top mount {{}} mm {name} on its plate"),
            (),
            SPRUNG,
            f"the plate's {slid}{wheel}",
            cannot,
        )
    yield Cure(
        "mount lower",
        "mount on its plate",
        mount("down", False),
        PLATE,
        Work.BOLTED,
        worded("Pack the top mount {} mm down from its plate"),
        (),
        SPRUNG,
        f"the ride height is set again{wheel}",
    )
    if project.tower is None:
        return
    for name in WAYS:
        words = {"up": "raised", "down": "lowered"}.get(name, name)
        yield Cure(
            f"tower {words} with its mount",
            "tower with its mount",
            mount(name, True),
            TOWER,
            Work.REMADE,
            worded(f"Move the tower with its top mount {{}} mm {name}"),
            (),
            f"{SPRUNG} {WELDED}",
            f"the tower's seams are {AGAIN}{wheel}",
        )


def _slides(project: Project) -> Iterator[tuple[str, float]]:
    """The ways the mount is slid on its plate and how far, mm: as far as its slots go."""
    slots = slot_range(project.top_mount)
    (rear, fore), (out, inward) = ((-PLATE, PLATE),) * 2 if slots is None else slots
    for name, most in (
        ("inboard", inward), ("outboard", -out), ("forward", fore), ("rearward", -rear),
    ):  # fmt: skip
        yield name, max(math.floor(most + 1e-9), 0.0)


def _of_foot(coilover: Coilover) -> Iterator[Cure]:
    for name in WAYS:
        yield Cure(
            f"coilover foot {name}",
            "coilover foot",
            _foot(name),
            FOOT,
            Work.CUT,
            worded(f"Move the coilover's foot bracket {{}} mm {name}"),
            (),
            f"{SPRUNG} {WELDED}",
            "the bracket is set anew; rate and ride height are set again",
        )


def _ride_height(project: Project, name: str, sign: float) -> Cure:
    """Only where travel was asked for from set-up height does the car's height change it."""
    why = ""
    if project.travel is None:
        why = (
            "Ride height: damper and stops end the travel, so the car set higher or lower still "
            "reaches both ends; it only touches more seldom or more often."
        )
    return Cure(
        f"ride height {name}",
        "ride height",
        _higher(sign),
        40.0,
        Work.ADJUSTED,
        worded(f"Set the car {{}} mm {'higher' if sign > 0 else 'lower'}"),
        (),
        SPRUNG,
        "the alignment is set again",
        why,
    )


def changed(project: Project, **changes: object) -> Project:
    """The project with fields of its coilover changed."""
    assert project.coilover is not None
    coilover = msgspec.structs.replace(project.coilover, **changes)
    return msgspec.structs.replace(project, coilover=coilover)


def _packer(project: Project, mm: float) -> Project:
    assert project.coilover is not None
    assert project.coilover.bump_stop is not None
    stop = project.coilover.bump_stop
    return changed(project, bump_stop=msgspec.structs.replace(stop, packer=stop.packer + mm))


def _longer_stop(project: Project, mm: float) -> Project:
    """Of the same rubber: it squashes to the same share of its length."""
    assert project.coilover is not None
    assert project.coilover.bump_stop is not None
    stop = project.coilover.bump_stop
    share = (stop.free + mm) / stop.free
    squash = None if stop.full_squash is None else stop.full_squash * share
    curve = None if stop.curve is None else tuple((x * share, f) for x, f in stop.curve)
    longer = msgspec.structs.replace(
        stop, free=stop.free + mm, solid=stop.solid * share, full_squash=squash, curve=curve
    )
    return changed(project, bump_stop=longer)


def _strap(project: Project, mm: float) -> Project:
    assert project.coilover is not None
    strap, longest = project.coilover.droop_strap, project.coilover.open
    now = longest if strap is None else min(strap, longest)
    return changed(project, droop_strap=now - mm) if mm > 0.0 else project


def _spring(project: Project, **changes: object) -> Project:
    assert project.coilover is not None
    assert project.coilover.spring is not None
    return changed(project, spring=msgspec.structs.replace(project.coilover.spring, **changes))


def _slimmer(project: Project, mm: float) -> Project:
    assert project.coilover is not None
    assert project.coilover.spring is not None
    spring = project.coilover.spring
    seat = None if spring.seat_outside is None else spring.seat_outside - mm
    return _spring(project, outside=spring.outside - mm, seat_outside=seat)


def _shorter(sign: float) -> Apply:
    """Its upper end stays, its seat follows: the car stands as it did. sign : -1 for longer."""

    def apply(project: Project, mm: float) -> Project:
        assert project.coilover is not None
        assert project.coilover.spring is not None
        spring, less = project.coilover.spring, sign * mm
        assert spring.free is not None
        return _spring(
            project, free=spring.free - less, seat_from_foot=spring.seat_from_foot + less
        )

    return apply


def _seat(sign: float) -> Apply:
    def apply(project: Project, mm: float) -> Project:
        assert project.coilover is not None
        assert project.coilover.spring is not None
        now = project.coilover.spring.seat_from_foot
        return _spring(project, seat_from_foot=now + sign * mm)

    return apply


def mount(name: str, with_tower: bool) -> Apply:
    """Move the top mount one of the `WAYS`, its tower staying or going along."""
    way = WAYS[name]

    def apply(project: Project, mm: float) -> Project:
        dx, dy, dz = times(way, mm)
        return moved_mount(project, dx, out_of(project) * dy, dz, with_tower)

    return apply


def moved_mount(
    project: Project, dx: float, dy: float, dz: float, with_tower: bool | None
) -> Project:
    """The top mount moved by (dx, dy, dz) mm in car coordinates; a strut's wheel follows.

    Raises ClearstrokeError where a strut can't be put together there.
    """
    if is_strut(project):
        return move_strut_top(project, dx, dy, dz, with_tower)
    return move_top(project, dx, dy, dz, with_tower)


def _foot(name: str) -> Apply:
    def apply(project: Project, mm: float) -> Project:
        assert project.coilover is not None
        return moved_point(project, project.coilover.foot.point, times(WAYS[name], mm))

    return apply


def _higher(sign: float) -> Apply:
    """The same travel from set-up height, of a car that stands higher (+1) or lower (-1)."""

    def apply(project: Project, mm: float) -> Project:
        if project.travel is None:
            return project
        low, high = project.travel
        return msgspec.structs.replace(project, travel=(low - sign * mm, high - sign * mm))

    return apply
