"""Many corners at once that differ in where their points are: tolerances, searches, maps.

Variants are solved at a few travels, seeded from the nominal corner by its exact sensitivities.
How far each stands from the nominal corner is a smooth function of travel: interpolated, it seeds
all other travels so well that the nominal corner's inverse Jacobian closes them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import Array
from kinematics.motion.chebyshev import nodes, weights
from kinematics.motion.errors import MotionError
from kinematics.motion.giving import Rest, Soft, at_rest, is_at_rest, settled, soft_rows
from kinematics.motion.grid import Values, move
from kinematics.motion.linkage import Linkage, state_of
from kinematics.motion.motion import Motion
from kinematics.motion.recover import names, poses
from kinematics.motion.rows import Geometry, State, evaluate, jacobian, misfit, moved
from kinematics.motion.sensitivity import pose_slopes, state_about
from kinematics.motion.solve import correction, polish
from kinematics.motion.sweep import CLOSED
from kinematics.motion.system import System, build, with_pivots
from kinematics.motion.track import NODES, unit

CACHEFUL = 1280
"""Variants taken at once at one travel: so many that numpy's calls cost little beside their work,
so few that their arrays stay in the processor's second cache."""
TIGHT = 2e-10
"""mm: row misfit after which a variant is taken as closed."""
ROUGH = 2e-9
"""mm: row misfit of variants at nodes; what is left shows only in the seeds between."""
STEPS = 4
"""Newton steps for all at most; those still open are followed one by one."""


@dataclass(frozen=True, eq=False)
class Variants:
    """Poses of many corners over travel, rack central (or at one position).

    ``state`` holds the solved bodies' poses (bodies, ., travels, variants); ``closed``
    (travels, variants) which are closed to 1e-9 mm. ``xyz`` (3, points, variants).
    """

    linkage: Linkage
    travel: Array
    rack: float
    xyz: Array
    system: System
    state: State
    closed: NDArray[np.bool_]

    def carry(self, body: str, point: str) -> Array:
        """A named point of a body, for every travel and variant, (travels, variants, 3)."""
        k = names(self.linkage.mechanism).index(body)
        p = self.xyz[:, self.linkage.mechanism.points[point]]
        out = np.empty((*self.closed.shape, 3))
        for i in range(len(self.travel)):
            state = State(self.state.centre[:, :, i], self.state.turn[:, :, i])
            rack = np.full(state.size, self.rack)
            rotation, position = poses(self.system, state, rack, self.xyz)
            at = rotation[k, :, 0] * p[0] + rotation[k, :, 1] * p[1] + rotation[k, :, 2] * p[2]
            out[i] = (at + position[k]).T
        out[~self.closed] = np.nan
        return out

    def direction(self, body: str, vector: Array) -> Array:
        """A direction (3,) fixed to a body, for every travel and variant: (.., .., 3)."""
        k = names(self.linkage.mechanism).index(body)
        out = np.empty((*self.closed.shape, 3))
        for i in range(len(self.travel)):
            state = State(self.state.centre[:, :, i], self.state.turn[:, :, i])
            rotation, _ = poses(self.system, state, np.full(state.size, self.rack), self.xyz)
            out[i] = np.matmul(np.asarray(vector), rotation[k]).T
        out[~self.closed] = np.nan
        return out


def variants(linkage: Linkage, travel: Values, shifts: Array, rack: float = 0.0) -> Variants:
    """Move many variants of a corner over travel (k,) at one rack position.

    ``shifts`` (variants, points, 3) in mm are added to the points in the project's order (see
    ``Mechanism.points``); links are as long as the points are then apart. Raises ``MotionError``
    for the wrong shape, numbers that are not finite, or a nominal corner that can't reach the
    travels.
    """
    mechanism = linkage.mechanism
    shifts = np.asarray(shifts, dtype=float)
    if shifts.ndim != 3 or shifts.shape[1:] != mechanism.xyz.shape:
        raise MotionError(
            f"Variants need shifts of shape (variants, {len(mechanism.xyz)}, 3), one for each "
            f"point; got {shifts.shape}."
        )
    if not np.isfinite(shifts).all():
        raise MotionError("The shifts of variants must be plain numbers in mm.")
    nominal = move(linkage, travel, [rack], stops=False)
    if not nominal.reached.all():
        first = int(np.argmin(nominal.reached[:, 0]))
        raise MotionError(f"The corner itself can't reach these travels: {nominal.reason(first)}.")
    give = linkage.give
    system = build(mechanism, charts=False, give=give)
    system = system if give else pivoted(system, linkage)
    xyz = np.ascontiguousarray(mechanism.xyz.T[:, :, None] + shifts.transpose(2, 1, 0))
    count, at, bodies = len(shifts), nominal.travel, len(system.bodies)
    state = State(np.empty((bodies, 3, len(at), count)), np.empty((bodies, 4, len(at), count)))
    closed = np.empty((len(at), count), dtype=bool)
    if give:
        closed = _resting(system, soft_rows(system, give), nominal, xyz, shifts, state)
        return Variants(linkage, at, rack, xyz, system, state, closed)
    for part in _parts(linkage, system, nominal):
        for first in range(0, count, CACHEFUL):
            some = slice(first, min(first + CACHEFUL, count))
            found = _filled(system, part, xyz[..., some], shifts[some], state, some)
            closed[part.where, some] = found
    return Variants(linkage, at, rack, xyz, system, state, closed)


@dataclass(frozen=True)
class _Part:
    """A stretch of travel: the nominal corner at its ``nodes``, with slopes (columns, 3·points, k)
    there, and at the travels ``where``; ``weights`` (nodes, travels) from one to the other,
    ``inverse`` (travels, m, m) of the Jacobian."""

    nodes: Array
    seeds: State
    slopes: Array
    where: NDArray[np.intp]
    travel: Array
    rack: float
    there: State
    weights: Array
    inverse: Array


def _parts(linkage: Linkage, system: System, nominal: Motion) -> list[_Part]:
    """Stretches of travel short enough for what variants differ by to be a polynomial on each."""
    travel, driven = nominal.travel, linkage.driven()
    low, high = float(travel.min()), float(travel.max())
    usual = 2.0 * driven.by_driver.reach(driven.system.geometry.scale)
    count = max(1, int(np.ceil((high - low) / usual)))
    edges = np.linspace(low, high, count + 1)
    number = np.clip(np.searchsorted(edges, travel, side="right") - 1, 0, count - 1)
    return [
        _part(linkage, system, nominal, np.flatnonzero(number == k), (edges[k], edges[k + 1]))
        for k in np.unique(number)
    ]


def _part(
    linkage: Linkage,
    system: System,
    nominal: Motion,
    where: NDArray[np.intp],
    span: tuple[float, float],
) -> _Part:
    travel, rack = nominal.travel[where], float(nominal.rack[0])
    middle, half = 0.5 * (span[0] + span[1]), 0.5 * (span[1] - span[0])
    at = middle + half * nodes(NODES)
    apart = move(linkage, at, [rack], stops=False)
    seeds, there = state_about(system, apart), state_about(system, nominal).take(where)
    rows = evaluate(system.table, system.geometry, there, travel, np.full(len(where), rack))
    slopes = jacobian(system.table, system.geometry, rows, there)[system.kept]
    return _Part(
        nodes=at,
        seeds=seeds,
        slopes=pose_slopes(system, apart, seeds),
        where=where,
        travel=travel,
        rack=rack,
        there=there,
        weights=weights((travel - middle) / (half or 1.0), NODES),
        inverse=np.linalg.inv(slopes.transpose(2, 0, 1)),
    )


def _filled(
    system: System, part: _Part, xyz: Array, shifts: Array, out: State, some: slice
) -> NDArray[np.bool_]:
    """Close some variants at a stretch's travels, into ``out``; which (travels, n) are closed."""
    geo, n = system.geometry_of(xyz), xyz.shape[2]
    flat, bodies = np.ascontiguousarray(shifts.reshape(n, -1).T), len(system.bodies)
    away = np.empty((bodies, 7, NODES, n))
    for i, z in enumerate(part.nodes):
        base = part.seeds.take(slice(i, i + 1))
        # One matrix product seeds all variants to first order.
        step = part.slopes[:, :, i] @ flat
        seed = moved(system.table, geo, base, step)
        found, _ = newton_all(system, geo, seed, np.full(n, z), part.rack, ROUGH)
        away[:, :3, i], away[:, 3:, i] = found.centre - base.centre, found.turn - base.turn
    # A coordinate at a time in one call: too little for the library to spread over threads.
    away = np.matmul(part.weights.T, away)
    closed = np.ones((len(part.where), n), dtype=bool)
    for i, (k, z) in enumerate(zip(part.where, part.travel, strict=True)):
        base = part.there.take(slice(i, i + 1))
        seed = unit(State(base.centre + away[:, :3, i], base.turn + away[:, 3:, i]))
        drive = np.full(n, z)
        found, worst = _chorded(system, geo, seed, drive, part.rack, -part.inverse[i])
        if not worst <= TIGHT:
            found, closed[i] = newton_all(system, geo, found, drive, part.rack)
        out.centre[:, :, k, some], out.turn[:, :, k, some] = found.centre, found.turn
    return closed


def _resting(
    system: System, soft: Soft, nominal: Motion, xyz: Array, shifts: Array, out: State
) -> NDArray[np.bool_]:
    """Variants of a corner whose bushes give, into ``out``; which (travels, n) are at rest."""
    seeds = state_about(system, nominal)
    slopes = pose_slopes(system, nominal, seeds)
    drive, rack = nominal.drivers
    hold = settled(system, soft, seeds, drive, rack).hold
    count, closed = len(shifts), np.empty((len(drive), len(shifts)), dtype=bool)
    for first in range(0, count, CACHEFUL):
        some = slice(first, min(first + CACHEFUL, count))
        theirs = replace(system, geometry=system.geometry_of(xyz[..., some]))
        flat = np.ascontiguousarray(shifts[some].reshape(some.stop - first, -1).T)
        n = flat.shape[1]
        for i in range(len(drive)):
            seed = moved(
                system.table,
                theirs.geometry,
                seeds.take(slice(i, i + 1)),
                slopes[:, :, i] @ flat,
            )
            start = Rest(seed, np.repeat(hold[:, i : i + 1], n, axis=1))
            driven = (np.full(n, drive[i]), np.full(n, rack[i]))
            rest = at_rest(theirs, soft, start, *driven)
            closed[i, some] = is_at_rest(theirs, soft, rest, *driven)
            out.centre[:, :, i, some], out.turn[:, :, i, some] = rest.state
    return closed


def _chorded(
    system: System, geo: Geometry, state: State, drive: Array, rack: float, inverse: Array
) -> tuple[State, float]:
    """Steps with minus the nominal corner's inverse (m, m); how open the worst is left, mm."""
    racks, worst = np.full(drive.size, rack), np.inf
    for _ in range(STEPS):
        value = misfit(system.table, geo, state, drive, racks)
        before, worst = worst, float(np.abs(value).max())
        if not TIGHT < worst < 0.3 * before:
            break
        state = moved(system.table, geo, state, inverse @ value[system.kept])
    return state, worst


def pivoted(system: System, linkage: Linkage) -> System:
    """The system with its rows in the order of its pivots at set-up height."""
    state, zero = state_of(linkage, system), np.zeros(1)
    rows = evaluate(system.table, system.geometry, state, zero, zero)
    return with_pivots(system, jacobian(system.table, system.geometry, rows, state)[..., 0])


def newton_all(
    system: System,
    geo: Geometry,
    state: State,
    drive: Array,
    rack: float,
    enough: float = TIGHT,
) -> tuple[State, NDArray[np.bool_]]:
    """Close a batch; the variants still open after a few steps get more of them."""
    racks = np.full(drive.size, rack)
    worst = np.full(drive.size, np.inf)
    for _ in range(STEPS):
        rows = evaluate(system.table, geo, state, drive, racks)
        worst = np.abs(rows.value).max(axis=0)
        if not worst.max() > enough:
            break
        state = moved(system.table, geo, state, correction(system, geo, rows, state))
    else:
        state = polish(system, geo, state, drive, racks, 6, enough)
        worst = np.abs(misfit(system.table, geo, state, drive, racks)).max(axis=0)
    return state, worst <= 0.5 * CLOSED
