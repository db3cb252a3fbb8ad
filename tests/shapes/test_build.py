import numpy as np
import pytest
from msgspec.structs import replace

from kinematics.errors import ProjectError
from kinematics.motion.grid import move
from kinematics.motion.linkage import corner
from kinematics.project.mirror import mirror
from kinematics.project.model import Box, Cylinder, Plate, Tube
from kinematics.shapes.build import Builder, parts
from kinematics.shapes.coilover import SPRING_AS_DRAWN
from kinematics.shapes.pieces import Array, Block, Part, Ring, Rod, poses
from kinematics.shapes.wheel import axis
from tests.shapes.corners import EXAMPLES, TROUBLE, linkage, motion, moved, project
from tests.shapes.oracle import depth_outside


def named(found: tuple[Part, ...]) -> dict[str, Part]:
    return {part.name: part for part in found}


def control(part: Part) -> list[Array]:
    """Every control array of a part."""
    out: list[Array] = []
    for piece in part.pieces:
        if isinstance(piece, Rod):
            out.append(piece.ends)
        elif isinstance(piece, Ring):
            out += [piece.centre, piece.axis]
        else:
            out.append(piece.corners)
    return out


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_part_is_named_once_and_given_at_every_pose(name: str) -> None:
    found = parts(project(name), motion(name))
    assert len({part.name for part in found}) == len(found)
    for part in found:
        for piece in part.pieces:
            assert poses(piece) in (1, 9)
        assert len(part.sagitta) in (0, len(part.pieces))


@pytest.mark.parametrize("name", EXAMPLES)
def test_one_pose_is_the_same_as_that_pose_in_a_grid(name: str) -> None:
    grid = motion(name)
    one = Builder(project(name))(moved(name, float(grid.travel[2])))
    for whole, single in zip(parts(project(name), grid), one, strict=True):
        for a, b in zip(control(whole), control(single), strict=True):
            assert b[0] == pytest.approx(a[2 if len(a) > 1 else 0], abs=1e-7)


@pytest.mark.parametrize("name", EXAMPLES)
def test_what_an_earlier_builder_was_asked_changes_no_stray(name: str) -> None:
    grid, first = motion(name), Builder(project(name))
    first(grid)
    for alone, after in zip(
        parts(project(name), grid), Builder(project(name), like=first)(grid), strict=True
    ):
        for a, b in zip(alone.sagitta, after.sagitta, strict=True):
            assert np.allclose(a, b, rtol=1e-12)


def test_tyre_and_wheel_turn_about_the_wheel_axis() -> None:
    found = named(parts(project(TROUBLE), moved(TROUBLE, 0.0)))
    tyre = found["tyre"].pieces[0]
    assert isinstance(tyre, Ring)
    assert tyre.hollow
    assert tyre.centre[0] == pytest.approx([0.0, 740.0, 276.0], abs=1e-6)
    expected = np.array([np.tan(np.radians(0.1)), 1.0, -np.tan(np.radians(-1.0))])
    assert axis(project(TROUBLE)) == pytest.approx(expected / np.linalg.norm(expected), abs=2e-4)
    assert tyre.axis[0] == pytest.approx(axis(project(TROUBLE)), abs=1e-9)
    assert tyre.profile.r_max == pytest.approx(288.0)


def test_the_spring_follows_the_damper() -> None:
    """Invented corner solved twice independently: installed 345 / 281 / 217 mm, and where."""
    travel = np.array([-80.0, 0.0, 79.5])
    found = named(parts(project(TROUBLE), moved(TROUBLE, *travel)))
    spring = found["spring"].pieces[0]
    assert isinstance(spring, Ring)
    assert spring.stretch is not None
    length = spring.stretch + SPRING_AS_DRAWN
    assert length == pytest.approx([344.8, 280.9, 217.3], abs=0.1)
    assert spring.profile.r_max == pytest.approx(41.0)
    foot, top = np.array([78.0, 545.0, 190.0]), np.array([88.0, 518.0, 640.0])
    way = (top - foot) / np.linalg.norm(top - foot)
    assert spring.centre[1] == pytest.approx(foot + 135.0 * way, abs=1e-6)
    assert spring.centre[1] + length[1] * spring.axis[1] == pytest.approx(top - 35 * way, abs=1e-6)


def test_tower_lip_and_arm_are_where_they_are_given() -> None:
    found = named(parts(project(TROUBLE), moved(TROUBLE, 0.0)))
    lip = found["tower lip"].pieces[0]
    assert isinstance(lip, Block)
    assert lip.corners[0].min(axis=0) == pytest.approx([-20.0, 592.0, 570.0])
    assert lip.corners[0].max(axis=0) == pytest.approx([190.0, 627.0, 573.0])
    arm = [piece for piece in found["radius arm"].pieces if isinstance(piece, Rod)]
    assert [piece.radius for piece in arm] == [19.0] * 3
    path = [*(piece.ends[0, 0] for piece in arm), arm[-1].ends[0, 1]]
    expected = [(40, 602, 262), (113, 600, 310), (166, 540, 405), (640, 545, 385)]
    assert np.array(path) == pytest.approx(np.array(expected, float), abs=1e-6)


def test_a_hole_leaves_out_the_hole_alone() -> None:
    """The top plate is exact: against the plain outline less a circle, at random points."""
    tower = named(parts(project(TROUBLE), moved(TROUBLE, 0.0)))["tower"]
    rng = np.random.default_rng(4)
    low, high = np.array([-20.0, 440.0, 655.05]), np.array([190.0, 592.0, 657.95])
    points = low + rng.random((4000, 3)) * (high - low)
    r = np.hypot(points[:, 0] - 88.0, points[:, 1] - 518.0)
    inside = depth_outside(points, tower) < 0
    assert np.array_equal(inside[np.abs(r - 20.0) > 0.01], r[np.abs(r - 20.0) > 0.01] > 20.0)


def test_a_spacer_moves_tyre_and_rim_outboard() -> None:
    before = project(TROUBLE)
    rim = replace(before.wheel.rim, spacer=15.0)
    after = replace(before, wheel=replace(before.wheel, rim=rim))
    here = moved(TROUBLE, 0.0)
    for name in ("tyre", "wheel"):
        old, new = (named(parts(p, here))[name].pieces[0] for p in (before, after))
        assert isinstance(old, Ring)
        assert isinstance(new, Ring)
        assert new.centre - old.centre == pytest.approx(15.0 * old.axis, abs=1e-9)


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_other_side_is_the_mirror_image(name: str) -> None:
    other = mirror(project(name))
    there = move(corner(other), np.array([-20.0, 0.0, 30.0]), [0.0])
    here = moved(name, -20.0, 0.0, 30.0)
    flip = np.array([1.0, -1.0, 1.0])
    rng = np.random.default_rng(7)
    points = rng.uniform([-300, 100, 0], [400, 900, 800], (400, 3))
    for a, b in zip(parts(project(name), here), parts(other, there), strict=True):
        assert a.name == b.name
        for pose in (0, 2):
            left = depth_outside(points, a, pose)
            assert depth_outside(points * flip, b, pose) == pytest.approx(left, abs=1e-6)


def test_plates_boxes_and_cylinders() -> None:
    before = project(TROUBLE)
    extra = {
        "gusset": Plate(
            "chassis",
            ((0, 0, 0), (100, 0, 0), (100, 50, 0), (50, 50, 0), (50, 100, 0), (0, 100, 0)),
            4.0,
        ),
        "warped": Plate(
            "upright", ((0, 700, 200), (50, 700, 200), (50, 700, 260), (0, 706, 260)), 3.0
        ),
        "caliper": Box("upright", (-60, 700, 300), (-20, 730, 380), "upright"),
        "stub": Cylinder("upright", ("hub inner", "hub face"), 60.0),
        "brace": Tube("upright", ("hub inner", "lower link outer"), 20.0),
    }
    here = moved(TROUBLE, -40.0, 40.0)
    found = named(parts(replace(before, parts={**before.parts, **extra}), here))
    gusset = found["gusset"]
    assert 2 <= len(gusset.pieces) <= 3
    flat = np.array([(25.0, 90.0, 1.9), (90.0, 25.0, -1.9), (75.0, 75.0, 0.0), (25.0, 25.0, 2.1)])
    assert (depth_outside(flat, gusset) < 0).tolist() == [True, True, False, False]
    assert len(found["warped"].pieces) == 2
    caliper = found["caliper"].pieces[0]
    assert isinstance(caliper, Block)
    assert caliper.corners[1] == pytest.approx(
        here.carry(
            "upright",
            np.array(
                [[x, y, z] for x in (-60, -20) for y in (700, 730) for z in (300, 380)], float
            ),
        )[1, 0]
    )
    middle = here.carry("upright", (0.0, 732.0, 276.0))[:, 0]
    for pose in (0, 1):
        assert depth_outside(middle[[pose]], found["stub"], pose) == pytest.approx(-30.0, abs=0.1)


@pytest.mark.parametrize("name", ["rear-in-trouble", "front-strut", "front-wishbones"])
def test_no_point_strays_further_than_said_between_positions(name: str) -> None:
    """Coarse intervals, looked at ten times finer: every control point keeps to its sagitta."""
    coarse = motion(name, 33)
    fine = move(linkage(name), np.linspace(coarse.travel[0], coarse.travel[-1], 321), [0.0])
    build = Builder(project(name))
    for part, dense in zip(build(coarse), build(fine), strict=True):
        for k, piece in enumerate(part.pieces):
            other = dense.pieces[k]
            if not part.sagitta or poses(piece) == 1:
                continue
            allowed = np.asarray(part.sagitta[k])[:, 0]
            for a, b in zip(_tracks(piece), _tracks(other), strict=True):
                share = np.linspace(0, 1, 11)[:, None, None]
                for i in range(32):
                    chord = (1 - share) * a[i] + share * a[i + 1]
                    stray = np.linalg.norm(b[10 * i : 10 * i + 11] - chord, axis=-1).max()
                    assert stray <= allowed[i] + 1e-9
                    assert allowed[i] < 0.2


def _tracks(piece: object) -> list[Array]:
    """Paths (n, m, 3) of points of a piece: ends, corners, or both ends of a ring's axis."""
    if isinstance(piece, Rod):
        return [piece.ends]
    if isinstance(piece, Block):
        return [piece.corners]
    assert isinstance(piece, Ring)
    low, high = piece.profile.y_min, piece.profile.y_max
    far = high + (0.0 if piece.stretch is None else piece.stretch)
    near_end = piece.centre + low * piece.axis
    far_end = piece.centre + np.reshape(far, (-1, 1)) * piece.axis
    return [np.stack([near_end, far_end], axis=1)]


def test_poses_not_reached_are_not_numbers() -> None:
    found = named(parts(project(TROUBLE), moved(TROUBLE, 0.0, 400.0)))
    tyre = found["tyre"].pieces[0]
    assert isinstance(tyre, Ring)
    assert np.isfinite(tyre.centre[0]).all()
    assert np.isnan(tyre.centre[1]).all()


@pytest.mark.parametrize("name", ["spring", "upper link"])
def test_a_name_already_taken_is_refused(name: str) -> None:
    before = project(TROUBLE)
    twin = Box("chassis", (0, 0, 0), (1, 1, 1))
    with pytest.raises(ProjectError, match=f"already called '{name}'"):
        Builder(replace(before, parts={**before.parts, name: twin}))


def test_a_spring_squashed_to_nothing_keeps_a_length() -> None:
    before = project(TROUBLE)
    coilover = before.coilover
    assert coilover is not None
    assert coilover.spring is not None
    tall = replace(coilover, spring=replace(coilover.spring, end_from_top=300.0))
    found = named(parts(replace(before, coilover=tall), moved(TROUBLE, 0.0)))
    spring = found["spring"].pieces[0]
    assert isinstance(spring, Ring)
    assert spring.stretch is not None
    assert spring.stretch + SPRING_AS_DRAWN == pytest.approx([15.9], abs=0.1)
    taller = replace(coilover, spring=replace(coilover.spring, end_from_top=400.0))
    found = named(parts(replace(before, coilover=taller), moved(TROUBLE, 0.0)))
    shut = found["spring"].pieces[0]
    assert isinstance(shut, Ring)
    assert shut.stretch is not None
    assert shut.stretch + SPRING_AS_DRAWN == pytest.approx([1.0])
