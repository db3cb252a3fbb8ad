"""What proves a clearance: planes with weights, 16 numbers each way round.

With h the support function of a convex piece, its signed distance is the greatest u·x - h(u) over
unit u, outside and inside alike. So for any unit u_k and weights l_k >= 0 that sum to 1,
with w = sum l_k u_k,

    min over x in B of sd_A(x)  >=  -h_B(-w) - sum l_k h_A(u_k)                      (certificate)

whatever the search did. One u is the separating plane of two distant pieces; several describe an
overlap. Because supports of points that move straight are convex in time, a certificate that
holds at both ends of a straight motion holds between them.
"""

import math

from kinematics.clearance.kernel.compiled import inner
from kinematics.clearance.kernel.supports import height_of, middle_of
from kinematics.clearance.kernel.vectors import clear


@inner
def certified(host, probe, cert, at):
    """Certified lower bound of the host's field over the probe, from weights and directions."""
    wx = wy = wz = 0.0
    value = 0.0
    for i in range(4):
        k = at + 4 * i
        weight = abs(cert[k])
        if weight > 0.0:
            x, y, z = cert[k + 1], cert[k + 2], cert[k + 3]
            wx += weight * x
            wy += weight * y
            wz += weight * z
            value -= weight * height_of(host, x, y, z)
    return value - height_of(probe, -wx, -wy, -wz)


@inner
def one_plane(cert, x, y, z):
    """Write a certificate of one plane, from a to b, and its mirror's sign."""
    clear(cert, 0 * len(cert), len(cert))
    cert[0], cert[1], cert[2], cert[3] = 1.0, x, y, z
    cert[16], cert[17], cert[18], cert[19] = -1.0, -x, -y, -z


@inner
def proved_bound(a, b, cert):
    """Lower bound of the clearance by both certificates: 16 numbers each, (weight, u) four times.

    The second one's first weight is -1 when it is only the first one's mirror: one plane.
    """
    value = 1e300
    for turn in range(2):
        if turn == 1 and cert[16] < 0.0:
            break
        host, probe = (a, b) if turn == 0 else (b, a)
        value = min(value, certified(host, probe, cert, 16 * turn))
    return value


@inner
def first_guess(a, b, cert):
    """A direction from a to b to start from: the last one, else between the middles."""
    x = y = z = 0.0
    for k in range(0, 16, 4):
        x += cert[k] * cert[k + 1]
        y += cert[k] * cert[k + 2]
        z += cert[k] * cert[k + 3]
    length = math.sqrt(x * x + y * y + z * z)
    if length > 0.1:
        return x / length, y / length, z / length
    ax, ay, az = middle_of(a)
    bx, by, bz = middle_of(b)
    x, y, z = bx - ax, by - ay, bz - az
    length = math.sqrt(x * x + y * y + z * z)
    if length > 1e-9:
        return x / length, y / length, z / length
    return 1.0, 0.0, 0.0
