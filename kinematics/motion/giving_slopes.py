"""How the rates of a corner whose bushes give change with its dimensions.

The balance F(q, z, p) = 0 holds at every travel z and for all dimensions p (q: poses and holding
forces). Differentiated by z it gives the rates, T q' + F_z = 0 with T = F_q; by p once more

    T (dq'/dp) = - d/dp (T q' + F_z), q' held  =  - d/dp d/dt F(q(p) moved on by t q', z + t, p),

implicit differentiation of the second order. The derivative by p is carried as a tiny imaginary
part, as everywhere (``sensitivity``). That by t is taken from eight poses along the motion: F is
so smooth over their small fraction of the corner's size that what the formula leaves out, of the
ninth order, is less than rounding.
"""

from __future__ import annotations

import numpy as np

from kinematics.frames import Array
from kinematics.motion.eliminate import solve_pivoting
from kinematics.motion.giving import STEP, Rest, Soft, balance
from kinematics.motion.rows import moved
from kinematics.motion.system import System

WEIGHTS = {1: 4.0 / 5.0, 2: -1.0 / 5.0, 3: 4.0 / 105.0, 4: -1.0 / 280.0}
"""The central difference of the eighth order (B. Fornberg, Mathematics of Computation 51, 1988;
from memory)."""
ASIDE = 2e-3
"""How far apart those poses are, over the corner's own size."""


def rate_slopes(
    system: System,
    soft: Soft,
    nudged: Rest,
    rates: Array,
    matrix: Array,
    driven: tuple[Array, Array],
) -> Array:
    """Derivatives (m, 2, n) of the ``rates`` (m, 2, n) of poses and holding forces.

    ``nudged`` and the geometry of ``system`` carry the derivative by the dimension as imaginary
    part; ``matrix`` is the ``tangent`` at the poses, ``driven`` the driver's and rack's values.
    """
    mixed = [_mixed(system, soft, nudged, rates[:, k], driven, k) for k in (0, 1)]
    return solve_pivoting(matrix, -np.stack(mixed, axis=1))


def _mixed(
    system: System, soft: Soft, nudged: Rest, rate: Array, driven: tuple[Array, Array], along: int
) -> Array:
    """d/dp d/dt of the balance, (m, n), with the corner moving at ``rate`` along one driver."""
    width, (drive, rack) = system.table.width, driven
    most = float(np.nanmax(np.abs(rate[:width]), initial=0.0))
    out = np.zeros(rate.shape)
    if not 0.0 < most < np.inf:
        return out
    step = ASIDE * system.geometry.scale / most
    for k, weight in WEIGHTS.items():
        for t in (k * step, -k * step):
            state = moved(system.table, system.geometry, nudged.state, t * rate[:width])
            hold = nudged.hold + t * rate[width:]
            now = (drive + t, rack) if along == 0 else (drive, rack + t)
            out += (
                weight
                * np.sign(t)
                / (step * STEP)
                * np.concatenate(balance(system, soft, state, hold, *now)).imag
            )
    return out
