"""An invented rear corner solved by two independent solvers that agree to 1e-12 mm.

Rigid radius arm, upper and lower lateral links (invented data). Digits as tabulated.
"""

from __future__ import annotations

import msgspec
import numpy as np
import pytest

from kinematics.measures import measure
from kinematics.motion import corner, limits, move, travel_range
from tests.motion.corners import radius_arm

TABLE = {
    # travel: wheel x, wheel y, camber, toe-in, damper, motion ratio
    -80.0: (15.911, 730.197, 0.742, -0.397, 514.81, 0.799),
    -40.0: (7.144, 736.829, -0.126, -0.041, 482.86, 0.798),
    0.0: (0.0, 740.0, -1.000, 0.100, 450.92, 0.799),
    40.0: (-5.576, 739.877, -1.925, 0.044, 418.95, 0.800),
    80.0: (-9.597, 736.544, -2.943, -0.190, 386.93, 0.801),
}
ATOL = (6e-4, 6e-4, 6e-4, 6e-4, 6e-3, 6e-4)


def rows(measures):
    keys = ("wheel_x", "wheel_y", "camber", "toe", "damper", "motion_ratio")
    scale = (1.0, 1.0, 180.0 / np.pi, 180.0 / np.pi, 1.0, 1.0)
    return np.stack([measures[k][:, 0] * s for k, s in zip(keys, scale, strict=True)], axis=1)


def test_table():
    linkage = corner(radius_arm())
    found = rows(measure(linkage.project, move(linkage, list(TABLE))))
    off = np.abs(found - np.array(list(TABLE.values())))
    assert (off <= ATOL).all(), off.max(axis=0)


def test_roll_centre():
    linkage = corner(radius_arm())
    height = measure(linkage.project, move(linkage, [0.0]))["roll_centre"][0, 0]
    assert height == pytest.approx(108.0, abs=0.5)


def test_stops():
    # "Stop 50 free, 22 solid: meets near +45, solid near +80"; damper open 515 just past -80.
    linkage = corner(radius_arm())
    met = {limit.cause: limit.travel for limit in limits(linkage).bump}
    assert met["the bump stop meets"] == pytest.approx(45.0, abs=0.2)
    low, high = travel_range(linkage)
    assert high == pytest.approx(80.0, abs=0.2)
    assert low == pytest.approx(-80.24, abs=0.01)


def test_measured_hanging_and_set_up_by_hub_height():
    """Measured at -80 with the hub at (15.911, 730.197, 196); set-up hub height 276."""
    base = corner(radius_arm())
    hanging = move(base, [-80.0])
    carriers = base.mechanism.carriers
    points = {
        name: tuple(float(x) for x in hanging.carry(carriers[name], np.array(xyz))[0, 0])
        for name, xyz in base.project.points.items()
    }
    axis = hanging.direction("upright", base.project.wheel.axis)[0, 0]
    wheel = msgspec.structs.replace(base.project.wheel, axis=tuple(float(x) for x in axis))
    project = msgspec.structs.replace(radius_arm(), points=points, wheel=wheel, setup_wheel_z=276.0)
    np.testing.assert_allclose(points["wheel centre"], (15.911, 730.197, 196.0), atol=6e-4)
    linkage = corner(project)
    measures = measure(project, move(linkage, [0.0, 80.0]))
    camber, toe = (np.degrees(measures[key][:, 0]) for key in ("camber", "toe"))
    np.testing.assert_allclose((camber[0], toe[0]), (-1.0, 0.1), atol=6e-4)
    hub = [measures[f"wheel_{a}"][0, 0] for a in "xyz"]
    np.testing.assert_allclose(hub, (0.0, 740.0, 276.0), atol=1e-9)
    assert measures["damper"][0, 0] == pytest.approx(450.920, abs=6e-4)
    assert camber[1] == pytest.approx(-2.943, abs=6e-4)
