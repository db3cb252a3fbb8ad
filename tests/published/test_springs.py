"""Springs against handbook values.

Sources. Bhandari: V. B. Bhandari, *Design of Machine Elements*, ch. 10, examples 10.1, 10.7 and
10.19 (read in a stored copy, recomputed). EN 13906-1, the Spring Manufacturers Institute's form
and Shigley's: from memory, recomputed.
"""

import numpy as np
import pytest

from kinematics import springs
from kinematics.statics import curves

BHANDARI_SHEAR = 81_370.0


def test_bhandari_10_1_rate_deflection_and_solid_length() -> None:
    stiffness = springs.rate(7, 42, 8, BHANDARI_SHEAR)
    assert stiffness == pytest.approx(41.20298, abs=5e-6)
    assert 1250 / stiffness == pytest.approx(30.337611, abs=5e-7)
    assert springs.total_coils(8, "ground") == 10
    assert springs.solid_length(7, 10, "ground") == pytest.approx(70.0)


def test_bhandari_10_7_rate() -> None:
    assert springs.rate(5, 40, 5, BHANDARI_SHEAR) == pytest.approx(19.865723, abs=5e-7)


def test_bhandari_10_19_nested_springs_with_a_gap() -> None:
    outer = curves.linear(float(springs.rate(6, 36, 10, BHANDARI_SHEAR)))
    inner = curves.shifted(curves.linear(float(springs.rate(5, 30, 8, BHANDARI_SHEAR))), 15.0)
    squash = curves.parallel([outer, inner]).squash_for(1000.0)
    assert squash == pytest.approx(24.98884, abs=5e-6)
    assert squash - 15.0 == pytest.approx(9.98884, abs=5e-6)
    assert outer.at(squash) == pytest.approx(706.0215, abs=5e-5)
    assert inner.at(squash) == pytest.approx(293.9785, abs=5e-5)


def test_en_13906_rate_solid_length_and_growth() -> None:
    assert springs.rate(10, 70, 6, 78_500) == pytest.approx(47.67979, abs=5e-6)
    assert springs.solid_length(10, 8, "ground") == pytest.approx(80.0)
    assert springs.solid_length(10, 8, "closed") == pytest.approx(95.0)
    assert springs.growth_en(10, 70, 30) == pytest.approx(0.914, abs=5e-4)


def test_spring_manufacturers_institute_growth_differs_and_the_larger_is_used() -> None:
    assert springs.growth_smi(10, 70, 30) == pytest.approx(0.577, abs=5e-4)
    assert springs.growth(10, 70, 30) == springs.growth_en(10, 70, 30)


def test_the_rule_of_thumb_for_stability_of_square_ends() -> None:
    """Shigley eq. 10-11 and table 10-2, from memory: steel is absolutely stable for
    L0 < 2.63 D/alpha (alpha 0.5: between fixed parallel ends; 1: both ends pivoted)."""
    for alpha in (0.5, 0.7, 1.0, 2.0):
        edge = 2.63 * 70 / alpha
        # the handbook rounds pi sqrt(2(E - G)/(2G + E)) to 2.63 for its own E and G
        assert springs.buckles_at(0.97 * edge, 70, alpha) == np.inf
        assert np.isfinite(springs.buckles_at(1.03 * edge, 70, alpha))


def test_shigley_10_1_music_wire_spring() -> None:
    """Shigley's *Mechanical Engineering Design*, ex. 10-1, from memory: No. 16 music wire 0.037 in,
    outside 7/16 in, 12 1/2 coils with squared ends: 4.13 lbf/in, pitch 0.186 in at 2.06 in."""
    inch, pound = 25.4, 4.4482216
    wire, mean, active = 0.037 * inch, (7 / 16 - 0.037) * inch, 10.5
    shear = 11.85e6 * pound / inch**2
    stiffness = springs.rate(wire, mean, active, shear) / pound * inch
    assert stiffness == pytest.approx(4.13, abs=0.015)
    assert springs.pitch(2.06 * inch, wire, active, "closed") / inch == pytest.approx(
        0.186, abs=5e-4
    )
