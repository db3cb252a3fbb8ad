"""Ride figures against handbook values.

Sources: wheel rate and frequency in closed form; T. D. Gillespie, *Fundamentals of Vehicle
Dynamics*, ch. 5, from memory, recomputed.
"""

import numpy as np
import pytest

from kinematics.project.model import End
from kinematics.statics.cases import GRAVITY
from kinematics.statics.curves import linear
from kinematics.statics.elements import Element
from kinematics.statics.ride import frequency, wheel_rate


def test_wheel_rate_at_a_steady_ratio() -> None:
    spring = Element("spring", (End("a"), End("b")), 1, 350.0, linear(50.0), "spring")
    rate = wheel_rate([spring], np.array([[281.0]]), np.array([[-0.75]]), np.array([[0.0]]))
    assert rate == pytest.approx(28.125)
    assert frequency(rate, 350.0) == pytest.approx(1.42670, abs=5e-6)


@pytest.mark.parametrize(("inches", "hertz"), [(1, 3.127), (5, 1.399), (10, 0.989)])
def test_static_deflection_sets_the_frequency(inches: float, hertz: float) -> None:
    mass = 300.0
    rate = mass * GRAVITY / (25.4 * inches)
    # the book rounds g to 32.2 ft/s^2, or 386 in/s^2
    assert frequency(rate, mass) == pytest.approx(hertz, abs=1.5e-3)
