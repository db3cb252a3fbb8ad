"""The fixes a builder has: each an edit of the project by an amount, and what work it takes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import IntEnum

import msgspec

from kinematics.project.edit import move_top
from kinematics.project.model import Coilover, Project, Tower

STUDS = (
    "Check that every wheel nut still has full thread of at least the stud's diameter, and that "
    "the spacer centres the wheel."
)
WELDED = "Welded structure is for a qualified welder; have it inspected to your local rules."
SPRUNG = "Take the load off the spring and hold it before you undo anything."


class Work(IntEnum):
    """How much is undone by a fix, least first."""

    ADJUSTED = 0
    BOLTED = 1
    CUT = 2
    REMADE = 3


@dataclass(frozen=True, eq=False)
class Cure:
    """One fix by an amount in mm.

    name : what it is. apply : the project with the fix by that amount (0: none). most : the
    largest sensible amount. sizes : what can be bought, ascending; empty: any whole mm. say : the
    instruction for an amount in mm, as a format string with `{}`. caution : what to mind.
    """

    name: str
    apply: Callable[[Project, float], Project]
    most: float
    work: Work
    say: str
    sizes: tuple[float, ...] = ()
    caution: str = ""


SPACERS = (3.0, 5.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0)
"""Wheel spacers that are stocked, mm: common practice, no source."""
PACKERS = (2.0, 5.0, 7.0, 10.0, 12.0, 15.0, 17.0, 20.0)
"""Heights that stacked 2 and 5 mm packers give, mm: common practice, no source."""
OFFSETS = (5.0, 10.0, 15.0, 20.0, 25.0)
"""Steps of wheel offset that are sold, mm: common practice, no source."""


def cures_for(project: Project) -> tuple[Cure, ...]:
    """The fixes that this corner has something to be fixed on, least work first."""
    found = [*_of_wheel(project)]
    if project.coilover is not None:
        found += _of_coilover(project, project.coilover)
    if project.tower is not None:
        found += _of_tower(project, project.tower)
    return tuple(sorted(found, key=lambda cure: cure.work))


def _of_wheel(project: Project) -> Iterator[Cure]:
    yield Cure("wheel spacer", _spacer, 30.0, Work.BOLTED, "Fit a {} mm wheel spacer", SPACERS,
               STUDS)  # fmt: skip
    yield Cure("wheel of less offset", _spacer, 25.0, Work.BOLTED,
               "Fit a wheel of {} mm less offset", OFFSETS)  # fmt: skip


def _of_coilover(project: Project, coilover: Coilover) -> Iterator[Cure]:
    if coilover.bump_stop is not None:
        yield Cure("bump-stop packer", _packer, 20.0, Work.BOLTED,
                   "Fit {} mm of packer under the bump stop", PACKERS, SPRUNG)  # fmt: skip
    stroke = coilover.open - coilover.closed
    yield Cure("droop strap", _strap, 0.4 * stroke, Work.BOLTED,
               "Fit a strap that stops the damper {} mm before it is open", (), SPRUNG)  # fmt: skip
    spring = coilover.spring
    if spring is not None:
        least = coilover.body_diameter + 2.0 * spring.wire + 4.0
        if spring.outside - least >= 1.0:
            yield Cure("slimmer spring", _slimmer, spring.outside - least, Work.BOLTED,
                       "Fit a spring {} mm smaller outside", (), SPRUNG)  # fmt: skip
        yield Cure("spring seat up", _seat, 30.0, Work.ADJUSTED,
                   "Wind the spring seat up {} mm", (), SPRUNG)  # fmt: skip
    for name, way in (("inboard", (0.0, -1.0)), ("outboard", (0.0, 1.0)),
                      ("forward", (1.0, 0.0)), ("rearward", (-1.0, 0.0))):  # fmt: skip
        yield Cure(f"mount {name} on its plate", _mount(way, False), 20.0, Work.ADJUSTED,
                   f"Slide the top mount {{}} mm {name} on its plate", (), SPRUNG)  # fmt: skip


def _of_tower(project: Project, tower: Tower) -> Iterator[Cure]:
    if tower.lip:
        yield Cure("lip trimmed", _trim, abs(tower.lip), Work.CUT,
                   "Trim {} mm off the tower's lip", (), WELDED)  # fmt: skip
    if tower.outer_down_to is not None:
        room = tower.top - tower.thickness - tower.outer_down_to
        yield Cure("outer panel shorter", _shorten, max(room - 1.0, 0.0), Work.CUT,
                   "Shorten the tower's outer panel by {} mm, its lip with it", (),
                   WELDED)  # fmt: skip


def _spacer(project: Project, mm: float) -> Project:
    wheel = project.wheel
    rim = msgspec.structs.replace(wheel.rim, spacer=wheel.rim.spacer + mm)
    return msgspec.structs.replace(project, wheel=msgspec.structs.replace(wheel, rim=rim))


def _coilover(project: Project, **changes: object) -> Project:
    assert project.coilover is not None
    coilover = msgspec.structs.replace(project.coilover, **changes)
    return msgspec.structs.replace(project, coilover=coilover)


def _packer(project: Project, mm: float) -> Project:
    assert project.coilover is not None
    assert project.coilover.bump_stop is not None
    stop = project.coilover.bump_stop
    stop = msgspec.structs.replace(stop, packer=stop.packer + mm)
    return _coilover(project, bump_stop=stop)


def _strap(project: Project, mm: float) -> Project:
    assert project.coilover is not None
    strap, longest = project.coilover.droop_strap, project.coilover.open
    now = longest if strap is None else min(strap, longest)
    return _coilover(project, droop_strap=now - mm) if mm > 0.0 else project


def _slimmer(project: Project, mm: float) -> Project:
    assert project.coilover is not None
    assert project.coilover.spring is not None
    spring = project.coilover.spring
    seat = None if spring.seat_outside is None else spring.seat_outside - mm
    return _coilover(
        project,
        spring=msgspec.structs.replace(spring, outside=spring.outside - mm, seat_outside=seat),
    )


def _seat(project: Project, mm: float) -> Project:
    assert project.coilover is not None
    assert project.coilover.spring is not None
    spring = project.coilover.spring
    spring = msgspec.structs.replace(spring, seat_from_foot=spring.seat_from_foot + mm)
    return _coilover(project, spring=spring)


def _mount(way: tuple[float, float], with_tower: bool) -> Callable[[Project, float], Project]:
    def apply(project: Project, mm: float) -> Project:
        out = 1.0 if project.side == "left" else -1.0
        return move_top(project, way[0] * mm, out * way[1] * mm, 0.0, with_tower)

    return apply


def _tower(project: Project, **changes: object) -> Project:
    assert project.tower is not None
    return msgspec.structs.replace(project, tower=msgspec.structs.replace(project.tower, **changes))


def _trim(project: Project, mm: float) -> Project:
    assert project.tower is not None
    lip = project.tower.lip
    left = max(abs(lip) - mm, 0.0)
    return _tower(project, lip=left if lip > 0.0 else -left)


def _shorten(project: Project, mm: float) -> Project:
    assert project.tower is not None
    assert project.tower.outer_down_to is not None
    return _tower(project, outer_down_to=project.tower.outer_down_to + mm)
