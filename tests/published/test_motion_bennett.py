"""Bennett's linkage: an over-constrained loop that moves all the same.

G. T. Bennett, 'A new mechanism', Engineering, 1903 (from memory): four links with equal opposite
sides a, b and twists α, β, a/sinα = b/sinβ, whose joint angles obey
tan(θ1/2)·tan(θ2/2) = sin((β+α)/2)/sin((β-α)/2). With α 30°, β 60°, a 1, b √3 that is 2.7320508:
θ1 40° → θ2 164.82321°, 80° → 145.85323°.
"""

from __future__ import annotations

import msgspec
import numpy as np
import pytest

from kinematics.motion import MotionError, corner, mobility, move
from kinematics.project.model import Hinge, Wheel
from tests.motion.corners import project, published_wishbone

ALPHA, BETA = np.radians(30.0), np.radians(60.0)
SIZE = 100.0
A, B = SIZE, SIZE * np.sqrt(3.0)
RATIO = np.sin((BETA + ALPHA) / 2) / np.sin((BETA - ALPHA) / 2)


def screw(theta, length, twist):
    """Denavit-Hartenberg step: turn about z, go along x, twist about x."""
    c, s, ct, st = np.cos(theta), np.sin(theta), np.cos(twist), np.sin(twist)
    return np.array(
        [
            [c, -s * ct, s * st, length * c],
            [s, c * ct, -c * st, length * s],
            [0.0, st, ct, 0.0],
            [0.0, 0.0, 0.0, 1.0],
        ]
    )


def axes(theta1):
    """Points and directions of the four joint axes, the first on the chassis."""
    theta2 = 2.0 * np.arctan2(RATIO, np.tan(theta1 / 2))
    steps = [(theta1, A, ALPHA), (theta2, B, BETA), (-theta1, A, ALPHA), (-theta2, B, BETA)]
    frame, out = np.eye(4), []
    for step in steps:
        out.append((frame[:3, 3].copy(), frame[:3, 2].copy()))
        frame = frame @ screw(*step)
    np.testing.assert_allclose(frame, np.eye(4), atol=1e-9)  # the loop closes
    return out


def bennett(theta1, off: float = 0.0):
    """The loop as a corner: chassis, crank, coupler with the wheel, rocker.

    The axis of each joint i is z before its step; link i joins axis i and i + 1.
    """
    points = {"wheel centre": (300.0, 200.0, 150.0)}
    for i, (at, along) in enumerate(axes(theta1)):
        points[f"p{i}"] = tuple(at)
        points[f"q{i}"] = tuple(at + 60.0 * along)
    points["q2"] = tuple(np.add(points["q2"], (off, 0.0, 0.0)))
    base = published_wishbone().wheel
    wheel = Wheel(centre="wheel centre", tyre=base.tyre, rim=base.rim, body="coupler")
    hinge = {
        f"joint {i}": Hinge((f"p{i}", f"q{i}"), bodies)
        for i, bodies in enumerate(
            [
                ("chassis", "crank"),
                ("crank", "coupler"),
                ("coupler", "rocker"),
                ("rocker", "chassis"),
            ]
        )
    }
    return project(
        points, None, None, wheel=wheel, bodies=("crank", "coupler", "rocker"), joints=hinge
    )


def angle_about(axis, first, second_):
    a = first - axis * (axis @ first)
    b = second_ - axis * (axis @ second_)
    return np.arctan2(axis @ np.cross(a, b), a @ b)


def test_it_is_recognised_as_over_held_yet_moving():
    found = mobility(bennett(np.radians(60.0)))
    assert found.moves
    assert found.free == 1
    assert not found.loose
    assert len(found.fights) == 3
    assert not any(fight.locks for fight in found.fights)
    assert "yet it moves" in found.sentences[0]


@pytest.mark.parametrize(("theta1", "theta2"), [(40.0, 164.82321), (80.0, 145.85323)])
def test_angles(theta1, theta2):
    start = np.radians(60.0)
    linkage = corner(bennett(start))
    turn = np.radians(theta1) - start
    # An arm's angle counts positive with its tip rising: find which way the crank turns so.
    for way in (1.0, -1.0):
        motion = move(linkage, [way * turn], by="crank")
        assert motion.reached.all()
        assert motion.closure.max() <= 1e-9
        p, q = motion.point("p1")[0, 0], motion.point("q1")[0, 0]
        axis = (q - p) / np.linalg.norm(q - p)
        back, onward = p - motion.point("p0")[0, 0], motion.point("p2")[0, 0] - p
        if np.isclose(np.arctan2(p[1], p[0]), np.radians(theta1), atol=1e-9):
            found = np.degrees(angle_about(axis, back, onward))
            assert found == pytest.approx(theta2, abs=6e-6)
            return
    pytest.fail("the crank did not reach the angle either way")


def test_a_wrong_bearing_makes_it_bind():
    """One axis a little off Bennett's proportions: it no longer moves, and that is said."""
    wrong = bennett(np.radians(60.0), off=1.0)
    found = mobility(wrong)
    assert not found.moves
    with pytest.raises(MotionError, match=r"hold the wheel's height|binds"):
        corner(wrong)


def test_two_balls_on_the_chassis_instead_of_a_hinge():
    """Rod ends at both feet of an arm hold one thing twice, harmlessly."""
    from kinematics.project.model import Ball
    from kinematics.project.unfold import unfold

    plain = unfold(published_wishbone())
    joints = {k: v for k, v in plain.joints.items() if k != "lower arm bushes"}
    joints["front foot"] = Ball("B", ("chassis", "lower arm"))
    joints["rear foot"] = Ball("A", ("chassis", "lower arm"))
    twice = msgspec.structs.replace(plain, joints=joints)
    found = mobility(twice)
    assert found.moves
    assert set(found.fights[0].members) == {"front foot", "rear foot"}
    travel = [-60.0, 0.0, 60.0]
    same = [move(corner(p), travel).point("Q") for p in (plain, twice)]
    np.testing.assert_allclose(same[0], same[1], atol=1e-9)
