"""Least clearance of two parts at a pose: of all their pairs of pieces."""

from kinematics.clearance.kernel.bore import is_of_metal, measure
from kinematics.clearance.kernel.bore_between import bore_proof
from kinematics.clearance.kernel.certificates import first_guess, one_plane, proved_bound
from kinematics.clearance.kernel.compiled import inner
from kinematics.clearance.kernel.layout import AHEAD, KEPT
from kinematics.clearance.kernel.poses import load_outline
from kinematics.clearance.kernel.separate import from_seed
from kinematics.clearance.kernel.vectors import clear, copy_into


@inner
def _worst_piece(lower, settled, n):
    best, at = 1e300, -1
    for p in range(n):
        if not settled[p] and lower[p] < best:
            best, at = lower[p], p
    return at


@inner
def _keep_seed(seed, out):
    """Remember a position's points (6), and how far they went since the last one (6)."""
    for k in range(6):
        step = out[2 + k] - seed[k]
        seed[6 + k] = step if seed[0] < 1e299 and abs(step) < 20.0 else 0.0
    for k in range(6):
        seed[k] = out[2 + k] if out[1] < 1e299 else 1e300


@inner
def _test(p, a, b, memory, ws):
    """What the last certificate of a pair of pieces proves here."""
    certs, _before, lower, _settled, _kept, counts, seeds = memory
    tested, carried, proved = ws[13][0], ws[13][1], ws[13][2]
    tested[p] = 1.0
    if certs[p, 0] < 0.0:  # none yet; 0 is a weight like another
        start = 0 * p
        clear(certs[p], start, len(certs[p]))
        ux, uy, uz = first_guess(a, b, certs[p])
        one_plane(certs[p], ux, uy, uz)
        seeds[p, 0] = 1e300
    if counts[p] < 0:
        carried[p] = proved[p] = proved_bound(a, b, certs[p])
        lower[p] = max(lower[p], carried[p])


@inner
def nearest_pieces(tables, ids, sides, memory, first, limit, eps, since, ws, whole, bore, result):
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
                    proof = bore_proof(
                        tables, ids_a[i], ids_b[j], a, b, kept[p], counts[p], since[p], enough,
                        whole, ws
                    )  # fmt: skip
                    lower[p] = max(lower[p], proof)
                continue
        copy_into(before[p], certs[p])
        settled[p] = True
        count = -1
        hollow = a[6] > 0.0 or b[6] > 0.0
        if hollow:
            load_outline(meta, fixed, blank, ids_a[i], a, whole[0])
            load_outline(meta, fixed, blank, ids_b[j], b, whole[1])
        # From the last position's points, where they were those of the filled rings.
        done = counts[p] < 0 and seeds[p, 0] < 1e299
        if done:
            done = from_seed(a, b, eps, ws[4], seeds[p], certs[p], out)
            done = done and (not hollow or is_of_metal(a, b, whole, out))
            if not done:
                copy_into(certs[p], before[p])
        if not done:
            stop = best + AHEAD
            had = counts[p]
            count = measure(
                a, b, whole, eps, stop, since[p], ws, certs[p], kept[p], had, seeds[p], out
            )
        bore[p] = count if count <= KEPT else -1
        proved[p] = out[0] if count < 0 else -1e300
        counts[p] = bore[p] if out[1] < 1e299 else -1
        _keep_seed(seeds[p], out)
        if 0 <= count <= KEPT:
            for k in range(max(count, 1)):
                copy_into(kept[p, k], ws[11][k])
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
