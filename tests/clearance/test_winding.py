"""Inside and outside of closed scans, against closed forms and every triangle by itself."""

from __future__ import annotations

import numpy as np
import trimesh

from kinematics.clearance.winding import holds, inside
from kinematics.shapes.pieces import Surface


def test_points_about_a_shell_and_a_lump() -> None:
    rng = np.random.default_rng(4)
    lump = trimesh.creation.icosphere(subdivisions=3, radius=60.0)
    lump.vertices *= 1.0 + 0.15 * rng.random((len(lump.vertices), 1))
    shell = trimesh.creation.annulus(r_min=100.0, r_max=101.0, height=150.0, sections=64)
    open_ = trimesh.creation.icosphere(subdivisions=2, radius=30.0)
    open_.apply_translation((300.0, 0.0, 0.0))
    open_.update_faces(np.arange(len(open_.faces)) > 3)
    pieces = (lump, shell, open_)
    triangles = np.concatenate([piece.triangles for piece in pieces])
    component = np.repeat(np.arange(3), [len(piece.faces) for piece in pieces])
    surface = Surface(np.ascontiguousarray(triangles), component, (True, True, False))
    points = rng.uniform(-110.0, 110.0, (300, 3))
    points[200:250, :2] *= 100.5 / np.linalg.norm(points[200:250, :2], axis=1)[:, None]
    points[250:] = rng.uniform(-15.0, 15.0, (50, 3)) + np.array([300.0, 0.0, 0.0])
    found = inside(surface, points)
    assert found.tolist() == [holds(surface, point) for point in points]
    assert found[np.linalg.norm(points, axis=1) < 59.0].all()  # the lump's own faces sag by less
    assert found[200:250].tolist() == (np.abs(points[200:250, 2]) < 75.0).tolist()
    assert 20 < found.sum() < 280
    assert not found[250:].any()
