"""The bump stop's solid: its size, how it shortens, and when the spring stands for it."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from kinematics.clearance import distance
from kinematics.motion.grid import move
from kinematics.motion.linkage import corner
from kinematics.motion.motion import Motion
from kinematics.project.files import dumps, loads
from kinematics.project.model import BumpStop, Project
from kinematics.shapes.build import parts
from kinematics.shapes.coilover import STOP_SHARE, stack
from kinematics.shapes.pairs import pairs
from kinematics.shapes.pieces import Part, Ring, point
from kinematics.shapes.skins import place, skins
from tests.shapes.corners import TROUBLE, project

STOP = BumpStop(free=60.0, solid=20.0, packer=5.0, diameter=44.0)
TRAVEL = np.array([-40.0, 0.0, 40.0, 70.0])


def car(stop: BumpStop = STOP, sprung: bool = False) -> Project:
    bare = project(TROUBLE)
    assert bare.coilover is not None
    spring = bare.coilover.spring if sprung else None
    coilover = replace(bare.coilover, bump_stop=stop, spring=spring, body_length=330.0)
    return replace(bare, coilover=coilover)


@pytest.fixture(scope="module")
def motion() -> Motion:
    return move(corner(car()), TRAVEL, [0.0])


def stop_of(which: Project, motion: Motion) -> Part:
    return next(part for part in parts(which, motion) if part.name == "bump stop")


def test_it_stands_under_its_seat_and_shortens_as_the_body_comes_up(motion: Motion) -> None:
    which, ring = car(), stop_of(car(), motion).pieces[0]
    coilover = which.coilover
    assert coilover is not None
    assert isinstance(ring, Ring)
    ends = [motion.carry(e.body, np.array(which.points[e.point])).reshape(-1, 3)
            for e in (coilover.foot, coilover.top)]  # fmt: skip
    ends = [np.broadcast_to(e, (4, 3)) for e in ends]
    long = np.linalg.norm(ends[1] - ends[0], axis=1)
    down = (ends[0] - ends[1]) / long[:, None]
    place_ = stack(coilover)
    room = long - place_.body_top - place_.stop - 5.0
    assert room[0] > 60.0 > room[-1] > 1.0  # free in droop, squashed in bump
    for k in range(4):
        one = Ring(ring.centre[k : k + 1], ring.axis[k : k + 1], ring.profile,
                   np.atleast_1d(ring.stretch)[k : k + 1])  # type: ignore[arg-type]  # fmt: skip
        low = place_.stop + 5.0 + min(room[k], 60.0)
        across = np.cross(down[k], [1.0, 0.0, 0.0])
        across /= np.linalg.norm(across)
        middle = ends[1][k] + (place_.stop + 5.0 + 0.5 * min(room[k], 60.0)) * down[k]
        for at, far in ((ends[1][k] + (low + 4.0) * down[k], 4.0), (middle + 25.0 * across, 3.0)):
            assert distance(one, point(at)).low[0] == pytest.approx(far, abs=0.03)


def test_its_usual_diameter_follows_the_body(motion: Motion) -> None:
    which = car(replace(STOP, diameter=None))
    assert which.coilover is not None
    ring = stop_of(which, motion).pieces[0]
    assert isinstance(ring, Ring)
    assert 2 * ring.profile.r_max == pytest.approx(STOP_SHARE * which.coilover.body_diameter)
    assert loads(dumps(car())) == car()


def test_it_is_checked_against_all_but_its_own_unit(motion: Motion) -> None:
    made = parts(car(), motion)
    found, names = pairs(car(), made), [part.name for part in made]
    k = names.index("bump stop")
    met = {names[j if i == k else i] for i, j in found.checked if k in (i, j)}
    assert {"tyre", "wheel", "tower", "radius arm"} <= met
    why = {(o.a, o.b): o.why for o in found.left_out}
    assert why["damper shaft", "bump stop"] == "damper and spring are one unit"


def test_inside_the_spring_the_spring_stands_for_it(motion: Motion) -> None:
    inside = car(sprung=True)
    assert "bump stop" not in [part.name for part in parts(inside, motion)]
    assert [s.checked for s in skins(inside) if s.name == "bump stop"] == [False]
    wide = car(replace(STOP, diameter=110.0), sprung=True)
    assert "bump stop" in [part.name for part in parts(wide, motion)]


def test_what_is_drawn_is_as_long_as_the_solid(motion: Motion) -> None:
    shown = next(s for s in skins(car()) if s.name == "bump stop")
    assert shown.checked
    assert shown.along is not None
    solid, at = stop_of(car(), motion).pieces[0], place(car(), motion)["bump stop"]
    assert isinstance(solid, Ring)
    for k in range(4):
        z = shown.vertices[:, 2] + shown.along * at.stretch[k]
        assert np.ptp(z) == pytest.approx(60.0 + np.atleast_1d(solid.stretch)[k], abs=1e-3)  # type: ignore[arg-type]
