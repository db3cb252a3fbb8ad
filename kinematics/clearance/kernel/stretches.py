"""A rod in a bore, by stretches of the rod."""

from kinematics.clearance.kernel.bore_points import from_axis, keep_deepest, to_and_fro
from kinematics.clearance.kernel.compiled import inner, step
from kinematics.clearance.kernel.fields import field_of, profile_field
from kinematics.clearance.kernel.layout import HEAD, KEPT
from kinematics.clearance.kernel.spans import lowest_span, resume
from kinematics.clearance.kernel.supports import arc_point, height_of


@inner
def _core_at(b, t):
    k = HEAD
    return (
        b[k] + t * (b[k + 3] - b[k]),
        b[k + 1] + t * (b[k + 4] - b[k + 1]),
        b[k + 2] + t * (b[k + 5] - b[k + 2]),
    )


@inner
def stretch_held(h, b, span):
    """Lower bound over a stretch of a rod by the normal held for it.

    The distance from the axis is convex along the rod: where the outline's normal (nr, ny) has
    nr <= 0 the ends of the stretch bound all of it; else its direction in space does.
    """
    nr, ny = span[3], span[4]
    least = 1e300
    for e in range(2):
        x, y, z = _core_at(b, span[e])
        if nr <= 0.0:
            r, d = from_axis(h, x, y, z)
            value = nr * r + ny * d
        else:
            value = span[5] * x + span[6] * y + span[7] * z
        least = min(least, value)
    if nr > 0.0:
        return least - height_of(h, span[5], span[6], span[7]) - b[2]
    best = -1e300
    for i in range(int(h[1])):
        r, d, _own = arc_point(h, i, nr, ny)
        best = max(best, nr * r + ny * d)
    return least - best - h[2] - b[2]


@inner
def _stretch_bound(h, b, span, eps, out):
    """Lower bound over a stretch of a rod by the normal at its middle; better points are kept."""
    x, y, z = _core_at(b, 0.5 * (span[0] + span[1]))
    r, d = from_axis(h, x, y, z)
    value, span[3], span[4] = profile_field(h, r, d)
    value, gx, gy, gz = field_of(h, x, y, z)
    span[5], span[6], span[7] = gx, gy, gz
    if value - b[2] < out[1]:
        to_and_fro(h, b, x, y, z, eps, out)
        keep_deepest(h, b, x, y, z, out)
        keep_deepest(h, b, x - b[2] * gx, y - b[2] * gy, z - b[2] * gz, out)
        keep_deepest(h, b, x - value * gx, y - value * gy, z - value * gz, out)
    return stretch_held(h, b, span)


@step
def _in_three(h, b, span, n, eps, ws, out):
    """Divide a stretch in three, the first in its own place and the others at n and n + 1."""
    spans = ws[11]
    start, third = spans[span, 0], (spans[span, 1] - spans[span, 0]) / 3.0
    for i in range(3):
        k = span if i == 0 else n + i - 1
        spans[k, 0], spans[k, 1], spans[k, 8] = start + third * i, start + third * (i + 1), 0.0
        spans[k, 2] = _stretch_bound(h, b, spans[k], eps, out)


@inner
def rod_in_bore(h, b, eps, stop, limit, way, ws, kept, n, out):
    """`_open_bore` for a rod, by stretches of it: from, to, bound, normal (2), direction (3).

    A ring looks the same from all round, so that only the distance from its axis counts.
    """
    spans = ws[11]
    resume(spans, kept, n, way)
    if n <= 0:
        n = 3
        for i in range(n):
            spans[i, 0], spans[i, 1], spans[i, 8] = i / 3.0, (i + 1) / 3.0, 0.0
            spans[i, 2] = _stretch_bound(h, b, spans[i], eps, out)
    while True:
        least = lowest_span(spans, n)
        out[0] = spans[least, 2]
        if max(out[0], limit) >= min(stop, out[1] - eps):
            break
        if spans[least, 8] > 1.0:
            spans[least, 8] = 1.0
            spans[least, 2] = max(spans[least, 2], stretch_held(h, b, spans[least]))
        elif spans[least, 8] > 0.0:
            spans[least, 8] = 0.0
            spans[least, 2] = _stretch_bound(h, b, spans[least], eps, out)
        elif (spans[least, 1] - spans[least, 0]) / 3.0 < 1e-6 or n + 1 >= KEPT:
            break
        else:
            _in_three(h, b, least, n, eps, ws, out)
            n += 2
    return n
