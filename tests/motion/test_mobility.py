"""What is loose and what fights, said before anything moves."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest

from kinematics.motion import MotionError, corner, mobility, move
from kinematics.project.model import Ball, End, Link
from kinematics.project.unfold import unfold
from tests.motion.corners import ALL, five_links, strut


def without(project, *names):
    project = unfold(project)
    links = {k: v for k, v in project.links.items() if k not in names}
    return msgspec.structs.replace(project, links=links)


def plus(project, **links):
    project = unfold(project)
    return msgspec.structs.replace(project, links={**project.links, **links})


@pytest.mark.parametrize("name", list(ALL))
def test_sound_corners_have_one_motion(name):
    found = mobility(ALL[name]())
    assert found.moves
    assert found.margin > 0.02
    assert found.sentences == ("The corner has exactly its one motion and nothing fights.",)


def test_a_strut_without_its_track_rod_turns_about_its_steering_axis():
    project = without(strut(), "track rod")
    found = mobility(project)
    assert found.free == 2
    (loose,) = found.loose
    assert loose.bodies == ("upright",)
    assert "turns about the line through 'top' and 'lower ball'" in loose.words
    assert "toe link or track rod is missing" in found.sentences[0]
    with pytest.raises(MotionError, match="toe link or track rod is missing"):
        corner(project)


@pytest.mark.parametrize("gone", [1, 2, 3])
def test_each_missing_link_is_one_free_motion_more(gone):
    names = [f"link {i}" for i in range(1, gone + 1)]
    found = mobility(without(five_links(), *names))
    assert found.free == 1 + gone
    assert len(found.loose) == gone


def test_a_sixth_link_locks_and_every_member_is_named():
    project = plus(five_links(), extra=Link(End("foot"), End("o1", "upright")))
    found = mobility(project)
    assert not found.moves
    (fight,) = found.fights
    assert fight.locks
    assert set(fight.members) == {"extra", *(f"link {i}" for i in range(1, 6))}
    with pytest.raises(MotionError, match="let the bushes"):
        corner(project)


def test_shares_are_how_the_lengths_depend_on_each_other():
    """Σ share·δL = 0 for what fits: small true motions stretch the members in that relation."""
    project = plus(five_links(), extra=Link(End("foot"), End("o1", "upright")))
    (fight,) = mobility(project).fights
    points = {k: np.array(v) for k, v in project.points.items()}
    rng = np.random.default_rng(3)
    hub = points["wheel centre"]
    for _ in range(5):
        shift, spin = rng.normal(size=3), rng.normal(size=3) * 0.01
        # Keep the wheel's height: the fight is at a given travel.
        shift[2] = 0.0
        total = 0.0
        for name, share in zip(fight.members, fight.shares, strict=True):
            link = project.links[name]
            a, b = points[link.inner.point], points[link.outer.point]
            u = (b - a) / np.linalg.norm(b - a)
            total += share * float(u @ (shift + np.cross(spin, b - hub)))
        assert abs(total) < 1e-12


def test_a_parallel_sixth_link_is_over_held_but_moves():
    """A copy of a link beside it, in a parallelogram that stays one, holds twice and moves."""
    project = unfold(ALL["trailing arm"]())
    points = {
        **project.points,
        "a": (430.0, 400.0, 300.0),
        "b": (430.0, 500.0, 300.0),
    }
    inner, outer = (np.array(project.points[k]) for k in ("inner", "outer"))
    # Both ends on the hinge line: its length can't change as the arm swings.
    points["a"] = tuple(inner + 0.2 * (outer - inner))
    points["b"] = tuple(inner + 0.7 * (outer - inner))
    project = msgspec.structs.replace(
        project, points=points, links={"extra": Link(End("a"), End("b", "upright"))}
    )
    found = mobility(project)
    assert found.moves
    assert found.free == 1
    assert "yet it moves" in found.sentences[0]
    assert corner(project).bodies[1] == "upright"


@pytest.mark.parametrize("name", [n for n in ALL if unfold(ALL[n]()).links])
def test_links_entered_as_bodies_move_the_same(name):
    """Every link as a body with a ball at each end, whatever those hang on."""
    project, travel = unfold(ALL[name]()), [-40.0, 0.0, 35.0]
    joints, bars = dict(project.joints), []
    for link_name, link in project.links.items():
        bars.append(f"bar {link_name}")
        for end in (link.inner, link.outer):
            joints[f"{link_name} at {end.point}"] = Ball(end.point, (end.body, bars[-1]))
    bodies = (*project.bodies, *bars)
    free = msgspec.structs.replace(project, links={}, joints=joints, bodies=bodies)
    hub = project.wheel.centre
    near, far = (move(corner(p), travel, stops=False).point(hub) for p in (project, free))
    np.testing.assert_allclose(near, far, atol=1e-9)


def test_two_ball_bodies_spin_harmlessly():
    """A link entered as a body of its own may spin about its own line; that is no fault."""
    project = unfold(five_links())
    links = {k: v for k, v in project.links.items() if k != "link 5"}
    joints = {
        "inner": Ball("i5", ("chassis", "toe bar")),
        "outer": Ball("o5", ("toe bar", "upright")),
    }
    project = msgspec.structs.replace(
        project, links=links, joints=joints, bodies=(*project.bodies, "toe bar")
    )
    found = mobility(project)
    (loose,) = found.loose
    assert loose.idle
    assert "turns about the line through 'i5' and 'o5'" in found.sentences[0]
    assert "does no harm" in found.sentences[0]
    corner(project)
