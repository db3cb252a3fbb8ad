"""Vectors in plain numbers, against NumPy."""

from __future__ import annotations

import numpy as np

from kinematics.frames import cross


def test_the_cross_product_of_single_vectors_is_numpys() -> None:
    for a, b in np.random.default_rng(5).normal(0.0, 400.0, (200, 2, 3)):
        assert np.array_equal(cross(a, b), np.cross(a, b))
    assert np.array_equal(cross((1, 0, 0), (0, 1, 0)), [0.0, 0.0, 1.0])
