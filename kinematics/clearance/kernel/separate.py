"""Two convex pieces that stand apart: nearest points, and a plane between them."""

import math

from kinematics.clearance.kernel.certificates import one_plane
from kinematics.clearance.kernel.compiled import inner
from kinematics.clearance.kernel.fields import field_of
from kinematics.clearance.kernel.simplex import combine, nearest_on_simplex
from kinematics.clearance.kernel.supports import gap_along, support


@inner
def separate(a, b, ux, uy, uz, eps, enough, w, p, weight, trial, out):
    """Nearest points of two cores, from a first guess u (from a to b) of the direction.

    Ends early, perhaps without points, once the lower bound reaches `enough`.
    Gilbert, Johnson and Keerthi (1988) on the difference b - a, with the plane's gap as lower
    bound. out: low, high, u (3), point on a (3), point on b (3). Returns False when they meet.
    """
    n = 0
    x, y, z = ux, uy, uz
    out[0] = -1e300
    high = 1e300
    for step in range(100):
        ax, ay, az = support(a, x, y, z)
        bx, by, bz = support(b, -x, -y, -z)
        dx, dy, dz = bx - ax, by - ay, bz - az
        length = math.sqrt(x * x + y * y + z * z)
        low = (x * dx + y * dy + z * dz) / length
        if low > out[0]:
            out[0] = low
            out[2], out[3], out[4] = x / length, y / length, z / length
        if out[0] >= enough or (step > 0 and high - out[0] <= eps):
            break
        known = False
        for i in range(n):
            if w[i, 0] == dx and w[i, 1] == dy and w[i, 2] == dz:
                known = True
        if known:
            break
        w[n, 0], w[n, 1], w[n, 2] = dx, dy, dz
        p[n, 0], p[n, 1], p[n, 2] = ax, ay, az
        n += 1
        if nearest_on_simplex(w, n, weight, trial):
            return False
        k = 0
        for i in range(n):
            if weight[i] > 0.0:
                for j in range(3):
                    w[k, j], p[k, j] = w[i, j], p[i, j]
                weight[k] = weight[i]
                k += 1
        n = k
        for i in range(n, 4):
            weight[i] = 0.0
        x, y, z = combine(w, weight, n)
        length = math.sqrt(x * x + y * y + z * z)
        if length < 1e-9:
            return False
        if length >= high and step > 1:
            break
        high = length
        out[5], out[6], out[7] = combine(p, weight, n)
        out[8], out[9], out[10] = out[5] + x, out[6] + y, out[7] + z
    out[1] = high
    return True


@inner
def polish(a, b, eps, steps, near, cert, out):
    """Points on both surfaces and a plane between them, by projecting to and fro.

    near: result of `separate`. out: low, high, point on a (3), point on b (3).
    Returns False where the pieces turn out to touch.
    """
    ux, uy, uz = near[2], near[3], near[4]
    out[0] = near[0] - a[2] - b[2]
    x, y, z = near[8] - b[2] * ux, near[9] - b[2] * uy, near[10] - b[2] * uz
    out[1] = 1e300
    for _ in range(steps):
        v, gx, gy, gz = field_of(a, x, y, z)
        if v <= 0.0:
            return False
        px, py, pz = x - v * gx, y - v * gy, z - v * gz
        v, gx, gy, gz = field_of(b, px, py, pz)
        if v <= 0.0:
            return False
        x, y, z = px - v * gx, py - v * gy, pz - v * gz
        if v < out[1]:
            out[1] = v
            out[2], out[3], out[4], out[5], out[6], out[7] = px, py, pz, x, y, z
        low = gap_along(a, b, -gx, -gy, -gz)
        if low > out[0]:
            out[0] = low
            ux, uy, uz = -gx, -gy, -gz
        if out[1] - out[0] <= eps:
            break
    one_plane(cert, ux, uy, uz)
    return True


@inner
def from_seed(a, b, eps, near, seed, cert, out):
    """`polish` from the last position's points, carried on by as much as they moved last. False
    where that is not good enough."""
    ux, uy, uz = cert[1], cert[2], cert[3]
    near[0] = -1e300
    near[2], near[3], near[4] = ux, uy, uz
    near[8] = seed[3] + seed[9] + b[2] * ux
    near[9] = seed[4] + seed[10] + b[2] * uy
    near[10] = seed[5] + seed[11] + b[2] * uz
    return polish(a, b, eps, 2, near, cert, out) and out[1] - out[0] <= eps
