"""Moving a corner over a grid of travel and rack."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import Array
from kinematics.motion.closure import Measured, measured
from kinematics.motion.errors import MotionError
from kinematics.motion.giving import Rest
from kinematics.motion.giving_track import rest_sweep
from kinematics.motion.joint_limits import past_limits
from kinematics.motion.linkage import Driven, Linkage
from kinematics.motion.motion import Motion, Reach
from kinematics.motion.recover import poses
from kinematics.motion.rows import State
from kinematics.motion.sweep import CHUNK, CLOSED, Lanes, lanes, stepped, sweep
from kinematics.motion.system import System

Values = Sequence[float] | Array
CENTRAL = (0.0,)
"""The rack where it is at set-up height."""
HAIR = 1e-9
"""rad: a rounding let pass at a joint's limit."""
_REACHED, _BINDS = Reach.REACHED, Reach.BINDS


def move(
    linkage: Linkage,
    travel: Values,
    rack: Values = CENTRAL,
    *,
    by: str = "travel",
    stops: bool = True,
    prove: bool = True,
    start: Motion | None = None,
) -> Motion:
    """Move a corner over the grid travel × rack, both in mm, in any order.

    ``by`` says what ``travel`` is a list of: wheel ``travel`` from set-up height, ``damper``
    lengths eye to eye, or angles in rad from set-up of the arm so named. ``stops=False`` lets
    the damper go past its own ends. ``prove=False`` spares the proof that every pose is the same
    assembly as at set-up height. ``start`` is a motion near by, from which single poses are
    solved at once (for dragging).

    Poses that can't be reached come back as NaN with a ``state`` and a reason; every other is
    closed to 1e-9 mm, checked afresh. Raises ``MotionError`` for values that are not finite.
    """
    values = _checked(travel, "travel")
    racks = np.zeros(1) if rack is CENTRAL else _checked(rack, "rack")
    driven = linkage.driven(by)
    wanted = values + driven.offset
    near = start is not None and start.linkage is linkage and start.by == by
    if start is not None and near and driven.soft is None and not _proved(driven, wanted, racks):
        warm = _warm(driven, start, wanted, racks)
        if warm is not None:
            motion = _finish(linkage, by, values, racks, warm, stops)
            if not (motion.state == _BINDS).any():
                return motion
    return _finish(linkage, by, values, racks, _cold(driven, wanted, racks, prove), stops)


def _proved(driven: Driven, wanted: Array, racks: Array) -> bool:
    """Whether the poses lie on stretches proved before, which is quicker than any other way."""
    if driven.by_driver.known.found is None or len(racks) > 1 or racks[0] != 0.0:
        return False
    return driven.by_driver.known.covers(float(wanted.min()), float(wanted.max()))


def _checked(values: Values, what: str) -> Array:
    out = np.array(values, dtype=float, ndmin=1)
    if out.ndim != 1 or not np.isfinite(out).all():
        raise MotionError(f"The {what} positions must be a list of plain numbers in mm.")
    return out


class Solved(NamedTuple):
    """Solved poses: the ``state`` flat, ``reach`` and the proof's ``number`` (nz, ns)."""

    state: State
    reach: NDArray[np.int8]
    number: Array


def _cold(driven: Driven, wanted: Array, racks: Array, proving: bool) -> Solved:
    """All poses from set-up height: first along the rack, then from each rack position along the
    driver."""
    if driven.soft is not None:
        return _at_rest(driven, wanted, racks)
    if len(racks) == 1 and racks[0] == 0.0:
        return _along(driven, driven.by_driver, wanted, 0, proving)
    system, geo = driven.system, driven.system.geometry
    spine = _along(driven, driven.by_rack, racks, 1, proving)
    start = lanes(system, geo, spine.state, driven.at, racks, 0)
    found = _along(driven, start, wanted, 0, proving)
    gone = spine.reach[:, 0] != Reach.REACHED
    found.reach[:, gone] = spine.reach[gone, 0]
    return found._replace(number=np.maximum(found.number, spine.number[:, 0]))


def _along(driven: Driven, start: Lanes, wanted: Array, along: int, proving: bool) -> Solved:
    """Poses at the values wanted (in any order) for each lane."""
    system, geo, n = driven.system, driven.system.geometry, start.state.size
    rising = len(wanted) == 1 or bool((wanted[1:] > wanted[:-1]).all())
    values = wanted if rising else np.unique(wanted)
    swept = sweep(system, geo, start, values, along, proving)
    state, number = swept.state, swept.number
    reach = np.zeros(number.shape, dtype=np.int8)
    if not number.max() < np.inf:
        reach[np.isinf(number)], reach[swept.jump] = Reach.STRAIGHTENED, Reach.JUMP
    if not rising:
        back = np.searchsorted(values, wanted)
        state = state.take((back[:, None] * n + np.arange(n)).ravel())
        reach, number = reach[back], number[back]
    return Solved(state, reach, number)


def _at_rest(driven: Driven, wanted: Array, racks: Array) -> Solved:
    """All poses of a corner whose bushes give: along the rack first, then from each position of
    it along the driver."""
    system, soft, rest = driven.system, driven.soft, driven.rest
    assert soft is not None
    assert rest is not None
    nz, ns, bodies = len(wanted), len(racks), len(system.bodies)
    order, values = np.argsort(racks, kind="stable"), np.unique(wanted)
    known = driven.rests
    spine, tied, lost = rest_sweep(system, soft, rest, 0.0, racks[order], driven.at, 1, known)
    centre, turn = np.empty((bodies, 3, nz, ns)), np.empty((bodies, 4, nz, ns))
    number, back = np.full((nz, ns), np.inf), np.searchsorted(values, wanted)
    jump = np.zeros((nz, ns), dtype=bool)
    for i, j in enumerate(order):
        here = Rest(spine.state.take(slice(i, i + 1)), spine.hold[:, i : i + 1])
        if np.isfinite(tied[i]):
            other = float(racks[j])
            path = rest_sweep(system, soft, here, driven.at, values, other, 0, known)
            state, jump[:, j] = path.rest.state.take(back), path.jump[back]
            number[:, j] = np.maximum(path.number[back], tied[i])
        else:
            jump[:, j] = lost[i]
            state = here.state.take(np.zeros(nz, dtype=np.intp))
        centre[..., j], turn[..., j] = state
    reach = np.where(jump, np.int8(Reach.JUMP), np.int8(Reach.STRAIGHTENED))
    reach[np.isfinite(number)] = _REACHED
    flat = State(centre.reshape(bodies, 3, -1), turn.reshape(bodies, 4, -1))
    return Solved(flat, reach, number)


def _warm(driven: Driven, start: Motion, wanted: Array, racks: Array) -> Solved | None:
    """All poses by Newton from the nearest pose of a motion near by; None where that is far."""
    system, geo = driven.system, driven.system.geometry
    drive, rack = wanted.repeat(len(racks)), _tiled(racks, len(wanted))
    begin = _nearest(start, drive, rack)
    if begin is None:
        return None
    state, left, way = stepped(system, geo, begin, drive, rack, 6, 0.2 * CLOSED)
    # So short a way leads to no other assembly; a longer one is gone from set-up height.
    if not (left <= CLOSED and way <= 0.1 * geo.scale):
        return None
    shape = (len(wanted), len(racks))
    return Solved(state, np.zeros(shape, dtype=np.int8), np.full(shape, np.nan))


def _nearest(start: Motion, drive: Array, rack: Array) -> State | None:
    """For each position wanted the nearest pose of a motion; None where it has none."""
    gone = start.state.ravel() != _REACHED
    some = bool(gone.any())
    if some and gone.all():
        return None
    if len(gone) == 1:
        return start.solved if len(drive) == 1 else start.solved.take(np.zeros(len(drive), int))
    from_drive, from_rack = start.drivers
    apart = np.abs(from_drive[:, None] - drive)
    apart += np.abs(from_rack[:, None] - rack)
    if some:
        apart[gone] = np.inf
    return start.solved.take(apart.argmin(axis=0))


def _tiled(racks: Array, times: int) -> Array:
    if times == 1:
        return racks
    return np.full(times, racks[0]) if len(racks) == 1 else np.tile(racks, times)


def _finish(
    linkage: Linkage,
    by: str,
    values: Array,
    racks: Array,
    solved: Solved,
    stops: bool,
) -> Motion:
    """Recover all bodies, check closure afresh, and mask what was not reached."""
    nz, ns = len(values), len(racks)
    xyz, reach = linkage.mechanism.xyz, solved.reach.ravel()
    system = linkage.driven(by).system
    rotation, position, found = _recovered(linkage, system, solved.state, _tiled(racks, nz))
    gap = found.gap
    if by == "travel":
        height = values + linkage.setup_height
        off = found.height - (height if ns == 1 else height.repeat(ns))
        gap = np.maximum(gap, np.abs(off, out=off))
    whole = bool(gap.max() <= CLOSED) and not reach.any()
    if not (whole and not (stops and _may_stop(linkage, found))):
        _mask(linkage, found, reach, gap, (rotation, position), stops)
    return Motion(
        linkage=linkage,
        by=by,
        travel=values,
        rack=racks,
        bodies=linkage.bodies,
        state=reach.reshape(nz, ns),
        closure=gap.reshape(nz, ns),
        solved=solved.state,
        proof=solved.number,
        flat_rotation=rotation,
        flat_position=position,
        xyz=xyz,
    )


def _may_stop(linkage: Linkage, found: Measured) -> bool:
    """Whether some pose may be past something that ends the travel."""
    if any(bearing.ends_travel for bearing in linkage.project.bearings.values()):
        return True
    if not len(found.gauges):
        return False
    low, high = linkage.gauge_limits
    return bool(((found.gauges < low) | (found.gauges > high)).any())


def _mask(
    linkage: Linkage,
    found: Measured,
    reach: NDArray[np.int8],
    gap: Array,
    poses: tuple[Array, Array],
    stops: bool,
) -> None:
    """Say in ``reach`` why poses were not reached, and make those NaN."""
    with np.errstate(invalid="ignore"):
        reach[(reach == _REACHED) & ~(gap <= CLOSED)] = _BINDS
        if stops:
            _mask_stops(linkage, found, reach)
            for past in past_limits(linkage, *poses).values():
                reach[(reach == _REACHED) & (past > HAIR)] = Reach.JOINT_ANGLE
    gone = reach != _REACHED
    if gone.any():
        for pose in poses:
            pose[..., gone] = np.nan
        gap[gone] = np.nan


def _recovered(
    linkage: Linkage, system: System, solved: State, rack: Array
) -> tuple[Array, Array, Measured]:
    """Poses of all bodies and what is measured on them, a cacheful at a time."""
    n, xyz = solved.size, linkage.mechanism.xyz
    if n <= CHUNK:
        rotation, position = poses(system, solved, rack, xyz)
        return rotation, position, measured(linkage.checks, rotation, position)
    rotation = np.empty((len(linkage.bodies), 3, 3, n))
    position, found = np.empty((len(linkage.bodies), 3, n)), []
    for first in range(0, n, CHUNK):
        some = slice(first, first + CHUNK)
        turned, shifted = poses(system, solved.take(some), rack[some], xyz)
        rotation[..., some], position[..., some] = turned, shifted
        found.append(measured(linkage.checks, turned, shifted))
    parts = (np.concatenate(x, axis=-1) for x in zip(*found, strict=True))
    return rotation, position, Measured(*parts)


def _mask_stops(linkage: Linkage, found: Measured, reach: NDArray[np.int8]) -> None:
    """Poses past the damper's own ends are not reached; a hair of rounding is let pass."""
    coilover, gauges = linkage.mechanism.coilover, list(found.gauges)
    real = reach == _REACHED
    length = gauges.pop(0) if coilover is not None else None
    for strap, apart in zip(linkage.project.straps.values(), gauges, strict=True):
        reach[real & (apart > strap.length + CLOSED)] = Reach.STRAP
    if coilover is None or length is None:
        return
    reach[real & (length > coilover.open + CLOSED)] = Reach.DAMPER_OPEN
    if coilover.droop_strap is not None and coilover.droop_strap < coilover.open:
        reach[real & (length > coilover.droop_strap + CLOSED)] = Reach.STRAP
    reach[real & (length < coilover.closed - CLOSED)] = Reach.DAMPER_CLOSED
