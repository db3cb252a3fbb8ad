"""The compiled kernels of clearance: the only compiled file of the project.

Every function also runs uncompiled (NUMBA_DISABLE_JIT=1, or `.py_func`), which is the oracle of its
compiled form. Loading this module loads numba: import it only when clearance is first used.

A piece at a pose is one flat buffer (`pack.py` writes the constant part, `_load` the rest):

    [KIND, COUNT, MARGIN, REACH, FACES or SWING, ...] then at HEAD
    rod, sheet, block   COUNT points; a block then has FACES planes (n, offset), then FACES
                        lists of corners, each preceded by its length
    ring                centre (3), axis (3), then COUNT arcs (r, y, radius, from, to)

A hollow ring is stored twice: filled, and as a SECTOR with the arcs of its whole outline, of which
the part within s[7] of the angle s[4] about the axis counts; s[6] of the filled one is 1.

MARGIN is the radius of the ball that thickens the piece's core; 'core' below is the piece without
it. With h the support function of a convex piece, its signed distance is the greatest u·x - h(u)
over unit u, outside and inside alike. So for any unit u_k and weights l_k >= 0 that sum to 1,
with w = sum l_k u_k,

    min over x in B of sd_A(x)  >=  -h_B(-w) - sum l_k h_A(u_k)                      (certificate)

whatever the search did. One u is the separating plane of two distant pieces; several describe an
overlap. Because supports of points that move straight are convex in time, a certificate that
holds at both ends of a straight motion holds between them.
"""

# mypy: disable-error-code="no-untyped-def, no-untyped-call, call-overload"
# numba works out types from what it is given and reads no annotations; pieces are buffers as
# above, x, y, z and the like are floats, `out` arrays are written to.

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numba
import numpy as np
from numba import types

ROD, SHEET, BLOCK, RING, SECTOR = 0, 1, 2, 3, 4
HEAD = 8
ARCS = HEAD + 6
CUTS = 512
#: Rounding allowance taken off every lower bound, mm (coordinates are local to the pair).
ROUNDING = 1e-9

_F1 = types.Array(types.float64, 1, "C")
_F2 = types.Array(types.float64, 2, "C")
_F3 = types.Array(types.float64, 3, "C")
_F4 = types.Array(types.float64, 4, "C")
_I1 = types.Array(types.int64, 1, "C")
_I2 = types.Array(types.int64, 2, "C")


def _entry(signature: Any) -> Callable[[Any], Any]:
    """Compile at import with this signature, from the cache where one can be written."""

    def wrap(function: Any) -> Any:
        try:
            return numba.njit(signature, cache=True, nogil=True, error_model="numpy")(function)
        except RuntimeError:  # no folder to keep the cache in: compile for this run only
            return numba.njit(signature, nogil=True, error_model="numpy")(function)

    return wrap


_inner = numba.njit(nogil=True, error_model="numpy", no_cpython_wrapper=True)


# ---------------------------------------------------------------- a piece at a pose


@_inner
def _load(fixed, f, data, at, upper, t, origin, s):
    """Write a piece's pose into its buffer: between the rows at `at` and `upper`, about an origin.

    Returns False where the pose is unknown (NaN).
    """
    kind = int(s[0])
    n = int(s[1])
    total = 0.0
    if kind >= RING:
        for i in range(6):
            value = data[at + i] + t * (data[upper + i] - data[at + i])
            s[HEAD + i] = value - origin[i] if i < 3 else value
            total += value
        stretch = data[at + 6] + t * (data[upper + 6] - data[at + 6])
        length = math.sqrt(s[HEAD + 3] ** 2 + s[HEAD + 4] ** 2 + s[HEAD + 5] ** 2)
        for i in range(n):
            s[ARCS + 7 * i + 1] = fixed[f + 8 * i + 1] + fixed[f + 8 * i + 7] * stretch
        for i in range(3):
            s[HEAD + 3 + i] /= length
        return math.isfinite(total + stretch)
    for i in range(n):
        for j in range(3):
            k = 3 * i + j
            value = data[at + k] + t * (data[upper + k] - data[at + k])
            s[HEAD + k] = value - origin[j]
            total += value
    if kind == BLOCK:
        _planes(s)
    return math.isfinite(total)


@_inner
def _newell(s, at, k):
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


@_inner
def _planes(s):
    """The outward face planes of a block: the greatest corner fixes each offset."""
    n = int(s[1])
    faces = int(s[4])
    plane = HEAD + 3 * n
    at = plane + 4 * faces
    for _ in range(faces):
        k = int(s[at])
        nx, ny, nz = _newell(s, at + 1, k)
        top = -1e300
        for i in range(n):
            value = nx * s[HEAD + 3 * i] + ny * s[HEAD + 3 * i + 1] + nz * s[HEAD + 3 * i + 2]
            top = max(top, value)
        s[plane], s[plane + 1], s[plane + 2], s[plane + 3] = nx, ny, nz, top
        plane += 4
        at += 1 + k


@_inner
def _square(x, y, z):
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


@_inner
def _outward(px, py, pz, q, size, ax, ay, az):
    """Unit vector of p, what was left of a vector of this size without its part along the axis.

    Where little was left the remainder is mostly rounding, and is squared to the axis once more.
    """
    if q <= 1e-13 * size or q < 1e-290:
        return _square(ax, ay, az)
    px, py, pz = px / q, py / q, pz / q
    if q < 1e-3 * size:
        d = px * ax + py * ay + pz * az
        px, py, pz = px - d * ax, py - d * ay, pz - d * az
        q = math.sqrt(px * px + py * py + pz * pz)
        if q < 0.1:
            return _square(ax, ay, az)
        px, py, pz = px / q, py / q, pz / q
    return px, py, pz


@_inner
def _arc_point(s, i, nr, ny):
    """Furthest point (r, y) of arc i of a ring's core in a unit direction; True where the
    direction is one of the arc's own normals, so that no other arc reaches further."""
    k = ARCS + 7 * i
    radius = s[k + 2] - s[2]
    fr, fy, tr, ty = s[k + 3], s[k + 4], s[k + 5], s[k + 6]
    own = fr * ny - fy * nr >= 0.0 and nr * ty - ny * tr >= 0.0
    own = own and (fr + tr) * nr + (fy + ty) * ny >= 0.0
    if not own:
        if fr * nr + fy * ny > tr * nr + ty * ny:
            nr, ny = fr, fy
        else:
            nr, ny = tr, ty
    return s[k] + radius * nr, s[k + 1] + radius * ny, own


@_inner
def _support(s, x, y, z):
    """The core's furthest point in a direction of any length."""
    n = int(s[1])
    if s[0] == SECTOR:
        return _sector_support(s, x, y, z)
    if s[0] != RING:
        best = -1e300
        at = HEAD
        for i in range(n):
            k = HEAD + 3 * i
            value = x * s[k] + y * s[k + 1] + z * s[k + 2]
            if value > best:
                best = value
                at = k
        return s[at], s[at + 1], s[at + 2]
    ax, ay, az = s[HEAD + 3], s[HEAD + 4], s[HEAD + 5]
    d = x * ax + y * ay + z * az
    px, py, pz = x - d * ax, y - d * ay, z - d * az
    q = math.sqrt(px * px + py * py + pz * pz)
    length = math.sqrt(x * x + y * y + z * z)
    px, py, pz = _outward(px, py, pz, q, length, ax, ay, az)
    nr, ny = (q / length, d / length) if length > 0.0 else (1.0, 0.0)
    best = -1e300
    r = h = 0.0
    for i in range(n):
        cr, cy, own = _arc_point(s, i, nr, ny)
        value = nr * cr + ny * cy
        if value > best or own:
            best, r, h = value, cr, cy
        if own:
            break
    cx, cy_, cz = s[HEAD], s[HEAD + 1], s[HEAD + 2]
    return cx + h * ax + r * px, cy_ + h * ay + r * py, cz + h * az + r * pz


@_inner
def _sector_support(s, x, y, z):
    """Furthest point of the core of a sector of a ring: of the hull of its arcs of circles."""
    ax, ay, az = s[HEAD + 3], s[HEAD + 4], s[HEAD + 5]
    ex, ey, ez = _square(ax, ay, az)
    fx, fy, fz = ay * ez - az * ey, az * ex - ax * ez, ax * ey - ay * ex
    d = x * ax + y * ay + z * az
    u, v = x * ex + y * ey + z * ez, x * fx + y * fy + z * fz
    q = math.sqrt(u * u + v * v)
    turn = math.atan2(v, u) - s[4]
    turn -= 2.0 * math.pi * math.floor(turn / (2.0 * math.pi) + 0.5)
    held = min(s[7], max(-s[7], turn))
    q *= math.cos(turn - held)
    c, w = math.cos(s[4] + held), math.sin(s[4] + held)
    length = math.sqrt(q * q + d * d)
    nr, ny = (q / length, d / length) if length > 0.0 else (1.0, 0.0)
    best = -1e300
    r = h = 0.0
    for i in range(int(s[1])):
        cr, cy, own = _arc_point(s, i, nr, ny)
        value = nr * cr + ny * cy
        if value > best or own:
            best, r, h = value, cr, cy
        if own:
            break
    px, py, pz = c * ex + w * fx, c * ey + w * fy, c * ez + w * fz
    return (
        s[HEAD] + h * ax + r * px,
        s[HEAD + 1] + h * ay + r * py,
        s[HEAD + 2] + h * az + r * pz,
    )


@_inner
def _height(s, x, y, z):
    """Support function h of the whole piece (margin included), for a direction of any length."""
    px, py, pz = _support(s, x, y, z)
    return px * x + py * y + pz * z + s[2] * math.sqrt(x * x + y * y + z * z)


@_inner
def _nearest_on_polygon(s, at, k, nx, ny, nz, x, y, z):
    """Nearest point of a flat convex polygon with unit normal n (0: a sliver, edges only)."""
    inside = nx * nx + ny * ny + nz * nz > 0.5
    best = 1e300
    bx = by = bz = 0.0
    for i in range(k):
        j = i + 1 if i + 1 < k else 0
        p = HEAD + 3 * (int(s[at + i]) if at >= 0 else i)
        q = HEAD + 3 * (int(s[at + j]) if at >= 0 else j)
        ex, ey, ez = s[q] - s[p], s[q + 1] - s[p + 1], s[q + 2] - s[p + 2]
        dx, dy, dz = x - s[p], y - s[p + 1], z - s[p + 2]
        if (ny * ez - nz * ey) * dx + (nz * ex - nx * ez) * dy + (nx * ey - ny * ex) * dz < 0.0:
            inside = False
        e2 = ex * ex + ey * ey + ez * ez
        t = (dx * ex + dy * ey + dz * ez) / e2 if e2 > 0.0 else 0.0
        t = min(1.0, max(0.0, t))
        gx, gy, gz = dx - t * ex, dy - t * ey, dz - t * ez
        value = gx * gx + gy * gy + gz * gz
        if value < best:
            best = value
            bx, by, bz = s[p] + t * ex, s[p + 1] + t * ey, s[p + 2] + t * ez
    if inside:
        p = HEAD + 3 * (int(s[at]) if at >= 0 else 0)
        d = nx * (x - s[p]) + ny * (y - s[p + 1]) + nz * (z - s[p + 2])
        return x - d * nx, y - d * ny, z - d * nz
    return bx, by, bz


@_inner
def _field(s, x, y, z):
    """Signed distance of a point to a piece and its unit gradient; value, u_x, u_y, u_z.

    x - value * u is the nearest point of the surface.
    """
    kind = int(s[0])
    if kind >= RING:
        return _ring_field(s, x, y, z)
    if kind == BLOCK:
        return _block_field(s, x, y, z)
    if kind == ROD:
        ex, ey, ez = s[HEAD + 3] - s[HEAD], s[HEAD + 4] - s[HEAD + 1], s[HEAD + 5] - s[HEAD + 2]
        dx, dy, dz = x - s[HEAD], y - s[HEAD + 1], z - s[HEAD + 2]
        e2 = ex * ex + ey * ey + ez * ez
        t = (dx * ex + dy * ey + dz * ez) / e2 if e2 > 0.0 else 0.0
        t = min(1.0, max(0.0, t))
        dx, dy, dz = dx - t * ex, dy - t * ey, dz - t * ez
        nx, ny, nz = _square(ex, ey, ez)
    else:
        k = int(s[1])
        nx, ny, nz = _newell(s, -k, k)
        px, py, pz = _nearest_on_polygon(s, -k, k, nx, ny, nz, x, y, z)
        dx, dy, dz = x - px, y - py, z - pz
        if nx == 0.0 and ny == 0.0 and nz == 0.0:
            k = HEAD + 3
            nx, ny, nz = _square(s[k] - s[HEAD], s[k + 1] - s[HEAD + 1], s[k + 2] - s[HEAD + 2])
    d = math.sqrt(dx * dx + dy * dy + dz * dz)
    if d > 1e-12:
        return d - s[2], dx / d, dy / d, dz / d
    return -s[2], nx, ny, nz


@_inner
def _block_field(s, x, y, z):
    n = int(s[1])
    faces = int(s[4])
    plane = HEAD + 3 * n
    best = -1e300
    ux = uy = uz = 0.0
    for f in range(faces):
        k = plane + 4 * f
        value = s[k] * x + s[k + 1] * y + s[k + 2] * z - s[k + 3]
        if value > best:
            best, ux, uy, uz = value, s[k], s[k + 1], s[k + 2]
    if best <= 0.0:
        return best, ux, uy, uz
    at = plane + 4 * faces
    near = 1e300
    for f in range(faces):
        k = plane + 4 * f
        count = int(s[at])
        value = s[k] * x + s[k + 1] * y + s[k + 2] * z - s[k + 3]
        if value > 0.0:
            nx, ny, nz = s[k], s[k + 1], s[k + 2]
            px, py, pz = _nearest_on_polygon(s, at + 1, count, nx, ny, nz, x, y, z)
            dx, dy, dz = x - px, y - py, z - pz
            d = math.sqrt(dx * dx + dy * dy + dz * dz)
            if d < near:
                near = d
                if d > 1e-9:
                    ux, uy, uz = dx / d, dy / d, dz / d
        at += 1 + count
    return near, ux, uy, uz


@_inner
def _profile_field(s, r, y):
    """Signed distance in the (r, y) plane and its gradient: the greatest n·p - h(n)."""
    best = -1e300
    mr = my = 0.0
    for i in range(int(s[1])):
        k = ARCS + 7 * i
        dr, dy = r - s[k], y - s[k + 1]
        fr, fy, tr, ty = s[k + 3], s[k + 4], s[k + 5], s[k + 6]
        value = fr * dr + fy * dy - s[k + 2]
        if value > best:
            best, mr, my = value, fr, fy
        value = tr * dr + ty * dy - s[k + 2]
        if value > best:
            best, mr, my = value, tr, ty
        if (
            fr * dy - fy * dr > 0.0
            and dr * ty - dy * tr > 0.0
            and (fr + tr) * dr + (fy + ty) * dy > 0
        ):
            d = math.sqrt(dr * dr + dy * dy)
            if d - s[k + 2] > best:
                best, mr, my = d - s[k + 2], dr / d, dy / d
    return best, mr, my


@_inner
def _ring_field(s, x, y, z):
    ax, ay, az = s[HEAD + 3], s[HEAD + 4], s[HEAD + 5]
    dx, dy, dz = x - s[HEAD], y - s[HEAD + 1], z - s[HEAD + 2]
    h = dx * ax + dy * ay + dz * az
    px, py, pz = dx - h * ax, dy - h * ay, dz - h * az
    r = math.sqrt(px * px + py * py + pz * pz)
    px, py, pz = _outward(px, py, pz, r, abs(h), ax, ay, az)
    value, mr, my = _profile_field(s, r, h)
    return value, mr * px + my * ax, mr * py + my * ay, mr * pz + my * az


# ---------------------------------------------------------------- separated cores


@_inner
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


@_inner
def _combine(w, weight, n):
    x = y = z = 0.0
    for i in range(n):
        x += weight[i] * w[i, 0]
        y += weight[i] * w[i, 1]
        z += weight[i] * w[i, 2]
    return x, y, z


@_inner
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


@_inner
def _nearest_on_simplex(w, n, weight, trial):
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
        x, y, z = _combine(w, trial, n)
        value = x * x + y * y + z * z
        if value < best:
            best = value
            for i in range(4):
                weight[i] = trial[i]
    return not outside


@_inner
def _separate(a, b, ux, uy, uz, eps, w, p, weight, trial, out):
    """Nearest points of two cores, from a first guess u (from a to b) of the direction.

    Gilbert, Johnson and Keerthi (1988) on the difference b - a, with the plane's gap as lower
    bound. out: low, high, u (3), point on a (3), point on b (3). Returns False when they meet.
    """
    n = 0
    x, y, z = ux, uy, uz
    out[0] = -1e300
    high = 1e300
    for step in range(100):
        ax, ay, az = _support(a, x, y, z)
        bx, by, bz = _support(b, -x, -y, -z)
        dx, dy, dz = bx - ax, by - ay, bz - az
        length = math.sqrt(x * x + y * y + z * z)
        low = (x * dx + y * dy + z * dz) / length
        if low > out[0]:
            out[0] = low
            out[2], out[3], out[4] = x / length, y / length, z / length
        if step > 0 and high - out[0] <= eps:
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
        if _nearest_on_simplex(w, n, weight, trial):
            return False
        k = 0
        for i in range(n):
            if weight[i] > 0.0:
                for j in range(3):
                    w[k, j], p[k, j] = w[i, j], p[i, j]
                weight[k] = weight[i]
                k += 1
        n = k
        x, y, z = _combine(w, weight, n)
        length = math.sqrt(x * x + y * y + z * z)
        if length < 1e-9:
            return False
        if length >= high and step > 1:
            break
        high = length
        out[5], out[6], out[7] = _combine(p, weight, n)
        out[8], out[9], out[10] = out[5] + x, out[6] + y, out[7] + z
    out[1] = high
    return True


# ---------------------------------------------------------------- overlapping pieces


@_inner
def _solve4(m, rhs, x):
    """Solve a 4 by 4 system in place (partial pivoting); False when it is singular."""
    for i in range(4):
        x[i] = rhs[i]
    for c in range(4):
        top = c
        for r in range(c + 1, 4):
            if abs(m[r, c]) > abs(m[top, c]):
                top = r
        if abs(m[top, c]) < 1e-13:
            return False
        if top != c:
            for k in range(4):
                m[c, k], m[top, k] = m[top, k], m[c, k]
            x[c], x[top] = x[top], x[c]
        for r in range(c + 1, 4):
            factor = m[r, c] / m[c, c]
            if factor != 0.0:
                for k in range(c, 4):
                    m[r, k] -= factor * m[c, k]
                x[r] -= factor * x[c]
    for c in range(3, -1, -1):
        for k in range(c + 1, 4):
            x[c] -= m[c, k] * x[k]
        x[c] /= m[c, c]
    return True


@_inner
def _basis_rows(rows, basis, m, across):
    """The basis as a matrix, or its transpose."""
    for i in range(4):
        for j in range(4):
            if across:
                m[j, i] = rows[basis[i], j]
            else:
                m[i, j] = rows[basis[i], j]


@_inner
def _cut(s, rows, n, is_host, x, y, z):
    """Add u·p - s <= h_host(u), or u·p <= h_probe(u); the new number of rows."""
    rows[n, 0], rows[n, 1], rows[n, 2] = x, y, z
    rows[n, 3] = -1.0 if is_host else 0.0
    rows[n, 4] = _height(s, x, y, z)
    return n + 1


@_inner
def _pivot_to_feasible(rows, n, basis, m, vectors):
    """Dual simplex: lowest s with every cut kept, from a basis with multipliers >= 0.

    The unknowns are (x, y, z, s); row i says rows[i, :4]·(x, y, z, s) <= rows[i, 4].
    vectors: right side, column, then the results: vertex and multipliers.
    """
    rhs, column, vertex, weight = vectors
    for _ in range(200):
        for i in range(4):
            rhs[i] = rows[basis[i], 4]
        _basis_rows(rows, basis, m, False)
        if not _solve4(m, rhs, vertex):
            return False
        worst, enter = 1e-9, -1
        for i in range(n):
            value = -rows[i, 4]
            for j in range(4):
                value += rows[i, j] * vertex[j]
            if value > worst:
                worst, enter = value, i
        _basis_rows(rows, basis, m, True)
        for i in range(4):
            rhs[i] = -1.0 if i == 3 else 0.0
        if not _solve4(m, rhs, weight):
            return False
        if enter < 0:
            return True
        _basis_rows(rows, basis, m, True)
        for j in range(4):
            rhs[j] = rows[enter, j]
        if not _solve4(m, rhs, column):
            return False
        leave, ratio = -1, 1e300
        for i in range(4):
            if column[i] > 1e-10:
                value = max(weight[i], 0.0) / column[i]
                if value < ratio - 1e-14 or (value <= ratio + 1e-14 and column[i] > column[leave]):
                    leave, ratio = i, value
        if leave < 0:
            return False
        basis[leave] = enter
    return False


@_inner
def _certificate(host, probe, cert, at):
    """Certified lower bound of the host's field over the probe, from weights and directions."""
    wx = wy = wz = 0.0
    value = 0.0
    for i in range(4):
        k = at + 4 * i
        weight = abs(cert[k])
        if weight > 0.0:
            x, y, z = cert[k + 1], cert[k + 2], cert[k + 3]
            wx += weight * x
            wy += weight * y
            wz += weight * z
            value -= weight * _height(host, x, y, z)
    return value - _height(probe, -wx, -wy, -wz)


@_inner
def _deepest(host, probe, ux, uy, uz, eps, stop, ws, cert, at, out):
    """Least field of the host over the probe, by cutting planes in (x, y, z, s) (Kelley 1960).

    out: low, high, deepest point (3), its nearest point of the host's surface (3). Stops early
    once the bound passes `stop`. cert[at:]: weights and directions that prove low.
    """
    m, vectors, rows, basis, trial = ws[5], ws[6], ws[7], ws[8], ws[9]
    vertex, weight = vectors[2], vectors[3]
    tx, ty, tz = _square(ux, uy, uz)
    sx, sy, sz = uy * tz - uz * ty, uz * tx - ux * tz, ux * ty - uy * tx
    n = 0
    n = _cut(host, rows, n, True, ux, uy, uz)
    # The first four rows are the first basis: multipliers 1, 1, 0, 0.
    for i in range(6):
        sign = -1.0 if i % 2 == 0 else 1.0
        x, y, z = (ux, uy, uz) if i < 2 else ((tx, ty, tz) if i < 4 else (sx, sy, sz))
        n = _cut(probe, rows, n, False, sign * x, sign * y, sign * z)
        if i != 1:
            n = _cut(host, rows, n, True, sign * x, sign * y, sign * z)
    basis[0], basis[1], basis[2], basis[3] = 0, 1, 4, 8
    out[0], out[1] = -1e300, 1e300
    while n < CUTS - 3:
        if not _pivot_to_feasible(rows, n, basis, m, vectors):
            break
        total = 0.0
        for i in range(4):
            trial[4 * i] = 0.0
            if rows[basis[i], 3] < 0.0 and weight[i] > 0.0:
                trial[4 * i] = weight[i]
                total += weight[i]
                for j in range(3):
                    trial[4 * i + 1 + j] = rows[basis[i], j]
        if total > 0.0:
            for i in range(4):
                trial[4 * i] /= total
            start = 0 * n
            low = _certificate(host, probe, trial, start)
            if low > out[0]:
                out[0] = low
                for i in range(16):
                    cert[at + i] = trial[i]
        x, y, z = vertex[0], vertex[1], vertex[2]
        before = n
        pv, px, py, pz = _field(probe, x, y, z)
        hv, hx, hy, hz = _field(host, x, y, z)
        if hv > vertex[3] + 1e-9:
            n = _cut(host, rows, n, True, hx, hy, hz)
        if pv > 1e-9:
            n = _cut(probe, rows, n, False, px, py, pz)
            x, y, z = x - pv * px, y - pv * py, z - pv * pz
            hv, hx, hy, hz = _field(host, x, y, z)
            n = _cut(host, rows, n, True, hx, hy, hz)
        if hv < out[1]:
            out[1] = hv
            out[2], out[3], out[4] = x, y, z
            out[5], out[6], out[7] = x - hv * hx, y - hv * hy, z - hv * hz
        if out[1] - out[0] <= eps or out[0] >= stop or n == before:
            break


# ---------------------------------------------------------------- a pair of pieces at a pose


@_inner
def _gap(a, b, x, y, z):
    """Width of the empty slab between a and b at right angles to a unit direction from a to b."""
    return -_height(b, -x, -y, -z) - _height(a, x, y, z)


@_inner
def _clear(cert, at, n):
    for i in range(at, at + n):
        cert[i] = 0.0


@_inner
def _copy(target, source):
    for i in range(len(source)):
        target[i] = source[i]


@_inner
def _one_plane(cert, x, y, z):
    _clear(cert, 0 * len(cert), len(cert))
    cert[0], cert[1], cert[2], cert[3] = 1.0, x, y, z
    cert[16], cert[17], cert[18], cert[19] = -1.0, -x, -y, -z


@_inner
def _proved(a, b, cert):
    """Lower bound of the clearance by both certificates: 16 numbers each, (weight, u) four times.

    The second one's first weight is -1 when it is only the first one's mirror: one plane.
    """
    value = 1e300
    for turn in range(2):
        if turn == 1 and cert[16] < 0.0:
            break
        host, probe = (a, b) if turn == 0 else (b, a)
        value = min(value, _certificate(host, probe, cert, 16 * turn))
    return value


@_inner
def _guess(a, b, cert):
    """A direction from a to b to start from: the last one, else between the middles."""
    x = y = z = 0.0
    for k in range(0, 16, 4):
        x += cert[k] * cert[k + 1]
        y += cert[k] * cert[k + 2]
        z += cert[k] * cert[k + 3]
    length = math.sqrt(x * x + y * y + z * z)
    if length > 0.1:
        return x / length, y / length, z / length
    ax, ay, az = _middle(a)
    bx, by, bz = _middle(b)
    x, y, z = bx - ax, by - ay, bz - az
    length = math.sqrt(x * x + y * y + z * z)
    if length > 1e-9:
        return x / length, y / length, z / length
    return 1.0, 0.0, 0.0


@_inner
def _middle(s):
    n = int(s[1])
    if s[0] == RING:
        low, high = 1e300, -1e300
        for i in range(n):
            low = min(low, s[ARCS + 7 * i + 1])
            high = max(high, s[ARCS + 7 * i + 1])
        h = 0.5 * (low + high)
        return (
            s[HEAD] + h * s[HEAD + 3],
            s[HEAD + 1] + h * s[HEAD + 4],
            s[HEAD + 2] + h * s[HEAD + 5],
        )
    x = y = z = 0.0
    for i in range(n):
        x += s[HEAD + 3 * i]
        y += s[HEAD + 3 * i + 1]
        z += s[HEAD + 3 * i + 2]
    return x / n, y / n, z / n


@_inner
def _common_point(w, p, weight):
    """A point of both cores, once their difference is found to hold the origin."""
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
    return _combine(p, weight, 4)


@_inner
def _polish(a, b, eps, near, cert, out):
    """Points on both surfaces and a plane between them, by projecting to and fro.

    near: result of `_separate`. out: low, high, point on a (3), point on b (3).
    Returns False where the pieces turn out to touch.
    """
    ux, uy, uz = near[2], near[3], near[4]
    out[0] = near[0] - a[2] - b[2]
    x, y, z = near[8] - b[2] * ux, near[9] - b[2] * uy, near[10] - b[2] * uz
    out[1] = 1e300
    for _ in range(30):
        v, gx, gy, gz = _field(a, x, y, z)
        if v <= 0.0:
            return False
        px, py, pz = x - v * gx, y - v * gy, z - v * gz
        v, gx, gy, gz = _field(b, px, py, pz)
        if v <= 0.0:
            return False
        x, y, z = px - v * gx, py - v * gy, pz - v * gz
        if v < out[1]:
            out[1] = v
            out[2], out[3], out[4], out[5], out[6], out[7] = px, py, pz, x, y, z
        low = _gap(a, b, -gx, -gy, -gz)
        if low > out[0]:
            out[0] = low
            ux, uy, uz = -gx, -gy, -gz
        if out[1] - out[0] <= eps:
            break
    _one_plane(cert, ux, uy, uz)
    return True


@_inner
def _host_core(host, near_x, near_y, near_z, cert, at, out):
    """A rod's or sheet's own depth: the probe reaches its core at the given point."""
    if host[0] == ROD:
        k = HEAD + 3
        nx, ny, nz = _square(
            host[k] - host[HEAD], host[k + 1] - host[HEAD + 1], host[k + 2] - host[HEAD + 2]
        )
    else:
        k = int(host[1])
        nx, ny, nz = _newell(host, -k, k)
        if nx == 0.0 and ny == 0.0 and nz == 0.0:
            nx = 1.0
    depth = host[2]
    _clear(cert, at, 16 + 0 * at)
    for i in range(2):
        sign = 1.0 if i == 0 else -1.0
        k = at + 4 * i
        cert[k], cert[k + 1], cert[k + 2], cert[k + 3] = 0.5, sign * nx, sign * ny, sign * nz
    out[0] = out[1] = -depth
    out[2], out[3], out[4] = near_x, near_y, near_z
    out[5], out[6], out[7] = near_x + depth * nx, near_y + depth * ny, near_z + depth * nz


@_inner
def _overlap(a, b, apart, eps, near, ws, cert, out):
    """The deeper of the two directed depths. near: result of `_separate` (points are used)."""
    ux, uy, uz = near[2], near[3], near[4]
    res = ws[10]
    if apart:
        gap = near[0] - a[2] - b[2]
        for turn in range(2):
            host, probe = (a, b) if turn == 0 else (b, a)
            m = probe[2] if turn == 0 else -probe[2]
            k = 8 if turn == 0 else 5
            x, y, z = near[k] - m * ux, near[k + 1] - m * uy, near[k + 2] - m * uz
            v, gx, gy, gz = _field(host, x, y, z)
            if v - gap <= eps:
                res[0], res[1], res[2], res[3], res[4] = gap, v, x, y, z
                res[5], res[6], res[7] = x - v * gx, y - v * gy, z - v * gz
                _one_plane(cert, ux, uy, uz)
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
                _deepest(host, probe, x, y, z, eps, out[1] - eps, ws, cert, 16 * turn, res)
            low = min(out[0], res[0])
            if res[1] < out[1]:
                _keep(res, turn, out)
            out[0] = low


@_inner
def _keep(res, turn, out):
    """Store a directed result as points on a and b: (surface, deep) when a is the host."""
    out[0], out[1] = res[0], res[1]
    deep, surface = (5, 2) if turn == 0 else (2, 5)
    for j in range(3):
        out[deep + j] = res[2 + j]
        out[surface + j] = res[5 + j]


@_inner
def _pair(a, b, eps, ws, cert, out):
    """Clearance of two pieces at a pose, starting from and leaving behind a certificate.

    out: low, high, point on a (3), point on b (3).
    """
    w, p, weight, trial, near = ws[0], ws[1], ws[2], ws[3], ws[4]
    ux, uy, uz = _guess(a, b, cert)
    apart = _separate(a, b, ux, uy, uz, 0.5 * eps, w, p, weight, trial, near)
    if apart and near[1] - a[2] - b[2] > 0.0 and _polish(a, b, eps, near, cert, out):
        return
    if not apart:
        x, y, z = _common_point(w, p, weight)
        near[2], near[3], near[4] = ux, uy, uz
        near[5], near[6], near[7] = x, y, z
        near[8], near[9], near[10] = x, y, z
    _overlap(a, b, apart, eps, near, ws, cert, out)


@_inner
def _workspace():
    """Scratch for `_pair`: two simplices, weights (2), nearest points, then the search's own."""
    vectors = (np.empty(4), np.empty(4), np.empty(4), np.empty(4))
    return (
        np.empty((4, 3)), np.empty((4, 3)), np.empty(4), np.empty(4), np.empty(16),
        np.empty((4, 4)), vectors, np.empty((CUTS, 5)), np.zeros(4, np.int64), np.zeros(16),
        np.zeros(8), np.zeros((600, 6)),
    )  # fmt: skip


# ---------------------------------------------------------------- open bores


@_inner
def _half_width(s):
    """No point of a convex piece lies deeper in it than this."""
    if s[0] <= SHEET:
        return s[2]
    best = 1e300
    count = int(s[4]) if s[0] == BLOCK else 2
    for f in range(count):
        if s[0] == BLOCK:
            k = HEAD + 3 * int(s[1]) + 4 * f
            x, y, z = s[k], s[k + 1], s[k + 2]
        else:
            x, y, z = s[HEAD + 3], s[HEAD + 4], s[HEAD + 5]
            if f == 1:
                x, y, z = _square(x, y, z)
        best = min(best, 0.5 * (_height(s, x, y, z) + _height(s, -x, -y, -z)))
    return best


@_inner
def _to_and_fro(h, b, x, y, z, eps, out):
    """Project a point between the two surfaces while that brings it nearer; best kept in out."""
    last = 1e300
    for _ in range(20):
        v, gx, gy, gz = _field(h, x, y, z)
        px, py, pz = x - v * gx, y - v * gy, z - v * gz
        v, gx, gy, gz = _field(b, px, py, pz)
        if v <= 0.0 or v > last - 0.02 * eps:
            break
        last = v
        x, y, z = px - v * gx, py - v * gy, pz - v * gz
        if v < out[1] and _field(h, x, y, z)[0] > 0.0:
            out[1] = v
            out[2], out[3], out[4], out[5], out[6], out[7] = px, py, pz, x, y, z


@_inner
def _held(h, b, x, y, z, out):
    """Take a point of either piece as the deepest so far in the other, if it is."""
    vh, hx, hy, hz = _field(h, x, y, z)
    vb, bx, by, bz = _field(b, x, y, z)
    if vb <= 1e-9 and vh < min(out[1], 0.0):
        out[1] = vh
        out[2], out[3], out[4] = x - vh * hx, y - vh * hy, z - vh * hz
        out[5], out[6], out[7] = x, y, z
    if vh <= 1e-9 and vb < min(out[1], 0.0):
        out[1] = vb
        out[2], out[3], out[4] = x, y, z
        out[5], out[6], out[7] = x - vb * bx, y - vb * by, z - vb * bz


@_inner
def _sector_bound(h, b, span, limit, eps, ws, out):
    """Lower bound over the sector span = (angle, half, bound, u); better points are kept in out."""
    w, p, weight, trial, near = ws[0], ws[1], ws[2], ws[3], ws[4]
    h[4], h[7] = span[0], span[1]
    ax, ay, az = h[HEAD + 3], h[HEAD + 4], h[HEAD + 5]
    ex, ey, ez = _square(ax, ay, az)
    fx, fy, fz = ay * ez - az * ey, az * ex - ax * ez, ax * ey - ay * ex
    c, s = h[5] * math.cos(h[4]), h[5] * math.sin(h[4])
    bx, by, bz = _middle(b)
    x = bx - h[HEAD] - c * ex - s * fx
    y = by - h[HEAD + 1] - c * ey - s * fy
    z = bz - h[HEAD + 2] - c * ez - s * fz
    if x * x + y * y + z * z < 1e-12:
        x = 1.0
    bound = limit if h[7] < 1.5e-3 else -1e300
    span[3] = span[4] = span[5] = 0.0
    if _separate(h, b, x, y, z, 0.25 * eps, w, p, weight, trial, near):
        bound = max(bound, near[0] - h[2] - b[2])
        span[3], span[4], span[5] = near[2], near[3], near[4]
        if bound < out[1] - eps:
            ux, uy, uz = near[2], near[3], near[4]
            _to_and_fro(h, b, near[8], near[9], near[10], eps, out)
            m = b[2]
            _held(h, b, near[8] - m * ux, near[9] - m * uy, near[10] - m * uz, out)
            m = h[2]
            _held(h, b, near[5] + m * ux, near[6] + m * uy, near[7] + m * uz, out)
    else:
        x, y, z = _common_point(w, p, weight)
        _held(h, b, x, y, z, out)
    return bound


@_inner
def _turn_back(s, e, ux, uy, uz):
    """u turned back by the least rotation that takes ring s's axis a to ring e's axis b
    (Rodrigues, with w = b x a)."""
    k = HEAD + 3
    ax, ay, az = s[k], s[k + 1], s[k + 2]
    bx, by, bz = e[k], e[k + 1], e[k + 2]
    wx, wy, wz = by * az - bz * ay, bz * ax - bx * az, bx * ay - by * ax
    turn = 1.0 / max(1.0 + ax * bx + ay * by + az * bz, 1e-9)
    px, py, pz = wy * uz - wz * uy, wz * ux - wx * uz, wx * uy - wy * ux
    return (
        ux + px + turn * (wy * pz - wz * py),
        uy + py + turn * (wz * px - wx * pz),
        uz + pz + turn * (wx * py - wy * px),
    )


@_inner
def _shift(a0, a1, b0, b1):
    """How far any point of ring b moves as ring a's frame sees it, between two poses."""
    n = int(b0[1])
    k = HEAD
    x, y, z = b1[k] - a1[k], b1[k + 1] - a1[k + 1], b1[k + 2] - a1[k + 2]
    x, y, z = _turn_back(a0, a1, x, y, z)
    x, y, z = x + a0[k] - b0[k], y + a0[k + 1] - b0[k + 1], z + a0[k + 2] - b0[k + 2]
    far = math.sqrt(x * x + y * y + z * z)
    k = HEAD + 3
    x, y, z = _turn_back(a0, a1, b1[k], b1[k + 1], b1[k + 2])
    x, y, z = x - b0[k], y - b0[k + 1], z - b0[k + 2]
    # A chord of the unit circle; the arc is at most pi / 2 of it.
    far += b0[5] * 0.5 * math.pi * math.sqrt(x * x + y * y + z * z)
    stretch = 0.0
    for i in range(n):
        k = ARCS + 7 * i + 1
        stretch = max(stretch, abs(b1[k] - b0[k]))
    return far + stretch


@_inner
def _in_frame(h, b, i):
    """Greatest distance from ring h's axis, and span along it, of point i of b and what is about
    it: a ring's ends, a rod's, sheet's or block's corners."""
    ax, ay, az = h[HEAD + 3], h[HEAD + 4], h[HEAD + 5]
    if b[0] >= RING:
        k = ARCS + 7 * i
        y, grow = b[k + 1], b[k] + b[k + 2]
        x, z = b[HEAD] + y * b[HEAD + 3], b[HEAD + 2] + y * b[HEAD + 5]
        y = b[HEAD + 1] + y * b[HEAD + 4]
    else:
        k = HEAD + 3 * i
        x, y, z, grow = b[k], b[k + 1], b[k + 2], b[2]
    x, y, z = x - h[HEAD], y - h[HEAD + 1], z - h[HEAD + 2]
    d = x * ax + y * ay + z * az
    return math.sqrt(max(x * x + y * y + z * z - d * d, 0.0)) + grow, d


@_inner
def _around(h, b):
    """Radius and ends of a cylinder about ring h's axis that holds b."""
    radius = 0.0
    for i in range(int(b[1])):
        radius = max(radius, _in_frame(h, b, i)[0])
    ax, ay, az = h[HEAD + 3], h[HEAD + 4], h[HEAD + 5]
    base = h[HEAD] * ax + h[HEAD + 1] * ay + h[HEAD + 2] * az
    return radius, -_height(b, -ax, -ay, -az) - base, _height(b, ax, ay, az) - base


@_inner
def _all_round(h0, b0, h, b1):
    """Lower bound from the cylinder about h's axis that holds b at both ends of a motion, and so
    between them, where it lies in h's bore: the widest slab in the (r, y) plane along a normal of
    the outline."""
    r0, low0, high0 = _around(h0, b0)
    r1, low1, high1 = _around(h, b1)
    radius, low, high = max(r0, r1), min(low0, low1), max(high0, high1)
    best = -1e300
    for i in range(int(h[1])):
        k = ARCS + 7 * i
        for end in range(3, 7, 2):
            nr, ny = h[k + end], h[k + end + 1]
            if nr < 0.0:
                held = nr * radius + min(ny * low, ny * high)
                best = max(best, held - nr * h[k] - ny * h[k + 1] - h[k + 2])
    for end in range(2):  # from the cylinder's rims to the outline's corners
        y = low if end == 0 else high
        value, nr, ny = _profile_field(h, radius, y)
        if nr <= 0.0:
            best = max(best, value - ny * y + min(ny * low, ny * high))
    return best


@_inner
def _open_bore(h, b, eps, stop, ws, out):
    """Clearance of a hollow ring h (a SECTOR) and a convex piece; returns the sectors used.

    out comes with points to start from. Branch and bound over sectors: the hull of a sector exceeds
    the ring only by r (1 - cos half), on its inner side. Where the ring itself is entered deeper
    than its rounded edges, the bound is the depth neither can exceed, and the calculation error
    says so. Ends early once the bound reaches `stop`.
    """
    spans = ws[11]
    x, y, z = out[5], out[6], out[7]
    out[1] = 1e300
    _to_and_fro(h, b, x, y, z, eps, out)
    _held(h, b, x, y, z, out)
    out[0] = _all_round(h, b, h, b)
    if out[0] >= min(stop, out[1] - eps):
        return 0
    limit = -max(h[3], _half_width(b))
    # The first sector lies about the nearest point so far.
    ax, ay, az = h[HEAD + 3], h[HEAD + 4], h[HEAD + 5]
    ex, ey, ez = _square(ax, ay, az)
    fx, fy, fz = ay * ez - az * ey, az * ex - ax * ez, ax * ey - ay * ex
    px, py, pz = out[2] - h[HEAD], out[3] - h[HEAD + 1], out[4] - h[HEAD + 2]
    at = math.atan2(px * fx + py * fy + pz * fz, px * ex + py * ey + pz * ez)
    n = 8
    for i in range(n):
        spans[i, 0], spans[i, 1] = at + math.pi * i / 4.0, math.pi / 8.0
        spans[i, 2] = _sector_bound(h, b, spans[i], limit, eps, ws, out)
    while True:
        least = 0
        for i in range(n):
            if spans[i, 2] < spans[least, 2]:
                least = i
        out[0] = spans[least, 2]
        third = spans[least, 1] / 3.0
        if out[0] >= min(stop, out[1] - eps) or third < 5e-4 or n + 1 >= len(spans):
            break
        # In three, so that a nearest point in the middle stays in the middle of one.
        middle = spans[least, 0]
        for i in range(3):
            k = least if i == 0 else n + i - 1
            spans[k, 0], spans[k, 1] = middle + 2.0 * third * (i - 1), third
            spans[k, 2] = _sector_bound(h, b, spans[k], limit, eps, ws, out)
        n += 2
    out[0] = max(out[0], limit)
    if out[1] > 1e299:  # touching, to the last digits
        v, gx, gy, gz = _field(h, x, y, z)
        out[1] = abs(v)
        out[2], out[3], out[4] = x - v * gx, y - v * gy, z - v * gz
        out[5], out[6], out[7] = x, y, z
    return n


@_inner
def _bore_between(h0, b0, h1, b1, spans, n):
    """Lower bound while b moves in ring h's bore from pose 0 to pose 1, where spans were found.

    In the ring's own frame b's points leave their straight paths by no more than
    (angle^2 |p - c| + 2 angle |dp|) / 8, and a direction held in that frame bounds the motion by
    its two ends. Spans 0: the bound all round holds.
    """
    a0x, a0y, a0z = h0[HEAD + 3], h0[HEAD + 4], h0[HEAD + 5]
    dx, dy, dz = h1[HEAD + 3] - a0x, h1[HEAD + 4] - a0y, h1[HEAD + 5] - a0z
    angle = 2.0 * math.asin(min(1.0, 0.5 * math.sqrt(dx * dx + dy * dy + dz * dz)))
    # Pose 1's zero of angle about the axis, seen in pose 0's frame.
    x, y, z = _square(h1[HEAD + 3], h1[HEAD + 4], h1[HEAD + 5])
    x, y, z = _turn_back(h0, h1, x, y, z)
    ex, ey, ez = _square(a0x, a0y, a0z)
    fx, fy, fz = a0y * ez - a0z * ey, a0z * ex - a0x * ez, a0x * ey - a0y * ex
    zero = math.atan2(x * fx + y * fy + z * fz, x * ex + y * ey + z * ez)
    far = moved = 0.0
    for i in range(int(b0[1])):
        r, d = _in_frame(h0, b0, i)
        far = max(far, math.sqrt(r * r + d * d))
        r, d = _in_frame(h1, b1, i)
        far = max(far, math.sqrt(r * r + d * d))
        if b0[0] < RING:
            k = HEAD + 3 * i
            x = b1[k] - h1[HEAD] - b0[k] + h0[HEAD]
            y = b1[k + 1] - h1[HEAD + 1] - b0[k + 1] + h0[HEAD + 1]
            z = b1[k + 2] - h1[HEAD + 2] - b0[k + 2] + h0[HEAD + 2]
            moved = max(moved, math.sqrt(x * x + y * y + z * z))
    if b0[0] >= RING:
        moved = _shift(h0, h1, b0, b1) + angle * far
    bound = 1e300
    for i in range(n):
        ux, uy, uz = _turn_back(h0, h1, spans[i, 3], spans[i, 4], spans[i, 5])
        h0[4], h0[7] = spans[i, 0] + zero, spans[i, 1]
        low = -1e300
        if ux * ux + uy * uy + uz * uz > 0.5:
            low = min(spans[i, 2], _gap(h0, b0, ux, uy, uz))
        bound = min(bound, low)
    if n == 0:
        bound = min(_all_round(h0, b0, h1, b1), _all_round(h1, b1, h0, b0))
    limit = -max(h1[3], max(_half_width(b0), _half_width(b1)))
    return max(bound, limit) - (angle * angle * far + 2.0 * angle * moved) / 8.0


# ---------------------------------------------------------------- parts over a column of travel


@_inner
def _load_piece(data, meta, fixed, piece, row, step, t, origin, s):
    """Load a piece at travel row + t (0 <= t <= 1, step rows apart); False when unknown."""
    stride = meta[piece, 1]
    at = meta[piece, 0] + row * stride
    upper = at + step * stride if t > 0.0 else at
    return _load(fixed, meta[piece, 3], data, at, upper, t, origin, s)


@_inner
def _turning(now, before):
    """How far a ring's points leave their chords as its axis turns and it is stretched:
    (reach * angle^2 + 2 * stretch * angle) / 8."""
    if now[0] != RING:
        return 0.0
    k = HEAD + 3
    dx, dy, dz = now[k] - before[k], now[k + 1] - before[k + 1], now[k + 2] - before[k + 2]
    half = 0.5 * math.sqrt(dx * dx + dy * dy + dz * dz)
    angle = 2.0 * math.asin(min(half, 1.0))
    stretch = 0.0
    for i in range(int(now[1])):
        k = ARCS + 7 * i + 1
        stretch = max(stretch, abs(now[k] - before[k]))
    return (now[5] * angle + 2.0 * stretch) * angle / 8.0


@_inner
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
    x, y, z = _turn_back(s, e, ux, uy, uz)
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
        r, h, _own = _arc_point(s, i, nr, ny)
        k = ARCS + 7 * i + 1
        best = max(best, q * r + d * h + along * (e[k] - s[k]))
    return 0.5 * (base + best)


@_inner
def _between(a0, b0, a1, b1, cert0, cert1):
    """Lower bound of the clearance while all points move straight from pose 0 to pose 1.

    One plane at either end, u0 and u1: with the direction u0 + t (u1 - u0) every u·(b - a) is a
    quadratic in t, which nowhere passes below its three Bernstein coefficients. A direction that
    follows the motion keeps edges and flats in line, where a fixed one would lose (length x angle).
    Otherwise the better of the two ends' certificates, held fixed.
    """
    if cert0[16] >= 0.0 or cert1[16] >= 0.0:
        first = min(_proved(a0, b0, cert0), _proved(a1, b1, cert0))
        return max(first, min(_proved(a0, b0, cert1), _proved(a1, b1, cert1)))
    ux, uy, uz = cert0[1], cert0[2], cert0[3]
    vx, vy, vz = cert1[1], cert1[2], cert1[3]
    margin = a0[2] + b0[2]
    value = min(_gap(a0, b0, ux, uy, uz), _gap(a1, b1, vx, vy, vz)) + margin
    mixed = -_mixed_height(b0, b1, -ux, -uy, -uz, -vx, -vy, -vz)
    value = min(value, mixed - _mixed_height(a0, a1, ux, uy, uz, vx, vy, vz))
    if value < 0.0:
        length = math.sqrt((ux + vx) ** 2 + (uy + vy) ** 2 + (uz + vz) ** 2)
        if length < 1e-3:
            return -1e300
        value *= 2.0 / length
    return value - margin


@_inner
def _load_hollow(data, meta, fixed, blank, ia, ib, row, step, t, origin, a, b, hollow):
    """Load the whole outline of whichever of two pieces is hollow (a first)."""
    if a[6] > 0.0 or b[6] > 0.0:
        k = meta[ia if a[6] > 0.0 else ib, 4]
        _copy(hollow, blank[k])
        _load_piece(data, meta, fixed, k, row, step, t, origin, hollow)


@_inner
def _figure(a, b, hollow, eps, stop, ws, cert, out):
    """`_pair` for two loaded pieces, with a hollow one's bore opened where that matters.

    Returns the number of sectors looked at, or -1 where the filled ring's answer stands.
    """
    if a[6] == 0.0 and b[6] == 0.0:
        _pair(a, b, eps, ws, cert, out)
        return -1
    near = ws[4]
    ux, uy, uz = _guess(a, b, cert)
    apart = _separate(a, b, ux, uy, uz, 0.5 * eps, ws[0], ws[1], ws[2], ws[3], near)
    at = 2 if a[6] > 0.0 else 5
    if apart and near[1] - a[2] - b[2] > 0.0 and _polish(a, b, eps, near, cert, out):
        if _field(hollow, out[at], out[at + 1], out[at + 2])[0] <= 1e-7:
            return -1
    else:
        _one_plane(cert, ux, uy, uz)
        x, y, z = _middle(b if a[6] > 0.0 else a)
        for j in range(2, 8, 3):
            out[j], out[j + 1], out[j + 2] = x, y, z
    if a[6] > 0.0:
        return _open_bore(hollow, b, eps, stop, ws, out)
    _swap(out)
    n = _open_bore(hollow, a, eps, stop, ws, out)
    _swap(out)
    return n


@_inner
def _swap(out):
    for j in range(2, 5):
        out[j], out[j + 3] = out[j + 3], out[j]


@_inner
def _worst_piece(lower, settled, n):
    best, at = 1e300, -1
    for p in range(n):
        if not settled[p] and lower[p] < best:
            best, at = lower[p], p
    return at


@_inner
def _over_interval(
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
    a, b = pieces
    for end in range(2):
        at = float(end)
        _load_piece(data, meta, fixed, a, row, step, at, origin, four[0])
        _load_piece(data, meta, fixed, b, row, step, at, origin, four[1])
        _pair(four[0], four[1], eps, ws, stack[end], out)
    spans[0, 0], spans[0, 1] = 0.0, 1.0
    n = 1
    result[0] = 1e300
    while n > 0:
        n -= 1
        t0, t1 = spans[n, 0], spans[n, 1]
        _load_piece(data, meta, fixed, a, row, step, t0, origin, four[0])
        _load_piece(data, meta, fixed, b, row, step, t0, origin, four[1])
        _load_piece(data, meta, fixed, a, row, step, t1, origin, four[2])
        _load_piece(data, meta, fixed, b, row, step, t1, origin, four[3])
        bound = _between(four[0], four[1], four[2], four[3], stack[2 * n], stack[2 * n + 1])
        # Several planes (a deep overlap) close in slowly: there a few halvings must do.
        least = 1e-3 if stack[2 * n, 16] < 0.0 and stack[2 * n + 1, 16] < 0.0 else 0.1
        if bound >= min(target, result[1]) - eps or t1 - t0 < least:
            result[0] = min(result[0], bound)
            continue
        mid = 0.5 * (t0 + t1)
        _load_piece(data, meta, fixed, a, row, step, mid, origin, four[0])
        _load_piece(data, meta, fixed, b, row, step, mid, origin, four[1])
        _copy(trial, stack[2 * n])
        _pair(four[0], four[1], eps, ws, trial, out)
        if out[0] < result[1]:
            result[1], result[2] = out[0], mid
        _copy(stack[2 * n + 3], stack[2 * n + 1])
        _copy(stack[2 * n + 2], trial)
        _copy(stack[2 * n + 1], trial)
        spans[n, 0], spans[n, 1] = t0, mid
        spans[n + 1, 0], spans[n + 1, 1] = mid, t1
        n += 2


@_inner
def _run_pair(
    data,
    meta,
    fixed,
    blank,
    ids_a,
    ids_b,
    nz,
    ns,
    tol,
    cutoff,
    worst_only,
    origin,
    sagitta_a,
    sagitta_b,
    low,
    high,
    point_a,
    point_b,
    between,
    at,
):
    """Clearance of two parts over the grid; fills the last six arrays. Unknown poses stay NaN."""
    na, nb = len(ids_a), len(ids_b)
    n = na * nb
    eps = 0.9 * tol
    width = blank.shape[1]
    side_a, side_b = np.empty((2, na, width)), np.empty((2, nb, width))
    for k in range(2):
        for i in range(na):
            _copy(side_a[k, i], blank[ids_a[i]])
        for i in range(nb):
            _copy(side_b[k, i], blank[ids_b[i]])
    four, hollow, hollow0 = np.empty((4, width)), np.empty(width), np.empty(width)
    bore = np.zeros(n)
    ws = _workspace()
    certs, before = np.zeros((n, 32)), np.zeros((n, 32))
    stack, spans, trial = np.zeros((32, 32)), np.zeros((16, 2)), np.zeros(32)
    lower, carried, proven, last = np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n)
    settled, opened = np.zeros(n, np.bool_), np.zeros(n, np.bool_)
    out, result = np.zeros(8), np.zeros(3)
    worst, still = cutoff, 0.0
    for js in range(ns):
        known_before, first = False, -1
        for p in range(n):
            certs[p, 0] = -1.0
        for iz in range(nz):
            k = iz % 2
            row = iz * ns + js
            known = True
            for i in range(na):
                known &= _load_piece(
                    data, meta, fixed, ids_a[i], row, ns, still, origin, side_a[k, i]
                )
            for i in range(nb):
                known &= _load_piece(
                    data, meta, fixed, ids_b[i], row, ns, still, origin, side_b[k, i]
                )
            if not known:
                known_before = False
                continue
            for p in range(n):
                a, b = side_a[k, p // nb], side_b[k, p % nb]
                if certs[p, 0] < 0.0:  # none yet; 0 is a weight like another
                    _clear(certs[p], 0 * n, len(certs[p]))
                    ux, uy, uz = _guess(a, b, certs[p])
                    _one_plane(certs[p], ux, uy, uz)
                carried[p] = _proved(a, b, certs[p])
                lower[p] = proven[p] = carried[p]
                settled[p] = opened[p] = False
            limit = worst if worst_only else cutoff
            best = limit
            winner = first
            while True:
                # The last position's nearest pieces first: what they give spares the others.
                p = first if first >= 0 and not settled[first] else _worst_piece(lower, settled, n)
                if p < 0 or lower[p] >= best - (eps if best < limit else 0.0):
                    break
                _copy(before[p], certs[p])
                settled[p] = True
                a, b = side_a[k, p // nb], side_b[k, p % nb]
                stop = best - eps
                ia, ib = ids_a[p // nb], ids_b[p % nb]
                _load_hollow(data, meta, fixed, blank, ia, ib, row, ns, still, origin, a, b, hollow)
                sectors = _figure(a, b, hollow, eps, stop, ws, certs[p], out)
                bore[p] = -1e300
                if sectors >= 0 and known_before:
                    _load_hollow(
                        data, meta, fixed, blank, ia, ib, row - ns, ns, still, origin, a, b, hollow0
                    )
                    a0, b0 = side_a[1 - k, p // nb], side_b[1 - k, p % nb]
                    b0, b1 = (b0, b) if a[6] > 0.0 else (a0, a)
                    bore[p] = _bore_between(hollow0, b0, hollow, b1, ws[11], sectors)
                opened[p] = sectors >= 0
                lower[p] = max(lower[p], out[0])
                # What the certificate itself proves: of an opened ring, only the filled one.
                proven[p] = out[0] if sectors < 0 else _proved(a, b, certs[p])
                if out[1] < high[iz, js]:
                    high[iz, js] = out[1]
                    winner = p
                    for j in range(3):
                        point_a[iz, js, j] = out[2 + j] + origin[j]
                        point_b[iz, js, j] = out[5 + j] + origin[j]
                best = min(best, out[1])
            first = winner
            worst = min(worst, best)
            low[iz, js] = np.min(lower) - ROUNDING
            if known_before:
                target = min(low[iz - 1, js], low[iz, js])
                result[1], result[2] = target, 0.0 if low[iz - 1, js] <= low[iz, js] else 1.0
                total = 1e300
                for p in range(n):
                    i, j = p // nb, p % nb
                    # The plain check first: the last certificate, held fixed, is mostly enough.
                    bound = min(last[p], carried[p])
                    if bound < min(target, result[1]) - 0.5 * eps and settled[p]:
                        bound = _between(side_a[1 - k, i], side_b[1 - k, j], side_a[k, i],
                                         side_b[k, j], before[p], certs[p])  # fmt: skip
                    if settled[p] and opened[p]:
                        bound = max(bound, bore[p])
                    elif bound < min(target, result[1]) - 0.5 * eps and bound < limit:
                        _copy(stack[0], before[p] if settled[p] else certs[p])
                        _copy(stack[1], certs[p])
                        for e in range(4):
                            _copy(four[e], blank[ids_a[i] if e % 2 == 0 else ids_b[j]])
                        _over_interval(
                            data,
                            meta,
                            fixed,
                            (ids_a[i], ids_b[j]),
                            row - ns,
                            ns,
                            origin,
                            four,
                            stack,
                            spans,
                            target,
                            0.5 * eps,
                            ws,
                            trial,
                            out,
                            result,
                        )
                        bound = result[0]
                    bound -= _turning(side_a[k, i], side_a[1 - k, i])
                    bound -= _turning(side_b[k, j], side_b[1 - k, j])
                    total = min(total, bound - sagitta_a[i, iz - 1, js] - sagitta_b[j, iz - 1, js])
                between[iz - 1, js] = total - ROUNDING
                at[iz - 1, js] = result[2]
            _copy(last, proven)
            known_before = True


@_entry(
    types.void(
        _F1, _I2, _F1, _F2, _F2, _I1, _I1, _I2, _I2, types.float64, types.float64, types.boolean,
        _F3, _F3, _F3, _F4, _F4, _F3, _F3,
    )
)  # fmt: skip
def run_pairs(
    data,
    meta,
    fixed,
    blank,
    middle,
    ids,
    first,
    pairs,
    grid,
    tol,
    cutoff,
    worst_only,
    sagitta,
    low,
    high,
    point_a,
    point_b,
    between,
    at,
):
    """Clearance of pairs of parts over a travel x rack grid; fills the last six arrays.

    Part i has the pieces ids[first[i] : first[i + 1]]. pairs : (n, 3) two parts and the row of the
    results to fill. grid : (1, 2) travel and rack positions. sagitta : (len(ids), nz - 1, ns).
    """
    nz, ns = grid[0, 0], grid[0, 1]
    for k in range(len(pairs)):
        i, j, row = pairs[k, 0], pairs[k, 1], pairs[k, 2]
        ids_a, ids_b = ids[first[i] : first[i + 1]], ids[first[j] : first[j + 1]]
        origin = 0.5 * (middle[ids_a[0]] + middle[ids_b[0]])
        _run_pair(data, meta, fixed, blank, ids_a, ids_b, nz, ns, tol, cutoff, worst_only, origin,
                  sagitta[first[i] : first[i + 1]], sagitta[first[j] : first[j + 1]],
                  low[row], high[row], point_a[row], point_b[row], between[row],
                  at[row])  # fmt: skip


# ---------------------------------------------------------------- scans


@_inner
def _triangle(triangles, i, s):
    """Write a triangle as a bare sheet."""
    s[0], s[1], s[2], s[6] = 1.0, 3.0, 0.0, 0.0
    for j in range(9):
        s[HEAD + j] = triangles[i, j]


@_inner
def _held_bound(u, x, y, z, b0, b1):
    """Distance of a fixed point from the slab side u of a piece at both ends of its motion."""
    at = u[0] * x + u[1] * y + u[2] * z
    return at - max(_height(b0, u[0], u[1], u[2]), _height(b1, u[0], u[1], u[2]))


@_inner
def _node_bound(b0, b1, hollow, moving, u, x, y, z, radius):
    """Lower bound for all within a ball: at pose 1, or over the motion from 0 to 1."""
    if hollow[0] > 0.0:
        return _field(hollow, x, y, z)[0] - radius
    v, u[0], u[1], u[2] = _field(b1, x, y, z)
    if moving:
        v = _held_bound(u, x, y, z, b0, b1)
    return v - radius


@_inner
def _over_mesh(
    triangles,
    centre,
    radius,
    leaf,
    b0,
    b1,
    hollow,
    moving,
    start,
    best,
    eps,
    ws,
    stack,
    tri,
    work,
    out,
    result,
):
    """Least clearance of a mesh and a piece at pose 1, or bounded over its motion from pose 0.

    Depth first through a tree of balls, nearer branch first. result: low, high, point on the mesh,
    point on the piece; returns the nearest triangle. `best` is a value to start from.
    """
    cert0, cert1, u = work
    low = 1e300
    nodes = len(radius)
    first_leaf = nodes // 2
    stack[0, 0], stack[0, 1] = 0.0, -1e300
    n = 1
    nearest = start
    result[1] = best
    while n > 0:
        n -= 1
        node, bound = int(stack[n, 0]), stack[n, 1]
        if bound >= result[1] - eps:
            low = min(low, bound)
            continue
        if node < first_leaf:
            near, far = 2 * node + 1, 2 * node + 2
            bn = bf = 1e300
            if radius[near] >= 0.0:
                x, y, z = centre[near, 0], centre[near, 1], centre[near, 2]
                bn = _node_bound(b0, b1, hollow, moving, u, x, y, z, radius[near])
            if radius[far] >= 0.0:
                x, y, z = centre[far, 0], centre[far, 1], centre[far, 2]
                bf = _node_bound(b0, b1, hollow, moving, u, x, y, z, radius[far])
            if bf < bn:
                near, far, bn, bf = far, near, bf, bn
            stack[n, 0], stack[n, 1] = far, bf
            stack[n + 1, 0], stack[n + 1, 1] = near, bn
            n += 2
            continue
        begin = (node - first_leaf) * leaf
        for i in range(begin, min(begin + leaf, len(triangles))):
            x = (triangles[i, 0] + triangles[i, 3] + triangles[i, 6]) / 3.0
            y = (triangles[i, 1] + triangles[i, 4] + triangles[i, 7]) / 3.0
            z = (triangles[i, 2] + triangles[i, 5] + triangles[i, 8]) / 3.0
            reach = 0.0
            for j in range(0, 9, 3):
                r = (triangles[i, j] - x) ** 2 + (triangles[i, j + 1] - y) ** 2
                reach = max(reach, r + (triangles[i, j + 2] - z) ** 2)
            bound = _node_bound(b0, b1, hollow, moving, u, x, y, z, math.sqrt(reach))
            if bound >= result[1] - eps:
                low = min(low, bound)
                continue
            _triangle(triangles, i, tri)
            cert1[0] = 0.0
            _figure(tri, b1, hollow, eps, result[1] - eps, ws, cert1, out)
            if moving:
                _copy(cert0, cert1)
                out[0] = _between(tri, b0, tri, b1, cert1, cert1)
                if out[0] < result[1] - eps:
                    _pair(tri, b0, eps, ws, cert0, out)
                    out[0] = _between(tri, b0, tri, b1, cert0, cert1)
                low = min(low, out[0])
                continue
            low = min(low, out[0])
            if out[1] < result[1]:
                nearest = i
                for j in range(1, 8):
                    result[j] = out[j]
    result[0] = low
    return nearest


@_entry(
    types.void(
        _F2, _F2, _F1, types.int64, _F1, _I2, _F1, _F2, types.int64, types.int64, types.int64,
        types.float64, types.float64, _F2, _F2, _F2, _F3, _F3, _F2,
    )
)  # fmt: skip
def run_mesh(
    triangles,
    centre,
    radius,
    leaf,
    data,
    meta,
    fixed,
    blank,
    piece,
    nz,
    ns,
    tol,
    cutoff,
    sagitta,
    low,
    high,
    point_a,
    point_b,
    between,
):
    """Clearance of a mesh that stands still and a piece that moves; fills the last five arrays.

    triangles : (m, 9) in the order of the tree's leaves, `leaf` a leaf; centre, radius : balls of
    the implicit binary tree (children of i: 2 i + 1, 2 i + 2), radius -1 where it is empty.
    """
    eps = 0.9 * tol
    width = max(blank.shape[1], HEAD + 9)
    sides, hollow, tri = np.zeros((2, width)), np.zeros(width), np.zeros(width)
    for k in range(2):
        for j in range(blank.shape[1]):
            sides[k, j] = blank[piece, j]
    ws = _workspace()
    stack = np.empty((128, 2))
    work = np.zeros(32), np.zeros(32), np.zeros(3)
    out, result = np.zeros(8), np.zeros(8)
    origin = np.zeros(3)
    still = 0.0
    for js in range(ns):
        known_before, start = False, -1
        for iz in range(nz):
            k = iz % 2
            row = iz * ns + js
            b0, b1 = sides[1 - k], sides[k]
            if not _load_piece(data, meta, fixed, piece, row, ns, still, origin, b1):
                known_before = False
                continue
            if b1[6] > 0.0:
                _copy(hollow, blank[meta[piece, 4]])
                _load_piece(data, meta, fixed, meta[piece, 4], row, ns, still, origin, hollow)
            best = cutoff
            result[2] = np.nan
            if start >= 0:  # the last position's nearest triangle gives a value to beat
                _triangle(triangles, start, tri)
                work[0][0] = 0.0
                _figure(tri, b1, hollow, eps, 1e300, ws, work[0], out)
                if out[1] < best:
                    best = out[1]
                    for j in range(2, 8):
                        result[j] = out[j]
            start = _over_mesh(
                triangles,
                centre,
                radius,
                leaf,
                b0,
                b1,
                hollow,
                False,
                start,
                best,
                eps,
                ws,
                stack,
                tri,
                work,
                out,
                result,
            )
            low[iz, js] = min(result[0], result[1]) - ROUNDING
            if result[2] == result[2]:
                high[iz, js] = result[1]
                for j in range(3):
                    point_a[iz, js, j], point_b[iz, js, j] = result[2 + j], result[5 + j]
            if known_before:
                target = min(low[iz - 1, js], low[iz, js])
                if hollow[0] > 0.0:
                    angle = 0.0
                    for j in range(3, 6):
                        angle += (b1[HEAD + j] - b0[HEAD + j]) ** 2
                    moved = b1[5] * 0.5 * math.pi * math.sqrt(angle)
                    angle = 0.0
                    for j in range(3):
                        angle += (b1[HEAD + j] - b0[HEAD + j]) ** 2
                    bound = target - 0.5 * (moved + math.sqrt(angle))
                else:
                    _over_mesh(
                        triangles,
                        centre,
                        radius,
                        leaf,
                        b0,
                        b1,
                        hollow,
                        True,
                        start,
                        target,
                        0.5 * eps,
                        ws,
                        stack,
                        tri,
                        work,
                        out,
                        result,
                    )
                    bound = result[0]
                bound = min(bound, target) - _turning(b1, b0)
                between[iz - 1, js] = bound - sagitta[iz - 1, js] - ROUNDING
            known_before = True
