"""Pieces at a place of the top mount and a position of travel, and their ways between places.

given : data, meta with a sixth column, the mode (`_row_at`), fixed, blank, rows and shift, all as
in `run_places`. parts : ids and lists as there, and which parts are cut differently from place to
place. A sample is a position of the motion.
"""

import math

import numpy as np

from kinematics.clearance.kernel.compiled import inner, step
from kinematics.clearance.kernel.poses import load_pose
from kinematics.clearance.kernel.turning import row_way
from kinematics.clearance.kernel.vectors import copy_into


@inner
def changing_parts(lists):
    """Which parts have other pieces at some places than at others."""
    changing = np.zeros(lists.shape[1], np.bool_)
    for m in range(len(lists)):
        for i in range(lists.shape[1]):
            changing[i] |= lists[m, i, 0] != lists[0, i, 0]
    return changing


@step
def pieces_of(parts, place, part):
    """Which pieces a part has at a place."""
    ids, lists, _changing = parts
    k = place if len(lists) > 1 else 0
    return ids[lists[k, part, 0] : lists[k, part, 1]]


@step
def _row_at(meta, piece, rows, place, sample):
    """Which row of its data a piece has at a place and a sample; modes: 0 stands still, 1 moves
    with the motion, 2 has a row for every place and sample, 3 is shifted with the place."""
    mode = meta[piece, 5]
    if mode == 1:
        return rows[place, sample]
    return place * rows.shape[1] + sample if mode == 2 else 0


@step
def _load_at(given, piece, place, sample, origin, at, s):
    """Load a piece at a place and a sample; False where the pose is unknown."""
    data, meta, fixed, _blank, rows, shift = given
    for i in range(3):
        at[i] = origin[i] - (shift[place, i] if meta[piece, 5] == 3 else 0.0)
    k = meta[piece, 0] + _row_at(meta, piece, rows, place, sample) * meta[piece, 2]
    zero = 0.0
    return load_pose(fixed, meta[piece, 3], data, k, k, zero, at, s)


@step
def load_sides(given, ids, place, sample, origin, at, sides):
    """Load two parts' pieces; False where the pose is unknown."""
    known = True
    blank = given[3]
    for k in range(2):
        mine = ids[k]
        for i in range(len(mine)):
            copy_into(sides[k, i], blank[mine[i]])
            known &= _load_at(given, mine[i], place, sample, origin, at, sides[k, i])
    return known


@step
def _way(given, piece, sample, p, q):
    """How far any point of a piece is moved at most from one place to another, at a sample."""
    data, meta, _fixed, blank, rows, shift = given
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


@step
def part_way(given, ids, sample, p, q):
    """`_way` of a part: that of the piece that is moved most."""
    most = 0.0
    for i in range(len(ids)):
        most = max(most, _way(given, ids[i], sample, p, q))
    return most
