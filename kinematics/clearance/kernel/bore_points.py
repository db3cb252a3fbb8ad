"""A hollow ring seen from its axis: points, angles and the nearest or deepest points so far."""

import math

from kinematics.clearance.kernel.compiled import inner
from kinematics.clearance.kernel.fields import field_of
from kinematics.clearance.kernel.layout import ARCS, HEAD, RING
from kinematics.clearance.kernel.turning import turn_back
from kinematics.clearance.kernel.vectors import square_to


@inner
def to_and_fro(h, b, x, y, z, eps, out):
    """Project a point between the two surfaces while that brings it nearer; best kept in out."""
    last = 1e300
    v, gx, gy, gz = field_of(h, x, y, z)
    for _ in range(20):
        px, py, pz = x - v * gx, y - v * gy, z - v * gz
        way, gx, gy, gz = field_of(b, px, py, pz)
        if way <= 0.0 or way > last - 0.02 * eps:
            break
        last = way
        x, y, z = px - way * gx, py - way * gy, pz - way * gz
        v, gx, gy, gz = field_of(h, x, y, z)
        if way < out[1] and v > 0.0:
            out[1] = way
            out[2], out[3], out[4], out[5], out[6], out[7] = px, py, pz, x, y, z


@inner
def keep_deepest(h, b, x, y, z, out):
    """Take a point of either piece as the deepest so far in the other, if it is."""
    vh, hx, hy, hz = field_of(h, x, y, z)
    vb, bx, by, bz = field_of(b, x, y, z)
    if vb <= 1e-9 and vh < min(out[1], 0.0):
        out[1] = vh
        out[2], out[3], out[4] = x - vh * hx, y - vh * hy, z - vh * hz
        out[5], out[6], out[7] = x, y, z
    if vh <= 1e-9 and vb < min(out[1], 0.0):
        out[1] = vb
        out[2], out[3], out[4] = x, y, z
        out[5], out[6], out[7] = x - vb * bx, y - vb * by, z - vb * bz


@inner
def point_at(s, angle):
    """A point in the metal of a hollow ring, at an angle about its axis."""
    ax, ay, az = s[HEAD + 3], s[HEAD + 4], s[HEAD + 5]
    ex, ey, ez = square_to(ax, ay, az)
    fx, fy, fz = ay * ez - az * ey, az * ex - ax * ez, ax * ey - ay * ex
    c, w = s[5] * math.cos(angle), s[5] * math.sin(angle)
    return (
        s[HEAD] + c * ex + w * fx,
        s[HEAD + 1] + c * ey + w * fy,
        s[HEAD + 2] + c * ez + w * fz,
    )


@inner
def angle_of(s, x, y, z):
    """The angle of a point about a ring's axis."""
    ax, ay, az = s[HEAD + 3], s[HEAD + 4], s[HEAD + 5]
    ex, ey, ez = square_to(ax, ay, az)
    fx, fy, fz = ay * ez - az * ey, az * ex - ax * ez, ax * ey - ay * ex
    px, py, pz = x - s[HEAD], y - s[HEAD + 1], z - s[HEAD + 2]
    return math.atan2(px * fx + py * fy + pz * fz, px * ex + py * ey + pz * ez)


@inner
def _shift(a0, a1, b0, b1):
    """How far any point of ring b moves as ring a's frame sees it, between two poses."""
    n = int(b0[1])
    k = HEAD
    x, y, z = b1[k] - a1[k], b1[k + 1] - a1[k + 1], b1[k + 2] - a1[k + 2]
    x, y, z = turn_back(a0, a1, x, y, z)
    x, y, z = x + a0[k] - b0[k], y + a0[k + 1] - b0[k + 1], z + a0[k + 2] - b0[k + 2]
    far = math.sqrt(x * x + y * y + z * z)
    k = HEAD + 3
    x, y, z = turn_back(a0, a1, b1[k], b1[k + 1], b1[k + 2])
    x, y, z = x - b0[k], y - b0[k + 1], z - b0[k + 2]
    # A chord of the unit circle; the arc is at most pi / 2 of it.
    far += b0[5] * 0.5 * math.pi * math.sqrt(x * x + y * y + z * z)
    stretch = 0.0
    for i in range(n):
        k = ARCS + 7 * i + 1
        stretch = max(stretch, abs(b1[k] - b0[k]))
    return far + stretch


@inner
def _in_frame(h, b, i):
    """Greatest distance from ring h's axis, and span along it, of point i of b and what is about
    it: a ring's ends, a rod's, sheet's or block's corners."""
    ax, ay, az = h[HEAD + 3], h[HEAD + 4], h[HEAD + 5]
    if b[0] >= RING:
        k = ARCS + 7 * i
        y, grow = b[k + 1], b[k] + b[k + 2]
        x, z = b[HEAD] + y * b[HEAD + 3], b[HEAD + 2] + y * b[HEAD + 5]
        y = b[HEAD + 1] + y * b[HEAD + 4]
    else:
        k = HEAD + 3 * i
        x, y, z, grow = b[k], b[k + 1], b[k + 2], b[2]
    x, y, z = x - h[HEAD], y - h[HEAD + 1], z - h[HEAD + 2]
    d = x * ax + y * ay + z * az
    return math.sqrt(max(x * x + y * y + z * z - d * d, 0.0)) + grow, d


@inner
def from_axis(h, x, y, z):
    """Distance of a point from a ring's axis, and along it."""
    ax, ay, az = h[HEAD + 3], h[HEAD + 4], h[HEAD + 5]
    x, y, z = x - h[HEAD], y - h[HEAD + 1], z - h[HEAD + 2]
    d = x * ax + y * ay + z * az
    x, y, z = x - d * ax, y - d * ay, z - d * az
    return math.sqrt(x * x + y * y + z * z), d


@inner
def bent_paths(h0, b0, h1, b1):
    """How far b's points leave their straight paths in ring h's own frame: no more than
    (angle^2 |p - c| + 2 angle |dp|) / 8."""
    square = 0.0
    for k in range(HEAD + 3, HEAD + 6):
        square += (h1[k] - h0[k]) ** 2
    angle = 2.0 * math.asin(min(1.0, 0.5 * math.sqrt(square)))
    far = moved = 0.0
    for i in range(int(b0[1])):
        r, d = _in_frame(h0, b0, i)
        far = max(far, math.sqrt(r * r + d * d))
        r, d = _in_frame(h1, b1, i)
        far = max(far, math.sqrt(r * r + d * d))
        if b0[0] < RING:
            k = HEAD + 3 * i
            x = b1[k] - h1[HEAD] - b0[k] + h0[HEAD]
            y = b1[k + 1] - h1[HEAD + 1] - b0[k + 1] + h0[HEAD + 1]
            z = b1[k + 2] - h1[HEAD + 2] - b0[k + 2] + h0[HEAD + 2]
            moved = max(moved, math.sqrt(x * x + y * y + z * z))
    if b0[0] >= RING:
        moved = _shift(h0, h1, b0, b1) + angle * far
    return (angle * angle * far + 2.0 * angle * moved) / 8.0
