"""Unit vectors at right angles, and numbers written into arrays."""

import math

from kinematics.clearance.kernel.compiled import inner
from kinematics.clearance.kernel.layout import HEAD


@inner
def newell_normal(s, at, k):
    """Unit normal of a polygon whose corners are listed at `at` (negative: corners 0 to k-1)."""
    nx = ny = nz = 0.0
    for i in range(k):
        j = i + 1 if i + 1 < k else 0
        p = HEAD + 3 * (int(s[at + i]) if at >= 0 else i)
        q = HEAD + 3 * (int(s[at + j]) if at >= 0 else j)
        o = HEAD + 3 * (int(s[at]) if at >= 0 else 0)
        px, py, pz = s[p] - s[o], s[p + 1] - s[o + 1], s[p + 2] - s[o + 2]
        qx, qy, qz = s[q] - s[o], s[q + 1] - s[o + 1], s[q + 2] - s[o + 2]
        nx += py * qz - pz * qy
        ny += pz * qx - px * qz
        nz += px * qy - py * qx
    length = math.sqrt(nx * nx + ny * ny + nz * nz)
    if length < 1e-300:
        return 0.0, 0.0, 0.0
    return nx / length, ny / length, nz / length


@inner
def square_to(x, y, z):
    """Any unit vector at right angles to (x, y, z)."""
    if abs(x) <= abs(y) and abs(x) <= abs(z):
        px, py, pz = 0.0, -z, y
    elif abs(y) <= abs(z):
        px, py, pz = z, 0.0, -x
    else:
        px, py, pz = -y, x, 0.0
    length = math.sqrt(px * px + py * py + pz * pz)
    if length < 1e-300:
        return 1.0, 0.0, 0.0
    return px / length, py / length, pz / length


@inner
def outward(px, py, pz, q, size, ax, ay, az):
    """Unit vector of p, what was left of a vector of this size without its part along the axis.

    Where little was left the remainder is mostly rounding, and is squared to the axis once more.
    """
    if q <= 1e-13 * size or q < 1e-290:
        return square_to(ax, ay, az)
    px, py, pz = px / q, py / q, pz / q
    if q < 1e-3 * size:
        d = px * ax + py * ay + pz * az
        px, py, pz = px - d * ax, py - d * ay, pz - d * az
        q = math.sqrt(px * px + py * py + pz * pz)
        if q < 0.1:
            return square_to(ax, ay, az)
        px, py, pz = px / q, py / q, pz / q
    return px, py, pz


@inner
def clear(cert, at, n):
    """Write n zeros from `at` on."""
    for i in range(at, at + n):
        cert[i] = 0.0


@inner
def copy_into(target, source):
    """Write one row into another."""
    for i in range(len(source)):
        target[i] = source[i]
