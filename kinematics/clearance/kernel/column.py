"""Clearance of two parts over columns of travel, and between its positions."""

import numpy as np

from kinematics.clearance.kernel.between import bound_between, over_interval
from kinematics.clearance.kernel.bore_between import bore_between
from kinematics.clearance.kernel.certificates import proved_bound
from kinematics.clearance.kernel.compiled import inner
from kinematics.clearance.kernel.layout import ROUNDING
from kinematics.clearance.kernel.nearest import nearest_pieces
from kinematics.clearance.kernel.poses import load_outline, load_piece
from kinematics.clearance.kernel.turning import farthest_moved, row_way, spun_way, turning_loss
from kinematics.clearance.kernel.vectors import copy_into


@inner
def room_for(pieces, pairs, width):
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


@inner
def _lay_out(blank, ids, side, nz):
    """Write the constant part of a part's pieces, for as many poses at once as are needed."""
    for k in range(min(nz, 2)):
        for i in range(len(ids)):
            copy_into(side[k, i], blank[ids[i]])


@inner
def _since_last_call(data0, data, meta, blank, ids, moved):
    """How far each piece of a part was moved since the last call's first pose."""
    for i in range(len(ids)):
        r = meta[ids[i], 0]
        moved[i] = row_way(data0, data, meta, blank, ids[i], r, r)


@inner
def _over_bore(
    meta, fixed, blank, ring, h0, b0, h1, b1, settled, way, since, want, kept, count, whole, ws
):
    """`bore_between` for a hollow ring, loaded as filled, and a piece."""
    load_outline(meta, fixed, blank, ring, h0, whole[0])
    load_outline(meta, fixed, blank, ring, h1, whole[1])
    way = way + spun_way(h0, h1) if settled else since
    return bore_between(whole[0], b0, whole[1], b1, settled, way, want, kept, count, ws)


# One function, long as it is: to hand its arrays over at every pose takes half as long again.
@inner
def run_pair(
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
    call's lower bounds at its first pose, and its data. room: see `room_for`.
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
    _lay_out(blank, ids_a, side_a, nz)
    _lay_out(blank, ids_b, side_b, nz)
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
                    known &= load_piece(
                        data, meta, fixed, ids_a[i], row, ns, still, origin, side_a[k, i]
                    )
            for i in range(nb):
                if ready[k] == 0 or meta[ids_b[i], 1] > 0:
                    known &= load_piece(
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
                _since_last_call(data0, data, meta, blank, ids_a, moved_a)
                _since_last_call(data0, data, meta, blank, ids_b, moved_b)
                for p in range(n):
                    low_p = lows[p] - moved_a[p // nb] - moved_b[p % nb]
                    if low_p > -1e299:
                        lower[p] = low_p
            if known_before:
                for i in range(na):
                    moved_a[i] = turned_a[i] = spun_a[i] = 0.0
                    if meta[ids_a[i], 1] > 0:
                        moved_a[i] = farthest_moved(side_a[1 - k, i], side_a[k, i])
                        turned_a[i] = turning_loss(side_a[k, i], side_a[1 - k, i])
                        for q in range(nb):  # only sectors are led astray by it
                            if counts[i * nb + q] > 0:
                                spun_a[i] = spun_way(side_a[1 - k, i], side_a[k, i])
                                break
                for i in range(nb):
                    moved_b[i] = turned_b[i] = spun_b[i] = 0.0
                    if meta[ids_b[i], 1] > 0:
                        moved_b[i] = farthest_moved(side_b[1 - k, i], side_b[k, i])
                        turned_b[i] = turning_loss(side_b[k, i], side_b[1 - k, i])
                        for q in range(na):  # only sectors are led astray by it
                            if counts[q * nb + i] > 0:
                                spun_b[i] = spun_way(side_b[1 - k, i], side_b[k, i])
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
            first = nearest_pieces(
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
                            opened = _over_bore(
                                meta, fixed, blank, ids_a[i], a0, b0, a1, b1, settled[p], way,
                                since[p], want, kept[p], count, whole, ws
                            )  # fmt: skip
                        elif a1[6] == 0.0:
                            opened = _over_bore(
                                meta, fixed, blank, ids_b[j], b0, a0, b1, a1, settled[p], way,
                                since[p], want, kept[p], count, whole, ws
                            )  # fmt: skip
                        bound = max(bound, opened)
                    elif bound < want:
                        if not settled[p]:
                            copy_into(before[p], certs[p])
                            if proven[p] < -1e299:
                                proven[p] = proved_bound(a0, b0, certs[p])
                        # The plain check first: the last certificate, held fixed, is mostly enough.
                        bound = max(bound, min(proven[p], carried[p]))
                        if bound < want and settled[p]:
                            bound = max(bound, bound_between(a0, b0, a1, b1, before[p], certs[p]))
                        if bound < want and bound < limit and counts[p] < 0:
                            copy_into(stack[0], before[p])
                            copy_into(stack[1], certs[p])
                            for e in range(4):
                                copy_into(four[e], blank[ids_a[i] if e % 2 == 0 else ids_b[j]])
                            over_interval(
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
