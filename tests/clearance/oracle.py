"""A slow, plain judge of clearances: the definitions, dense sampling, patient descent.

It shares no code with the product. Each solid is a signed distance written from its own definition
(polygons by their edges, a rounded profile as a sharp one grown by its radius), and the figure for
'the least of sd_A over B' is the best of very many points of B. A sampled figure is never below the
true one, so a certified lower bound may never exceed it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.shapes.pieces import Block, Piece, Ring, Rod, Sheet
from kinematics.shapes.profile import rounded


@dataclass
class Solid:
    piece: Piece
    middle: np.ndarray
    size: float
    kind: str
    data: tuple


def sd(solid: Solid, x: np.ndarray) -> np.ndarray:
    """Signed distance of points (m, 3)."""
    if solid.kind == "rod":
        p, q, r = solid.data
        return segment_distance(x, p, q) - r
    if solid.kind == "sheet":
        face, half = solid.data
        return polygon_distance(x, face) - half
    if solid.kind == "block":
        normals, offsets, faces = solid.data
        value = np.max(x @ normals.T - offsets, axis=1)
        out = value > 0.0
        if out.any():
            value[out] = polygon_distance(x[out], faces)
        return value
    centre, axis, outline, grow = solid.data
    rel = x - centre
    y = rel @ axis
    r = np.sqrt(np.square(rel - y[:, None] * axis).sum(axis=1))
    return flat_polygon_sd(r, y, outline) - grow


def segment_distance(x, p, q):
    d = q - p
    length = d @ d
    t = np.clip(((x - p) @ d) / length, 0, 1) if length > 0 else np.zeros(len(x))
    return np.linalg.norm(x - p - t[:, None] * d, axis=1)


class Polygons:
    """Flat convex polygons of as many corners each, (faces, corners, 3), and what follows of them:
    ways along each edge, across it to the inside, and out of the plane, and how far each corner
    is along them."""

    def __init__(self, corners):
        self.shape = corners.shape[:2]
        self.origin = corners.mean(axis=(0, 1))
        corners = corners - self.origin
        edge = np.roll(corners, -1, axis=1) - corners
        along = edge / np.square(edge).sum(axis=2, keepdims=True)
        normal = np.cross(edge[:, :1], corners[:, 2:3] - corners[:, :1])
        normal /= np.linalg.norm(normal, axis=2, keepdims=True)
        ways = (along, np.cross(normal, edge), np.broadcast_to(normal, along.shape))
        self.ways = np.concatenate([way.reshape(-1, 3) for way in ways]).T
        self.levels = np.concatenate([(way * corners).sum(axis=2).ravel() for way in ways])
        self.corners, self.edge = corners.reshape(-1, 3).T, edge.reshape(-1, 3).T


def polygon_distance(x, faces):
    """Distance to the nearest of flat polygons in space: in front of it, or to its nearest edge."""
    x = x - faces.origin
    share, inside, front = np.split(x @ faces.ways - faces.levels, 3, axis=1)
    share, square = share.clip(0, 1), 0.0
    for at, corner, edge in zip(x.T, faces.corners, faces.edge, strict=True):
        square = square + np.square(at[:, None] - corner - share * edge)
    nearest = np.sqrt(square.reshape(-1, *faces.shape).min(axis=2))
    inside = (inside >= 0).reshape(-1, *faces.shape).all(axis=2)
    return np.where(inside, np.abs(front[:, :: faces.shape[1]]), nearest).min(axis=1)


class Outline:
    """A convex polygon in a plane, counter-clockwise, with its edges and the ways out of them."""

    def __init__(self, corners):
        self.corners = corners
        self.edge = np.roll(corners, -1, axis=0) - corners
        self.square = np.square(self.edge).sum(axis=1)
        self.out = (self.edge @ [[0.0, -1.0], [1.0, 0.0]]) / np.sqrt(self.square)[:, None]


def flat_polygon_sd(r, y, outline):
    """Signed distance in the (r, y) plane to a convex polygon."""
    (r0, y0), (dr, dy), out = outline.corners.T, outline.edge.T, outline.out.T
    r, y = r[:, None] - r0, y[:, None] - y0
    share = ((r * dr + y * dy) / outline.square).clip(0, 1)
    nearest = np.sqrt((np.square(r - share * dr) + np.square(y - share * dy)).min(axis=1))
    inside = (r * out[0] + y * out[1]).max(axis=1)
    return np.where(inside <= 0, inside, nearest)


def convex_hull(points):
    pts = sorted({(float(a), float(b)) for a, b in points})

    def half(sequence):
        out = []
        for p in sequence:
            while (
                len(out) > 1
                and (
                    (out[-1][0] - out[-2][0]) * (p[1] - out[-2][1])
                    - (out[-1][1] - out[-2][1]) * (p[0] - out[-2][0])
                )
                <= 1e-12
            ):
                out.pop()
            out.append(p)
        return out[:-1]

    return np.array(half(pts) + half(pts[::-1]))


def least_over(host: Solid, probe: Solid, rng, thorough=False) -> float:
    """Best value of the host's field found over the probe: never below the true least."""
    points, starts, rounds = (600, 6, 40) if thorough else (200, 4, 20)
    size = 1.2 * probe.size
    x = probe.middle + rng.uniform(-1, 1, (points, 3)) * size
    x = np.concatenate([x, host.middle + rng.uniform(-1, 1, (points, 3)) * host.size * 1.2])
    x = into(probe, x)
    value = sd(host, x)
    keep = np.argsort(value)[:starts]
    x, value = x[keep], value[keep]
    step = np.full(len(x), 0.3 * size)
    for _ in range(rounds):
        trial = x[:, None, :] + rng.normal(size=(len(x), 16, 3)) * step[:, None, None] / 1.7
        flat = into(probe, trial.reshape(-1, 3))
        v = sd(host, flat).reshape(len(x), 16)
        best = np.argmin(v, axis=1)
        vb = v[np.arange(len(x)), best]
        better = vb < value
        x[better] = flat.reshape(len(x), 16, 3)[np.arange(len(x)), best][better]
        value = np.minimum(value, vb)
        step = np.where(better, step * 1.3, step * 0.6)
    return float(value.min())


def into(probe: Solid, x: np.ndarray) -> np.ndarray:
    """Pull points outside the probe into it: a nearest-point step by finite differences, then
    (the probe being convex) along the line to its middle."""
    x = x.copy()
    v = sd(probe, x)
    out = v > 0
    if not out.any():
        return x
    h = 1e-6 * (1 + probe.size)
    xo = x[out]
    moved = np.concatenate([xo + h * s * e for e in np.eye(3) for s in (1, -1)])
    ends = sd(probe, moved).reshape(3, 2, -1)
    x[out] = xo - ((ends[:, 0] - ends[:, 1]) / (2 * h)).T * v[out][:, None]
    out = sd(probe, x) > 1e-10
    if not out.any():
        return x
    low, high = np.zeros(out.sum()), np.ones(out.sum())
    base = x[out]
    for _ in range(16):
        mid = 0.5 * (low + high)
        p = probe.middle + mid[:, None] * (base - probe.middle)
        ok = sd(probe, p) <= 1e-10
        low, high = np.where(ok, mid, low), np.where(ok, high, mid)
    x[out] = probe.middle + low[:, None] * (base - probe.middle)
    return x


def clearance(a: Solid, b: Solid, rng, thorough=False) -> float:
    """Sampled clearance by the definition: the lesser of the two directed figures."""
    return min(least_over(a, b, rng, thorough), least_over(b, a, rng, thorough))


# ---------------------------------------------------------------- random solids


def rotation(rng) -> np.ndarray:
    q, r = np.linalg.qr(rng.normal(size=(3, 3)))
    q = q * np.sign(np.diag(r))
    return q if np.linalg.det(q) > 0 else -q


def random_solid(rng, middle, kind=None) -> Solid:
    kind = kind or rng.choice(["rod", "sheet", "block", "ring"])
    turn = rotation(rng)
    if rng.random() < 0.25:
        turn = np.eye(3)[rng.permutation(3)]
    scale = float(10 ** rng.uniform(0.5, 2.5))
    if kind == "rod":
        length, r = scale * rng.uniform(0, 2), scale * rng.uniform(0.02, 0.6)
        p, q = middle - turn[0] * length / 2, middle + turn[0] * length / 2
        return Solid(Rod(np.array([[p, q]]), r), middle, length / 2 + r, kind, (p, q, r))
    if kind == "sheet":
        k = int(rng.integers(3, 7))
        angles = np.sort(rng.uniform(0, 2 * np.pi, k))
        while k == 3 and np.min(np.diff(np.append(angles, angles[0] + 2 * np.pi))) < 0.05:
            angles = np.sort(rng.uniform(0, 2 * np.pi, k))
        flat = np.column_stack([np.cos(angles), np.sin(angles) * rng.choice([1, 0.3, 0.01])])
        corners = middle + scale * flat @ turn[:2]
        half = float(rng.choice([0.0, 1.5, 5.0]))
        data = Polygons(corners[None]), half
        centre = corners.mean(0)
        return Solid(Sheet(corners[None], half), centre, 2 * scale + half, kind, data)
    if kind == "block":
        half = scale * rng.uniform(0.05, 1, 3)
        local = np.array([[i >> 2 & 1, i >> 1 & 1, i & 1] for i in range(8)]) * 2.0 - 1
        if rng.random() < 0.4:  # a wedge: one end smaller, still flat-faced
            local[4:, 1:] *= rng.uniform(0.1, 0.9)
        corners = middle + local * half @ turn
        block = Block(corners[None])
        faces = [corners[list(f)] for f in block.faces]
        normals = np.array([np.cross(f[1] - f[0], f[2] - f[1]) for f in faces])
        normals /= np.linalg.norm(normals, axis=1)[:, None]
        outward = [n @ (f.mean(0) - middle) for n, f in zip(normals, faces, strict=True)]
        normals *= np.sign(outward)[:, None]  # some blocks here are mirrored
        offsets = np.array([n @ f[0] for n, f in zip(normals, faces, strict=True)])
        data = normals, offsets, Polygons(np.array(faces))
        return Solid(block, middle, np.linalg.norm(half), kind, data)
    grow = float(rng.choice([0.0, 0.0, 0.1 * scale, 0.3 * scale]))
    r, y = scale * rng.uniform(0.2, 1), scale * rng.uniform(0.05, 1)
    inner = r * rng.choice([0.0, 0.5, 0.8])
    corners = np.array([(inner, -y), (r, -y), (r, y), (inner, y)])
    if rng.random() < 0.4:  # tapered, with a proud middle
        corners = np.array([(0, -y), (0.6 * r, -y), (r, 0.1 * y), (0.8 * r, y), (0, y)])
    # The product is given the grown outline, corners rounded; here the sharp one and its growth.
    try:
        profile = _grown(corners, grow)
    except ValueError:  # too narrow for such a radius
        grow = 0.0
        profile = rounded(corners)
    piece = Ring(middle[None], turn[2][None], profile)
    hull = convex_hull(np.concatenate([corners, corners * [-1.0, 1.0]]))  # mirrored in the axis
    data = middle, turn[2], Outline(hull), grow
    return Solid(piece, middle, np.hypot(r, y) + grow, kind, data)


def _grown(corners, grow):
    """The profile of corners grown by a radius: each edge moved out, each corner rounded."""
    edge = np.roll(corners, -1, axis=0) - corners
    normal = np.column_stack([edge[:, 1], -edge[:, 0]]) / np.linalg.norm(edge, axis=1)[:, None]
    on_axis = (corners[:, 0] == 0) & (np.roll(corners, -1, axis=0)[:, 0] == 0)
    out = []
    radii = []
    for i in range(len(corners)):
        before, after = normal[i - 1], normal[i]
        if grow > 0 and (on_axis[i - 1] or on_axis[i]):
            out.append((0.0, corners[i, 1] + grow * np.sign(corners[i, 1])))
            radii.append(0.0)
            continue
        middle = before + after
        out.append(corners[i] + grow * 2 * middle / (middle @ middle))
        radii.append(grow)
    if grow > 0 and corners[:, 0].min() > 0:  # keep the inner side off the axis
        out = [(max(r, 1e-6), y) for r, y in out]
    return rounded(out, radii)


def random_scene(rng) -> tuple[Solid, Solid]:
    """Two solids of any kinds: apart, touching, overlapping, one within the other, far off."""
    offset = rng.choice([0.0, 1e3, 1e5]) * rng.uniform(-1, 1, 3)
    a = random_solid(rng, offset)
    b = random_solid(rng, offset + rng.uniform(-1, 1, 3) * 10 ** rng.uniform(-1, 3))
    return a, b
