"""Tracks of corners whose bushes give: followed and proved as rigid ones are.

The unknowns are the poses and the forces of what stays rigid, in mm of the stiffest bush's stretch
(force over its stiffness), the equations the balance of forces, in the same unit, and the rigid
rows. What ``proof`` says of rows is said here of these: with the constants K, K2 and j of the rows
(``constants``), stiffnesses s over the greatest, stretches e and forces h, the slopes of the
balance change per unit of motion by no more than

    Σ s(3jK + |e|K2 + 4j³/L) over the giving rows, and Σ |h|K2 + 2K over the rigid.

A spring's force is not a polynomial but very nearly one: its series is taken as far as the points
used, with ten times its last terms on top.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import Array
from kinematics.motion.chebyshev import between, nodes, series, weights
from kinematics.motion.constants import constants
from kinematics.motion.giving import Rest, Soft, balance, follow, rest_rates, tangent
from kinematics.motion.proof import AWAY, FINER, LIMIT, LOOSEST, ROOM
from kinematics.motion.rows import State, evaluate, moved
from kinematics.motion.sweep import REACH, SHORTEST
from kinematics.motion.system import System
from kinematics.motion.track import NODES, drivers, inverted, posed, unit

FARTHEST = 0.5
"""mm: the most room that is made use of; forces may differ by as much from those between nodes."""
TAIL = 10.0
"""How many times the last terms of a series are counted for those left out."""
BALANCED = 1e-12
"""mm: steps smaller than this leave a pose at rest, to rounding."""


@dataclass(frozen=True)
class RestTrack:
    """A stretch of the driver from ``low`` to ``high``: poses, forces and inverses at its nodes.

    ``table`` (7·bodies + rigid rows + m·m, 1, nodes), forces over the greatest stiffness; the
    proof's ``number`` h is inf where it fails, ``room`` what it vouches for; ``kappa`` and
    ``loose`` are its κ and Z.
    """

    low: float
    high: float
    table: Array
    number: float
    room: float
    kappa: float = np.inf
    loose: float = np.inf

    def taken(self, values: Array) -> Array:
        """The table (.., k) at values of the driver."""
        t = (values - 0.5 * (self.low + self.high)) * (2.0 / (self.high - self.low))
        return np.asarray(np.matmul(self.table, weights(t, NODES)))


@dataclass
class Rests:
    """Stretches proved before from one start, over ``span``; ``jumps`` where the corner went on
    but could not be shown to be the same assembly: (value, side)."""

    span: tuple[float, float]
    tracks: list[RestTrack]
    jumps: list[tuple[float, float]]


class RestSwept(NamedTuple):
    """Poses at rest at k values, the ``number`` (k,) that proves each (inf where it isn't
    reached), and ``jump`` (k,): not reached though the corner goes on."""

    rest: Rest
    number: Array
    jump: NDArray[np.bool_]


def rest_sweep(
    system: System,
    soft: Soft,
    start: Rest,
    at: float,
    values: Array,
    other: float,
    along: int,
    known: dict[tuple[float, int], Rests],
) -> RestSwept:
    """Poses at rest at ``values`` (k,), rising. ``known`` keeps what was proved before."""
    k, bodies = len(values), len(system.bodies)
    centre, turn = np.full((bodies, 3, k), np.nan), np.full((bodies, 4, k), np.nan)
    hold, number = np.full((len(soft.rigid), k), np.inf), np.full(k, np.inf)
    span = (min(float(values[0]), at), max(float(values[-1]), at))
    same, jump = values == at, np.zeros(k, dtype=bool)
    centre[..., same], turn[..., same] = start.state
    hold[:, same], number[same] = start.hold, 0.0
    found = known.get((other, along))
    if found is None or span[0] < found.span[0] or found.span[1] < span[1]:
        if found is not None:
            span = (min(span[0], found.span[0]), max(span[1], found.span[1]))
        found = known[other, along] = _tracks(system, soft, start, at, span, other, along)
    for track in found.tracks:
        mine = np.flatnonzero((values >= track.low) & (values <= track.high) & ~same)
        if len(mine):
            rest = _settled(system, soft, track, values[mine], other, along)
            centre[..., mine], turn[..., mine] = rest.state
            hold[:, mine], number[mine] = rest.hold, track.number
    for last, side in found.jumps:
        jump |= side * (values - last) > 0.0
    return RestSwept(Rest(State(centre, turn), hold), number, jump & np.isinf(number))


def _tracks(
    system: System,
    soft: Soft,
    start: Rest,
    at: float,
    span: tuple[float, float],
    other: float,
    along: int,
) -> Rests:
    """Proved stretches that cover the span as far as the corner goes."""
    out: list[RestTrack] = []
    jumps: list[tuple[float, float]] = []
    usual = _usual(system, soft, start, at, other, along)
    todo = [(start, at, (span[0], at), usual), (start, at, (at, span[1]), usual)]
    while todo:
        here, now, (low, high), reach = todo.pop()
        if low == high:
            continue
        lower, upper = max(low, now - reach), min(high, now + reach)
        track = _laid(system, soft, here, now, (lower, upper), other, along)
        if track is None or not np.isfinite(track.number):
            if 0.5 * reach >= SHORTEST * usual:
                todo.append((here, now, (low, high), 0.5 * min(reach, upper - lower)))
            elif track is not None:
                jumps.append((now, 1.0 if upper > now else -1.0))
            continue
        out.append(track)
        end = lower if now == high else upper
        rest = (low, end) if now == high else (end, high)
        if rest[0] < rest[1]:
            beyond = _settled(system, soft, track, np.array([end]), other, along)
            onward = min(2.0 * reach, _usual(system, soft, beyond, end, other, along))
            todo.append((beyond, end, rest, onward))
    return Rests(span, out, jumps)


def _usual(system: System, soft: Soft, rest: Rest, at: float, other: float, along: int) -> float:
    drive, rack = drivers(np.array([at]), np.array([other]), along)
    speed = float(np.linalg.norm(rest_rates(system, soft, rest, drive, rack)[along][:, 0]))
    scale = system.geometry.scale
    return REACH * scale / speed if 0.0 < speed < np.inf else scale


def _laid(
    system: System,
    soft: Soft,
    start: Rest,
    at: float,
    span: tuple[float, float],
    other: float,
    along: int,
) -> RestTrack | None:
    """A stretch from ``at``, at one of its ends; None where its nodes find no rest."""
    low, high = span
    values = 0.5 * (low + high) + 0.5 * (high - low) * nodes(NODES)
    order = np.argsort(np.abs(values - at))
    held = np.array([other])
    with np.errstate(all="ignore"):
        rests, fine = follow(system, soft, start, at, values[order], held, along)
    if not all(good.all() for good in fine):
        return None
    back = np.argsort(order)
    state = State(*(np.concatenate([rests[i].state[f] for i in back], -1) for f in (0, 1)))
    hold = np.concatenate([rests[i].hold for i in back], axis=-1)
    drive, rack = drivers(values, held, along)
    inverse = inverted(_slopes(system, soft, Rest(state, hold), drive, rack))
    top = float(soft.stiffness.max())
    poses = np.concatenate([state.centre, state.turn], axis=1).reshape(-1, NODES)
    table = np.concatenate([poses, hold / top, inverse.reshape(-1, NODES)])
    track = RestTrack(low, high, table, np.inf, 0.0)
    track = _vouched(system, soft, track, other, along)
    tied = _apart(system, track, at, start, top) < track.room
    return track if tied else replace(track, number=np.inf)


def _slopes(system: System, soft: Soft, rest: Rest, drive: Array, rack: Array) -> Array:
    """Derivatives (m, m, n) of balance and gaps by poses and forces, all in mm."""
    top, width = float(soft.stiffness.max()), system.table.width
    out = tangent(system, soft, rest.state, rest.hold, drive, rack)
    out[:width] /= top
    out[:, width:] *= top
    return out


def open_by(system: System, soft: Soft, rest: Rest, drive: Array, rack: Array) -> Array:
    """What is out of balance or apart, (m, n) in mm."""
    top = float(soft.stiffness.max())
    pull, gap = balance(system, soft, rest.state, rest.hold, drive, rack)
    return np.concatenate([pull / top, gap])


def rest_of(system: System, soft: Soft, table: Array) -> tuple[Rest, Array]:
    """Poses, forces and inverses (m, m, k) from a table (.., k)."""
    bodies, rigid = len(system.bodies), len(soft.rigid)
    m = system.table.width + rigid
    hold = table[7 * bodies : 7 * bodies + rigid] * float(soft.stiffness.max())
    inverse = table[7 * bodies + rigid :].reshape(m, m, -1)
    return Rest(unit(posed(table[:, None], bodies)), hold), inverse


def _settled(
    system: System, soft: Soft, track: RestTrack, values: Array, other: float, along: int
) -> Rest:
    """Poses at rest at values of a proved stretch."""
    rest, inverse = rest_of(system, soft, track.taken(values))
    drive, rack = drivers(values, np.array([other]), along)
    width, top = system.table.width, float(soft.stiffness.max())
    for _ in range(6):
        gap = open_by(system, soft, rest, drive, rack)
        step = -np.einsum("ijn,jn->in", inverse, gap)
        state = moved(system.table, system.geometry, rest.state, step[:width])
        rest = Rest(state, rest.hold + top * step[width:])
        if not np.abs(step).max() > BALANCED:
            break
    return rest


def _vouched(system: System, soft: Soft, track: RestTrack, other: float, along: int) -> RestTrack:
    """The stretch with its proof; see ``proof.vouch_and_mend``."""
    values = 0.5 * (track.low + track.high) + 0.5 * (track.high - track.low) * nodes(FINER)
    rest, inverse = rest_of(system, soft, np.matmul(track.table, between(NODES, FINER)))
    drive, rack = drivers(values, np.array([other]), along)
    m = len(inverse)
    with np.errstate(all="ignore"):
        both = np.concatenate(
            [
                _slopes(system, soft, rest, drive, rack),
                open_by(system, soft, rest, drive, rack)[:, None],
            ],
            axis=1,
        )
        left = np.einsum("ijn,jkn->ikn", inverse, both)
        left[np.arange(m), np.arange(m)] -= 1.0
        sup = _greatest(left.reshape(m * (m + 1), -1)).reshape(m, m + 1)
        loose = float(np.linalg.norm(sup[:, :m]))
        kappa = _kappa(system, soft, track, rest, (drive, rack))
        number = float(np.linalg.norm(sup[:, m])) * kappa / (1.0 - loose) ** 2
        room = min(ROOM * (1.0 - loose) / kappa, FARTHEST)
    sound = loose <= LOOSEST and number <= LIMIT
    number, room = (number, room) if sound else (float("inf"), 0.0)
    return replace(track, number=number, room=room, kappa=kappa, loose=loose)


def _greatest(values: Array) -> Array:
    """Bounds (k,) over the stretch of nearly polynomials with these values (k, FINER)."""
    terms = np.abs(values @ series(FINER).T)
    return np.asarray(terms.sum(axis=1) + TAIL * terms[:, -4:].sum(axis=1))


def _kappa(
    system: System, soft: Soft, track: RestTrack, rest: Rest, driven: tuple[Array, Array]
) -> float:
    """κ over the stretch: how fast inverse times slopes can change per mm."""
    geo, width, top = system.geometry, system.table.width, float(soft.stiffness.max())
    rows = evaluate(system.table, geo, rest.state, *driven)
    own = constants(system.table, geo, rows, rest.state)
    first, later, size = (
        np.broadcast_to(x, rows.value.shape).max(axis=1) for x in (own.first, own.later, own.size)
    )
    given = soft.rows
    share = soft.stiffness / top
    stretch = np.abs(rows.value[given]).max(axis=1) + FARTHEST * size[given]
    curl = np.where(given < system.table.distances, 4.0 / geo.size[given, 0], 0.0)
    soften = share * (
        3.0 * size[given] * first[given] + stretch * later[given] + curl * size[given] ** 3
    )
    force = np.abs(rest.hold).max(axis=1) / top + FARTHEST
    hold = force * later[soft.rigid] + 2.0 * first[soft.rigid]
    rigid = len(soft.rigid)
    m = width + rigid
    at = track.table[7 * len(system.bodies) + rigid :].reshape(m * m, NODES)
    inverse = np.abs(at @ series(NODES).T).sum(axis=1).reshape(m, m)
    columns = np.linalg.norm(inverse, axis=0)
    balance_part = float(np.linalg.norm(inverse[:, :width])) * float(soften.sum() + hold.sum())
    return AWAY * (balance_part + float(columns[width:] @ first[soft.rigid]))


def _apart(system: System, track: RestTrack, at: float, rest: Rest, top: float) -> float:
    """At most how far a rest stands from the track's at a value of the driver, mm."""
    table = track.taken(np.array([at]))
    pose = posed(table[:, None], len(system.bodies))
    bodies, rigid = len(system.bodies), len(rest.hold)
    shift, turn = pose.centre - rest.state.centre, pose.turn - rest.state.turn
    force = table[7 * bodies : 7 * bodies + rigid] - rest.hold / top
    square = (shift**2).sum() + (np.pi * system.geometry.scale) ** 2 * (turn**2).sum()
    return float(np.sqrt(square + (force**2).sum()))
