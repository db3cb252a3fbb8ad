"""The corner put together in another position than the one its points are in.

The linkage's own closure ties positions together: whatever the points are, links keep their
lengths and joints hold. Where the corner then stands follows from its wheel centre's height, and
how that changes with every point is exact (implicit differentiation, carried by a tiny imaginary
part as in ``motion.sensitivity``).
"""

from __future__ import annotations

from dataclasses import dataclass

import msgspec
import numpy as np

from kinematics.frames import Array, product_last
from kinematics.motion.creep import creep
from kinematics.motion.eliminate import solve_pivoting
from kinematics.motion.mechanism import mechanism
from kinematics.motion.recover import names, poses
from kinematics.motion.rows import State, evaluate, jacobian, motions
from kinematics.motion.sensitivity import STEP
from kinematics.motion.solve import polish, residual
from kinematics.motion.sweep import CLOSED
from kinematics.motion.system import build, with_pivots
from kinematics.project.model import Project
from kinematics.survey.adjust import SurveyError


@dataclass(frozen=True)
class Placed:
    """Points (n, 3) and the wheel carrier's turn (3, 3) in a position, with their derivatives by
    the points' coordinates and by the wheel centre's height, (n, 3, 3n + 1) and (3, 3, 3n + 1)."""

    points: Array
    turn: Array
    points_by: Array
    turn_by: Array


class Assembly:
    """Puts a corner together at any wheel height, starting from where its points are."""

    def __init__(self, project: Project) -> None:
        """``project`` is unfolded; its set-up height is not used."""
        datum = project.points[project.wheel.centre][2]
        self.datum = datum
        self.built = mechanism(msgspec.structs.replace(project, setup_wheel_z=datum))
        self.system = build(self.built, charts=False)
        self.order = names(self.built)
        self.body = [self.order.index(self.built.carriers[name]) for name in self.built.points]
        self.wheel = self.order.index(project.wheel.body)
        self.centre = self.built.points[project.wheel.centre]

    def at(self, xyz: Array, height: float) -> Placed:
        """Where points as measured (n, 3) go with the wheel centre at ``height``, mm.

        Raises ``SurveyError`` where the links stop it short of there.
        """
        system = self.system
        geo = system.geometry_of(xyz)
        # The bodies start where the points are: their centres are fixed to them.
        state = system.entry()
        start, drive = float(xyz[self.centre, 2]) - self.datum, height - self.datum
        zero = np.zeros(1)
        rows = evaluate(system.table, geo, state, np.array([start]), zero)
        system = with_pivots(system, jacobian(system.table, geo, rows, state)[..., 0])
        path = creep(system, geo, state, start, np.array([drive]), 0.0, 0)
        if path.last != drive:
            raise SurveyError(
                f"The corner can't be brought to a hub height of {height:.0f} mm: the links stop "
                f"it {abs(path.last - drive):.0f} mm short."
            )
        drives = np.array([drive])
        state = polish(system, geo, path.state, drives, zero, 4)
        if not residual(system, geo, state, drives, zero)[0] <= CLOSED:
            raise SurveyError(f"The corner does not close at a hub height of {height:.0f} mm.")
        return self._with_slopes(system, geo, state, xyz, drive)

    def _with_slopes(
        self, system: object, geo: object, state: State, xyz: Array, drive: float
    ) -> Placed:
        from kinematics.motion.rows import Geometry
        from kinematics.motion.system import System

        assert isinstance(system, System)
        assert isinstance(geo, Geometry)
        n = xyz.size
        nudged = np.repeat(xyz.T[:, :, None].astype(complex), n + 1, axis=2)
        point, axis = np.divmod(np.arange(n), 3)
        nudged[axis, point, np.arange(n)] += 1j * STEP
        drives = np.full(n + 1, drive, dtype=complex)
        drives[n] += 1j * STEP
        many, zero = state.take(np.zeros(n + 1, dtype=np.intp)), np.zeros(n + 1)
        moved_geo = system.geometry_of(nudged)
        value = evaluate(system.table, moved_geo, many, drives, zero).value.imag / STEP
        one = evaluate(system.table, geo, state, drives[:1].real, zero[:1])
        matrix = jacobian(system.table, geo, one, state)[system.kept]
        step = solve_pivoting(matrix, -value[system.kept][:, :, None])[..., 0]
        shift, spin = motions(system.table, geo, step)
        centre = many.centre + 1j * STEP * np.stack(shift)
        turn = many.turn.astype(complex)
        for i, w in enumerate(spin):
            pure = np.concatenate([np.zeros_like(w[:1]), w])
            turn[i] += 0.5j * STEP * product_last(pure, many.turn[i])
        rotation, position = poses(system, State(centre, turn), zero, nudged)
        at = np.stack(
            [
                np.einsum("ijn,jn->in", rotation[k], nudged[:, i]) + position[k]
                for i, k in enumerate(self.body)
            ]
        )
        wheel = rotation[self.wheel]
        return Placed(at[..., 0].real, wheel[..., 0].real, at.imag / STEP, wheel.imag / STEP)
