"""How far a piece's points go from one pose to another, and how far off their chords."""

import math

from kinematics.clearance.kernel.compiled import inner
from kinematics.clearance.kernel.layout import ARCS, HEAD, RING
from kinematics.clearance.kernel.vectors import square_to


@inner
def turn_back(s, e, ux, uy, uz):
    """u turned back by the least rotation that takes ring s's axis a to ring e's axis b
    (Rodrigues, with w = b x a)."""
    k = HEAD + 3
    ax, ay, az = s[k], s[k + 1], s[k + 2]
    bx, by, bz = e[k], e[k + 1], e[k + 2]
    wx, wy, wz = by * az - bz * ay, bz * ax - bx * az, bx * ay - by * ax
    turn = 1.0 / max(1.0 + ax * bx + ay * by + az * bz, 1e-9)
    px, py, pz = wy * uz - wz * uy, wz * ux - wx * uz, wx * uy - wy * ux
    return (
        ux + px + turn * (wy * pz - wz * py),
        uy + py + turn * (wz * px - wx * pz),
        uz + pz + turn * (wx * py - wy * px),
    )


@inner
def zero_turned(h0, h1):
    """By what angle about its axis ring h's zero of angle is turned from pose 0 to pose 1, but for
    the least rotation of the axis."""
    x, y, z = square_to(h1[HEAD + 3], h1[HEAD + 4], h1[HEAD + 5])
    x, y, z = turn_back(h0, h1, x, y, z)
    ax, ay, az = h0[HEAD + 3], h0[HEAD + 4], h0[HEAD + 5]
    ex, ey, ez = square_to(ax, ay, az)
    fx, fy, fz = ay * ez - az * ey, az * ex - ax * ez, ax * ey - ay * ex
    return math.atan2(x * fx + y * fy + z * fz, x * ex + y * ey + z * ez)


@inner
def _arc(square):
    """No less than the angle of a chord of the unit circle, given its square: (asin x - x) / x^3
    grows from 0 to 1, where it is pi / 2 - 1."""
    x = min(1.0, 0.5 * math.sqrt(square))
    return 2.0 * x * (1.0 + (0.5 * math.pi - 1.0) * x * x)


@inner
def turning_loss(now, before):
    """How far a ring's points leave their chords as its axis turns and it is stretched:
    (reach * angle^2 + 2 * stretch * angle) / 8."""
    if now[0] != RING:
        return 0.0
    k = HEAD + 3
    dx, dy, dz = now[k] - before[k], now[k + 1] - before[k + 1], now[k + 2] - before[k + 2]
    angle = _arc(dx * dx + dy * dy + dz * dz)
    stretch = 0.0
    for i in range(int(now[1])):
        k = ARCS + 7 * i + 1
        stretch = max(stretch, abs(now[k] - before[k]))
    return (now[5] * angle + 2.0 * stretch) * angle / 8.0


@inner
def farthest_moved(s, e):
    """How far any point of a piece is moved at most, between two poses."""
    if s[0] == RING:
        square = turn = stretch = 0.0
        for i in range(HEAD, HEAD + 3):
            square += (e[i] - s[i]) ** 2
            turn += (e[i + 3] - s[i + 3]) ** 2
        for i in range(int(s[1])):
            k = ARCS + 7 * i + 1
            stretch = max(stretch, abs(e[k] - s[k]))
        return math.sqrt(square) + s[5] * _arc(turn) + stretch
    most = 0.0
    for i in range(HEAD, HEAD + 3 * int(s[1]), 3):
        square = (e[i] - s[i]) ** 2 + (e[i + 1] - s[i + 1]) ** 2 + (e[i + 2] - s[i + 2]) ** 2
        most = max(most, square)
    return math.sqrt(most)


@inner
def spun_way(s, e):
    """How far any point of a hollow ring is moved by the turning of its zero of angle alone."""
    return s[5] * abs(zero_turned(s, e)) if s[6] > 0.0 else 0.0


@inner
def row_way(data0, data1, meta, blank, piece, k, e):
    """How far any point of a piece is moved at most from the row at k to the one at e."""
    most = 0.0
    for i in range(0, meta[piece, 2] - 2, 3):
        square = 0.0
        for j in range(3):
            square += (data1[e + i + j] - data0[k + i + j]) ** 2
        if blank[piece, 0] == RING:
            most += math.sqrt(square) if i == 0 else blank[piece, 5] * _arc(square)
        else:
            most = max(most, square)
    if blank[piece, 0] == RING:
        return most + abs(data1[e + 6] - data0[k + 6])
    return math.sqrt(most)
