"""A lower bound of two pieces' clearance between two poses."""

import math

from kinematics.clearance.kernel.certificates import proved_bound
from kinematics.clearance.kernel.compiled import inner
from kinematics.clearance.kernel.layout import ARCS, HEAD, RING
from kinematics.clearance.kernel.pair import pair_of_pieces
from kinematics.clearance.kernel.poses import load_piece
from kinematics.clearance.kernel.supports import arc_point, gap_along
from kinematics.clearance.kernel.turning import turn_back
from kinematics.clearance.kernel.vectors import copy_into


@inner
def _mixed_height(s, e, ux, uy, uz, vx, vy, vz):
    """Greatest (u·q(1) + v·q(0)) / 2 over the core's points q, at the ends s (0) and e (1) of a
    motion. A ring's points are carried by the least rotation of its axis."""
    n = int(s[1])
    best = -1e300
    if s[0] != RING:
        for i in range(n):
            k = HEAD + 3 * i
            value = ux * e[k] + uy * e[k + 1] + uz * e[k + 2]
            value += vx * s[k] + vy * s[k + 1] + vz * s[k + 2]
            best = max(best, value)
        return 0.5 * best
    c, a = HEAD, HEAD + 3
    base = ux * e[c] + uy * e[c + 1] + uz * e[c + 2] + vx * s[c] + vy * s[c + 1] + vz * s[c + 2]
    ax, ay, az = s[a], s[a + 1], s[a + 2]
    x, y, z = turn_back(s, e, ux, uy, uz)
    along = x * ax + y * ay + z * az
    x, y, z = x + vx, y + vy, z + vz
    d = x * ax + y * ay + z * az
    length = math.sqrt(x * x + y * y + z * z)
    q = math.sqrt(max(length * length - d * d, 0.0))
    if q < 1e-4 * length:  # the difference of squares has lost its digits
        px, py, pz = x - d * ax, y - d * ay, z - d * az
        q = math.sqrt(px * px + py * py + pz * pz)
    nr, ny = (q / length, d / length) if length > 0.0 else (1.0, 0.0)
    for i in range(n):
        r, h, _own = arc_point(s, i, nr, ny)
        k = ARCS + 7 * i + 1
        best = max(best, q * r + d * h + along * (e[k] - s[k]))
    return 0.5 * (base + best)


@inner
def bound_between(a0, b0, a1, b1, cert0, cert1):
    """Lower bound of the clearance while all points move straight from pose 0 to pose 1.

    One plane at either end, u0 and u1: with the direction u0 + t (u1 - u0) every u·(b - a) is a
    quadratic in t, which nowhere passes below its three Bernstein coefficients. A direction that
    follows the motion keeps edges and flats in line, where a fixed one would lose (length x angle).
    Otherwise the better of the two ends' certificates, held fixed.
    """
    if cert0[16] >= 0.0 or cert1[16] >= 0.0:
        first = min(proved_bound(a0, b0, cert0), proved_bound(a1, b1, cert0))
        return max(first, min(proved_bound(a0, b0, cert1), proved_bound(a1, b1, cert1)))
    ux, uy, uz = cert0[1], cert0[2], cert0[3]
    vx, vy, vz = cert1[1], cert1[2], cert1[3]
    margin = a0[2] + b0[2]
    value = min(gap_along(a0, b0, ux, uy, uz), gap_along(a1, b1, vx, vy, vz)) + margin
    mixed = -_mixed_height(b0, b1, -ux, -uy, -uz, -vx, -vy, -vz)
    value = min(value, mixed - _mixed_height(a0, a1, ux, uy, uz, vx, vy, vz))
    if value < 0.0:
        length = math.sqrt((ux + vx) ** 2 + (uy + vy) ** 2 + (uz + vz) ** 2)
        if length < 1e-3:
            return -1e300
        value *= 2.0 / length
    return value - margin


@inner
def _load_both(given, pieces, t, a, b):
    """Load two pieces at a point of the motion, 0 at its first row and 1 at its second."""
    data, meta, fixed, row, step, origin = given
    load_piece(data, meta, fixed, pieces[0], row, step, t, origin, a)
    load_piece(data, meta, fixed, pieces[1], row, step, t, origin, b)


@inner
def over_interval(
    data,
    meta,
    fixed,
    pieces,
    row,
    step,
    origin,
    four,
    stack,
    spans,
    target,
    eps,
    ws,
    trial,
    out,
    result,
):
    """Bound a piece pair over the straight motion between two rows, halving where it is needed.

    stack[0] and stack[1] hold certificates to start from. result: bound, lowest clearance met, its
    place.
    """
    given = data, meta, fixed, row, step, origin
    for end in range(2):
        at = float(end)
        _load_both(given, pieces, at, four[0], four[1])
        pair_of_pieces(four[0], four[1], eps, 1e300, ws, stack[end], out)
    spans[0, 0], spans[0, 1] = 0.0, 1.0
    n = 1
    result[0] = 1e300
    while n > 0:
        n -= 1
        t0, t1 = spans[n, 0], spans[n, 1]
        _load_both(given, pieces, t0, four[0], four[1])
        _load_both(given, pieces, t1, four[2], four[3])
        bound = bound_between(four[0], four[1], four[2], four[3], stack[2 * n], stack[2 * n + 1])
        # Several planes (a deep overlap) close in slowly: there a few halvings must do.
        least = 1e-3 if stack[2 * n, 16] < 0.0 and stack[2 * n + 1, 16] < 0.0 else 0.1
        if bound >= min(target, result[1]) - eps or t1 - t0 < least:
            result[0] = min(result[0], bound)
            continue
        mid = 0.5 * (t0 + t1)
        _load_both(given, pieces, mid, four[0], four[1])
        copy_into(trial, stack[2 * n])
        pair_of_pieces(four[0], four[1], eps, 1e300, ws, trial, out)
        if out[0] < result[1]:
            result[1], result[2] = out[0], mid
        copy_into(stack[2 * n + 3], stack[2 * n + 1])
        copy_into(stack[2 * n + 2], trial)
        copy_into(stack[2 * n + 1], trial)
        spans[n, 0], spans[n, 1] = t0, mid
        spans[n + 1, 0], spans[n + 1, 1] = mid, t1
        n += 2
