"""A mesh by its tree of balls: bounds of a ball and of a triangle, and the search."""

import math

from kinematics.clearance.kernel.between import bound_between
from kinematics.clearance.kernel.bore import measure
from kinematics.clearance.kernel.compiled import inner, step
from kinematics.clearance.kernel.fields import field_of
from kinematics.clearance.kernel.layout import HEAD
from kinematics.clearance.kernel.pair import pair_of_pieces
from kinematics.clearance.kernel.supports import height_of
from kinematics.clearance.kernel.vectors import copy_into


@inner
def _as_sheet(triangles, i, s):
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


@step
def _branch(mesh, piece, moving, node, u, stack, n):
    """Put a node's two branches on the stack, the nearer one on top."""
    _triangles, centre, radius, _leaf = mesh
    b0, b1, whole = piece
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


@step
def _triangle_bound(triangles, i, piece, moving, plane, enough):
    """Lower bound of a triangle, no better than enough: by its leaf's plane before the piece, else
    by one of its own. It is no nearer than its lowest corner, whatever the plane's direction."""
    b0, b1, whole = piece
    ux, uy, uz, height = plane
    bound = _lowest_corner(triangles, i, ux, uy, uz) - height
    if bound < enough:
        x = (triangles[i, 0] + triangles[i, 3] + triangles[i, 6]) / 3.0
        y = (triangles[i, 1] + triangles[i, 4] + triangles[i, 7]) / 3.0
        z = (triangles[i, 2] + triangles[i, 5] + triangles[i, 8]) / 3.0
        ux, uy, uz, height = _plane_towards(b0, b1, moving, x, y, z)
        bound = max(bound, _lowest_corner(triangles, i, ux, uy, uz) - height)
        if whole[1, 0] > 0.0:  # it may lie in the bore
            reach = 0.0
            for j in range(0, 9, 3):
                r = (triangles[i, j] - x) ** 2 + (triangles[i, j + 1] - y) ** 2
                reach = max(reach, r + (triangles[i, j + 2] - z) ** 2)
            bound = max(bound, field_of(whole[1], x, y, z)[0] - math.sqrt(reach))
    return bound


@step
def measure_triangle(triangles, i, piece, cert, eps, enough, ws, scratch):
    """`measure` of a triangle and the piece at pose 1, into the scratch's result."""
    _b0, b1, whole = piece
    _stack, tri, _cert0, _cert1, _u, kept, seed, out = scratch
    none, way = -1, 0.0
    _as_sheet(triangles, i, tri)
    cert[0] = 0.0
    measure(tri, b1, whole, eps, enough, way, ws, cert, kept, none, seed, out)


@step
def _bound_moving(piece, eps, enough, ws, scratch):
    """Lower bound of the triangle just measured over the piece's motion from pose 0."""
    b0, b1, _whole = piece
    _stack, tri, cert0, cert1, _u, _kept, _seed, out = scratch
    copy_into(cert0, cert1)
    bound = bound_between(tri, b0, tri, b1, cert1, cert1)
    if bound < enough:
        pair_of_pieces(tri, b0, eps, 1e300, ws, cert0, out)
        bound = bound_between(tri, b0, tri, b1, cert0, cert1)
    return bound


@inner
def over_mesh(mesh, piece, moving, start, best, eps, ws, scratch, result):
    """Least clearance of a mesh and a piece at pose 1, or bounded over its motion from pose 0.

    Depth first through a tree of balls, nearer branch first. mesh : triangles, centre, radius and
    leaf of `run_mesh`. piece : loaded at both poses, and its whole outlines. scratch : the branches
    left, a triangle as a sheet, two certificates, a direction, sectors, points and a result.
    result: low, high, point on the mesh, point on the piece; returns the nearest triangle. `best`
    is a value to start from.
    """
    triangles, centre, radius, leaf = mesh
    stack, u, out = scratch[0], scratch[4], scratch[7]
    low = 1e300
    first_leaf = len(radius) // 2
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
            _branch(mesh, piece, moving, node, u, stack, n)
            n += 2
            continue
        x, y, z = centre[node, 0], centre[node, 1], centre[node, 2]
        plane = _plane_towards(piece[0], piece[1], moving, x, y, z)
        begin = (node - first_leaf) * leaf
        for i in range(begin, min(begin + leaf, len(triangles))):
            enough = result[1] - eps
            bound = _triangle_bound(triangles, i, piece, moving, plane, enough)
            if bound < enough:
                measure_triangle(triangles, i, piece, scratch[3], eps, enough, ws, scratch)
                if moving:
                    bound = _bound_moving(piece, eps, enough, ws, scratch)
                else:
                    bound = out[0]
                    if out[1] < result[1]:
                        nearest = i
                        for j in range(1, 8):
                            result[j] = out[j]
            low = min(low, bound)
    result[0] = low
    return nearest
