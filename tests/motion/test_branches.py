"""No corner changes its assembly unannounced.

Random corners are followed over their travel by a separately written small-step continuation;
those it finds sound (smallest scaled singular value above ``STRONG`` throughout) are moved in
coarse grids, and every pose returned must be the one the small steps led to. A pose refused with
a reason is counted, and few may be. ``pytest -m campaign tests/motion/test_branches.py`` does
10,000.
"""

from __future__ import annotations

import msgspec
import numpy as np
import pytest

from kinematics.motion import Reach, corner, move
from tests.motion.corners import ALL
from tests.motion.stepwise import Stepwise

STRONG = 0.02
STOPS = (15.0, 45.0, 80.0)
SIZE = 30.0


def checked(name: str, count: int, seed: int, step: float) -> tuple[int, int, int]:
    """How many of ``count`` random corners were sound, poses compared and poses refused."""
    project = ALL[name]()
    rng = np.random.default_rng(seed)
    nominal = np.array(list(project.points.values()))
    points = nominal[:, :, None] + rng.uniform(-SIZE, SIZE, (*nominal.shape, count))
    ways, strength = {}, np.full(count, np.inf)
    for side in (1.0, -1.0):
        follower = Stepwise(project, points)
        ways[side], weakest = follower.follow([side * stop for stop in STOPS], step)
        strength = np.minimum(strength, weakest)
    sound = np.flatnonzero(strength > STRONG)
    travel = np.array([side * stop for side in (1.0, -1.0) for stop in STOPS])
    expected = np.concatenate([ways[1.0], ways[-1.0]])
    compared = refused = 0
    for k in sound:
        named = {n: tuple(float(v) for v in points[i, :, k]) for i, n in enumerate(project.points)}
        own = msgspec.structs.replace(project, points=named)
        motion = move(corner(own), travel, stops=False)
        at = motion.point(project.wheel.centre)[:, 0]
        reached = motion.reached[:, 0]
        off = np.abs(at - expected[:, :, k]).max(axis=1)
        assert (off[reached] < 1e-5).all(), (name, seed, int(k), off)
        assert set(motion.state[~reached, 0]) <= {Reach.JUMP, Reach.STRAIGHTENED}
        compared += int(reached.sum())
        refused += int((~reached).sum())
    return len(sound), compared, refused


@pytest.mark.parametrize("name", list(ALL))
def test_no_unannounced_change(name):
    sound, compared, refused = checked(name, 3, 7, 5.0)
    assert compared + refused == 6 * sound


@pytest.mark.campaign
@pytest.mark.parametrize("piece", range(3))
@pytest.mark.parametrize("name", list(ALL))
def test_ten_thousand_corners(name, piece, capsys):
    """240 sound corners to a test, 10,080 in all; fewer than 1 pose in 1,000 refused."""
    sound = compared = refused = 0
    seed = 100 + 1000 * piece
    while sound < 240:
        s, c, r = checked(name, 250, seed, 0.5)
        sound, compared, refused = sound + s, compared + c, refused + r
        seed += 1
    with capsys.disabled():
        print(f"\n{name}: {sound} sound corners, {compared} poses compared, {refused} refused")
    assert refused <= 0.001 * compared
