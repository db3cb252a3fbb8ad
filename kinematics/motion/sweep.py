"""Following a corner along one driver: a few knots, Hermite seeds between, Newton over all.

A *lane* is one corner followed on its own: a rack position of a grid, or a variant of the points.
All lanes share the driver's values and are solved together.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import Array
from kinematics.motion.rows import Geometry, State, evaluate
from kinematics.motion.solve import (
    Rates,
    between,
    correction,
    knot,
    polish,
    predicted,
    rates,
    residual,
)
from kinematics.motion.system import System

REACH = 0.2
"""Longest stretch between knots, as solved motion over the corner's own size (``scale``)."""
CLOSED = 1e-9
"""mm: the closure asked of every pose that is returned."""
SHORTEST = 1e-5
"""Of a stretch between knots: below this step a path that will not go on has come to its end."""


@dataclass(frozen=True)
class Lanes:
    """Where lanes start: their poses at the driver value ``at``, the other driver's value of each,
    and the start's rates along the driver if known."""

    state: State
    at: float
    other: Array
    rate: Rates


def lanes(
    system: System, geo: Geometry, state: State, at: float, other: Array, along: int
) -> Lanes:
    """Lanes that start from solved poses, with their rates."""
    drive, rack = drivers(np.full(state.size, at), other, along)
    return Lanes(state, at, other, rates(system, geo, state, drive, rack, along))


def drivers(value: Array, other: Array, along: int) -> tuple[Array, Array]:
    """(driver, rack) from the value swept and the value held."""
    return (value, other) if along == 0 else (other, value)


def sweep(
    system: System, geo: Geometry, start: Lanes, values: Array, along: int = 0
) -> tuple[State, NDArray[np.bool_]]:
    """Poses at all ``values`` (k,) for each lane, (bodies, ., k·lanes), lanes quickest.

    Also which of them are closed; the others are to be followed by ``creep``. Poses are on the
    start's branch as far as the seeds tell: the caller proves it.
    """
    n = start.state.size
    seeds = _seed(system, geo, start, values, along)
    value, other = np.repeat(values, n), np.tile(start.other, len(values))
    drive, rack = drivers(value, other, along)
    state = polish(system, geo, seeds, drive, rack, 4)
    return state, residual(system, geo, state, drive, rack) <= 0.5 * CLOSED


def _seed(system: System, geo: Geometry, start: Lanes, values: Array, along: int) -> State:
    """Interpolated poses at the values, from knots on both sides of the start."""
    n, count = start.state.size, len(values)
    bodies = len(start.state.turn)
    centre, turn = np.empty((bodies, 3, count, n)), np.empty((bodies, 4, count, n))
    for side in (1.0, -1.0):
        mine = np.flatnonzero(side * (values - start.at) > 0.0)
        here = np.flatnonzero(values == start.at)
        centre[:, :, here] = start.state.centre[:, :, None]
        turn[:, :, here] = start.state.turn[:, :, None]
        if len(mine):
            _seed_side(system, geo, start, values, mine, side, along, centre, turn)
    return State(centre.reshape(bodies, 3, -1), turn.reshape(bodies, 4, -1))


def _seed_side(
    system: System,
    geo: Geometry,
    start: Lanes,
    values: Array,
    mine: NDArray[np.intp],
    side: float,
    along: int,
    centre: Array,
    turn: Array,
) -> None:
    n = start.state.size
    far = float(np.abs(values[mine] - start.at).max())
    stretch = far / _stretches(start.rate, far, geo.scale)
    state, rate, begin = start.state, start.rate, 0.0
    offset = np.abs(values[mine] - start.at)
    while begin < far * (1.0 - 1e-12):
        stop = min(begin + stretch, far)
        step = side * (stop - begin)
        end = _knot(system, geo, state, rate, start, start.at + side * stop, step, along)
        at = np.full(n, start.at + side * stop)
        end_rate = rates(system, geo, end, *drivers(at, start.other, along), along)
        inside = (offset > begin) & (offset <= stop)
        part = (offset[inside] - begin) / (stop - begin)
        spans = np.full(n, step)
        found = between(system.table, geo, (state, end), (rate, end_rate), spans, part)
        k = int(inside.sum())
        centre[:, :, mine[inside]] = found.centre.reshape(*found.centre.shape[:2], k, n)
        turn[:, :, mine[inside]] = found.turn.reshape(*found.turn.shape[:2], k, n)
        state, rate, begin = end, end_rate, stop


def _stretches(rate: Rates, far: float, scale: float) -> int:
    speed = float(np.sqrt((rate.speed**2).sum(axis=0)).max())
    if not np.isfinite(speed):
        return 1
    return min(max(1, int(np.ceil(speed * far / (REACH * scale)))), 64)


def _knot(
    system: System,
    geo: Geometry,
    state: State,
    rate: Rates,
    start: Lanes,
    value: float,
    step: float,
    along: int,
) -> State:
    guess = predicted(system.table, geo, state, rate, np.full(state.size, step))
    drive, rack = drivers(np.full(state.size, value), start.other, along)
    if state.size == 1:
        return knot(system, geo, guess, float(drive[0]), float(rack[0]))
    return polish(system, geo, guess, drive, rack, 6)


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
        least = max(abs(step), 1.0) * SHORTEST
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
        found = polish(system, geo, guess, drive, rack, 6)
        closed = residual(system, geo, found, drive, rack)[0] <= 0.5 * CLOSED
        return found if closed else None
