"""Vectors in plain numbers, against NumPy; turns about the axes, against SciPy and trimesh."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from scipy.spatial.transform import Rotation

from kinematics.frames import about_axes, cross, turns_about_axes


def test_the_cross_product_of_single_vectors_is_numpys() -> None:
    for a, b in np.random.default_rng(5).normal(0.0, 400.0, (200, 2, 3)):
        assert np.array_equal(cross(a, b), np.cross(a, b))
    assert np.array_equal(cross((1, 0, 0), (0, 1, 0)), [0.0, 0.0, 1.0])


TURNS = [(0.0, 0.0, 0.0), (12.0, -34.0, 56.0), (170.0, 89.0, -170.0), (30.0, 90.0, 0.0),
         (30.0, -90.0, 20.0), (90.0, 0.0, -90.0), (-360.0, 180.0, 270.0)]  # fmt: skip


@pytest.mark.parametrize("degrees", TURNS)
def test_turns_about_axes_that_stay_are_those_of_general_libraries(degrees) -> None:
    """SciPy's extrinsic 'xyz' and trimesh's static 'sxyz'; back again to the same rotation."""
    made = about_axes(degrees)
    np.testing.assert_allclose(
        made, Rotation.from_euler("xyz", degrees, True).as_matrix(), 0, 1e-14
    )
    other = trimesh.transformations.euler_matrix(*np.radians(degrees), "sxyz")[:3, :3]
    np.testing.assert_allclose(made, other, 0, 1e-14)
    np.testing.assert_allclose(about_axes(turns_about_axes(made)), made, 0, 1e-12)


def test_the_sense_is_right_handed() -> None:
    """ISO 8855 axes: about x the left side rises, about y the front sinks, about z it goes left."""
    front, left, up = np.eye(3)
    np.testing.assert_allclose(about_axes((90, 0, 0)) @ left, up, 0, 1e-15)
    np.testing.assert_allclose(about_axes((0, 90, 0)) @ front, -up, 0, 1e-15)
    np.testing.assert_allclose(about_axes((0, 0, 90)) @ front, left, 0, 1e-15)
