"""Nearest points to the origin of an edge, triangle or tetrahedron, by weights of its corners."""

import math

from kinematics.clearance.kernel.compiled import inner


@inner
def _nearest_on_triangle(w, a, b, c, weight):
    """Weights of the point of triangle (a, b, c) of w nearest the origin (Ericson, Real-Time
    Collision Detection, 5.1.5, written from its region tests)."""
    abx, aby, abz = w[b, 0] - w[a, 0], w[b, 1] - w[a, 1], w[b, 2] - w[a, 2]
    acx, acy, acz = w[c, 0] - w[a, 0], w[c, 1] - w[a, 1], w[c, 2] - w[a, 2]
    d1 = -(abx * w[a, 0] + aby * w[a, 1] + abz * w[a, 2])
    d2 = -(acx * w[a, 0] + acy * w[a, 1] + acz * w[a, 2])
    d3 = -(abx * w[b, 0] + aby * w[b, 1] + abz * w[b, 2])
    d4 = -(acx * w[b, 0] + acy * w[b, 1] + acz * w[b, 2])
    d5 = -(abx * w[c, 0] + aby * w[c, 1] + abz * w[c, 2])
    d6 = -(acx * w[c, 0] + acy * w[c, 1] + acz * w[c, 2])
    weight[a] = weight[b] = weight[c] = 0.0
    va, vb, vc = d3 * d6 - d5 * d4, d5 * d2 - d1 * d6, d1 * d4 - d3 * d2
    if d1 <= 0.0 and d2 <= 0.0:
        weight[a] = 1.0
    elif d3 >= 0.0 and d4 <= d3:
        weight[b] = 1.0
    elif vc <= 0.0 and d1 >= 0.0 and d3 <= 0.0:
        weight[b] = d1 / (d1 - d3) if d1 - d3 > 0.0 else 0.0
        weight[a] = 1.0 - weight[b]
    elif d6 >= 0.0 and d5 <= d6:
        weight[c] = 1.0
    elif vb <= 0.0 and d2 >= 0.0 and d6 <= 0.0:
        weight[c] = d2 / (d2 - d6) if d2 - d6 > 0.0 else 0.0
        weight[a] = 1.0 - weight[c]
    elif va <= 0.0 and d4 - d3 >= 0.0 and d5 - d6 >= 0.0:
        total = (d4 - d3) + (d5 - d6)
        weight[c] = (d4 - d3) / total if total > 0.0 else 0.0
        weight[b] = 1.0 - weight[c]
    else:
        total = va + vb + vc
        weight[b] = vb / total
        weight[c] = vc / total
        weight[a] = 1.0 - weight[b] - weight[c]


@inner
def combine(w, weight, n):
    """The point with these weights of the first n rows of w."""
    x = y = z = 0.0
    for i in range(n):
        x += weight[i] * w[i, 0]
        y += weight[i] * w[i, 1]
        z += weight[i] * w[i, 2]
    return x, y, z


@inner
def _side(w, a, b, c, d):
    """Volume of (a, b, c, origin) against that of (a, b, c, d): negative when they differ in
    side; 0 volumes count as different, so that a flat tetrahedron is searched by its faces."""
    abx, aby, abz = w[b, 0] - w[a, 0], w[b, 1] - w[a, 1], w[b, 2] - w[a, 2]
    acx, acy, acz = w[c, 0] - w[a, 0], w[c, 1] - w[a, 1], w[c, 2] - w[a, 2]
    nx, ny, nz = aby * acz - abz * acy, abz * acx - abx * acz, abx * acy - aby * acx
    origin = -(nx * w[a, 0] + ny * w[a, 1] + nz * w[a, 2])
    apex = nx * (w[d, 0] - w[a, 0]) + ny * (w[d, 1] - w[a, 1]) + nz * (w[d, 2] - w[a, 2])
    size = math.sqrt(nx * nx + ny * ny + nz * nz)
    if abs(apex) <= 1e-13 * size * size:
        return -1.0
    return 1.0 if origin * apex > 0.0 else -1.0


@inner
def nearest_on_simplex(w, n, weight, trial):
    """Weights of the hull's point nearest the origin; True where the hull holds the origin."""
    for i in range(4):
        weight[i] = 0.0
    if n == 1:
        weight[0] = 1.0
        return False
    if n == 2:
        ex, ey, ez = w[1, 0] - w[0, 0], w[1, 1] - w[0, 1], w[1, 2] - w[0, 2]
        e2 = ex * ex + ey * ey + ez * ez
        t = -(w[0, 0] * ex + w[0, 1] * ey + w[0, 2] * ez) / e2 if e2 > 0.0 else 0.0
        t = min(1.0, max(0.0, t))
        weight[0], weight[1] = 1.0 - t, t
        return False
    best = 1e300
    outside = n == 3
    for f in range(4):
        if n == 3 and f < 3:
            continue
        a, b, c = (f + 1) % 4, (f + 2) % 4, (f + 3) % 4
        if n == 4 and _side(w, a, b, c, f) > 0.0:
            continue
        outside = True
        for i in range(4):
            trial[i] = 0.0
        _nearest_on_triangle(w, a, b, c, trial)
        x, y, z = combine(w, trial, n)
        value = x * x + y * y + z * z
        if value < best:
            best = value
            for i in range(4):
                weight[i] = trial[i]
    return not outside


@inner
def common_point(w, p, weight):
    """A point of both cores, once their difference is found to hold the origin: by the weights of
    a corner, edge or triangle that holds it, else by the volumes opposite a tetrahedron's corners.
    """
    if weight[0] > 0.0:
        n = 1
        while n < 3 and weight[n] > 0.0:
            n += 1
        return combine(p, weight, n)
    total = 0.0
    for f in range(4):
        a, b, c = (f + 1) % 4, (f + 2) % 4, (f + 3) % 4
        ux, uy, uz = w[b, 0], w[b, 1], w[b, 2]
        vx, vy, vz = w[c, 0], w[c, 1], w[c, 2]
        volume = abs(
            w[a, 0] * (uy * vz - uz * vy)
            + w[a, 1] * (uz * vx - ux * vz)
            + w[a, 2] * (ux * vy - uy * vx)
        )
        weight[f] = volume
        total += volume
    if total > 0.0:
        for f in range(4):
            weight[f] /= total
    else:
        weight[0], weight[1], weight[2], weight[3] = 1.0, 0.0, 0.0, 0.0
    return combine(p, weight, 4)
