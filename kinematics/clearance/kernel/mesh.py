"""Entry: clearance of a mesh and a piece that moves."""

import math

import numpy as np
from numba import types

from kinematics.clearance.kernel.bore import measure
from kinematics.clearance.kernel.compiled import F1, F2, F3, I2, entry
from kinematics.clearance.kernel.layout import HEAD, KEPT, ROUNDING, SPAN
from kinematics.clearance.kernel.pair import workspace
from kinematics.clearance.kernel.poses import load_outline, load_piece
from kinematics.clearance.kernel.tree import as_sheet, over_mesh
from kinematics.clearance.kernel.turning import turning_loss


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
    width = max(blank.shape[1], HEAD + 9)
    sides, whole, tri = np.zeros((2, width)), np.zeros((2, width)), np.zeros(width)
    for k in range(2):
        for j in range(blank.shape[1]):
            sides[k, j] = blank[piece, j]
    ws = workspace(1)
    stack = np.empty((128, 2))
    kept, seed, none = np.empty((KEPT, SPAN)), np.zeros(12), -1
    work = np.zeros(32), np.zeros(32), np.zeros(3), kept, seed
    out, result = np.zeros(8), np.zeros(8)
    origin = np.zeros(3)
    still = 0.0
    for js in range(ns):
        known_before, start = False, -1
        for iz in range(nz):
            k = iz % 2
            row = iz * ns + js
            b0, b1 = sides[1 - k], sides[k]
            if not load_piece(data, meta, fixed, piece, row, ns, still, origin, b1):
                known_before = False
                continue
            load_outline(meta, fixed, blank, piece, b1, whole[1])
            best = cutoff[iz, js]
            result[2] = np.nan
            if start >= 0:  # the last position's nearest triangle gives a value to beat
                as_sheet(triangles, start, tri)
                work[0][0] = 0.0
                measure(tri, b1, whole, eps, 1e300, still, ws, work[0], kept, none, seed, out)
                if out[1] < best:
                    best = out[1]
                    for j in range(2, 8):
                        result[j] = out[j]
            start = over_mesh(
                triangles,
                centre,
                radius,
                leaf,
                b0,
                b1,
                whole,
                False,
                start,
                best,
                eps,
                ws,
                stack,
                tri,
                work,
                out,
                result,
            )
            low[iz, js] = min(result[0], result[1]) - ROUNDING
            if result[2] == result[2]:
                high[iz, js] = result[1]
                for j in range(3):
                    point_a[iz, js, j], point_b[iz, js, j] = result[2 + j], result[5 + j]
            if known_before:
                target = min(low[iz - 1, js], low[iz, js])
                if whole[1, 0] > 0.0:
                    angle = 0.0
                    for j in range(3, 6):
                        angle += (b1[HEAD + j] - b0[HEAD + j]) ** 2
                    moved = b1[5] * 0.5 * math.pi * math.sqrt(angle)
                    angle = 0.0
                    for j in range(3):
                        angle += (b1[HEAD + j] - b0[HEAD + j]) ** 2
                    bound = target - 0.5 * (moved + math.sqrt(angle))
                else:
                    over_mesh(
                        triangles,
                        centre,
                        radius,
                        leaf,
                        b0,
                        b1,
                        whole,
                        True,
                        start,
                        target,
                        0.5 * eps,
                        ws,
                        stack,
                        tri,
                        work,
                        out,
                        result,
                    )
                    bound = result[0]
                bound = min(bound, target) - turning_loss(b1, b0)
                between[iz - 1, js] = bound - sagitta[iz - 1, js] - ROUNDING
            known_before = True
