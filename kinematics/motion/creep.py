"""Following one pose with care, a step at a time, as far as the corner goes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.frames import Array
from kinematics.motion.rows import Geometry, State, evaluate
from kinematics.motion.solve import correction, knot, polish, predicted, rates, residual
from kinematics.motion.sweep import CLOSED
from kinematics.motion.system import System
from kinematics.motion.track import drivers

LEAST = 1e-5
"""The same for a path followed by single steps."""


def joined(*states: State) -> State:
    """Poses one after the other."""
    return State(*(np.concatenate(parts, axis=-1) for parts in zip(*states, strict=True)))


@dataclass(frozen=True)
class Path:
    """One lane followed with care: poses at the values reached, and how far it went.

    ``last`` is the driver's value at the last pose reached; ``state`` that pose.
    """

    poses: list[State]
    last: float
    state: State


def creep(
    system: System, geo: Geometry, state: State, at: float, values: Array, other: float, along: int
) -> Path:
    """Follow one pose through ``values`` in order, with steps as small as need be.

    A step is believed only if Newton's correction of the second-order prediction is small
    against the step itself; else it is halved. Ends where the step has become negligible.
    """
    poses: list[State] = []
    others = np.array([other])
    for value in values:
        step = float(value) - at
        least = max(abs(step), 1.0) * LEAST
        while at != value:
            onward = _stride(system, geo, state, at, step, others, along)
            if onward is None:
                step *= 0.5
                if abs(step) < least:
                    return Path(poses, at, state)
                continue
            state, at = onward, at + step
            left = float(value) - at
            if abs(left) < 1e-12 * max(1.0, abs(float(value))):
                at = float(value)
            step = left if abs(left) < abs(1.5 * step) else 1.5 * step
        poses.append(state)
    return Path(poses, at, state)


def _stride(
    system: System, geo: Geometry, state: State, at: float, step: float, other: Array, along: int
) -> State | None:
    """The pose one step onward, or None if it can't be believed."""
    here = np.array([at])
    with np.errstate(all="ignore"):
        rate = rates(system, geo, state, *drivers(here, other, along), along)
        move = np.sqrt((rate.speed**2).sum()) * abs(step)
        if not np.isfinite(move) or move > 0.1 * geo.scale:
            return None
        guess = predicted(system.table, geo, state, rate, np.array([step]))
        drive, rack = drivers(here + step, other, along)
        rows = evaluate(system.table, geo, guess, drive, rack)
        first = correction(system, geo, rows, guess)
        if not np.sqrt((first**2).sum()) <= 0.1 * move + 1e-9:
            return None
        found = knot(system, geo, guess, float(drive[0]), float(rack[0]))
        found = polish(system, geo, found, drive, rack, 3)
        closed = residual(system, geo, found, drive, rack)[0] <= 0.5 * CLOSED
        return found if closed else None
