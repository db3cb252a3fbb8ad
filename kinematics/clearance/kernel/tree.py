"""A mesh by its tree of balls: bounds of a ball and of a triangle, and the search."""

import math

from kinematics.clearance.kernel.between import bound_between
from kinematics.clearance.kernel.bore import measure
from kinematics.clearance.kernel.compiled import inner
from kinematics.clearance.kernel.fields import field_of
from kinematics.clearance.kernel.layout import HEAD
from kinematics.clearance.kernel.pair import pair_of_pieces
from kinematics.clearance.kernel.supports import height_of
from kinematics.clearance.kernel.vectors import copy_into


@inner
def as_sheet(triangles, i, s):
    """Write a triangle as a bare sheet."""
    s[0], s[1], s[2], s[6] = 1.0, 3.0, 0.0, 0.0
    for j in range(9):
        s[HEAD + j] = triangles[i, j]


@inner
def _held_bound(u, x, y, z, b0, b1):
    """Distance of a fixed point from the slab side u of a piece at both ends of its motion."""
    at = u[0] * x + u[1] * y + u[2] * z
    return at - max(height_of(b0, u[0], u[1], u[2]), height_of(b1, u[0], u[1], u[2]))


@inner
def _node_bound(b0, b1, hollow, moving, u, x, y, z, radius):
    """Lower bound for all within a ball: at pose 1, or over the motion from 0 to 1."""
    if hollow[0] > 0.0:
        return field_of(hollow, x, y, z)[0] - radius
    v, u[0], u[1], u[2] = field_of(b1, x, y, z)
    if moving:
        v = _held_bound(u, x, y, z, b0, b1)
    return v - radius


@inner
def _plane_towards(b0, b1, moving, x, y, z):
    """A plane before a piece, square to the way from it to a point: u (3) and the piece's height
    along it, at pose 1 or the greatest over the motion from pose 0."""
    _v, ux, uy, uz = field_of(b1, x, y, z)
    height = height_of(b1, ux, uy, uz)
    if moving:
        height = max(height, height_of(b0, ux, uy, uz))
    return ux, uy, uz, height


@inner
def _lowest_corner(triangles, i, ux, uy, uz):
    """The least of u·x over a triangle."""
    least = 1e300
    for j in range(0, 9, 3):
        value = ux * triangles[i, j] + uy * triangles[i, j + 1] + uz * triangles[i, j + 2]
        least = min(least, value)
    return least


@inner
def over_mesh(
    triangles,
    centre,
    radius,
    leaf,
    b0,
    b1,
    whole,
    moving,
    start,
    best,
    eps,
    ws,
    stack,
    tri,
    work,
    out,
    result,
):
    """Least clearance of a mesh and a piece at pose 1, or bounded over its motion from pose 0.

    Depth first through a tree of balls, nearer branch first. result: low, high, point on the mesh,
    point on the piece; returns the nearest triangle. `best` is a value to start from.
    """
    cert0, cert1, u, kept, seed = work
    none = -1
    low = 1e300
    nodes = len(radius)
    first_leaf = nodes // 2
    stack[0, 0], stack[0, 1] = 0.0, -1e300
    n = 1
    nearest = start
    result[1] = best
    while n > 0:
        n -= 1
        node, bound = int(stack[n, 0]), stack[n, 1]
        if bound >= result[1] - eps:
            low = min(low, bound)
            continue
        if node < first_leaf:
            near, far = 2 * node + 1, 2 * node + 2
            bn = bf = 1e300
            if radius[near] >= 0.0:
                x, y, z = centre[near, 0], centre[near, 1], centre[near, 2]
                bn = _node_bound(b0, b1, whole[1], moving, u, x, y, z, radius[near])
            if radius[far] >= 0.0:
                x, y, z = centre[far, 0], centre[far, 1], centre[far, 2]
                bf = _node_bound(b0, b1, whole[1], moving, u, x, y, z, radius[far])
            if bf < bn:
                near, far, bn, bf = far, near, bf, bn
            stack[n, 0], stack[n, 1] = far, bf
            stack[n + 1, 0], stack[n + 1, 1] = near, bn
            n += 2
            continue
        # Planes before the piece, first one for the whole leaf: a triangle is no nearer than its
        # lowest corner, whatever the plane's direction.
        x, y, z = centre[node, 0], centre[node, 1], centre[node, 2]
        ux, uy, uz, height = _plane_towards(b0, b1, moving, x, y, z)
        begin = (node - first_leaf) * leaf
        for i in range(begin, min(begin + leaf, len(triangles))):
            bound = _lowest_corner(triangles, i, ux, uy, uz) - height
            if bound < result[1] - eps:
                x = (triangles[i, 0] + triangles[i, 3] + triangles[i, 6]) / 3.0
                y = (triangles[i, 1] + triangles[i, 4] + triangles[i, 7]) / 3.0
                z = (triangles[i, 2] + triangles[i, 5] + triangles[i, 8]) / 3.0
                vx, vy, vz, top = _plane_towards(b0, b1, moving, x, y, z)
                bound = max(bound, _lowest_corner(triangles, i, vx, vy, vz) - top)
                if whole[1, 0] > 0.0:  # it may lie in the bore
                    reach = 0.0
                    for j in range(0, 9, 3):
                        r = (triangles[i, j] - x) ** 2 + (triangles[i, j + 1] - y) ** 2
                        reach = max(reach, r + (triangles[i, j + 2] - z) ** 2)
                    bound = max(bound, field_of(whole[1], x, y, z)[0] - math.sqrt(reach))
            if bound >= result[1] - eps:
                low = min(low, bound)
                continue
            as_sheet(triangles, i, tri)
            cert1[0] = 0.0
            measure(tri, b1, whole, eps, result[1] - eps, low, ws, cert1, kept, none, seed, out)
            if moving:
                copy_into(cert0, cert1)
                out[0] = bound_between(tri, b0, tri, b1, cert1, cert1)
                if out[0] < result[1] - eps:
                    pair_of_pieces(tri, b0, eps, 1e300, ws, cert0, out)
                    out[0] = bound_between(tri, b0, tri, b1, cert0, cert1)
                low = min(low, out[0])
                continue
            low = min(low, out[0])
            if out[1] < result[1]:
                nearest = i
                for j in range(1, 8):
                    result[j] = out[j]
    result[0] = low
    return nearest
