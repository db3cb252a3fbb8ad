"""The compiled kernels of clearance: the only compiled file of the project.

Every function also runs uncompiled (NUMBA_DISABLE_JIT=1, or `.py_func`), which is the oracle of its
compiled form. Loading this module loads numba: import it only when clearance is first used.

A piece at a pose is one flat buffer (`pack.py` writes the constant part, `_load` the rest):

    [KIND, COUNT, MARGIN, REACH, FACES or SWING, ...] then at HEAD
    rod, sheet, block   COUNT points; a block then has FACES planes (n, offset), then FACES
                        lists of corners, each preceded by its length
    ring                centre (3), axis (3), then COUNT arcs (r, y, radius, from, to); s[7] is
                        how far it is stretched

A hollow ring is stored twice: filled, and as a SECTOR with the arcs of its whole outline, of which
a part counts (`_take_angles`, which writes eight numbers behind the arcs); s[6] of the filled one
is 1.

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
from threading import Lock
from typing import Any

import numba
import numpy as np
from numba import types

ROD, SHEET, BLOCK, RING, SECTOR = 0, 1, 2, 3, 4
HEAD = 8
ARCS = HEAD + 6
CUTS = 512
#: A sector looked at: angle and half angle about the axis, bound, direction (3), the other ring's
#: angle and half angle where that is open too; 2 while the bound is only the last position's less
#: the way gone since, 1 while it is that of its direction held.
SPAN = 9
#: As many of them as are remembered of a pair of pieces.
KEPT = 160
#: A piece is measured to the last digit while it is no more than this farther than the nearest, mm.
AHEAD = 1.0
#: Rounding allowance taken off every lower bound, mm (coordinates are local to the pair).
ROUNDING = 1e-9

_F1 = types.Array(types.float64, 1, "C")
_F2 = types.Array(types.float64, 2, "C")
_F3 = types.Array(types.float64, 3, "C")
_F4 = types.Array(types.float64, 4, "C")
_I1 = types.Array(types.int64, 1, "C")
_I2 = types.Array(types.int64, 2, "C")
_I3 = types.Array(types.int64, 3, "C")


class Entry:
    """A function compiled with one signature, from the cache where one can be written, when it is
    first called: to load each takes a tenth of a second."""

    def __init__(self, signature: Any, function: Any) -> None:
        self.signature, self.py_func = signature, function
        self._compiled: Any = None
        self._lock = Lock()

    def load(self) -> Any:
        """The compiled function."""
        with self._lock:
            if self._compiled is None:
                how = {"nogil": True, "error_model": "numpy"}
                try:
                    made = numba.njit(self.signature, cache=True, **how)(self.py_func)
                except RuntimeError:  # no folder to keep the cache in: compile for this run only
                    made = numba.njit(self.signature, **how)(self.py_func)
                self._compiled = made
        return self._compiled

    def __call__(self, *args: Any) -> None:
        """Call it, compiling or loading it first."""
        (self._compiled or self.load())(*args)


def _entry(signature: Any) -> Callable[[Any], Entry]:
    return lambda function: Entry(signature, function)


def compile_all() -> None:
    """Compile all that is compiled, once for a machine, or load it."""
    for entry in (run_pairs, run_places, run_mesh):
        entry.load()


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
        s[7] = stretch
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
    """Furthest point of the core of a sector of a ring: of the hull of its arcs of circles.

    Behind the arcs stand the direction of the sector's middle, the one a right angle on, and the
    cosine and sine of its half angle (`_take_sector`).
    """
    k = ARCS + 7 * int(s[1])
    mx, my, mz, tx, ty, tz = s[k], s[k + 1], s[k + 2], s[k + 3], s[k + 4], s[k + 5]
    ax, ay, az = s[HEAD + 3], s[HEAD + 4], s[HEAD + 5]
    d = x * ax + y * ay + z * az
    u, v = x * mx + y * my + z * mz, x * tx + y * ty + z * tz
    q = math.sqrt(u * u + v * v)
    if u >= q * s[k + 6]:
        c, w = (u / q, v / q) if q > 0.0 else (1.0, 0.0)
    else:
        c, w = s[k + 6], s[k + 7] if v > 0.0 else -s[k + 7]
        q = c * u + w * v
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
    px, py, pz = c * mx + w * tx, c * my + w * ty, c * mz + w * tz
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
def _separate(a, b, ux, uy, uz, eps, enough, w, p, weight, trial, out):
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
        ax, ay, az = _support(a, x, y, z)
        bx, by, bz = _support(b, -x, -y, -z)
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
        for i in range(n, 4):
            weight[i] = 0.0
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
    """A point of both cores, once their difference is found to hold the origin: by the weights of
    a corner, edge or triangle that holds it, else by the volumes opposite a tetrahedron's corners.
    """
    if weight[0] > 0.0:
        n = 1
        while n < 3 and weight[n] > 0.0:
            n += 1
        return _combine(p, weight, n)
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
def _polish(a, b, eps, steps, near, cert, out):
    """Points on both surfaces and a plane between them, by projecting to and fro.

    near: result of `_separate`. out: low, high, point on a (3), point on b (3).
    Returns False where the pieces turn out to touch.
    """
    ux, uy, uz = near[2], near[3], near[4]
    out[0] = near[0] - a[2] - b[2]
    x, y, z = near[8] - b[2] * ux, near[9] - b[2] * uy, near[10] - b[2] * uz
    out[1] = 1e300
    for _ in range(steps):
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
def _from_seed(a, b, eps, near, seed, cert, out):
    """`_polish` from the last position's points, carried on by as much as they moved last. False
    where that is not good enough."""
    ux, uy, uz = cert[1], cert[2], cert[3]
    near[0] = -1e300
    near[2], near[3], near[4] = ux, uy, uz
    near[8] = seed[3] + seed[9] + b[2] * ux
    near[9] = seed[4] + seed[10] + b[2] * uy
    near[10] = seed[5] + seed[11] + b[2] * uz
    return _polish(a, b, eps, 2, near, cert, out) and out[1] - out[0] <= eps


@_inner
def _pair(a, b, eps, stop, ws, cert, out):
    """Clearance of two pieces at a pose, starting from and leaving behind a certificate.

    out: low, high, point on a (3), point on b (3). Ends early, with a high of 1e300 and no points,
    once the lower bound reaches `stop`.
    """
    w, p, weight, trial, near = ws[0], ws[1], ws[2], ws[3], ws[4]
    ux, uy, uz = _guess(a, b, cert)
    enough = stop + a[2] + b[2]
    apart = _separate(a, b, ux, uy, uz, 0.5 * eps, enough, w, p, weight, trial, near)
    if apart and near[0] >= enough:
        _one_plane(cert, near[2], near[3], near[4])
        out[0], out[1] = near[0] - a[2] - b[2], 1e300
        return
    if apart and near[1] - a[2] - b[2] > 0.0 and _polish(a, b, eps, 30, near, cert, out):
        return
    if not apart:
        x, y, z = _common_point(w, p, weight)
        near[2], near[3], near[4] = ux, uy, uz
        near[5], near[6], near[7] = x, y, z
        near[8], near[9], near[10] = x, y, z
    _overlap(a, b, apart, eps, near, ws, cert, out)


@_inner
def _workspace(n):
    """Scratch for `_pair`: two simplices, weights (2), nearest points, then the search's own; and
    for `_nearest` over n pairs of pieces."""
    vectors = (np.empty(4), np.empty(4), np.empty(4), np.empty(4))
    return (
        np.empty((4, 3)), np.empty((4, 3)), np.empty(4), np.empty(4), np.empty(16),
        np.empty((4, 4)), vectors, np.empty((CUTS, 5)), np.zeros(4, np.int64), np.zeros(16),
        np.zeros(8), np.empty((600, SPAN)), np.zeros(8), np.zeros((3, n)), np.zeros(8),
        np.zeros(15),
    )  # fmt: skip


# ---------------------------------------------------------------- open bores


@_inner
def _half_width(s):
    """No point of a convex piece lies deeper in it than this."""
    if s[0] <= SHEET:
        return s[2]
    if s[0] == SECTOR:
        return s[3]
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
    v, gx, gy, gz = _field(h, x, y, z)
    for _ in range(20):
        px, py, pz = x - v * gx, y - v * gy, z - v * gz
        way, gx, gy, gz = _field(b, px, py, pz)
        if way <= 0.0 or way > last - 0.02 * eps:
            break
        last = way
        x, y, z = px - way * gx, py - way * gy, pz - way * gz
        v, gx, gy, gz = _field(h, x, y, z)
        if way < out[1] and v > 0.0:
            out[1] = way
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
def _point_at(s, angle):
    """A point in the metal of a hollow ring, at an angle about its axis."""
    ax, ay, az = s[HEAD + 3], s[HEAD + 4], s[HEAD + 5]
    ex, ey, ez = _square(ax, ay, az)
    fx, fy, fz = ay * ez - az * ey, az * ex - ax * ez, ax * ey - ay * ex
    c, w = s[5] * math.cos(angle), s[5] * math.sin(angle)
    return (
        s[HEAD] + c * ex + w * fx,
        s[HEAD + 1] + c * ey + w * fy,
        s[HEAD + 2] + c * ez + w * fz,
    )


@_inner
def _angle_of(s, x, y, z):
    """The angle of a point about a ring's axis."""
    ax, ay, az = s[HEAD + 3], s[HEAD + 4], s[HEAD + 5]
    ex, ey, ez = _square(ax, ay, az)
    fx, fy, fz = ay * ez - az * ey, az * ex - ax * ez, ax * ey - ay * ex
    px, py, pz = x - s[HEAD], y - s[HEAD + 1], z - s[HEAD + 2]
    return math.atan2(px * fx + py * fy + pz * fz, px * ex + py * ey + pz * ez)


@_inner
def _take_angles(s, middle, half):
    """Let only the part of a hollow ring within `half` of an angle count (pi: all of it)."""
    ax, ay, az = s[HEAD + 3], s[HEAD + 4], s[HEAD + 5]
    ex, ey, ez = _square(ax, ay, az)
    fx, fy, fz = ay * ez - az * ey, az * ex - ax * ez, ax * ey - ay * ex
    c, w = math.cos(middle), math.sin(middle)
    k = ARCS + 7 * int(s[1])
    s[k], s[k + 1], s[k + 2] = c * ex + w * fx, c * ey + w * fy, c * ez + w * fz
    s[k + 3], s[k + 4], s[k + 5] = c * fx - w * ex, c * fy - w * ey, c * fz - w * ez
    s[k + 6], s[k + 7] = math.cos(half), math.sin(half)


@_inner
def _take_sector(h, b, span):
    _take_angles(h, span[0], span[1])
    if b[0] == SECTOR:
        _take_angles(b, span[6], span[7])


@_inner
def _sector_held(h, b, span):
    """Lower bound over a sector by the direction held for it, while it keeps the cores apart: a
    point within may be deeper in the ring than in the sector, which ends beside it."""
    x, y, z = span[3], span[4], span[5]
    if x * x + y * y + z * z < 0.5:
        return -1e300
    _take_sector(h, b, span)
    gap = _gap(h, b, x, y, z)
    return gap if gap >= -h[2] - b[2] else -1e300


@_inner
def _sector_bound(h, b, span, limit, eps, enough, ws, out):
    """Lower bound over a sector (see SPAN), no better than `enough`; better points are kept in
    out."""
    w, p, weight, trial, near = ws[0], ws[1], ws[2], ws[3], ws[4]
    _take_sector(h, b, span)
    x, y, z = span[3], span[4], span[5]
    if x * x + y * y + z * z < 0.5:
        ax, ay, az = _point_at(h, span[0])
        if b[0] == SECTOR:
            x, y, z = _point_at(b, span[6])
        else:
            x, y, z = _middle(b)
        x, y, z = x - ax, y - ay, z - az
        if x * x + y * y + z * z < 1e-12:
            x = 1.0
    margin = h[2] + b[2]
    bound = limit if max(span[1], span[7]) < 1.5e-3 else -1e300
    span[3] = span[4] = span[5] = 0.0
    apart = max(enough + margin, 0.0)
    if _separate(h, b, x, y, z, 0.25 * eps, apart, w, p, weight, trial, near):
        if near[0] >= 0.0:  # within, the sector's own ends would count: see `_sector_held`
            bound = max(bound, near[0] - margin)
        span[3], span[4], span[5] = near[2], near[3], near[4]
        if bound < enough and near[1] < 1e299:
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
def _outline_height(h, nr, ny):
    """Support function of a ring's outline in the (r, y) plane, for a unit normal."""
    best = -1e300
    for i in range(int(h[1])):
        r, y, _own = _arc_point(h, i, nr, ny)
        best = max(best, nr * r + ny * y)
    return best + h[2]


@_inner
def _arc_height(b, c, s, angle, half, frame):
    """No less than ring b's support function over the normals c e - s a of an arc of angles.

    Of each of its circles: the greatest along e, and the least slope of the normal to b's axis.
    frame: e's two directions and the axis a (3 each), and the origin.
    """
    turn, wind = math.cos(angle), math.sin(angle)
    near, off = math.cos(half), math.sin(half)
    bx, by, bz = b[HEAD + 3], b[HEAD + 4], b[HEAD + 5]
    ox, oy, oz = b[HEAD] - frame[9], b[HEAD + 1] - frame[10], b[HEAD + 2] - frame[11]
    ex, ey, ez = frame[0], frame[1], frame[2]
    fx, fy, fz = frame[3], frame[4], frame[5]
    ax, ay, az = frame[6], frame[7], frame[8]
    u, v = bx * ex + by * ey + bz * ez, bx * fx + by * fy + bz * fz
    along = bx * ax + by * ay + bz * az
    first, second = u * turn + v * wind, v * turn - u * wind
    p, q = ox * ex + oy * ey + oz * ez, ox * fx + oy * fy + oz * fz
    base = ox * ax + oy * ay + oz * az
    here, there = p * turn + q * wind, q * turn - p * wind
    if half < math.pi:
        spread = abs(second) * off
        low, high = min(first, first * near) - spread, max(first, first * near) + spread
    else:
        high = math.sqrt(u * u + v * v)
        low = -high
    low, high = c * low - s * along, c * high - s * along
    slope = max(0.0, max(low, -high))
    across = math.sqrt(max(0.0, 1.0 - slope * slope))
    best = -1e300
    for i in range(int(b[1])):
        k = ARCS + 7 * i
        y = b[k + 1]
        x, z = here + y * first, there + y * second
        if half >= math.pi or (x > 0.0 and abs(z) * near <= x * off):
            most = math.sqrt(x * x + z * z)
        else:
            most = x * near + abs(z) * off
        value = c * most - s * (base + y * along) + max(b[k], 0.0) * across + b[k + 2]
        best = max(best, value)
    return best


@_inner
def _shadow(h, b, nr, ny, x, y, z, enough, ws):
    """Lower bound from one normal (nr <= 0) of a hollow ring's outline, carried round its axis.

    Whatever the angle e about the axis a, the ring lies beyond its plane of normal |nr| e - ny a
    and b within its own: the least way between the two bounds either one's depth in the other, too.
    Of corners the farthest is known at once. Of a ring the circle of angles is divided, from the
    one of (x, y, z) on, until each arc keeps below: by `_arc_height`, or since its normals lie in
    the triangle of its ends and their tangents' meeting, at a corner of which a convex function is
    greatest. -1e300 where `enough` is not reached. Leaves in ws[15][12:] a point of b that goes
    farthest, or too far.
    """
    k = HEAD
    cx, cy, cz = h[k], h[k + 1], h[k + 2]
    ax, ay, az = h[k + 3], h[k + 4], h[k + 5]
    own = _outline_height(h, nr, ny)
    arcs, frame = ws[11], ws[15]
    if b[0] < RING:
        best = -1e300
        for k in range(HEAD, HEAD + 3 * int(b[1]), 3):
            r, d = _from_axis(h, b[k], b[k + 1], b[k + 2])
            if -nr * r - ny * d > best:
                best = -nr * r - ny * d
                frame[12], frame[13], frame[14] = b[k], b[k + 1], b[k + 2]
        return -best - b[2] - own
    need = -enough - own
    x, y, z = x - cx, y - cy, z - cz
    d = x * ax + y * ay + z * az
    x, y, z = x - d * ax, y - d * ay, z - d * az
    q = math.sqrt(x * x + y * y + z * z)
    ex, ey, ez = _outward(x, y, z, q, math.sqrt(q * q + d * d), ax, ay, az)
    fx, fy, fz = ay * ez - az * ey, az * ex - ax * ez, ax * ey - ay * ex
    frame[0], frame[1], frame[2], frame[3], frame[4], frame[5] = ex, ey, ez, fx, fy, fz
    frame[6], frame[7], frame[8], frame[9], frame[10], frame[11] = ax, ay, az, cx, cy, cz
    if _arc_height(b, -nr, ny, 0.0 * nr, math.pi, frame) <= need:
        return enough
    n = 8
    for i in range(n):
        arcs[i, 0], arcs[i, 1] = math.pi * i / 4.0, math.pi / 8.0
    while n > 0:
        n -= 1
        angle, half = arcs[n, 0], arcs[n, 1]
        if _arc_height(b, -nr, ny, angle, half, frame) <= need:
            continue
        for corner in range(2):
            turn = angle + half if corner == 0 else angle
            scale = -nr if corner == 0 else -nr / math.cos(half)
            c, w = scale * math.cos(turn), scale * math.sin(turn)
            x, y, z = (
                c * ex + w * fx - ny * ax,
                c * ey + w * fy - ny * ay,
                c * ez + w * fz - ny * az,
            )
            if _height(b, x, y, z) - x * cx - y * cy - z * cz > need:
                if corner == 0 or half < 1e-3 or n + 3 > len(arcs):
                    frame[12], frame[13], frame[14] = _support(b, x, y, z)
                    return -1e300
                for i in range(3):
                    arcs[n + i, 0], arcs[n + i, 1] = angle + (i - 1) * half / 1.5, half / 3.0
                n += 3
    return enough


@_inner
def _shadow_normal(h, b, turn, out):
    """The normal (r, y) of the outline to try: at b's nearest point so far, or where they overlap,
    every other time, against the one of b's surface there."""
    r, y = _from_axis(h, out[5], out[6], out[7])
    if out[1] > 0.0 or turn % 2 == 0:
        _value, nr, ny = _profile_field(h, r, y)
        return nr, ny
    _value, x, y, z = _field(b, out[2], out[3], out[4])
    ax, ay, az = h[HEAD + 3], h[HEAD + 4], h[HEAD + 5]
    ny = -(x * ax + y * ay + z * az)
    return -math.sqrt(max(1.0 - ny * ny, 0.0)), ny


@_inner
def _in_shadow(h, b, eps, stop, had, ws, out):
    """`_shadow` with the normal at the nearest points so far, which a point of b that goes beyond
    it may better, but where `had` sectors are known. Leaves in the first sector the bound, the
    normal (2) and b's nearest point."""
    spans, point = ws[11], ws[15]
    best = -1e300
    best_r = best_y = 0.0
    for turn in range(4):
        if out[1] > 1e299:
            break
        nr, ny = _shadow_normal(h, b, turn, out)
        high = out[1]
        if nr <= 0.0:
            enough = min(stop, high - 0.99 * eps)
            low = _shadow(h, b, nr, ny, out[5], out[6], out[7], enough, ws)
            if low > best:
                best, best_r, best_y = low, nr, ny
            if best >= enough or had > 0:
                break
            x, y, z = point[12], point[13], point[14]
            _to_and_fro(h, b, x, y, z, eps, out)
            _held(h, b, x, y, z, out)
        if high > 0.0 and out[1] > high - 0.05 * eps:
            break
    spans[0, 2], spans[0, 3], spans[0, 4] = best, best_r, best_y
    spans[0, 5], spans[0, 6], spans[0, 7] = out[5], out[6], out[7]
    return best


@_inner
def _first_sectors(h, b, limit, eps, stop, ws, out):
    """Divide the circle anew, the first sector about the nearest point so far; how many."""
    spans = ws[11]
    at = _angle_of(h, out[2], out[3], out[4])
    other = _angle_of(b, out[5], out[6], out[7]) if b[0] == SECTOR else 0.0
    n = 64 if b[0] == SECTOR else 8
    for i in range(n):
        for j in range(SPAN):
            spans[i, j] = 0.0
        spans[i, 0], spans[i, 1] = at + math.pi * (i % 8) / 4.0, math.pi / 8.0
        if n > 8:
            spans[i, 6], spans[i, 7] = other + math.pi * (i // 8) / 4.0, math.pi / 8.0
        enough = min(stop, out[1] - eps)
        spans[i, 2] = _sector_bound(h, b, spans[i], limit, eps, enough, ws, out)
    return n


@_inner
def _core_at(b, t):
    k = HEAD
    return (
        b[k] + t * (b[k + 3] - b[k]),
        b[k + 1] + t * (b[k + 4] - b[k + 1]),
        b[k + 2] + t * (b[k + 5] - b[k + 2]),
    )


@_inner
def _from_axis(h, x, y, z):
    """Distance of a point from a ring's axis, and along it."""
    ax, ay, az = h[HEAD + 3], h[HEAD + 4], h[HEAD + 5]
    x, y, z = x - h[HEAD], y - h[HEAD + 1], z - h[HEAD + 2]
    d = x * ax + y * ay + z * az
    x, y, z = x - d * ax, y - d * ay, z - d * az
    return math.sqrt(x * x + y * y + z * z), d


@_inner
def _stretch_held(h, b, span):
    """Lower bound over a stretch of a rod by the normal held for it.

    The distance from the axis is convex along the rod: where the outline's normal (nr, ny) has
    nr <= 0 the ends of the stretch bound all of it; else its direction in space does.
    """
    nr, ny = span[3], span[4]
    least = 1e300
    for e in range(2):
        x, y, z = _core_at(b, span[e])
        if nr <= 0.0:
            r, d = _from_axis(h, x, y, z)
            value = nr * r + ny * d
        else:
            value = span[5] * x + span[6] * y + span[7] * z
        least = min(least, value)
    if nr > 0.0:
        return least - _height(h, span[5], span[6], span[7]) - b[2]
    best = -1e300
    for i in range(int(h[1])):
        r, d, _own = _arc_point(h, i, nr, ny)
        best = max(best, nr * r + ny * d)
    return least - best - h[2] - b[2]


@_inner
def _stretch_bound(h, b, span, eps, out):
    """Lower bound over a stretch of a rod by the normal at its middle; better points are kept."""
    x, y, z = _core_at(b, 0.5 * (span[0] + span[1]))
    r, d = _from_axis(h, x, y, z)
    value, span[3], span[4] = _profile_field(h, r, d)
    value, gx, gy, gz = _field(h, x, y, z)
    span[5], span[6], span[7] = gx, gy, gz
    if value - b[2] < out[1]:
        _to_and_fro(h, b, x, y, z, eps, out)
        _held(h, b, x, y, z, out)
        _held(h, b, x - b[2] * gx, y - b[2] * gy, z - b[2] * gz, out)
        _held(h, b, x - value * gx, y - value * gy, z - value * gz, out)
    return _stretch_held(h, b, span)


@_inner
def _rod_in_bore(h, b, eps, stop, limit, way, ws, kept, n, out):
    """`_open_bore` for a rod, by stretches of it: from, to, bound, normal (2), direction (3).

    A ring looks the same from all round, so that only the distance from its axis counts.
    """
    spans = ws[11]
    for i in range(n):
        _copy(spans[i], kept[i])
        spans[i, 2] = kept[i, 2] - way
        spans[i, 8] = 2.0
    if n <= 0:
        n = 3
        for i in range(n):
            spans[i, 0], spans[i, 1], spans[i, 8] = i / 3.0, (i + 1) / 3.0, 0.0
            spans[i, 2] = _stretch_bound(h, b, spans[i], eps, out)
    while True:
        least = 0
        for i in range(n):
            if spans[i, 2] < spans[least, 2]:
                least = i
        out[0] = spans[least, 2]
        if max(out[0], limit) >= min(stop, out[1] - eps):
            break
        if spans[least, 8] > 1.0:
            spans[least, 8] = 1.0
            spans[least, 2] = max(spans[least, 2], _stretch_held(h, b, spans[least]))
            continue
        if spans[least, 8] > 0.0:
            spans[least, 8] = 0.0
            spans[least, 2] = _stretch_bound(h, b, spans[least], eps, out)
            continue
        third = (spans[least, 1] - spans[least, 0]) / 3.0
        if third < 1e-6 or n + 1 >= KEPT:
            break
        start = spans[least, 0]
        for i in range(3):
            k = least if i == 0 else n + i - 1
            spans[k, 0], spans[k, 1], spans[k, 8] = start + third * i, start + third * (i + 1), 0.0
            spans[k, 2] = _stretch_bound(h, b, spans[k], eps, out)
        n += 2
    return n


@_inner
def _open_bore(h, b, eps, stop, way, ws, kept, n, out):
    """Clearance of a hollow ring h (a SECTOR) and a convex piece or another; the sectors used.

    out comes with points to start from, kept[:n] with the sectors of a position since which no
    point of either was moved farther than `way` against the other. One normal all round may do
    (0 sectors); else branch and bound: the hull of a sector exceeds the ring only by
    r (1 - cos half), on its inner side.
    Where the ring itself is entered deeper than its rounded edges, the bound is the depth neither
    can exceed, and the calculation error says so. Ends early once the bound reaches `stop`.
    """
    spans = ws[11]
    _take_angles(h, 0.0, math.pi)
    if b[0] == SECTOR:
        _take_angles(b, 0.0, math.pi)
    x, y, z = out[5], out[6], out[7]
    v, gx, gy, gz = _field(b, x, y, z)
    if v > 0.0:
        x, y, z = x - v * gx, y - v * gy, z - v * gz
    out[1] = 1e300
    _to_and_fro(h, b, x, y, z, eps, out)
    if out[1] > 1e299:
        _held(h, b, x, y, z, out)
    out[0] = _in_shadow(h, b, eps, stop, n, ws, out)
    if out[0] >= min(stop, out[1] - eps):
        return 0
    limit = out[0]
    if min(stop, out[1] - eps) <= 0.0:
        limit = max(limit, -max(h[3], _half_width(b)))
    if b[0] == ROD:
        n = _rod_in_bore(h, b, eps, stop, limit, way, ws, kept, n, out)
    elif n <= 0:
        n = _first_sectors(h, b, limit, eps, stop, ws, out)
    else:
        for i in range(n):
            _copy(spans[i], kept[i])
            spans[i, 2] = kept[i, 2] - way
            spans[i, 8] = 2.0
    while b[0] != ROD:
        least = 0
        for i in range(n):
            if spans[i, 2] < spans[least, 2]:
                least = i
        out[0] = spans[least, 2]
        enough = min(stop, out[1] - eps)
        if max(out[0], limit) >= enough:
            break
        if spans[least, 8] > 1.0:
            spans[least, 8] = 1.0
            spans[least, 2] = max(spans[least, 2], _sector_held(h, b, spans[least]))
            continue
        if spans[least, 8] > 0.0:
            spans[least, 8] = 0.0
            spans[least, 2] = _sector_bound(h, b, spans[least], limit, eps, enough, ws, out)
            continue
        c = 6 if spans[least, 7] * b[5] > spans[least, 1] * h[5] else 0
        third = spans[least, c + 1] / 3.0
        if third < 5e-4 or n + 1 >= len(spans):
            break
        # In three, so that a nearest point in the middle stays in the middle of one.
        middle = spans[least, c]
        for i in range(1, 3):
            _copy(spans[n + i - 1], spans[least])
        for i in range(3):
            k = least if i == 0 else n + i - 1
            spans[k, c], spans[k, c + 1] = middle + 2.0 * third * (i - 1), third
            enough = min(stop, out[1] - eps)
            spans[k, 2] = _sector_bound(h, b, spans[k], limit, eps, enough, ws, out)
        n += 2
    out[0] = max(out[0], limit)
    if out[1] > 1e299 and out[0] < stop:  # touching, to the last digits
        v, gx, gy, gz = _field(h, x, y, z)
        out[1] = abs(v)
        out[2], out[3], out[4] = x - v * gx, y - v * gy, z - v * gz
        out[5], out[6], out[7] = x, y, z
    return n


@_inner
def _zero_turned(h0, h1):
    """By what angle about its axis ring h's zero of angle is turned from pose 0 to pose 1, but for
    the least rotation of the axis."""
    x, y, z = _square(h1[HEAD + 3], h1[HEAD + 4], h1[HEAD + 5])
    x, y, z = _turn_back(h0, h1, x, y, z)
    ax, ay, az = h0[HEAD + 3], h0[HEAD + 4], h0[HEAD + 5]
    ex, ey, ez = _square(ax, ay, az)
    fx, fy, fz = ay * ez - az * ey, az * ex - ax * ez, ax * ey - ay * ex
    return math.atan2(x * fx + y * fy + z * fz, x * ex + y * ey + z * ez)


@_inner
def _bent(h0, b0, h1, b1):
    """How far b's points leave their straight paths in ring h's own frame: no more than
    (angle^2 |p - c| + 2 angle |dp|) / 8."""
    square = 0.0
    for k in range(HEAD + 3, HEAD + 6):
        square += (h1[k] - h0[k]) ** 2
    angle = 2.0 * math.asin(min(1.0, 0.5 * math.sqrt(square)))
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
    return (angle * angle * far + 2.0 * angle * moved) / 8.0


@_inner
def _bore_held(h, b, h1, way, want, spans, n, ws):
    """Lower bound over ring h's bore by the directions held in its own frame since the pose at
    which it was h1 and spans were found; way : how far any point of either may have been moved
    against the other. No more than is wanted need be shown. Spans 0: one normal all round."""
    if n == 0:
        span = spans[0]
        if span[3] == 0.0 and span[4] == 0.0:
            return -1e300
        return _shadow(h, b, span[3], span[4], span[5], span[6], span[7], want, ws)
    bound = 1e300
    zero = 0.0 if b[0] == ROD else _zero_turned(h, h1)
    held = ws[11][0]
    _take_angles(h, 0.0, math.pi)
    for i in range(n):
        low = spans[i, 2] - way
        if low < want:
            _copy(held, spans[i])
            k = 5 if b[0] == ROD else 3
            held[k], held[k + 1], held[k + 2] = _turn_back(h, h1, held[k], held[k + 1], held[k + 2])
            if b[0] == ROD:
                low = max(low, _stretch_held(h, b, held))
            else:
                held[0] += zero
                low = max(low, _sector_held(h, b, held))
        bound = min(bound, low)
    return bound


@_inner
def _bore_between(h0, b0, h1, b1, settled, way, want, spans, n, ws):
    """Lower bound while b moves in ring h's bore from pose 0 to pose 1: a direction held in the
    ring's own frame bounds the motion by its two ends. settled : spans were found at pose 1."""
    bent = _bent(h0, b0, h1, b1)
    bound = 1e300
    if settled:
        for i in range(max(n, 1)):
            bound = min(bound, spans[i, 2])
    else:
        bound = _bore_held(h1, b1, h1, way, want + bent, spans, n, ws)
    bound = min(bound, _bore_held(h0, b0, h1, way, want + bent, spans, n, ws))
    if bound < min(want, 0.0):
        bound = max(bound, -max(h1[3], max(_half_width(b0), _half_width(b1))))
    return bound - bent


# ---------------------------------------------------------------- parts over a column of travel


@_inner
def _load_piece(data, meta, fixed, piece, row, step, t, origin, s):
    """Load a piece at travel row + t (0 <= t <= 1, step rows apart); False when unknown."""
    stride = meta[piece, 1]
    at = meta[piece, 0] + row * stride
    upper = at + step * stride if t > 0.0 else at
    return _load(fixed, meta[piece, 3], data, at, upper, t, origin, s)


@_inner
def _arc(square):
    """No less than the angle of a chord of the unit circle, given its square: (asin x - x) / x^3
    grows from 0 to 1, where it is pi / 2 - 1."""
    x = min(1.0, 0.5 * math.sqrt(square))
    return 2.0 * x * (1.0 + (0.5 * math.pi - 1.0) * x * x)


@_inner
def _turning(now, before):
    """How far a ring's points leave their chords as its axis turns and it is stretched:
    (reach * angle^2 + 2 * stretch * angle) / 8."""
    if now[0] != RING:
        return 0.0
    k = HEAD + 3
    dx, dy, dz = now[k] - before[k], now[k + 1] - before[k + 1], now[k + 2] - before[k + 2]
    angle = _arc(dx * dx + dy * dy + dz * dz)
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
def _whole(meta, fixed, blank, piece, s, hollow):
    """Write a loaded hollow ring's whole outline at the same pose."""
    if s[6] == 0.0:
        return
    k = meta[piece, 4]
    _copy(hollow, blank[k])
    for i in range(6):
        hollow[HEAD + i] = s[HEAD + i]
    f = meta[k, 3]
    for i in range(int(hollow[1])):
        hollow[ARCS + 7 * i + 1] = fixed[f + 8 * i + 1] + fixed[f + 8 * i + 7] * s[7]


@_inner
def _figure(a, b, whole, eps, stop, way, ws, cert, kept, count, seed, out):
    """`_pair` for two loaded pieces, with the bores of hollow ones opened where that matters.

    whole: their whole outlines. kept, count, seed, way: sectors and points of an earlier position,
    count -1 for none, and how far points were moved since. Returns the number of sectors looked
    at, or -1 where the answer of the filled rings stands.
    """
    if a[6] == 0.0 and b[6] == 0.0:
        _pair(a, b, eps, stop, ws, cert, out)
        return -1
    filled = -1e300
    if count >= 0:
        for j in range(6):
            out[2 + j] = seed[j] + seed[6 + j]
    else:
        _pair(a, b, eps, stop, ws, cert, out)
        if out[0] >= stop or _real(a, b, whole, out):
            return -1
        filled = out[0]
        if out[1] <= 0.0:
            x, y, z = _middle(b if a[6] > 0.0 else a)
            for j in range(2, 8, 3):
                out[j], out[j + 1], out[j + 2] = x, y, z
    if a[6] > 0.0 and b[6] > 0.0:
        n = _open_bore(whole[0], whole[1], eps, stop, way, ws, kept, count, out)
    elif a[6] > 0.0:
        n = _open_bore(whole[0], b, eps, stop, way, ws, kept, count, out)
    else:
        _swap(out)
        n = _open_bore(whole[1], a, eps, stop, way, ws, kept, count, out)
        _swap(out)
    if out[0] >= stop or out[1] - out[0] <= eps:
        return n
    # Entered deeply: from outside the filled ring may tell more.
    if count >= 0:
        res = ws[14]
        _pair(a, b, eps, 1e300, ws, cert, res)
        filled = res[0]
        if _real(a, b, whole, res):
            _copy(out, res)
            return -1
    out[0] = max(out[0], filled)
    return n


@_inner
def _real(a, b, whole, out):
    """Whether the answer for two filled rings, or one and another piece, is that of the hollow
    ones: its points are in their metal, and as deep there."""
    for turn in range(2):
        s, at, other = (a, 2, 5) if turn == 0 else (b, 5, 2)
        if s[6] > 0.0:
            v = _field(whole[turn], out[at], out[at + 1], out[at + 2])[0]
            if v > 1e-7:
                return False
            if out[1] <= 0.0:  # one of the points is as deep in the other solid
                v = _field(whole[turn], out[other], out[other + 1], out[other + 2])[0]
                if abs(v - out[1]) > 1e-7:
                    o = b if turn == 0 else a
                    if o[6] > 0.0:
                        o = whole[1 - turn]
                    v = _field(o, out[at], out[at + 1], out[at + 2])[0]
                    if abs(v - out[1]) > 1e-7:
                        return False
    return True


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
        _pair(four[0], four[1], eps, 1e300, ws, stack[end], out)
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
        _pair(four[0], four[1], eps, 1e300, ws, trial, out)
        if out[0] < result[1]:
            result[1], result[2] = out[0], mid
        _copy(stack[2 * n + 3], stack[2 * n + 1])
        _copy(stack[2 * n + 2], trial)
        _copy(stack[2 * n + 1], trial)
        spans[n, 0], spans[n, 1] = t0, mid
        spans[n + 1, 0], spans[n + 1, 1] = mid, t1
        n += 2


@_inner
def _moved(s, e):
    """How far any point of a piece is moved at most, between two poses."""
    if s[0] == RING:
        square = turn = stretch = 0.0
        for i in range(HEAD, HEAD + 3):
            square += (e[i] - s[i]) ** 2
            turn += (e[i + 3] - s[i + 3]) ** 2
        for i in range(int(s[1])):
            k = ARCS + 7 * i + 1
            stretch = max(stretch, abs(e[k] - s[k]))
        return math.sqrt(square) + s[5] * _arc(turn) + stretch
    most = 0.0
    for i in range(HEAD, HEAD + 3 * int(s[1]), 3):
        square = (e[i] - s[i]) ** 2 + (e[i + 1] - s[i + 1]) ** 2 + (e[i + 2] - s[i + 2]) ** 2
        most = max(most, square)
    return math.sqrt(most)


@_inner
def _spun(s, e):
    """How far any point of a hollow ring is moved by the turning of its zero of angle alone."""
    return s[5] * abs(_zero_turned(s, e)) if s[6] > 0.0 else 0.0


@_inner
def _row_way(data0, data1, meta, blank, piece, k, e):
    """How far any point of a piece is moved at most from the row at k to the one at e."""
    most = 0.0
    for i in range(0, meta[piece, 2] - 2, 3):
        square = 0.0
        for j in range(3):
            square += (data1[e + i + j] - data0[k + i + j]) ** 2
        if blank[piece, 0] == RING:
            most += math.sqrt(square) if i == 0 else blank[piece, 5] * _arc(square)
        else:
            most = max(most, square)
    if blank[piece, 0] == RING:
        return most + abs(data1[e + 6] - data0[k + 6])
    return math.sqrt(most)


@_inner
def _keep_seed(seed, out):
    """Remember a position's points (6), and how far they went since the last one (6)."""
    for k in range(6):
        step = out[2 + k] - seed[k]
        seed[6 + k] = step if seed[0] < 1e299 and abs(step) < 20.0 else 0.0
    for k in range(6):
        seed[k] = out[2 + k] if out[1] < 1e299 else 1e300


@_inner
def _test(p, a, b, memory, ws):
    """What the last certificate of a pair of pieces proves here."""
    certs, _before, lower, _settled, _kept, counts, seeds = memory
    tested, carried, proved = ws[13][0], ws[13][1], ws[13][2]
    tested[p] = 1.0
    if certs[p, 0] < 0.0:  # none yet; 0 is a weight like another
        start = 0 * p
        _clear(certs[p], start, len(certs[p]))
        ux, uy, uz = _guess(a, b, certs[p])
        _one_plane(certs[p], ux, uy, uz)
        seeds[p, 0] = 1e300
    if counts[p] < 0:
        carried[p] = proved[p] = _proved(a, b, certs[p])
        lower[p] = max(lower[p], carried[p])


@_inner
def _bore_test(tables, id_a, id_b, a, b, kept, count, since, enough, whole, ws):
    """What the last sectors of a pair of pieces prove here; no more than is enough."""
    meta, fixed, blank = tables
    if a[6] > 0.0 and b[6] > 0.0:
        return -1e300
    if a[6] > 0.0:
        _whole(meta, fixed, blank, id_a, a, whole[0])
        return _bore_held(whole[0], b, whole[0], since, enough, kept, count, ws)
    _whole(meta, fixed, blank, id_b, b, whole[0])
    return _bore_held(whole[0], a, whole[0], since, enough, kept, count, ws)


@_inner
def _nearest(tables, ids, sides, memory, first, limit, eps, since, ws, whole, bore, result):
    """Least clearance of two parts at a pose: of the pieces in `sides`, loaded.

    memory[2] comes with a lower bound of each pair of pieces and leaves with a better one where
    that could be less than the others' upper ones; pairs that are sure to be `limit` apart are
    left at that. first: the pair of pieces to begin with, or -1. result: lower bound, upper bound
    (1e300: none), points. Returns the nearest pair of pieces, or -1.
    since: how far points may have been moved since a pair was settled last. bore: how many sectors
    were looked at where a bore was opened, else -1.
    """
    meta, fixed, blank = tables
    ids_a, ids_b = ids
    side_a, side_b = sides
    certs, before, lower, settled, kept, counts, seeds = memory
    out = ws[12]
    nb = len(ids_b)
    n = len(ids_a) * nb
    tested, carried, proved = ws[13][0], ws[13][1], ws[13][2]
    best, winner = limit, -1
    result[1] = 1e300
    for p in range(n):
        settled[p] = False
        tested[p] = 0.0
        carried[p] = proved[p] = -1e300
        if lower[p] < -1e299:  # nothing is known of it yet
            _test(p, side_a[p // nb], side_b[p % nb], memory, ws)
    while True:
        # The last position's nearest pieces first: what they give spares the others. Where they
        # are far apart by now they give nothing, and say nothing of the others.
        enough = best - (eps if best < limit else 0.0)
        p = first
        if p < 0 or settled[p] or lower[p] >= enough:
            p = _worst_piece(lower, settled, n)
        if p < 0 or lower[p] >= enough:
            break
        i, j = p // nb, p % nb
        a, b = side_a[i], side_b[j]
        if tested[p] == 0.0:
            _test(p, a, b, memory, ws)
            if p != first:
                if counts[p] >= 0 and enough < 1e299:
                    proof = _bore_test(
                        tables, ids_a[i], ids_b[j], a, b, kept[p], counts[p], since[p], enough,
                        whole, ws
                    )  # fmt: skip
                    lower[p] = max(lower[p], proof)
                continue
        _copy(before[p], certs[p])
        settled[p] = True
        count = -1
        hollow = a[6] > 0.0 or b[6] > 0.0
        if hollow:
            _whole(meta, fixed, blank, ids_a[i], a, whole[0])
            _whole(meta, fixed, blank, ids_b[j], b, whole[1])
        # From the last position's points, where they were those of the filled rings.
        done = counts[p] < 0 and seeds[p, 0] < 1e299
        if done:
            done = _from_seed(a, b, eps, ws[4], seeds[p], certs[p], out)
            done = done and (not hollow or _real(a, b, whole, out))
            if not done:
                _copy(certs[p], before[p])
        if not done:
            stop = best + AHEAD
            had = counts[p]
            count = _figure(
                a, b, whole, eps, stop, since[p], ws, certs[p], kept[p], had, seeds[p], out
            )
        bore[p] = count if count <= KEPT else -1
        proved[p] = out[0] if count < 0 else -1e300
        counts[p] = bore[p] if out[1] < 1e299 else -1
        _keep_seed(seeds[p], out)
        if 0 <= count <= KEPT:
            for k in range(max(count, 1)):
                _copy(kept[p, k], ws[11][k])
        lower[p] = max(lower[p], out[0])
        if out[1] < result[1]:
            winner = p
            for k in range(1, 8):
                result[k] = out[k]
        best = min(best, out[1])
    result[0] = 1e300
    for p in range(n):
        result[0] = min(result[0], lower[p])
    return winner


@_inner
def _room(pieces, pairs, width):
    """Room for two parts of so many pieces at most and so many pairs of them, used by one pair of
    parts after another: their pieces at the last pose and this one; how far each is moved, turned
    and spun; bounds of pairs; their last certificates and what became of them; and scratch."""
    return (
        (np.empty((2, pieces, width)), np.empty((2, pieces, width))),
        np.zeros((6, pieces)),
        np.zeros((5, pairs)),
        (np.zeros((pairs, 32)), np.zeros(pairs, np.bool_), np.zeros(pairs, np.int64)),
        (
            np.empty((4, width)), np.empty((3, width)), np.zeros((32, 32)), np.zeros((16, 2)),
            np.zeros(32), np.zeros(8), np.zeros(8), np.zeros(3),
        ),
    )  # fmt: skip


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
    memory,
    room,
    ws,
    low,
    high,
    point_a,
    point_b,
    between,
    at,
):
    """Clearance of two parts over the grid; fills the last six arrays. Unknown poses stay NaN.

    memory: certificates, sectors, how many, points to start from and to leave behind; the last
    call's lower bounds at its first pose, and its data. room: see `_room`.
    """
    na, nb = len(ids_a), len(ids_b)
    n = na * nb
    eps = 0.9 * tol
    sides, ways, bounds, (before, settled, bore), scratch = room
    four, whole, stack, spans, trial, found, out, result = scratch
    side_a, side_b = sides
    moved_a, turned_a, spun_a = ways[0], ways[1], ways[2]
    moved_b, turned_b, spun_b = ways[3], ways[4], ways[5]
    slid, lower, last, proven, since = bounds[0], bounds[1], bounds[2], bounds[3], bounds[4]
    for k in range(min(nz, 2)):
        for i in range(na):
            _copy(side_a[k, i], blank[ids_a[i]])
        for i in range(nb):
            _copy(side_b[k, i], blank[ids_b[i]])
    ready = np.zeros(2, np.int64)
    certs, kept, counts, seeds, lows, data0 = memory
    held = certs, before, lower, settled, kept, counts, seeds
    tables, ids = (meta, fixed, blank), (ids_a, ids_b)
    worst, still = cutoff, 0.0
    for js in range(ns):
        known_before, first = False, -1
        if js > 0:
            for p in range(n):
                certs[p, 0] = -1.0
                counts[p] = -1
        for iz in range(nz):
            k = iz % 2
            row = iz * ns + js
            known = True
            for i in range(na):
                if ready[k] == 0 or meta[ids_a[i], 1] > 0:
                    known &= _load_piece(
                        data, meta, fixed, ids_a[i], row, ns, still, origin, side_a[k, i]
                    )
            for i in range(nb):
                if ready[k] == 0 or meta[ids_b[i], 1] > 0:
                    known &= _load_piece(
                        data, meta, fixed, ids_b[i], row, ns, still, origin, side_b[k, i]
                    )
            if not known:
                known_before = False
                if iz == 0 and js == 0:
                    for p in range(n):
                        lows[p] = -1e300
                continue
            ready[k] = 1
            for p in range(n):
                lower[p] = -1e300
                if not known_before:
                    since[p] = 1e300
            if iz == 0 and js == 0 and lows[0] > -1e299:
                for i in range(na):
                    r = meta[ids_a[i], 0]
                    moved_a[i] = _row_way(data0, data, meta, blank, ids_a[i], r, r)
                for i in range(nb):
                    r = meta[ids_b[i], 0]
                    moved_b[i] = _row_way(data0, data, meta, blank, ids_b[i], r, r)
                for p in range(n):
                    low_p = lows[p] - moved_a[p // nb] - moved_b[p % nb]
                    if low_p > -1e299:
                        lower[p] = low_p
            if known_before:
                for i in range(na):
                    moved_a[i] = turned_a[i] = spun_a[i] = 0.0
                    if meta[ids_a[i], 1] > 0:
                        moved_a[i] = _moved(side_a[1 - k, i], side_a[k, i])
                        turned_a[i] = _turning(side_a[k, i], side_a[1 - k, i])
                        for q in range(nb):  # only sectors are led astray by it
                            if counts[i * nb + q] > 0:
                                spun_a[i] = _spun(side_a[1 - k, i], side_a[k, i])
                                break
                for i in range(nb):
                    moved_b[i] = turned_b[i] = spun_b[i] = 0.0
                    if meta[ids_b[i], 1] > 0:
                        moved_b[i] = _moved(side_b[1 - k, i], side_b[k, i])
                        turned_b[i] = _turning(side_b[k, i], side_b[1 - k, i])
                        for q in range(na):  # only sectors are led astray by it
                            if counts[q * nb + i] > 0:
                                spun_b[i] = _spun(side_b[1 - k, i], side_b[k, i])
                                break
                for p in range(n):
                    slid[p] = last[p] - moved_a[p // nb] - moved_b[p % nb]
                    lower[p] = slid[p]
                    if settled[p]:
                        since[p] = 0.0
                    since[p] += last[p] - slid[p] + spun_a[p // nb] + spun_b[p % nb]
            carried = ws[13][1]
            limit = worst if worst_only else cutoff
            sides = side_a[k], side_b[k]
            first = _nearest(
                tables, ids, sides, held, first, limit, eps, since, ws, whole, bore, found
            )
            if first >= 0:
                high[iz, js] = found[1]
                for j in range(3):
                    point_a[iz, js, j] = found[2 + j] + origin[j]
                    point_b[iz, js, j] = found[5 + j] + origin[j]
            worst = min(worst, found[1])
            low[iz, js] = found[0] - ROUNDING
            if iz == 0 and js == 0:
                for p in range(n):
                    lows[p] = lower[p]
            if known_before:
                target = min(low[iz - 1, js], low[iz, js])
                result[1], result[2] = target, 0.0 if low[iz - 1, js] <= low[iz, js] else 1.0
                total = 1e300
                for p in range(n):
                    i, j = p // nb, p % nb
                    # Nowhere between can a piece have moved farther than from end to end.
                    bound = last[p] + lower[p] - moved_a[i] - moved_b[j]
                    bound = max(slid[p], 0.5 * bound)
                    want = min(target, result[1]) - 0.5 * eps
                    a0, b0, a1, b1 = side_a[1 - k, i], side_b[1 - k, j], side_a[k, i], side_b[k, j]
                    count = bore[p] if settled[p] else counts[p]
                    if bound < want and count >= 0:
                        opened = -1e300
                        way = moved_a[i] + moved_b[j]
                        if b1[6] == 0.0:
                            _whole(meta, fixed, blank, ids_a[i], a0, whole[0])
                            _whole(meta, fixed, blank, ids_a[i], a1, whole[1])
                            way = way + _spun(a0, a1) if settled[p] else since[p]
                            opened = _bore_between(
                                whole[0], b0, whole[1], b1, settled[p], way, want, kept[p], count,
                                ws
                            )  # fmt: skip
                        elif a1[6] == 0.0:
                            _whole(meta, fixed, blank, ids_b[j], b0, whole[0])
                            _whole(meta, fixed, blank, ids_b[j], b1, whole[1])
                            way = way + _spun(b0, b1) if settled[p] else since[p]
                            opened = _bore_between(
                                whole[0], a0, whole[1], a1, settled[p], way, want, kept[p], count,
                                ws
                            )  # fmt: skip
                        bound = max(bound, opened)
                    elif bound < want:
                        if not settled[p]:
                            _copy(before[p], certs[p])
                            if proven[p] < -1e299:
                                proven[p] = _proved(a0, b0, certs[p])
                        # The plain check first: the last certificate, held fixed, is mostly enough.
                        bound = max(bound, min(proven[p], carried[p]))
                        if bound < want and settled[p]:
                            bound = max(bound, _between(a0, b0, a1, b1, before[p], certs[p]))
                        if bound < want and bound < limit and counts[p] < 0:
                            _copy(stack[0], before[p])
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
                            bound = max(bound, result[0])
                    bound -= turned_a[i] + turned_b[j]
                    total = min(total, bound - sagitta_a[i, iz - 1, js] - sagitta_b[j, iz - 1, js])
                between[iz - 1, js] = total - ROUNDING
                at[iz - 1, js] = result[2]
            for p in range(n):
                last[p] = lower[p]
                proven[p] = ws[13][2][p]
            known_before = True


@_entry(
    types.void(
        _F1, _I2, _F1, _F2, _F2, _I1, _I1, _I2, _I2, types.float64, types.float64, types.boolean,
        _F3, _I1, _F2, _F3, _I1, _F2, _F1, _F1, _F3, _F3, _F4, _F4, _F3, _F3,
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
    begin,
    certs,
    kept,
    counts,
    seeds,
    lows,
    data0,
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
    begin : where in certs (m, 32), kept (m, KEPT, SPAN), counts (m,) and seeds (m, 12) a row's
    pairs of pieces begin: what the search starts from (a first certificate of -1 and a count of -1:
    from nothing) and what it leaves for the next call. lows (m,) : bounds of the pairs of pieces at
    the last call's first pose, whose data were data0; -1e300 for none.
    """
    nz, ns = grid[0, 0], grid[0, 1]
    most = widest = 1
    for k in range(len(pairs)):
        most = max(most, begin[pairs[k, 2] + 1] - begin[pairs[k, 2]])
        for j in range(2):
            widest = max(widest, first[pairs[k, j] + 1] - first[pairs[k, j]])
    ws = _workspace(most)
    room = _room(widest, most, blank.shape[1])
    for k in range(len(pairs)):
        i, j, row = pairs[k, 0], pairs[k, 1], pairs[k, 2]
        ids_a, ids_b = ids[first[i] : first[i + 1]], ids[first[j] : first[j + 1]]
        origin = 0.5 * (middle[ids_a[0]] + middle[ids_b[0]])
        m = begin[row]
        e = m + len(ids_a) * len(ids_b)
        memory = certs[m:e], kept[m:e], counts[m:e], seeds[m:e], lows[m:e], data0
        _run_pair(data, meta, fixed, blank, ids_a, ids_b, nz, ns, tol, cutoff, worst_only, origin,
                  sagitta[first[i] : first[i + 1]], sagitta[first[j] : first[j + 1]], memory, room,
                  ws, low[row], high[row], point_a[row], point_b[row], between[row],
                  at[row])  # fmt: skip


# ---------------------------------------------------------------- parts over places


@_inner
def _row_at(meta, piece, rows, place, sample):
    """Which row of its data a piece has at a place and a sample; modes: 0 stands still, 1 moves
    with the motion, 2 has a row for every place and sample, 3 is shifted with the place."""
    mode = meta[piece, 5]
    if mode == 1:
        return rows[place, sample]
    return place * rows.shape[1] + sample if mode == 2 else 0


@_inner
def _load_at(data, meta, fixed, piece, rows, shift, place, sample, origin, at, s):
    for i in range(3):
        at[i] = origin[i] - (shift[place, i] if meta[piece, 5] == 3 else 0.0)
    k = meta[piece, 0] + _row_at(meta, piece, rows, place, sample) * meta[piece, 2]
    zero = 0.0
    return _load(fixed, meta[piece, 3], data, k, k, zero, at, s)


@_inner
def _way(data, meta, blank, piece, rows, shift, sample, p, q):
    """How far any point of a piece is moved at most from one place to another, at a sample."""
    mode = meta[piece, 5]
    if mode == 0 or p == q:
        return 0.0
    if mode == 3:
        square = 0.0
        for i in range(3):
            square += (shift[q, i] - shift[p, i]) ** 2
        return math.sqrt(square)
    k, e = _row_at(meta, piece, rows, p, sample), _row_at(meta, piece, rows, q, sample)
    if k == e:
        return 0.0
    k, e = meta[piece, 0] + k * meta[piece, 2], meta[piece, 0] + e * meta[piece, 2]
    return _row_way(data, data, meta, blank, piece, k, e)


@_inner
def _part_way(data, meta, blank, ids, rows, shift, sample, p, q):
    most = 0.0
    for i in range(len(ids)):
        most = max(most, _way(data, meta, blank, ids[i], rows, shift, sample, p, q))
    return most


@_inner
def _pieces_of(ids, lists, place, part):
    k = place if len(lists) > 1 else 0
    return ids[lists[k, part, 0] : lists[k, part, 1]]


@_inner
def _sides_at(
    data, meta, fixed, blank, ids_a, ids_b, rows, shift, place, sample, origin, at, sides
):
    """Load two parts' pieces; False where the pose is unknown."""
    known = True
    for k in range(2):
        mine = ids_a if k == 0 else ids_b
        for i in range(len(mine)):
            _copy(sides[k, i], blank[mine[i]])
            known &= _load_at(
                data, meta, fixed, mine[i], rows, shift, place, sample, origin, at, sides[k, i]
            )
    return known


@_entry(
    types.void(
        _F1, _I2, _F1, _F2, _I1, _I3, _I2, _I2, _F2, types.float64, _I2, _I2, _F2, _F1, _I1, _F2,
        _F3, _I1, _F2, _I1, _I1, _I2, _F1, _F2, _I2, _I2,
    )
)  # fmt: skip
def run_places(
    data,
    meta,
    fixed,
    blank,
    ids,
    lists,
    rows,
    valid,
    shift,
    tol,
    pairs,
    lead,
    middle,
    rule,
    begin,
    certs,
    kept,
    counts,
    seeds,
    members,
    where,
    candidates,
    bound,
    value,
    pair_at,
    sample_at,
):
    """The worst pair and sample at every place of a tile, or what may be it.

    meta : as `run_pairs`, with a sixth column, the mode (`_row_at`). lists : (places or 1, parts,
    2) where in ids a part's pieces begin and end. rows, valid : (places, samples) rows of the
    motion, and whether the sample counts at the place. shift : (places, 3) mm. pairs : (n, 2)
    parts; middle (n, 3) a point near each pair; rule (n,) NaN for none; begin (n + 1,) and the next
    four as in `run_pairs`.
    members : places of the tile. where : the place to measure the candidates at first, the place
    their bounds are from (-1: nowhere), and whether to go on to each member. candidates : (m, 2)
    pair and sample; bound : (m,) lower bounds, replaced by those at where[0], or by infinity where
    a candidate can't be any member's worst. lead : (2, 2) the candidates to begin with, replaced.
    Filled for each member: value (2, places) the lowest clearance and the lowest margin over the
    rule, pair_at and sample_at (2, places) where they are met.
    """
    eps = 0.9 * tol
    count, size = len(candidates), len(members)
    most = 1
    for k in range(len(pairs)):
        most = max(most, begin[k + 1] - begin[k])
    widest = 1
    for m in range(len(lists)):
        for i in range(lists.shape[1]):
            widest = max(widest, lists[m, i, 1] - lists[m, i, 0])
    sides, whole = np.empty((2, widest, blank.shape[1])), np.empty((3, blank.shape[1]))
    ws = _workspace(most)
    before, lower = np.zeros((most, 32)), np.zeros(most)
    settled, bore = np.zeros(most, np.bool_), np.zeros(most, np.int64)
    since = np.full(most, 1e300)
    at, found = np.zeros(3), np.zeros(8)
    tables = meta, fixed, blank
    reach = np.full((lists.shape[1], rows.shape[1]), -1.0)
    every, some = np.zeros(rows.shape[1], np.bool_), np.zeros(rows.shape[1], np.bool_)
    for sample in range(rows.shape[1]):
        every[sample] = True
        for m in range(size):
            if valid[members[m], sample] > 0:
                some[sample] = True
            else:
                every[sample] = False
    place, known_at = where[0], where[1]
    first = np.full(len(pairs), -1, np.int64)
    changing = np.zeros(lists.shape[1], np.bool_)
    for m in range(len(lists)):
        for i in range(lists.shape[1]):
            changing[i] |= lists[m, i, 0] != lists[0, i, 0]
    high = np.full(2, 1e300)
    least = np.full(2, 1e300)
    measured = np.full(count, place, np.int64)
    # The two leading candidates first: what they give spares most of the others.
    for step in range(count + 2):
        c = step - 2
        if step < 2:
            c = lead[step, 0]
            if c < 0:
                continue
        elif c == lead[0, 0] or c == lead[1, 0]:
            continue
        k, sample = candidates[c, 0], candidates[c, 1]
        if not some[sample]:
            bound[c] = np.inf
            continue
        i, j = pairs[k, 0], pairs[k, 1]
        for e in range(2):
            part = i if e == 0 else j
            if reach[part, sample] < 0.0:
                reach[part, sample] = 0.0
                if changing[part]:
                    reach[part, sample] = 1e200
                    continue
                mine = _pieces_of(ids, lists, place, part)
                for m in range(size):
                    way = _part_way(data, meta, blank, mine, rows, shift, sample, place, members[m])
                    reach[part, sample] = max(reach[part, sample], way)
        slack = reach[i, sample] + reach[j, sample]
        ids_a, ids_b = _pieces_of(ids, lists, place, i), _pieces_of(ids, lists, place, j)
        need = high[0]
        if rule[k] == rule[k]:
            need = max(need, high[1] + rule[k])
        fresh = changing[i] or changing[j]
        if fresh:  # what is known of another place says nothing
            bound[c] = -1e300
            continue
        if known_at >= 0:
            way = _part_way(data, meta, blank, ids_a, rows, shift, sample, known_at, place)
            way += _part_way(data, meta, blank, ids_b, rows, shift, sample, known_at, place)
            if bound[c] - way - slack > need + eps:
                bound[c] = np.inf
                continue
        origin = middle[k]
        if not _sides_at(
            data, meta, fixed, blank, ids_a, ids_b, rows, shift, place, sample, origin, at, sides
        ):
            bound[c] = -1e300
            continue
        b, e = begin[k], begin[k + 1]
        n = len(ids_a) * len(ids_b)
        for p in range(n):
            lower[p] = -1e300
        memory = certs[b:e], before, lower, settled, kept[b:e], counts[b:e], seeds[b:e]
        loaded = sides[0], sides[1]
        limit = need + slack + AHEAD
        first[k] = _nearest(
            tables,
            (ids_a, ids_b),
            loaded,
            memory,
            first[k],
            limit,
            eps,
            since,
            ws,
            whole,
            bore,
            found,
        )
        bound[c] = found[0]
        if every[sample]:
            high[0] = min(high[0], found[1] + slack)
            if rule[k] == rule[k]:
                high[1] = min(high[1], found[1] - rule[k] + slack)
        if found[0] < least[0]:
            least[0] = found[0]
            lead[0, 1] = c
        if found[0] - rule[k] < least[1]:
            least[1] = found[0] - rule[k]
            lead[1, 1] = c
    for c in range(count):
        if bound[c] < 1e300:
            k, sample = candidates[c, 0], candidates[c, 1]
            slack = reach[pairs[k, 0], sample] + reach[pairs[k, 1], sample]
            margin = bound[c] - rule[k] - slack
            # By more than the calculation error: its own upper figure is among the high ones.
            if bound[c] - slack > high[0] + eps and not margin <= high[1] + eps:
                bound[c] = np.inf
    if where[2] == 0:
        return
    now, done = np.zeros(count), np.zeros(count, np.bool_)
    for m in range(size):
        place = members[m]
        best = np.full(2, 1e300)
        for c in range(count):
            now[c] = np.inf
            k, sample = candidates[c, 0], candidates[c, 1]
            done[c] = bound[c] > 1e300 or valid[place, sample] == 0
            if not done[c]:
                ids_a = _pieces_of(ids, lists, place, pairs[k, 0])
                ids_b = _pieces_of(ids, lists, place, pairs[k, 1])
                now[c] = -1e300
                if not (changing[pairs[k, 0]] or changing[pairs[k, 1]]):
                    q = measured[c]
                    way = _part_way(data, meta, blank, ids_a, rows, shift, sample, q, place)
                    way += _part_way(data, meta, blank, ids_b, rows, shift, sample, q, place)
                    now[c] = bound[c] - way
        for g in range(2):
            while True:
                c, lowest = -1, 1e300
                for d in range(count):
                    if not done[d]:
                        low = now[d] - (rule[candidates[d, 0]] if g == 1 else 0.0)
                        if low < lowest:
                            c, lowest = d, low
                if c < 0 or lowest >= best[g] - (eps if best[g] < 1e299 else 0.0):
                    break
                k, sample = candidates[c, 0], candidates[c, 1]
                done[c] = True
                ids_a = _pieces_of(ids, lists, place, pairs[k, 0])
                ids_b = _pieces_of(ids, lists, place, pairs[k, 1])
                origin = middle[k]
                if not _sides_at(
                    data, meta, fixed, blank, ids_a, ids_b, rows, shift, place, sample, origin, at,
                    sides
                ):  # fmt: skip
                    now[c] = np.inf
                    continue
                b, e = begin[k], begin[k + 1]
                if changing[pairs[k, 0]] or changing[pairs[k, 1]]:
                    for p in range(b, e):
                        certs[p, 0] = -1.0
                        counts[p] = -1
                    first[k] = -1
                for p in range(len(ids_a) * len(ids_b)):
                    lower[p] = -1e300
                memory = certs[b:e], before, lower, settled, kept[b:e], counts[b:e], seeds[b:e]
                loaded = sides[0], sides[1]
                limit = best[0]
                if rule[k] == rule[k]:
                    limit = max(limit, best[1] + rule[k])
                limit += AHEAD
                first[k] = _nearest(
                    tables, (ids_a, ids_b), loaded, memory, first[k], limit, eps, since, ws, whole,
                    bore, found
                )  # fmt: skip
                now[c] = bound[c] = found[0]
                measured[c] = place
                if found[1] < best[0]:
                    best[0] = found[1]
                    pair_at[0, place], sample_at[0, place] = k, sample
                if found[1] - rule[k] < best[1]:
                    best[1] = found[1] - rule[k]
                    pair_at[1, place], sample_at[1, place] = k, sample
            for d in range(count):
                low = now[d] - (rule[candidates[d, 0]] if g == 1 else 0.0)
                if low < value[g, place]:
                    value[g, place] = low


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
def _plane_towards(b0, b1, moving, x, y, z):
    """A plane before a piece, square to the way from it to a point: u (3) and the piece's height
    along it, at pose 1 or the greatest over the motion from pose 0."""
    _v, ux, uy, uz = _field(b1, x, y, z)
    height = _height(b1, ux, uy, uz)
    if moving:
        height = max(height, _height(b0, ux, uy, uz))
    return ux, uy, uz, height


@_inner
def _lowest_corner(triangles, i, ux, uy, uz):
    """The least of u·x over a triangle."""
    least = 1e300
    for j in range(0, 9, 3):
        value = ux * triangles[i, j] + uy * triangles[i, j + 1] + uz * triangles[i, j + 2]
        least = min(least, value)
    return least


@_inner
def _over_mesh(
    triangles,
    centre,
    radius,
    leaf,
    b0,
    b1,
    whole,
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
    cert0, cert1, u, kept, seed = work
    none = -1
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
                bn = _node_bound(b0, b1, whole[1], moving, u, x, y, z, radius[near])
            if radius[far] >= 0.0:
                x, y, z = centre[far, 0], centre[far, 1], centre[far, 2]
                bf = _node_bound(b0, b1, whole[1], moving, u, x, y, z, radius[far])
            if bf < bn:
                near, far, bn, bf = far, near, bf, bn
            stack[n, 0], stack[n, 1] = far, bf
            stack[n + 1, 0], stack[n + 1, 1] = near, bn
            n += 2
            continue
        # Planes before the piece, first one for the whole leaf: a triangle is no nearer than its
        # lowest corner, whatever the plane's direction.
        x, y, z = centre[node, 0], centre[node, 1], centre[node, 2]
        ux, uy, uz, height = _plane_towards(b0, b1, moving, x, y, z)
        begin = (node - first_leaf) * leaf
        for i in range(begin, min(begin + leaf, len(triangles))):
            bound = _lowest_corner(triangles, i, ux, uy, uz) - height
            if bound < result[1] - eps:
                x = (triangles[i, 0] + triangles[i, 3] + triangles[i, 6]) / 3.0
                y = (triangles[i, 1] + triangles[i, 4] + triangles[i, 7]) / 3.0
                z = (triangles[i, 2] + triangles[i, 5] + triangles[i, 8]) / 3.0
                vx, vy, vz, top = _plane_towards(b0, b1, moving, x, y, z)
                bound = max(bound, _lowest_corner(triangles, i, vx, vy, vz) - top)
                if whole[1, 0] > 0.0:  # it may lie in the bore
                    reach = 0.0
                    for j in range(0, 9, 3):
                        r = (triangles[i, j] - x) ** 2 + (triangles[i, j + 1] - y) ** 2
                        reach = max(reach, r + (triangles[i, j + 2] - z) ** 2)
                    bound = max(bound, _field(whole[1], x, y, z)[0] - math.sqrt(reach))
            if bound >= result[1] - eps:
                low = min(low, bound)
                continue
            _triangle(triangles, i, tri)
            cert1[0] = 0.0
            _figure(tri, b1, whole, eps, result[1] - eps, low, ws, cert1, kept, none, seed, out)
            if moving:
                _copy(cert0, cert1)
                out[0] = _between(tri, b0, tri, b1, cert1, cert1)
                if out[0] < result[1] - eps:
                    _pair(tri, b0, eps, 1e300, ws, cert0, out)
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
        types.float64, _F2, _F2, _F2, _F2, _F3, _F3, _F2,
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
    cutoff : (nz, ns), nothing that far off is looked for.
    """
    eps = 0.9 * tol
    width = max(blank.shape[1], HEAD + 9)
    sides, whole, tri = np.zeros((2, width)), np.zeros((2, width)), np.zeros(width)
    for k in range(2):
        for j in range(blank.shape[1]):
            sides[k, j] = blank[piece, j]
    ws = _workspace(1)
    stack = np.empty((128, 2))
    kept, seed, none = np.empty((KEPT, SPAN)), np.zeros(12), -1
    work = np.zeros(32), np.zeros(32), np.zeros(3), kept, seed
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
            _whole(meta, fixed, blank, piece, b1, whole[1])
            best = cutoff[iz, js]
            result[2] = np.nan
            if start >= 0:  # the last position's nearest triangle gives a value to beat
                _triangle(triangles, start, tri)
                work[0][0] = 0.0
                _figure(tri, b1, whole, eps, 1e300, still, ws, work[0], kept, none, seed, out)
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
                whole,
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
                if whole[1, 0] > 0.0:
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
                        whole,
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
