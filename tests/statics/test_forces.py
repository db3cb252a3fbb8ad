"""Forces by hand: a plane corner on two level links, held too much, held too little."""

import numpy as np
import pytest

from kinematics.motion.positions import Positions
from kinematics.project.loads import LoadCase, Loads
from kinematics.project.model import Ball, Coilover, End, Hinge, Link, Project, Rim, Tyre, Wheel
from kinematics.statics import forces
from kinematics.statics.cases import GRAVITY, WheelPoses, cases_of, road
from kinematics.statics.reactions import units, wrench

POINTS = {
    "wheel centre": (0.0, 700.0, 300.0),
    "upper in": (0.0, 300.0, 420.0),
    "upper out": (0.0, 620.0, 420.0),
    "lower in": (0.0, 250.0, 180.0),
    "lower out": (0.0, 640.0, 180.0),
    "toe in": (-150.0, 300.0, 300.0),
    "toe out": (-150.0, 640.0, 300.0),
    "fore upper in": (500.0, 620.0, 420.0),
    "fore lower in": (500.0, 640.0, 180.0),
    "foot": (0.0, 620.0, 250.0),
    "top": (0.0, 620.0, 700.0),
}
LINKS = {
    name: Link(inner=End(inner), outer=End(outer, "upright"))
    for name, inner, outer in (
        ("upper", "upper in", "upper out"),
        ("lower", "lower in", "lower out"),
        ("toe", "toe in", "toe out"),
        ("fore upper", "fore upper in", "upper out"),
        ("fore lower", "fore lower in", "lower out"),
    )
}
STILL = Positions(POINTS, {"upright": np.eye(3)[None]}, {"upright": np.zeros((1, 3))}, 1)


def corner(links: dict, **more: object) -> Project:
    return Project(
        title="by hand", points=POINTS, bodies=("upright",), links=links,
        wheel=Wheel(centre="wheel centre", tyre=Tyre("195/50R15"), rim=Rim("6Jx15 ET30")),
        coilover=Coilover(foot=End("foot", "upright"), top=End("top"), open=500, closed=350),
        **more,
    )  # fmt: skip


def solved(links: dict, force: tuple[float, float, float], at: tuple[float, float, float]):
    load = wrench(np.array([force]), np.array([at]))
    return forces.solve(units(corner(links), STILL.carry), {"load": {"upright": load}})


def axial(found: forces.Forces, member: str) -> float:
    return float(found.of(member).axial[0, 0])


def test_a_side_force_at_the_ground_by_moments() -> None:
    """Moments about the lower link's ball: upper = side * 180/240; the lower takes the rest."""
    found = solved(LINKS, (0.0, -1000.0, 0.0), (0.0, 700.0, 0.0))
    push_in_upper = -axial(found, "upper")
    push_in_lower = -axial(found, "lower")
    assert push_in_upper == pytest.approx(-1000 * 180 / 240)
    assert push_in_upper + push_in_lower == pytest.approx(1000.0)
    assert axial(found, "coilover") == pytest.approx(0.0, abs=1e-9)
    assert axial(found, "toe") == pytest.approx(0.0, abs=1e-9)
    assert found.unbalance.max() <= 1e-9


def test_a_wheel_load_by_moments() -> None:
    """The coilover stands 80 mm inboard of the wheel: the links make up that couple."""
    found = solved(LINKS, (0.0, 0.0, 3000.0), (0.0, 700.0, 0.0))
    assert axial(found, "coilover") == pytest.approx(3000.0)
    assert axial(found, "upper") == pytest.approx(-axial(found, "lower"))
    assert abs(axial(found, "upper")) == pytest.approx(3000 * 80 / 240)


def test_members_that_fight_are_named_and_given_no_number() -> None:
    links = LINKS | {"second upper": LINKS["upper"]}
    found = solved(links, (0.0, 0.0, 3000.0), (0.0, 700.0, 0.0))
    assert set(found.undetermined) == {"upper", "second upper"}
    assert np.isnan(axial(found, "upper"))
    assert axial(found, "lower") == pytest.approx(3000 * 80 / 240, abs=1e-6) or axial(
        found, "lower"
    ) == pytest.approx(-3000 * 80 / 240, abs=1e-6)


def test_members_that_fight_share_by_their_bushes() -> None:
    """Twice as stiff takes twice the load; together they take what one would."""
    links = LINKS | {"second upper": LINKS["upper"]}
    load = {"load": {"upright": wrench(np.array([[0, 0, 3000.0]]), np.array([[0, 700.0, 0]]))}}
    reactions = units(corner(links), STILL.carry)
    found = forces.solve(reactions, load, {"upper": 8000.0, "second upper": 4000.0})
    assert found.undetermined == ()
    assert axial(found, "upper") == pytest.approx(2 * axial(found, "second upper"))
    alone = axial(solved(LINKS, (0.0, 0.0, 3000.0), (0.0, 700.0, 0.0)), "upper")
    assert axial(found, "upper") + axial(found, "second upper") == pytest.approx(alone)
    # one bush that gives beside a rigid link carries nothing
    found = forces.solve(reactions, load, {"second upper": 4000.0})
    assert axial(found, "second upper") == pytest.approx(0.0, abs=1e-9)
    assert axial(found, "upper") == pytest.approx(alone)


def test_what_is_not_held_has_no_forces() -> None:
    links = {name: link for name, link in LINKS.items() if name != "toe"}
    found = solved(links, (100.0, 0.0, 0.0), (0.0, 900.0, 300.0))
    assert not found.held
    assert np.isnan(axial(found, "upper"))


def test_a_hinge_shows_each_bush() -> None:
    """An arm on two bushes 150 mm either side of its ball shares a push evenly."""
    points = POINTS | {"front": (150.0, 250.0, 180.0), "rear": (-150.0, 250.0, 180.0)}
    project = Project(
        title="arm", points=points, bodies=("upright", "arm"),
        links={n: link for n, link in LINKS.items() if n not in ("lower", "fore lower")},
        joints={
            "arm bushes": Hinge(along=("front", "rear"), bodies=("chassis", "arm")),
            "arm ball": Ball(at="lower out", bodies=("arm", "upright")),
        },
        wheel=Wheel(centre="wheel centre", tyre=Tyre("195/50R15"), rim=Rim("6Jx15 ET30")),
        coilover=Coilover(foot=End("foot", "upright"), top=End("top"), open=500, closed=350),
    )  # fmt: skip
    eye, nought = np.eye(3)[None], np.zeros((1, 3))
    still = Positions(points, {"upright": eye, "arm": eye}, {"upright": nought, "arm": nought}, 1)
    load = wrench(np.array([[0.0, -1000.0, 0.0]]), np.array([[0.0, 700.0, 0.0]]))
    found = forces.solve(units(project, still.carry), {"side": {"upright": load}})
    front, rear = (found.of("arm bushes", place).force[0, 0] for place in ("front", "rear"))
    assert front == pytest.approx([0, 875, 0], abs=1e-9)
    assert rear == pytest.approx([0, 875, 0], abs=1e-9)


WHEEL = WheelPoses(
    np.array([[0.0, 700.0, 300.0]]), np.array([[0.0, 1.0, 0.0]]), np.array([[0.0, 700.0, 0.0]])
)


def test_a_free_wheel_passes_no_turning_on() -> None:
    """Braked inboard the contact's pull is felt at the axle's height, outboard at the ground."""
    case = LoadCase(up=0.0, back=1.0)
    for brake, height in (("outboard", 0.0), ("inboard", 300.0)):
        felt = road(case, Loads(corner_kg=100.0, brake=brake), WHEEL, 1.0)
        expected = wrench(np.array([[-100.0 * GRAVITY, 0, 0]]), np.array([[0.0, 700.0, height]]))
        assert felt == pytest.approx(expected)


def test_drive_goes_through_the_axle_unless_the_motor_is_on_the_upright() -> None:
    case = LoadCase(up=0.0, back=-1.0)
    felt = road(case, Loads(corner_kg=100.0, drive="inboard"), WHEEL, 1.0)
    expected = wrench(np.array([[100.0 * GRAVITY, 0, 0]]), np.array([[0.0, 700.0, 300.0]]))
    assert felt == pytest.approx(expected)


def test_standing_still_the_unsprung_parts_carry_themselves() -> None:
    felt = road(LoadCase(), Loads(corner_kg=318.0, unsprung_kg=38.0), WHEEL, 1.0)
    assert felt[0, :3] == pytest.approx([0, 0, 280 * GRAVITY])


def test_the_usual_cases_and_standing_first() -> None:
    assert next(iter(cases_of(Loads(corner_kg=300.0)))) == "standing"
    typed = cases_of(Loads(corner_kg=300.0, cases={"kerb": LoadCase(up=2.0, inboard=1.5)}))
    assert list(typed) == ["standing", "kerb"]
