"""Entry: the worst pair and position at every place of the top mount."""

import numpy as np
from numba import types

from kinematics.clearance.kernel.compiled import F1, F2, F3, I1, I2, I3, entry
from kinematics.clearance.kernel.layout import AHEAD
from kinematics.clearance.kernel.nearest import nearest_pieces
from kinematics.clearance.kernel.pair import workspace
from kinematics.clearance.kernel.place_rows import load_sides, part_way, pieces_of


@entry(
    types.void(
        F1, I2, F1, F2, I1, I3, I2, I2, F2, types.float64, I2, I2, F2, F1, I1, F2,
        F3, I1, F2, I1, I1, I2, F1, F2, I2, I2,
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
    ws = workspace(most)
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
                mine = pieces_of(ids, lists, place, part)
                for m in range(size):
                    way = part_way(data, meta, blank, mine, rows, shift, sample, place, members[m])
                    reach[part, sample] = max(reach[part, sample], way)
        slack = reach[i, sample] + reach[j, sample]
        ids_a, ids_b = pieces_of(ids, lists, place, i), pieces_of(ids, lists, place, j)
        need = high[0]
        if rule[k] == rule[k]:
            need = max(need, high[1] + rule[k])
        fresh = changing[i] or changing[j]
        if fresh:  # what is known of another place says nothing
            bound[c] = -1e300
            continue
        if known_at >= 0:
            way = part_way(data, meta, blank, ids_a, rows, shift, sample, known_at, place)
            way += part_way(data, meta, blank, ids_b, rows, shift, sample, known_at, place)
            if bound[c] - way - slack > need + eps:
                bound[c] = np.inf
                continue
        origin = middle[k]
        if not load_sides(
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
        first[k] = nearest_pieces(
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
                ids_a = pieces_of(ids, lists, place, pairs[k, 0])
                ids_b = pieces_of(ids, lists, place, pairs[k, 1])
                now[c] = -1e300
                if not (changing[pairs[k, 0]] or changing[pairs[k, 1]]):
                    q = measured[c]
                    way = part_way(data, meta, blank, ids_a, rows, shift, sample, q, place)
                    way += part_way(data, meta, blank, ids_b, rows, shift, sample, q, place)
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
                ids_a = pieces_of(ids, lists, place, pairs[k, 0])
                ids_b = pieces_of(ids, lists, place, pairs[k, 1])
                origin = middle[k]
                if not load_sides(
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
                first[k] = nearest_pieces(
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
