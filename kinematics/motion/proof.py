"""Proof that the poses of a stretch belong to one assembly.

A track's polynomials are nearly the corner's path; here it is shown how nearly, over the whole
stretch and not only at samples. With p(z) the interpolated pose, A(z) the interpolated inverse, f
the rows and J their Jacobian, let

    Y ≥ |A f(p)|,   Z ≥ |1 - A J(p)|,   κ ≥ Σ |A eᵢ| Kᵢ,

with Kᵢ the constants of ``bounds``, by which a row of J can change. The three bound the whole
stretch, for f and J are polynomials in z where p is (see ``matrix_last``), and the sizes of a
polynomial's Chebyshev coefficients add up to a bound. If

    h = Y κ / (1 - Z)² < ¼,

there is, for every z, exactly one pose that fits together within r = (1 - Z)/κ of p(z), and it
moves on smoothly with z: one branch. (Newton and Kantorovich, with an approximate inverse: L. V.
Kantorovich and G. P. Akilov, *Functional Analysis*, ch. XVIII; the argument along a polynomial is
that of 'radii polynomials' in computer-assisted proofs; both from memory.) A pose found within that
reach is the branch's own; any other way of fitting the parts together is farther off. Stretches
are chained at shared poses, the first at set-up height. Rounding is not accounted for: the numbers
here stand some ten digits above it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kinematics.frames import Array
from kinematics.motion.chebyshev import between, nodes, series
from kinematics.motion.constants import constants
from kinematics.motion.rows import Geometry, Rows, State, evaluate, jacobian
from kinematics.motion.system import System
from kinematics.motion.track import NODES, Track, drivers, lane_by_lane, posed, spread_over

FINER = 5 * (NODES - 1) + 1
"""Points at which all that is bounded is known: a row's slope is of degree 4 in the poses."""
LIMIT = 0.15
"""Greatest h taken as proof."""
LOOSEST = 0.5
"""Greatest Z."""
AWAY = 1.25
"""What constants of rows that fit can grow by for poses within ``ROOM`` that do not."""
ROOM = 0.2
"""Share of the reach within which there is no other solution that is made use of."""


@dataclass(frozen=True)
class Vouched:
    """For each of n lanes of a track: the proof's ``number`` h (inf where it fails), the ``room``
    in mm within which a solution is the branch's own, and ``loose``, the Z above."""

    number: Array
    room: Array
    loose: Array

    @cached_property
    def left(self) -> Array:
        """What share of a step with the interpolated inverse is left open after it."""
        return np.asarray(self.loose + np.where(np.isfinite(self.number), 1.5 * self.number, 0.0))


def vouch(system: System, geo: Geometry, track: Track) -> Vouched:
    """Prove a track, lane by lane."""
    n, m = len(track.other), system.table.width
    values, square = spread_over(track.low, track.high, nodes(FINER)), m * m
    with np.errstate(all="ignore"):
        taken = track.taken(between(NODES, FINER))
        state = posed(taken, track.bodies)
        rows = evaluate(system.table, geo, state, *drivers(values, track.other, track.along))
        slopes = jacobian(system.table, geo, rows, state)[system.used]
        inverse = taken[7 * track.bodies :].reshape(m, m, -1)
        # One below another: 1 - A J, then A f, then how far quaternions are from unit length.
        left = np.empty((square + m + track.bodies, n * FINER))
        np.einsum("ijn,jkn->ikn", inverse, slopes, out=left[:square].reshape(m, m, -1))
        np.einsum("ijn,jn->in", inverse, rows.value[system.used], out=left[square : square + m])
        np.einsum("bin,bin->bn", state.turn, state.turn, out=left[square + m :])
        left[: square : m + 1] -= 1.0
        left[square + m :] -= 1.0
        sup = _greatest(left, n)
        kappa, most, reach = _kappa(system, geo, rows, state, _columns(track, m))
        # A quaternion not quite of unit length is as far off as so small a motion.
        stretch = geo.scale * sup[square + m :].max(axis=0)
        loose = _norm(sup[:square]) + kappa * stretch
        off = _norm(sup[square : square + m]) + most * stretch
        rest = 1.0 - loose
        room = np.minimum(ROOM * rest / kappa, reach)
        number = off * kappa / (rest * rest)
        sound = track.good & (loose <= LOOSEST) & (number <= LIMIT) & (off <= 0.5 * room)
        if sound.all():
            return Vouched(number, room, loose)
        return Vouched(np.where(sound, number, np.inf), np.where(sound, room, 0.0), loose)


def _norm(values: Array) -> Array:
    """The root of the sum of squares (n,) of values (k, n)."""
    return np.asarray(np.sqrt(np.einsum("kn,kn->n", values, values)))


def _greatest(values: Array, n: int) -> Array:
    """Bounds (k, n) over the stretch of polynomials with these values (k, n·FINER) at its points.

    The sum of the sizes of their Chebyshev coefficients.
    """
    found = lane_by_lane(values.reshape(len(values), n, FINER), series(FINER).T)
    return np.asarray(np.abs(found, out=found).sum(axis=2))


def _columns(track: Track, m: int) -> Array:
    """Bounds (m, n) over the stretch of the sizes of the inverse's columns."""
    inverse = track.table[7 * track.bodies :].reshape(-1, NODES)
    found = np.matmul(inverse, series(NODES).T).reshape(m, m, -1)
    size = np.sqrt(np.einsum("ijk,ijk->jk", found, found))
    return np.asarray(size.reshape(m, -1, NODES).sum(axis=2))


def _kappa(
    system: System, geo: Geometry, rows: Rows, state: State, weight: Array
) -> tuple[Array, Array, Array]:
    """κ (n,) from the inverse's column sizes (m, n), most |A| |J|, and how far in mm they hold."""
    n = weight.shape[-1]
    if system.constant and geo is system.geometry:
        own = system.constants
        first, size = (x[system.used, 0] @ weight for x in (own.first, own.size))
        return AWAY * first, AWAY * size, np.full(n, np.inf)
    own = constants(system.table, geo, rows, state)
    first, size = (
        (_most(x[system.used], n, state.size) * weight).sum(axis=0) for x in (own.first, own.size)
    )
    return AWAY * first, AWAY * size, own.slack.reshape(n, -1).min(axis=1)


def _most(value: Array, n: int, count: int) -> Array:
    """The greatest over the stretch, (m, n), of values (m, 1 or k·n)."""
    spread = np.broadcast_to(value, (len(value), count)).reshape(len(value), n, -1)
    return np.asarray(spread.max(axis=2))


def near(geo: Geometry, track: Track, at: float, state: State) -> Array:
    """At most how far poses (n lanes) stand from the track's at a value of the driver, mm."""
    pose = posed(track.taken(track.weights(np.array([at]))), track.bodies)
    shift, turn = pose.centre - state.centre, pose.turn - state.turn
    # An angle is at most π/2 times twice its quaternions' chord.
    square = np.einsum("bin,bin->n", shift, shift)
    square += (np.pi * geo.scale) ** 2 * np.einsum("bin,bin->n", turn, turn)
    return np.asarray(np.sqrt(square))


def distance(geo: Geometry, first: State, second: State) -> Array:
    """How far poses are apart (n,) in mm: shift of centres, and turn times ``scale``."""
    shift, turn = second.centre - first.centre, second.turn - first.turn
    square = np.einsum("bin,bin->n", shift, shift)
    # The chord of two unit quaternions is 2 sin(angle/4).
    chord = np.minimum(np.sqrt(np.einsum("bin,bin->bn", turn, turn)), 2.0)
    angle = 4.0 * np.arcsin(0.5 * chord) * geo.scale
    return np.asarray(np.sqrt(square + (angle * angle).sum(axis=0)))
