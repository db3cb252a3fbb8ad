"""Meshes of exact pieces as they are, for parts that need no more likeness than that."""

from __future__ import annotations

from math import acos, ceil, pi

import numpy as np

from kinematics.shapes.directions import frame
from kinematics.shapes.display.mesh import Mesh, join, mesh, revolve
from kinematics.shapes.display.skin import Figure, fixed, skin
from kinematics.shapes.pieces import Block, Piece, Ring, Rod
from kinematics.shapes.poses import Poses
from kinematics.shapes.profile import rounded
from kinematics.shapes.recipe import Carried

CHORD = 0.5
"""How far at most a mesh lies inside its solid, mm: in the round and along a profile together."""


def solid_figure(
    name: str, kind: str, body: str, solids: list[Carried], part: str | None = None
) -> Figure:
    """A part whose pieces, made as if the chassis carried them, a body carries.

    ``part`` : the part it is drawn for, where that is not its name.
    """
    still = Poses()
    made = join(*(piece_mesh(solid.make(still)) for solid in solids))
    middle = np.round((made.vertices.min(axis=0) + made.vertices.max(axis=0)) / 2, 3)
    shown = skin(name, kind, made.moved(-middle), part)
    return Figure(shown, fixed(body, middle))


def piece_mesh(piece: Piece) -> Mesh:
    """A piece at its first pose; its corners on the surface, its faces within `CHORD` of it."""
    match piece:
        case Block():
            fan = [(f[0], f[k], f[k + 1]) for f in piece.faces for k in range(1, len(f) - 1)]
            return _outward(mesh(piece.corners[0], fan))
        case Ring(hollow=True):
            return _turned(piece, piece.profile.points(CHORD / 2))
        case Ring():
            outer = piece.profile.points(CHORD / 2)
            low, high = piece.profile.y_min, piece.profile.y_max
            outline = np.array([(0.0, low), *outer[outer[:, 0] > 1e-9], (0.0, high)])
            return _turned(piece, outline)
        case Rod():
            start, end = piece.ends[0]
            way = (end - start) / np.linalg.norm(end - start)
            long = float(np.linalg.norm(end - start))
            ends = rounded([(0.0, 0.0), (piece.radius, 0.0), (piece.radius, long), (0.0, long)])
            return _turned(Ring(start[None], way[None], ends), ends.points())
        case _:
            raise ValueError(f"a {type(piece).__name__} is not drawn so")


def _turned(ring: Ring, outline: np.ndarray) -> Mesh:
    share = min(CHORD / 2 / ring.profile.r_max, 1.0)
    around = max(12, ceil(pi / acos(1.0 - share)))
    stretch = 0.0 if ring.stretch is None else float(ring.stretch[0])
    made = revolve(outline + np.array([0.0, stretch]) * (outline[:, 1:] > 0.0), around)
    return made.moved(ring.centre[0], frame(ring.axis[0]))


def _outward(made: Mesh) -> Mesh:
    """The mesh with its faces turned round where they look inward."""
    a, b, c = (made.vertices[made.faces[:, k]] - made.vertices.mean(axis=0) for k in range(3))
    volume = np.einsum("ij,ij->", a, np.cross(b, c))
    return made if volume > 0 else Mesh(made.vertices, made.faces[:, ::-1], made.along)
