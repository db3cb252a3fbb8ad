"""How the map of the mount's places is worked out for the screen: a rough picture first."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from app.document import live
from app.document.places import Ground, Slots
from app.document.plane import ABOVE, FORE, INWARD, SIDE, UP, Plane, Spot3, Wanted, reach_for
from kinematics.studies.study import Study

if TYPE_CHECKING:
    from kinematics.studies.top_map import TopMap

Array = NDArray[np.float64]
Show = Callable[[Ground, float], None]
Asked = Callable[[], bool]

ROUGH = 9
"""Places a side of the first picture."""


@dataclass(frozen=True)
class Question:
    """What is to be mapped: the study of the corner, where its mount stands from its start, the
    plane wanted, and so many places a side in the end."""

    study: Study
    at: Spot3
    wanted: Wanted
    steps: int

    @property
    def level(self) -> float:
        """Where the plane lies, from the mount's start, mm."""
        return self.at[self.wanted.plane.third] + self.wanted.level


def work_out(question: Question, show: Show, cancelled: Asked) -> Ground:
    """The map, shown as it gets finer with the share done; the last is given back.

    Rough and straight ahead first, then fine, then the slots, then lock to lock where it steers.
    Raises Cancelled; ClearstrokeError where there is nothing to map.
    """
    stages = list(_stages(question, cancelled))
    cost = np.array([weight for weight, _ in stages], float)
    ground: Ground | None = None
    for n, (_, stage) in enumerate(stages):
        begun, part = float(cost[:n].sum() / cost.sum()), float(cost[n] / cost.sum())
        held = ground

        def report(
            share: float, begun: float = begun, part: float = part, held: Ground | None = held
        ) -> None:
            if held is not None:
                show(held, begun + share * part)

        ground = stage(ground, report)
        show(ground, begun + part)
    assert ground is not None
    return replace(ground, done=True)


Stage = Callable[[Ground | None, Callable[[float], None]], Ground]


def _stages(question: Question, cancelled: Asked) -> Iterator[tuple[float, Stage]]:
    """What is done one after another, with about how long each takes beside the others."""
    study, steps = question.study, question.steps
    racks = np.asarray(study.rack, float)

    def laid(count: int, rack: Array, whole: bool) -> Stage:
        def stage(before: Ground | None, report: Callable[[float], None]) -> Ground:
            return _ground(question, count, rack, whole, before, report, cancelled)

        return stage

    def slots(before: Ground | None, report: Callable[[float], None]) -> Ground:
        assert before is not None
        rack = racks if len(racks) > 1 else np.zeros(1)
        return replace(before, slots=_slots(question, rack, report, cancelled))

    straight = np.zeros(1)
    if steps > ROUGH:
        yield ROUGH**2, laid(ROUGH, straight, False)
    yield steps**2, laid(steps, straight, False)
    if question.wanted.plane is ABOVE and _has_slots(study):
        yield 300 * len(racks), slots
    if len(racks) > 1:
        yield steps**2 * len(racks), laid(steps, racks, True)


def _ground(
    question: Question,
    count: int,
    rack: Array,
    whole: bool,
    before: Ground | None,
    report: Callable[[float], None],
    cancelled: Asked,
) -> Ground:
    study, at, plane = question.study, question.at, question.wanted.plane
    reach = reach_for(at)
    steps = np.linspace(-reach, reach, count)
    plan = _plan(study, plane, steps, at, question.wanted.level, rack, report, cancelled)
    slots = None if before is None else before.slots
    return Ground(plane, steps, steps, question.level, plan, study.setting, whole, slots=slots)


def _plan(
    study: Study,
    plane: Plane,
    steps: Array,
    at: Spot3,
    level: float,
    rack: Array,
    report: Callable[[float], None],
    cancelled: Asked,
) -> TopMap:
    """The map about where the mount stands now, of offsets from where it first stood."""
    from kinematics.studies.top_map import top_map  # slow to import
    from kinematics.studies.upright import upright_map

    setting, out = study.setting, study.out
    fore, inward, up = (steps - at[way] for way in (FORE, INWARD, UP))
    if plane is ABOVE and level == 0.0:
        return live.mapped(study, fore, inward, report, cancelled, rack)
    if plane is ABOVE:
        return top_map(
            setting, -out * inward, fore, level, rack=rack, progress=report, cancelled=cancelled
        )
    if plane is SIDE:
        return upright_map(
            setting, "along", fore, up, -out * level, rack=rack, progress=report,
            cancelled=cancelled,
        )  # fmt: skip
    return upright_map(
        setting, "across", -out * inward, up, level, rack=rack, progress=report,
        cancelled=cancelled,
    )  # fmt: skip


def _has_slots(study: Study) -> bool:
    from kinematics.project.mount import slot_range

    found = slot_range(study.setting.unfolded.top_mount)
    return found is not None and any(most > least for least, most in found)


def _slots(
    question: Question, rack: Array, report: Callable[[float], None], cancelled: Asked
) -> Slots | None:
    """What the plate's slots reach, the tower staying, and how it fares there."""
    from kinematics.studies.top_map import slot_map

    study, at = question.study, question.at
    plan = slot_map(study.setting, rack, progress=report, cancelled=cancelled)
    if plan is None:
        return None
    fore, inward = plan.along + at[FORE], -study.out * plan.across + at[INWARD]
    room = plan.room
    if len(inward) > 1 and inward[0] > inward[-1]:
        inward, room = inward[::-1], room[:, ::-1]
    best = None
    if (found := plan.best_in_slots) is not None:
        place = float(plan.along[found[0]]), float(-study.out * plan.across[found[1]])
        best = place[0] + at[FORE], place[1] + at[INWARD]
    return Slots(fore, inward, np.nan_to_num(room, nan=-1e3), best, plan)
