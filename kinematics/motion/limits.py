"""How far the wheel goes, and what stops it: found by root-finding on solved poses."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from kinematics.frames import Array
from kinematics.motion.creep import Path, creep, joined
from kinematics.motion.errors import MotionError
from kinematics.motion.grid import move
from kinematics.motion.joint_limits import past_limits
from kinematics.motion.linkage import Driven, Linkage
from kinematics.motion.motion import Motion, Reach
from kinematics.motion.recover import poses
from kinematics.motion.roots import root_between
from kinematics.motion.rows import State, evaluate, jacobian, moved
from kinematics.motion.solve import polish, predicted, rates
from kinematics.project.model import Coilover, End
from kinematics.units import show_length, show_plain

STEP = 0.0125
"""Distance between poses looked at, over the corner's size; crossings are refined."""
STRETCH = 8
"""Poses in one sweep outward, before the next."""
FARTHEST = 1.0
"""How far travel is looked at, each way, over the corner's size."""
CLOSE = 1e-6
"""mm: how closely the end of a corner whose bushes give is halved in on."""
USUAL = (-80.0, 80.0)
"""mm: the range where a corner has no coilover and no travel of its own to say (a habit)."""


@dataclass(frozen=True)
class Limit:
    """One thing met on the way: ``travel`` in mm where, ``cause`` in words.

    ``ends`` is True where the wheel can go no farther.
    """

    travel: float
    cause: str
    ends: bool


@dataclass(frozen=True)
class Limits:
    """What the wheel meets in droop and in bump at one rack position, nearest first.

    ``low`` and ``high`` bound the reachable range: the first limits that end it, or how far was
    looked (None as cause).
    """

    rack: float
    droop: tuple[Limit, ...]
    bump: tuple[Limit, ...]
    low: float
    high: float
    low_cause: str | None
    high_cause: str | None


def travel_range(linkage: Linkage, known: Limits | None = None) -> tuple[float, float]:
    """Full droop and full bump in mm of travel from set-up height, rack central.

    The project's own ``travel`` if given; else from damper open or strap tight to the bump stop
    at its solid length (or its ``full_squash``) or the damper closed. Without a coilover, the
    usual range as far as the links allow it. ``known`` : its ``limits``, where they are at hand.
    """
    if linkage.project.travel is not None:
        low, high = linkage.project.travel
        return float(low), float(high)
    found = limits(linkage) if known is None else known
    low, high = found.low, found.high
    if linkage.mechanism.coilover is None:
        return max(low, USUAL[0]), min(high, USUAL[1])
    stop = [x.travel for x in found.bump if x.cause == STOP_SOLID]
    return low, min([high, *stop])


STOP_MEETS = "the bump stop meets"
STOP_SOLID = "the bump stop is at full bump"
DAMPER_OPEN = "the damper is fully open"
DAMPER_CLOSED = "the damper is fully closed"
STRAP = "the droop strap is tight"
STRAIGHT = "the links are straightened out"
UNSURE = "past it, it could not be shown to be the same way of fitting together"


def limits(linkage: Linkage, rack: float = 0.0) -> Limits:
    """Everything the wheel meets in droop and in bump with the rack held, found exactly."""
    droop, bump = (_side(linkage, rack, side) for side in (-1.0, 1.0))
    far = FARTHEST * linkage.size
    low = next((x for x in droop if x.ends), None)
    high = next((x for x in bump if x.ends), None)
    return Limits(
        rack=rack,
        droop=tuple(droop),
        bump=tuple(bump),
        low=low.travel if low else -far,
        high=high.travel if high else far,
        low_cause=low.cause if low else None,
        high_cause=high.cause if high else None,
    )


def toggle_margin(linkage: Linkage, rack: float = 0.0) -> tuple[float, float]:
    """Travel in mm, in droop and in bump, at which the links straighten out if nothing else stops.

    ±inf where that is farther than is looked (``FARTHEST``).
    """
    found = []
    for side in (-1.0, 1.0):
        walk = _side(linkage, rack, side, stops=False)
        found.append(walk[-1].travel if walk else side * float("inf"))
    return found[0], found[1]


def where(
    linkage: Linkage,
    figure: Callable[[Motion], float],
    value: float,
    between: tuple[float, float],
    rack: float = 0.0,
) -> float:
    """The travel between two at which a figure of a one-pose motion has a value, by root-finding.

    For limits of the caller's own: a joint's angle, a shaft's plunge. Raises ``MotionError`` if
    the figure does not pass the value between the two.
    """
    near = move(linkage, [*between], [rack], stops=False, prove=False)

    def off(z: float) -> float:
        here = move(linkage, [z], [rack], stops=False, prove=False, start=near)
        return figure(here) - value

    low, high = off(between[0]), off(between[1])
    if not low * high <= 0.0:
        raise MotionError(
            f"Between {between[0]:g} and {between[1]:g} mm the figure does not pass {value:g}."
        )
    return root_between(off, *between, 1e-12)


def lengths_met(coilover: Coilover) -> list[tuple[float, str, bool]]:
    """Damper lengths at which something happens: (length in mm, cause, whether it ends)."""
    out = [(coilover.open, DAMPER_OPEN, True), (coilover.closed, DAMPER_CLOSED, True)]
    if coilover.droop_strap is not None:
        out.append((coilover.droop_strap, STRAP, True))
    stop = coilover.bump_stop
    if stop is not None:
        base = coilover.closed + stop.packer
        full = stop.solid if stop.full_squash is None else stop.free - stop.full_squash
        out += [(base + stop.free, STOP_MEETS, False), (base + full, STOP_SOLID, False)]
    return out


class Event(NamedTuple):
    """Something met where ``off``, of poses (bodies, 3, 3, n) and (bodies, 3, n), passes through
    nought; ``stops`` where the wheel can go no farther."""

    off: Callable[[Array, Array], Array]
    cause: str
    stops: bool


def events(linkage: Linkage) -> list[Event]:
    """All that can be met: of the damper, its stops, stops and straps beside it, joints."""
    project, out = linkage.project, []

    def apart(ends: tuple[End, End], length: float, cause: str, stops: bool) -> None:
        out.append(Event(lambda *poses: _apart(linkage, ends, *poses) - length, cause, stops))

    if project.coilover is not None:
        for met in lengths_met(project.coilover):
            apart((project.coilover.foot, project.coilover.top), *met)
    for stop in project.stops.values():
        meets, solid = (length + stop.packer for length in (stop.meets, stop.solid))
        apart((stop.on, stop.against), meets, STOP_MEETS, False)
        apart((stop.on, stop.against), solid, STOP_SOLID, False)
    for strap in project.straps.values():
        apart(strap.ends, strap.length, STRAP, True)
    for cause in past_limits(linkage, linkage.rotation, linkage.position):
        out.append(Event(lambda *p, c=cause: past_limits(linkage, *p)[c], cause, True))
    return out


def _apart(linkage: Linkage, ends: tuple[End, End], rotation: Array, position: Array) -> Array:
    """Distance (n,) between two ends."""
    at = []
    for end in ends:
        k = linkage.bodies.index(end.body)
        p = linkage.mechanism.place(end)
        at.append(np.matmul(p, rotation[k]) + position[k])
    d = at[0] - at[1]
    return np.asarray(np.sqrt((d * d).sum(axis=0)))


def _side(linkage: Linkage, rack: float, side: float, stops: bool = True) -> list[Limit]:
    """Sweep outward a stretch at a time; refine every crossing between two poses."""
    met = events(linkage) if stops else []
    found: list[Limit] = []
    steps = side * STEP * linkage.size * np.arange(float(STRETCH + 1))
    for first in range(0, round(FARTHEST / STEP), STRETCH):
        travel = np.asarray(steps + side * STEP * linkage.size * first, dtype=float)
        walk = _walk(linkage, travel, rack)
        at = [*travel[: len(walk.poses)]]
        there = _posed(linkage, joined(*walk.poses), rack)
        for event in met:
            off = event.off(*there)
            for i in np.flatnonzero(off[1:] * off[:-1] <= 0.0):
                if off[i] != 0.0 or first + i == 0:
                    z = _refine(linkage, walk.poses[i], (at[i], at[i + 1]), rack, event)
                    found.append(Limit(z, event.cause, event.stops))
        if len(walk.poses) < len(travel):
            found.append(_end(linkage, walk, at[-1], rack, side, met))
        if any(x.ends for x in found):
            break
    return _to_the_end(found)


def _walk(linkage: Linkage, travel: Array, rack: float) -> Path:
    """Poses at the travels, outward, as far as they go; ``last`` and ``state`` where they end."""
    motion = move(linkage, travel, [rack], stops=False)
    reached = motion.reached[:, 0]
    if not reached[0]:
        raise MotionError(
            f"With the rack at {show_plain(rack, linkage.project.units)} the corner can't be "
            f"brought to {show_length(travel[0], linkage.project.units)}."
        )
    good = len(travel) if reached.all() else int(np.argmin(reached))
    poses = [motion.solved.take(np.array([i])) for i in range(good)]
    if good == len(travel) or linkage.give:
        return Path(poses, float(travel[good - 1]), poses[-1])
    driven = linkage.driven()
    on = creep(
        driven.system,
        driven.system.geometry,
        poses[-1],
        float(travel[good - 1]),
        travel[good:],
        rack,
        0,
    )
    return Path([*poses, *on.poses], on.last, on.state)


def _to_the_end(found: list[Limit]) -> list[Limit]:
    """In order of meeting, up to the first that ends it (others past it are never met)."""
    out: list[Limit] = []
    for limit in sorted(found, key=lambda x: abs(x.travel)):
        out.append(limit)
        if limit.ends:
            break
    return out


def _refine(
    linkage: Linkage, pose: State, between: tuple[float, float], rack: float, event: Event
) -> float:
    """The travel between two at which the event happens; ``pose`` is that of the first."""
    low, high = (float(z) for z in between)
    near = None if linkage.give else _near(linkage.driven(), pose, low, rack)

    def off(z: float) -> float:
        here = near(z) if near else move(linkage, [z], [rack], stops=False).solved
        return _off(linkage, here, rack, event)

    at_low, at_high = off(low), off(high)
    if at_low * at_high > 0.0:
        # The crossing is within rounding of an end.
        return low if abs(at_low) < abs(at_high) else high
    return root_between(off, low, high, 1e-12)


def _posed(linkage: Linkage, state: State, rack: float) -> tuple[Array, Array]:
    """Rotations and positions of all bodies."""
    system = linkage.driven().system
    return poses(system, state, np.full(state.size, rack), linkage.mechanism.xyz)


def _off(linkage: Linkage, state: State, rack: float, event: Event) -> float:
    return float(event.off(*_posed(linkage, state, rack))[0])


def _near(driven: Driven, state: State, at: float, rack: float) -> Callable[[float], State]:
    """The pose at any travel a short step away from a solved one at ``at``."""
    system, geo, other = driven.system, driven.system.geometry, np.array([rack])
    rate = rates(system, geo, state, np.array([at]), other, 0)

    def pose(z: float) -> State:
        guess = predicted(system.table, geo, state, rate, np.array([z - at]))
        return polish(system, geo, guess, np.array([z]), other, 8)

    return pose


def _end(
    linkage: Linkage, walk: Path, last: float, rack: float, side: float, met: list[Event]
) -> Limit:
    """Where the links straighten out past the last pose, or what is met just before that."""
    if linkage.give:
        return _end_of_giving(linkage, walk, last, last + side * STEP * linkage.size, rack, met)
    driven, pose = linkage.driven(), walk.poses[-1]
    system, geo = driven.system, driven.system.geometry
    for event in met:

        def off(z: float, event: Event = event) -> float:
            way = creep(system, geo, pose, last, np.array([z]), rack, 0)
            return _off(linkage, way.state, rack, event)

        if event.stops and walk.last != last and off(last) * off(walk.last) < 0.0:
            return Limit(root_between(off, last, walk.last, 1e-9), event.cause, True)
    return Limit(_fold(driven, walk.state, walk.last, rack, side), STRAIGHT, True)


def _end_of_giving(
    linkage: Linkage, walk: Path, last: float, beyond: float, rack: float, met: list[Event]
) -> Limit:
    """Where a corner whose bushes give can be followed no farther, by halving; or what is met just
    before. Such a corner has no fold of its links alone to look for."""
    reached, why = last, Reach.STRAIGHTENED
    while abs(beyond - reached) > CLOSE:
        middle = 0.5 * (reached + beyond)
        motion = move(linkage, [middle], [rack], stops=False)
        if motion.reached[0, 0]:
            reached, there = middle, motion
        else:
            beyond, why = middle, Reach(int(motion.state[0, 0]))
    if reached != last:
        for event in met:
            off = [_off(linkage, x, rack, event) for x in (walk.poses[-1], there.solved)]
            if event.stops and off[0] * off[1] < 0.0:
                z = _refine(linkage, walk.poses[-1], (last, reached), rack, event)
                return Limit(z, event.cause, True)
    return Limit(float(reached), STRAIGHT if why == Reach.STRAIGHTENED else UNSURE, True)


def _fold(driven: Driven, state: State, at: float, rack: float, side: float) -> float:
    """Travel at the fold just beyond a pose: the path is driven by its own length there.

    At the fold travel is at its greatest along the path, so it is the root of d(travel)/ds.
    """
    system, geo = driven.system, driven.system.geometry
    table, kept = system.table, system.kept
    row = int(np.flatnonzero(kept == table.driver)[0])
    others = np.array([rack])

    def path(s: float) -> tuple[float, float]:
        """Travel and d(travel)/ds at arc length s along the path from the start."""
        pose = moved(table, geo, state, (s * heading)[:, None])
        for _ in range(8):
            rows = evaluate(table, geo, pose, np.zeros(1), others)
            slopes = jacobian(table, geo, rows, pose)[kept][..., 0]
            value = rows.value[kept, 0].copy()
            free = slopes[row].copy()
            slopes[row], height = heading, value[row]
            value[row] = 0.0
            step = np.linalg.solve(slopes, -value)
            pose = moved(table, geo, pose, step[:, None])
            if np.abs(value).max() < 1e-11:
                break
        unit = np.zeros(len(kept))
        unit[row] = 1.0
        along = np.linalg.solve(slopes, unit)
        return height, float(free @ along)

    speed = rates(system, geo, state, np.array([at]), others, 0).speed[:, 0]
    heading = side * speed / np.linalg.norm(speed)
    reach, (_, first) = 1e-3 * geo.scale, path(0.0)
    for _ in range(8):
        if path(reach)[1] * first <= 0.0:
            s = root_between(lambda x: path(x)[1], 0.0, reach, 1e-12 * geo.scale)
            return path(float(s))[0]
        reach *= 2.0
    return at
