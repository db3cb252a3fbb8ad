"""Tyre and rim sizes against the published tables.

UN Regulation No. 30, 6.1.1.1 (S = S1 + K (A - A1), K = 0.4): read in the regulation. Rim
diameters, D = d + 2 H, the tables' sizes and the 4 % limits: from memory.
"""

import pytest

from kinematics.project.markings import read_rim, read_tyre
from kinematics.project.model import Rim, Tyre, Wheel
from kinematics.shapes.sections import most_growth, rim_section

TABLE = [
    # size, measuring rim (in), overall diameter, section width (mm)
    ("205/55R16", 6.5, 632, 214),
    ("195/65R15", 6.0, 635, 201),
    ("185/60R14", 5.5, 578, 189),
    ("155/80R13", 4.5, 578, 157),
    ("225/45R17", 7.5, 634, 225),
    ("235/40R18", 8.5, 645, 241),
    ("155R13", 4.5, 578, 157),
]


@pytest.mark.parametrize(("marking", "rim", "diameter", "section"), TABLE)
def test_table_sizes(marking: str, rim: float, diameter: float, section: float) -> None:
    size = read_tyre(marking)
    assert size.diameter == pytest.approx(diameter, abs=1.0)
    assert size.section(rim * 25.4) == pytest.approx(section, abs=1.0)


@pytest.mark.parametrize(
    ("code", "millimetres"), [(13, 330), (14, 356), (15, 381), (16, 406), (17, 432), (18, 457)]
)
def test_nominal_rim_diameters(code: int, millimetres: float) -> None:
    assert read_tyre(f"205/55R{code}").rim_diameter == millimetres


def test_half_an_inch_of_rim_is_about_five_millimetres_of_section() -> None:
    size = read_tyre("205/55R16")
    wider = size.section(7.0 * 25.4) - size.section(6.5 * 25.4)
    assert wider == pytest.approx(0.4 * 12.7)


def test_limits_of_growth() -> None:
    size = read_tyre("205/55R16")
    assert size.greatest_diameter == pytest.approx(641.0, abs=0.1)
    assert size.widest(6.5 * 25.4) == pytest.approx(222.2, abs=0.5)


def test_growth_that_covers_the_largest_tyre_of_a_size() -> None:
    """205/55R16 on 6.5 in: 641.0 - 631.5 across and 222.2 - 213.6 wide, halved: 4.75 mm."""
    wheel = Wheel(centre="c", tyre=Tyre("205/55R16"), rim=Rim("6.5Jx16 ET40"))
    assert most_growth(wheel) == pytest.approx(4.75, abs=0.05)
    grown = Wheel(centre="c", tyre=Tyre("205/55R16", growth=4.8), rim=Rim("6.5Jx16 ET40"))
    assert most_growth(grown) == 0.0


@pytest.mark.parametrize(
    ("code", "millimetres"),
    [(13, 329.4), (14, 354.8), (15, 380.2), (16, 405.6), (17, 436.6), (18, 462.0)],
)
def test_specified_rim_diameters(code: int, millimetres: float) -> None:
    rim = read_rim(f"7Jx{code} ET35")
    assert rim.diameter == pytest.approx(millimetres, abs=0.05)
    assert rim.flange_height == 17.5


def test_the_section_of_the_rear_corner() -> None:
    """Invented data solved twice independently: 195/50R15 on 6.5J is 206.4 across, 288 high."""
    size = read_tyre("195/50R15")
    assert size.section(read_rim("6.5Jx15").width_mm) == pytest.approx(206.4, abs=0.05)
    assert size.diameter / 2 == pytest.approx(288.0)


@pytest.mark.parametrize("offset", [25.0, 0.0, -13.0])
def test_offset_and_backspacing(offset: float) -> None:
    """ET is positive with the face outboard of the rim's middle; backspacing = width / 2 + ET."""
    section = rim_section(Wheel("c", Tyre("205/50R15"), Rim(f"7Jx15 ET{offset:g}")))
    assert section.face == offset
    overall = 7.0 * 25.4 + 2 * 11.0
    assert section.backspacing == pytest.approx(overall / 2 + offset)
    low, high = section.centre()["hub face"][0][1], section.half_overall
    assert low == offset
    assert high == pytest.approx(overall / 2)
    assert rim_section(Wheel("c", Tyre("205/50R15"), Rim("7Jx15"))).backspacing is None
