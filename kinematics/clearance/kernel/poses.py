"""A piece's pose written into its buffer: points between two rows of its data, face planes."""

import math

from kinematics.clearance.kernel.compiled import inner
from kinematics.clearance.kernel.layout import ARCS, BLOCK, HEAD, RING
from kinematics.clearance.kernel.vectors import copy_into, newell_normal


@inner
def load_pose(fixed, f, data, at, upper, t, origin, s):
    """Write a piece's pose into its buffer: between the rows at `at` and `upper`, about an origin.

    Returns False where the pose is unknown (NaN).
    """
    kind = int(s[0])
    n = int(s[1])
    total = 0.0
    if kind >= RING:
        for i in range(6):
            value = data[at + i] + t * (data[upper + i] - data[at + i])
            s[HEAD + i] = value - origin[i] if i < 3 else value
            total += value
        stretch = data[at + 6] + t * (data[upper + 6] - data[at + 6])
        length = math.sqrt(s[HEAD + 3] ** 2 + s[HEAD + 4] ** 2 + s[HEAD + 5] ** 2)
        for i in range(n):
            s[ARCS + 7 * i + 1] = fixed[f + 8 * i + 1] + fixed[f + 8 * i + 7] * stretch
        s[7] = stretch
        for i in range(3):
            s[HEAD + 3 + i] /= length
        return math.isfinite(total + stretch)
    for i in range(n):
        for j in range(3):
            k = 3 * i + j
            value = data[at + k] + t * (data[upper + k] - data[at + k])
            s[HEAD + k] = value - origin[j]
            total += value
    if kind == BLOCK:
        _planes(s)
    return math.isfinite(total)


@inner
def _planes(s):
    """The outward face planes of a block: the greatest corner fixes each offset."""
    n = int(s[1])
    faces = int(s[4])
    plane = HEAD + 3 * n
    at = plane + 4 * faces
    for _ in range(faces):
        k = int(s[at])
        nx, ny, nz = newell_normal(s, at + 1, k)
        top = -1e300
        for i in range(n):
            value = nx * s[HEAD + 3 * i] + ny * s[HEAD + 3 * i + 1] + nz * s[HEAD + 3 * i + 2]
            top = max(top, value)
        s[plane], s[plane + 1], s[plane + 2], s[plane + 3] = nx, ny, nz, top
        plane += 4
        at += 1 + k


@inner
def load_piece(data, meta, fixed, piece, row, step, t, origin, s):
    """Load a piece at travel row + t (0 <= t <= 1, step rows apart); False when unknown."""
    stride = meta[piece, 1]
    at = meta[piece, 0] + row * stride
    upper = at + step * stride if t > 0.0 else at
    return load_pose(fixed, meta[piece, 3], data, at, upper, t, origin, s)


@inner
def load_outline(meta, fixed, blank, piece, s, hollow):
    """Write a loaded hollow ring's whole outline at the same pose."""
    if s[6] == 0.0:
        return
    k = meta[piece, 4]
    copy_into(hollow, blank[k])
    for i in range(6):
        hollow[HEAD + i] = s[HEAD + i]
    f = meta[k, 3]
    for i in range(int(hollow[1])):
        hollow[ARCS + 7 * i + 1] = fixed[f + 8 * i + 1] + fixed[f + 8 * i + 7] * s[7]
