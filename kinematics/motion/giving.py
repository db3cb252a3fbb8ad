"""Corners that move only through rubber: named bushes give, the rest stays rigid.

The giving rows become springs. At each travel the pose is the one of least energy ½Σ k·e² (e the
stretch or gap of each giving member in mm, k its stiffness in N/mm) that the rigid rows allow:

    J_rᵀλ + J_sᵀ(k·e) = 0,   f_r = 0,

solved by Newton's method with exact second derivatives. Bushes are taken as unstressed where the
points were measured.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import Array, product_last
from kinematics.motion.eliminate import solve_pivoting
from kinematics.motion.errors import MotionError
from kinematics.motion.mechanism import Mechanism
from kinematics.motion.row_rates import driver_rates
from kinematics.motion.rows import State, evaluate, jacobian, motions, moved
from kinematics.motion.system import System
from kinematics.project.model import Ball

STIFFNESS = 6000.0
"""N/mm, radial, of a bush whose stiffness is not given: an assumption (common practice, no
source); road-car bushes run from about 2,000 to 20,000."""
STEP = 1e-30
LONGEST = 8.0
"""mm: the longest step of travel from one solved pose to the next."""


@dataclass(frozen=True)
class Soft:
    """Which rows of a system give: ``rows`` and their ``stiffness`` (N/mm); ``rigid`` the rest."""

    rows: NDArray[np.intp]
    stiffness: Array
    rigid: NDArray[np.intp]


def stiffnesses(built: Mechanism, give: Mapping[str, float | None]) -> dict[str, float]:
    """The stiffness of every member named, the usual one where none is given.

    Raises ``MotionError`` for a name that is neither a link nor a ball, or a stiffness not above 0.
    """
    out = {}
    for name, value in give.items():
        joint = built.joints.get(name)
        if name not in built.links and not isinstance(joint, Ball):
            names = [*built.links, *(n for n, j in built.joints.items() if isinstance(j, Ball))]
            raise MotionError(
                f"'{name}' has no bush that could give; links and ball joints here are "
                + ", ".join(f"'{n}'" for n in names)
                + "."
            )
        stiffness = STIFFNESS if value is None else float(value)
        if not (np.isfinite(stiffness) and stiffness > 0.0):
            raise MotionError(f"The bush of '{name}' needs a stiffness above 0 N/mm.")
        out[name] = stiffness
    return out


def soft_rows(system: System, give: Mapping[str, float]) -> Soft:
    """The rows of a system that belong to the members that give."""
    names = [block.name for block in system.blocks for _ in range(block.rows)]
    driver = system.table.driver
    rows = np.array([i for i, n in enumerate(names) if n in give and i != driver], dtype=np.intp)
    rigid = np.setdiff1d(np.arange(len(names)), rows)
    return Soft(rows, np.array([give[names[i]] for i in rows]), rigid)


@dataclass(frozen=True)
class Rest:
    """Poses at rest: ``state`` and the rigid rows' forces ``hold`` (rigid rows, n) in N."""

    state: State
    hold: Array


def at_rest(system: System, soft: Soft, start: Rest, drive: Array, rack: Array) -> Rest:
    """The poses of least energy from others near by; not numbers where none is found."""
    state, hold = start.state, start.hold
    unit = float(soft.stiffness.max())
    for _ in range(12):
        pull, gap = balance(system, soft, state, hold, drive, rack)
        done = np.abs(pull).max() < 1e-9 * unit and np.abs(gap).max() < 1e-12
        if done or not np.isfinite(pull).all():
            break
        matrix = tangent(system, soft, state, hold, drive, rack)
        matrix[: system.table.width] /= unit
        right = -np.concatenate([pull / unit, gap])[:, None]
        step = solve_pivoting(matrix, right)[:, 0]
        state = moved(system.table, system.geometry, state, step[: system.table.width])
        hold = hold + step[system.table.width :]
    return Rest(state, hold)


def is_at_rest(
    system: System, soft: Soft, rest: Rest, drive: Array, rack: Array
) -> NDArray[np.bool_]:
    """Which poses (n,) are balanced, and closed where nothing gives."""
    pull, gap = balance(system, soft, rest.state, rest.hold, drive, rack)
    tight = np.abs(pull).max(axis=0) < 1e-6 * soft.stiffness.max()
    return np.asarray(tight & (np.abs(gap).max(axis=0) < 1e-10))


def balance(
    system: System, soft: Soft, state: State, hold: Array, drive: Array, rack: Array
) -> tuple[Array, Array]:
    """Unbalanced force (columns, n) in N and the rigid rows' gaps (rigid, n) in mm."""
    rows = evaluate(system.table, system.geometry, state, drive, rack)
    full = jacobian(system.table, system.geometry, rows, state)
    load = np.zeros_like(rows.value)
    load[soft.rows] = _pulls(system, soft, rows.value)
    load[soft.rigid] = hold
    return np.einsum("rcn,rn->cn", full, load), rows.value[soft.rigid]


def _pulls(system: System, soft: Soft, value: Array) -> Array:
    """Loads (soft rows, n) on the giving rows: of a rod, its stretch |d| - L times stiffness."""
    out = soft.stiffness[:, None] * value[soft.rows]
    for k, row in enumerate(soft.rows):
        if row < system.table.distances:
            length = system.geometry.size[row]
            # The row is ½(|d|²/L - L) and its force d/L: undo both, for a spring true to size.
            share = np.sqrt(1.0 + 2.0 * value[row] / length)
            out[k] = soft.stiffness[k] * length * (share - 1.0) / share
    return out


def tangent(
    system: System, soft: Soft, state: State, hold: Array, drive: Array, rack: Array
) -> Array:
    """Derivative of the balance by poses and holding forces, (m, m, n)."""
    width, rigid = system.table.width, len(soft.rigid)
    out = np.zeros((width + rigid, width + rigid, state.size))
    for column in range(width):
        step = np.zeros((width, state.size))
        step[column] = 1.0
        pull, gap = balance(system, soft, _aside(system, state, step), hold, drive, rack)
        out[:width, column] = pull.imag / STEP
        out[width:, column] = gap.imag / STEP
    rows = evaluate(system.table, system.geometry, state, drive, rack)
    full = jacobian(system.table, system.geometry, rows, state)
    out[:width, width:] = full[soft.rigid].swapaxes(0, 1)
    return out


def _aside(system: System, state: State, step: Array) -> State:
    """The poses with a step as tiny imaginary part."""
    shift, spin = motions(system.table, system.geometry, step)
    turn = state.turn.astype(complex)
    for i, w in enumerate(spin):
        pure = np.concatenate([np.zeros_like(w[:1]), w])
        turn[i] += 0.5j * STEP * product_last(pure, state.turn[i])
    return State(state.centre + 1j * STEP * np.stack(shift), turn)


def rest_rates(
    system: System, soft: Soft, rest: Rest, drive: Array, rack: Array
) -> tuple[Array, Array]:
    """Exact speeds (columns, n) of the poses at rest by the driver and by the rack."""
    matrix = tangent(system, soft, rest.state, rest.hold, drive, rack)
    found = whole_rates(system, soft, rest, matrix, drive, rack)[: system.table.width]
    return found[:, 0], found[:, 1]


def whole_rates(
    system: System, soft: Soft, rest: Rest, matrix: Array, drive: Array, rack: Array
) -> Array:
    """Exact rates (m, 2, n) of poses and holding forces by the driver and by the rack.

    ``matrix`` is the ``tangent`` there.
    """
    right = []
    for by_drive, by_rack in ((1j * STEP, 0.0), (0.0, 1j * STEP)):
        complex_state = State(rest.state.centre.astype(complex), rest.state.turn.astype(complex))
        nudged = (cast(Array, drive + by_drive), cast(Array, rack + by_rack))
        pull, gap = balance(system, soft, complex_state, rest.hold, *nudged)
        right.append(-np.concatenate([pull.imag, gap.imag]) / STEP)
    return solve_pivoting(matrix, np.stack(right, axis=1))


def settled(system: System, soft: Soft, state: State, drive: Array, rack: Array) -> Rest:
    """The pose of rest from a state near by, with its holding forces."""
    rows = evaluate(system.table, system.geometry, state, drive, rack)
    full = jacobian(system.table, system.geometry, rows, state)
    load = _pulls(system, soft, rows.value)
    pull = np.einsum("rcn,rn->cn", full[soft.rows], load)
    hold = np.stack(
        [
            np.linalg.lstsq(full[soft.rigid, :, i].T, -pull[:, i], rcond=None)[0]
            for i in range(state.size)
        ],
        axis=-1,
    )
    return at_rest(system, soft, Rest(state, hold), drive, rack)


def follow(
    system: System, soft: Soft, start: Rest, at: float, values: Array, other: Array, along: int
) -> tuple[list[Rest], list[NDArray[np.bool_]]]:
    """Poses of rest for all lanes at ``values`` in order outward, and which are balanced."""
    here, now = start, at
    rests: list[Rest] = []
    fine: list[NDArray[np.bool_]] = []
    for value in values:
        steps = max(1, int(np.ceil(abs(float(value) - now) / LONGEST)))
        for part in np.linspace(now, float(value), steps + 1)[1:]:
            before = (np.full(len(other), now), other)
            drive, rack = before if along == 0 else (other, before[0])
            speed = rest_rates(system, soft, here, drive, rack)[along]
            step = speed * (part - now)
            guess = moved(system.table, system.geometry, here.state, step)
            wanted = np.full(len(other), part)
            drive, rack = (wanted, other) if along == 0 else (other, wanted)
            here = at_rest(system, soft, Rest(guess, here.hold), drive, rack)
            now = float(part)
        rests.append(here)
        fine.append(is_at_rest(system, soft, here, drive, rack))
    return rests, fine


def held_by_the_rest(system: System, soft: Soft, state: State) -> bool:
    """Whether the rigid rows agree with each other and the giving ones hold what is left."""
    zero = np.zeros(1)
    rows = evaluate(system.table, system.geometry, state, zero, zero)
    full = jacobian(system.table, system.geometry, rows, state)[..., 0]
    rates = driver_rates(system.table, system.geometry, rows, zero)
    strength = np.linalg.svd(full[soft.rigid], compute_uv=False)
    rigid = bool((strength > 1e-8 * strength[0]).all()) and len(soft.rigid) <= full.shape[1]
    return rigid and np.linalg.matrix_rank(full, tol=1e-8) == full.shape[1] and bool(rates.any())
