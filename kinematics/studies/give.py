"""Clearances of a study once more with parts moved, tilted and bulged as they give."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from kinematics.clearance import Clearances, clearances
from kinematics.findings.find import least
from kinematics.findings.give import Given
from kinematics.project.rules import extra_positions_of
from kinematics.shapes.extra import Displaced, displaced

if TYPE_CHECKING:
    from kinematics.studies.study import Cancelled, Progress, Study

Array = npt.NDArray[np.float64]


def give(
    done: Study,
    pairs: Sequence[int] = (),
    cancelled: Cancelled | None = None,
    progress: Progress | None = None,
) -> Given | None:
    """What is left of a study's clearances in each extra position; None where nothing gives.

    Looked at are ``pairs`` and all others that come within reach of their give: no clearance
    shrinks by more than the farthest that a point is moved.
    """
    project, tolerance = done.setting.unfolded, done.tolerance
    extras = extra_positions_of(project)
    moves = {name: displaced(project, e, done.parts, done.motion) for name, e in extras.items()}
    if not any(moved.parts for moved in moves.values()):
        return None
    rigid, wanted = least(done.clearances), set(pairs)
    chosen = tuple(
        p
        for p in range(len(rigid))
        if any(
            _moves(done, p, moved) and (p in wanted or rigid[p] < moved.farthest + tolerance)
            for moved in moves.values()
        )
    )
    each = []
    for k, moved in enumerate(moves.values()):
        if progress is not None:
            progress(k / len(moves))
        each.append(_found(done, chosen, moved, cancelled))
    return Given(
        names=tuple(moves),
        usual=project.extra_positions is None,
        pairs=chosen,
        rigid=_rows(done, list(chosen)),
        each=tuple(each),
        reach=np.array([_reach(done, p, tuple(moves.values())) for p in range(len(rigid))]),
        travel=done.travel,
        rack=done.rack,
    )


def _moves(done: Study, pair: int, moved: Displaced) -> bool:
    """Whether the pair's parts move against each other: not both of them, nor on one body."""
    i, j = done.setting.pairs.checked[pair]
    one_body = done.parts[i].body == done.parts[j].body
    return ((i in moved.parts) != (j in moved.parts)) and not one_body


def _reach(done: Study, pair: int, moves: Sequence[Displaced]) -> float:
    """How much nearer any extra position can bring a pair at most, mm."""
    return max((m.farthest for m in moves if _moves(done, pair, m)), default=0.0)


def _found(
    done: Study, chosen: tuple[int, ...], moved: Displaced, cancelled: Cancelled | None
) -> Clearances:
    setting, grid = done.setting, done.motion.shape
    parts = [moved.parts.get(k, part) for k, part in enumerate(done.parts)]
    rows = [k for k, p in enumerate(chosen) if _moves(done, p, moved)]
    pairs = [setting.pairs.checked[chosen[k]] for k in rows]
    joints = [j for j in setting.joints(done.motion) if (j.part_a, j.part_b) in pairs]
    new = clearances(parts, pairs, grid, done.tolerance, joints=joints, cancelled=cancelled)
    found = _rows(done, list(chosen))
    unknown = np.ones(len(chosen), bool)
    unknown[rows] = False
    for name in ("low", "bound", "point_a", "point_b", "between_low", "between_at"):
        values = getattr(found, name)
        values[rows] = getattr(new, name)
    found.low[unknown] = np.nan
    found.between_low[unknown] = np.nan
    return found


def _rows(done: Study, rows: list[int]) -> Clearances:
    """Some pairs' clearances, copied."""
    found = done.clearances
    return replace(
        found,
        pairs=tuple(found.pairs[p] for p in rows),
        **{
            name: getattr(found, name)[rows]
            for name in ("low", "bound", "point_a", "point_b", "between_low", "between_at")
        },
    )
