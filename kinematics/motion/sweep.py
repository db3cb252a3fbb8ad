"""Following a corner along one driver: a few knots, Hermite seeds between, Newton over all.

A *lane* is one corner followed on its own: a rack position of a grid, or a variant of the points.
All lanes share the driver's values and are solved together.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import Array
from kinematics.motion.rows import Geometry, State, evaluate, moved
from kinematics.motion.solve import (
    Rates,
    correction,
    knot,
    polish,
    pose_terms,
    predicted,
    quintic,
    rates,
    residual,
)
from kinematics.motion.system import System

REACH = 0.3
"""Longest stretch between knots, as solved motion over the corner's own size (``scale``)."""
CLOSED = 1e-9
"""mm: the closure asked of every pose that is returned."""
CHUNK = 768
"""Poses taken at once: their arrays stay in the processor's cache, and matrix products too small
for numpy to spread over threads, which slows these."""
FINE = 2e-11
"""mm: poses less closed than this after the steps for all get more."""
CURVED = 1.0
"""How much rows bend over the corner's own size: what a Newton step leaves open is at most about
this times the step squared, over ``scale``."""
ROUGH = 1e-5
"""mm: closure of knots; what is left shows only in the seeds between."""
SHORTEST = 1e-5
"""Of a stretch between knots: below this step a path that will not go on has come to its end."""


@dataclass(frozen=True)
class Lanes:
    """Where lanes start: their poses at the driver value ``at``, the other driver's value of each,
    and the start's rates along the driver. ``reach`` keeps how far apart anchors of a proof are
    set from here, once worked out."""

    state: State
    at: float
    other: Array
    rate: Rates
    reach: float | None = None


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
    """Poses at all ``values`` (k,), rising, for each lane: (bodies, ., k·lanes), lanes quickest.

    Also which of them are closed; the others are to be followed by ``creep``. Poses are on the
    start's branch as far as the seeds tell: the caller proves it.
    """
    n = start.state.size
    seeds = _seed(system, geo, start, values, along)
    value, other = np.repeat(values, n), np.tile(start.other, len(values))
    drive, rack = drivers(value, other, along)
    return closed_in(system, geo, seeds, drive, rack)


def closed_in(
    system: System, geo: Geometry, seeds: State, drive: Array, rack: Array
) -> tuple[State, NDArray[np.bool_]]:
    """Poses closed from good seeds: a Newton step or two for all, more for those in need."""
    if seeds.size <= CHUNK:
        state, gap = stepped(system, geo, seeds, drive, rack, 2)
    else:
        state, gap = State(seeds.centre, seeds.turn), np.empty(seeds.size)
        for first in range(0, seeds.size, CHUNK):
            some = slice(first, first + CHUNK)
            part, gap[some] = stepped(
                system, parts_of(geo, some), seeds.take(some), drive[some], rack[some], 2
            )
            state.centre[..., some], state.turn[..., some] = part.centre, part.turn
    open_ = np.flatnonzero(~(gap <= FINE))
    if len(open_):
        part = state.take(open_)
        their = parts_of(geo, open_)
        part = polish(system, their, part, drive[open_], rack[open_], 6)
        state.centre[..., open_], state.turn[..., open_] = part.centre, part.turn
        gap[open_] = residual(system, their, part, drive[open_], rack[open_])
    return state, gap <= 0.5 * CLOSED


def stepped(
    system: System,
    geo: Geometry,
    state: State,
    drive: Array,
    rack: Array,
    most: int,
    enough: float = FINE,
) -> tuple[State, Array]:
    """Newton steps for all poses, until the last leaves less than ``enough`` mm, or ``most``.

    Also how open (n,), in mm, each pose can be after its last step: Newton's method squares the
    error, so that is told by the step without evaluating the rows again. It is not relied on
    where poses are returned: their closure is measured afresh.
    """
    for _ in range(most):
        rows = evaluate(system.table, geo, state, drive, rack)
        step = correction(system, geo, rows, state)
        state = moved(system.table, geo, state, step)
        left = (CURVED / geo.scale) * np.einsum("cn,cn->n", step, step)
        if left.max() <= enough:
            break
    return state, np.where(np.isfinite(left), left, np.inf)


def parts_of(geo: Geometry, index: NDArray[np.intp] | slice) -> Geometry:
    """The geometry for some of its poses."""
    if geo.size.shape[-1] == 1:
        return geo
    out: list[Any] = []
    for field in fields(geo):
        value = getattr(geo, field.name)
        batched = isinstance(value, np.ndarray) and value.shape[-1] > 1
        out.append(value[..., index] if batched else value)
    return Geometry(*out)


def _seed(system: System, geo: Geometry, start: Lanes, values: Array, along: int) -> State:
    """Interpolated poses at the values, from knots on both sides of the start.

    Both sides are stepped outward together, as twice the lanes.
    """
    n, bodies = start.state.size, len(start.state.turn)
    offset = values - start.at
    low, high = int(np.searchsorted(offset, 0.0)), int(np.searchsorted(offset, 0.0, "right"))
    out = np.empty((bodies, 7, len(values), n))
    out[:, :3, low:high] = start.state.centre[:, :, None]
    out[:, 3:, low:high] = start.state.turn[:, :, None]
    sides = [s for s in (slice(0, low), slice(high, len(values))) if s.stop > s.start]
    if not sides:
        return State(out[:, :3].reshape(bodies, 3, -1), out[:, 3:].reshape(bodies, 4, -1))
    reach = np.array([offset[0] if s.start == 0 else offset[-1] for s in sides])
    if low == 0:
        reach[0] = offset[-1]
    count = _stretches(start.rate, float(np.abs(reach).max()), geo.scale)
    terms = _knots(system, geo, start, np.repeat(reach, n) / count, len(sides), count, along)
    for k, side in enumerate(sides):
        part = offset[side] * (count / reach[k])
        span = np.minimum(part.astype(int), count - 1)
        weights = quintic(part - span).T
        for j in range(count):
            mine = np.flatnonzero(span == j)
            if len(mine):
                here = slice(side.start + mine[0], side.start + mine[-1] + 1)
                lanes_of = terms[j][..., k * n : (k + 1) * n]
                out[:, :, here] = np.matmul(weights[mine], lanes_of)
    turn = out[:, 3:]
    turn *= 1.0 / np.sqrt(np.einsum("biln,biln->bln", turn, turn))[:, None]
    return State(out[:, :3].reshape(bodies, 3, -1), turn.reshape(bodies, 4, -1))


def _knots(
    system: System,
    geo: Geometry,
    start: Lanes,
    step: Array,
    sides: int,
    count: int,
    along: int,
) -> list[Array]:
    """Hermite terms (bodies, 7, 6, tracks) of each stretch, over sides × lanes tracks."""
    tracks = np.tile(np.arange(start.state.size), sides)
    state, other = start.state.take(tracks), start.other[tracks]
    rate = Rates(start.rate.speed[:, tracks], start.rate.acceleration[:, tracks])
    geo = parts_of(geo, tracks)
    begin = pose_terms(system.table, geo, state, rate, step)
    out = []
    for j in range(1, count + 1):
        drive, rack = drivers(start.at + j * step, other, along)
        guess = predicted(system.table, geo, state, rate, step)
        state = polish(system, geo, guess, drive, rack, 6, ROUGH)
        rate = rates(system, geo, state, drive, rack, along)
        end = pose_terms(system.table, geo, state, rate, step)
        out.append(np.concatenate([begin, end], axis=2))
        begin = end
    return out


def _stretches(rate: Rates, far: float, scale: float) -> int:
    speed = float(np.sqrt((rate.speed**2).sum(axis=0)).max())
    if not np.isfinite(speed):
        return 1
    return min(max(1, int(np.ceil(speed * far / (REACH * scale)))), 64)


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
        found = knot(system, geo, guess, float(drive[0]), float(rack[0]))
        found = polish(system, geo, found, drive, rack, 3)
        closed = residual(system, geo, found, drive, rack)[0] <= 0.5 * CLOSED
        return found if closed else None
