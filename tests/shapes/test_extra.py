"""Parts moved, tilted and bulged as they give: exact, and bounded between positions."""

import numpy as np
import pytest
from msgspec.structs import replace

from app.examples import find_project
from kinematics.motion import corner, move
from kinematics.project.files import read
from kinematics.project.mirror import mirror
from kinematics.project.model import End, ExtraPosition
from kinematics.project.unfold import unfold
from kinematics.shapes.build import parts
from kinematics.shapes.extra import displaced, rotation, translation
from kinematics.shapes.pieces import Ring
from kinematics.shapes.sections import bulged, tyre_section


@pytest.fixture(scope="module")
def trouble():
    return unfold(read(find_project("rear-in-trouble")))


def moved(project, extra, travel=(-40.0, 0.0, 40.0)):
    motion = move(corner(project), np.array(travel))
    whole = parts(project, motion)
    return whole, displaced(project, extra, whole, motion), motion


def test_the_wheel_alone_goes_inboard_on_either_side(trouble):
    for project, way in ((trouble, -3.0), (mirror(trouble), 3.0)):
        whole, found, _ = moved(project, ExtraPosition(inboard=3.0))
        assert {whole[k].name for k in found.parts} == {"tyre", "wheel"}
        assert found.farthest == pytest.approx(3.0)
        for k, part in found.parts.items():
            for was, now in zip(whole[k].pieces, part.pieces, strict=True):
                assert isinstance(now, Ring)
                np.testing.assert_allclose(now.centre - was.centre, [[0, way, 0]] * 3, atol=1e-12)
                np.testing.assert_array_equal(now.axis, was.axis)
            assert part.sagitta == whole[k].sagitta


def test_bodies_and_parts_can_be_named(trouble):
    whole, found, _ = moved(trouble, ExtraPosition(("upper link", "coilover"), up=1.0))
    names = {whole[k].name for k in found.parts}
    assert names == {"upper link", "damper body", "damper shaft", "spring", "spring seat"}


def test_signs_of_tilt_and_turn():
    """As camber and toe have them: top in is negative camber, front in is toe-in."""
    for out in (1.0, -1.0):
        leaning = rotation(ExtraPosition(lean_in_deg=2.0), out)
        axis = leaning @ [0.0, out, 0.0]
        assert np.degrees(np.arcsin(-axis[2])) == pytest.approx(-2.0)  # camber
        toed = rotation(ExtraPosition(toe_in_deg=2.0), out) @ [0.0, out, 0.0]
        assert np.degrees(np.arctan2(toed[0], out * toed[1])) == pytest.approx(2.0)
    assert translation(ExtraPosition(inboard=3, forward=2, up=1), 1.0).tolist() == [2, -3, 1]


def test_a_tilt_is_about_the_moving_wheel_centre_and_no_point_goes_farther(trouble):
    extra = ExtraPosition(lean_in_deg=1.0, toe_in_deg=-0.5, forward=2.0)
    whole, found, _ = moved(trouble, extra)
    tyre = next(k for k in found.parts if whole[k].name == "tyre")
    was, now = whole[tyre].pieces[0], found.parts[tyre].pieces[0]
    np.testing.assert_allclose(now.centre - was.centre, [[2.0, 0, 0]] * 3, atol=1e-9)
    np.testing.assert_allclose(now.axis, was.axis @ rotation(extra, 1.0).T, atol=1e-12)
    far = 2.0 + 288.0 * np.linalg.norm(rotation(extra, 1.0) - np.eye(3), 2)
    assert found.farthest >= far
    assert found.farthest < far + 3.0


def test_about_another_point(trouble):
    about = End("radius arm ball", "chassis")
    point = np.array(trouble.points["radius arm ball"])
    extra = ExtraPosition(("radius arm",), toe_in_deg=1.0, about=about)
    whole, found, _ = moved(trouble, extra)
    (k,) = found.parts
    was, now = whole[k].pieces[-1].ends, found.parts[k].pieces[-1].ends
    turn = rotation(extra, 1.0)
    np.testing.assert_allclose(now, (was - point) @ turn.T + point, atol=1e-9)


def test_what_a_tilted_part_strays_between_positions_is_bounded(trouble):
    """The path of a displaced point against the chord, sampled 40 times in each interval."""
    extra = ExtraPosition(("wheel",), lean_in_deg=5.0, toe_in_deg=5.0)
    coarse = np.linspace(-60.0, 60.0, 7)
    fine = np.linspace(-60.0, 60.0, 6 * 40 + 1)
    whole, found, _ = moved(trouble, extra, coarse)
    _, closely, _ = moved(trouble, extra, fine)
    tyre = next(k for k in found.parts if whole[k].name == "tyre")
    path = closely.parts[tyre].pieces[0].centre.reshape(-1, 3)
    bound = np.asarray(found.parts[tyre].sagitta[0])[:, 0]
    for i in range(6):
        some = path[40 * i : 40 * i + 41]
        share = np.linspace(0, 1, 41)[:, None]
        stray = np.linalg.norm(some - (some[0] + share * (some[-1] - some[0])), axis=1).max()
        assert stray <= bound[i] + 1e-9


def test_a_bulging_tyre_holds_the_one_it_was(trouble):
    for wheel in (
        trouble.wheel,
        replace(trouble.wheel, tyre=replace(trouble.wheel.tyre, shoulder_radius=None)),
        replace(
            trouble.wheel, tyre=replace(trouble.wheel.tyre, shoulder_radius=12, tread_width=180)
        ),
    ):
        was = tyre_section(wheel)
        now = bulged(was, 6.0)
        assert now.half_width == was.half_width + 6.0
        assert now.free_radius == was.free_radius
        for angle in np.linspace(-np.pi / 2, np.pi / 2, 73):
            way = (np.cos(angle), np.sin(angle))
            assert now.profile().support(way) >= was.profile().support(way) - 1e-6
            assert now.profile().support(way) <= was.profile().support(way) + 6.0 + 1e-6
