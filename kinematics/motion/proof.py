"""Proof that poses belong to one assembly: each is tied to set-up height by a chain of anchors.

An anchor is a solved pose with its constants κ and y (see ``bounds``). From it the branch goes on
at least as far as ``h = κ·y·t < ½``, and ends no farther than ``(1 - √(1 - 2h))/κ`` from it, as
poses are measured here (shift of centres, and turn times ``scale``). Any *other* solution at the
same travel would be at least ``2√(1 - 2h)/κ`` from the end of the branch. So a pose found within
what is left is the branch's own: it can't be another way of fitting the parts together.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import Array
from kinematics.motion.bounds import Bounds, bounds
from kinematics.motion.rows import Geometry, State
from kinematics.motion.solve import Rates, polish, predicted, residual
from kinematics.motion.sweep import CHUNK, CLOSED, Lanes, drivers, parts_of
from kinematics.motion.system import System

SPACING = 0.15
"""Where anchors are set: κ·y·t at the start, which may more than double on the way."""
LIMIT = 0.36
"""Greatest κ·y·t a pose is tied by; ½ is where the proof itself ends."""
SAFETY = 0.95
"""Share of the distance to the nearest other solution that is made use of."""
ROUNDS = 6
"""How often more anchors are set where the chain does not hold, before it is given up."""


@dataclass(frozen=True)
class Chain:
    """Anchors outward from the start on one side, for n lanes.

    ``at`` (a,) are their values, the start's first; ``state`` (bodies, ., a·n) their poses.
    """

    at: Array
    state: State


def spacing(system: System, geo: Geometry, start: Lanes, along: int) -> float:
    """How far apart anchors are set along a sweep from this start."""
    if start.reach is None:
        n = start.state.size
        drive, rack = drivers(np.full(n, start.at), start.other, along)
        near = bounds(system, geo, start.state, drive, rack, along, False)
        with np.errstate(all="ignore"):
            reach = SPACING / (near.kappa * near.y)
        reach = reach[np.isfinite(reach)]
        object.__setattr__(start, "reach", float(reach.min()) if len(reach) else float("inf"))
    assert start.reach is not None
    return start.reach


def anchors(values: Array, at: float, reach: float) -> list[float]:
    """Where to set anchors, outward on both sides: on given values if they are near enough.

    The last value on either side is one, so that whatever is too far apart shows in the chain.
    """
    out: list[float] = []
    for side in (1.0, -1.0):
        given = np.sort(np.append(side * (values - at), 0.0)).tolist()
        here, end = 0.0, given[-1]
        while here < end:
            best = given[bisect_right(given, here + reach) - 1]
            here = best if best > here + 0.3 * reach else min(here + reach, end)
            out.append(at + side * here)
    return out


def prove_chain(
    system: System,
    geo: Geometry,
    start: Lanes,
    values: Array,
    state: State,
    ok: NDArray[np.bool_],
    marks: NDArray[np.bool_],
    along: int,
) -> Array:
    """The number h (k, n) that ties every pose to its anchor; inf where no chain of anchors does.

    ``values`` (k,) rise; ``state`` holds the poses (k·n, lanes quickest), ``ok`` (k, n) which of
    them are closed, ``marks`` (k,) which values are anchors.
    """
    n = start.state.size
    out = np.where(values[:, None] == start.at, 0.0, np.full((len(values), n), np.inf))
    sides = []
    for side in (1, -1):
        mine = np.flatnonzero(side * (values - start.at) > 0.0)[::side]
        if len(mine):
            sides.append((mine, mine[marks[mine]]))
    # One batch for the anchors of both sides; the start's pose leads each.
    index = [_flat(anchored, n) for _, anchored in sides]
    joined = _joined(start.state, *(state.take(i) for i in index))
    at = np.concatenate([[start.at], *(values[anchored] for _, anchored in sides)])
    near = _bounds(system, geo, Chain(at, joined), start, along, False)
    first = n
    for (mine, anchored), flat in zip(sides, index, strict=True):
        own = np.concatenate([np.arange(n), np.arange(first, first + len(flat))])
        first += len(flat)
        chain = Chain(np.concatenate([[start.at], values[anchored]]), joined.take(own))
        alive = np.vstack([np.ones((1, n), dtype=bool), ok[anchored]])
        poses = state.take(_flat(mine, n))
        out[mine] = _tied(
            system, geo, start, chain, alive, near.take(own), values[mine], poses, along
        )
    return np.where(ok, out, np.inf)


def distance(geo: Geometry, first: State, second: State) -> Array:
    """How far poses are apart (n,) in mm: shift of centres, and turn times ``scale``."""
    shift, turn = second.centre - first.centre, second.turn - first.turn
    square = np.einsum("bin,bin->n", shift, shift)
    # The chord of two unit quaternions is 2 sin(angle/4).
    chord = np.minimum(np.sqrt(np.einsum("bin,bin->bn", turn, turn)), 2.0)
    angle = 4.0 * np.arcsin(0.5 * chord) * geo.scale
    return np.asarray(np.sqrt(square + (angle * angle).sum(axis=0)))


def _flat(index: NDArray[np.intp], n: int) -> NDArray[np.intp]:
    return np.asarray((index[:, None] * n + np.arange(n)).ravel())


def _joined(*states: State) -> State:
    return State(
        np.concatenate([s.centre for s in states], axis=-1),
        np.concatenate([s.turn for s in states], axis=-1),
    )


def _tied(
    system: System,
    geo: Geometry,
    start: Lanes,
    chain: Chain,
    alive: NDArray[np.bool_],
    near: Bounds,
    values: Array,
    poses: State,
    along: int,
) -> Array:
    """Tie poses to the chain's anchors, with more anchors where it does not hold."""
    n = len(start.other)
    side = 1.0 if values[-1] > start.at else -1.0
    for round_ in range(ROUNDS + 1):
        rest = chain.state.take(slice(n, None))
        links = _tie(geo, chain, near, n, np.arange(len(chain.at) - 1), chain.at[1:], rest)
        good = (links <= LIMIT) & alive[1:]
        # Beyond a lane's last closed anchor nothing is to be had by setting more.
        broken = np.any(~good & np.logical_and.accumulate(alive, axis=0)[1:], axis=1)
        held = np.vstack([np.ones((1, n), dtype=bool), np.logical_and.accumulate(good, axis=0)])
        inner = np.searchsorted(side * chain.at, side * values, side="left") - 1
        number = _tie(geo, chain, near, n, inner, values, poses)
        if not broken.any() or round_ == ROUNDS:
            break
        near = _bounds(system, geo, chain, start, along, True)
        chain, alive = _more(system, geo, start, chain, alive, near, broken, along)
        near = _bounds(system, geo, chain, start, along, False)
    return np.where(held[inner] & (number <= LIMIT), number, np.inf)


def _bounds(
    system: System, geo: Geometry, chain: Chain, start: Lanes, along: int, bends: bool
) -> Bounds:
    n, count = len(start.other), chain.state.size
    value, other = np.repeat(chain.at, n), np.tile(start.other, len(chain.at))
    drive, rack = drivers(value, other, along)
    if count <= CHUNK:
        return bounds(system, geo, chain.state, drive, rack, along, bends)
    parts = [
        bounds(system, geo, chain.state.take(s), drive[s], rack[s], along, bends)
        for s in (slice(first, first + CHUNK) for first in range(0, count, CHUNK))
    ]
    return Bounds(
        *(np.concatenate(x, axis=-1) for x in zip(*(p.all() for p in parts), strict=True))
    )


def _tie(
    geo: Geometry,
    chain: Chain,
    near: Bounds,
    n: int,
    inner: NDArray[np.intp],
    values: Array,
    poses: State,
) -> Array:
    """h (k, n) between each pose and its inner anchor; inf where it may be another solution."""
    k, base = len(values), _flat(inner, n)
    if k == 0:
        return np.zeros((0, n))
    apart = distance(geo, chain.state.take(base), poses).reshape(k, n)
    kappa, y, slack = (x[base].reshape(k, n) for x in (near.kappa, near.y, near.slack))
    with np.errstate(all="ignore"):
        h = kappa * y * np.abs(values - chain.at[inner])[:, None]
        room = np.sqrt(1.0 - 2.0 * h)
        # How far the branch can have gone, as a share of 1/κ.
        way = 1.0 - room
        near_enough = kappa * apart + way < SAFETY * 2.0 * room
        held = (way <= kappa * slack) & (kappa * apart <= kappa * slack)
        return np.where(near_enough & held & (h < 0.5), h, np.inf)


def _more(
    system: System,
    geo: Geometry,
    start: Lanes,
    chain: Chain,
    alive: NDArray[np.bool_],
    near: Bounds,
    broken: NDArray[np.bool_],
    along: int,
) -> tuple[Chain, NDArray[np.bool_]]:
    """More anchors in every stretch where the chain does not hold, seeded from its inner end."""
    n = len(start.other)
    with np.errstate(all="ignore"):
        u = np.where(alive, (near.kappa * near.y).reshape(-1, n), 0.0)
        finest = np.where(np.isfinite(u), u, 0.0).max(axis=1)[:-1] * np.abs(np.diff(chain.at))
    count = np.where(broken, np.clip(np.ceil(finest / 0.2), 2, 8), 1).astype(int)
    span = np.repeat(np.arange(len(broken)), count - 1)
    part = np.concatenate([np.arange(1, c) for c in count]) / count[span]
    step = (np.diff(chain.at)[span] * part).repeat(n)
    base = _flat(span, n)
    value = chain.at[span] + np.diff(chain.at)[span] * part
    rate = Rates(near.speed[:, base], near.acceleration[:, base])
    drive, rack = drivers(value.repeat(n), np.tile(start.other, len(value)), along)
    some = parts_of(geo, base)
    with np.errstate(all="ignore"):
        guess = predicted(system.table, some, chain.state.take(base), rate, step)
        found = polish(system, some, guess, drive, rack, 6)
        closed = residual(system, some, found, drive, rack) <= 0.5 * CLOSED
    side = np.sign(chain.at[-1] - chain.at[0])
    order = np.argsort(side * np.concatenate([chain.at, value]), kind="stable")
    state = _joined(chain.state, found).take(_flat(order, n))
    lives = np.vstack([alive, closed.reshape(-1, n)])[order]
    return Chain(np.concatenate([chain.at, value])[order], state), lives
