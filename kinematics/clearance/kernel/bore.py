"""Clearance of a hollow ring with its bore open, at a pose."""

import math

from kinematics.clearance.kernel.bore_points import keep_deepest, to_and_fro
from kinematics.clearance.kernel.compiled import inner
from kinematics.clearance.kernel.fields import field_of
from kinematics.clearance.kernel.layout import ROD, SECTOR
from kinematics.clearance.kernel.pair import pair_of_pieces
from kinematics.clearance.kernel.sectors import all_in_bore, take_angles
from kinematics.clearance.kernel.shadow import in_shadow
from kinematics.clearance.kernel.stretches import rod_in_bore
from kinematics.clearance.kernel.supports import half_width, middle_of
from kinematics.clearance.kernel.vectors import copy_into


@inner
def _open_bore(h, b, eps, stop, way, ws, kept, n, out):
    """Clearance of a hollow ring h (a SECTOR) and a convex piece or another; the sectors used.

    out comes with points to start from, kept[:n] with the sectors of a position since which no
    point of either was moved farther than `way` against the other. One normal all round may do
    (0 sectors); else branch and bound.
    Where the ring itself is entered deeper than its rounded edges, the bound is the depth neither
    can exceed, and the calculation error says so. Ends early once the bound reaches `stop`.
    """
    take_angles(h, 0.0, math.pi)
    if b[0] == SECTOR:
        take_angles(b, 0.0, math.pi)
    x, y, z = out[5], out[6], out[7]
    v, gx, gy, gz = field_of(b, x, y, z)
    if v > 0.0:
        x, y, z = x - v * gx, y - v * gy, z - v * gz
    out[1] = 1e300
    to_and_fro(h, b, x, y, z, eps, out)
    if out[1] > 1e299:
        keep_deepest(h, b, x, y, z, out)
    out[0] = in_shadow(h, b, eps, stop, n, ws, out)
    if out[0] >= min(stop, out[1] - eps):
        return 0
    limit = out[0]
    if min(stop, out[1] - eps) <= 0.0:
        limit = max(limit, -max(h[3], half_width(b)))
    if b[0] == ROD:
        n = rod_in_bore(h, b, eps, stop, limit, way, ws, kept, n, out)
    else:
        n = all_in_bore(h, b, eps, stop, limit, way, ws, kept, n, out)
    out[0] = max(out[0], limit)
    if out[1] > 1e299 and out[0] < stop:  # touching, to the last digits
        v, gx, gy, gz = field_of(h, x, y, z)
        out[1] = abs(v)
        out[2], out[3], out[4] = x - v * gx, y - v * gy, z - v * gz
        out[5], out[6], out[7] = x, y, z
    return n


@inner
def measure(a, b, whole, eps, stop, way, ws, cert, kept, count, seed, out):
    """`pair_of_pieces`, with the bores of hollow ones opened where that matters.

    whole: their whole outlines. kept, count, seed, way: sectors and points of an earlier position,
    count -1 for none, and how far points were moved since. Returns the number of sectors looked
    at, or -1 where the answer of the filled rings stands.
    """
    if a[6] == 0.0 and b[6] == 0.0:
        pair_of_pieces(a, b, eps, stop, ws, cert, out)
        return -1
    filled = -1e300
    if count >= 0:
        for j in range(6):
            out[2 + j] = seed[j] + seed[6 + j]
    else:
        pair_of_pieces(a, b, eps, stop, ws, cert, out)
        if out[0] >= stop or is_of_metal(a, b, whole, out):
            return -1
        filled = out[0]
        if out[1] <= 0.0:
            x, y, z = middle_of(b if a[6] > 0.0 else a)
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
        pair_of_pieces(a, b, eps, 1e300, ws, cert, res)
        filled = res[0]
        if is_of_metal(a, b, whole, res):
            copy_into(out, res)
            return -1
    out[0] = max(out[0], filled)
    return n


@inner
def is_of_metal(a, b, whole, out):
    """Whether the answer for two filled rings, or one and another piece, is that of the hollow
    ones: its points are in their metal, and as deep there."""
    for turn in range(2):
        s, at, other = (a, 2, 5) if turn == 0 else (b, 5, 2)
        if s[6] > 0.0:
            v = field_of(whole[turn], out[at], out[at + 1], out[at + 2])[0]
            if v > 1e-7:
                return False
            if out[1] <= 0.0:  # one of the points is as deep in the other solid
                v = field_of(whole[turn], out[other], out[other + 1], out[other + 2])[0]
                if abs(v - out[1]) > 1e-7:
                    o = b if turn == 0 else a
                    if o[6] > 0.0:
                        o = whole[1 - turn]
                    v = field_of(o, out[at], out[at + 1], out[at + 2])[0]
                    if abs(v - out[1]) > 1e-7:
                        return False
    return True


@inner
def _swap(out):
    for j in range(2, 5):
        out[j], out[j + 3] = out[j + 3], out[j]
