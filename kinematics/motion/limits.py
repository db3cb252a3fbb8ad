"""How far the wheel goes, and what stops it: found by root-finding on solved poses."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.motion.grid import damper_lengths
from kinematics.motion.linkage import Driven, Linkage
from kinematics.motion.recover import poses
from kinematics.motion.rows import State, evaluate, jacobian, moved
from kinematics.motion.solve import polish, predicted, rates
from kinematics.motion.sweep import creep
from kinematics.project.model import Coilover

FARTHEST = 1.0
"""How far travel is looked at, each way, over the corner's own size (``scale``)."""
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


def travel_range(linkage: Linkage) -> tuple[float, float]:
    """Full droop and full bump in mm of travel from set-up height, rack central.

    The project's own ``travel`` if given; else from damper open or strap tight to the bump stop
    at its solid length (or its ``full_squash``) or the damper closed. Without a coilover, the
    usual range as far as the links allow it.
    """
    if linkage.project.travel is not None:
        low, high = linkage.project.travel
        return float(low), float(high)
    found = limits(linkage)
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


def limits(linkage: Linkage, rack: float = 0.0) -> Limits:
    """Everything the wheel meets in droop and in bump with the rack held, found exactly."""
    driven = linkage.driven()
    start = _at_rack(linkage, driven, rack)
    sides = []
    for side in (-1.0, 1.0):
        sides.append(_side(linkage, driven, start, rack, side))
    droop, bump = sides
    far = FARTHEST * driven.system.geometry.scale
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


def _at_rack(linkage: Linkage, driven: Driven, rack: float) -> State:
    if rack == 0.0:
        return driven.state
    path = creep(
        driven.system, driven.system.geometry, driven.state, 0.0, np.array([rack]), driven.at, 1
    )
    from kinematics.motion.errors import MotionError

    if path.last != rack:
        raise MotionError(
            f"The rack can't reach {rack:g} mm at set-up height: the links stop it at "
            f"{path.last:.2f} mm."
        )
    return path.state


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


def _side(linkage: Linkage, driven: Driven, start: State, rack: float, side: float) -> list[Limit]:
    """Walk outward in short steps; refine every crossing between two of them."""
    system, geo = driven.system, driven.system.geometry
    step = 0.02 * geo.scale
    found: list[Limit] = []
    at, state = 0.0, start
    events = lengths_met(linkage.mechanism.coilover) if linkage.mechanism.coilover else []
    length = _length(linkage, driven, state, rack) if events else 0.0
    while abs(at) < FARTHEST * geo.scale:
        path = creep(system, geo, state, at, np.array([at + side * step]), rack, 0)
        there = path.last
        if events:
            onward = _length(linkage, driven, path.state, rack)
            crossed = [e for e in events if min(length, onward) < e[0] <= max(length, onward)]
            for target, cause, ends in crossed:
                where = _refine(linkage, driven, state, rack, at, there, target)
                found.append(Limit(where, cause, ends))
            length = onward
        if not path.poses:
            found.append(Limit(_fold(driven, path.state, there, rack, side), STRAIGHT, True))
            break
        if any(x.ends for x in found):
            break
        at, state = there, path.state
    return sorted(found, key=lambda x: abs(x.travel))


def _length(linkage: Linkage, driven: Driven, state: State, rack: float) -> float:
    rotation, position = poses(driven.system, state, np.array([rack]), linkage.mechanism.xyz)
    return float(damper_lengths(linkage, rotation, position)[0])


def _refine(
    linkage: Linkage,
    driven: Driven,
    state: State,
    rack: float,
    low: float,
    high: float,
    target: float,
) -> float:
    """The travel between two at which the damper has the target length."""
    from scipy.optimize import brentq

    def off(z: float) -> float:
        pose = _near(driven, state, low, z, rack)
        return _length(linkage, driven, pose, rack) - target

    if off(low) == 0.0:
        return low
    return float(brentq(off, low, high, xtol=1e-12, rtol=1e-15))


def _near(driven: Driven, state: State, at: float, z: float, rack: float) -> State:
    """The pose at ``z`` from a solved one a short step away."""
    system, geo = driven.system, driven.system.geometry
    other = np.array([rack])
    rate = rates(system, geo, state, np.array([at]), other, 0)
    guess = predicted(system.table, geo, state, rate, np.array([z - at]))
    return polish(system, geo, guess, np.array([z]), other, 8)


def _fold(driven: Driven, state: State, at: float, rack: float, side: float) -> float:
    """Travel at the fold just beyond a pose: the path is driven by its own length there.

    At the fold travel is at its greatest along the path, so it is the root of d(travel)/ds.
    """
    from scipy.optimize import brentq

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
            s = brentq(lambda x: path(x)[1], 0.0, reach, xtol=1e-12 * geo.scale)
            return path(float(s))[0]
        reach *= 2.0
    return at
