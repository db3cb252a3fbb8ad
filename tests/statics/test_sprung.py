"""The spring's sheet, its helper, its ends' turning, the strut and the mirrored corner."""

from pathlib import Path

import msgspec
import numpy as np
import pytest
from scipy.integrate import solve_ivp

from kinematics import springs
from kinematics.motion import corner, move
from kinematics.project import coils
from kinematics.project.equipment import InnerSpring
from kinematics.project.files import read
from kinematics.project.mirror import mirror
from kinematics.project.model import Clamp, Helper
from kinematics.statics import strut
from kinematics.statics.facts import facts
from kinematics.statics.sprung import sheet
from kinematics.statics.statics import statics

TROUBLE = read(Path("assets/examples/rear-in-trouble.corner.json"))


def sprung_by(**spring: object):
    return msgspec.structs.replace(
        TROUBLE.coilover, spring=msgspec.structs.replace(TROUBLE.coilover.spring, **spring)
    )


def test_the_sheet_of_section_tens_spring() -> None:
    found = sheet(TROUBLE.coilover)
    assert found.rate == 50.0
    assert found.solid == pytest.approx(13.9 * 12)
    assert found.shortest == pytest.approx(13.9 * 12 + 1.5 * 11.9 * (0.0015 * 70**2 / 12 + 1.2))
    assert found.inside_gap == pytest.approx((82 - 24 - 50) / 2)
    assert found.curve.at(350 - 281) == pytest.approx(69 * 50)


def test_rate_and_coils_follow_from_each_other() -> None:
    by_coils = sheet(sprung_by(rate_n_per_mm=None))
    assert by_coils.rate == pytest.approx(springs.rate(12, 70, 11.9))
    by_rate = sheet(sprung_by(active_coils=None))
    assert by_rate.solid == pytest.approx((springs.active_coils(12, 70, 50.0) + 2) * 12)
    neither = sheet(sprung_by(rate_n_per_mm=None, active_coils=None))
    assert neither.rate is None
    assert neither.curve is None
    assert neither.solid is None


def test_a_helper_adds_its_length_and_goes_flat() -> None:
    found = sheet(sprung_by(free=320.0, helper=Helper(8.0, 50.0, 14.0)))
    assert found.free == 370.0
    assert found.least_room == pytest.approx(found.shortest + 14.0)
    soft = 1 / (1 / 50 + 1 / 8)
    assert found.curve.rate(5.0) == pytest.approx(soft)
    flat = 36 * 8.0  # N at which the helper is flat
    assert found.curve.squash_for(flat) == pytest.approx(36 + flat / 50)
    assert found.curve.rate(120.0) == pytest.approx(50.0)


def test_turning_of_the_ends_against_its_own_differential_equation() -> None:
    """dturn = dx/R (1 - 2G/E) tan(lead), the lead from the pitch as it closes."""
    n, mean, pitch = 11.9, 70.0, 27.4

    def slope(x: float, _: np.ndarray) -> list[float]:
        lead = (pitch - x / n) / (np.pi * mean)
        return [(1 - 2 * springs.SHEAR_MODULUS / springs.YOUNGS_MODULUS) * lead / (mean / 2)]

    turned = solve_ivp(slope, (0.0, 130.0), [0.0], rtol=1e-10, atol=1e-12).y[0, -1]
    assert springs.end_turn(130.0, mean, n, pitch) == pytest.approx(turned, rel=1e-9)


def test_a_strut_bends_most_at_its_clamp() -> None:
    load = strut.strut_load(np.array([1000.0]), np.array([500.0]), 358.0, 39.0)
    assert load.at_gland == pytest.approx(142_000.0)
    assert load.at_clamp == pytest.approx(461_000.0)
    assert np.isnan(strut.strut_load(np.array([1.0]), np.array([500.0]), None, 0.0).at_gland)
    clamp = Clamp(insertion=70, least_insertion=75, bolt_spacing=54, slot=3)
    assert strut.insertion_left(clamp) == -5.0
    assert np.degrees(strut.slot_camber(clamp)) == pytest.approx(np.degrees(np.arctan(1.5 / 54)))
    assert strut.slot_camber(Clamp(insertion=70)) is None


@pytest.mark.parametrize("name", ["rear-in-trouble", "front-strut"])
def test_the_mirrored_corner_has_the_same_facts(name: str) -> None:
    project = read(Path(f"assets/examples/{name}.corner.json"))
    both = []
    for side in (project, mirror(project)):
        motion = move(corner(side), np.linspace(-70, 70, 8), [0.0])
        both.append(facts(statics(motion)))
    left, right = both
    assert [fact.kind for fact in left] == [fact.kind for fact in right]
    for a, b in zip(left, right, strict=True):
        assert a.amount == pytest.approx(b.amount, rel=1e-6, abs=1e-6)
        assert dict(a.figures) == pytest.approx(dict(b.figures), rel=1e-5, abs=1e-6)


INNER = InnerSpring(outside=55, wire=6, rate_n_per_mm=8.0, free=335.0, solid=120.0)


def test_a_nested_spring_is_met_later_and_adds_its_force() -> None:
    """As Bhandari's example 10.19: side by side the squash is one and the forces add."""
    found = sheet(sprung_by(inner=INNER))
    assert found.free == 350.0
    for squash in (5.0, 14.0, 40.0, 90.0):
        expected = 50.0 * squash + 8.0 * max(squash - 15.0, 0.0)
        assert found.curve.at(squash) == pytest.approx(expected)
    assert found.nested_gap == pytest.approx((82 - 55) / 2 - 12)
    assert found.inside_gap == pytest.approx((55 - 50) / 2 - 6)
    assert found.solid == pytest.approx(13.9 * 12)  # the main one is flat before the inner
    longer = sheet(sprung_by(inner=msgspec.structs.replace(INNER, free=360.0, solid=190.0)))
    assert longer.free == 360.0
    assert longer.solid == 190.0  # the inner one is flat first
    assert longer.curve.at(30.0) == pytest.approx(8.0 * 30.0 + 50.0 * 20.0)


def test_helper_and_nested_spring_together_share_one_force() -> None:
    spring = sprung_by(inner=INNER, helper=Helper(10.0, 40.0, 15.0))
    found = sheet(spring)
    assert found.free == 390.0
    force = 1200.0  # the helper (250 N) is flat; of the pair 50 x + 8 (x - 15) = 1200
    x = (1200.0 + 8.0 * 15.0) / 58.0
    assert found.curve.squash_for(force) == pytest.approx(25.0 + x)
    project = msgspec.structs.replace(TROUBLE, coilover=spring)
    known = statics(move(corner(project), [0.0]))
    squash = 390.0 - known.figures["spring_room"][0, 0]
    push = known.figures["spring_force"][0, 0]
    assert push == pytest.approx(float(found.curve.at(squash)))
    main = (push + 8.0 * 15.0) / 58.0  # both main and inner are squashed there
    at = springs.end_turn(main, 70, 11.9, (350 - 24) / 11.9)
    assert known.figures["spring_turn"][0, 0] == pytest.approx(float(at))


def test_growth_rises_from_nothing_to_the_larger_published_form() -> None:
    """EN 13906-1's form at the solid length, SMI's on the way (both from memory)."""
    wire, mean, pitch, active = 10.0, 70.0, 30.0, 6.0
    flat = (pitch - wire) * active
    squash = np.linspace(-20.0, flat + 10.0, 200)
    grown = springs.growth_at(wire, mean, pitch, active, squash)
    assert (grown[squash <= 0.0] == 0.0).all()
    assert (np.diff(grown) >= 0.0).all()
    assert springs.growth_at(wire, mean, pitch, active, flat) == pytest.approx(0.914, abs=5e-4)
    # never less than what keeping the wire's length gives, worked out from the length itself
    inside = squash[(squash > 0) & (squash < flat)]
    wound = np.hypot(np.pi * mean, pitch)
    kept = np.sqrt(wound**2 - (pitch - inside / active) ** 2) / np.pi - mean
    assert (springs.growth_at(wire, mean, pitch, active, inside) >= kept - 1e-12).all()


def test_growth_at_every_position_is_a_plain_call() -> None:
    spring = TROUBLE.coilover.spring
    grown = coils.growth_in(spring, np.array([360.0, 281.0, 217.0, coils.solid_length(spring)]))
    assert grown[0] == 0.0
    assert 0.0 < grown[1] < grown[2] < grown[3]
    assert grown[3] == pytest.approx(coils.growth_flat(spring))
    assert coils.growth_in(msgspec.structs.replace(spring, free=None), 281.0) is None
