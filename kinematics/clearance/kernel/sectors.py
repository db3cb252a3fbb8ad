"""A hollow ring by sectors: the hull of each is convex, and holds the bore open."""

import math

from kinematics.clearance.kernel.bore_points import angle_of, keep_deepest, point_at, to_and_fro
from kinematics.clearance.kernel.compiled import inner, step
from kinematics.clearance.kernel.layout import ARCS, HEAD, SECTOR, SPAN
from kinematics.clearance.kernel.separate import separate
from kinematics.clearance.kernel.simplex import common_point
from kinematics.clearance.kernel.spans import lowest_span, resume
from kinematics.clearance.kernel.supports import gap_along, middle_of
from kinematics.clearance.kernel.vectors import copy_into, square_to


@inner
def take_angles(s, middle, half):
    """Let only the part of a hollow ring within `half` of an angle count (pi: all of it)."""
    ax, ay, az = s[HEAD + 3], s[HEAD + 4], s[HEAD + 5]
    ex, ey, ez = square_to(ax, ay, az)
    fx, fy, fz = ay * ez - az * ey, az * ex - ax * ez, ax * ey - ay * ex
    c, w = math.cos(middle), math.sin(middle)
    k = ARCS + 7 * int(s[1])
    s[k], s[k + 1], s[k + 2] = c * ex + w * fx, c * ey + w * fy, c * ez + w * fz
    s[k + 3], s[k + 4], s[k + 5] = c * fx - w * ex, c * fy - w * ey, c * fz - w * ez
    s[k + 6], s[k + 7] = math.cos(half), math.sin(half)


@inner
def _take_sector(h, b, span):
    take_angles(h, span[0], span[1])
    if b[0] == SECTOR:
        take_angles(b, span[6], span[7])


@inner
def sector_held(h, b, span):
    """Lower bound over a sector by the direction held for it, while it keeps the cores apart: a
    point within may be deeper in the ring than in the sector, which ends beside it."""
    x, y, z = span[3], span[4], span[5]
    if x * x + y * y + z * z < 0.5:
        return -1e300
    _take_sector(h, b, span)
    gap = gap_along(h, b, x, y, z)
    return gap if gap >= -h[2] - b[2] else -1e300


@inner
def _sector_bound(h, b, span, limit, eps, enough, ws, out):
    """Lower bound over a sector (see SPAN), no better than `enough`; better points are kept in
    out."""
    w, p, weight, trial, near = ws[0], ws[1], ws[2], ws[3], ws[4]
    _take_sector(h, b, span)
    x, y, z = span[3], span[4], span[5]
    if x * x + y * y + z * z < 0.5:
        ax, ay, az = point_at(h, span[0])
        if b[0] == SECTOR:
            x, y, z = point_at(b, span[6])
        else:
            x, y, z = middle_of(b)
        x, y, z = x - ax, y - ay, z - az
        if x * x + y * y + z * z < 1e-12:
            x = 1.0
    margin = h[2] + b[2]
    bound = limit if max(span[1], span[7]) < 1.5e-3 else -1e300
    span[3] = span[4] = span[5] = 0.0
    apart = max(enough + margin, 0.0)
    if separate(h, b, x, y, z, 0.25 * eps, apart, w, p, weight, trial, near):
        if near[0] >= 0.0:  # within, the sector's own ends would count: see `sector_held`
            bound = max(bound, near[0] - margin)
        span[3], span[4], span[5] = near[2], near[3], near[4]
        if bound < enough and near[1] < 1e299:
            ux, uy, uz = near[2], near[3], near[4]
            to_and_fro(h, b, near[8], near[9], near[10], eps, out)
            m = b[2]
            keep_deepest(h, b, near[8] - m * ux, near[9] - m * uy, near[10] - m * uz, out)
            m = h[2]
            keep_deepest(h, b, near[5] + m * ux, near[6] + m * uy, near[7] + m * uz, out)
    else:
        x, y, z = common_point(w, p, weight)
        keep_deepest(h, b, x, y, z, out)
    return bound


@inner
def _first_sectors(h, b, limit, eps, stop, ws, out):
    """Divide the circle anew, the first sector about the nearest point so far; how many."""
    spans = ws[11]
    at = angle_of(h, out[2], out[3], out[4])
    other = angle_of(b, out[5], out[6], out[7]) if b[0] == SECTOR else 0.0
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


@step
def _in_three(h, b, span, c, n, limit, eps, stop, ws, out):
    """Divide a sector in three at column c, so that a nearest point in the middle stays in the
    middle of one: the first in its own place, the others at n and n + 1."""
    spans = ws[11]
    middle, third = spans[span, c], spans[span, c + 1] / 3.0
    for i in range(1, 3):
        copy_into(spans[n + i - 1], spans[span])
    for i in range(3):
        k = span if i == 0 else n + i - 1
        spans[k, c], spans[k, c + 1] = middle + 2.0 * third * (i - 1), third
        enough = min(stop, out[1] - eps)
        spans[k, 2] = _sector_bound(h, b, spans[k], limit, eps, enough, ws, out)


@inner
def all_in_bore(h, b, eps, stop, limit, way, ws, kept, n, out):
    """`_open_bore` for all but rods, by sectors of the ring, and of the other where that is hollow:
    the hull of a sector exceeds the ring only by r (1 - cos half), on its inner side."""
    spans = ws[11]
    resume(spans, kept, n, way)
    if n <= 0:
        n = _first_sectors(h, b, limit, eps, stop, ws, out)
    while True:
        least = lowest_span(spans, n)
        out[0] = spans[least, 2]
        enough = min(stop, out[1] - eps)
        if max(out[0], limit) >= enough:
            break
        c = 6 if spans[least, 7] * b[5] > spans[least, 1] * h[5] else 0
        if spans[least, 8] > 1.0:
            spans[least, 8] = 1.0
            spans[least, 2] = max(spans[least, 2], sector_held(h, b, spans[least]))
        elif spans[least, 8] > 0.0:
            spans[least, 8] = 0.0
            spans[least, 2] = _sector_bound(h, b, spans[least], limit, eps, enough, ws, out)
        elif spans[least, c + 1] / 3.0 < 5e-4 or n + 1 >= len(spans):
            break
        else:
            _in_three(h, b, least, c, n, limit, eps, stop, ws, out)
            n += 2
    return n
