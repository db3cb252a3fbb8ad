"""Properties that hold of every corner: mirror, rigid motion, scale, path, order of links.

A few cases of each run always; ``pytest -m campaign tests/motion/test_properties.py`` runs 1,000 of
each, a hundred to a test.
"""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import numpy as np
import pytest

from kinematics.measures import measure
from kinematics.motion import corner, move
from kinematics.project.unfold import unfold
from tests.motion.random_corners import NAMES, scaled_coilover, shaken, with_points

TRAVEL = np.array([-45.0, -10.0, 0.0, 30.0])
CASES = 14
MANY = 1000
SIGNS = {
    # Figures that change sign, and those that do not, when the car is mirrored.
    "camber": 1.0, "toe": 1.0, "steer": -1.0, "caster": 1.0, "kpi": 1.0, "scrub": 1.0,
    "trail": 1.0, "wheel_x": 1.0, "wheel_y": -1.0, "wheel_z": 1.0, "contact_y": -1.0,
    "damper": 1.0, "motion_ratio": 1.0, "track_change": 1.0, "wheelbase_change": 1.0,
    "roll_centre": 1.0, "bump_steer": 1.0, "camber_gain": 1.0, "front_view_lean": 1.0,
    "brake_path": 1.0, "front_centre_y": -1.0,
}  # fmt: skip


def case(seed: int):
    """A random corner, its rack positions and the generator."""
    rng = np.random.default_rng(seed)
    project = shaken(NAMES[seed % len(NAMES)], rng, 15.0)
    racks = np.array([-18.0, 0.0, 11.0]) if "rack" in corner(project).bodies else np.zeros(1)
    return project, racks, rng


def same(first, second, atol):
    np.testing.assert_allclose(first, second, atol=atol, rtol=1e-9, equal_nan=True)


def mirror(seed: int) -> None:
    project, racks, _ = case(seed)
    flip = np.array([1.0, -1.0, 1.0])
    points = {k: np.array(v) * flip for k, v in project.points.items()}
    wheel = project.wheel
    if wheel.axis is not None:
        axis = tuple(float(x) for x in np.array(wheel.axis) * flip)
        wheel = msgspec.structs.replace(wheel, axis=axis)
    other = with_points(project, points, side="right", wheel=wheel)
    left = measure(project, move(corner(project), TRAVEL, racks))
    right = measure(other, move(corner(other), TRAVEL, -racks))
    for key, sign in SIGNS.items():
        same(left[key], sign * right[key], 1e-8)


def rigid_motion(seed: int) -> None:
    """Turned about the upright and shifted: same lengths and angles between bodies.

    A rack slides along the car's y, so a steered corner is only shifted.
    """
    project, racks, rng = case(seed)
    angle = rng.uniform(-np.pi, np.pi) if len(racks) == 1 else 0.0
    c, s = np.cos(angle), np.sin(angle)
    turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    shift = rng.uniform(-500.0, 500.0, 3)
    points = {k: turn @ np.array(v) + shift for k, v in project.points.items()}
    other = with_points(project, points)
    here, there = (move(corner(p), TRAVEL, racks) for p in (project, other))
    centre = project.wheel.centre
    same(here.point(centre) @ turn.T + shift, there.point(centre), 2e-9)
    k = here.number(project.wheel.body)
    same(turn @ here.rotation[k] @ turn.T, there.rotation[k], 1e-11)


def scale(seed: int) -> None:
    project, racks, rng = case(seed)
    factor = float(np.exp(rng.uniform(-1.5, 1.5)))
    points = {k: np.array(v) * factor for k, v in project.points.items()}
    other = with_points(project, points, coilover=scaled_coilover(project, factor))
    here = move(corner(project), TRAVEL, racks, stops=False)
    there = move(corner(other), TRAVEL * factor, racks * factor, stops=False)
    centre = project.wheel.centre
    same(factor * here.point(centre), there.point(centre), 2e-9 * max(1.0, factor))
    k = here.number(project.wheel.body)
    same(here.rotation[k], there.rotation[k], 1e-11)


def path(seed: int) -> None:
    """A pose does not depend on the way to it: grid, alone, or dragged there in random steps."""
    project, racks, rng = case(seed)
    linkage = corner(project)
    grid = move(linkage, TRAVEL, racks)
    here = move(linkage, [0.0])
    z, s = 0.0, 0.0
    for _ in range(4):
        z += rng.uniform(-8.0, 8.0)
        s += rng.uniform(-5.0, 5.0) if len(racks) > 1 else 0.0
        here = move(linkage, [z], [s], start=here)
    back = move(linkage, [TRAVEL[1]], [racks[0]], start=here)
    alone = move(linkage, [TRAVEL[1]], [racks[0]])
    centre = project.wheel.centre
    same(alone.point(centre)[0, 0], grid.point(centre)[1, 0], 2e-9)
    same(back.point(centre)[0, 0], grid.point(centre)[1, 0], 2e-9)


def order(seed: int) -> None:
    """Links, joints, points and bodies in another order; links with their ends swapped."""
    project, racks, rng = case(seed)
    project = unfold(project)

    def mixed(table):
        names = list(table)
        return {names[i]: table[names[i]] for i in rng.permutation(len(names))}

    links = {
        name: msgspec.structs.replace(link, inner=link.outer, outer=link.inner, through=())
        if rng.random() < 0.5
        else msgspec.structs.replace(link, through=())
        for name, link in mixed(project.links).items()
    }
    bodies = tuple(project.bodies[i] for i in rng.permutation(len(project.bodies)))
    other = msgspec.structs.replace(
        project,
        links=links,
        joints=mixed(project.joints),
        points=mixed(project.points),
        bodies=bodies,
    )
    here, there = (move(corner(p), TRAVEL, racks) for p in (project, other))
    for name in project.bodies:
        same(here.rotation[here.number(name)], there.rotation[there.number(name)], 1e-11)
        same(here.carry(name, (0.0, 600.0, 300.0)), there.carry(name, (0.0, 600.0, 300.0)), 2e-9)


PROPERTIES: tuple[Callable[[int], None], ...] = (mirror, rigid_motion, scale, path, order)


@pytest.mark.parametrize("holds", PROPERTIES, ids=lambda f: f.__name__)
def test_property(holds):
    for seed in range(CASES):
        holds(seed)


@pytest.mark.campaign
@pytest.mark.parametrize("first", range(CASES, CASES + MANY, 100))
@pytest.mark.parametrize("holds", PROPERTIES, ids=lambda f: f.__name__)
def test_property_campaign(holds, first):
    for seed in range(first, first + 100):
        try:
            holds(seed)
        except Exception as error:
            error.add_note(f"seed {seed}")
            raise
