"""How far down parts reach, exactly."""

from __future__ import annotations

import numpy as np

from kinematics.shapes.pieces import Array, Block, Mesh, Part, Piece, Ring, Rod, Sheet


def lowest(part: Part) -> Array:
    """Height of the part's lowest point at every pose, (n,) or (1,) mm; NaN where not reached."""
    return np.asarray(np.min(np.broadcast_arrays(*map(_lowest, part.pieces)), axis=0))


def _lowest(piece: Piece) -> Array:
    match piece:
        case Rod():
            return np.asarray(piece.ends[..., 2].min(axis=1) - piece.radius)
        case Block():
            return np.asarray(piece.corners[..., 2].min(axis=1))
        case Sheet():
            return np.asarray(piece.corners[..., 2].min(axis=1) - piece.half)
        case Ring():
            return _under_ring(piece)
        case Mesh():
            return _under_mesh(piece)


def _under_ring(ring: Ring) -> Array:
    """By the support of the turned profile: its own along (across the axis, along it)."""
    along = -ring.axis[:, 2]
    across = np.sqrt(np.maximum(1.0 - along**2, 0.0))
    stretch = 0.0 if ring.stretch is None else ring.stretch
    down = ring.profile.supports(np.stack([across, along], axis=1), stretch)
    return np.asarray(ring.centre[:, 2] - down)


def _under_mesh(mesh: Mesh) -> Array:
    points = mesh.surface.triangles.reshape(-1, 3)
    down = mesh.rotation[:, 2]
    heights = np.array([float((points @ way).min()) for way in down])
    return heights + mesh.position[:, 2]
