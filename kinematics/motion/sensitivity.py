"""Exact sensitivities: how poses and rates change with every point and length.

The rows f(q, p) = 0 hold whatever the dimensions p, so ``dq/dp = -J⁻¹ ∂f/∂p`` (implicit
differentiation): one factorisation of J for all dimensions. Derivatives by p, and of whatever is
computed from the poses, are carried by a tiny imaginary part (the complex step, exact to rounding;
W. Squire and G. Trapp, SIAM Review 40, 1998): a *nudged* motion has complex poses whose imaginary
part, over ``STEP``, is the derivative. Every formula that takes a motion takes a nudged one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kinematics.frames import Array, product_last
from kinematics.motion.eliminate import solve_pivoting
from kinematics.motion.errors import MotionError
from kinematics.motion.giving import Rest, balance, settled, soft_rows, tangent, whole_rates
from kinematics.motion.giving_slopes import rate_slopes
from kinematics.motion.linkage import Linkage
from kinematics.motion.motion import Motion, setup_motion
from kinematics.motion.recover import poses
from kinematics.motion.rows import Geometry, State, evaluate, jacobian, motions
from kinematics.motion.system import System, build, with_pivots

STEP = 1e-30
"""The imaginary part that stands for one unit of a dimension; it cannot round."""
AXES = "xyz"


@dataclass(frozen=True)
class Dimension:
    """One number of the corner that can be off: a point's coordinate, or a link's length.

    ``axis`` is 0, 1 or 2 for x, y or z of the point ``name``; None for the length of the link.
    """

    name: str
    axis: int | None

    def __str__(self) -> str:
        """``top.x`` or ``length of lower link``."""
        return f"length of {self.name}" if self.axis is None else f"{self.name}.{AXES[self.axis]}"


def dimensions(linkage: Linkage, only: Sequence[str] | None = None) -> tuple[Dimension, ...]:
    """Every dimension of a corner, or those named: ``top.x``, ``top`` (all three), ``link``.

    Raises ``MotionError`` for a name that is neither a point nor a link.
    """
    mechanism = linkage.mechanism
    if only is None:
        points = [Dimension(name, axis) for name in mechanism.points for axis in range(3)]
        return (*points, *(Dimension(name, None) for name in mechanism.links))
    out: list[Dimension] = []
    for text in only:
        name, _, axis = text.rpartition(".")
        if name in mechanism.points and axis in AXES and axis:
            out.append(Dimension(name, AXES.index(axis)))
        elif text in mechanism.points:
            out += [Dimension(text, axis) for axis in range(3)]
        elif text.removeprefix("length of ") in mechanism.links:
            out.append(Dimension(text.removeprefix("length of "), None))
        else:
            raise MotionError(
                f"'{text}' is no dimension of this corner: name a point, a point's coordinate "
                "such as 'top.x', or a link."
            )
    return tuple(out)


def nudged(motion: Motion, dims: Sequence[Dimension]) -> list[tuple[Motion, Motion]]:
    """For each dimension, the motion and its set-up pose with their derivatives as imaginary part.

    The travel asked for is the same; set-up height moves with the wheel centre unless the project
    states it.
    """
    standing = setup_motion(motion.linkage)
    system = _uncharted(motion)
    by_travel = system if motion.by == "travel" else _uncharted(standing)
    with np.errstate(invalid="ignore", divide="ignore"):  # what is out of reach is no number
        moving, stood = _steps(system, motion, dims), _steps(by_travel, standing, dims)
    return list(zip(moving, stood, strict=True))


def _uncharted(motion: Motion) -> System:
    """The corner with hinges as rows, since the hinges themselves move with their points."""
    give = motion.linkage.give
    system = build(motion.linkage.mechanism, motion.by, charts=False, give=give)
    return system if give else _pivoted(system, motion)


def _pivoted(system: System, motion: Motion) -> System:
    first = int(np.flatnonzero(motion.reached.ravel())[0]) if motion.reached.any() else 0
    state = state_about(system, motion).take(np.array([first]))
    drive, rack = (x[first : first + 1] for x in motion.drivers)
    rows = evaluate(system.table, system.geometry, state, drive, rack)
    return with_pivots(system, jacobian(system.table, system.geometry, rows, state)[..., 0])


def state_about(system: System, motion: Motion) -> State:
    """The motion's poses about the system's own centres."""
    centre = np.stack(
        [
            motion.carried(motion.number(body), system.geometry.centre[i, :, 0])
            for i, body in enumerate(system.bodies)
        ]
    )
    own = motion.linkage.driven(motion.by).system.bodies
    turn = np.stack([motion.solved.turn[own.index(body)] for body in system.bodies])
    return State(centre, turn)


def _steps(system: System, motion: Motion, dims: Sequence[Dimension]) -> list[Motion]:
    """The motion nudged in every dimension."""
    if not dims:
        return []
    state = state_about(system, motion)
    rack, geo = motion.drivers[1], system.geometry
    nudges = [_nudge(system, motion.linkage, dim) for dim in dims]
    answer, speeds = _answer(system, motion, state, [geo_ for geo_, _ in nudges])
    out = []
    for k, (geo_, xyz) in enumerate(nudges):
        moved = _nudged_state(system, geo, state, answer[:, k])
        rotation, position = poses(system, moved, rack, xyz)
        gone = ~motion.reached.ravel()
        rotation[..., gone], position[..., gone] = np.nan, np.nan
        out.append(
            replace(
                motion,
                solved=moved,
                flat_rotation=rotation,
                flat_position=position,
                xyz=xyz,
                system=system,
                geometry=geo_,
                speeds=speeds[k] if speeds else None,
            )
        )
    return out


def _answer(
    system: System, motion: Motion, state: State, nudges: list[Geometry], rates: bool = True
) -> tuple[Array, list[Array]]:
    """How the poses answer to each nudge, (columns, dims, n): implicit differentiation.

    Where bushes give, also their nudged speeds (columns, 2, n) by the driver and by the rack, for
    each nudge, unless ``rates`` are not asked for.
    """
    drive, rack = motion.drivers
    geo, give = system.geometry, motion.linkage.give
    if not give:
        rows = evaluate(system.table, geo, state, drive, rack)
        matrix = jacobian(system.table, geo, rows, state)[system.kept]
        right = [
            evaluate(system.table, geo_, state, drive, rack).value.imag[system.kept] / STEP
            for geo_ in nudges
        ]
        return solve_pivoting(matrix, -np.stack(right, axis=1)), []
    # Where bushes give, what stays nought is the balance of their forces.
    soft = soft_rows(system, give)
    rest = settled(system, soft, state, drive, rack)
    matrix = tangent(system, soft, rest.state, rest.hold, drive, rack)
    pulled = []
    for geo_ in nudges:
        found = balance(replace(system, geometry=geo_), soft, rest.state, rest.hold, drive, rack)
        pulled.append(np.concatenate(found).imag / STEP)
    steps, width = solve_pivoting(matrix, -np.stack(pulled, axis=1)), system.table.width
    if not rates:
        return steps[:width], []
    whole, speeds = whole_rates(system, soft, rest, matrix, drive, rack), []
    for k, geo_ in enumerate(nudges):
        nudged_rest = Rest(
            _nudged_state(system, geo, rest.state, steps[:width, k]),
            rest.hold + 1j * STEP * steps[width:, k],
        )
        theirs = replace(system, geometry=geo_)
        slopes = rate_slopes(theirs, soft, nudged_rest, whole, matrix, (drive, rack))
        speeds.append((whole + 1j * STEP * slopes)[:width])
    return steps[:width], speeds


def pose_slopes(system: System, motion: Motion, state: State) -> Array:
    """Derivatives (columns, 3·points, n) of the poses by every coordinate of every point.

    ``state`` are the motion's poses about the system's centres. Points in the project's order,
    x, y and z of each together.
    """
    names = motion.linkage.mechanism.points
    dims = [Dimension(name, axis) for name in names for axis in range(3)]
    nudges = [_nudge(system, motion.linkage, d)[0] for d in dims]
    return _answer(system, motion, state, nudges, rates=False)[0]


def _nudge(system: System, linkage: Linkage, dim: Dimension) -> tuple[Geometry, Array]:
    """The geometry and points with one dimension's tiny imaginary part."""
    xyz = linkage.mechanism.xyz.astype(complex)
    if dim.axis is not None:
        xyz[linkage.mechanism.points[dim.name], dim.axis] += 1j * STEP
        return system.geometry_of(xyz), xyz
    geo = system.geometry_of(xyz)
    row = 0
    size = geo.size.copy()
    for block in system.blocks:
        if block.name == dim.name and block.what == "rod":
            size[row] += 1j * STEP
        row += block.rows
    return replace(geo, size=size), xyz


def _nudged_state(system: System, geo: Geometry, state: State, step: Array) -> State:
    """The poses plus a derivative step (columns, n) as imaginary part."""
    shift, spin = motions(system.table, geo, step)
    centre = state.centre + 1j * STEP * np.stack(shift)
    turn = state.turn.astype(complex)
    for i, w in enumerate(spin):
        pure = np.concatenate([np.zeros_like(w[:1]), w])
        turn[i] += 0.5j * STEP * product_last(pure, state.turn[i])
    return State(centre, turn)
