"""The published double wishbone with rack.

Points as published with Rill & Castro, Road Vehicle Dynamics, 2nd ed., CRC 2020 (identification
from memory); the curves were computed by two independent solvers that agree to 1e-4 µm. The
tables' digits are met: 0.0005° and 0.0005 mm.
"""

from __future__ import annotations

import numpy as np
import pytest

from kinematics.measures import measure
from kinematics.motion import corner, move
from tests.motion.corners import published_wishbone

MM, DEG = 6e-5, 6e-6
"""Half the last digit given, and a little: tighter than the 0.0005 asked."""

TRAVEL = {
    # travel: wheel x, wheel y, camber, toe-in, kpi, caster
    -60.0: (3.0395, 751.6916, -0.55660, -0.19233, 11.84866, 4.96944),
    -20.0: (1.0028, 764.1017, 0.53496, -0.05376, 10.77341, 6.36689),
    0.0: (0.0, 768.0, 0.79995, 0.0, 10.51821, 7.05610),
    20.0: (-0.9930, 770.5259, 0.92217, 0.04808, 10.40675, 7.74164),
    60.0: (-2.9499, 771.7155, 0.80205, 0.13421, 10.55106, 9.10675),
}
LEANS = ("front_view_lean", "toe", "kpi", "caster")
"""The table's cambers are y-z projections: at -60 the gauge reads 3e-6° less."""
RACK = {
    # rack, lower arm held: steer, y-z projection of the axis, wheel x, y, z
    30.0: (-12.19112, -0.46905, 12.1463, 765.6306, 1.0635),
    -30.0: (13.02134, 2.75157, -13.2071, 767.5958, -1.7098),
}


@pytest.fixture(scope="module")
def linkage():
    return corner(published_wishbone())


def test_travel_table(linkage):
    measures = measure(linkage.project, move(linkage, list(TRAVEL)))
    for i, row in enumerate(TRAVEL.values()):
        lengths = [measures[key][i, 0] for key in ("wheel_x", "wheel_y")]
        angles = [np.degrees(measures[key][i, 0]) for key in LEANS]
        np.testing.assert_allclose(lengths, row[:2], atol=MM)
        np.testing.assert_allclose(angles, row[2:], atol=DEG)
        assert np.degrees(measures["camber"][i, 0]) == pytest.approx(row[2], abs=5e-4)


def test_at_set_up_height(linkage):
    measures = measure(linkage.project, move(linkage, [0.0]))
    assert measures["trail"][0, 0] == pytest.approx(30.3256, abs=MM)
    assert measures["scrub"][0, 0] == pytest.approx(1.0327, abs=MM)
    contact = [measures[f"contact_{axis}"][0, 0] for axis in "xyz"]
    np.testing.assert_allclose(contact, (0.0, 764.0210, -284.9722), atol=MM)


def test_steered_with_the_lower_arm_held(linkage):
    measures = measure(linkage.project, move(linkage, [0.0], list(RACK), by="lower arm"))
    for j, row in enumerate(RACK.values()):
        angles = [np.degrees(measures[key][0, j]) for key in ("steer", "front_view_lean")]
        np.testing.assert_allclose(angles, row[:2], atol=DEG)
        lengths = [measures[f"wheel_{axis}"][0, j] for axis in "xyz"]
        np.testing.assert_allclose(lengths, row[2:], atol=MM)


def test_a_bubble_gauge_reads_less_than_the_projection(linkage):
    measures = measure(linkage.project, move(linkage, [0.0], [-30.0], by="lower arm"))
    assert np.degrees(measures["camber"][0, 0]) == pytest.approx(2.6810, abs=1e-4)
