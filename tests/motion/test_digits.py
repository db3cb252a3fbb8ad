"""Poses to double precision against 30 digits in a second formulation."""

from __future__ import annotations

import mpmath as mp
import msgspec
import numpy as np
import pytest

from kinematics.motion import corner, move
from tests.motion.corners import ALL
from tests.motion.digits import DIGITS, Digits

VARIED = [f"{name}, varied {k}" for k, name in enumerate(ALL) if k % 7 != 6]


def varied(name):
    """A corner with every point moved by up to 12 mm."""
    base, _, number = name.rpartition(", varied ")
    project = ALL[base]()
    rng = np.random.default_rng(int(number) + 100)
    points = {
        k: tuple(float(x) for x in np.round(np.add(v, rng.uniform(-12.0, 12.0, 3)), 3))
        for k, v in project.points.items()
    }
    return msgspec.structs.replace(project, points=points)


def condition(motion, i):
    """The condition number of the pose's equations, or 1 where it is below 100."""
    number = float(motion.conditioning[i, 0])
    return number if number > 100.0 else 1.0


@pytest.mark.parametrize("name", [*ALL, *VARIED])
def test_thirty_digits(name):
    project = ALL[name]() if name in ALL else varied(name)
    exact = Digits(project)
    linkage = corner(project)
    rack = 17.0 if "rack" in linkage.bodies else 0.0
    travel = [-53.0, 41.0]
    motion = move(linkage, travel, [rack], stops=False)
    assert motion.reached.all()
    for i, z in enumerate(travel):
        start = []
        for body, held in exact.bodies.items():
            for point in held.base[held.fixed :]:
                p = np.array([float(v) for v in point])
                start += list(motion.carry(body, p)[i, 0])
        x = exact.solve(start, z, rack)
        allowed = condition(motion, i)
        with mp.workdps(DIGITS + 10):
            for body, held in exact.bodies.items():
                now = [[float(v) for v in p] for p in held.corners(x)]
                then = np.array([[float(v) for v in p] for p in held.base])
                found = motion.carry(body, then)[i, 0]
                assert np.abs(found - now).max() <= 1e-9 * allowed
                edges = [np.array(now[k]) - now[0] for k in (1, 2)]
                ours = [found[k] - found[0] for k in (1, 2)]
                for a, b in zip(edges, ours, strict=True):
                    angle = np.linalg.norm(np.cross(a, b)) / (a @ a)
                    assert angle <= 1e-11 * allowed
