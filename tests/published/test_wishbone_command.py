"""The published wishbone corner through ``clearstroke check``, to the digits it was printed with.

Points as published with Rill & Castro, *Road Vehicle Dynamics*, 2nd ed., CRC 2020 (the book is
named from memory); the curves were computed from them by two independent solvers that agree to
1e-4 µm. Camber positive with the top outboard, toe-in positive.
"""

import csv

import numpy as np
import pytest

from app.cli import main

# travel, wheel x, wheel y, camber, toe-in, kingpin inclination, caster
TABLE = np.array([
    [-60, 3.0395, 751.6916, -0.55660, -0.19233, 11.84866, 4.96944],
    [-20, 1.0028, 764.1017, 0.53496, -0.05376, 10.77341, 6.36689],
    [0, 0, 768, 0.79995, 0, 10.51821, 7.05610],
    [20, -0.9930, 770.5259, 0.92217, 0.04808, 10.40675, 7.74164],
    [60, -2.9499, 771.7155, 0.80205, 0.13421, 10.55106, 9.10675],
])  # fmt: skip
NAMES = ("travel_mm", "wheel_x_mm", "wheel_y_mm", "camber_deg", "toe_deg", "kpi_deg", "caster_deg")


@pytest.fixture(scope="module")
def motion(tmp_path_factory):
    out = tmp_path_factory.mktemp("published")
    code = main(["check", "published-wishbones", "--travel", "-60:60:7", "--steer=0", "--out",
                 str(out)])  # fmt: skip
    assert code == 0
    with (out / "motion.csv").open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return {round(float(row["travel_mm"])): row for row in rows}


def test_table_to_its_digits(motion):
    for expected in TABLE:
        row = motion[round(expected[0])]
        got = np.array([float(row[name]) for name in NAMES])
        assert np.abs(got - expected).max() <= 0.0005, got - expected


def test_setup_figures(motion):
    row = motion[0]
    assert float(row["scrub_mm"]) == pytest.approx(1.0327, abs=0.0005)
    assert float(row["trail_mm"]) == pytest.approx(30.3256, abs=0.0005)
    contact = [float(row[f"contact_{c}_mm"]) for c in "xyz"]
    np.testing.assert_allclose(contact, (0, 764.0210, -284.9722), atol=0.0005)


def test_what_is_undefined_is_empty(motion):
    assert all(row["damper_mm"] == row["motion_ratio"] == "" for row in motion.values())
