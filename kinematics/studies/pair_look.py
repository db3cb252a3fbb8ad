"""One pair of parts looked at again, at any travels: as it is, and once parts give."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from kinematics.clearance import Cancelled, Clearances, clearances
from kinematics.findings.find import Here, PairAt
from kinematics.findings.stretches import PairLook
from kinematics.motion import Motion, move
from kinematics.project.rules import extra_positions_of
from kinematics.shapes.extra import displaced
from kinematics.shapes.pieces import Part

if TYPE_CHECKING:
    from kinematics.studies.study import Setting

Array = npt.NDArray[np.float64]

TOLERANCE = 1e-3
"""Calculation error of a clearance where a first touch is looked for, mm."""


def pair_look(setting: Setting, pair: int) -> PairLook:
    """The certified clearance of a pair at and between any travels."""

    def look(travel: Array, rack: float) -> tuple[Array, Array]:
        motion = move(setting.linkage, travel, [rack])
        parts = setting.builder.some(motion, setting.pairs.checked[pair])
        return _lows(_found(setting, pair, motion, parts))

    return look


def stoppable(
    look_of: Callable[[int], PairLook], cancelled: Callable[[], bool] | None
) -> Callable[[int], PairLook]:
    """The same looks, each of which ends with ``Cancelled`` where ``cancelled`` says so."""

    def of(pair: int) -> PairLook:
        look = look_of(pair)

        def again(travel: Array, rack: float) -> tuple[Array, Array]:
            if cancelled is not None and cancelled():
                raise Cancelled
            return look(travel, rack)

        return again

    return of


def pair_at(setting: Setting, pair: int) -> PairAt:
    """The clearance of a pair at any position, and its contact points."""

    def at(travel: float, rack: float) -> Here:
        motion = move(setting.linkage, [travel], [rack])
        parts = setting.builder.some(motion, setting.pairs.checked[pair])
        found = _found(setting, pair, motion, parts)
        low, bound = float(found.low[0, 0, 0]), float(found.bound[0, 0, 0])
        return Here(low, bound, found.point_a[0, 0, 0], found.point_b[0, 0, 0])

    return at


def given_look(setting: Setting, pair: int) -> PairLook:
    """The least of it over the pair as it is and all extra positions that move one of the two."""
    extras = tuple(extra_positions_of(setting.unfolded).values())

    def look(travel: Array, rack: float) -> tuple[Array, Array]:
        motion = move(setting.linkage, travel, [rack])
        parts = setting.builder.some(motion, setting.pairs.checked[pair])
        ways = [tuple(parts)]
        for extra in extras:
            moved = displaced(setting.unfolded, extra, parts, motion).parts
            if len(moved) == 1 and parts[0].body != parts[1].body:
                ways.append(tuple(moved.get(k, part) for k, part in enumerate(parts)))
        lows = [_lows(_found(setting, pair, motion, way)) for way in ways]
        least, between = (np.fmin.reduce(values) for values in zip(*lows, strict=True))
        return np.asarray(least), np.asarray(between)

    return look


def _found(setting: Setting, pair: int, motion: Motion, parts: Sequence[Part]) -> Clearances:
    both = setting.pairs.checked[pair]
    joints = [
        replace(joint, part_a=0, part_b=1)
        for joint in setting.joints(motion)
        if (joint.part_a, joint.part_b) == both
    ]
    return clearances(parts, [(0, 1)], grid=motion.shape, tol=TOLERANCE, joints=joints, threads=1)


def _lows(found: Clearances) -> tuple[Array, Array]:
    return found.low[0, :, 0], found.between_low[0, :, 0]
