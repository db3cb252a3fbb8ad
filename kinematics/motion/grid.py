"""Moving a corner over a grid of travel and rack."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import Array
from kinematics.motion.closure import closure
from kinematics.motion.errors import MotionError
from kinematics.motion.linkage import Driven, Linkage
from kinematics.motion.motion import Motion, Reach
from kinematics.motion.recover import poses
from kinematics.motion.rows import State
from kinematics.motion.solve import polish, residual
from kinematics.motion.sweep import CLOSED, creep, lanes, sweep

Values = Sequence[float] | Array


def move(
    linkage: Linkage,
    travel: Values,
    rack: Values = (0.0,),
    *,
    by: str = "travel",
    stops: bool = True,
    start: Motion | None = None,
) -> Motion:
    """Move a corner over the grid travel × rack, both in mm, in any order.

    ``by`` says what ``travel`` is a list of: wheel ``travel`` from set-up height, ``damper``
    lengths eye to eye, or angles in rad from set-up of the arm so named. ``stops=False`` lets
    the damper go past its own ends. ``start`` is a motion near by, from which single poses are
    solved at once (for dragging).

    Poses that can't be reached come back as NaN with a ``state`` and a reason; every other is
    closed to 1e-9 mm, checked afresh. Raises ``MotionError`` for values that are not finite.
    """
    values, racks = _checked(travel, "travel"), _checked(rack, "rack")
    driven = linkage.driven(by)
    wanted = values + driven.offset
    if start is not None and start.linkage is linkage and start.by == by:
        solved, ok = _warm(driven, start, wanted, racks)
    else:
        solved, ok = None, None
    if solved is None or ok is None or not ok.all():
        solved, ok = _cold(driven, wanted, racks)
    reach = np.where(ok, Reach.REACHED, Reach.STRAIGHTENED).astype(np.int8)
    return _finish(linkage, by, values, racks, solved, reach, stops)


def _checked(values: Values, what: str) -> Array:
    out = np.atleast_1d(np.asarray(values, dtype=float))
    if out.ndim != 1 or not np.isfinite(out).all():
        raise MotionError(f"The {what} positions must be a list of plain numbers in mm.")
    return out


def _cold(driven: Driven, wanted: Array, racks: Array) -> tuple[State, NDArray[np.bool_]]:
    """All poses from set-up height: first along the rack, then from each rack position along the
    driver; what the quick way leaves open is followed with care."""
    spine, alive = _spine(driven, racks)
    system, geo = driven.system, driven.system.geometry
    ns = len(racks)
    one_lane = ns == 1 and racks[0] == 0.0
    start = driven.by_driver if one_lane else lanes(system, geo, spine, driven.at, racks, 0)
    order = np.argsort(wanted, kind="stable")
    state, ok = sweep(system, geo, start, wanted[order])
    back = np.argsort(order, kind="stable")
    flat = (back[:, None] * ns + np.arange(ns)).ravel()
    state, ok = state.take(flat), ok[flat].reshape(len(wanted), ns) & alive
    if not ok.all():
        _follow(driven, spine, wanted, racks, alive, state, ok)
    return state, ok.ravel()


def _spine(driven: Driven, racks: Array) -> tuple[State, NDArray[np.bool_]]:
    """The poses at set-up height for every rack position, and which of them can be had."""
    if len(racks) == 1 and racks[0] == 0.0:
        return driven.state, np.ones(1, dtype=bool)
    order = np.argsort(racks, kind="stable")
    system, geo = driven.system, driven.system.geometry
    state, ok = sweep(system, geo, driven.by_rack, racks[order], along=1)
    back = np.argsort(order, kind="stable")
    state, ok = state.take(back), ok[back]
    for side in (1.0, -1.0):
        mine = np.flatnonzero(side * racks >= 0.0)
        mine = mine[np.argsort(np.abs(racks[mine]), kind="stable")]
        bad = np.flatnonzero(~ok[mine])
        if len(bad):
            mine = mine[bad[0] :]
            path = creep(system, geo, driven.state, 0.0, racks[mine], driven.at, 1)
            _place(path.poses, mine, state, ok)
    return state, ok


def _follow(
    driven: Driven,
    spine: State,
    wanted: Array,
    racks: Array,
    alive: NDArray[np.bool_],
    state: State,
    ok: NDArray[np.bool_],
) -> None:
    """Fill in the poses the sweep left open, lane by lane, outward from the last closed one."""
    system, geo = driven.system, driven.system.geometry
    ns = len(racks)
    for j in np.flatnonzero(alive & ~ok.all(axis=0)):
        for side in (1.0, -1.0):
            mine = np.flatnonzero(side * (wanted - driven.at) > 0.0)
            mine = mine[np.argsort(np.abs(wanted[mine] - driven.at), kind="stable")]
            bad = np.flatnonzero(~ok[mine, j])
            if not len(bad):
                continue
            # What was closed farther out may be another assembly: it is followed again.
            begin, at = spine.take(np.array([j])), driven.at
            rest = mine[bad[0] :]
            if bad[0] > 0:
                last = mine[bad[0] - 1]
                begin, at = state.take(np.array([last * ns + j])), float(wanted[last])
            path = creep(system, geo, begin, at, wanted[rest], float(racks[j]), 0)
            column = ok[:, j].copy()
            _place(
                path.poses, rest, State(state.centre[..., j::ns], state.turn[..., j::ns]), column
            )
            ok[:, j] = column


def _place(
    poses: list[State], where: NDArray[np.intp], state: State, ok: NDArray[np.bool_]
) -> None:
    """Write followed poses over those in ``state``; the rest of ``where`` was not reached."""
    ok[where] = False
    for i, pose in zip(where, poses, strict=False):
        state.centre[..., i] = pose.centre[..., 0]
        state.turn[..., i] = pose.turn[..., 0]
        ok[i] = True


def _warm(
    driven: Driven, start: Motion, wanted: Array, racks: Array
) -> tuple[State, NDArray[np.bool_]] | tuple[None, None]:
    """All poses by Newton from the nearest pose of a motion near by; None if that is far."""
    size = driven.system.geometry.scale
    drive, rack = np.repeat(wanted, len(racks)), np.tile(racks, len(wanted))
    from_drive, from_rack = start.drivers
    reached = start.reached.ravel()
    if not reached.any():
        return None, None
    apart = np.hypot(from_drive[:, None] - drive, from_rack[:, None] - rack)
    apart[~reached] = np.inf
    near = apart.argmin(axis=0)
    if start.by == "travel" and apart.min(axis=0).max() > 0.05 * size:
        return None, None
    state = polish(driven.system, driven.system.geometry, start.solved.take(near), drive, rack, 6)
    ok = residual(driven.system, driven.system.geometry, state, drive, rack) <= 0.5 * CLOSED
    return state, ok


def _finish(
    linkage: Linkage,
    by: str,
    values: Array,
    racks: Array,
    solved: State,
    reach: NDArray[np.int8],
    stops: bool,
) -> Motion:
    """Recover all bodies, check closure afresh, and mask what was not reached."""
    nz, ns = len(values), len(racks)
    xyz = linkage.mechanism.xyz
    system = linkage.driven(by).system
    rotation, position = poses(system, solved, np.tile(racks, nz), xyz)
    gap = closure(linkage.checks, rotation, position)
    if by == "travel":
        gap = np.maximum(gap, _height_error(linkage, rotation, position, np.repeat(values, ns)))
    reach[(reach == Reach.REACHED) & ~(gap <= CLOSED)] = Reach.BINDS
    if stops and linkage.mechanism.coilover is not None:
        _mask_stops(linkage, rotation, position, reach)
    gone = reach != Reach.REACHED
    if gone.any():
        rotation[..., gone] = np.nan
        position[..., gone] = np.nan
        gap[gone] = np.nan
    return Motion(
        linkage=linkage,
        by=by,
        travel=values,
        rack=racks,
        bodies=linkage.bodies,
        state=reach.reshape(nz, ns),
        closure=gap.reshape(nz, ns),
        solved=solved,
        flat_rotation=rotation,
        flat_position=position,
        xyz=xyz,
    )


def _height_error(linkage: Linkage, rotation: Array, position: Array, travel: Array) -> Array:
    wheel = linkage.project.wheel
    k = linkage.bodies.index(wheel.body)
    p = linkage.mechanism.xyz[linkage.mechanism.points[wheel.centre]]
    setup = linkage.project.setup_wheel_z
    height = p[2] if setup is None else setup
    now = p @ rotation[k, 2] + position[k, 2]
    return np.asarray(np.abs(now - height - travel))


def damper_lengths(linkage: Linkage, rotation: Array, position: Array) -> Array:
    """Eye-to-eye damper lengths (n,) from poses with the batch last."""
    coilover = linkage.mechanism.coilover
    assert coilover is not None
    ends = []
    for end in (coilover.foot, coilover.top):
        k = linkage.bodies.index(end.body)
        p = linkage.mechanism.xyz[linkage.mechanism.points[end.point]]
        ends.append(np.matmul(p, rotation[k]) + position[k])
    d = ends[0] - ends[1]
    return np.asarray(np.sqrt((d * d).sum(axis=0)))


def _mask_stops(
    linkage: Linkage, rotation: Array, position: Array, reach: NDArray[np.int8]
) -> None:
    """Poses past the damper's own ends are not reached; a hair of rounding is let pass."""
    coilover = linkage.mechanism.coilover
    assert coilover is not None
    with np.errstate(invalid="ignore"):
        length = damper_lengths(linkage, rotation, position)
        real = reach == Reach.REACHED
        reach[real & (length > coilover.open + CLOSED)] = Reach.DAMPER_OPEN
        if coilover.droop_strap is not None and coilover.droop_strap < coilover.open:
            reach[real & (length > coilover.droop_strap + CLOSED)] = Reach.STRAP
        reach[real & (length < coilover.closed - CLOSED)] = Reach.DAMPER_CLOSED
