"""Clearance of two convex pieces at a pose."""

import numpy as np

from kinematics.clearance.kernel.certificates import first_guess, one_plane
from kinematics.clearance.kernel.compiled import inner
from kinematics.clearance.kernel.layout import CUTS, SPAN
from kinematics.clearance.kernel.overlap import overlap
from kinematics.clearance.kernel.separate import polish, separate
from kinematics.clearance.kernel.simplex import common_point


@inner
def pair_of_pieces(a, b, eps, stop, ws, cert, out):
    """Clearance of two pieces at a pose, starting from and leaving behind a certificate.

    out: low, high, point on a (3), point on b (3). Ends early, with a high of 1e300 and no points,
    once the lower bound reaches `stop`.
    """
    w, p, weight, trial, near = ws[0], ws[1], ws[2], ws[3], ws[4]
    ux, uy, uz = first_guess(a, b, cert)
    enough = stop + a[2] + b[2]
    apart = separate(a, b, ux, uy, uz, 0.5 * eps, enough, w, p, weight, trial, near)
    if apart and near[0] >= enough:
        one_plane(cert, near[2], near[3], near[4])
        out[0], out[1] = near[0] - a[2] - b[2], 1e300
        return
    if apart and near[1] - a[2] - b[2] > 0.0 and polish(a, b, eps, 30, near, cert, out):
        return
    if not apart:
        x, y, z = common_point(w, p, weight)
        near[2], near[3], near[4] = ux, uy, uz
        near[5], near[6], near[7] = x, y, z
        near[8], near[9], near[10] = x, y, z
    overlap(a, b, apart, eps, near, ws, cert, out)


@inner
def workspace(n):
    """Scratch for `pair_of_pieces`: two simplices, weights (2), nearest points, then the search's
    own; and for `nearest_pieces` over n pairs of pieces."""
    vectors = (np.empty(4), np.empty(4), np.empty(4), np.empty(4))
    return (
        np.empty((4, 3)), np.empty((4, 3)), np.empty(4), np.empty(4), np.empty(16),
        np.empty((4, 4)), vectors, np.empty((CUTS, 5)), np.zeros(4, np.int64), np.zeros(16),
        np.zeros(8), np.empty((600, SPAN)), np.zeros(8), np.zeros((3, n)), np.zeros(8),
        np.zeros(15),
    )  # fmt: skip
