"""Figures by their definitions: units, signs, what is empty and what agrees with what."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest

from kinematics.measures import FIGURES, measure
from kinematics.motion import corner, move
from kinematics.project.model import Rim, Tyre, Wheel
from kinematics.project.unfold import unfold
from tests.motion.corners import ALL, five_links, published_wishbone, radius_arm, strut

STEERED = ("wishbones", "wishbones, coilover on arm", "strut", "five links, steered",
           "pushrod and rocker")  # fmt: skip
AXIS = ("caster", "kpi", "scrub", "trail")


@pytest.mark.parametrize("name", list(ALL))
def test_every_figure_is_there_and_described(name):
    project = ALL[name]()
    linkage = corner(project)
    racks = [-10.0, 10.0] if "rack" in linkage.bodies else [0.0]
    measures = measure(project, move(linkage, [-20.0, 0.0, 20.0], racks))
    assert set(measures.figures) == set(FIGURES)
    for key, values in measures.figures.items():
        assert values.shape == (3, len(racks)), key
        assert FIGURES[key].help.endswith(".")
        assert FIGURES[key].source
    for key in AXIS:
        empty = np.isnan(measures[key])
        assert empty.all() if name not in STEERED else not empty.any(), key


def test_folded_and_unfolded_projects_measure_the_same():
    project = strut()
    motion = move(corner(project), [-20.0, 30.0], [5.0])
    first, second = measure(project, motion), measure(unfold(project), motion)
    for key in FIGURES:
        np.testing.assert_array_equal(first[key], second[key])


def test_camber_and_toe_as_entered():
    wheel = Wheel(
        centre="wheel centre",
        tyre=Tyre(size="195/50R15"),
        rim=Rim(size="6.5Jx15"),
        camber_deg=-1.7,
        toe_deg=0.35,
    )
    project = msgspec.structs.replace(five_links(), wheel=wheel)
    measures = measure(project, move(corner(project), [0.0]))
    assert np.degrees(measures["camber"][0, 0]) == pytest.approx(-1.7, abs=1e-12)
    assert np.degrees(measures["toe"][0, 0]) == pytest.approx(0.35, abs=1e-12)
    assert measures["toe_rim"][0, 0] == pytest.approx(381.0 * np.sin(np.radians(0.35)))


def test_an_adjuster_wound_out():
    """A longer toe link in front of the axle turns the wheel in; the height stays as set."""
    project = unfold(ALL["ball-ended radius arm"]())
    link = project.links["link 3"]
    longer = msgspec.structs.replace(link, adjust=2.0)
    changed = msgspec.structs.replace(project, links={**project.links, "link 3": longer})
    motion = move(corner(changed), [0.0, 25.0])
    apart = motion.point(link.outer) - motion.point(link.inner)
    a, b = (np.array(project.points[e.point]) for e in (link.inner, link.outer))
    length = np.linalg.norm(a - b) + 2.0
    np.testing.assert_allclose(np.linalg.norm(apart, axis=-1), length, atol=1e-9)
    assert motion.point("wheel centre")[0, 0, 2] == pytest.approx(276.0, abs=1e-9)
    before, after = (measure(p, move(corner(p), [0.0]))["toe"][0, 0] for p in (project, changed))
    assert after < before  # pushed out in front: toe-out


def test_steering_axis_of_links_is_the_screw_of_the_rack():
    """Where two ball joints carry the upright the screw nearly is that line: compare both."""
    from kinematics.measures.steering import _screw, steering_line

    motion = move(corner(published_wishbone()), [0.0], [0.0])
    real, screw = steering_line(motion), _screw(motion)
    k, w = (line.direction[:, 0] / np.linalg.norm(line.direction[:, 0]) for line in (real, screw))
    assert np.degrees(np.arccos(k @ w)) < 1.0


def test_steering_axis_passes_its_points():
    project = strut()
    motion = move(corner(project), [0.0])
    measures = measure(project, motion)
    top, ball = (np.array(project.points[k]) for k in ("top", "lower ball"))
    line = top - ball
    assert measures["caster"][0, 0] == pytest.approx(np.arctan2(-line[0], line[2]))
    assert measures["kpi"][0, 0] == pytest.approx(np.arctan2(-line[1], line[2]))
    contact = np.array([measures[f"contact_{a}"][0, 0] for a in "xyz"])
    meets = ball + line * (contact[2] - ball[2]) / line[2]
    toe = measures["toe"][0, 0]
    ahead = np.array([np.cos(toe), -np.sin(toe)])
    square = np.array([np.sin(toe), np.cos(toe)])
    off = contact[:2] - meets[:2]
    assert measures["scrub"][0, 0] == pytest.approx(off @ square)
    assert measures["trail"][0, 0] == pytest.approx(-off @ ahead)


def test_ackermann_error_against_the_mirrored_corner():
    """The right-hand wheel is solved for itself, and both wheels' normals met geometrically."""
    from tests.motion.test_properties import with_points

    length = 2500.0
    left = msgspec.structs.replace(strut(), wheelbase=length)
    flip = np.array([1.0, -1.0, 1.0])
    right = with_points(left, {k: np.array(v) * flip for k, v in left.points.items()}, side="right")
    racks = [-25.0, 15.0, 30.0]
    one, two = (measure(p, move(corner(p), [0.0, 20.0], racks)) for p in (left, right))
    standing = measure(left, move(corner(left), [0.0]))
    half = float(standing["contact_y"][0, 0] - standing["scrub"][0, 0])
    for i in range(2):
        for j in range(3):
            # The centre on the rear axle's line that the right-hand wheel rolls about.
            delta = two["steer"][i, j]
            centre = -half + length / np.tan(delta)
            ideal = np.arctan2(length, abs(centre - half)) * np.sign(delta)
            error = np.sign(one["steer"][i, j]) * (one["steer"][i, j] - ideal)
            assert one["ackermann_error"][i, j] == pytest.approx(error, abs=1e-12)
    assert np.isnan(measure(strut(), move(corner(strut()), [0.0], racks))["ackermann_error"]).all()


def test_loaded_radius_from_the_size_when_not_given():
    from kinematics.measures.ground import LOADED_SHARE, loaded_radius

    project = radius_arm()
    bare = msgspec.structs.replace(
        project, wheel=msgspec.structs.replace(project.wheel, tyre=Tyre(size="205/55R16"))
    )
    assert loaded_radius(bare) == pytest.approx(LOADED_SHARE * 315.75, abs=0.3)
    given = msgspec.structs.replace(
        project,
        wheel=msgspec.structs.replace(project.wheel, tyre=Tyre(size="x", free_radius=300.0)),
    )
    assert loaded_radius(given) == pytest.approx(LOADED_SHARE * 300.0)


def test_brake_path_of_a_trailing_arm():
    """The contact swings about the arm's pivot: its path is square to the line to the pivot."""
    project = ALL["trailing arm"]()
    measures = measure(project, move(corner(project), [0.0]))
    pivot = np.array(project.points["inner"])
    axis = pivot - np.array(project.points["outer"])
    contact = np.array([measures[f"contact_{a}"][0, 0] for a in "xyz"])
    speed = np.cross(axis, contact - pivot)
    speed = speed * np.sign(speed[2])
    assert measures["brake_path"][0, 0] == pytest.approx(np.arctan2(speed[0], speed[2]))


def test_a_spacer_moves_the_contact_point_and_the_scrub_radius_out_by_its_thickness():
    plain = published_wishbone()
    rim = msgspec.structs.replace(plain.wheel.rim, spacer=12.0)
    wheel = msgspec.structs.replace(plain.wheel, rim=rim)
    spaced = msgspec.structs.replace(plain, wheel=wheel)
    one, other = (measure(p, move(corner(p), [-40.0, 0.0, 40.0])).figures for p in (plain, spaced))
    lean = np.cos(one["camber"])
    assert other["contact_y"] - one["contact_y"] == pytest.approx(12.0 * lean, abs=0.05)
    # The scrub radius is read across the wheel's own plane, on the ground.
    assert other["scrub"] - one["scrub"] == pytest.approx(12.0 / lean, abs=0.1)
    assert other["wheel_y"] == pytest.approx(one["wheel_y"], abs=1e-9)
