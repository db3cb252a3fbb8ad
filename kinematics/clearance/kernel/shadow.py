"""A hollow ring's bore by one normal of its outline, carried round the axis."""

import math

from kinematics.clearance.kernel.bore_points import from_axis, keep_deepest, to_and_fro
from kinematics.clearance.kernel.compiled import inner
from kinematics.clearance.kernel.fields import field_of, profile_field
from kinematics.clearance.kernel.layout import ARCS, HEAD, RING
from kinematics.clearance.kernel.supports import arc_point, height_of, support
from kinematics.clearance.kernel.vectors import outward


@inner
def _outline_height(h, nr, ny):
    """Support function of a ring's outline in the (r, y) plane, for a unit normal."""
    best = -1e300
    for i in range(int(h[1])):
        r, y, _own = arc_point(h, i, nr, ny)
        best = max(best, nr * r + ny * y)
    return best + h[2]


@inner
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


@inner
def shadow_bound(h, b, nr, ny, x, y, z, enough, ws):
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
            r, d = from_axis(h, b[k], b[k + 1], b[k + 2])
            if -nr * r - ny * d > best:
                best = -nr * r - ny * d
                frame[12], frame[13], frame[14] = b[k], b[k + 1], b[k + 2]
        return -best - b[2] - own
    need = -enough - own
    x, y, z = x - cx, y - cy, z - cz
    d = x * ax + y * ay + z * az
    x, y, z = x - d * ax, y - d * ay, z - d * az
    q = math.sqrt(x * x + y * y + z * z)
    ex, ey, ez = outward(x, y, z, q, math.sqrt(q * q + d * d), ax, ay, az)
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
            if height_of(b, x, y, z) - x * cx - y * cy - z * cz > need:
                if corner == 0 or half < 1e-3 or n + 3 > len(arcs):
                    frame[12], frame[13], frame[14] = support(b, x, y, z)
                    return -1e300
                for i in range(3):
                    arcs[n + i, 0], arcs[n + i, 1] = angle + (i - 1) * half / 1.5, half / 3.0
                n += 3
    return enough


@inner
def _shadow_normal(h, b, turn, out):
    """The normal (r, y) of the outline to try: at b's nearest point so far, or where they overlap,
    every other time, against the one of b's surface there."""
    r, y = from_axis(h, out[5], out[6], out[7])
    if out[1] > 0.0 or turn % 2 == 0:
        _value, nr, ny = profile_field(h, r, y)
        return nr, ny
    _value, x, y, z = field_of(b, out[2], out[3], out[4])
    ax, ay, az = h[HEAD + 3], h[HEAD + 4], h[HEAD + 5]
    ny = -(x * ax + y * ay + z * az)
    return -math.sqrt(max(1.0 - ny * ny, 0.0)), ny


@inner
def in_shadow(h, b, eps, stop, had, ws, out):
    """`shadow_bound` with the normal at the nearest points so far, which a point of b that goes
    beyond it may better, but where `had` sectors are known. Leaves in the first sector the bound,
    the normal (2) and b's nearest point."""
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
            low = shadow_bound(h, b, nr, ny, out[5], out[6], out[7], enough, ws)
            if low > best:
                best, best_r, best_y = low, nr, ny
            if best >= enough or had > 0:
                break
            x, y, z = point[12], point[13], point[14]
            to_and_fro(h, b, x, y, z, eps, out)
            keep_deepest(h, b, x, y, z, out)
        if high > 0.0 and out[1] > high - 0.05 * eps:
            break
    spans[0, 2], spans[0, 3], spans[0, 4] = best, best_r, best_y
    spans[0, 5], spans[0, 6], spans[0, 7] = out[5], out[6], out[7]
    return best
