"""A strut's top put elsewhere on the chassis, the strut staying clamped to its upright as it was.

Where a point's place is a *dimension*, a joint goes along with it (``variants``): the corner is
then taken as measured so. Here the joint's two sides part: the line stays in the upright, the
point moves on the chassis, and the links decide how the wheel follows.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from kinematics.frames import Array
from kinematics.motion.errors import MotionError
from kinematics.motion.grid import Values, move
from kinematics.motion.linkage import Linkage
from kinematics.motion.rows import Geometry, State
from kinematics.motion.sensitivity import state_about
from kinematics.motion.system import System, build
from kinematics.motion.variants import Variants, newton_all, pivoted
from kinematics.project.model import PointOnLine

STRIDE = 12.0
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
    joint, top = _strut(linkage)
    nominal = move(linkage, travel, [rack], stops=False)
    if linkage.give:
        raise MotionError("A strut's top is not moved in a corner whose bushes give.")
    if not nominal.reached.all():
        first = int(np.argmin(nominal.reached[:, 0]))
        raise MotionError(f"The corner itself can't reach these travels: {nominal.reason(first)}.")
    system = pivoted(build(linkage.mechanism, charts=False), linkage)
    seeds = state_about(system, nominal)
    xyz = np.repeat(linkage.mechanism.xyz.T[:, :, None], len(moves), axis=2)
    centre, turn, closed = _followed(system, joint, nominal.travel, rack, moves, seeds)
    xyz[:, linkage.mechanism.points[top]] += moves.T
    return Variants(linkage, nominal.travel, rack, xyz, system, State(centre, turn), closed)


def _strut(linkage: Linkage) -> tuple[str, str]:
    """The joint that holds the coilover's top to a line, and the top's point."""
    coilover = linkage.mechanism.coilover
    for name, joint in linkage.mechanism.joints.items():
        if coilover is None or not isinstance(joint, PointOnLine):
            continue
        if joint.point == coilover.top.point:
            return name, joint.point
    raise MotionError("This corner's top mount does not hold the wheel: it is no strut.")


def _followed(
    system: System, joint: str, travel: Array, rack: float, moves: Array, seeds: State
) -> tuple[Array, Array, np.ndarray]:
    """Poses of all moves at every travel, followed there in strides."""
    count, bodies = len(moves), len(system.bodies)
    centre = np.empty((bodies, 3, len(travel), count))
    turn = np.empty((bodies, 4, len(travel), count))
    closed = np.empty((len(travel), count), dtype=bool)
    far = float(np.linalg.norm(moves, axis=1).max(initial=0.0))
    strides = np.linspace(0.0, 1.0, int(np.ceil(far / STRIDE)) + 1)[1:]
    for i, z in enumerate(travel):
        base = seeds.take(np.array([i]))
        state = State(base.centre.repeat(count, axis=-1), base.turn.repeat(count, axis=-1))
        ok = np.ones(count, dtype=bool)
        for share in strides.tolist():
            geo = _parted(system, joint, share * moves)
            state, ok = newton_all(system, geo, state, np.full(count, z), rack)
        centre[:, :, i], turn[:, :, i], closed[i] = state.centre, state.turn, ok
    return centre, turn, closed


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
