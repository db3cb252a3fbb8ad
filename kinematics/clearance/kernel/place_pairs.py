"""Pairs of parts at a place of the top mount, and candidates for the worst at places about one.

given, parts : see `place_rows`. task : pairs, middle, rule, begin and candidates of `run_places`.
memory : its certs, kept, counts and seeds. room : see `place_room`. A candidate is a pair of parts
at a sample; best and high hold two values: of the clearance, and of the margin over the rule.
"""

import numpy as np

from kinematics.clearance.kernel.compiled import inner, step
from kinematics.clearance.kernel.layout import AHEAD
from kinematics.clearance.kernel.nearest import nearest_pieces
from kinematics.clearance.kernel.pair import workspace
from kinematics.clearance.kernel.place_rows import load_sides, part_way, pieces_of


@inner
def place_room(pairs, begin, lists, width):
    """Room for any pair: loaded pieces, outlines, an origin; what became of pairs of pieces, their
    bounds and ways; a result; each pair's nearest pieces of the last time; and `workspace`."""
    most = widest = 1
    for k in range(len(pairs)):
        most = max(most, begin[k + 1] - begin[k])
    for m in range(len(lists)):
        for i in range(lists.shape[1]):
            widest = max(widest, lists[m, i, 1] - lists[m, i, 0])
    return (
        (np.empty((2, widest, width)), np.empty((3, width)), np.zeros(3)),
        (np.zeros((most, 32)), np.zeros(most), np.zeros(most, np.bool_), np.zeros(most, np.int64)),
        np.full(most, 1e300),
        np.zeros(8),
        np.full(len(pairs), -1, np.int64),
        workspace(most),
    )


@step
def beaten(best, rule):
    """From what clearance on a pair is neither nearer than the best nor tighter to its rule, NaN
    for none."""
    value = best[0]
    if rule == rule:
        value = max(value, best[1] + rule)
    return value


@step
def is_changing(parts, pairs, k):
    """Whether one of a pair's parts is cut differently from place to place."""
    return parts[2][pairs[k, 0]] or parts[2][pairs[k, 1]]


@step
def pair_way(given, parts, pairs, k, sample, p, q, place):
    """How far the parts of a pair, with the pieces they have at `place`, are moved at most against
    each other from p to q."""
    way = part_way(given, pieces_of(parts, place, pairs[k, 0]), sample, p, q)
    return way + part_way(given, pieces_of(parts, place, pairs[k, 1]), sample, p, q)


@step
def measure_at(given, parts, task, k, place, sample, limit, eps, memory, room):
    """`nearest_pieces` of a pair at a place and a sample, into the room's result; False where the
    pose is unknown."""
    pairs, middle, _rule, begin, _candidates = task
    (sides, whole, at), (before, lower, settled, bore), since, found, first, ws = room
    certs, kept, counts, seeds = memory
    ids = pieces_of(parts, place, pairs[k, 0]), pieces_of(parts, place, pairs[k, 1])
    if not load_sides(given, ids, place, sample, middle[k], at, sides):
        return False
    b, e = begin[k], begin[k + 1]
    if is_changing(parts, pairs, k):
        for p in range(b, e):
            certs[p, 0] = -1.0
            counts[p] = -1
        first[k] = -1
    for p in range(len(ids[0]) * len(ids[1])):
        lower[p] = -1e300
    held = certs[b:e], before, lower, settled, kept[b:e], counts[b:e], seeds[b:e]
    tables, two = (given[1], given[2], given[3]), (sides[0], sides[1])
    first[k] = nearest_pieces(
        tables, ids, two, held, first[k], limit, eps, since, ws, whole, bore, found
    )
    return True


@step
def _reach_of(given, parts, part, sample, place, members, reach):
    """How far a part is moved at most from a place to any member, at a sample; kept in reach."""
    if reach[part, sample] < 0.0:
        reach[part, sample] = 0.0
        if parts[2][part]:
            reach[part, sample] = 1e200
            return 1e200
        mine = pieces_of(parts, place, part)
        for m in range(len(members)):
            way = part_way(given, mine, sample, place, members[m])
            reach[part, sample] = max(reach[part, sample], way)
    return reach[part, sample]


@inner
def _counting(valid, members):
    """Which samples count at every member, and which at some."""
    samples = valid.shape[1]
    every, some = np.ones(samples, np.bool_), np.zeros(samples, np.bool_)
    for sample in range(samples):
        for m in range(len(members)):
            if valid[members[m], sample] > 0:
                some[sample] = True
            else:
                every[sample] = False
    return every, some


@step
def measure_candidates(given, parts, task, where, members, valid, lead, memory, room, bound, eps):
    """Measure the candidates at the place where[0]: their lower bounds there, infinity for those
    that can't be any member's worst. Leaves in lead[:, 1] those that are worst here."""
    pairs, _middle, rule, _begin, candidates = task
    place, known_at = where[0], where[1]
    found = room[3]
    every, some = _counting(valid, members)
    reach = np.full((len(parts[2]), valid.shape[1]), -1.0)
    high, least = np.full(2, 1e300), np.full(2, 1e300)
    # The two leading candidates first: what they give spares most of the others.
    for turn in range(len(candidates) + 2):
        c = turn - 2
        if turn < 2:
            c = lead[turn, 0]
            if c < 0:
                continue
        elif c == lead[0, 0] or c == lead[1, 0]:
            continue
        k, sample = candidates[c, 0], candidates[c, 1]
        if not some[sample]:
            bound[c] = np.inf
            continue
        slack = _reach_of(given, parts, pairs[k, 0], sample, place, members, reach)
        slack += _reach_of(given, parts, pairs[k, 1], sample, place, members, reach)
        if is_changing(parts, pairs, k):  # what is known of another place says nothing
            bound[c] = -1e300
            continue
        need = beaten(high, rule[k])
        if known_at >= 0:
            way = pair_way(given, parts, pairs, k, sample, known_at, place, place)
            if bound[c] - way - slack > need + eps:
                bound[c] = np.inf
                continue
        limit = need + slack + AHEAD
        if not measure_at(given, parts, task, k, place, sample, limit, eps, memory, room):
            bound[c] = -1e300
            continue
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
    _drop_beaten(task, reach, high, bound, eps)


@step
def _drop_beaten(task, reach, high, bound, eps):
    """Set the bounds of candidates to infinity that are beaten at every member."""
    pairs, _middle, rule, _begin, candidates = task
    for c in range(len(candidates)):
        if bound[c] < 1e300:
            k, sample = candidates[c, 0], candidates[c, 1]
            slack = reach[pairs[k, 0], sample] + reach[pairs[k, 1], sample]
            margin = bound[c] - rule[k] - slack
            # By more than the calculation error: its own upper figure is among the high ones.
            if bound[c] - slack > high[0] + eps and not margin <= high[1] + eps:
                bound[c] = np.inf
