"""Pieces at a place of the top mount and a position of travel, and their ways between places."""

import math

from kinematics.clearance.kernel.compiled import inner
from kinematics.clearance.kernel.poses import load_pose
from kinematics.clearance.kernel.turning import row_way
from kinematics.clearance.kernel.vectors import copy_into


@inner
def _row_at(meta, piece, rows, place, sample):
    """Which row of its data a piece has at a place and a sample; modes: 0 stands still, 1 moves
    with the motion, 2 has a row for every place and sample, 3 is shifted with the place."""
    mode = meta[piece, 5]
    if mode == 1:
        return rows[place, sample]
    return place * rows.shape[1] + sample if mode == 2 else 0


@inner
def _load_at(data, meta, fixed, piece, rows, shift, place, sample, origin, at, s):
    for i in range(3):
        at[i] = origin[i] - (shift[place, i] if meta[piece, 5] == 3 else 0.0)
    k = meta[piece, 0] + _row_at(meta, piece, rows, place, sample) * meta[piece, 2]
    zero = 0.0
    return load_pose(fixed, meta[piece, 3], data, k, k, zero, at, s)


@inner
def _way(data, meta, blank, piece, rows, shift, sample, p, q):
    """How far any point of a piece is moved at most from one place to another, at a sample."""
    mode = meta[piece, 5]
    if mode == 0 or p == q:
        return 0.0
    if mode == 3:
        square = 0.0
        for i in range(3):
            square += (shift[q, i] - shift[p, i]) ** 2
        return math.sqrt(square)
    k, e = _row_at(meta, piece, rows, p, sample), _row_at(meta, piece, rows, q, sample)
    if k == e:
        return 0.0
    k, e = meta[piece, 0] + k * meta[piece, 2], meta[piece, 0] + e * meta[piece, 2]
    return row_way(data, data, meta, blank, piece, k, e)


@inner
def part_way(data, meta, blank, ids, rows, shift, sample, p, q):
    """`_way` of a part: that of the piece that is moved most."""
    most = 0.0
    for i in range(len(ids)):
        most = max(most, _way(data, meta, blank, ids[i], rows, shift, sample, p, q))
    return most


@inner
def pieces_of(ids, lists, place, part):
    """Which pieces a part has at a place."""
    k = place if len(lists) > 1 else 0
    return ids[lists[k, part, 0] : lists[k, part, 1]]


@inner
def load_sides(
    data, meta, fixed, blank, ids_a, ids_b, rows, shift, place, sample, origin, at, sides
):
    """Load two parts' pieces; False where the pose is unknown."""
    known = True
    for k in range(2):
        mine = ids_a if k == 0 else ids_b
        for i in range(len(mine)):
            copy_into(sides[k, i], blank[mine[i]])
            known &= _load_at(
                data, meta, fixed, mine[i], rows, shift, place, sample, origin, at, sides[k, i]
            )
    return known
