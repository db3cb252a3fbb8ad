"""A bore by the directions held since an earlier pose, and between two poses."""

import math

from kinematics.clearance.kernel.bore_points import bent_paths
from kinematics.clearance.kernel.compiled import inner
from kinematics.clearance.kernel.layout import ROD
from kinematics.clearance.kernel.poses import load_outline
from kinematics.clearance.kernel.sectors import sector_held, take_angles
from kinematics.clearance.kernel.shadow import shadow_bound
from kinematics.clearance.kernel.stretches import stretch_held
from kinematics.clearance.kernel.supports import half_width
from kinematics.clearance.kernel.turning import turn_back, zero_turned
from kinematics.clearance.kernel.vectors import copy_into


@inner
def _bore_held(h, b, h1, way, want, spans, n, ws):
    """Lower bound over ring h's bore by the directions held in its own frame since the pose at
    which it was h1 and spans were found; way : how far any point of either may have been moved
    against the other. No more than is wanted need be shown. Spans 0: one normal all round."""
    if n == 0:
        span = spans[0]
        if span[3] == 0.0 and span[4] == 0.0:
            return -1e300
        return shadow_bound(h, b, span[3], span[4], span[5], span[6], span[7], want, ws)
    bound = 1e300
    zero = 0.0 if b[0] == ROD else zero_turned(h, h1)
    held = ws[11][0]
    take_angles(h, 0.0, math.pi)
    for i in range(n):
        low = spans[i, 2] - way
        if low < want:
            copy_into(held, spans[i])
            k = 5 if b[0] == ROD else 3
            held[k], held[k + 1], held[k + 2] = turn_back(h, h1, held[k], held[k + 1], held[k + 2])
            if b[0] == ROD:
                low = max(low, stretch_held(h, b, held))
            else:
                held[0] += zero
                low = max(low, sector_held(h, b, held))
        bound = min(bound, low)
    return bound


@inner
def bore_between(h0, b0, h1, b1, settled, way, want, spans, n, ws):
    """Lower bound while b moves in ring h's bore from pose 0 to pose 1: a direction held in the
    ring's own frame bounds the motion by its two ends. settled : spans were found at pose 1."""
    bent = bent_paths(h0, b0, h1, b1)
    bound = 1e300
    if settled:
        for i in range(max(n, 1)):
            bound = min(bound, spans[i, 2])
    else:
        bound = _bore_held(h1, b1, h1, way, want + bent, spans, n, ws)
    bound = min(bound, _bore_held(h0, b0, h1, way, want + bent, spans, n, ws))
    if bound < min(want, 0.0):
        bound = max(bound, -max(h1[3], max(half_width(b0), half_width(b1))))
    return bound - bent


@inner
def bore_proof(tables, id_a, id_b, a, b, kept, count, since, enough, whole, ws):
    """What the last sectors of a pair of pieces prove here; no more than is enough."""
    meta, fixed, blank = tables
    if a[6] > 0.0 and b[6] > 0.0:
        return -1e300
    if a[6] > 0.0:
        load_outline(meta, fixed, blank, id_a, a, whole[0])
        return _bore_held(whole[0], b, whole[0], since, enough, kept, count, ws)
    load_outline(meta, fixed, blank, id_b, b, whole[0])
    return _bore_held(whole[0], a, whole[0], since, enough, kept, count, ws)
