"""Two convex pieces that overlap: the deeper of the two depths."""

from kinematics.clearance.kernel.certificates import one_plane
from kinematics.clearance.kernel.compiled import inner
from kinematics.clearance.kernel.cuts import deepest
from kinematics.clearance.kernel.fields import field_of
from kinematics.clearance.kernel.layout import HEAD, ROD, SHEET
from kinematics.clearance.kernel.vectors import clear, newell_normal, square_to


@inner
def _host_core(host, near_x, near_y, near_z, cert, at, out):
    """A rod's or sheet's own depth: the probe reaches its core at the given point."""
    if host[0] == ROD:
        k = HEAD + 3
        nx, ny, nz = square_to(
            host[k] - host[HEAD], host[k + 1] - host[HEAD + 1], host[k + 2] - host[HEAD + 2]
        )
    else:
        k = int(host[1])
        nx, ny, nz = newell_normal(host, -k, k)
        if nx == 0.0 and ny == 0.0 and nz == 0.0:
            nx = 1.0
    depth = host[2]
    clear(cert, at, 16 + 0 * at)
    for i in range(2):
        sign = 1.0 if i == 0 else -1.0
        k = at + 4 * i
        cert[k], cert[k + 1], cert[k + 2], cert[k + 3] = 0.5, sign * nx, sign * ny, sign * nz
    out[0] = out[1] = -depth
    out[2], out[3], out[4] = near_x, near_y, near_z
    out[5], out[6], out[7] = near_x + depth * nx, near_y + depth * ny, near_z + depth * nz


@inner
def overlap(a, b, apart, eps, near, ws, cert, out):
    """The deeper of the two directed depths. near: result of `separate` (points are used)."""
    ux, uy, uz = near[2], near[3], near[4]
    res = ws[10]
    if apart:
        gap = near[0] - a[2] - b[2]
        for turn in range(2):
            host, probe = (a, b) if turn == 0 else (b, a)
            m = probe[2] if turn == 0 else -probe[2]
            k = 8 if turn == 0 else 5
            x, y, z = near[k] - m * ux, near[k + 1] - m * uy, near[k + 2] - m * uz
            v, gx, gy, gz = field_of(host, x, y, z)
            if v - gap <= eps:
                res[0], res[1], res[2], res[3], res[4] = gap, v, x, y, z
                res[5], res[6], res[7] = x - v * gx, y - v * gy, z - v * gz
                one_plane(cert, ux, uy, uz)
                _keep(res, turn, out)
                return
    out[0] = out[1] = 1e300
    # Rods and sheets first: their answer is at hand and may spare the other search its end.
    for kind_round in range(2):
        for turn in range(2):
            host, probe = (a, b) if turn == 0 else (b, a)
            known = host[0] <= SHEET and (not apart or near[1] <= probe[2])
            if known != (kind_round == 0):
                continue
            if known:
                k = 5 if turn == 0 else 8
                _host_core(host, near[k], near[k + 1], near[k + 2], cert, 16 * turn, res)
            else:
                sign = 1.0 if turn == 0 else -1.0
                x, y, z = sign * ux, sign * uy, sign * uz
                deepest(host, probe, x, y, z, eps, out[1] - eps, ws, cert, 16 * turn, res)
            low = min(out[0], res[0])
            if res[1] < out[1]:
                _keep(res, turn, out)
            out[0] = low


@inner
def _keep(res, turn, out):
    """Store a directed result as points on a and b: (surface, deep) when a is the host."""
    out[0], out[1] = res[0], res[1]
    deep, surface = (5, 2) if turn == 0 else (2, 5)
    for j in range(3):
        out[deep + j] = res[2 + j]
        out[surface + j] = res[5 + j]
