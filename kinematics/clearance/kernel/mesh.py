"""Entry: clearance of a mesh and a piece that moves."""

import math

import numpy as np
from numba import types

from kinematics.clearance.kernel.compiled import F1, F2, F3, I2, entry, step
from kinematics.clearance.kernel.layout import HEAD, KEPT, ROUNDING, SPAN
from kinematics.clearance.kernel.pair import workspace
from kinematics.clearance.kernel.poses import load_outline, load_piece
from kinematics.clearance.kernel.tree import measure_triangle, over_mesh
from kinematics.clearance.kernel.turning import turning_loss
from kinematics.clearance.kernel.vectors import copy_into


@step
def _value_to_beat(mesh, start, piece, best, eps, ws, scratch, result):
    """The clearance of the last position's nearest triangle (-1: none) where that is less than the
    best; its points go into the result."""
    result[2] = np.nan
    if start >= 0:
        out = scratch[7]
        measure_triangle(mesh[0], start, piece, scratch[2], eps, 1e300, ws, scratch)
        if out[1] < best:
            best = out[1]
            for j in range(2, 8):
                result[j] = out[j]
    return best


@step
def _over_step(mesh, piece, start, target, eps, ws, scratch, result):
    """Lower bound over the piece's motion, but for its turning.

    A hollow ring has no planes to hold: from either end no point of it can have gone farther than
    half the way from end to end.
    """
    b0, b1, whole = piece
    if whole[1, 0] > 0.0:
        angle = 0.0
        for j in range(3, 6):
            angle += (b1[HEAD + j] - b0[HEAD + j]) ** 2
        moved = b1[5] * 0.5 * math.pi * math.sqrt(angle)
        square = 0.0
        for j in range(3):
            square += (b1[HEAD + j] - b0[HEAD + j]) ** 2
        return target - 0.5 * (moved + math.sqrt(square))
    over_mesh(mesh, piece, True, start, target, 0.5 * eps, ws, scratch, result)
    return result[0]


@entry(
    types.void(
        F2, F2, F1, types.int64, F1, I2, F1, F2, types.int64, types.int64, types.int64,
        types.float64, F2, F2, F2, F2, F3, F3, F2,
    )
)  # fmt: skip
def run_mesh(
    triangles,
    centre,
    radius,
    leaf,
    data,
    meta,
    fixed,
    blank,
    piece,
    nz,
    ns,
    tol,
    cutoff,
    sagitta,
    low,
    high,
    point_a,
    point_b,
    between,
):
    """Clearance of a mesh that stands still and a piece that moves; fills the last five arrays.

    triangles : (m, 9) in the order of the tree's leaves, `leaf` a leaf; centre, radius : balls of
    the implicit binary tree (children of i: 2 i + 1, 2 i + 2), radius -1 where it is empty.
    cutoff : (nz, ns), nothing that far off is looked for.
    """
    eps = 0.9 * tol
    mesh = triangles, centre, radius, leaf
    width = max(blank.shape[1], HEAD + 9)
    sides, whole = np.zeros((2, width)), np.zeros((2, width))
    for k in range(2):
        copy_into(sides[k], blank[piece])
    ws = workspace(1)
    scratch = (
        np.empty((128, 2)), np.zeros(width), np.zeros(32), np.zeros(32), np.zeros(3),
        np.empty((KEPT, SPAN)), np.zeros(12), np.zeros(8),
    )  # fmt: skip
    result, origin, still = np.zeros(8), np.zeros(3), 0.0
    for js in range(ns):
        known_before, start = False, -1
        for iz in range(nz):
            row = iz * ns + js
            b0, b1 = sides[1 - iz % 2], sides[iz % 2]
            if not load_piece(data, meta, fixed, piece, row, ns, still, origin, b1):
                known_before = False
                continue
            load_outline(meta, fixed, blank, piece, b1, whole[1])
            both = b0, b1, whole
            best = _value_to_beat(mesh, start, both, cutoff[iz, js], eps, ws, scratch, result)
            start = over_mesh(mesh, both, False, start, best, eps, ws, scratch, result)
            low[iz, js] = min(result[0], result[1]) - ROUNDING
            if result[2] == result[2]:
                high[iz, js] = result[1]
                for j in range(3):
                    point_a[iz, js, j], point_b[iz, js, j] = result[2 + j], result[5 + j]
            if known_before:
                target = min(low[iz - 1, js], low[iz, js])
                bound = _over_step(mesh, both, start, target, eps, ws, scratch, result)
                bound = min(bound, target) - turning_loss(b1, b0)
                between[iz - 1, js] = bound - sagitta[iz - 1, js] - ROUNDING
            known_before = True
