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

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import Array
from kinematics.motion.chebyshev import between, nodes, series
from kinematics.motion.constants import away, standing, turning
from kinematics.motion.rows import Geometry, Rows, State, evaluate, jacobian, moved
from kinematics.motion.system import System
from kinematics.motion.track import NODES, Track, drivers, lane_by_lane, posed, spread_over

FINER = 5 * (NODES - 1) + 1
"""Points at which all that is bounded is known: a row's slope is of degree 4 in the poses."""
LIMIT = 0.15
"""Greatest h taken as proof."""
LOOSEST = 0.5
"""Greatest Z."""
FINE = 1e-6
"""Z above which a track is worth mending before it seeds others."""
AWAY = 1.25
"""What constants of rows that fit can grow by for poses within ``ROOM`` that do not."""
ROOM = 0.2
"""Share of the reach within which there is no other solution that is made use of."""


@dataclass(frozen=True)
class Vouched:
    """For each of n lanes of a track: the proof's ``number`` h (inf where it fails), the ``room``
    in mm within which a solution is the branch's own, ``loose``, the Z above, and ``left``, what
    share of a step with the interpolated inverse is left open after it."""

    number: Array
    room: Array
    loose: Array
    left: Array

    def only(self, lanes: NDArray[np.intp]) -> Vouched:
        """That of some of the lanes."""
        return Vouched(*(x[lanes] for x in (self.number, self.room, self.loose, self.left)))


def vouch_and_mend(system: System, geo: Geometry, track: Track) -> tuple[Vouched, Track]:
    """Prove a track, lane by lane; also the track with its nodes closed by what that told.

    What was proved is the track that was given. The mended one is only a better seed of the same
    poses, next to which it stands; ``left`` speaks of it.
    """
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
        sup, tail = _greatest(left, n)
        kappa, most, reach = _kappa(system, geo, rows, state, _columns(track, m))
        # A quaternion not quite of unit length is as far off as so small a motion.
        stretch = geo.scale * sup[square + m :].max(axis=0)
        loose = _norm(sup[:square]) + kappa * stretch
        off = _norm(sup[square : square + m]) + most * stretch
        far = _norm(tail[:square]), _norm(tail[square : square + m])
        if loose.max() > FINE:
            track = _mended(system, geo, track, left)
    told = (track.good, loose, off, kappa, reach, *far)
    judged = [_judged(*lane) for lane in zip(*(x.tolist() for x in told), strict=True)]
    return Vouched(*np.array(judged).T), track


def _judged(
    good: bool,
    loose: float,
    off: float,
    kappa: float,
    reach: float,
    loose_tail: float,
    off_tail: float,
) -> tuple[float, float, float, float]:
    """What ``Vouched`` says of one lane; the tails are what mending leaves as it is."""
    rest = 1.0 - loose
    if not (good and loose <= LOOSEST and 0.0 < kappa < float("inf")):
        return float("inf"), 0.0, loose, loose
    room, number = min(ROOM * rest / kappa, reach), off * kappa / rest**2
    if not (number <= LIMIT and off <= 0.5 * room):
        return float("inf"), 0.0, loose, loose
    again = off_tail + off * (loose + number)
    left = loose_tail + loose**3 + 2.0 * kappa * again
    return number, room, loose, left


def _mended(system: System, geo: Geometry, track: Track, left: Array) -> Track:
    """The track with one more step at its nodes: of the poses with A f, of A with E = A J - 1,
    to A (1 - E + E²).

    ``left`` (m·m + m + .., n·FINER) holds A J - 1 and A f at the finer points; both are
    polynomials there, so their values at the nodes follow.
    """
    n, m, bodies = len(track.other), system.table.width, track.bodies
    fine = left[: m * m + m].reshape(m * m + m, n, FINER)
    values = lane_by_lane(fine, between(FINER, NODES)).reshape(m * m + m, -1)
    table = track.table.copy()
    flat = table.reshape(len(table), -1)
    poses, inverse = flat[: 7 * bodies].reshape(bodies, 7, -1), flat[7 * bodies :].reshape(m, m, -1)
    gap = values[: m * m].reshape(m, m, -1)
    by = np.einsum("ijn,jkn->ikn", gap, inverse)
    by -= np.einsum("ijn,jkn->ikn", gap, by)
    inverse -= by
    poses[:, :3], poses[:, 3:] = moved(
        system.table, geo, State(poses[:, :3], poses[:, 3:]), -values[m * m :]
    )
    return replace(track, table=table)


def _norm(values: Array) -> Array:
    """The root of the sum of squares (n,) of values (k, n)."""
    return np.asarray(np.sqrt(np.einsum("kn,kn->n", values, values)))


def _greatest(values: Array, n: int) -> tuple[Array, Array]:
    """Bounds (k, n) over the stretch of polynomials with these values (k, n·FINER) at its points.

    The sum of the sizes of their Chebyshev coefficients; also of those past a track's degree.
    """
    found = lane_by_lane(values.reshape(len(values), n, FINER), series(FINER).T)
    np.abs(found, out=found)
    sums = np.add.reduceat(found, (0, NODES), axis=2)
    return sums[:, :, 0] + sums[:, :, 1], sums[:, :, 1]


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
    table, n = system.table, weight.shape[-1]
    base, reach = standing(table, geo), np.full(n, np.inf)
    if len(weight) != table.rows:
        used, weight = weight, np.zeros((table.rows, n))
        weight[system.used] = used
    first, size = base.first[:, 0] @ weight, base.size[:, 0] @ weight
    if table.sliding is not None:
        # The greatest over the stretch, and the least.
        far = away(rows, table.sliding).reshape(len(base.room), n, -1)
        most = np.einsum("kn,kn->n", weight[table.sliding], far.max(axis=2))
        first += most / geo.scale**2
        size += most / geo.scale
        reach = (base.room * far.min(axis=2)).min(axis=0)
    if table.by in ("damper", "angle"):
        turned = turning(table, rows, base).reshape(n, -1).max(axis=1)
        first += weight[table.driver] * turned
    return AWAY * first, AWAY * size, reach


def near(geo: Geometry, track: Track, at: float, state: State) -> Array:
    """At most how far poses (n lanes) stand from the track's at a value of the driver, mm."""
    pose = track.at(at)
    shift, turn = pose.centre - state.centre, pose.turn - state.turn
    # An angle is at most π/2 times twice its quaternions' chord.
    square = np.einsum("bin,bin->n", turn, turn)
    square *= (np.pi * geo.scale) ** 2
    square += np.einsum("bin,bin->n", shift, shift)
    return np.asarray(np.sqrt(square))


def distance(geo: Geometry, first: State, second: State) -> Array:
    """How far poses are apart (n,) in mm: shift of centres, and turn times ``scale``."""
    shift, turn = second.centre - first.centre, second.turn - first.turn
    square = np.einsum("bin,bin->n", shift, shift)
    # The chord of two unit quaternions is 2 sin(angle/4).
    chord = np.minimum(np.sqrt(np.einsum("bin,bin->bn", turn, turn)), 2.0)
    angle = 4.0 * np.arcsin(0.5 * chord) * geo.scale
    return np.asarray(np.sqrt(square + (angle * angle).sum(axis=0)))
