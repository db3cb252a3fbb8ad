"""Following a corner along one driver, from where it stands outward.

A *lane* is one corner followed on its own: a rack position of a grid. All lanes share the driver's
values and are solved together, a stretch (``track``) at a time. Where a stretch can't be proved to
be one assembly it is taken shorter, down to nearly nothing; what lies beyond is not reached.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import Array
from kinematics.motion.proof import Vouched, near, vouch_and_mend
from kinematics.motion.rows import Geometry, State, evaluate, misfit, moved
from kinematics.motion.solve import Rates, correction, polish, rates
from kinematics.motion.system import System
from kinematics.motion.track import SETTLED, Track, drivers, lay, posed, unit

REACH = 0.45
"""Longest way to an end of a stretch, as solved motion over the corner's own size (``scale``)."""
CLOSED = 1e-9
"""mm: the closure asked of every pose that is returned."""
CHUNK = 768
"""Poses taken at once: their arrays stay in the processor's cache, and matrix products too small
for numpy to spread over threads, which slows these."""
TOGETHER = 16
"""Lanes laid and proved at once."""
FINE = 2e-11
"""mm: poses that may be less closed than this after a step get another."""
CURVED = 1.0
"""How much rows bend over the corner's own size: what a Newton step leaves open is at most about
this times the step squared, over ``scale``."""
ASIDE = 0.2
"""How far aside lanes are looked at for their jerk, over the corner's own size."""
SPARE = 1.35
"""How much longer than usual a stretch may be, rather than leave a sliver to another."""
SHORTEST = 1e-4
"""Of a usual stretch: a path that can't be followed so far has come to its end."""
STEEP = 5.0
"""How much faster than at the start a path must run to be straightening out."""
UNPROVED = 1e-5
"""How far nodes are settled, over the corner's own size, where no proof mends them."""
GUESSED = 1e-3
"""How far off interpolated inverses are taken to be where that is not worked out."""


@dataclass
class Known:
    """What was proved before: the span of the driver, its stretches, and where they stop.

    One field, so that another thread finds either all of it or none.
    """

    found: tuple[tuple[float, float], list[Stretch], list[Stop]] | None = None

    def covers(self, low: float, high: float) -> bool:
        """Whether all between two values of the driver was looked at."""
        return self.found is not None and self.found[0][0] <= low and high <= self.found[0][1]


@dataclass(frozen=True)
class Lanes:
    """Where lanes start: their poses at the driver value ``at``, the other driver's value of each,
    and the start's rates along the driver. ``known`` keeps what was proved from here."""

    state: State
    at: float
    other: Array
    rate: Rates
    known: Known = field(default_factory=lambda: Known(), compare=False, repr=False)

    @cached_property
    def speed(self) -> Array:
        """How fast each lane moves, (n,), per mm (or rad) driven."""
        return np.asarray(np.sqrt(np.einsum("cn,cn->n", self.rate.speed, self.rate.speed)))

    def reach(self, scale: float) -> float:
        """How far along the driver a stretch usually goes from here."""
        most = float(self.speed.max(initial=0.0))
        return REACH * scale / most if 0.0 < most < np.inf else scale

    def only(self, index: NDArray[np.intp]) -> Lanes:
        """Some of the lanes."""
        if len(index) == self.state.size:
            return self
        rate = Rates(*(x[:, index] for x in self.rate))
        return Lanes(self.state.take(index), self.at, self.other[index], rate)


def lanes(
    system: System, geo: Geometry, state: State, at: float, other: Array, along: int
) -> Lanes:
    """Lanes that start from solved poses, with their rates."""
    drive, rack = drivers(np.array([at]), other, along)
    return Lanes(state, at, other, rates(system, geo, state, drive, rack, along, ASIDE * geo.scale))


@dataclass(frozen=True)
class Swept:
    """Poses at k values for n lanes, lanes quickest: ``state`` of k·n, the ``number`` (k, n) that
    proves each to be the start's assembly (inf where it isn't reached; NaN if not asked for).
    ``jump`` (k, n): not reached, though the path doesn't straighten out before it."""

    state: State
    number: Array
    jump: NDArray[np.bool_]


class Stop(NamedTuple):
    """Where lanes could be followed no farther: on which ``side`` of ``at``, and whether the path
    goes on there as if nothing were the matter."""

    lanes: NDArray[np.intp]
    at: float
    side: float
    smooth: NDArray[np.bool_]


@dataclass(frozen=True)
class Stretch:
    """A track of some of the ``lanes`` with its proof."""

    lanes: NDArray[np.intp]
    track: Track
    proof: Vouched


def sweep(
    system: System, geo: Geometry, start: Lanes, values: Array, along: int, proving: bool
) -> Swept:
    """Poses at all ``values`` (k,), rising, for each lane.

    ``proving=False`` spares the proof, and may miss a change of assembly.
    """
    n, k = start.state.size, len(values)
    span = (min(float(values[0]), start.at), max(float(values[-1]), start.at))
    if span[0] == span[1]:
        return Swept(start.state, np.zeros((k, n)), np.zeros((k, n), dtype=bool))
    parts, stops = _known(system, geo, start, span, along, proving)
    table, number, loose = _taken(system, start, parts, values)
    bodies, m = len(start.state.turn), system.table.width
    with np.errstate(invalid="ignore"):
        state = settled_on(
            system,
            geo,
            unit(posed(table, bodies)),
            table[7 * bodies :].reshape(m, m, -1),
            drivers(values, start.other, along),
            loose.ravel(),
        )
    jump = np.zeros((k, n), dtype=bool)
    if stops:
        _stopped(start, stops, values, state, number, jump)
    if n > 1:
        state = state.take(np.arange(n * k).reshape(n, k).T.ravel())
    return Swept(state, number.T, jump)


def _stopped(
    start: Lanes,
    stops: list[Stop],
    values: Array,
    state: State,
    number: Array,
    jump: NDArray[np.bool_],
) -> None:
    """Put right what lies beyond where lanes stop, and the start itself."""
    k, here = len(values), int(np.searchsorted(values, start.at))
    if here < k and values[here] == start.at and not np.isfinite(number[:, here]).all():
        # Where nothing around it could be followed, the start stands all the same.
        number[:, here] = 0.0
        state.centre[..., here::k], state.turn[..., here::k] = start.state
    for stop in stops:
        jump[:, stop.lanes] |= (stop.side * (values - stop.at) > 0.0)[:, None] & stop.smooth
    jump &= np.isinf(number.T)


def _known(
    system: System,
    geo: Geometry,
    start: Lanes,
    span: tuple[float, float],
    along: int,
    proving: bool,
) -> tuple[list[Stretch], list[Stop]]:
    """Stretches over at least the span: those proved before if they reach."""
    found = start.known.found
    if found is not None:
        was, parts, stops = found
        if was[0] <= span[0] and span[1] <= was[1]:
            return parts, stops
        span = (min(span[0], was[0]), max(span[1], was[1]))
    parts, stops = stretches(system, geo, start, span, along, proving)
    if proving:
        start.known.found = (span, parts, stops)
    return parts, stops


def _taken(
    system: System, start: Lanes, parts: list[Stretch], values: Array
) -> tuple[Array, Array, Array]:
    """What the tracks have at the values: their table (.., n, k), NaN where none is, the proof's
    number and looseness (n, k)."""
    n, k = start.state.size, len(values)
    if len(parts) == 1 and len(parts[0].lanes) == n:
        only = parts[0]
        if only.track.low <= values[0] and values[-1] <= only.track.high:
            both = (only.proof.number, only.proof.left)
            number, loose = (x.repeat(k).reshape(n, k) for x in both)
            return only.track.taken(only.track.weights(values)), number, loose
    size = 7 * len(start.state.turn) + system.table.width**2
    table = np.full((size, n, k), np.nan)
    number, loose = np.full((n, k), np.inf), np.zeros((n, k))
    for part in parts:
        low, high = np.searchsorted(values, [part.track.low, part.track.high])
        high += int(high < k and values[high] == part.track.high)
        if low < high:
            lanes_of = part.lanes[:, None]
            here = np.arange(low, high)
            table[:, lanes_of, here] = part.track.taken(part.track.weights(values[low:high]))
            number[lanes_of, here] = part.proof.number[:, None]
            loose[lanes_of, here] = part.proof.left[:, None]
    return table, number, loose


def stretches(
    system: System,
    geo: Geometry,
    start: Lanes,
    span: tuple[float, float],
    along: int,
    proving: bool,
) -> tuple[list[Stretch], list[Stop]]:
    """Tracks that cover ``span`` (which holds the start) as far as every lane goes."""
    usual = start.reach(geo.scale)
    out: list[Stretch] = []
    stops: list[Stop] = []
    n = start.state.size
    blocks = [np.arange(i, min(i + TOGETHER, n)) for i in range(0, n, TOGETHER)]
    todo = [(block, start.only(block), span, usual) for block in blocks]
    while todo:
        mine, here, (low, high), reach = todo.pop()
        lower = low if here.at - low <= SPARE * reach else here.at - reach
        upper = high if high - here.at <= SPARE * reach else here.at + reach
        part = _stretch(system, geo, here, (lower, upper), along, proving)
        good = np.isfinite(part.proof.number) if proving else part.track.good
        all_good = bool(good.all())
        if all_good or good.any():
            kept = part if all_good else _only(part, good)
            out.append(Stretch(mine[kept.lanes], kept.track, kept.proof))
            for end, rest in ((lower, (low, lower)), (upper, (upper, high))):
                if rest[0] < rest[1]:
                    beyond = _end(system, geo, kept, end, along)
                    onward = min(2.0 * reach, beyond.reach(geo.scale))
                    todo.append((mine[kept.lanes], beyond, rest, onward))
        if not all_good:
            bad = np.flatnonzero(~good)
            again = here.only(bad)
            if lower < here.at < upper:
                # One side may be sound: each on its own.
                todo += [(mine[bad], again, s, reach) for s in ((low, here.at), (here.at, high))]
            elif 0.5 * reach >= SHORTEST * usual:
                todo.append((mine[bad], again, (low, high), 0.5 * min(reach, upper - lower)))
            else:
                smooth = part.track.good[bad] & (again.speed < STEEP * start.speed[mine[bad]])
                stops.append(Stop(mine[bad], here.at, 1.0 if upper > here.at else -1.0, smooth))
    return out, stops


def _stretch(
    system: System,
    geo: Geometry,
    start: Lanes,
    span: tuple[float, float],
    along: int,
    proving: bool,
) -> Stretch:
    settled = SETTLED if proving else UNPROVED
    track = lay(system, geo, start.state, start.at, start.other, start.rate, span, along, settled)
    n = start.state.size
    if not proving:
        number, guessed = np.where(track.good, np.nan, np.inf), np.full(n, GUESSED)
        return Stretch(np.arange(n), track, Vouched(number, np.zeros(n), guessed, guessed))
    proof, mended = vouch_and_mend(system, geo, track)
    tied = near(geo, track, start.at, start.state) < proof.room
    if not tied.all():
        proof = replace(proof, number=np.where(tied, proof.number, np.inf))
    return Stretch(np.arange(n), mended, proof)


def _only(part: Stretch, good: NDArray[np.bool_]) -> Stretch:
    """The stretch for its good lanes."""
    k = np.flatnonzero(good)
    return Stretch(k, part.track.only(k), part.proof.only(k))


def _end(system: System, geo: Geometry, part: Stretch, at: float, along: int) -> Lanes:
    """The lanes at an end of a proved stretch, to go on from."""
    track = part.track
    state = unit(track.at(at))
    drive, rack = drivers(np.array([at]), track.other, along)
    return lanes(system, geo, polish(system, geo, state, drive, rack, 4), at, track.other, along)


def settled_on(
    system: System,
    geo: Geometry,
    state: State,
    inverse: Array,
    drivers: tuple[Array, Array],
    loose: Array,
) -> State:
    """Poses closed from good seeds by steps with inverses (m, m, n), each of which leaves a share
    ``loose`` (n,) of itself open."""
    if state.size <= CHUNK:
        return _settled(system, geo, state, inverse, *drivers, loose)
    out = State(np.empty_like(state.centre), np.empty_like(state.turn))
    for first in range(0, state.size, CHUNK):
        some = slice(first, first + CHUNK)
        part = _settled(
            system,
            geo,
            state.take(some),
            inverse[..., some],
            drivers[0][some],
            drivers[1][some],
            loose[some],
        )
        out.centre[..., some], out.turn[..., some] = part.centre, part.turn
    return out


def _settled(
    system: System,
    geo: Geometry,
    state: State,
    inverse: Array,
    drive: Array,
    rack: Array,
    loose: Array,
) -> State:
    most = float(loose.max())
    for _ in range(3):
        value = misfit(system.table, geo, state, drive, rack)
        step = np.einsum("ijn,jn->in", inverse, value[system.used])
        state = moved(system.table, geo, state, -step)
        if float(np.vdot(step, step)) * most * most <= FINE * FINE:
            # All of them together leave less open than one may.
            return state
        left = np.sqrt(np.einsum("in,in->n", step, step)) * loose
        if not np.fmax.reduce(left) > FINE:
            return state
    # Far out on a poor fit such steps gain little: these get Newton's own.
    rest = np.flatnonzero(left > FINE)
    part = polish(system, geo, state.take(rest), drive[rest], rack[rest], 6)
    state.centre[..., rest], state.turn[..., rest] = part.centre, part.turn
    return state


def stepped(
    system: System,
    geo: Geometry,
    state: State,
    drive: Array,
    rack: Array,
    most: int,
    enough: float = FINE,
) -> tuple[State, float, float]:
    """Newton steps for all poses, until the last leaves less than ``enough`` mm, or ``most``.

    Also how open, in mm, the worst can be after its last step, and how long the way was at most.
    Newton's method squares the error, so the first is told by the step without evaluating the rows
    again. It is not relied on where poses are returned: their closure is measured afresh.
    """
    way, left = 0.0, np.inf
    for _ in range(most):
        rows = evaluate(system.table, geo, state, drive, rack)
        step = correction(system, geo, rows, state)
        state = moved(system.table, geo, state, step)
        square = float(np.einsum("cn,cn->n", step, step).max())
        way, left = way + square**0.5, CURVED / geo.scale * square
        if left <= enough:
            break
    return state, left, way
