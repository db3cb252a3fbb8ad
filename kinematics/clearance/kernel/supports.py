"""Support functions: how far a convex piece reaches in a direction, and by which point.

A ring's outline is carried round its axis: the direction's slope picks the point of the outline,
its bearing the side.
"""

import math

from kinematics.clearance.kernel.compiled import inner
from kinematics.clearance.kernel.layout import ARCS, BLOCK, HEAD, RING, SECTOR, SHEET
from kinematics.clearance.kernel.vectors import outward, square_to


@inner
def arc_point(s, i, nr, ny):
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


@inner
def support(s, x, y, z):
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
    px, py, pz = outward(px, py, pz, q, length, ax, ay, az)
    nr, ny = (q / length, d / length) if length > 0.0 else (1.0, 0.0)
    best = -1e300
    r = h = 0.0
    for i in range(n):
        cr, cy, own = arc_point(s, i, nr, ny)
        value = nr * cr + ny * cy
        if value > best or own:
            best, r, h = value, cr, cy
        if own:
            break
    cx, cy_, cz = s[HEAD], s[HEAD + 1], s[HEAD + 2]
    return cx + h * ax + r * px, cy_ + h * ay + r * py, cz + h * az + r * pz


@inner
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
        cr, cy, own = arc_point(s, i, nr, ny)
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


@inner
def height_of(s, x, y, z):
    """Support function h of the whole piece (margin included), for a direction of any length."""
    px, py, pz = support(s, x, y, z)
    return px * x + py * y + pz * z + s[2] * math.sqrt(x * x + y * y + z * z)


@inner
def gap_along(a, b, x, y, z):
    """Width of the empty slab between a and b at right angles to a unit direction from a to b."""
    return -height_of(b, -x, -y, -z) - height_of(a, x, y, z)


@inner
def middle_of(s):
    """A point within a piece: a ring's middle on its axis, else the mean of its corners."""
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


@inner
def half_width(s):
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
                x, y, z = square_to(x, y, z)
        best = min(best, 0.5 * (height_of(s, x, y, z) + height_of(s, -x, -y, -z)))
    return best
