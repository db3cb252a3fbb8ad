"""The coilover's fittings: thread, top hat, helper, growing coils."""

import numpy as np
import pytest
from msgspec.structs import replace

from kinematics.clearance import distance
from kinematics.motion.grid import move
from kinematics.motion.linkage import corner
from kinematics.project.checks import problems_of
from kinematics.project.files import dumps, loads
from kinematics.project.mirror import mirror
from kinematics.project.model import Coilover, FootEnd, Helper, Project, Spring, Thread
from kinematics.shapes.build import parts
from kinematics.shapes.coilover import growth, helper_length
from kinematics.shapes.pieces import Part, Ring, point
from kinematics.shapes.skins import place, skins
from tests.shapes.corners import TROUBLE, project
from tests.shapes.oracle import depth_outside

HELPER = Helper(rate_n_per_mm=10.0, free=60.0, solid=12.0, outside=90.0)


def fitted(**of_spring: object) -> Project:
    car = project(TROUBLE)
    assert car.coilover is not None
    assert car.coilover.spring is not None
    usual = {"hat_outside": 96.0, "hat_height": 14.0, "seat_outside": 78.0,
             "seat_thickness": 20.0, "helper": HELPER}  # fmt: skip
    spring = replace(car.coilover.spring, **(usual | of_spring))
    thread = Thread(diameter=56.0, start=60.0, end=180.0)
    return replace(car, coilover=replace(car.coilover, spring=spring, thread=thread))


def sprung(car: Project) -> tuple[Coilover, Spring]:
    assert car.coilover is not None
    assert car.coilover.spring is not None
    return car.coilover, car.coilover.spring


def named(car: Project, *travel: float) -> dict[str, Part]:
    here = move(corner(car), np.array(travel), [0.0])
    return {part.name: part for part in parts(car, here)}


def on_line(car: Project, part: Part, along: float, beside: float, pose: int = 0) -> float:
    """Clearance from a part to a point `along` the damper from its foot, `beside` its line."""
    whole = named(car, 0.0)["damper body"].pieces[0]
    assert isinstance(whole, Ring)
    axis, foot = whole.axis[0], whole.centre[0]
    side = np.cross(axis, [0.0, 0.0, 1.0])
    at = foot + along * axis + beside * side / np.linalg.norm(side)
    return min(float(distance(piece, point(at)).low[0]) for piece in part.pieces)


def test_thread_hat_and_seat_are_where_the_numbers_say() -> None:
    car = fitted()
    coilover, spring = sprung(car)
    found = named(car, 0.0)
    assert on_line(car, found["damper body"], 120.0, 33.0) == pytest.approx(5.0, abs=0.03)
    assert on_line(car, found["damper body"], 190.0, 30.0) == pytest.approx(5.0, abs=0.03)
    foot, top = (np.array(car.points[e.point]) for e in (coilover.foot, coilover.top))
    long = float(np.linalg.norm(top - foot))
    low = long - spring.end_from_top
    assert on_line(car, found["top hat"], low + 7.0, 58.0) == pytest.approx(10.0, abs=0.03)
    assert on_line(car, found["top hat"], low + 24.0, 20.0) == pytest.approx(10.0, abs=0.03)
    seat = spring.seat_from_foot
    assert on_line(car, found["spring seat"], seat - 10.0, 44.0) == pytest.approx(5.0, abs=0.03)
    assert on_line(car, found["spring seat"], seat - 25.0, 10.0) == pytest.approx(5.0, abs=0.03)


@pytest.mark.parametrize("travel", [-40.0, 40.0])
@pytest.mark.parametrize(("gap", "between"), [(0.0, -15.0), (24.0, 4.0)])
def test_an_eye_or_a_clevis_stands_about_its_bolt(
    travel: float, gap: float, between: float
) -> None:
    """40 mm across and 50 mm along its bolt, whatever the damper does; between cheeks is room."""
    bare = fitted()
    coilover, _ = sprung(bare)
    foot_end = FootEnd(40.0, 50.0, gap=gap, axis=(2.0, 0.0, 0.0))
    car = replace(bare, coilover=replace(coilover, foot_end=foot_end))
    assert problems_of(car) == []
    here = move(corner(car), np.array([travel]), [0.0])
    at, bolt = here.point(coilover.foot)[0, 0], here.direction("upright", (1.0, 0.0, 0.0))[0, 0]
    down = np.cross(bolt, [0.0, 1.0, 0.0])
    down *= -np.sign(down[2])
    body = next(part for part in parts(car, here) if part.name == "damper body")
    eyes = body.pieces[1 : 2 if gap == 0.0 else 3]  # after the body, before the thread

    def near(along: float, below: float) -> float:
        xyz = point(at + along * bolt + below * down)
        return min(float(distance(piece, xyz).low[0]) for piece in eyes)

    assert near(33.0, 5.0) == pytest.approx(8.0, abs=0.03)
    assert near(20.0, 27.0) == pytest.approx(7.0, abs=0.03)
    assert near(8.0, 5.0) == pytest.approx(between, abs=0.03)


def test_a_foot_is_mirrored_and_written() -> None:
    bare = fitted()
    foot = FootEnd(40.0, 50.0, 0.0, (1.0, 0.3, 0.1))
    car = replace(bare, coilover=replace(sprung(bare)[0], foot_end=foot))
    other = mirror(car).coilover
    assert other is not None
    assert other.foot_end is not None
    assert other.foot_end.axis == (1.0, -0.3, 0.1)
    assert mirror(mirror(car)) == car
    assert loads(dumps(car)) == car


@pytest.mark.parametrize(
    ("changes", "word"),
    [({"gap": 50.0}, "less than the width"), ({"axis": (0.0, 0.0, 0.0)}, "no direction")],
)
def test_a_foot_that_can_not_be_is_refused(changes: dict[str, object], word: str) -> None:
    bare = fitted()
    coilover, _ = sprung(bare)
    end = replace(FootEnd(40.0, 50.0), **changes)
    (problem,) = problems_of(replace(bare, coilover=replace(coilover, foot_end=end)))
    assert problem.startswith("coilover.foot_end")
    assert word in problem


def test_two_springs_in_line_share_a_squash_by_their_rates() -> None:
    """Bhandari's rule for springs in series: the forces are equal, k1 x1 = k2 x2."""
    _, spring = sprung(fitted(rate_n_per_mm=50.0, free=350.0))
    room = np.array([450.0, 410.0, 380.0, 355.0, 352.4, 300.0])
    short = 60.0 - helper_length(spring, HELPER, room)
    squash = 410.0 - room
    assert short[:2] == pytest.approx(0.0)
    free = squash[2:5] - short[2:5]
    assert 50.0 * free[0] == pytest.approx(10.0 * short[2])
    assert 50.0 * free[1] == pytest.approx(10.0 * short[3])
    assert short[-1] == pytest.approx(48.0)  # flat
    unknown = replace(spring, free=None)
    assert helper_length(unknown, HELPER, room) == pytest.approx(60.0)


def test_what_the_helper_strays_between_positions_is_bounded() -> None:
    """Its lower end, sampled 50 times in every interval, against the straight line."""
    car = fitted(rate_n_per_mm=50.0, free=330.0, helper=replace(HELPER, rate_n_per_mm=30.0))
    coarse = np.linspace(-70.0, 70.0, 8)
    part, closely = named(car, *coarse)["helper spring"], named(car, *np.linspace(-70, 70, 351))
    bound = np.asarray(part.sagitta[0])[:, 0]
    ring = closely["helper spring"].pieces[0]
    assert isinstance(ring, Ring)
    assert ring.stretch is not None
    assert np.ptp(ring.stretch) > 10.0
    ends = ring.centre + (60.0 + ring.stretch)[:, None] * ring.axis
    for i in range(7):
        some = ends[50 * i : 50 * i + 51]
        share = np.linspace(0.0, 1.0, 51)[:, None]
        stray = np.linalg.norm(some - (some[0] + share * (some[-1] - some[0])), axis=1)
        assert stray.max() <= bound[i] + 1e-9


def test_coils_grow_only_where_asked_and_to_their_most() -> None:
    plain, grown = sprung(fitted())[1], sprung(fitted(coils_grow=True))[1]
    closed = 365.0
    assert growth(plain, closed) == 0.0
    most = growth(grown, closed)
    assert 0.3 < most < 3.0
    assert growth(grown, closed + 50.0) < most
    ring = named(fitted(coils_grow=True), 0.0)["spring"].pieces[0]
    assert isinstance(ring, Ring)
    assert ring.profile.r_max == pytest.approx((grown.outside + most) / 2)


def test_what_can_not_be_is_refused() -> None:
    car = fitted(coils_grow=True, free=None)
    assert any(p.startswith("coilover.spring.coils_grow") for p in problems_of(car))
    coilover, _ = sprung(car)
    for thread, word in ((Thread(56.0, 180.0, 60.0), "end must be above"),
                         (Thread(40.0, 60.0, 180.0), "thinner than")):  # fmt: skip
        bad = replace(car, coilover=replace(coilover, thread=thread))
        assert any(word in p for p in problems_of(bad))


def test_the_fittings_are_drawn_within_their_solids() -> None:
    """A 20-sided turned part stays 1.3 % of its radius inside, and is nowhere outside."""
    car = fitted(rate_n_per_mm=50.0, free=350.0)
    here = move(corner(car), np.array([-40.0, 40.0]), [0.0])
    solids = {part.name: part for part in parts(car, here)}
    placed = place(car, here)
    for skin in skins(car):
        if skin.part not in ("top hat", "helper spring", "spring seat"):
            continue
        assert skin.checked
        for pose in (0, 1):
            local = skin.vertices.astype(float)
            if skin.along is not None:
                local[:, 2] += skin.along * placed[skin.name].stretch[pose]
            at = local @ placed[skin.name].rotation[pose].T + placed[skin.name].origin[pose]
            out = depth_outside(at, solids[skin.part], pose)
            assert out.max() < 0.02, skin.name
            # The rim itself is drawn, at either end.
            assert np.sum(out > -0.02) > 20, skin.name
