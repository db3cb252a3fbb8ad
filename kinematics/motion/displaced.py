"""A strut's top put elsewhere on the chassis, the strut staying clamped to its upright as it was.

Where a point's place is a *dimension*, a joint goes along with it (``variants``): the corner is
then taken as measured so. Here the joint's two sides part: the line stays in the upright, the
point moves on the chassis, and the links decide how the wheel follows.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import Array
from kinematics.motion.errors import MotionError
from kinematics.motion.grid import Values, move
from kinematics.motion.linkage import Linkage
from kinematics.motion.rows import Geometry, State
from kinematics.motion.sensitivity import state_about
from kinematics.motion.system import System, build
from kinematics.motion.variants import CACHEFUL, Variants, newton_all, pivoted
from kinematics.project.model import PointOnLine

STRIDE = 60.0
"""A top is moved by no more than this at once, mm, so that the corner follows."""


def displaced(linkage: Linkage, travel: Values, moves: Array, rack: float = 0.0) -> Variants:
    """The corner over travel (k,) with its strut's top moved by each of (n, 3) mm.

    The wheel centre goes to the heights it goes to in the unmoved corner. ``xyz`` of the result
    has the top where it is moved to. Raises ``MotionError`` where no joint holds the coilover's
    top to a line, for moves of the wrong shape, or travels the corner itself can't reach.
    """
    moves = np.asarray(moves, dtype=float)
    if moves.ndim != 2 or moves.shape[1] != 3 or not np.isfinite(moves).all():
        raise MotionError("Moves of a strut's top must be plain numbers in mm, three to a move.")
    travel = np.atleast_1d(np.asarray(travel, dtype=float)).ravel()
    flat, state, closed = displaced_each(
        linkage, np.repeat(travel, len(moves)), np.tile(moves, (len(travel), 1)), rack
    )
    shape = (len(travel), len(moves))
    grid = State(
        state.centre.reshape(*state.centre.shape[:2], *shape),
        state.turn.reshape(*state.turn.shape[:2], *shape),
    )
    xyz = _moved_top(linkage, moves)
    return Variants(linkage, travel, rack, xyz, flat, grid, closed.reshape(shape))


def displaced_each(
    linkage: Linkage, travel: Array, moves: Array, rack: float = 0.0
) -> tuple[System, State, NDArray[np.bool_]]:
    """The corner at each travel (m,) with its top moved by the move (m, 3) of the same number.

    Returns the system, its solved bodies' poses (bodies, ., m), and which closed. Raises as
    ``displaced``.
    """
    joint, _ = _strut(linkage)
    if linkage.give:
        raise MotionError("A strut's top is not moved in a corner whose bushes give.")
    asked, which = np.unique(travel, return_inverse=True)
    nominal = move(linkage, asked, [rack], stops=False)
    if not nominal.reached.all():
        first = int(np.argmin(nominal.reached[:, 0]))
        raise MotionError(f"The corner itself can't reach these travels: {nominal.reason(first)}.")
    system = pivoted(build(linkage.mechanism, charts=False), linkage)
    state = state_about(system, nominal).take(which)
    ok = np.ones(len(travel), dtype=bool)
    far = np.linalg.norm(moves, axis=1)
    strides = int(np.ceil(float(far.max(initial=0.0)) / STRIDE))
    parts = []
    for first in range(0, len(travel), CACHEFUL):
        some = np.arange(first, min(first + CACHEFUL, len(travel)))
        part = state.take(some)
        for share in np.linspace(0.0, 1.0, strides + 1)[1:].tolist():
            geo = _parted(system, joint, share * moves[some])
            part, ok[some] = newton_all(system, geo, part, travel[some], rack)
        parts.append(part)
    centre = np.concatenate([part.centre for part in parts], axis=-1)
    turn = np.concatenate([part.turn for part in parts], axis=-1)
    return system, State(centre, turn), ok


def _moved_top(linkage: Linkage, moves: Array) -> Array:
    """All points with the top where it is moved to, (3, points, n)."""
    _, top = _strut(linkage)
    xyz = np.repeat(linkage.mechanism.xyz.T[:, :, None], len(moves), axis=2)
    xyz[:, linkage.mechanism.points[top]] += moves.T
    return xyz


def _strut(linkage: Linkage) -> tuple[str, str]:
    """The joint that holds the coilover's top to a line, and the top's point."""
    coilover = linkage.mechanism.coilover
    for name, joint in linkage.mechanism.joints.items():
        if coilover is None or not isinstance(joint, PointOnLine):
            continue
        if joint.point == coilover.top.point:
            return name, joint.point
    raise MotionError("This corner's top mount does not hold the wheel: it is no strut.")


def _parted(system: System, joint: str, moves: Array) -> Geometry:
    """The geometry with the chassis' side of a joint moved by each of (n, 3)."""
    geo = system.geometry
    first = 0
    for block in system.blocks:
        if block.name == joint and block.what == "line":
            break
        first += block.rows
    rows, count = slice(first, first + block.rows), len(moves)

    def many(x: Array) -> Array:
        return np.repeat(x, count, axis=-1) if x.shape[-1] == 1 else x.copy()

    there = many(geo.b)
    there[:, rows] += moves.T[:, None]
    return replace(geo, a=many(geo.a), b=there, normal=many(geo.normal), size=many(geo.size))
