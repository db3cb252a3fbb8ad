"""Functions that pass exact derivatives along.

A complex number with a tiny imaginary part carries a derivative through any smooth formula
without rounding (the complex step). These are the few functions numpy does not extend so.
"""

from __future__ import annotations

import numpy as np

from kinematics.frames import Array


def arctan2(y: Array, x: Array) -> Array:
    """The angle of (x, y), with the derivative of its imaginary parts."""
    if not (np.iscomplexobj(y) or np.iscomplexobj(x)):
        return np.asarray(np.arctan2(y, x))
    slope = (x.real * y.imag - y.real * x.imag) / (x.real**2 + y.real**2)
    return np.asarray(np.arctan2(y.real, x.real) + 1j * slope)


def arcsin(x: Array) -> Array:
    """The angle of that sine, with the derivative of its imaginary part."""
    if not np.iscomplexobj(x):
        return np.asarray(np.arcsin(x))
    return np.asarray(np.arcsin(x.real) + 1j * x.imag / np.sqrt(1.0 - x.real**2))
