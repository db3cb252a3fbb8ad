"""Signed distance of a point to a piece, and its gradient."""

import math

from kinematics.clearance.kernel.compiled import inner
from kinematics.clearance.kernel.layout import ARCS, BLOCK, HEAD, RING, ROD
from kinematics.clearance.kernel.vectors import newell_normal, outward, square_to


@inner
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


@inner
def field_of(s, x, y, z):
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
        nx, ny, nz = square_to(ex, ey, ez)
    else:
        k = int(s[1])
        nx, ny, nz = newell_normal(s, -k, k)
        px, py, pz = _nearest_on_polygon(s, -k, k, nx, ny, nz, x, y, z)
        dx, dy, dz = x - px, y - py, z - pz
        if nx == 0.0 and ny == 0.0 and nz == 0.0:
            k = HEAD + 3
            nx, ny, nz = square_to(s[k] - s[HEAD], s[k + 1] - s[HEAD + 1], s[k + 2] - s[HEAD + 2])
    d = math.sqrt(dx * dx + dy * dy + dz * dz)
    if d > 1e-12:
        return d - s[2], dx / d, dy / d, dz / d
    return -s[2], nx, ny, nz


@inner
def _block_field(s, x, y, z):
    """`field_of` of a block: its deepest plane, or outside the nearest of the faces seen."""
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


@inner
def profile_field(s, r, y):
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


@inner
def _ring_field(s, x, y, z):
    """`field_of` of a ring: that of its outline, in the plane through the point and the axis."""
    ax, ay, az = s[HEAD + 3], s[HEAD + 4], s[HEAD + 5]
    dx, dy, dz = x - s[HEAD], y - s[HEAD + 1], z - s[HEAD + 2]
    h = dx * ax + dy * ay + dz * az
    px, py, pz = dx - h * ax, dy - h * ay, dz - h * az
    r = math.sqrt(px * px + py * py + pz * pz)
    px, py, pz = outward(px, py, pz, r, abs(h), ax, ay, az)
    value, mr, my = profile_field(s, r, h)
    return value, mr * px + my * ax, mr * py + my * ay, mr * pz + my * az
