"""Entry: the worst pair and position at every place of the top mount."""

import numpy as np
from numba import types

from kinematics.clearance.kernel.compiled import F1, F2, F3, I1, I2, I3, entry, step
from kinematics.clearance.kernel.layout import AHEAD
from kinematics.clearance.kernel.place_pairs import (
    beaten,
    is_changing,
    measure_at,
    measure_candidates,
    pair_way,
    place_room,
)
from kinematics.clearance.kernel.place_rows import changing_parts


@step
def _start_place(given, parts, task, place, valid, bound, measured, now, done):
    """Start a place's candidates from their bounds elsewhere, less the ways from there; those that
    do not count here are done."""
    pairs, _middle, _rule, _begin, candidates = task
    for c in range(len(candidates)):
        now[c] = np.inf
        k, sample = candidates[c, 0], candidates[c, 1]
        done[c] = bound[c] > 1e300 or valid[place, sample] == 0
        if not done[c]:
            now[c] = -1e300
            if not is_changing(parts, pairs, k):
                q = measured[c]
                now[c] = bound[c] - pair_way(given, parts, pairs, k, sample, q, place, place)


@step
def _lowest_left(task, now, done, g):
    """The candidate that may be lowest of those left, or -1: by clearance, or by margin (g = 1)."""
    rule, candidates = task[2], task[4]
    c, lowest = -1, 1e300
    for d in range(len(candidates)):
        if not done[d]:
            low = now[d] - (rule[candidates[d, 0]] if g == 1 else 0.0)
            if low < lowest:
                c, lowest = d, low
    return c, lowest


@step
def _settle_place(
    given, parts, task, place, valid, memory, room, bound, measured, now, done, eps, results
):
    """Find the lowest clearance and the lowest margin at a place among the candidates."""
    rule, candidates = task[2], task[4]
    value, pair_at, sample_at = results
    found = room[3]
    best = np.full(2, 1e300)
    _start_place(given, parts, task, place, valid, bound, measured, now, done)
    for g in range(2):
        while True:
            c, lowest = _lowest_left(task, now, done, g)
            if c < 0 or lowest >= best[g] - (eps if best[g] < 1e299 else 0.0):
                break
            k, sample = candidates[c, 0], candidates[c, 1]
            done[c] = True
            limit = beaten(best, rule[k]) + AHEAD
            if not measure_at(given, parts, task, k, place, sample, limit, eps, memory, room):
                now[c] = np.inf
                continue
            now[c] = bound[c] = found[0]
            measured[c] = place
            for goal in range(2):
                figure = found[1] - rule[k] if goal == 1 else found[1]
                if figure < best[goal]:
                    best[goal] = figure
                    pair_at[goal, place], sample_at[goal, place] = k, sample
        for d in range(len(candidates)):
            low = now[d] - (rule[candidates[d, 0]] if g == 1 else 0.0)
            if low < value[g, place]:
                value[g, place] = low


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
    given, parts = (data, meta, fixed, blank, rows, shift), (ids, lists, changing_parts(lists))
    task, memory = (pairs, middle, rule, begin, candidates), (certs, kept, counts, seeds)
    room = place_room(pairs, begin, lists, blank.shape[1])
    measure_candidates(given, parts, task, where, members, valid, lead, memory, room, bound, eps)
    if where[2] == 0:
        return
    count = len(candidates)
    measured = np.full(count, where[0], np.int64)
    now, done = np.zeros(count), np.zeros(count, np.bool_)
    results = value, pair_at, sample_at
    for m in range(len(members)):
        _settle_place(
            given, parts, task, members[m], valid, memory, room, bound, measured, now, done, eps,
            results,
        )  # fmt: skip
